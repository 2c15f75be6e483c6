/* Scores as short texts, for the tests of their readers:
 * notes "Bb4@1/4+1/8.~ ..." (place, length; . staccato, _ tenuto, > accent, ~ slur to the next),
 * bars "0p@0/1+1/4:3/4:-2 1@..." (number, p a pickup, place, length, meter, the key's tonic and m
 * if it is minor), tempi "96000@0/1=1/4 ...". */
#ifndef PASSO_TESTS_SCORES_TEXT_H
#define PASSO_TESTS_SCORES_TEXT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "score/score.h"

#define SCORES_TEXT_BYTES 65536

struct scores_text {
    char text[SCORES_TEXT_BYTES];
    size_t used;
};

__attribute__((format(printf, 2, 3), unused)) static void scores_add(struct scores_text *out,
                                                                     const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    const int more =
        vsnprintf(out->text + out->used, sizeof out->text - out->used, format, arguments);
    va_end(arguments);
    assert_true(more >= 0 && (size_t)more < sizeof out->text - out->used);
    out->used += (size_t)more;
}

__attribute__((unused)) static const char *scores_pitch(struct passo_pitch pitch)
{
    static char text[16];
    static const char *const alter[] = {"bb", "b", "", "#", "##"};
    snprintf(text, sizeof text, "%c%s%d", "CDEFGAB"[passo_pitch_letter(pitch)],
             alter[passo_pitch_alter(pitch) + 2], pitch.octave);
    return text;
}

__attribute__((unused)) static const char *scores_notes(const struct passo_score *score)
{
    static struct scores_text out;
    out.used = 0;
    out.text[0] = '\0';
    for (size_t i = 0; i < score->notes; i++) {
        const struct passo_note *note = &score->note[i];
        scores_add(&out, "%s%s@%" PRId64 "/%" PRId64 "+%" PRId64 "/%" PRId64 "%s%s%s%s",
                   i ? " " : "", scores_pitch(note->pitch), note->at.num, note->at.den,
                   note->length.num, note->length.den, note->marks & PASSO_NOTE_STACCATO ? "." : "",
                   note->marks & PASSO_NOTE_TENUTO ? "_" : "",
                   note->marks & PASSO_NOTE_ACCENT ? ">" : "",
                   note->marks & PASSO_NOTE_SLUR ? "~" : "");
    }
    return out.text;
}

__attribute__((unused)) static const char *scores_bars(const struct passo_score *score)
{
    static struct scores_text out;
    out.used = 0;
    out.text[0] = '\0';
    for (size_t i = 0; i < score->bars; i++) {
        const struct passo_score_bar *bar = &score->bar[i];
        scores_add(&out, "%s%" PRId32 "%s@%" PRId64 "/%" PRId64 "+%" PRId64 "/%" PRId64 ":",
                   i ? " " : "", bar->number, bar->pickup ? "p" : "", bar->at.num, bar->at.den,
                   bar->length.num, bar->length.den);
        bool even = true;
        for (size_t g = 1; g < bar->meter.groups; g++)
            even = even && bar->meter.group[g] == bar->meter.group[0];
        if (even)
            scores_add(&out, "%d", bar->meter.count);
        for (size_t g = 0; !even && g < bar->meter.groups; g++)
            scores_add(&out, "%s%d", g ? "+" : "", bar->meter.group[g]);
        scores_add(&out, "/%d:%d%s", bar->meter.unit, bar->key.tonic,
                   bar->key.mode == PASSO_MODE_MINOR ? "m" : "");
    }
    return out.text;
}

__attribute__((unused)) static const char *scores_tempi(const struct passo_score *score)
{
    static struct scores_text out;
    out.used = 0;
    out.text[0] = '\0';
    for (size_t i = 0; i < score->tempi; i++) {
        const struct passo_score_tempo *tempo = &score->tempo[i];
        scores_add(&out, "%s%" PRId32 "@%" PRId64 "/%" PRId64 "=%" PRId64 "/%" PRId64, i ? " " : "",
                   tempo->mbpm, tempo->at.num, tempo->at.den, tempo->beat.num, tempo->beat.den);
    }
    return out.text;
}

/* What holds of every score that was read, whatever it was read from. */
__attribute__((unused)) static void scores_check(const struct passo_score *score)
{
    assert_true(score->notes > 0 && score->bars > 0);
    for (size_t i = 0; i < score->notes; i++) {
        const struct passo_note *note = &score->note[i];
        assert_true(note->length.num > 0 && note->at.num >= 0);
        if (i + 1 < score->notes)
            assert_true(passo_ratio_cmp(passo_ratio_add(note->at, note->length), note[1].at) <= 0);
    }
    for (size_t i = 0; i + 1 < score->bars; i++) {
        const struct passo_score_bar *bar = &score->bar[i];
        assert_true(bar->length.num > 0);
        assert_int_equal(passo_ratio_cmp(passo_ratio_add(bar->at, bar->length), bar[1].at), 0);
    }
    for (size_t i = 0; i + 1 < score->tempi; i++)
        assert_true(passo_ratio_cmp(score->tempo[i].at, score->tempo[i + 1].at) < 0);
}

/* One sentence: not empty, no line end, no full stop; and nothing is left of the score. */
__attribute__((unused)) static void scores_check_fault(const struct passo_score *score,
                                                       const char *fault)
{
    const size_t length = strlen(fault);
    assert_true(length > 10 && length < 500);
    assert_null(strchr(fault, '\n'));
    assert_int_not_equal(fault[length - 1], '.');
    assert_null(score->note);
    assert_null(score->bar);
    assert_null(score->tempo);
    assert_null(score->part_name);
    assert_int_equal(score->notes + score->bars + score->tempi + score->parts, 0);
}

#endif
