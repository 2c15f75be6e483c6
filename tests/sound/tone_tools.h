/* What the tests of the tone share: the slots by themselves and how steep their sound is. Sounds
 * are far under the limiter's knee. */
#ifndef PASSO_TEST_TONE_TOOLS_H
#define PASSO_TEST_TONE_TOOLS_H

#include "help.h"

#include "sound/tone.h"

#include <math.h>

#define RATE_HZ 48000
#define ATTACK  1920 /* 40 ms */
#define RELEASE 3840 /* 80 ms */
#define FADE    240  /* 5 ms */
#define FRAMES  48000
#define LOW_HZ  58.27047F
#define HIGH_HZ 87.30706F
#define LEVEL   0.25F
#define PI      3.14159265358979323846F

static struct passo_waves waves;
static float whole[FRAMES];
static float split[FRAMES];

static inline struct passo_tones quiet(void)
{
    struct passo_tones tones;
    passo_tones_init(&tones, &waves, RATE_HZ);
    return tones;
}

static inline void start(struct passo_tones *tones, float hz)
{
    passo_tones_start(tones, (struct passo_tone){.hz = hz, .level = LEVEL});
}

/* Mixes into cleared frames and returns where they end. */
static inline float *mix(struct passo_tones *tones, float *out, size_t frames)
{
    memset(out, 0, frames * sizeof *out);
    passo_tones_mix(tones, out, frames);
    return out + frames;
}

static inline float steepest(const float *out, size_t frames)
{
    float most = 0;
    for (size_t i = 1; i < frames; i++)
        most = fmaxf(most, fabsf(out[i] - out[i - 1]));
    return most;
}

/* The steepest that the steady tone of a pitch is by itself. */
static inline float slope_of(float hz)
{
    static float steady[RATE_HZ / 4];
    struct passo_tones tones = quiet();
    start(&tones, hz);
    passo_tones_mix(&tones, NULL, ATTACK);
    mix(&tones, steady, RATE_HZ / 4);
    return steepest(steady, RATE_HZ / 4);
}

/* The steepest frame of a raised cosine of so many frames, over the full level. */
static inline float ramp_slope(int frames)
{
    return LEVEL * PI / 2 / (float)frames;
}

static inline int make_waves(void **state)
{
    (void)state;
    passo_waves_init(&waves);
    return 0;
}

#endif
