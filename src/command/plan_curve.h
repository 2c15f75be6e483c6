/* The curve that a forecast stands on, and a few words on where it comes from. Thread: the main
 * thread. */
#ifndef PASSO_COMMAND_PLAN_CURVE_H
#define PASSO_COMMAND_PLAN_CURVE_H

#include <passo/skill.h>
#include "store/past.h"
#include "text/setup.h"

enum { PLAN_WORDS_BYTES = 640 };

struct plan_curve {
    struct passo_skill skill;
    char words[PLAN_WORDS_BYTES]; /* full sentences */
};

/* Reads "85 % at 72, 40 % at 96". One point: the usual slope through it; two: through both; more:
 * the likeliest curve, each point of the same weight. A tempo without its unit is in `beat`. False
 * after a fault. */
bool plan_curve_read(const char *clean, struct passo_ratio beat, struct plan_curve *out_curve,
                     struct passo_faults *faults);
/* Settles the marks of a log (passo_skill_settle()), later days weighing more. False if the log has
 * no mark of this passage. */
bool plan_curve_fit(const struct passo_past_log *log, struct plan_curve *out_curve);
/* With nothing known: 95 % at the start and 60 % at the target; where these are one tempo, 60 % and
 * the usual slope. */
void plan_curve_assume(int32_t start_mbpm, int32_t target_mbpm, struct passo_ratio beat,
                       struct plan_curve *out_curve);

#endif
