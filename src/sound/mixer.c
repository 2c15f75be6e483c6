/* Level and limiter. The level's ramp is computed from the frames that are left and the limiter
 * has no memory, so that any split into blocks gives the same samples. */
#include "sound/mixer.h"

#include <math.h>

void passo_level_init(struct passo_level *level, uint32_t rate_hz)
{
    *level = (struct passo_level){
        .from = 1.0F,
        .to = 1.0F,
        .ramp_frames = rate_hz * PASSO_LEVEL_RAMP_MS / 1000,
    };
}

static float gain_now(const struct passo_level *level)
{
    if (!level->left)
        return level->to;
    float share = (float)level->left / (float)level->ramp_frames;
    return level->to + (level->from - level->to) * share;
}

void passo_level_set(struct passo_level *level, float gain, bool sounds)
{
    level->from = gain_now(level);
    level->to = gain;
    level->left = sounds ? level->ramp_frames : 0;
}

float passo_limit(float sample)
{
    float size = fabsf(sample);
    if (size <= PASSO_LIMIT_KNEE)
        return sample;
    /* Above the knee the rest of the way to 1 is a hyperbola that leaves the line with slope 1. */
    const float room = 1.0F - PASSO_LIMIT_KNEE;
    float over = (size - PASSO_LIMIT_KNEE) / room;
    return copysignf(1.0F - room / (1.0F + over), sample);
}

void passo_level_apply(struct passo_level *level, float *out, size_t frames)
{
    size_t ramp = frames < level->left ? frames : level->left;
    for (size_t i = 0; i < ramp; i++) {
        if (out)
            out[i] = passo_limit(out[i] * gain_now(level));
        level->left--;
    }
    if (!out)
        return;
    for (size_t i = ramp; i < frames; i++)
        out[i] = passo_limit(out[i] * level->to);
}
