/* The pool of voices: each plays one sample of the kit once, from its first frame to its last.
 * Sixteen sound at full strength; one more makes the oldest fade out and begins on its own frame.
 * All here runs on the audio thread. */
#ifndef PASSO_SOUND_VOICES_H
#define PASSO_SOUND_VOICES_H

#include "sound/kit.h"
#include "sound/ring.h"

#define PASSO_VOICES        16 /* at full strength */
#define PASSO_VOICE_SLOTS   32 /* with those that fade */
#define PASSO_VOICE_FADE_MS 5

struct passo_voice {
    const float *frame; /* NULL: the slot is free */
    size_t frames;
    size_t at;
    uint32_t fade_left; /* > 0: fades, so many frames are left */
    uint64_t serial;    /* age: the lower, the older */
};

struct passo_voices {
    struct passo_voice slot[PASSO_VOICE_SLOTS];
    uint32_t fade_frames;
    uint64_t started;
};

/* Empties the pool. Thread: control, while nothing renders. */
void passo_voices_init(struct passo_voices *voices, uint32_t rate_hz);
/* Begins to play a sample with the next mixed frame. A pool whose fading slots are all taken too
 * (16 thefts within 5 ms) does not play it: nothing ever ends with a step. */
PASSO_REALTIME void passo_voices_start(struct passo_voices *voices,
                                       const struct passo_sample *sample);
/* All that sounds fades out in PASSO_VOICE_FADE_MS. */
PASSO_REALTIME void passo_voices_fade(struct passo_voices *voices);
/* Does anything sound? */
PASSO_REALTIME bool passo_voices_sound(const struct passo_voices *voices);
/* Adds the next frames of all voices to out; out NULL: only moves on. */
PASSO_REALTIME void passo_voices_mix(struct passo_voices *voices, float *out, size_t frames);

#endif
