/* Drawn notes: every beginning and end against the exact place by GMP, and nothing of what is
 * counted changed by them. */
#include "melody_tools.h"

static void draw_notes(uint64_t *random, int64_t wholes)
{
    static const int64_t unit[] = {4, 8, 12, 16, 20, 24, 28, 32, 64};
    struct passo_ratio at = ratio(0, 1);
    notes.notes = 0;
    while (passo_ratio_cmp(at, ratio(wholes, 1)) < 0 && notes.notes < 200) {
        struct passo_ratio length =
            ratio(random_between(random, 1, 5), unit[random_between(random, 0, 8)]);
        if (random_between(random, 0, 4))
            notes.note[notes.notes++] =
                (struct passo_note){.at = at,
                                    .length = length,
                                    .pitch = passo_pitch_of(0, 0, 3),
                                    .marks = (uint8_t)random_between(random, 0, 15)};
        at = passo_ratio_add(at, length);
    }
}

static int64_t exact_frame(struct passo_ratio at, struct passo_tempo tempo,
                           struct passo_instant start, uint32_t rate_hz)
{
    mpq_t frames;
    mpq_t origin;
    mpz_t whole;
    mpq_inits(frames, origin, NULL);
    mpz_init(whole);
    exact_frames(frames, at, tempo, rate_hz);
    exact_instant(origin, (struct passo_instant){0, start.fraction});
    mpq_add(frames, frames, origin);
    rounded(whole, frames, 1);
    int64_t frame = mpz_get_si(whole);
    mpz_clear(whole);
    mpq_clears(frames, origin, NULL);
    return frame;
}

/* The next tone event from `taken` on, which must be this one. */
static void expect(const struct passo_timeline *timeline, size_t *taken, int kind, int tone,
                   int64_t frame)
{
    while (!is_tone(&timeline->event[*taken]))
        (*taken)++;
    const struct passo_event *event = &timeline->event[(*taken)++];
    assert_int_equal(event->kind, kind);
    assert_int_equal(event->bar, tone);
    assert_int_equal(event->frame, frame);
}

/* A whole passage without written changes or a landing: every note that begins in it. */
static void check_drawn(const struct passo_timeline *timeline, struct passo_ratio end,
                        struct passo_tempo tempo)
{
    size_t taken = 0;
    bool slurred = false;
    int tone = 0;
    for (size_t i = 0; i < notes.notes; i++, tone++) {
        const struct passo_note *one = &notes.note[i];
        if (passo_ratio_cmp(one->at, end) >= 0)
            break;
        struct passo_ratio until = passo_ratio_add(one->at, one->length);
        struct passo_ratio share = one->marks & PASSO_NOTE_STACCATO ? ratio(1, 2)
                                   : one->marks & PASSO_NOTE_TENUTO ? ratio(31, 32)
                                                                    : ratio(7, 8);
        struct passo_ratio off = passo_ratio_add(one->at, passo_ratio_mul(one->length, share));
        if (passo_ratio_cmp(off, end) > 0)
            off = end;
        expect(timeline, &taken, PASSO_EVENT_TONE_ON, tone,
               exact_frame(one->at, tempo, timeline->start, timeline->rate_hz));
        assert_int_equal(timeline->tone[tone].onset == PASSO_ONSET_SLURRED, slurred);
        slurred = one->marks & PASSO_NOTE_SLUR && i + 1 < notes.notes &&
                  passo_ratio_cmp(notes.note[i + 1].at, until) == 0 &&
                  passo_ratio_cmp(until, end) < 0;
        if (!slurred)
            expect(timeline, &taken, PASSO_EVENT_TONE_OFF, tone,
                   exact_frame(off, tempo, timeline->start, timeline->rate_hz));
    }
    assert_int_equal(timeline->tones, tone);
    for (size_t i = 1; i < timeline->events; i++)
        assert_true(timeline->event[i - 1].frame <= timeline->event[i].frame);
}

static void test_drawn_notes(void **state)
{
    (void)state;
    uint64_t random = 61216;
    for (int round = 0; round < 300; round++) {
        struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 6);
        draw_notes(&random, 8);
        struct passo_pass_shape shape = shape_of(&passage);
        shape.no_count_in = true;
        shape.no_landing = true;
        shape.mbpm = (int32_t)random_between(&random, 30000, 300000);
        struct passo_instant start = {random_between(&random, 0, 1000000),
                                      (uint32_t)random_bits(&random)};
        uint32_t rate_hz = (uint32_t)random_between(&random, 8000, 96000);
        struct passo_timeline *timeline = passo_timeline_build(&shape, 1, start, rate_hz);
        check_drawn(timeline, ratio(6, 1), (struct passo_tempo){shape.mbpm, ratio(1, 4)});
        free(timeline);
    }
}

/* All that is counted stays as it was without the notes. */
static void test_nothing_else_changes(void **state)
{
    (void)state;
    uint64_t random = 9;
    for (int round = 0; round < 100; round++) {
        struct passo_passage passage = passage_of(meter_of(3, 4), ratio(1, 4), 1, 4);
        draw_notes(&random, 5);
        struct passo_pass_shape shape = shape_of(&passage);
        struct passo_timeline *with = passo_timeline_build(&shape, 1, zero, 44100);
        shape.melody = NULL;
        struct passo_timeline *bare = passo_timeline_build(&shape, 1, zero, 44100);
        size_t seen = 0;
        for (size_t i = 0; i < with->events; i++) {
            if (!is_tone(&with->event[i]))
                assert_memory_equal(&with->event[i], &bare->event[seen++], sizeof *bare->event);
        }
        assert_int_equal(seen, bare->events);
        assert_true(with->events > bare->events);
        free(with);
        free(bare);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drawn_notes),
        cmocka_unit_test(test_nothing_else_changes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
