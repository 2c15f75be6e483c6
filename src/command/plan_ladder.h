/* What a plan says of its ladders: rungs, turns, times, chances. Thread: the main thread. */
#ifndef PASSO_COMMAND_PLAN_LADDER_H
#define PASSO_COMMAND_PLAN_LADDER_H

#include "command/plan_forecast.h"

/* The stages as they come if every pass is clean. */
struct plan_stages {
    size_t stages;
    struct passo_ladder *ladder[PASSO_STAGES_MAX]; /* NULL: not come to */
    uint32_t passes;
    int64_t total_ms; /* with count-ins, rests and what is heard, from the first sound on */
    int64_t played_ms;
    enum passo_outcome outcome;
    bool ceiling; /* the teacher's ceiling is won, under the target; counted up to there */
};

/* Plays the course, every pass clean. Free with plan_stages_deinit(). */
void plan_stages_play(const struct passo_setup *setup, struct plan_stages *out_stages);
void plan_stages_deinit(struct plan_stages *stages);

/* Prints the head, what earlier days say of the opening ("" nothing), each stage's rungs and turns,
 * and how long it takes if every pass is clean. */
void plan_stages_print(const struct passo_setup *setup, const char *opening,
                       const struct plan_stages *stages);
/* Prints for each stage's rungs the chance of a clean pass and how often climbs end there. */
void plan_chart_print(const struct passo_setup *setup, const struct plan_stages *stages,
                      const struct passo_skill *skill, const struct plan_outlook *outlook);

#endif
