/* What is tuned to, moved to another key: a shift in semitones of all that is played. Plain values.
 * Thread: any. */
#ifndef PASSO_SESSION_TUNING_H
#define PASSO_SESSION_TUNING_H

#include <passo/intonation.h>

/* The interval of a shift, spelt so that the key that comes of it has at most six signs. */
struct passo_interval tuning_interval(const struct passo_intonation *intonation, int16_t shift);
/* The intonation in that key: its key, its drone and its starting note are moved. */
struct passo_intonation tuning_moved(const struct passo_intonation *intonation, int16_t shift);

#endif
