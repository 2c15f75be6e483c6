/* The slots of the tones. A slot's gain is computed from the frames that its ramp has left, its
 * phase by one 64-bit addition a frame (which wraps at a full turn), so that a block's borders
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

static float gain_now(const struct passo_tone_slot *slot)
{
    if (!slot->left)
        return slot->to;
    float share = (float)(slot->length - slot->left) / (float)slot->length;
    return slot->from + (slot->to - slot->from) * passo_wave_rise(slot->curve, share);
}

static void lead(const struct passo_tones *tones, struct passo_tone_slot *slot, float to,
                 uint32_t ms)
{
    slot->from = gain_now(slot);
    slot->curve = tones->waves->rise;
    slot->to = to;
    slot->settled = to;
    slot->length = tones->rate_hz * ms / 1000;
    slot->left = slot->length;
}

/* --- beginnings --- */

static struct passo_tone_slot *free_slot(struct passo_tones *tones)
{
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        if (!tones->slot[i].period)
            return &tones->slot[i];
    }
    return NULL;
}

/* The one of this layer and pitch that still sounds, or NULL. */
static struct passo_tone_slot *same_pitch(struct passo_tones *tones, uint8_t layer, uint64_t step)
{
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        struct passo_tone_slot *slot = &tones->slot[i];
        if (slot->period && slot->layer == layer && slot->step == step)
            return slot;
    }
    return NULL;
}

/* What sounds in a layer ends in ms; what rings out does so as it did. */
static void end_layer(struct passo_tones *tones, uint8_t layer, uint32_t ms)
{
    for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
        struct passo_tone_slot *slot = &tones->slot[i];
        if (slot->period && slot->layer == layer && slot->to > 0)
            lead(tones, slot, 0.0F, ms);
    }
}

static uint32_t release_ms(uint8_t layer)
{
    return layer == PASSO_LAYER_NOTE ? PASSO_NOTE_RELEASE_MS : PASSO_TONE_RELEASE_MS;
}

static bool is_tongued(struct passo_tone tone)
{
    return tone.onset == PASSO_ONSET_TONGUED || tone.onset == PASSO_ONSET_ACCENT;
}

static void rise(const struct passo_tones *tones, struct passo_tone_slot *slot,
                 struct passo_tone tone)
{
    switch ((enum passo_onset)tone.onset) {
    case PASSO_ONSET_TONGUED:
        lead(tones, slot, tone.level, PASSO_NOTE_ATTACK_MS);
        slot->curve = tones->waves->tongue;
        slot->settled = tone.level * PASSO_NOTE_SETTLED;
        return;
    case PASSO_ONSET_ACCENT:
        lead(tones, slot, tone.level * PASSO_NOTE_ACCENT, PASSO_NOTE_ATTACK_MS);
        slot->curve = tones->waves->tongue;
        slot->settled = tone.level * PASSO_NOTE_ACCENT_SETTLED;
        return;
    case PASSO_ONSET_SLURRED:
        lead(tones, slot, tone.level * PASSO_NOTE_SETTLED, PASSO_NOTE_SLUR_MS);
        return;
    case PASSO_ONSET_SOFT:
    case PASSO_ONSET_COUNT:
        break;
    }
    lead(tones, slot, tone.level, PASSO_TONE_ATTACK_MS);
}

void passo_tones_start(struct passo_tones *tones, struct passo_tone tone)
{
    const bool slurred = tone.onset == PASSO_ONSET_SLURRED;
    end_layer(tones, tone.layer, slurred ? PASSO_NOTE_SLUR_MS : release_ms(tone.layer));
    int harmonics = passo_wave_harmonics(tone.hz, tones->rate_hz);
    if (!harmonics)
        return;
    uint64_t step = (uint64_t)((double)tone.hz / tones->rate_hz * 0x1p64);
    struct passo_tone_slot *slot = is_tongued(tone) ? NULL : same_pitch(tones, tone.layer, step);
    if (!slot) {
        slot = free_slot(tones);
        if (!slot)
            return;
        *slot = (struct passo_tone_slot){
            .period = tones->waves->period[harmonics - 1],
            .phase = is_tongued(tone) ? tones->waves->crest[harmonics - 1] : 0,
            .step = step,
            .layer = tone.layer,
        };
    }
    rise(tones, slot, tone);
}

/* --- ends --- */

void passo_tones_end(struct passo_tones *tones, enum passo_layer layer)
{
    end_layer(tones, (uint8_t)layer, release_ms((uint8_t)layer));
}

void passo_tones_release(struct passo_tones *tones)
{
    for (int layer = 0; layer < PASSO_LAYER_COUNT; layer++)
        passo_tones_end(tones, (enum passo_layer)layer);
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

/* --- mixing --- */

/* The frames of a ramp, as many as there are of it. */
static size_t add_ramp(struct passo_tone_slot *slot, float *out, size_t frames)
{
    size_t count = frames < slot->left ? frames : slot->left;
    if (!out) {
        slot->phase += slot->step * count;
        slot->left -= (uint32_t)count;
        return count;
    }
    for (size_t i = 0; i < count; i++) {
        out[i] += gain_now(slot) * passo_wave_at(slot->period, slot->phase);
        slot->phase += slot->step;
        slot->left--;
    }
    return count;
}

/* The ramps that lie in these frames: the rise or the end, and then the settling. */
static size_t add_ramps(const struct passo_tones *tones, struct passo_tone_slot *slot, float *out,
                        size_t frames)
{
    size_t done = add_ramp(slot, out, frames);
    if (slot->left || slot->settled >= slot->to)
        return done;
    lead(tones, slot, slot->settled, PASSO_NOTE_SETTLE_MS);
    return done + add_ramp(slot, out ? out + done : NULL, frames - done);
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
        size_t ramps = add_ramps(tones, slot, out, frames);
        if (!slot->left && slot->to <= 0)
            slot->period = NULL;
        else
            add_steady(slot, out ? out + ramps : NULL, frames - ramps);
    }
}
