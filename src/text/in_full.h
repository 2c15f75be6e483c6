/* Values with their defaults said. Inside src/text/ only. Thread: any but the audio thread. */
#ifndef PASSO_TEXT_IN_FULL_H
#define PASSO_TEXT_IN_FULL_H

#include "text/setup.h"

/* The line's value, with what it leaves to a default said: "chain = halves" overlaps by 1 beat, a
 * fermata is x 2 and has 1 beat of preparation, a breath is 1 beat. Free with free(). */
char *in_full(const struct passo_line *line);

#endif
