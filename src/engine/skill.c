/* The skill curve: a logistic fit of clean passes to the logarithm of the tempo.
 *
 * Fisher scoring from 0 on x less its mean, which keeps the two coefficients apart; the result is
 * carried back to x as given (a fit, penalized or not, moves with any line laid over x). Firth's
 * penalty turns the score residual y - n p into y - n p + h (1/2 - p), with h the leverage of the
 * group. A step that would lower what is maximized is halved until it does not. Doubles are fine
 * here: a probability is no musical time. Pure; any thread. */
#include <passo/skill.h>

#include <math.h>

enum { ITERATIONS_MAX = 1000, HALVINGS_MAX = 60 };

/* Of the square of a step, measured in standard errors. */
static const double step_small = 1e-20;

struct problem {
    const struct passo_skill_group *group;
    size_t groups;
    double centre; /* mean of x over all passes */
    bool flat;     /* one x only: the slope stays 0 */
    bool penalized;
};

/* Where the scoring stands: coefficients on centred x and what follows from them. */
struct point {
    double intercept;
    double slope;
    double information[3]; /* of intercept, of both, of slope */
    double determinant;    /* of the information; flat: its first */
    double log_likelihood;
    double height; /* what is maximized */
};

static double logistic(double logit)
{
    return 1 / (1 + exp(-logit));
}

/* ln of logistic(logit), exact also where that is nearly 0 or 1. */
static double log_logistic(double logit)
{
    return logit < 0 ? logit - log1p(exp(logit)) : -log1p(exp(-logit));
}

static double logit_at(const struct problem *problem, const struct point *point, size_t group)
{
    return point->intercept + point->slope * (problem->group[group].x - problem->centre);
}

static void weigh(const struct problem *problem, struct point *point)
{
    double *information = point->information;
    information[0] = information[1] = information[2] = 0;
    point->log_likelihood = 0;
    for (size_t i = 0; i < problem->groups; i++) {
        const struct passo_skill_group *group = &problem->group[i];
        const double x = group->x - problem->centre;
        const double logit = logit_at(problem, point, i);
        const double weight = group->n * logistic(logit) * logistic(-logit);
        information[0] += weight;
        information[1] += weight * x;
        information[2] += weight * x * x;
        if (group->y > 0)
            point->log_likelihood += group->y * log_logistic(logit);
        if (group->y < group->n)
            point->log_likelihood += (group->n - group->y) * log_logistic(-logit);
    }
    point->determinant = problem->flat
                             ? information[0]
                             : information[0] * information[2] - information[1] * information[1];
    point->height = point->log_likelihood;
    if (problem->penalized)
        point->height += log(point->determinant) / 2;
}

static double leverage(const struct problem *problem, const struct point *point, double x,
                       double weight)
{
    const double *information = point->information;
    if (problem->flat)
        return weight / information[0];
    return weight * (information[2] - 2 * x * information[1] + x * x * information[0]) /
           point->determinant;
}

/* The scoring step from a point; returns its square in standard errors. */
static double step_from(const struct problem *problem, const struct point *point, double step[2])
{
    const double *information = point->information;
    double score[2] = {0, 0};
    for (size_t i = 0; i < problem->groups; i++) {
        const struct passo_skill_group *group = &problem->group[i];
        const double x = group->x - problem->centre;
        const double logit = logit_at(problem, point, i);
        const double clean = logistic(logit);
        /* y - n p, but small differences of large numbers are not formed */
        double residual = group->y * logistic(-logit) - (group->n - group->y) * clean;
        if (problem->penalized)
            residual +=
                leverage(problem, point, x, group->n * clean * logistic(-logit)) * (0.5 - clean);
        score[0] += residual;
        score[1] += residual * x;
    }
    if (problem->flat) {
        step[0] = score[0] / information[0];
        step[1] = 0;
    } else {
        step[0] = (information[2] * score[0] - information[1] * score[1]) / point->determinant;
        step[1] = (information[0] * score[1] - information[1] * score[0]) / point->determinant;
    }
    return score[0] * step[0] + score[1] * step[1];
}

/* Goes the step, or the half of it, ... ; false where none leads up. */
static bool go(const struct problem *problem, struct point *point, const double step[2])
{
    /* Far above what summing up rounds, far below what a step gains before it is small. */
    const double slack = 1e-13 * (1 + fabs(point->height));
    double share = 1;
    for (int i = 0; i < HALVINGS_MAX; i++, share /= 2) {
        struct point next = {.intercept = point->intercept + share * step[0],
                             .slope = point->slope + share * step[1]};
        weigh(problem, &next);
        if (next.height >= point->height - slack && next.determinant > 0) {
            *point = next;
            return true;
        }
    }
    return false;
}

/* False if a group cannot be, or none has a pass; sets centre and flat. */
static bool centre(struct problem *problem)
{
    double passes = 0;
    double sum = 0;
    double least = INFINITY;
    double most = -INFINITY;
    for (size_t i = 0; i < problem->groups; i++) {
        const struct passo_skill_group *group = &problem->group[i];
        if (!isfinite(group->x) || !isfinite(group->n) || !(group->y >= 0 && group->y <= group->n))
            return false;
        if (group->n == 0)
            continue;
        passes += group->n;
        sum += group->n * group->x;
        least = fmin(least, group->x);
        most = fmax(most, group->x);
    }
    problem->centre = least == most ? least : sum / passes;
    problem->flat = least == most;
    return passes > 0;
}

/* Whether the likelihood has its maximum at finite coefficients: both marks came, and over several
 * x the clean ones and the misses overlap. */
static bool has_maximum(const struct problem *problem)
{
    double clean_least = INFINITY;
    double clean_most = -INFINITY;
    double miss_least = INFINITY;
    double miss_most = -INFINITY;
    for (size_t i = 0; i < problem->groups; i++) {
        const struct passo_skill_group *group = &problem->group[i];
        if (group->y > 0) {
            clean_least = fmin(clean_least, group->x);
            clean_most = fmax(clean_most, group->x);
        }
        if (group->y < group->n) {
            miss_least = fmin(miss_least, group->x);
            miss_most = fmax(miss_most, group->x);
        }
    }
    if (problem->flat)
        return clean_least == miss_least;
    return clean_most > miss_least && miss_most > clean_least;
}

/* y ln(y / fitted), 0 for y = 0. */
static double surprise(double y, double log_share, double n)
{
    return y > 0 ? y * (log(y / n) - log_share) : 0;
}

static void report(const struct problem *problem, const struct point *point,
                   struct passo_skill_fit *fit)
{
    const double *information = point->information;
    const double centre_x = problem->centre;
    fit->skill.slope = point->slope;
    fit->skill.intercept = point->intercept - point->slope * centre_x;
    fit->log_likelihood = point->log_likelihood;
    for (size_t i = 0; i < problem->groups; i++) {
        const struct passo_skill_group *group = &problem->group[i];
        const double logit = logit_at(problem, point, i);
        fit->deviance += 2 * (surprise(group->y, log_logistic(logit), group->n) +
                              surprise(group->n - group->y, log_logistic(-logit), group->n));
    }
    if (problem->flat) {
        fit->intercept_se = sqrt(1 / information[0]);
        return;
    }
    const double slope_variance = information[0] / point->determinant;
    const double covariance = -information[1] / point->determinant;
    const double variance = information[2] / point->determinant;
    fit->slope_se = sqrt(slope_variance);
    fit->covariance = covariance - centre_x * slope_variance;
    fit->intercept_se =
        sqrt(variance - 2 * centre_x * covariance + centre_x * centre_x * slope_variance);
}

enum passo_error passo_skill_fit(const struct passo_skill_group *group, size_t groups,
                                 bool penalized, struct passo_skill_fit *out_fit)
{
    struct problem problem = {.group = group, .groups = groups, .penalized = penalized};
    struct point point = {0};
    double step[2];
    *out_fit = (struct passo_skill_fit){0};
    if (!centre(&problem) || (!penalized && !has_maximum(&problem)))
        return PASSO_ERR_RANGE;
    weigh(&problem, &point);
    while (!out_fit->converged && out_fit->iterations < ITERATIONS_MAX) {
        const double squared = step_from(&problem, &point, step);
        if (!go(&problem, &point, step))
            break;
        out_fit->iterations++;
        out_fit->converged = squared < step_small;
    }
    report(&problem, &point, out_fit);
    return PASSO_OK;
}

double passo_skill_clean(const struct passo_skill *skill, int32_t mbpm)
{
    return logistic(skill->intercept + skill->slope * log((double)mbpm / 1000));
}

double passo_skill_bpm(const struct passo_skill *skill, double share)
{
    if (skill->slope == 0)
        return 0;
    return exp((log(share / (1 - share)) - skill->intercept) / skill->slope);
}
