/* What the files of the ladder share. Not for other rooms. */
#ifndef PASSO_ENGINE_LADDER_PRIV_H
#define PASSO_ENGINE_LADDER_PRIV_H

#include <passo/ladder.h>

#define LADDER_THOUSANDTHS_BYTES 16

/* Where the first fault of a rule is put into words. */
struct ladder_fault {
    char *text; /* may be NULL */
    size_t bytes;
};

/* Writes the sentence and returns PASSO_ERR_RANGE. */
enum passo_error ladder_fault(struct ladder_fault *fault, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A number of thousandths (mbpm, ms) without trailing zeros: "84", "88.5", "168.54". Returns out.
 */
const char *ladder_thousandths(int32_t value, char out[LADDER_THOUSANDTHS_BYTES]);

/* ladder_check.c: every part of the rule within its range; and what is then still open settled:
 * rule->start_mbpm and, from a list, rule->target_mbpm. */
enum passo_error ladder_check(struct passo_rule *rule, size_t turns, struct ladder_fault *fault);
/* ladder_rungs.c: fills rung_mbpm and rungs, which are still 0, from a rule that ladder_check()
 * has settled. */
enum passo_error ladder_rungs(struct passo_ladder *ladder, struct ladder_fault *fault);

/* ladder_climb.c: works in a counted mark of the climbing. */
void ladder_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                  const struct passo_ladder_event *event, bool clean,
                  struct passo_decision *decision);
/* Cleans and misses in a row and the window; misses here are kept (2). */
void ladder_clear_turn(struct passo_ladder_state *state);
/* After a move: all counters, and the round from its first turn; under `whole climb` the turn
 * stays (2). */
void ladder_clear_rung(const struct passo_ladder *ladder, struct passo_ladder_state *state);
/* On to the passes in context, or the end. */
void ladder_finish(const struct passo_ladder *ladder, struct passo_ladder_state *state);
/* Past the target: over, else close, else the finish; what is played already is skipped. */
void ladder_past_target(const struct passo_ladder *ladder, struct passo_ladder_state *state);
bool ladder_time_up(const struct passo_rule *rule, const struct passo_ladder_event *event);

#endif
