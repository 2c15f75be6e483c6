/* Minutes shared so that every passage is brought to the same level: the lowest expected level is
 * as high as the minutes allow.
 *
 * A passage that stands at `level` (the logarithm of its secure tempo over its target) and is
 * worked at for t minutes is expected at level + rate * t. To maximize the lowest of these is a
 * linear programme whose answer is water-filling: there is one level L, and t = (L - level) / rate,
 * held within the least and the most of each (Boyd and Vandenberghe, Convex Optimization,
 * example 5.2, is the same problem with all rates 1 and no bounds). Where some are held at their
 * most, what is left over goes on to the others, so that after the lowest the next lowest is as
 * high as it can be, and so on. Thread: any. No I/O, no clock; passo_budget_share() allocates for
 * the time of the call. */
#ifndef PASSO_BUDGET_H
#define PASSO_BUDGET_H

#include <passo/error.h>
#include <stdbool.h>
#include <stddef.h>

enum passo_share_why {
    PASSO_SHARE_LEVEL, /* it is brought to the common level */
    PASSO_SHARE_LEAST, /* it stands at the level or above it: the least */
    PASSO_SHARE_MOST,  /* it would need more than the most */
    PASSO_SHARE_WHY_COUNT
};

struct passo_share {
    double level; /* now: ln of secure tempo over target; finite */
    double rate;  /* what a minute is expected to add; above 0 */
    double least; /* minutes, 0 or more */
    double most;  /* minutes, least or more; INFINITY: no bound */
    /* what came of it */
    double minutes;
    double after; /* the level expected then */
    enum passo_share_why why;
};

/* Shares out `minutes`. PASSO_ERR_RANGE, and every share is 0, if the least of all together is more
 * than there is, or a value is out of its range. If there is more than the most of all together,
 * what is over stays over. *out_level (may be NULL) is the common level; of no shares, or where all
 * have their most, INFINITY. Independent of the order of the shares. */
PASSO_MUST_CHECK enum passo_error passo_budget_share(struct passo_share *share, size_t shares,
                                                     double minutes, double *out_level);

/* One day of a passage, for its rate. */
struct passo_effort {
    double
        minutes; /* practised on it before this day, in all, from the first day that is looked at */
    double level; /* how it stood on this day: ln of the best clean tempo over the target */
};

/* What a minute is taken to add where days do not say: half a per cent of the tempo. A judgement,
 * not a measurement. */
#define PASSO_RATE_PRIOR 0.005
/* How sure that is: in four cases of six a rate is taken to lie within so much of it. */
#define PASSO_RATE_PRIOR_SD 0.003
/* Scatter of a day's level around its line, in the logarithm of the tempo. A judgement. */
#define PASSO_LEVEL_SD 0.05
/* A rate is never told outside these. */
#define PASSO_RATE_LEAST 0.001
#define PASSO_RATE_MOST  0.02

/* The rate of a passage: the slope of level over minutes, a normal prior (the two numbers above)
 * brought together with the least squares of the days, whose scatter is PASSO_LEVEL_SD:
 * (prior / psd^2 + Sxy / sd^2) / (1 / psd^2 + Sxx / sd^2), held within LEAST and MOST. No days, or
 * one: the prior. */
double passo_rate_fit(const struct passo_effort *effort, size_t efforts);

#endif
