/* The end of the mixer: output level and soft limiter. All here runs on the audio thread. */
#ifndef PASSO_SOUND_MIXER_H
#define PASSO_SOUND_MIXER_H

#include "sound/ring.h"

#include <stdint.h>

#define PASSO_LEVEL_RAMP_MS 10
#define PASSO_LIMIT_KNEE    0.8F /* up to here the limiter leaves a sample exactly as it is */

struct passo_level {
    float from;
    float to;
    uint32_t ramp_frames;
    uint32_t left; /* frames until `to` is reached */
};

/* Full level. Thread: control, while nothing renders. */
void passo_level_init(struct passo_level *level, uint32_t rate_hz);
/* A new level, 0 to 1, reached on a straight line; at once if nothing sounds. */
PASSO_REALTIME void passo_level_set(struct passo_level *level, float gain, bool sounds);
/* Applies level and limiter to the frames; out NULL: only moves on. */
PASSO_REALTIME void passo_level_apply(struct passo_level *level, float *out, size_t frames);
/* The soft limiter: no memory, odd, rising; the sample itself up to the knee, never beyond 1. */
PASSO_REALTIME float passo_limit(float sample);

#endif
