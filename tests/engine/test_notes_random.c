/* Drawn notes in drawn ways: order, time and bar lines are kept, and each rhythm is what its rule
 * says, read slot by slot of the bar instead of note by note. */
#include "notes_tools.h"

static struct passo_notes plain;
static struct passo_notes varied;

/* Runs of one length, with rests, from the pickup to behind the end. */
static void draw_notes(uint64_t *seed, const struct passo_passage *passage)
{
    static const struct passo_ratio lengths[] = {{1, 16}, {1, 8}, {1, 8},  {1, 12},
                                                 {1, 4},  {3, 8}, {1, 32}, {1, 16}};
    struct passo_ratio at = passo_notes_at(passage, passage->loop[0].from);
    const struct passo_ratio end = passo_notes_at(passage, passage->loop[0].to);
    plain.notes = 0;
    while (passo_ratio_cmp(at, end) < 0) {
        const struct passo_ratio length = lengths[random_between(seed, 0, 7)];
        for (int64_t run = random_between(seed, 1, 9); run > 0 && plain.notes < 600; run--) {
            struct passo_note *note = &plain.note[plain.notes++];
            *note = (struct passo_note){
                .at = at,
                .length = length,
                .pitch = {(int8_t)random_between(seed, PASSO_FIFTHS_MIN, PASSO_FIFTHS_MAX),
                          (int8_t)random_between(seed, 3, 5)},
                .marks = (uint8_t)random_between(seed, 0, 15)};
            at = passo_ratio_add(at, length);
        }
        if (random_between(seed, 0, 2) == 0)
            at = passo_ratio_add(at, lengths[random_between(seed, 0, 7)]);
    }
}

static const struct passo_note *note_at(struct passo_ratio at)
{
    for (size_t i = 0; i < plain.notes; i++) {
        if (passo_ratio_cmp(plain.note[i].at, at) == 0)
            return &plain.note[i];
    }
    return NULL;
}

/* Where the slot lies, so many notes long, in which a note is the n-th; false if it is none, or if
 * the slot is not full of notes of this length. */
static bool slot_of(const struct passo_note *note, const struct passo_passage *passage,
                    int64_t group, struct passo_ratio *out_slot, int64_t *out_n)
{
    const struct passo_place place = passo_notes_place(passage, note->at);
    const struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, place.bar));
    const struct passo_ratio n = passo_ratio_div(place.at, note->length);
    if (n.den != 1)
        return false;
    *out_n = n.num % group;
    const struct passo_ratio back = passo_ratio_mul(note->length, ratio(*out_n, 1));
    const struct passo_ratio time = passo_ratio_mul(note->length, ratio(group, 1));
    *out_slot = passo_ratio_sub(note->at, back);
    if (passo_ratio_cmp(passo_ratio_add(passo_ratio_sub(place.at, back), time), bar) > 0)
        return false;
    for (int64_t k = 0; k < group; k++) {
        const struct passo_note *other =
            note_at(passo_ratio_add(*out_slot, passo_ratio_mul(note->length, ratio(k, 1))));
        if (!other || passo_ratio_cmp(other->length, note->length) != 0)
            return false;
    }
    return true;
}

/* What the header promises of one note. */
static void is_as_promised(size_t i, const struct passo_passage *passage,
                           const struct passo_variant *variant)
{
    const struct passo_note *note = &plain.note[i];
    const int64_t group = variant->rhythm == PASSO_RHYTHM_HELD ? variant->group : 2;
    struct passo_ratio slot;
    struct passo_ratio at = note->at;
    struct passo_ratio length = note->length;
    int64_t n;
    if (variant->rhythm != PASSO_RHYTHM_WRITTEN && slot_of(note, passage, group, &slot, &n)) {
        const struct passo_ratio first = variant->rhythm == PASSO_RHYTHM_DOTTED ? ratio(3, 2)
                                         : variant->rhythm == PASSO_RHYTHM_REVERSED
                                             ? ratio(1, 2)
                                             : ratio(group, 2);
        /* the others share what the first leaves of `group` notes */
        const struct passo_ratio others =
            passo_ratio_div(passo_ratio_sub(ratio(group, 1), first), ratio(group - 1, 1));
        length = passo_ratio_mul(note->length, n ? others : first);
        struct passo_ratio before =
            n ? passo_ratio_add(first, passo_ratio_mul(others, ratio(n - 1, 1))) : ratio(0, 1);
        at = passo_ratio_add(slot, passo_ratio_mul(note->length, before));
    }
    is_ratio(varied.note[i].at, at);
    is_ratio(varied.note[i].length, length);
    assert_int_equal(varied.note[i].pitch.fifths, note->pitch.fifths);
    assert_int_equal(varied.note[i].pitch.octave, note->pitch.octave + variant->octave);
}

static struct passo_ratio end_of(const struct passo_note *note)
{
    return passo_ratio_add(note->at, note->length);
}

static struct passo_ratio sounding(const struct passo_notes *notes)
{
    struct passo_ratio sum = {0, 1};
    for (size_t i = 0; i < notes->notes; i++)
        sum = passo_ratio_add(sum, notes->note[i].length);
    return sum;
}

static void time_and_bar_lines_are_kept(const struct passo_passage *passage)
{
    assert_int_equal(varied.notes, plain.notes);
    is_ratio(sounding(&varied), sounding(&plain));
    for (size_t i = 0; i < varied.notes; i++) {
        const struct passo_note *note = &varied.note[i];
        assert_true(note->length.num > 0);
        assert_true(i == 0 || passo_ratio_cmp(end_of(note - 1), note->at) <= 0);
        if (passo_notes_place(passage, plain.note[i].at).at.num == 0)
            is_ratio(note->at, plain.note[i].at);
    }
    is_ratio(end_of(&varied.note[varied.notes - 1]), end_of(&plain.note[plain.notes - 1]));
}

static void marks_follow_the_touch(const struct passo_variant *variant)
{
    for (size_t i = 0; i < varied.notes; i++) {
        const struct passo_note *note = &varied.note[i];
        const struct passo_note *next = i + 1 < varied.notes ? note + 1 : NULL;
        const bool leads = next && passo_ratio_cmp(end_of(note), next->at) == 0 &&
                           passo_pitch_midi(note->pitch) != passo_pitch_midi(next->pitch);
        const bool slurs = note->marks & PASSO_NOTE_SLUR;
        assert_int_equal(note->marks & PASSO_NOTE_ACCENT, plain.note[i].marks & PASSO_NOTE_ACCENT);
        assert_true(leads || !slurs);
        if (variant->touch == PASSO_TOUCH_SLURRED)
            assert_int_equal(slurs, leads);
        if (variant->touch == PASSO_TOUCH_TONGUED)
            assert_int_equal(note->marks & ~PASSO_NOTE_ACCENT, 0);
        if (variant->touch == PASSO_TOUCH_STACCATO)
            assert_int_equal(note->marks & ~PASSO_NOTE_ACCENT, PASSO_NOTE_STACCATO);
    }
}

static void drawn_notes_in_drawn_ways(void **unused)
{
    (void)unused;
    uint64_t seed = 2026;
    size_t made[PASSO_RHYTHM_COUNT] = {0};
    for (int i = 0; i < 400; i++) {
        struct passo_passage passage;
        draw_passage(&seed, &passage);
        draw_notes(&seed, &passage);
        const struct passo_variant variant = {
            .octave = (int8_t)random_between(&seed, -4, 4),
            .touch = (uint8_t)random_between(&seed, 0, PASSO_TOUCH_COUNT - 1),
            .rhythm = (uint8_t)(i % PASSO_RHYTHM_COUNT),
            .group = (uint8_t)random_between(&seed, 2, 8)};
        passo_notes_vary(&plain, &passage, &variant, &varied);
        time_and_bar_lines_are_kept(&passage);
        marks_follow_the_touch(&variant);
        for (size_t k = 0; k < plain.notes; k++) {
            is_as_promised(k, &passage, &variant);
            made[variant.rhythm] +=
                passo_ratio_cmp(varied.note[k].length, plain.note[k].length) != 0;
        }
    }
    /* the draw is not empty of what it is about */
    assert_int_equal(made[PASSO_RHYTHM_WRITTEN], 0);
    assert_true(made[PASSO_RHYTHM_DOTTED] > 500 && made[PASSO_RHYTHM_REVERSED] > 500 &&
                made[PASSO_RHYTHM_HELD] > 200);
}

/* As many notes as there may be, over as many bars and changes. */
static void the_longest_line_is_varied(void **unused)
{
    (void)unused;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, PASSO_BARS_MAX);
    passage.changes = PASSO_CHANGES_MAX;
    for (size_t i = 0; i < PASSO_CHANGES_MAX; i++)
        passage.change[i] =
            (struct passo_meter_change){(int32_t)(30 * i) + 1, meter_of(i % 2 ? 4 : 2, 4)};
    plain.notes = PASSO_NOTES_MAX;
    for (size_t i = 0; i < PASSO_NOTES_MAX; i++)
        plain.note[i] = (struct passo_note){
            .at = ratio((int64_t)i, 2), .length = {1, 2}, .pitch = {(int8_t)(i % 2), 3}};
    passo_notes_vary(&plain, &passage, &(struct passo_variant){.rhythm = PASSO_RHYTHM_DOTTED},
                     &varied);
    time_and_bar_lines_are_kept(&passage);
    /* the second thirty bars of 4/4 begin after thirty halves */
    is_ratio(varied.note[29].length, ratio(1, 2));
    is_ratio(varied.note[30].length, ratio(3, 4));
    is_ratio(varied.note[31].length, ratio(1, 4));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drawn_notes_in_drawn_ways),
        cmocka_unit_test(the_longest_line_is_varied),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
