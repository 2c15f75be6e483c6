/* The secure tempo of a passage: where the curve through its marks stands at four clean of five.
 *
 * Firth's fit (skill.c) carries it where the marks show how the chance falls with the tempo; where
 * they do not, a usual slope goes through their middle. The standard error of the place is the
 * delta method's: the place is (logit - intercept) / slope, and its gradient is put to the
 * covariance of the two. The place is taken in ln of the tempo and never told outside what was
 * played. Pure; any thread. */
#include <passo/standing.h>

#include <math.h>

/* The ninth decile of the normal distribution: an interval of 80 %. */
static const double normal_ninth = 1.2815515655446004;

double passo_fade(int64_t days)
{
    return exp2(-(double)days / PASSO_FADE_DAYS);
}

/* All marks as if they were of one tempo, in the middle of theirs, half a pass added to each mark;
 * the standard error is that of such a logit (Gart 1966). */
static void through_middle(const struct passo_skill_group *group, size_t groups,
                           struct passo_skill_fit *out_fit)
{
    double n = 0;
    double y = 0;
    double middle = 0;
    for (size_t i = 0; i < groups; i++)
        n += group[i].n;
    for (size_t i = 0; i < groups; i++) {
        y += group[i].y;
        middle += group[i].n / n * group[i].x;
    }
    const double clean = y + 0.5;
    const double miss = fmax(n - y, 0) + 0.5;
    const double slope = PASSO_SKILL_USUAL_SLOPE;
    *out_fit = (struct passo_skill_fit){
        .skill = {.intercept = log(clean / miss) - slope * middle, .slope = slope},
        .intercept_se = sqrt(1 / clean + 1 / miss),
        .converged = true};
}

enum passo_error passo_skill_settle(const struct passo_skill_group *group, size_t groups,
                                    struct passo_skill_fit *out_fit, bool *out_usual)
{
    const enum passo_error error = passo_skill_fit(group, groups, true, out_fit);
    *out_usual = false;
    if (error != PASSO_OK)
        return error;
    /* One tempo only has slope 0; what is no number is not below 0 either. */
    *out_usual = !out_fit->converged || !(out_fit->skill.slope + out_fit->slope_se < 0);
    if (*out_usual)
        through_middle(group, groups, out_fit);
    return PASSO_OK;
}

double passo_skill_place(const struct passo_skill_fit *fit, double share, double *out_se)
{
    const double slope = fit->skill.slope;
    const double place = (log(share / (1 - share)) - fit->skill.intercept) / slope;
    const double variance = fit->intercept_se * fit->intercept_se + 2 * place * fit->covariance +
                            place * place * fit->slope_se * fit->slope_se;
    /* Far from 0 the terms are large and nearly cancel. */
    *out_se = sqrt(fmax(variance, 0)) / fabs(slope);
    return place;
}

/* What was played, in ln of the tempo. */
struct played {
    double passes;
    double slowest;
    double fastest;
    double fastest_clean; /* -INFINITY: none was clean */
};

static struct played sum_up(const struct passo_skill_group *group, size_t groups)
{
    struct played played = {.slowest = INFINITY, .fastest = -INFINITY, .fastest_clean = -INFINITY};
    for (size_t i = 0; i < groups; i++) {
        if (!(group[i].n > 0))
            continue;
        played.passes += group[i].n;
        played.slowest = fmin(played.slowest, group[i].x);
        played.fastest = fmax(played.fastest, group[i].x);
        if (group[i].y > 0)
            played.fastest_clean = fmax(played.fastest_clean, group[i].x);
    }
    return played;
}

static double within(double x, const struct played *played)
{
    return fmin(fmax(x, played->slowest), played->fastest);
}

void passo_secure_fit(const struct passo_skill_group *group, size_t groups,
                      struct passo_secure *out_secure)
{
    const struct played played = sum_up(group, groups);
    struct passo_skill_fit fit;
    bool usual;
    double se;
    *out_secure = (struct passo_secure){.kind = PASSO_SECURE_UNKNOWN, .passes = played.passes};
    if (!(played.passes >= PASSO_SECURE_LEAST_PASSES) ||
        passo_skill_settle(group, groups, &fit, &usual) != PASSO_OK)
        return;
    const double place = passo_skill_place(&fit, PASSO_SECURE_SHARE, &se);
    double shown = place;
    out_secure->kind = PASSO_SECURE_FITTED;
    if (place < played.slowest || played.fastest_clean == -INFINITY) {
        out_secure->kind = PASSO_SECURE_UNDER;
        shown = played.slowest;
    } else if (place > played.fastest) {
        out_secure->kind = PASSO_SECURE_AT_LEAST;
        shown = played.fastest_clean;
    }
    out_secure->skill = fit.skill;
    out_secure->usual_slope = usual;
    out_secure->bpm = exp(shown);
    out_secure->low_bpm = exp(fmin(shown, within(place - normal_ninth * se, &played)));
    out_secure->high_bpm = exp(fmax(shown, within(place + normal_ninth * se, &played)));
}
