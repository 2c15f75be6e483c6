/* The steady tone: a drone under a pass, read from a table of one period (wave.h) by a phase that
 * is a 64-bit part of a turn and so never drifts. One tone sounds at a time; others that ring out
 * have slots beside it. What is mixed is the same however it is split into blocks. All here but
 * passo_tones_init() runs on the audio thread. */
#ifndef PASSO_SOUND_TONE_H
#define PASSO_SOUND_TONE_H

#include <passo/timeline.h>

#include "sound/wave.h"

#define PASSO_TONE_SLOTS      4
#define PASSO_TONE_ATTACK_MS  40
#define PASSO_TONE_RELEASE_MS 80
#define PASSO_TONE_FADE_MS    5

struct passo_tone_slot {
    const float *period; /* NULL: the slot is free */
    uint64_t phase;      /* in turns / 2^64, of the frame that comes next */
    uint64_t step;       /* a frame; tells the pitch */
    float from;          /* gain: half a raised cosine leads from `from` to `to`, ... */
    float to;            /* ... 0: it rings out, and the slot is free at its end */
    uint32_t length;     /* ... in so many frames, ... */
    uint32_t left;       /* ... of which so many are left; 0: the gain is `to` */
};

struct passo_tones {
    const struct passo_waves *waves;
    uint32_t rate_hz;
    struct passo_tone_slot slot[PASSO_TONE_SLOTS];
};

/* Empties the slots. The waves stay the caller's and outlive the tones. Thread: control, while
 * nothing renders. */
void passo_tones_init(struct passo_tones *tones, const struct passo_waves *waves, uint32_t rate_hz);
/* Begins a tone with the next mixed frame. One of the same pitch that still sounds goes on with its
 * phase from the gain that it has; any other rings out meanwhile. A tone that cannot sound at the
 * rate only ends the others. All slots taken (a fourth pitch within 80 ms): it does not begin, for
 * nothing ever ends with a step. */
PASSO_REALTIME void passo_tones_start(struct passo_tones *tones, struct passo_tone tone);
/* The tone ends softly, in PASSO_TONE_RELEASE_MS. */
PASSO_REALTIME void passo_tones_release(struct passo_tones *tones);
/* All that sounds, what rings out too, ends in PASSO_TONE_FADE_MS at most. */
PASSO_REALTIME void passo_tones_fade(struct passo_tones *tones);
/* Does anything sound? */
PASSO_REALTIME bool passo_tones_sound(const struct passo_tones *tones);
/* Adds the next frames to out; out NULL: only moves on. */
PASSO_REALTIME void passo_tones_mix(struct passo_tones *tones, float *out, size_t frames);

#endif
