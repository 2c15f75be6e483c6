/* Where a passage stands: the tempo at which it is secure, where that is going, and when it is to
 * come back. From marks of many days, of which the later weigh more. Thread: any. Pure: no I/O, no
 * clock, no allocation. */
#ifndef PASSO_STANDING_H
#define PASSO_STANDING_H

#include <passo/skill.h>

/* A tempo is secure if four of five passes at it would be clean. */
#define PASSO_SECURE_SHARE 0.8
/* A pass counts half as much as one of so many days later. */
#define PASSO_FADE_DAYS 7

/* What a pass weighs that was played so many days before the latest: 0.5^(days / 7). */
double passo_fade(int64_t days);

enum passo_secure_kind {
    PASSO_SECURE_UNKNOWN, /* fewer than PASSO_SECURE_LEAST_PASSES: nothing is said */
    PASSO_SECURE_FITTED,
    PASSO_SECURE_AT_LEAST, /* it lies above every tempo that was played: the fastest clean one */
    PASSO_SECURE_UNDER,    /* it lies below every tempo that was played: the slowest one */
    PASSO_SECURE_KIND_COUNT
};
#define PASSO_SECURE_LEAST_PASSES 8
/* With a weight under this it is a rough guess: drawn players show that the interval then holds
 * less often than it says. */
#define PASSO_SECURE_FEW_PASSES 20

struct passo_secure {
    enum passo_secure_kind kind;
    struct passo_skill skill;
    bool usual_slope; /* the marks do not show how the chance falls with the tempo: a usual slope */
    double bpm;       /* to be rounded for showing */
    double low_bpm;   /* four times in five it lies between these; they stay within what was */
    double high_bpm;  /* played, so an end that is at its edge may lie beyond */
    double passes;    /* the weight of all of them */
};

/* How steeply the chance falls where marks do not say: a tenth faster, and 5 clean passes to a miss
 * become 3. */
#define PASSO_SKILL_USUAL_SLOPE (-5.0)

/* A curve through marks that are few or say little: Firth's fit, or, where the tempo makes no clear
 * difference (slope + its standard error not below 0, no convergence, one tempo only), the usual
 * slope through their middle, half a pass added to each mark (then the fit has its skill and
 * intercept_se, and 0 elsewhere). out_usual says which. Errors as of passo_skill_fit(). */
PASSO_MUST_CHECK enum passo_error passo_skill_settle(const struct passo_skill_group *group,
                                                     size_t groups, struct passo_skill_fit *out_fit,
                                                     bool *out_usual);
/* The x at which the chance is `share` (0 < share < 1), and its standard error by the delta method.
 * The slope is not 0. */
double passo_skill_place(const struct passo_skill_fit *fit, double share, double *out_se);
/* The secure tempo of weighted marks (x: ln of bpm, ascending). The interval is the delta method's
 * in ln of the tempo, at 80 %. */
void passo_secure_fit(const struct passo_skill_group *group, size_t groups,
                      struct passo_secure *out_secure);

/* One day of a passage. */
struct passo_trend_point {
    double day; /* counted from anywhere */
    double y;   /* ln of the tempo */
};

enum passo_outlook_kind {
    PASSO_OUTLOOK_TOO_LITTLE, /* under 4 days with practice, or they span under 6 */
    PASSO_OUTLOOK_NO_TREND,   /* it does not clearly rise: one-sided t test of the slope at 90 % */
    PASSO_OUTLOOK_THERE,      /* the last day is at the goal, however few there are */
    PASSO_OUTLOOK_DAYS,       /* in so many days, if it goes on like this */
    PASSO_OUTLOOK_FAR,        /* in more than PASSO_OUTLOOK_FAR_DAYS */
    PASSO_OUTLOOK_KIND_COUNT
};
#define PASSO_OUTLOOK_FAR_DAYS 60

struct passo_outlook {
    enum passo_outlook_kind kind;
    double days;      /* from the last point's day, 0 or more */
    double low_days;  /* 80 % interval of where the line meets the goal (Fieller) */
    double high_days; /* INFINITY: no end can be told; so where nothing is told, and days is 0 */
    double slope;     /* of y a day; 0 where there is too little */
    double slope_se;
};

/* A straight line through the points by least squares, and where it meets `goal` (ln of a tempo).
 * Points ascend by day; one a day. */
void passo_outlook_fit(const struct passo_trend_point *point, size_t points, double goal,
                       struct passo_outlook *out_outlook);

/* How a day went: whether the first pass at 95 % of the target or faster was clean. */
enum passo_held { PASSO_HELD_NOT_TRIED, PASSO_HELD_NO, PASSO_HELD_YES };

/* Days until a passage is due again, after its practised days in order: 1, until it has held three
 * days running; then 2, with each further day that it holds 4, then 7; at once 1 after a day that
 * did not hold. A day on which it was not tried changes nothing. 0 if there is no day. */
int passo_spacing_days(const enum passo_held *day, size_t days);

#endif
