/* Written changes of time, played: session 5 of trade.md, breaths, accelerandos, equal notes,
 * general pauses, and loops that begin or end among them. At quarter = 120 and 48 kHz a
 * quarter is 24,000 frames. */
#include "written_tools.h"

#include <math.h>

/* --- session 5 --- */

static void write_session_5(struct passo_passage *passage)
{
    *passage = (struct passo_passage){
        .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 40, .bars = 9, .changes = 2};
    passage->change[0] = (struct passo_meter_change){46, meter_of(2, 4)};
    passage->change[1] = (struct passo_meter_change){47, meter_of(3, 4)};
    write_in(passage, change_of(PASSO_WRITTEN_TO, 44, none, 46, none, ratio(3, 4)));
    write_in(passage, change_of(PASSO_WRITTEN_FERMATA, 46, none, 47, none, ratio(2, 1)))->beats = 1;
    write_in(passage, change_of(PASSO_WRITTEN_TEMPO, 47, none, 47, none, ratio(1, 1)));
    complete(passage);
}

/* Seconds from the first downbeat to each click, all by the page's own formula. */
static size_t session_5_clicks(double out_seconds[64])
{
    size_t n = 0;
    for (int k = 0; k < 16; k++)
        out_seconds[n++] = k * 60 / 96.0;
    for (int k = 0; k <= 8; k++) /* the eighth begins the fermata */
        out_seconds[n++] = 10 + 20 * log(96.0 / (96 - 3 * k));
    double hold = out_seconds[n - 1];
    out_seconds[n++] = hold + 2 * 60 / 72.0; /* the half bar's second beat, silent */
    double prepare = hold + 4 * 60 / 72.0;
    for (int k = 0; k <= 7; k++) /* preparation, two bars of three, landing */
        out_seconds[n++] = prepare + k * 60 / 96.0;
    return n;
}

static void check_session_5(int32_t mbpm, double scale)
{
    struct passo_passage passage;
    write_session_5(&passage);
    struct passo_timeline *timeline = build(&passage, NULL, (struct passo_pulse){0}, mbpm);
    double seconds[64];
    size_t clicks = session_5_clicks(seconds);
    size_t found = 0;
    for (size_t i = 5; i < timeline->events; i++) { /* after count-in and BODY */
        const struct passo_event *event = &timeline->event[i];
        if (event->kind != PASSO_EVENT_CLICK && event->kind != PASSO_EVENT_SILENT_CLICK)
            continue;
        assert_true(found < clicks);
        double at = (double)(event->frame - timeline->body.frame) / RATE_HZ;
        assert_true(fabs(at - seconds[found] / scale) < .00005);
        assert_int_equal(event->kind == PASSO_EVENT_SILENT_CLICK, found == 25);
        found++;
    }
    assert_int_equal(found, clicks);
    free(timeline);
}

static void test_session_5(void **state)
{
    (void)state;
    check_session_5(96000, 1);
    check_session_5(57600, .6);
    struct passo_passage passage;
    write_session_5(&passage);
    /* the page's figures: rit. 5.754, hold 3.333, whole 23.462 s; 39.103 s at 60 % */
    struct passo_timeline *timeline = build(&passage, NULL, (struct passo_pulse){0}, 96000);
    int64_t whole_ns =
        passo_instant_ns(passo_instant_sub(timeline->landing, timeline->body), RATE_HZ);
    assert_int_equal((whole_ns + 500000) / 1000000, 23462);
    free(timeline);
    timeline = build(&passage, NULL, (struct passo_pulse){0}, 57600);
    whole_ns = passo_instant_ns(passo_instant_sub(timeline->landing, timeline->body), RATE_HZ);
    assert_int_equal((whole_ns + 500000) / 1000000, 39103);
    free(timeline);
}

static void test_session_5_events(void **state)
{
    (void)state;
    struct passo_passage passage;
    write_session_5(&passage);
    struct passo_loop loop = loop_of(45, ratio(3, 4), 49, none);
    check_events(&passage, &loop, (struct passo_pulse){0},
                 "I1 i2 i3 i4 I1 i2 i3 [ b45.4 B46.1 (b46.2) i2 B47.1 b47.2 b47.3 B48.1 b48.2 "
                 "b48.3 < B49.1 .");
    struct passo_timeline *timeline = build(&passage, &loop, (struct passo_pulse){0}, 96000);
    const struct passo_event *preparation = &timeline->event[11];
    assert_int_equal(preparation->click, PASSO_CLICK_COUNT);
    assert_int_equal(preparation->bar, 46);
    assert_int_equal(preparation->beat, 2);
    assert_int_equal(preparation->of, 2);
    /* It enters at the rit.'s eighth beat: 96 - 3 * 7 = 75 is the count-in's tempo, for a bar and
     * three beats more: 7 * 0.8 s; that beat lasts 20 ln(75/72) s. */
    assert_int_equal(passo_instant_frame(timeline->body), 268800);
    double beat = (double)(timeline->event[9].frame - timeline->event[8].frame) / RATE_HZ;
    assert_true(fabs(beat - 20 * log(75 / 72.0)) < .00005);
    free(timeline);
}

/* --- the other kinds --- */

static void test_steps_and_equal_notes(void **state)
{
    (void)state;
    const int64_t q = QUARTER;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 1, 3);
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 2, none, 2, none, ratio(2, 3)));
    write_in(&passage, change_of(PASSO_WRITTEN_SAME_NOTE, 3, none, 3, none, ratio(3, 2)));
    complete(&passage);
    const int64_t frame[] = {0, 0, q, 2 * q, 7 * q / 2, 5 * q, 6 * q, 7 * q, 7 * q, 8 * q};
    check_frames(&passage, NULL, (struct passo_pulse){0}, frame, 10);
    struct passo_loop loop = loop_of(2, none, 3, none); /* the landing at its own tempo */
    const int64_t cut[] = {0, 0, 3 * q / 2, 3 * q, 3 * q, 4 * q};
    check_frames(&passage, &loop, (struct passo_pulse){0}, cut, 6);
    struct passo_timeline *timeline =
        build(&passage, &loop, (struct passo_pulse){.count_in_bars = 1}, 120000);
    assert_int_equal(timeline->body.frame, 3 * q); /* counted in at the tempo that begins there */
    free(timeline);
    /* 6/8 in two goes on as 2/4 beat for beat: quarter = dotted quarter, 2/3 of the dotted tempo */
    struct passo_passage six = {
        .meter = meter_of(6, 8), .beat = {3, 8}, .first_bar = 1, .bars = 2, .changes = 1};
    six.change[0] = (struct passo_meter_change){2, meter_of(2, 4)};
    write_in(&six, change_of(PASSO_WRITTEN_SAME_NOTE, 2, none, 2, none, ratio(2, 3)));
    complete(&six);
    const int64_t beats[] = {0, 0, q, 2 * q, 3 * q, 4 * q, 4 * q, 5 * q};
    /* 3/8 does not divide 2/4: its groups, quarters, are counted */
    check_frames(&six, NULL, (struct passo_pulse){0}, beats, 8);
}

static void test_a_breath_stands_still(void **state)
{
    (void)state;
    const int64_t q = QUARTER;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 1, 2);
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 2, none, 2, none, ratio(2, 1)));
    write_in(&passage, change_of(PASSO_WRITTEN_BREATH, 2, none, 2, none, ratio(3, 4)));
    complete(&passage);
    /* three quarters of a beat at the tempo before it, whatever the order of the lines */
    const int64_t frame[] = {0, 0, q, 11 * q / 4, 13 * q / 4, 15 * q / 4, 15 * q / 4, 17 * q / 4};
    check_frames(&passage, NULL, (struct passo_pulse){0}, frame, 8);
    struct passo_loop loop = loop_of(1, none, 2, none); /* before the landing */
    const int64_t first[] = {0, 0, q, 11 * q / 4, 11 * q / 4, 13 * q / 4};
    check_frames(&passage, &loop, (struct passo_pulse){0}, first, 6);
    loop = loop_of(2, none, 3, none); /* not at the entry */
    const int64_t second[] = {0, 0, q / 2, q, q, 3 * q / 2};
    check_frames(&passage, &loop, (struct passo_pulse){0}, second, 6);
}

/* 60 to 120 over four beats: b beats after 4 ln((60 + 15 b)/60) s (calculus; timeline.h). A breath
 * of half a beat before the third, at 90, lasts a third of a second. */
static void test_an_accelerando_with_a_breath(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 1);
    write_in(&passage, change_of(PASSO_WRITTEN_TO, 1, none, 1, ratio(4, 4), ratio(1, 1)));
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 1, none, 1, none, ratio(1, 2)));
    write_in(&passage,
             change_of(PASSO_WRITTEN_BREATH, 1, ratio(1, 2), 1, ratio(1, 2), ratio(1, 2)));
    complete(&passage);
    struct passo_timeline *timeline =
        build(&passage, NULL, (struct passo_pulse){.count_in_bars = 1}, 120000);
    assert_int_equal(timeline->body.frame, 4 * RATE_HZ); /* counted in at 60 */
    for (int b = 0; b < 4; b++) {
        double at = 4 * log((60 + 15 * b) / 60.0) + (b >= 2) / 3.0;
        double frame = (double)(timeline->event[5 + b].frame - timeline->body.frame);
        assert_true(fabs(frame - at * RATE_HZ) < .51);
    }
    double end = (4 * log(2) + 1 / 3.0) * RATE_HZ;
    assert_true(fabs((double)(timeline->landing.frame - timeline->body.frame) - end) < 1);
    assert_int_equal(passo_instant_sub(timeline->end, timeline->landing).frame, QUARTER);
    free(timeline);
}

/* A loop from the rit.'s middle counts in at the tempo reached, and two bars where that makes a bar
 * shorter than 1.6 s: 4/4 at 150 lasts just so. */
static void test_count_in_at_the_tempo_in_force(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 4);
    write_in(&passage, change_of(PASSO_WRITTEN_TO, 1, none, 3, none, ratio(1, 2)));
    complete(&passage);
    struct passo_loop loop = loop_of(2, none, 3, none);
    struct passo_pulse pulse = {0};
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &loop, .pulse = &pulse, .mbpm = 200000};
    struct passo_pass_span span = passo_pass_span(&shape); /* 3/4 of 200 is 150 */
    assert_int_equal(passo_ratio_cmp(span.count_in, ratio(4, 3)), 0);
    assert_int_equal(passo_ratio_cmp(span.landing, ratio(1, 2)), 0);
    shape.mbpm = 200001;
    assert_int_equal(passo_ratio_cmp(passo_pass_span(&shape).count_in, ratio(8, 3)), 0);
    /* mid-bar, where the tempo is 5/8: one bar and two beats of it */
    loop.from.at = ratio(1, 2);
    shape.mbpm = 120000;
    assert_int_equal(passo_ratio_cmp(passo_pass_span(&shape).count_in, ratio(12, 5)), 0);
}

static void test_a_general_pause(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    write_in(&passage, change_of(PASSO_WRITTEN_SILENT, 1, ratio(1, 4), 2, none, ratio(1, 1)));
    complete(&passage);
    check_events(&passage, NULL, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 [ B1.1 (b1.2) (b1.3) (b1.4) B2.1 b2.2 b2.3 b2.4 < B3.1 .");
    struct passo_loop loop = loop_of(1, ratio(1, 2), 1, ratio(3, 4));
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 i2 [ (b1.3) < b1.4 ."); /* the landing is heard */
}

/* A pickup of an eighth, swung 2:1, into a slower first bar. */
static void test_a_swung_pickup(void **state)
{
    (void)state;
    struct passo_passage passage = {
        .meter = meter_of(2, 4), .beat = {1, 4}, .first_bar = 1, .bars = 1, .pickup = {1, 4}};
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 1, none, 1, none, ratio(1, 2)));
    complete(&passage);
    struct passo_pulse pulse = {.subdivide = 2, .swing_long = 2, .swing_short = 1};
    const int64_t frame[] = {0, 0, 16000, 24000, 56000, 72000, 104000, 120000, 120000, 168000};
    check_frames(&passage, NULL, pulse, frame, 10);
}

static void test_times_are_those_of_the_timeline(void **state)
{
    (void)state;
    struct passo_passage passage;
    write_session_5(&passage);
    struct passo_pulse pulse = {0};
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &passage.loop[0], .pulse = &pulse, .mbpm = 96000};
    struct passo_pass_times times = passo_pass_times(&shape);
    assert_int_equal(times.count_in_ns, INT64_C(2500000000));
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    int64_t played_ns = passo_instant_ns(passo_instant_sub(timeline->end, timeline->body), RATE_HZ);
    assert_true(llabs(played_ns - times.played_ns) <= 1);
    /* 23.462 s and the landing's beat */
    assert_int_equal((times.played_ns + 500000) / 1000000, 23462 + 625);
    free(timeline);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_session_5),
        cmocka_unit_test(test_session_5_events),
        cmocka_unit_test(test_steps_and_equal_notes),
        cmocka_unit_test(test_a_breath_stands_still),
        cmocka_unit_test(test_an_accelerando_with_a_breath),
        cmocka_unit_test(test_count_in_at_the_tempo_in_force),
        cmocka_unit_test(test_a_general_pause),
        cmocka_unit_test(test_a_swung_pickup),
        cmocka_unit_test(test_times_are_those_of_the_timeline),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
