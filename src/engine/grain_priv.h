/* Ratios to a grain of 2^-28, the finest length that passo_tempo_frame() takes. Where written
 * tempos make a result finer, it is rounded to the nearest grain, half up; what fits stays exact.
 * Operands have denominators of at most 2^28 and values under 2^24, so no product overflows 128
 * bits and nothing that passo_passage_complete() accepts can stop the program. Thread: any. */
#ifndef PASSO_ENGINE_GRAIN_PRIV_H
#define PASSO_ENGINE_GRAIN_PRIV_H

#include <passo/ratio.h>

struct passo_ratio grain_add(struct passo_ratio a, struct passo_ratio b);
struct passo_ratio grain_sub(struct passo_ratio a, struct passo_ratio b);
struct passo_ratio grain_mul(struct passo_ratio a, struct passo_ratio b);
/* b must not be 0. */
struct passo_ratio grain_div(struct passo_ratio a, struct passo_ratio b);
/* length * times / share, rounded once: length under 2^20, times and share as written changes have
 * them (1/16 to 16). */
struct passo_ratio grain_scale(struct passo_ratio length, struct passo_ratio times,
                               struct passo_ratio share);
/* The nearest grain. */
struct passo_ratio grain_nearest(long double whole_notes);

#endif
