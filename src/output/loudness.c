/* Loudness of click sets. The K-weighting, the blocks and the gates are libebur128's. */
#include "output/loudness.h"

#include <ebur128.h>
#include <math.h>
#include <stdlib.h>

#define RATE_LEAST_HZ 4000
#define CLICKS        8 /* two bars of four */
#define BAR_CLICKS    4

double passo_loudness_lufs(const float *frame, size_t frames, uint32_t rate_hz)
{
    if (rate_hz < RATE_LEAST_HZ)
        return -HUGE_VAL;
    ebur128_state *state = ebur128_init(1, rate_hz, EBUR128_MODE_I);
    if (!state)
        passo_out_of_memory();
    double lufs = -HUGE_VAL;
    if (ebur128_add_frames_float(state, frame, frames) != EBUR128_SUCCESS ||
        ebur128_loudness_global(state, &lufs) != EBUR128_SUCCESS)
        lufs = -HUGE_VAL;
    ebur128_destroy(&state);
    return lufs;
}

double passo_loudness_of_set(const struct passo_sample click[PASSO_CLICK_COUNT_OF],
                             uint32_t rate_hz)
{
    size_t beat_frames = rate_hz / 2;
    size_t frames = CLICKS * beat_frames;
    float *mix = passo_xcalloc(frames, sizeof *mix);
    for (size_t i = 0; i < CLICKS; i++) {
        const struct passo_sample *one =
            &click[i % BAR_CLICKS ? PASSO_CLICK_BEAT : PASSO_CLICK_BAR];
        size_t at = i * beat_frames;
        for (size_t k = 0; k < one->frames && at + k < frames; k++)
            mix[at + k] += one->frame[k];
    }
    double lufs = passo_loudness_lufs(mix, frames, rate_hz);
    free(mix);
    return lufs;
}

static float highest_of(const struct passo_sample set[PASSO_CLICK_COUNT_OF])
{
    float highest = 0;
    for (size_t i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        for (size_t k = 0; k < set[i].frames; k++)
            highest = fmaxf(highest, fabsf(set[i].frame[k]));
    }
    return highest;
}

float passo_loudness_gain(const struct passo_sample set[PASSO_CLICK_COUNT_OF],
                          const struct passo_sample other[PASSO_CLICK_COUNT_OF], uint32_t rate_hz)
{
    double wanted = passo_loudness_of_set(other, rate_hz);
    double db = isfinite(wanted) ? wanted - passo_loudness_of_set(set, rate_hz) : 0.0;
    if (db > LOUDNESS_GAIN_MOST_DB) /* also of a set that lies under the gate */
        db = LOUDNESS_GAIN_MOST_DB;
    if (db < -LOUDNESS_GAIN_MOST_DB)
        db = -LOUDNESS_GAIN_MOST_DB;
    float gain = (float)pow(10.0, db / 20.0);
    float bound = LOUDNESS_PEAK_MOST / highest_of(set);
    return gain < bound ? gain : bound;
}
