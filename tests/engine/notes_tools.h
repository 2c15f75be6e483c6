/* What the tests of notes share: lines of notes written and read as text. */
#ifndef PASSO_TESTS_NOTES_TOOLS_H
#define PASSO_TESTS_NOTES_TOOLS_H

#include <passo/notes.h>

#include "time_tools.h"

/* Lengths as text, "1/8 1/8 r1/4 3/8": notes and, with an r, rests, from `at` on. Neighbours are
 * of different pitch: B-flat 3, C 4, D 4 and so on, round and round. */
static inline void notes_of(struct passo_notes *notes, struct passo_ratio at, const char *text)
{
    static const struct passo_pitch pitch[] = {{-2, 3}, {0, 4}, {2, 4}, {-3, 4}, {-1, 4}};
    notes->notes = 0;
    while (*text) {
        bool rest = *text == 'r';
        char *end = NULL;
        int64_t num = strtoll(text + rest, &end, 10);
        assert_int_equal(*end, '/');
        int64_t den = strtoll(end + 1, &end, 10);
        if (!rest)
            notes->note[notes->notes] = (struct passo_note){
                .at = at, .length = ratio(num, den), .pitch = pitch[notes->notes % 5]};
        notes->notes += !rest;
        at = passo_ratio_add(at, ratio(num, den));
        text = end + strspn(end, " ");
    }
}

/* The same text of notes, rests in lowest terms. */
static inline const char *told(const struct passo_notes *notes, struct passo_ratio at, char *out,
                               size_t bytes)
{
    size_t used = 0;
    out[0] = 0;
    for (size_t i = 0; i < notes->notes; i++) {
        const struct passo_note *note = &notes->note[i];
        struct passo_ratio gap = passo_ratio_sub(note->at, at);
        const char *blank = i ? " " : "";
        if (gap.num)
            used += (size_t)snprintf(out + used, bytes - used, "%sr%" PRId64 "/%" PRId64, blank,
                                     gap.num, gap.den);
        used += (size_t)snprintf(out + used, bytes - used, "%s%" PRId64 "/%" PRId64,
                                 gap.num ? " " : blank, note->length.num, note->length.den);
        assert_true(used < bytes);
        at = passo_ratio_add(note->at, note->length);
    }
    return out;
}

static inline void is_ratio(struct passo_ratio got, struct passo_ratio wanted)
{
    if (passo_ratio_cmp(got, wanted) != 0)
        fail_msg("%" PRId64 "/%" PRId64 " is not %" PRId64 "/%" PRId64, got.num, got.den,
                 wanted.num, wanted.den);
}

/* A passage of one to twelve bars, with changes of meter and perhaps a pickup. */
static inline void draw_passage(uint64_t *seed, struct passo_passage *out_passage)
{
    static const struct {
        uint8_t count, unit;
    } usual[] = {{4, 4}, {3, 4}, {2, 4}, {6, 8}, {9, 8}, {5, 8}, {3, 8}, {2, 2}, {7, 16}};
    size_t meter = (size_t)random_between(seed, 0, 8);
    *out_passage = (struct passo_passage){.meter = meter_of(usual[meter].count, usual[meter].unit),
                                          .beat = {1, 4},
                                          .first_bar = (int32_t)random_between(seed, -9, 300),
                                          .bars = (int32_t)random_between(seed, 1, 12)};
    for (int32_t bar = 1; bar < out_passage->bars; bar++) {
        meter = (size_t)random_between(seed, 0, 8);
        if (random_between(seed, 0, 2) == 0)
            out_passage->change[out_passage->changes++] = (struct passo_meter_change){
                out_passage->first_bar + bar, meter_of(usual[meter].count, usual[meter].unit)};
    }
    if (random_between(seed, 0, 1))
        out_passage->pickup = ratio(random_between(seed, 1, 5), 16);
    assert_int_equal(passo_passage_complete(out_passage), PASSO_OK);
}

#endif
