/* What is tuned to, moved to another key. Plain values. Thread: any. */
#ifndef PASSO_SESSION_TUNING_H
#define PASSO_SESSION_TUNING_H

#include <passo/intonation.h>

/* The intonation in that key: its key, its drone and its starting note are moved. */
struct passo_intonation tuning_moved(const struct passo_intonation *intonation,
                                     struct passo_interval by);
/* The key that sounds, as it is usually called: one of more than six signs by its twin, B major and
 * not C-flat major. */
struct passo_key tuning_concert(const struct passo_intonation *intonation);

#endif
