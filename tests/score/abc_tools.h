/* Reading ABC in a test, and what comes of it as a line of text that one can compare. */
#ifndef PASSO_TESTS_ABC_TOOLS_H
#define PASSO_TESTS_ABC_TOOLS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "score/score.h"

#define FAULT_BYTES 512
#define ALL_BYTES   8192

static inline struct passo_meter meter_of(int count, int unit)
{
    struct passo_meter meter;
    assert_int_equal(passo_meter_init(&meter, count, unit), PASSO_OK);
    return meter;
}

static inline struct passo_score_ask plain_ask(void)
{
    return (struct passo_score_ask){.part = "", .meter = meter_of(4, 4)};
}

/* Reads it, in C major and 4/4 where it says nothing else; it must be fit to read. */
static inline void read_good(const char *text, struct passo_score *score)
{
    const struct passo_score_ask ask = plain_ask();
    char fault[FAULT_BYTES];
    if (passo_abc_read(text, strlen(text), &ask, score, fault, sizeof fault) != PASSO_OK)
        fail_msg("%s: %s", text, fault);
}

static inline size_t add_text(char *out, size_t used, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static inline size_t add_text(char *out, size_t used, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    const int count = vsnprintf(out + used, ALL_BYTES - used, format, values);
    va_end(values);
    assert_in_range(count, 0, ALL_BYTES - used - 1);
    return used + (size_t)count;
}

/* "60@0+1/8 62@1/8+1/8s": MIDI number, place, length, and marks: s slur, . staccato, - tenuto,
 * > accent. */
static inline const char *notes_text(const struct passo_note *note, size_t notes,
                                     char out[ALL_BYTES])
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < notes; i++, note++) {
        used = add_text(out, used, "%s%d@%lld", i ? " " : "", passo_pitch_midi(note->pitch),
                        (long long)note->at.num);
        if (note->at.den != 1)
            used = add_text(out, used, "/%lld", (long long)note->at.den);
        used = add_text(out, used, "+%lld", (long long)note->length.num);
        if (note->length.den != 1)
            used = add_text(out, used, "/%lld", (long long)note->length.den);
        used = add_text(out, used, "%s%s%s%s", note->marks & PASSO_NOTE_SLUR ? "s" : "",
                        note->marks & PASSO_NOTE_STACCATO ? "." : "",
                        note->marks & PASSO_NOTE_TENUTO ? "-" : "",
                        note->marks & PASSO_NOTE_ACCENT ? ">" : "");
    }
    return out;
}

/* "0p:1/4 1:1 2:3/4": numbers and lengths of the bars, p a pickup. */
static inline const char *bars_text(const struct passo_score *score, char out[ALL_BYTES])
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < score->bars; i++) {
        const struct passo_score_bar *bar = &score->bar[i];
        used = add_text(out, used, "%s%d%s:%lld", i ? " " : "", bar->number, bar->pickup ? "p" : "",
                        (long long)bar->length.num);
        if (bar->length.den != 1)
            used = add_text(out, used, "/%lld", (long long)bar->length.den);
    }
    return out;
}

#endif
