/* The notes of a pass as events: where each begins and ends, worked out by hand at quarter = 120
 * and 48 kHz, where a quarter is 24,000 frames; at drawn places against GMP. Then tones by
 * themselves. */
#include "time_tools.h"

#include <math.h>

#define RATE_HZ 48000
#define QUARTER 24000
#define LIST    4096

static const struct passo_instant zero = {0, 0};
static const struct passo_pulse one_bar = {.count_in_bars = 1};

static struct passo_notes notes;
static struct passo_melody melody;

/* --- the bench --- */

/* A note of an octave of C: so many eighths from the first bar line on. */
static void note(int64_t at_eighths, int64_t eighths, uint8_t marks)
{
    notes.note[notes.notes++] = (struct passo_note){.at = ratio(at_eighths, 8),
                                                    .length = ratio(eighths, 8),
                                                    .pitch = passo_pitch_of(0, 0, 4),
                                                    .marks = marks};
}

static struct passo_pass_shape shape_of(const struct passo_passage *passage)
{
    melody = (struct passo_melody){.notes = &notes};
    return (struct passo_pass_shape){.passage = passage,
                                     .loop = &passage->loop[0],
                                     .pulse = &one_bar,
                                     .mbpm = 120000,
                                     .melody = &melody};
}

/* Two bars of 4/4 from bar 1 on; the count-in is four quarters, 96,000 frames. */
static struct passo_passage two_bars(void)
{
    notes.notes = 0;
    return passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
}

static bool is_tone(const struct passo_event *event)
{
    return event->kind == PASSO_EVENT_TONE_ON || event->kind == PASSO_EVENT_TONE_OFF;
}

/* The tones as words, places in eighths from the count-in's end with what is left over in frames:
 * "T0" tongued, "A" accented, "S" slurred, "-" ends; "T0@2" begins a quarter after the entry. */
static const char *told(const struct passo_timeline *timeline, int64_t body)
{
    static char text[LIST];
    size_t used = 0;
    text[0] = 0;
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (!is_tone(event))
            continue;
        const struct passo_tone *tone = &timeline->tone[event->bar];
        char mark = event->kind == PASSO_EVENT_TONE_OFF ? '-' : "dTAS"[tone->onset];
        int64_t frame = event->frame - body;
        int more = snprintf(text + used, sizeof text - used, "%s%c%d@%" PRId64, used ? " " : "",
                            mark, event->bar, frame / (QUARTER / 2));
        assert_true(more > 0 && (size_t)more < sizeof text - used);
        used += (size_t)more;
        if (frame % (QUARTER / 2))
            used += (size_t)snprintf(text + used, sizeof text - used, "+%" PRId64,
                                     frame % (QUARTER / 2));
    }
    return text;
}

static void check_from(const struct passo_pass_shape *shape, int64_t body, const char *expected)
{
    struct passo_timeline *timeline = passo_timeline_build(shape, 1, zero, RATE_HZ);
    assert_string_equal(told(timeline, body), expected);
    free(timeline);
}

static void check(const struct passo_pass_shape *shape, const char *expected)
{
    check_from(shape, INT64_C(4) * QUARTER, expected);
}

/* --- how long, and how they begin --- */

/* 7/8, 1/2 and 31/32 of a quarter are 21,000, 12,000 and 23,250 frames. */
static void test_how_long_a_note_sounds(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    note(0, 2, 0);
    note(2, 2, PASSO_NOTE_STACCATO);
    note(4, 2, PASSO_NOTE_TENUTO);
    note(8, 2, PASSO_NOTE_ACCENT);
    note(10, 2, PASSO_NOTE_ACCENT | PASSO_NOTE_STACCATO);
    struct passo_pass_shape shape = shape_of(&passage);
    check(&shape, "T0@0 -0@1+9000 T1@2 -1@3 T2@4 -2@5+11250 A3@8 -3@9+9000 A4@10 -4@11");
}

static void test_slurs(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    note(0, 1, PASSO_NOTE_SLUR);
    note(1, 1, PASSO_NOTE_SLUR);
    note(2, 2, 0);                                     /* the slur's last: 7/8 */
    note(4, 2, 0);                                     /* tongued again */
    note(6, 1, PASSO_NOTE_SLUR);                       /* into a rest: there is none to lead to */
    note(8, 2, PASSO_NOTE_SLUR | PASSO_NOTE_STACCATO); /* a slur has no gap */
    note(10, 2, PASSO_NOTE_ACCENT);                    /* nor a tongue in it */
    struct passo_pass_shape shape = shape_of(&passage);
    check(&shape, "T0@0 S1@1 S2@2 -2@3+9000 T3@4 -3@5+9000 T4@6 -4@6+10500 T5@8 S6@10 -6@11+9000");
}

/* At one frame a note's end comes before the next one's beginning, and both before what is counted
 * there; behind a drone's beginning and before its end. */
static void test_order_on_one_frame(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 5, 1);
    notes.notes = 0;
    note(0, 2, PASSO_NOTE_SLUR);
    note(2, 2, PASSO_NOTE_SLUR);
    note(4, 8, 0);
    struct passo_pass_shape shape = shape_of(&passage);
    char text[LIST];
    shape.drone[0].hz = 58.27F;
    shape.drone[1].hz = 87.31F;
    shape.no_count_in = true;
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    assert_string_equal(written(timeline, text, sizeof text),
                        "{ { { [ B5.1 { b5.2 { < B6.1 } } } .");
    assert_int_equal(timeline->tones, 5);
    assert_int_equal(timeline->event[0].bar, 0);
    assert_int_equal(timeline->event[1].bar, 1);
    assert_int_equal(timeline->tone[1].layer, PASSO_LAYER_FIFTH);
    assert_int_equal(timeline->event[2].bar, 2);
    assert_int_equal(timeline->tone[2].layer, PASSO_LAYER_NOTE);
    assert_int_equal(timeline->event[timeline->events - 4].bar, 4); /* the note ends first */
    free(timeline);
}

/* --- entry and landing --- */

/* Bars 1 and 2 as they are, bar 2 alone, from the second beat of bar 1: a note that is under way
 * begins with the body, and what is left of it counts. */
static void test_entries(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    note(-2, 2, 0); /* before it all */
    note(0, 6, 0);
    note(6, 4, PASSO_NOTE_SLUR); /* tied over the bar line */
    note(10, 6, 0);
    struct passo_pass_shape shape = shape_of(&passage);
    check(&shape, "T0@0 -0@5+3000 T1@6 S2@10 -2@15+3000");
    struct passo_loop second = loop_of(2, ratio(0, 1), 3, ratio(0, 1));
    shape.loop = &second;
    check(&shape, "T0@0 S1@2 -1@7+3000");
    struct passo_loop inside = loop_of(1, ratio(1, 4), 2, ratio(0, 1));
    shape.loop = &inside; /* four quarters and the one before the entry count in */
    check_from(&shape, INT64_C(5) * QUARTER, "T0@0 -0@3+6000 T1@4 -1@7+6000");
}

/* The landing is a quarter long. A note that begins there or is under way has as much of its length
 * as fits; without a landing there is none. */
static void test_landings(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    note(14, 1, 0);
    note(15, 1, PASSO_NOTE_SLUR);
    note(16, 8, 0);
    note(24, 8, 0);
    struct passo_pass_shape shape = shape_of(&passage);
    check(&shape, "T0@14 -0@14+10500 T1@15 S2@16 -2@18");
    notes.note[2].length = ratio(1, 8);
    check(&shape, "T0@14 -0@14+10500 T1@15 S2@16 -2@16+10500");
    notes.note[2].length = ratio(3, 8);
    notes.note[2].marks = PASSO_NOTE_STACCATO;
    check(&shape, "T0@14 -0@14+10500 T1@15 S2@16 -2@17+6000");
    shape.no_landing = true;
    check(&shape, "T0@14 -0@14+10500 T1@15 -1@15+10500");
    notes.note[1].length = ratio(1, 1); /* and longer than the passage */
    notes.notes = 2;
    check(&shape, "T0@14 -0@14+10500 T1@15 -1@16");
    shape.no_landing = false;
    check(&shape, "T0@14 -0@14+10500 T1@15 -1@18");
}

static void test_pickup(void **state)
{
    (void)state;
    notes.notes = 0;
    struct passo_passage passage = {.meter = meter_of(3, 4),
                                    .beat = ratio(1, 4),
                                    .first_bar = 1,
                                    .bars = 1,
                                    .pickup = ratio(1, 8)};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    note(-1, 1, 0);
    note(0, 6, 0);
    struct passo_pass_shape shape = shape_of(&passage);
    shape.no_count_in = true;
    check_from(&shape, 0, "T0@0 -0@0+10500 T1@1 -1@6+3000");
}

/* --- written time --- */

/* Half the tempo from bar 2 on; the last quarter of bar 1 held three times its length; a breath of
 * a beat before bar 2, at bar 1's tempo: the note before ends as if there were none. */
static void test_written_time(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    write_in(&passage,
             change_of(PASSO_WRITTEN_FERMATA, 1, ratio(3, 4), 2, ratio(0, 1), ratio(3, 1)));
    write_in(&passage,
             change_of(PASSO_WRITTEN_BREATH, 2, ratio(0, 1), 2, ratio(0, 1), ratio(1, 1)));
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 2, ratio(0, 1), 2, ratio(0, 1), ratio(1, 2)));
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    note(4, 2, PASSO_NOTE_STACCATO);
    note(6, 2, 0);
    note(8, 2, PASSO_NOTE_STACCATO);
    note(14, 4, 0);
    struct passo_pass_shape shape = shape_of(&passage);
    /* Bar 1 lasts 6 + 6 eighths, then 2 stand still; an eighth of bar 2 lasts two of them. */
    check(&shape, "T0@4 -0@5 T1@6 -1@11+3000 T2@14 -2@16 T3@26 -3@33");
}

/* 100 % to 50 % evenly in a bar: beat b falls n/(p1-p0) ln(p(b)/p0) beats after its beginning, by
 * timeline.h; here in long double from the frame's own second. */
static void test_an_even_change(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    write_in(&passage, change_of(PASSO_WRITTEN_TO, 1, ratio(0, 1), 2, ratio(0, 1), ratio(1, 2)));
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    for (int i = 0; i < 8; i++)
        note(i, 1, PASSO_NOTE_SLUR);
    struct passo_pass_shape shape = shape_of(&passage);
    shape.no_count_in = true;
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    int seen = 0;
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (event->kind != PASSO_EVENT_TONE_ON)
            continue;
        long double beats = -8 * logl(1 - (long double)seen / 16);
        assert_int_equal(event->frame, (int64_t)floorl(beats * QUARTER + 0.5L));
        seen++;
    }
    assert_int_equal(seen, 8);
    free(timeline);
}

/* --- pitch and level --- */

static struct passo_tone tone_of(struct passo_pitch pitch, struct passo_melody with)
{
    struct passo_passage passage = two_bars();
    note(0, 2, 0);
    notes.note[0].pitch = pitch;
    struct passo_pass_shape shape = shape_of(&passage);
    with.notes = &notes;
    shape.melody = &with;
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    assert_int_equal(timeline->tones, 1);
    struct passo_tone tone = timeline->tone[0];
    free(timeline);
    return tone;
}

/* The table's figures: references.md, 5 (MIDI tuning, 440 Hz). */
static void test_pitch_and_level(void **state)
{
    (void)state;
    const struct passo_pitch b_flat_1 = passo_pitch_of(6, -1, 1);
    struct passo_tone tone = tone_of(b_flat_1, (struct passo_melody){0});
    assert_true(fabs((double)tone.hz - 58.270470) < 1e-5);
    assert_true(tone.level == PASSO_NOTE_LEVEL);
    assert_int_equal(tone.layer, PASSO_LAYER_NOTE);
    tone = tone_of(passo_pitch_of(6, -1, 4), (struct passo_melody){.level = 0.2F});
    assert_true(fabs((double)tone.hz - 466.163762) < 1e-4);
    assert_true(tone.level == 0.2F);
    /* a trumpet's C 5 sounds as B-flat 4; the band tunes to 442 */
    tone = tone_of(passo_pitch_of(0, 0, 5), (struct passo_melody){.semitones = -2});
    assert_true(fabs((double)tone.hz - 466.163762) < 1e-4);
    tone = tone_of(passo_pitch_of(5, 0, 4), (struct passo_melody){.a4_hz = 442});
    assert_true(fabs((double)tone.hz - 442) < 1e-4);
}

/* --- drawn --- */

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

/* --- tones by themselves --- */

static void test_tones_alone(void **state)
{
    (void)state;
    const struct passo_tone tones[] = {{.hz = 58.27F, .layer = PASSO_LAYER_DRONE},
                                       {.hz = 87.31F, .level = 0.05F, .layer = PASSO_LAYER_FIFTH}};
    struct passo_instant start = {777, UINT32_C(1) << 31};
    char text[64];
    struct passo_timeline *timeline = passo_timeline_tones(tones, 2, 1500, 9, start, 44100);
    assert_string_equal(written(timeline, text, sizeof text), "{ { } } .");
    assert_int_equal(timeline->id, 9);
    assert_int_equal(timeline->rate_hz, 44100);
    assert_int_equal(passo_instant_cmp(timeline->start, start), 0);
    assert_int_equal(timeline->event[1].frame, 1); /* of a start that is rounded up */
    assert_int_equal(timeline->event[1].bar, 1);
    assert_int_equal(timeline->event[3].frame, 66151); /* 1.5 s later */
    assert_int_equal(timeline->event[4].frame, 66151);
    assert_true(timeline->tone[0].level == PASSO_TONE_LEVEL);
    assert_true(timeline->tone[1].level == 0.05F);
    struct passo_instant end = {777 + 66150, UINT32_C(1) << 31};
    assert_int_equal(passo_instant_cmp(timeline->end, end), 0);
    free(timeline);
}

static void tones_none(void)
{
    (void)passo_timeline_tones(&(const struct passo_tone){.hz = 58}, 0, 1500, 1, zero, RATE_HZ);
}

static void tones_of_no_length(void)
{
    (void)passo_timeline_tones(&(const struct passo_tone){.hz = 58}, 1, 0, 1, zero, RATE_HZ);
}

static void test_faulty_calls_stop_the_program(void **state)
{
    (void)state;
    assert_true(stops_the_program(tones_none));
    assert_true(stops_the_program(tones_of_no_length));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_how_long_a_note_sounds),
        cmocka_unit_test(test_slurs),
        cmocka_unit_test(test_order_on_one_frame),
        cmocka_unit_test(test_entries),
        cmocka_unit_test(test_landings),
        cmocka_unit_test(test_pickup),
        cmocka_unit_test(test_written_time),
        cmocka_unit_test(test_an_even_change),
        cmocka_unit_test(test_pitch_and_level),
        cmocka_unit_test(test_drawn_notes),
        cmocka_unit_test(test_nothing_else_changes),
        cmocka_unit_test(test_tones_alone),
        cmocka_unit_test(test_faulty_calls_stop_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
