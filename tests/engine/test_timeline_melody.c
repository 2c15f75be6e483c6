/* The notes of a pass as events: where each begins and ends, worked out by hand at quarter = 120
 * and 48 kHz, where a quarter is 24,000 frames. */
#include "melody_tools.h"

#include <math.h>

#define LIST 4096

/* Two bars of 4/4 from bar 1 on; the count-in is four quarters, 96,000 frames. */
static struct passo_passage two_bars(void)
{
    notes.notes = 0;
    return passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
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

/* Nobody slurs through a breath or through beats that are counted for what follows. A quarter of
 * 24,000 frames sounds for 21,000, 9,000 more than an eighth. */
static void test_slurs_end_where_time_stands_still(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    note(4, 2, 0);
    note(6, 2, PASSO_NOTE_SLUR);
    note(8, 2, PASSO_NOTE_SLUR);
    note(10, 2, PASSO_NOTE_ACCENT);
    note(14, 2, PASSO_NOTE_SLUR);
    note(16, 2, 0);
    struct passo_pass_shape shape = shape_of(&passage);
    check(&shape, "T0@4 -0@5+9000 T1@6 S2@8 S3@10 -3@11+9000 T4@14 S5@16 -5@17+9000");
    /* a breath of a quarter before bar 2, and one before the landing */
    struct passo_passage breath = passage;
    write_in(&breath, change_of(PASSO_WRITTEN_BREATH, 2, ratio(0, 1), 2, ratio(0, 1), ratio(1, 1)));
    write_in(&breath, change_of(PASSO_WRITTEN_BREATH, 3, ratio(0, 1), 3, ratio(0, 1), ratio(1, 1)));
    assert_int_equal(passo_passage_complete(&breath), PASSO_OK);
    shape = shape_of(&breath);
    check(&shape, "T0@4 -0@5+9000 T1@6 -1@7+9000 T2@10 S3@12 -3@13+9000 T4@16 -4@17+9000 T5@20 "
                  "-5@21+9000");
    /* a fermata of three times its length on bar 1's last quarter leads on by itself; two beats of
     * preparation after it do not */
    struct passo_passage fermata = passage;
    struct passo_written held =
        change_of(PASSO_WRITTEN_FERMATA, 1, ratio(3, 4), 2, ratio(0, 1), ratio(3, 1));
    write_in(&fermata, held);
    assert_int_equal(passo_passage_complete(&fermata), PASSO_OK);
    shape = shape_of(&fermata);
    check(&shape, "T0@4 -0@5+9000 T1@6 S2@12 S3@14 -3@15+9000 T4@18 S5@20 -5@21+9000");
    fermata = passage;
    held.beats = 2;
    write_in(&fermata, held);
    assert_int_equal(passo_passage_complete(&fermata), PASSO_OK);
    shape = shape_of(&fermata);
    check(&shape, "T0@4 -0@5+9000 T1@6 -1@11+3000 T2@16 S3@18 -3@19+9000 T4@22 S5@24 -5@25+9000");
}

/* A slur goes on where only the tempo changes, and past the end of an even change. */
static void test_slurs_over_changes_of_tempo(void **state)
{
    (void)state;
    struct passo_passage passage = two_bars();
    write_in(&passage, change_of(PASSO_WRITTEN_TO, 1, ratio(1, 3), 2, ratio(0, 1), ratio(3, 7)));
    write_in(&passage,
             change_of(PASSO_WRITTEN_TEMPO, 2, ratio(1, 2), 2, ratio(1, 2), ratio(11, 13)));
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    for (int i = 0; i < 16; i++)
        note(i, 1, PASSO_NOTE_SLUR);
    struct passo_pass_shape shape = shape_of(&passage);
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    size_t offs = 0;
    for (size_t i = 0; i < timeline->events; i++)
        offs += timeline->event[i].kind == PASSO_EVENT_TONE_OFF;
    assert_int_equal(timeline->tones, 16);
    for (size_t i = 1; i < timeline->tones; i++)
        assert_int_equal(timeline->tone[i].onset, PASSO_ONSET_SLURRED);
    assert_int_equal(offs, 1);
    free(timeline);
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
        cmocka_unit_test(test_slurs_end_where_time_stands_still),
        cmocka_unit_test(test_slurs_over_changes_of_tempo),
        cmocka_unit_test(test_an_even_change),
        cmocka_unit_test(test_pitch_and_level),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
