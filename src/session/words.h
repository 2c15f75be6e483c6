/* The sentences of a climb: what is played, what comes next, what a mark did and why. UTF-8, no
 * control characters, each returns out. Thread: the main thread. */
#ifndef PASSO_SESSION_WORDS_H
#define PASSO_SESSION_WORDS_H

#include <passo/course.h>
#include "session/view.h"

/* "33-36", "36", "2.3-4.1", "4.1" (bar.beat, the named beats included). */
const char *passo_words_bars(const struct passo_passage *passage, const struct passo_loop *loop,
                             char *out, size_t bytes);
/* A length that is climbed: "the last 3 beats", "the whole passage". */
const char *passo_words_length(const struct passo_loop *loop, char *out, size_t bytes);
/* "bars 33-36 · octave down", "bars 29-40 · in context, as written". */
const char *passo_words_what(const struct passo_passage *passage, const struct passo_plan *plan,
                             char *out, size_t bytes);
/* "stage 2 of 4, second half"; "" of a climb with one stage. */
const char *passo_words_stage(const struct passo_course *course, uint8_t stage, char *out,
                              size_t bytes);
/* The whole of a pass: "quarter = 92 · bars 35-36 · second half · stage 2 of 4". */
const char *passo_words_pass(const struct passo_course *course, const struct passo_passage *passage,
                             const struct passo_plan *plan, char *out, size_t bytes);
/* The ladder of the stage that it stands in: "from quarter = 84 to quarter = 132 in 7 rungs", "at
 * quarter = 120, from the last beat to the whole passage in 6 lengths". */
const char *passo_words_ladder(const struct passo_course *course,
                               const struct passo_passage *passage,
                               const struct passo_course_state *state, char *out, size_t bytes);
/* The climb that begins: "from quarter = 84 to quarter = 132 in 7 rungs", "4 stages: first half,
 * ..." */
const char *passo_words_climb(const struct passo_course *course,
                              const struct passo_passage *passage,
                              const struct passo_course_state *state, char *out, size_t bytes);
/* "Raised to quarter = 92: 2 clean in a row." state: after the decision. */
const char *passo_words_move(const struct passo_course *course, const struct passo_passage *passage,
                             const struct passo_course_state *state, enum passo_part part,
                             const struct passo_decision *decision, char *out, size_t bytes);
/* "1 of 2 clean in a row", "2 of 3 clean in last 4", "3 of 5 coins across", "5 of 8 tempi put
 * away", "edge between 96 and 112", "2 more clean to close"; "" where nothing is counted. */
const char *passo_words_count(const struct passo_ladder *ladder,
                              const struct passo_ladder_state *state, char *out, size_t bytes);
/* Clean passes that count now toward the raise rule, and how many it needs. */
uint8_t passo_cleans_now(const struct passo_ladder *ladder, const struct passo_ladder_state *state);
/* The climb's result: "Won: quarter = 132 after 20 passes." */
const char *passo_words_result(const struct passo_course *course,
                               const struct passo_passage *passage,
                               const struct passo_course_state *state, uint32_t passes,
                               bool marks_ran_out, char *out, size_t bytes);

#endif
