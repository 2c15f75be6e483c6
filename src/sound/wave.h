/* One period of the steady tone's sound, as tables made once on the control side: one for each
 * number of harmonics, so that none ever lies above the rate's limit; and the curves of its rises.
 *
 * The sound: harmonics 1 to 16 of a fixed gentle spectrum whose fundamental is weak and whose third
 * is the strongest, so that a low brass player's pedal note is heard on a speaker that gives
 * nothing under 200 Hz: the ear finds the fundamental from the others (trade.md, 3(i): add
 * overtones). Notes have it too: spectra with more of the first harmonic were tried for them, and
 * lost up to 1.6 dB more of a low note on such a speaker for no clearer octaves. */
#ifndef PASSO_SOUND_WAVE_H
#define PASSO_SOUND_WAVE_H

#include "sound/ring.h"

#include <stdint.h>

#define PASSO_WAVE_HARMONICS 16
#define PASSO_WAVE_TOP_HZ    5000.0 /* no harmonic above this */
#define PASSO_WAVE_TOP_SHARE 0.45   /* ... nor above this share of the rate */

#define PASSO_WAVE_BITS   11
#define PASSO_WAVE_POINTS (1 << PASSO_WAVE_BITS)
#define PASSO_WAVE_GUARD  3 /* one point before the period and two behind it, for the reading */
#define PASSO_RISE_STEPS  1024

struct passo_waves {
    /* [n - 1]: n harmonics, peak 1. Point i of the period is at [i + 1]. */
    float period[PASSO_WAVE_HARMONICS][PASSO_WAVE_POINTS + PASSO_WAVE_GUARD];
    uint64_t crest[PASSO_WAVE_HARMONICS]; /* a phase at which the period's size is greatest */
    float rise[PASSO_RISE_STEPS + 2];     /* half a raised cosine, 0 to 1; one point more */
    float tongue[PASSO_RISE_STEPS + 2];   /* the same with a beginning that is heard at once */
};

/* Makes the tables. Thread: control. */
void passo_waves_init(struct passo_waves *out_waves);
/* How many harmonics a tone has at a rate: 1 to 16; 0 if its fundamental is no number above 0 or
 * lies above the share of the rate: it cannot sound. A fundamental above the top sounds alone. */
PASSO_REALTIME int passo_wave_harmonics(double hz, uint32_t rate_hz);
/* The period at a phase in turns / 2^64. Between the points a cubic: what the reading adds lies
 * more than 120 dB under the sound. */
PASSO_REALTIME float passo_wave_at(const float *period, uint64_t phase);
/* One of the curves (rise, tongue) at x, 0 to 1: exactly 0 at 0 and 1 at 1. */
PASSO_REALTIME float passo_wave_rise(const float *curve, float x);

#endif
