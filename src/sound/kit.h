/* A kit: the sounds of the pulse and of the cues as mono float samples at one rate. Built-in ones
 * are synthesized here from recipes (short band-limited bursts); output/samples.h replaces them
 * by a player's own files. Thread: control; the audio thread only reads a finished kit. */
#ifndef PASSO_SOUND_KIT_H
#define PASSO_SOUND_KIT_H

#include <passo/error.h>
#include <passo/meter.h>
#include <stddef.h>
#include <stdint.h>

/* Sounds beyond the six clicks. All soft. */
enum passo_cue {
    PASSO_CUE_TICK,    /* a mark was taken */
    PASSO_CUE_RAISED,  /* two notes up */
    PASSO_CUE_DROPPED, /* two notes down */
    PASSO_CUE_AGAIN,   /* one note */
    PASSO_CUE_WON,     /* three notes */
    PASSO_CUE_CONTEXT, /* own signal: the run in context comes */
    PASSO_CUE_TIME,    /* own signal: time is nearly up */
    PASSO_CUE_BREATHE, /* 3 s before the count-in: horn up, breathe */
    PASSO_CUE_COUNT
};

#define PASSO_SOUNDS (PASSO_CLICK_COUNT_OF + PASSO_CUE_COUNT)

struct passo_sample {
    float *frame;
    size_t frames;
};

struct passo_kit {
    uint32_t rate_hz;
    struct passo_sample click[PASSO_CLICK_COUNT_OF];
    struct passo_sample cue[PASSO_CUE_COUNT];
};

/* The built-in recipes ("families" of timbre): the shipped click sets are made from them. */
enum passo_timbre { PASSO_TIMBRE_RIM, PASSO_TIMBRE_WOOD, PASSO_TIMBRE_BELL, PASSO_TIMBRE_COUNT };

/* Lower-case word of a timbre ("rim"), and of a click as in a set's file names ("bar", "group",
 * "beat", "sub", "count-bar", "count"). Static. */
const char *passo_timbre_name(enum passo_timbre timbre);
const char *passo_click_name(enum passo_click click);
const char *passo_cue_name(enum passo_cue cue);

/* Synthesizes every sound of the kit. The timbres are equally loud; the loudest click peaks at 0.7
 * of full scale at most; the first frame of each is clearly not 0 (an onset is exact to the frame);
 * all ends at 0. */
void passo_kit_init(struct passo_kit *kit, enum passo_timbre timbre, uint32_t rate_hz);
void passo_kit_deinit(struct passo_kit *kit);

#endif
