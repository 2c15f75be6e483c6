/* What the engine's own files share about places. Thread: any; nothing allocates. */
#ifndef PASSO_ENGINE_PASSAGE_PRIV_H
#define PASSO_ENGINE_PASSAGE_PRIV_H

#include <passo/passage.h>

/* The same place, written as an offset under its bar's length. */
struct passo_place passage_settled(const struct passo_passage *passage, struct passo_place place);
/* -1, 0 or 1 as a lies before, at or after b; both settled. */
int passage_place_cmp(struct passo_place a, struct passo_place b);
/* Within reach of the passage, inside its bar, and not too fine to be timed. */
bool passage_place_is_valid(const struct passo_passage *passage, struct passo_place place);
/* The written changes, as passo_passage_complete() wants them; loop[0] has been set. */
bool passage_writtens_are_valid(const struct passo_passage *passage);

#endif
