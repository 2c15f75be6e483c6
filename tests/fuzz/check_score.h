/* What the targets of the score's readers share. */
#ifndef PASSO_TESTS_CHECK_SCORE_H
#define PASSO_TESTS_CHECK_SCORE_H

#include "fuzz.h"

#include "score/score.h"

/* How it is read: drawn. */
void fuzz_score_ask(struct passo_random *random, struct passo_score_ask *out_ask);
/* What is read keeps its promises: bars follow one another, notes are in order and none is over
 * another, texts are clean. Laid over a passage and written as ABC it reads back to the same notes.
 */
void fuzz_check_score(const struct passo_score *score, struct passo_random *random);
/* What is not read is one sentence, with nothing left behind. */
void fuzz_check_score_fault(const struct passo_score *score, const char *fault);

#endif
