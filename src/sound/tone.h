/* Tones: drones, starting notes and the notes of a passage, read from a table of one period
 * (wave.h) by a phase that is a 64-bit part of a turn and so never drifts. In each layer one tone
 * sounds at a time; what rings out has slots beside it. What is mixed is the same however it is
 * split into blocks. All here but passo_tones_init() runs on the audio thread. */
#ifndef PASSO_SOUND_TONE_H
#define PASSO_SOUND_TONE_H

#include <passo/timeline.h>

#include "sound/wave.h"

/* More than can ever ring at once in a run of notes of which each lasts 5 ms or more: two drones
 * and what they were, and a note with those that ring out within PASSO_NOTE_RELEASE_MS. */
#define PASSO_TONE_SLOTS 12

#define PASSO_TONE_ATTACK_MS  40 /* of a drone */
#define PASSO_TONE_RELEASE_MS 80
#define PASSO_TONE_FADE_MS    5

/* Of a note. What is tongued begins stronger than it goes on: that tells it from a slurred one. Its
 * first frame is 0, the second is heard in a 16-bit file too at PASSO_NOTE_LEVEL. */
#define PASSO_NOTE_ATTACK_MS      8
#define PASSO_NOTE_SLUR_MS        12 /* out of the note before */
#define PASSO_NOTE_SETTLE_MS      90
#define PASSO_NOTE_RELEASE_MS     25
#define PASSO_NOTE_SETTLED        0.7F /* of its beginning */
#define PASSO_NOTE_ACCENT         1.4F /* its beginning, of another note's */
#define PASSO_NOTE_ACCENT_SETTLED 0.8F /* likewise, as it goes on */

struct passo_tone_slot {
    const float *period; /* NULL: the slot is free */
    uint64_t phase;      /* in turns / 2^64, of the frame that comes next */
    uint64_t step;       /* a frame; tells the pitch */
    const float *curve;  /* gain: this rise of the waves leads ... */
    float from;          /* ... from `from` to `to`, ... */
    float to;            /* ... 0: it rings out, and the slot is free at its end */
    uint32_t length;     /* ... in so many frames, ... */
    uint32_t left;       /* ... of which so many are left; 0: the gain is `to` */
    float settled;       /* then it goes on to this gain in PASSO_NOTE_SETTLE_MS; `to`: it stays */
    uint8_t layer;
};

struct passo_tones {
    const struct passo_waves *waves;
    uint32_t rate_hz;
    struct passo_tone_slot slot[PASSO_TONE_SLOTS];
};

/* Empties the slots. The waves stay the caller's and outlive the tones. Thread: control, while
 * nothing renders. */
void passo_tones_init(struct passo_tones *tones, const struct passo_waves *waves, uint32_t rate_hz);
/* Begins a tone with the next mixed frame; what sounds in its layer ends. A SOFT or SLURRED one of
 * a pitch that still sounds there goes on with its phase from the gain that it has. A tone that
 * cannot sound at the rate only ends the other. All slots taken: it does not begin, for nothing
 * ever ends with a step. */
PASSO_REALTIME void passo_tones_start(struct passo_tones *tones, struct passo_tone tone);
/* The tone of the layer ends softly: a drone in PASSO_TONE_RELEASE_MS, a note sooner. */
PASSO_REALTIME void passo_tones_end(struct passo_tones *tones, enum passo_layer layer);
/* The same of all layers. */
PASSO_REALTIME void passo_tones_release(struct passo_tones *tones);
/* All that sounds, what rings out too, ends in PASSO_TONE_FADE_MS at most. */
PASSO_REALTIME void passo_tones_fade(struct passo_tones *tones);
/* Does anything sound? */
PASSO_REALTIME bool passo_tones_sound(const struct passo_tones *tones);
/* Adds the next frames to out; out NULL: only moves on. */
PASSO_REALTIME void passo_tones_mix(struct passo_tones *tones, float *out, size_t frames);

#endif
