/* How likely a pass at a tempo is clean: logistic in the logarithm of the tempo,
 * P(clean at T) = 1 / (1 + exp(-(intercept + slope * ln(T / 1 bpm)))). Given by points that the
 * player names, or fitted to marks. Thread: any. No I/O, no clock, no allocation. */
#ifndef PASSO_SKILL_H
#define PASSO_SKILL_H

#include <passo/error.h>
#include <passo/ladder.h>

#define PASSO_SKILL_GROUPS_MAX 1024

struct passo_skill {
    double intercept;
    double slope; /* below 0: the faster, the less often clean */
};

/* Passes at one tempo: n played, y of them clean. Real numbers, so that a share counts as well. */
struct passo_skill_group {
    double x; /* ln of the tempo in bpm; of the general fit anything */
    double n;
    double y;
};

/* What a fit gave. */
struct passo_skill_fit {
    struct passo_skill skill;
    double intercept_se; /* from the inverse of the information */
    double slope_se;
    double covariance;
    double deviance;       /* against the saturated model */
    double log_likelihood; /* without the binomial constants, not penalized */
    int iterations;
    bool converged;
};

/* Maximum likelihood by Fisher scoring from 0, grouped binomial data. penalized: with Firth's
 * penalty, half the logarithm of the determinant of the information (Firth 1993, Biometrika 80),
 * which keeps the fit finite when all passes are clean or the groups separate. PASSO_ERR_RANGE if
 * no group has a pass, y lies outside 0 to n, or, without the penalty, there is no finite fit. One
 * x only: the slope is 0. */
PASSO_MUST_CHECK enum passo_error passo_skill_fit(const struct passo_skill_group *group,
                                                  size_t groups, bool penalized,
                                                  struct passo_skill_fit *out_fit);
/* The chance at a tempo, 0 to 1. */
double passo_skill_clean(const struct passo_skill *skill, int32_t mbpm);
/* The tempo at which the chance is `share` (0 < share < 1), as a real number of bpm; 0 if the slope
 * is 0. */
double passo_skill_bpm(const struct passo_skill *skill, double share);

#endif
