/* What the tests of the notes of a pass share: one line of notes, written by the eighth, and the
 * pass that plays it at quarter = 120. */
#ifndef PASSO_TESTS_MELODY_TOOLS_H
#define PASSO_TESTS_MELODY_TOOLS_H

#include "time_tools.h"

#define RATE_HZ 48000
#define QUARTER 24000

static const struct passo_instant zero = {0, 0};
static const struct passo_pulse one_bar = {.count_in_bars = 1};

static struct passo_notes notes;
static struct passo_melody melody;

/* A note on C 4, so many eighths from the first bar line on. */
static inline void note(int64_t at_eighths, int64_t eighths, uint8_t marks)
{
    notes.note[notes.notes++] = (struct passo_note){.at = ratio(at_eighths, 8),
                                                    .length = ratio(eighths, 8),
                                                    .pitch = passo_pitch_of(0, 0, 4),
                                                    .marks = marks};
}

static inline struct passo_pass_shape shape_of(const struct passo_passage *passage)
{
    melody = (struct passo_melody){.notes = &notes};
    return (struct passo_pass_shape){.passage = passage,
                                     .loop = &passage->loop[0],
                                     .pulse = &one_bar,
                                     .mbpm = 120000,
                                     .melody = &melody};
}

static inline bool is_tone(const struct passo_event *event)
{
    return event->kind == PASSO_EVENT_TONE_ON || event->kind == PASSO_EVENT_TONE_OFF;
}

#endif
