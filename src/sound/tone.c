/* The slots of the steady tone. A slot's gain is computed from the frames that its ramp has left,
 * its phase by one 64-bit addition a frame (which wraps at a full turn), so that a block's borders
 * leave no trace in it. The step is a double's hz/rate rounded to 2^-64 of a turn: its 53 bits are
 * less than 10^-8 of a turn off after a day. */
#include "sound/tone.h"

#include <string.h>

void passo_tones_init(struct passo_tones *tones, const struct passo_waves *waves, uint32_t rate_hz)
{
    memset(tones, 0, sizeof *tones);
    tones->waves = waves;
    tones->rate_hz = rate_hz;
}

static float gain_now(const struct passo_tones *tones, const struct passo_tone_slot *slot)
{
    if (!slot->left)
        return slot->to;
    float share = (float)slot->left / (float)slot->length;
    return slot->to + (slot->from - slot->to) * passo_wave_rise(tones->waves, share);
}

static void lead(const struct passo_tones *tones, struct passo_tone_slot *slot, float to,
                 uint32_t ms)
{
    slot->from = gain_now(tones, slot);
    slot->to = to;
    slot->length = tones->rate_hz * ms / 1000;
    slot->left = slot->length;
}

static struct passo_tone_slot *slot_of(struct passo_tones *tones, uint64_t step)
{
    struct passo_tone_slot *unused = NULL;
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        struct passo_tone_slot *slot = &tones->slot[i];
        if (!slot->period)
            unused = slot;
        else if (slot->step == step)
            return slot;
    }
    return unused;
}

void passo_tones_start(struct passo_tones *tones, struct passo_tone tone)
{
    passo_tones_release(tones);
    int harmonics = passo_wave_harmonics(tone.hz, tones->rate_hz);
    if (!harmonics)
        return;
    uint64_t step = (uint64_t)((double)tone.hz / tones->rate_hz * 0x1p64);
    struct passo_tone_slot *slot = slot_of(tones, step);
    if (!slot)
        return;
    if (!slot->period)
        *slot =
            (struct passo_tone_slot){.period = tones->waves->period[harmonics - 1], .step = step};
    lead(tones, slot, tone.level, PASSO_TONE_ATTACK_MS);
}

void passo_tones_release(struct passo_tones *tones)
{
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        struct passo_tone_slot *slot = &tones->slot[i];
        if (slot->period && slot->to > 0)
            lead(tones, slot, 0.0F, PASSO_TONE_RELEASE_MS);
    }
}

void passo_tones_fade(struct passo_tones *tones)
{
    uint32_t frames = tones->rate_hz * PASSO_TONE_FADE_MS / 1000;
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        struct passo_tone_slot *slot = &tones->slot[i];
        if (slot->period && (slot->to > 0 || slot->left > frames))
            lead(tones, slot, 0.0F, PASSO_TONE_FADE_MS);
    }
}

bool passo_tones_sound(const struct passo_tones *tones)
{
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        if (tones->slot[i].period)
            return true;
    }
    return false;
}

/* The frames in which the gain moves. */
static size_t add_ramp(const struct passo_tones *tones, struct passo_tone_slot *slot, float *out,
                       size_t frames)
{
    size_t count = frames < slot->left ? frames : slot->left;
    if (!out) {
        slot->phase += slot->step * count;
        slot->left -= (uint32_t)count;
        return count;
    }
    for (size_t i = 0; i < count; i++) {
        out[i] += gain_now(tones, slot) * passo_wave_at(slot->period, slot->phase);
        slot->phase += slot->step;
        slot->left--;
    }
    return count;
}

static void add_steady(struct passo_tone_slot *slot, float *out, size_t frames)
{
    if (out) {
        for (size_t i = 0; i < frames; i++)
            out[i] += slot->to * passo_wave_at(slot->period, slot->phase + slot->step * i);
    }
    slot->phase += slot->step * frames;
}

void passo_tones_mix(struct passo_tones *tones, float *out, size_t frames)
{
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        struct passo_tone_slot *slot = &tones->slot[i];
        if (!slot->period)
            continue;
        size_t ramp = add_ramp(tones, slot, out, frames);
        if (!slot->left && slot->to <= 0)
            slot->period = NULL;
        else
            add_steady(slot, out ? out + ramp : NULL, frames - ramp);
    }
}
