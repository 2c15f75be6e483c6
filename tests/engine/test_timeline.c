/* Timeline: what is in a pass, in which order, and where. At quarter = 120 and 48 kHz a quarter is
 * 24,000 frames, so that places can be read off. */
#include "time_tools.h"

#define RATE_HZ 48000
#define QUARTER 24000

static const struct passo_ratio none = {0, 1};
static const struct passo_instant zero = {0, 0};

/* One pass at 48 kHz from frame 0 under a pulse, loop 0 of the passage when loop is NULL. */
static struct passo_timeline *build(const struct passo_passage *passage,
                                    const struct passo_loop *loop, const struct passo_pulse *pulse,
                                    int32_t mbpm)
{
    struct passo_pass_shape shape = {
        .passage = passage, .loop = loop ? loop : &passage->loop[0], .pulse = pulse, .mbpm = mbpm};
    return passo_timeline_build(&shape, 7, zero, RATE_HZ);
}

static void check_events(const struct passo_passage *passage, const struct passo_loop *loop,
                         const struct passo_pulse *pulse, int32_t mbpm, const char *expected)
{
    char text[4096];
    struct passo_timeline *timeline = build(passage, loop, pulse, mbpm);
    assert_string_equal(written(timeline, text, sizeof text), expected);
    free(timeline);
}

static void test_a_plain_pass(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 33, 2);
    struct passo_pulse pulse = {0};
    check_events(&passage, NULL, &pulse, 120000,
                 "I1 i2 i3 i4 [ B33.1 b33.2 b33.3 b33.4 B34.1 b34.2 b34.3 b34.4 < B35.1 .");
    struct passo_timeline *timeline = build(&passage, NULL, &pulse, 120000);
    assert_int_equal(timeline->id, 7);
    assert_int_equal(timeline->rate_hz, RATE_HZ);
    int64_t beat = 0;
    for (size_t i = 0; i + 1 < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        assert_int_equal(event->frame, beat * QUARTER);
        assert_int_equal(event->of, 4);
        assert_int_equal(event->bar, i < 4 ? 0 : i < 9 ? 33 : i < 13 ? 34 : 35);
        beat += event->kind == PASSO_EVENT_CLICK;
    }
    assert_int_equal(timeline->event[timeline->events - 1].frame, 13 * QUARTER);
    assert_int_equal(timeline->body.frame, 4 * QUARTER);
    assert_int_equal(timeline->landing.frame, 12 * QUARTER);
    assert_int_equal(timeline->end.frame, 13 * QUARTER);
    free(timeline);
}

static void test_a_steady_pulse_is_body_alone(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(3, 4), ratio(1, 4), 1, 1);
    struct passo_pulse pulse = {0};
    struct passo_pass_shape shape = {.passage = &passage,
                                     .loop = &passage.loop[0],
                                     .pulse = &pulse,
                                     .mbpm = 120000,
                                     .no_count_in = true,
                                     .no_landing = true};
    char text[256];
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    assert_string_equal(written(timeline, text, sizeof text), "[ B1.1 b1.2 b1.3 .");
    assert_int_equal(passo_instant_cmp(timeline->body, timeline->start), 0);
    assert_int_equal(passo_instant_cmp(timeline->landing, timeline->end), 0);
    assert_int_equal(timeline->end.frame, 3 * QUARTER);
    free(timeline);
}

/* Frames of the clicks of a 1/4 bar at 120, without count-in and landing. */
static void check_one_beat(const struct passo_pulse *pulse, size_t clicks, const int64_t *frame)
{
    struct passo_passage passage = passage_of(meter_of(1, 4), ratio(1, 4), 1, 1);
    struct passo_pass_shape shape = {.passage = &passage,
                                     .loop = &passage.loop[0],
                                     .pulse = pulse,
                                     .mbpm = 120000,
                                     .no_count_in = true,
                                     .no_landing = true};
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    assert_int_equal(timeline->events, clicks + 2);
    for (size_t i = 0; i < clicks; i++) {
        const struct passo_event *event = &timeline->event[i + 1];
        assert_int_equal(event->frame, frame[i]);
        assert_int_equal(event->click, i ? PASSO_CLICK_SUB : PASSO_CLICK_BAR);
        assert_int_equal(event->beat, 1);
    }
    free(timeline);
}

static void test_subdivisions_divide_evenly(void **state)
{
    (void)state;
    for (uint8_t n = 0; n <= 6; n++) {
        struct passo_pulse pulse = {.subdivide = n};
        size_t clicks = n ? n : 1;
        int64_t frame[6];
        for (size_t k = 0; k < clicks; k++)
            frame[k] = (int64_t)k * QUARTER / (int64_t)clicks;
        check_one_beat(&pulse, clicks, frame);
    }
}

/* Triplet swing is 2:1; on-beats never move (common practice; trade.md section 2-3 (a) 13). */
static void test_swing_moves_every_other_click(void **state)
{
    (void)state;
    struct passo_pulse pulse = {.subdivide = 2, .swing_long = 2, .swing_short = 1};
    check_one_beat(&pulse, 2, (const int64_t[]){0, 16000});
    pulse.swing_long = 3;
    check_one_beat(&pulse, 2, (const int64_t[]){0, 18000});
    pulse.subdivide = 4;
    check_one_beat(&pulse, 4, (const int64_t[]){0, 9000, 12000, 21000});
    pulse.subdivide = 6;
    check_one_beat(&pulse, 6, (const int64_t[]){0, 6000, 8000, 14000, 16000, 22000});
    pulse.subdivide = 3;
    check_one_beat(&pulse, 3, (const int64_t[]){0, 8000, 16000});
    pulse = (struct passo_pulse){.subdivide = 2, .swing_long = 1, .swing_short = 1};
    check_one_beat(&pulse, 2, (const int64_t[]){0, 12000});
    pulse = (struct passo_pulse){.subdivide = 2, .swing_long = 1, .swing_short = 3};
    check_one_beat(&pulse, 2, (const int64_t[]){0, 6000});
}

static void test_meters_and_counted_units(void **state)
{
    (void)state;
    struct passo_pulse pulse = {.count_in_bars = 1};
    struct passo_passage waltz = passage_of(meter_of(3, 4), ratio(1, 4), 1, 1);
    check_events(&waltz, NULL, &pulse, 100000, "I1 i2 i3 [ B1.1 b1.2 b1.3 < B2.1 .");
    struct passo_passage five = passage_of(groups_of(4, 2, 3, 2), ratio(1, 4), 1, 1);
    check_events(&five, NULL, &pulse, 100000, "I1 i2 i3 i4 i5 [ B1.1 b1.2 b1.3 G1.4 b1.5 < B2.1 .");
    struct passo_passage six = passage_of(meter_of(6, 8), ratio(3, 8), 1, 1);
    check_events(&six, NULL, &pulse, 70000, "I1 i2 [ B1.1 b1.2 < B2.1 .");
    pulse.count = ratio(1, 8);
    check_events(&six, NULL, &pulse, 70000,
                 "I1 i2 i3 i4 i5 i6 [ B1.1 b1.2 b1.3 G1.4 b1.5 b1.6 < B2.1 .");
    struct passo_passage seven = passage_of(groups_of(8, 3, 2, 2, 3), ratio(1, 8), 1, 1);
    check_events(&seven, NULL, &pulse, 150000,
                 "I1 i2 i3 i4 i5 i6 i7 [ B1.1 b1.2 G1.3 b1.4 G1.5 b1.6 b1.7 < B2.1 .");
    pulse.count = none; /* the groups */
    check_events(&seven, NULL, &pulse, 150000, "I1 i2 i3 [ B1.1 b1.2 b1.3 < B2.1 .");
    pulse.subdivide = 2; /* unequal beats: the meter's own notes, and swing leaves them alone */
    pulse.swing_long = 3;
    pulse.swing_short = 1;
    check_events(&seven, NULL, &pulse, 150000,
                 "I1 i2 i3 [ B1.1 s1.1 b1.2 s1.2 b1.3 s1.3 s1.3 < B2.1 .");
    struct passo_timeline *timeline = build(&seven, NULL, &pulse, 150000);
    for (size_t i = 4; i < 11; i++) /* an eighth at 150 is 19,200 frames */
        assert_int_equal(timeline->event[i].frame, (int64_t)(7 + i - 4) * 19200);
    free(timeline);
}

static void test_units_and_subdivisions_change_with_speed(void **state)
{
    (void)state;
    struct passo_passage six = passage_of(meter_of(6, 8), ratio(3, 8), 1, 1);
    struct passo_pulse pulse = {.count = {1, 8}, .count_below_mbpm = 60000, .count_in_bars = 1};
    check_events(&six, NULL, &pulse, 59999,
                 "I1 i2 i3 i4 i5 i6 [ B1.1 b1.2 b1.3 G1.4 b1.5 b1.6 < B2.1 .");
    check_events(&six, NULL, &pulse, 60000, "I1 i2 [ B1.1 b1.2 < B2.1 .");
    pulse.subdivide = 3;
    pulse.subdivide_below_mbpm = 64000;
    check_events(&six, NULL, &pulse, 63999, "I1 i2 [ B1.1 s1.1 s1.1 b1.2 s1.2 s1.2 < B2.1 .");
    check_events(&six, NULL, &pulse, 64000, "I1 i2 [ B1.1 b1.2 < B2.1 .");
}

static void test_pickup_and_mid_bar_starts(void **state)
{
    (void)state;
    struct passo_pulse pulse = {0};
    struct passo_passage passage = {
        .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 1, .bars = 1, .pickup = {1, 4}};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    check_events(&passage, NULL, &pulse, 120000,
                 "I1 i2 i3 i4 I1 i2 i3 [ b0.4 B1.1 b1.2 b1.3 b1.4 < B2.1 .");
    passage.pickup = ratio(1, 8); /* off the beat: the counted beats before the entry */
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    check_events(&passage, NULL, &pulse, 120000,
                 "I1 i2 i3 i4 I1 i2 i3 i4 [ B1.1 b1.2 b1.3 b1.4 < B2.1 .");
    struct passo_timeline *timeline = build(&passage, NULL, &pulse, 120000);
    assert_int_equal(timeline->event[8].frame, 15 * QUARTER / 2);
    assert_int_equal(timeline->event[8].bar, 0);
    assert_int_equal(timeline->event[8].beat, 4);
    free(timeline);
    pulse.subdivide = 4; /* of the fourth beat only what lies from the entry on is sounded */
    struct passo_loop entry = loop_of(0, ratio(7, 8), 1, ratio(1, 4));
    check_events(&passage, &entry, &pulse, 120000,
                 "I1 i2 i3 i4 I1 i2 i3 i4 [ s0.4 s0.4 B1.1 s1.1 s1.1 s1.1 < b1.2 .");
    pulse.subdivide = 0;
    struct passo_loop chunk = loop_of(1, ratio(2, 4), 2, ratio(1, 4));
    check_events(&passage, &chunk, &pulse, 120000, "I1 i2 i3 i4 I1 i2 [ b1.3 b1.4 B2.1 < b2.2 .");
}

static void test_how_many_bars_are_counted_in(void **state)
{
    (void)state;
    struct passo_pulse pulse = {0};
    struct passo_passage common = passage_of(meter_of(4, 4), ratio(1, 4), 1, 1);
    const char *body = "[ B1.1 b1.2 b1.3 b1.4 < B2.1 .";
    static const struct {
        int32_t mbpm;
        uint8_t asked;
        const char *count_in;
    } row[] = {
        {150000, 0, "I1 i2 i3 i4"}, /* a bar of exactly 1.6 s */
        {150001, 0, "I1 i2 i3 i4 I1 i2 i3 i4"},
        {150001, 1, "I1 i2 i3 i4"},
        {60000, 2, "I1 i2 i3 i4 I1 i2 i3 i4"},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        char expected[256];
        snprintf(expected, sizeof expected, "%s %s", row[i].count_in, body);
        pulse.count_in_bars = row[i].asked;
        check_events(&common, NULL, &pulse, row[i].mbpm, expected);
    }
    pulse.count_in_bars = 0;
    struct passo_passage six = passage_of(meter_of(6, 8), ratio(3, 8), 1, 1);
    check_events(&six, NULL, &pulse, 75000, "I1 i2 [ B1.1 b1.2 < B2.1 .");
    check_events(&six, NULL, &pulse, 75001, "I1 i2 I1 i2 [ B1.1 b1.2 < B2.1 .");
}

static void test_landing_has_the_strength_of_its_place(void **state)
{
    (void)state;
    struct passo_pulse pulse = {.count_in_bars = 1};
    struct passo_passage passage = passage_of(groups_of(8, 3, 2, 2, 3), ratio(1, 8), 1, 2);
    struct passo_loop loop = loop_of(1, none, 1, ratio(2, 8));
    check_events(&passage, &loop, &pulse, 150000, "I1 i2 i3 i4 i5 i6 i7 [ B1.1 b1.2 < G1.3 .");
    loop.to = (struct passo_place){1, ratio(7, 8)}; /* the bar's end is the next bar's start */
    check_events(&passage, &loop, &pulse, 150000,
                 "I1 i2 i3 i4 i5 i6 i7 [ B1.1 b1.2 G1.3 b1.4 G1.5 b1.6 b1.7 < B2.1 .");
    /* in three, between beats: it lasts until the next counted beat */
    pulse.count = none;
    loop.to = (struct passo_place){1, ratio(5, 8)};
    check_events(&passage, &loop, &pulse, 150000, "I1 i2 i3 [ B1.1 b1.2 b1.3 < b1.3 .");
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &loop, .pulse = &pulse, .mbpm = 150000};
    assert_int_equal(passo_ratio_cmp(passo_pass_span(&shape).landing, ratio(2, 8)), 0);
    loop.to = (struct passo_place){2, ratio(1, 8)}; /* no second bar accent, off the beat */
    check_events(&passage, &loop, &pulse, 150000, "I1 i2 i3 [ B1.1 b1.2 b1.3 B2.1 < b2.1 .");
    loop.to = (struct passo_place){1, ratio(4, 8)};
    assert_int_equal(passo_ratio_cmp(passo_pass_span(&shape).landing, ratio(3, 8)), 0);
}

static void test_silent_clicks_still_give_notice(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 1, 1);
    struct passo_pulse pulse = {.subdivide = 2, .count_in_bars = 1};
    pulse.silent = 1 << PASSO_CLICK_SUB | 1 << PASSO_CLICK_COUNT;
    check_events(&passage, NULL, &pulse, 60000, "I1 (i2) [ B1.1 (s1.1) b1.2 (s1.2) < B2.1 .");
    pulse.silent = 1 << PASSO_CLICK_BAR | 1 << PASSO_CLICK_COUNT_BAR | 1 << PASSO_CLICK_BEAT;
    check_events(&passage, NULL, &pulse, 60000, "(I1) i2 [ (B1.1) s1.1 (b1.2) s1.2 < (B2.1) .");
}

/* The origin keeps its fraction: with half a frame before it every place rounds up. */
static void test_start_fraction_counts(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    struct passo_pulse pulse = {0};
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &passage.loop[0], .pulse = &pulse, .mbpm = 120000};
    struct passo_instant start = {1000, UINT32_C(1) << 31};
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, start, RATE_HZ);
    assert_int_equal(timeline->event[0].frame, 1);
    assert_int_equal(timeline->event[1].frame, QUARTER + 1);
    assert_int_equal(passo_instant_cmp(timeline->start, start), 0);
    assert_int_equal(timeline->body.frame, 1000 + 4 * QUARTER);
    assert_int_equal(timeline->body.fraction, start.fraction);
    free(timeline);
}

static void build_with(struct passo_pulse pulse, int32_t to_bar)
{
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    struct passo_loop loop = loop_of(1, none, to_bar, none);
    free(build(&passage, &loop, &pulse, 120000));
}

static void build_backward(void)
{
    build_with((struct passo_pulse){0}, 0);
}

static void build_nothing(void)
{
    build_with((struct passo_pulse){0}, 1);
}

static void build_seven_to_a_beat(void)
{
    build_with((struct passo_pulse){.subdivide = 7}, 2);
}

static void build_odd_swing(void)
{
    build_with((struct passo_pulse){.subdivide = 2, .swing_long = 10, .swing_short = 1}, 2);
}

static void test_faulty_shapes_stop_the_program(void **state)
{
    (void)state;
    assert_true(stops_the_program(build_backward));
    assert_true(stops_the_program(build_nothing));
    assert_true(stops_the_program(build_seven_to_a_beat));
    assert_true(stops_the_program(build_odd_swing));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_plain_pass),
        cmocka_unit_test(test_a_steady_pulse_is_body_alone),
        cmocka_unit_test(test_subdivisions_divide_evenly),
        cmocka_unit_test(test_swing_moves_every_other_click),
        cmocka_unit_test(test_meters_and_counted_units),
        cmocka_unit_test(test_units_and_subdivisions_change_with_speed),
        cmocka_unit_test(test_pickup_and_mid_bar_starts),
        cmocka_unit_test(test_how_many_bars_are_counted_in),
        cmocka_unit_test(test_landing_has_the_strength_of_its_place),
        cmocka_unit_test(test_silent_clicks_still_give_notice),
        cmocka_unit_test(test_start_fraction_counts),
        cmocka_unit_test(test_faulty_shapes_stop_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
