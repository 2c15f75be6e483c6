/* The forecast of `passo plan`: many climbs by chance, on all cores. Thread: the main thread, which
 * starts and joins the others. */
#ifndef PASSO_COMMAND_PLAN_FORECAST_H
#define PASSO_COMMAND_PLAN_FORECAST_H

#include <passo/forecast.h>
#include "text/setup.h"

/* A climb is given up after so many passes. */
enum { PLAN_PASSES_MAX = 500 };

struct plan_wish {
    const struct passo_setup *setup;
    struct passo_skill skill;
    uint64_t seed;
    uint32_t climbs;
};

/* What comes of one setup. */
struct plan_outlook {
    struct passo_forecast target;    /* however long it takes */
    struct passo_forecast within;    /* within the rule's limits */
    uint32_t ends[PASSO_STAGES_MAX]; /* of `within`: not won, and the end came in this stage */
    uint32_t ends_at[PASSO_STAGES_MAX][PASSO_RUNGS_MAX]; /* ... with this rung to win */
    bool drops_at_once;                                  /* a stage drops after every miss ... */
    struct passo_forecast patient; /* ... and this is `target` if it dropped after two in a row */
};

/* Blocks: on the processor. Aborts on out of memory. */
void plan_outlook_make(const struct plan_wish *wish, struct plan_outlook *out_outlook);

/* What is printed: the rule as it stands and, beside it, another. */
struct plan_view {
    const struct passo_setup *setup;
    const struct plan_outlook *outlook;
    const struct passo_setup *other_setup; /* NULL: none */
    const struct plan_outlook *other;
    const char *other_name;
};

/* plan_outlook.c: "target", or "ceiling" where the teacher's lies under it. */
const char *plan_goal(const struct passo_setup *setup);
/* plan_outlook.c: how long it takes, how it ends, where one gets stuck. */
void plan_outlook_print(const struct plan_view *view);

#endif
