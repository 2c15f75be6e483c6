/* How loud a click set is, by ITU-R BS.1770 (libebur128), and what brings it to the loudness of
 * another. Private to the room. Thread: control.
 *
 * A click is shorter than the 400 ms of the measure's blocks, so the set is measured as it is
 * heard: two bars of four at 120 beats per minute, bar and beat clicks alone, one channel. */
#ifndef PASSO_OUTPUT_LOUDNESS_H
#define PASSO_OUTPUT_LOUDNESS_H

#include "sound/kit.h"

#define LOUDNESS_GAIN_MOST_DB 20.0 /* up or down */
#define LOUDNESS_PEAK_MOST    0.9F

/* Gated loudness of one channel, in LUFS; -HUGE_VAL if all lies under the gate of -70, if there are
 * less than 400 ms, or if the rate is under 4 kHz, where the measure's own filter has no room. */
double passo_loudness_lufs(const float *frame, size_t frames, uint32_t rate_hz);
/* The same of two bars of the set. */
double passo_loudness_of_set(const struct passo_sample click[PASSO_CLICK_COUNT_OF],
                             uint32_t rate_hz);
/* The gain that gives `set` the loudness of `other`, by LOUDNESS_GAIN_MOST_DB up or down at most. A
 * set that is too soft to be measured is raised by that; where `other` cannot be measured it is 1.
 * Whichever it is, it is lowered so that no click of the set comes to peak over LOUDNESS_PEAK_MOST.
 */
float passo_loudness_gain(const struct passo_sample set[PASSO_CLICK_COUNT_OF],
                          const struct passo_sample other[PASSO_CLICK_COUNT_OF], uint32_t rate_hz);

#endif
