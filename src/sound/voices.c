/* The pool of voices. A slot is free, plays, or fades; a fade is a straight line to 0 whose gain is
 * computed from the frames that are left, so that a block's borders leave no trace in it. */
#include "sound/voices.h"

#include <string.h>

void passo_voices_init(struct passo_voices *voices, uint32_t rate_hz)
{
    memset(voices, 0, sizeof *voices);
    voices->fade_frames = rate_hz * PASSO_VOICE_FADE_MS / 1000;
}

/* At PASSO_VOICES full-strength voices the oldest of them begins to fade. */
static void make_room(struct passo_voices *voices)
{
    struct passo_voice *oldest = NULL;
    int full = 0;
    for (size_t i = 0; i < PASSO_VOICE_SLOTS; i++) {
        struct passo_voice *voice = &voices->slot[i];
        if (!voice->frame || voice->fade_left)
            continue;
        full++;
        if (!oldest || voice->serial < oldest->serial)
            oldest = voice;
    }
    if (full == PASSO_VOICES)
        oldest->fade_left = voices->fade_frames;
}

static struct passo_voice *free_slot(struct passo_voices *voices)
{
    for (size_t i = 0; i < PASSO_VOICE_SLOTS; i++) {
        if (!voices->slot[i].frame)
            return &voices->slot[i];
    }
    return NULL;
}

void passo_voices_start(struct passo_voices *voices, const struct passo_sample *sample)
{
    struct passo_voice *voice = free_slot(voices);
    if (!voice || !sample->frames)
        return;
    make_room(voices);
    *voice = (struct passo_voice){
        .frame = sample->frame,
        .frames = sample->frames,
        .serial = voices->started++,
    };
}

void passo_voices_fade(struct passo_voices *voices)
{
    for (size_t i = 0; i < PASSO_VOICE_SLOTS; i++) {
        struct passo_voice *voice = &voices->slot[i];
        if (voice->frame && !voice->fade_left)
            voice->fade_left = voices->fade_frames;
    }
}

bool passo_voices_sound(const struct passo_voices *voices)
{
    for (size_t i = 0; i < PASSO_VOICE_SLOTS; i++) {
        if (voices->slot[i].frame)
            return true;
    }
    return false;
}

static void add(const struct passo_voice *voice, float *out, size_t frames)
{
    const float *from = voice->frame + voice->at;
    for (size_t i = 0; i < frames; i++)
        out[i] += from[i];
}

static void add_fading(const struct passo_voice *voice, float *out, size_t frames, float slope)
{
    const float *from = voice->frame + voice->at;
    for (size_t i = 0; i < frames; i++)
        out[i] += from[i] * ((float)(voice->fade_left - i) * slope);
}

/* One voice's next frames, as many as it still has. */
static void play(struct passo_voice *voice, float *out, size_t frames, float slope)
{
    size_t left = voice->frames - voice->at;
    if (voice->fade_left && voice->fade_left < left)
        left = voice->fade_left;
    size_t count = frames < left ? frames : left;
    if (out && voice->fade_left)
        add_fading(voice, out, count, slope);
    else if (out)
        add(voice, out, count);
    voice->at += count;
    if (voice->fade_left)
        voice->fade_left -= (uint32_t)count;
    if (count == left)
        voice->frame = NULL;
}

void passo_voices_mix(struct passo_voices *voices, float *out, size_t frames)
{
    float slope = 1.0F / (float)(voices->fade_frames + 1);
    for (size_t i = 0; i < PASSO_VOICE_SLOTS; i++) {
        if (voices->slot[i].frame)
            play(&voices->slot[i], out, frames, slope);
    }
}
