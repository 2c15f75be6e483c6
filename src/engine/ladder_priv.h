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

/* ladder_check.c */
/* Writes the sentence and returns PASSO_ERR_RANGE. */
enum passo_error ladder_fault(struct ladder_fault *fault, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A number of thousandths (mbpm, ms) without trailing zeros: "84", "88.5", "168.54". Returns out.
 */
const char *ladder_thousandths(int32_t value, char out[LADDER_THOUSANDTHS_BYTES]);
bool ladder_playable(int64_t mbpm);
/* A tempo, a share of 1 to `most` thousandths; `part` is named in the fault. */
enum passo_error ladder_check_tempo(const char *part, int32_t mbpm, struct ladder_fault *fault);
enum passo_error ladder_check_share(const char *part, int32_t permille, int32_t most,
                                    struct ladder_fault *fault);
/* Every part of the rule within its range, and what is then still open settled. */
enum passo_error ladder_check(struct passo_rule *rule, size_t turns, struct ladder_fault *fault);

/* ladder_settle.c: start, target, steps and ceiling within their ranges, and settled what is left
 * open or says nothing: rule->start_mbpm, from a list the target too, and of MIXED and EDGE the
 * parts that are not looked at. */
enum passo_error ladder_settle(struct passo_rule *rule, struct ladder_fault *fault);

/* The start from its share where it is still open; it lies within its range, up to the target. */
enum passo_error ladder_settle_start(struct passo_rule *rule, struct ladder_fault *fault);
/* Each clean round settles a rung, so what wins and drops one elsewhere says nothing. */
void ladder_settle_round(struct passo_rule *rule);

/* 100 %: what shares and points are of. */
int32_t ladder_full_mbpm(const struct passo_rule *rule);

/* ladder_rungs.c: fills rung_mbpm, rungs and edge_step, which are still 0, from a rule that
 * ladder_check() has settled. */
enum passo_error ladder_rungs(struct passo_ladder *ladder, struct ladder_fault *fault);

/* ladder_opening.c */
/* The tempo at which a share of the past lets the climb open; without one the start. */
int32_t ladder_opening_mbpm(const struct passo_rule *rule);
/* Whether the steps go on from that tempo, or the rule keeps its own rungs. */
bool ladder_goes_on(const struct passo_rule *rule);
/* Fills opening and highest of a ladder that has its rungs. */
void ladder_open(struct passo_ladder *ladder);

/* Whether this ended the stage in a way that leads on to the next. */
bool ladder_stage_is_over(const struct passo_ladder_state *state);
/* A pass of the climbing, or its anchor, is to come: a hand may move it. */
bool ladder_is_climbing(const struct passo_ladder_state *state);
/* Whether a pass was played where the ladder now stands. */
bool ladder_is_here(const struct passo_ladder_state *state, const struct passo_ladder_event *event);

/* ladder_climb.c */
void ladder_decide(struct passo_decision *decision, enum passo_move move, enum passo_reason reason);
/* Counts a mark of the climbing, wherever it leads. */
void ladder_count(struct passo_ladder_state *state, bool clean);
/* Works in a counted mark of the climbing. */
void ladder_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                  const struct passo_ladder_event *event, bool clean,
                  struct passo_decision *decision);
/* Cleans and misses in a row, the window and the coins; misses here are kept (2). */
void ladder_clear_turn(struct passo_ladder_state *state);
/* After a move: all counters, and the round from its first turn; under `whole climb` the turn
 * stays (2). */
void ladder_clear_rung(const struct passo_ladder *ladder, struct passo_ladder_state *state);

/* ladder_mixed.c: tempos in drawn order. */
/* The rung of the first pass. */
void ladder_mixed_begin(const struct passo_ladder *ladder, struct passo_ladder_state *state);
void ladder_mixed_put_away(struct passo_ladder_state *state);
/* Whether no rung up to the ceiling is left. */
bool ladder_mixed_all_away(const struct passo_ladder *ladder,
                           const struct passo_ladder_state *state);
/* After a clean round or a miss: the next rung. */
void ladder_mixed_move(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                       bool clean, struct passo_decision *decision);
/* The nearest rung above or below that is still in; the rung itself if there is none. */
uint16_t ladder_mixed_by_hand(const struct passo_ladder *ladder,
                              const struct passo_ladder_state *state, bool harder);

/* ladder_edge.c: the search for the edge. */
/* Fills rungs below the target and edge_step; false when there is no more room. */
bool ladder_edge_rungs(struct passo_ladder *ladder);
/* A clean round or a miss. */
void ladder_edge_note(struct passo_ladder_state *state, bool clean);
bool ladder_edge_found(const struct passo_ladder *ladder, const struct passo_ladder_state *state);
void ladder_edge_move(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      struct passo_decision *decision);
/* A rung up or down, but between the highest clean and the lowest miss. */
uint16_t ladder_edge_by_hand(const struct passo_ladder *ladder,
                             const struct passo_ladder_state *state, bool harder);

/* ladder_stops.c: what ends the climbing, and what comes after it. */
/* One more by hand, if there is a limit that it puts off. */
void ladder_extend(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                   struct passo_decision *decision);
/* Whether one of the climb's own limits, or tiredness, is reached. */
bool ladder_is_up(const struct passo_rule *rule, const struct passo_ladder_state *state,
                  const struct passo_ladder_event *event);
/* Whether over and close are to be skipped, because a limit of climb or stage is reached. */
bool ladder_skips(const struct passo_rule *rule, const struct passo_ladder_state *state,
                  const struct passo_ladder_event *event);
/* The stops by rank (9); today: what the moves come to, PLATEAU, EDGE or OPEN. True when one of
 * them ended the climbing. */
bool ladder_stop(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, enum passo_outcome today,
                 struct passo_decision *decision);
/* The time alone, after a pass that does not count. */
bool ladder_stop_time(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      const struct passo_ladder_event *event, struct passo_decision *decision);
/* On to the passes in context, those put away slowly, or the end. */
void ladder_finish(const struct passo_ladder *ladder, struct passo_ladder_state *state);
/* What of the finish is left to play. */
void ladder_finish_on(struct passo_ladder_state *state);
/* Past the target: over, else close, else the finish; what is played already is skipped. */
void ladder_past_target(const struct passo_ladder *ladder, struct passo_ladder_state *state);

/* ladder_around.c: works in a pass that never moves the ladder (11). */
void ladder_around(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                   const struct passo_ladder_event *event, enum passo_mark mark,
                   struct passo_decision *decision);

/* ladder_once.c: a check and a block. */
/* Start and target within their ranges, the start settled, and what says nothing silenced. */
enum passo_error ladder_once_settle(struct passo_rule *rule, struct ladder_fault *fault);
/* Works a pass in. */
void ladder_once(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, struct passo_decision *decision);

#endif
