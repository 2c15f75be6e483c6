/* Clicks that stay silent to test the inner pulse: silent bars, thinning, off-beats and back
 * beats. */
#include "time_tools.h"

#define RATE_HZ 48000

static const struct passo_ratio none = {0, 1};
static const struct passo_instant zero = {0, 0};

/* The events of the body on, as a line. */
static const char *body_of(const struct passo_pass_shape *shape, char *text, size_t bytes)
{
    struct passo_timeline *timeline = passo_timeline_build(shape, 1, zero, RATE_HZ);
    written(timeline, text, bytes);
    free(timeline);
    return strchr(text, '[');
}

static void check_body(const struct passo_passage *passage, const struct passo_loop *loop,
                       struct passo_pulse pulse, const char *expected)
{
    char text[4096];
    struct passo_pass_shape shape = {.passage = passage,
                                     .loop = loop ? loop : &passage->loop[0],
                                     .pulse = &pulse,
                                     .mbpm = 60000};
    assert_string_equal(body_of(&shape, text, sizeof text), expected);
}

/* trade.md session 14: clicks return at 8.571, 17.143, 25.714 s after the first downbeat, the
 * landing at 34.286 s. */
static void test_session_14(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(3, 4), ratio(1, 4), 1, 16);
    struct passo_pulse pulse = {.mute_bars = 2, .mute_of = 4};
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &passage.loop[0], .pulse = &pulse, .mbpm = 84000};
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    static const int64_t back_ms[] = {0, 8571, 17143, 25714, 34286};
    size_t returns = 0;
    size_t heard = 0;
    bool silent = true;
    for (size_t i = 4; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (event->kind == PASSO_EVENT_CLICK && silent) {
            struct passo_instant at = {event->frame, 0};
            int64_t ns = passo_instant_ns(passo_instant_sub(at, timeline->body), RATE_HZ);
            assert_true(returns < 5);
            assert_int_equal((ns + 500000) / 1000000, back_ms[returns++]);
            assert_int_equal(event->click, PASSO_CLICK_BAR);
        }
        if (event->kind == PASSO_EVENT_CLICK || event->kind == PASSO_EVENT_SILENT_CLICK)
            silent = event->kind == PASSO_EVENT_SILENT_CLICK;
        heard += event->kind == PASSO_EVENT_CLICK;
    }
    assert_int_equal(returns, 5);
    assert_int_equal(heard, 8 * 3 + 1);
    free(timeline);
}

static void test_silent_bars_count_from_the_first_full_bar(void **state)
{
    (void)state;
    struct passo_passage passage = {
        .meter = meter_of(2, 4), .beat = {1, 4}, .first_bar = 1, .bars = 4, .pickup = {1, 4}};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_pulse pulse = {.mute_bars = 1, .mute_of = 2};
    check_body(&passage, NULL, pulse,
               "[ b0.2 B1.1 b1.2 (B2.1) (b2.2) B3.1 b3.2 (B4.1) (b4.2) < B5.1 .");
    struct passo_loop loop = loop_of(1, ratio(1, 4), 3, ratio(1, 4));
    check_body(&passage, &loop, pulse, "[ b1.2 B2.1 b2.2 (B3.1) < b3.2 .");
    pulse = (struct passo_pulse){.mute_bars = 2, .mute_of = 3, .subdivide = 2};
    check_body(&passage, &loop, pulse, "[ b1.2 s1.2 B2.1 s2.1 b2.2 s2.2 (B3.1) (s3.1) < b3.2 .");
    check_body(&passage, NULL, (struct passo_pulse){.mute_permille = 1000},
               "[ b0.2 (B1.1) (b1.2) (B2.1) (b2.2) (B3.1) (b3.2) (B4.1) (b4.2) < B5.1 .");
    char text[512];
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &loop, .pulse = &pulse, .mbpm = 60000, .all_bars = true};
    assert_string_equal(body_of(&shape, text, sizeof text),
                        "[ b1.2 s1.2 B2.1 s2.1 b2.2 s2.2 B3.1 s3.1 < b3.2 .");
}

/* Which of at most 64 bars are silent, as bits; each bar is wholly silent or wholly heard. */
static uint64_t drawn_bars(const struct passo_pass_shape *shape)
{
    struct passo_timeline *timeline = passo_timeline_build(shape, 1, zero, RATE_HZ);
    uint64_t silent = 0;
    uint64_t heard = 0;
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (event->kind == PASSO_EVENT_LAND)
            break;
        if (event->bar < 1)
            continue;
        uint64_t bit = UINT64_C(1) << (event->bar - 1);
        silent |= event->kind == PASSO_EVENT_SILENT_CLICK ? bit : 0;
        heard |= event->kind == PASSO_EVENT_CLICK ? bit : 0;
    }
    assert_int_equal(timeline->event[timeline->events - 2].kind, PASSO_EVENT_CLICK);
    free(timeline);
    assert_int_equal(silent & heard, 0);
    return silent;
}

static void test_drawn_bars(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 1, 40);
    struct passo_pulse pulse = {.mute_permille = 250};
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &passage.loop[0], .pulse = &pulse, .mbpm = 60000};
    uint64_t times[40] = {0};
    size_t same = 0;
    uint64_t last = 0;
    for (shape.seed = 1; shape.seed <= 400; shape.seed++) {
        uint64_t silent = drawn_bars(&shape);
        assert_int_equal(__builtin_popcountll(silent), 10); /* a quarter of 40, always */
        assert_true(drawn_bars(&shape) == silent);          /* the seed decides */
        same += silent == last;
        last = silent;
        for (int i = 0; i < 40; i++)
            times[i] += silent >> i & 1;
    }
    assert_int_equal(same, 0);
    /* Each bar 100 times in 400, standard deviation sqrt(400 / 4 * 3 / 4) = 8.7: within 5 of it. */
    for (int i = 0; i < 40; i++)
        assert_in_range(times[i], 100 - 44, 100 + 44);
    pulse.mute_permille = 1000;
    assert_int_equal(__builtin_popcountll(drawn_bars(&shape)), 40);
    shape.all_bars = true;
    assert_true(drawn_bars(&shape) == 0);
    pulse = (struct passo_pulse){.mute_bars = 1, .mute_of = 4, .mute_permille = 1000};
    shape.all_bars = false; /* mute_of goes before the share */
    assert_true(drawn_bars(&shape) == UINT64_C(0x8888888888));
}

/* all beats, 1 and 3, 1, every second bar, nothing after the count-in (trade.md section 2-3 (a)) */
static void test_thinning(void **state)
{
    (void)state;
    struct passo_passage common = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    struct passo_pulse pulse = {.thin = PASSO_THIN_HALVES};
    check_body(&common, NULL, pulse, "[ B1.1 (b1.2) b1.3 (b1.4) B2.1 (b2.2) b2.3 (b2.4) < B3.1 .");
    pulse.subdivide = 2;
    struct passo_loop loop = loop_of(1, none, 1, ratio(1, 2));
    check_body(&common, &loop, pulse, "[ B1.1 (s1.1) (b1.2) (s1.2) < b1.3 .");
    pulse = (struct passo_pulse){.thin = PASSO_THIN_BARS};
    check_body(&common, NULL, pulse,
               "[ B1.1 (b1.2) (b1.3) (b1.4) B2.1 (b2.2) (b2.3) (b2.4) < B3.1 .");
    pulse.thin = PASSO_THIN_TWO_BARS;
    check_body(&common, NULL, pulse,
               "[ B1.1 (b1.2) (b1.3) (b1.4) (B2.1) (b2.2) (b2.3) (b2.4) < B3.1 .");
    loop = loop_of(1, ratio(3, 4), 3, none); /* from the first full bar */
    check_body(&common, &loop, pulse, "[ (b1.4) B2.1 (b2.2) (b2.3) (b2.4) < B3.1 .");
    pulse.thin = PASSO_THIN_COUNT_IN;
    check_body(&common, &loop, pulse, "[ (b1.4) (B2.1) (b2.2) (b2.3) (b2.4) < (B3.1) .");
    struct passo_passage waltz = passage_of(meter_of(3, 4), ratio(1, 4), 1, 1);
    pulse.thin = PASSO_THIN_HALVES; /* an odd number of beats: the first */
    check_body(&waltz, NULL, pulse, "[ B1.1 (b1.2) (b1.3) < B2.1 .");
}

static void test_the_thinner_of_two_holds(void **state)
{
    (void)state;
    struct passo_passage common = passage_of(meter_of(4, 4), ratio(1, 4), 1, 1);
    struct passo_pulse pulse = {.thin = PASSO_THIN_HALVES};
    struct passo_pass_shape shape = {.passage = &common,
                                     .loop = &common.loop[0],
                                     .pulse = &pulse,
                                     .mbpm = 60000,
                                     .thin = PASSO_THIN_BARS};
    char text[256];
    assert_string_equal(body_of(&shape, text, sizeof text), "[ B1.1 (b1.2) (b1.3) (b1.4) < B2.1 .");
    pulse.thin = PASSO_THIN_COUNT_IN;
    assert_string_equal(body_of(&shape, text, sizeof text),
                        "[ (B1.1) (b1.2) (b1.3) (b1.4) < (B2.1) .");
    shape.thin = PASSO_THIN_NONE; /* the count-in is never thinned */
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(timeline->event[i].kind, PASSO_EVENT_CLICK);
    free(timeline);
}

/* The frames of the heard clicks from the body to the landing. */
static size_t heard(const struct passo_passage *passage, struct passo_pulse pulse,
                    int64_t out_frame[64])
{
    struct passo_pass_shape shape = {
        .passage = passage, .loop = &passage->loop[0], .pulse = &pulse, .mbpm = 120000};
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    size_t found = 0;
    bool body = false;
    for (size_t i = 0; timeline->event[i].kind != PASSO_EVENT_LAND; i++) {
        const struct passo_event *event = &timeline->event[i];
        body = body || event->kind == PASSO_EVENT_BODY;
        if (body && event->kind == PASSO_EVENT_CLICK)
            out_frame[found++] = event->frame - timeline->body.frame;
    }
    free(timeline);
    return found;
}

static void check_heard(const struct passo_passage *passage, struct passo_pulse pulse,
                        const int64_t *frame, size_t frames)
{
    int64_t found[64];
    assert_int_equal(heard(passage, pulse, found), frames);
    for (size_t i = 0; i < frames; i++)
        assert_int_equal(found[i], frame[i]);
}

static void test_off_beats(void **state)
{
    (void)state;
    struct passo_passage common = passage_of(meter_of(4, 4), ratio(1, 4), 1, 1);
    struct passo_pulse pulse = {.place = PASSO_PLACE_OFF_BEAT};
    check_body(&common, NULL, pulse, "[ (B1.1) B1.1 (b1.2) b1.2 (b1.3) b1.3 (b1.4) b1.4 < B2.1 .");
    check_heard(&common, pulse, (const int64_t[]){12000, 36000, 60000, 84000}, 4);
    pulse.swing_long = 2;
    pulse.swing_short = 1;
    check_heard(&common, pulse, (const int64_t[]){16000, 40000, 64000, 88000}, 4);
    pulse.subdivide = 4; /* there are none */
    check_heard(&common, pulse, (const int64_t[]){16000, 40000, 64000, 88000}, 4);
    pulse.thin = PASSO_THIN_HALVES; /* what follows 1 and 3 */
    check_heard(&common, pulse, (const int64_t[]){16000, 64000}, 2);
    pulse.silent = 1 << PASSO_CLICK_BAR; /* as strong as the beat before */
    check_heard(&common, pulse, (const int64_t[]){64000}, 1);
    /* 2+2+3 eighths, each 12,000 frames: half way in each, straight */
    struct passo_passage seven = passage_of(groups_of(8, 3, 2, 2, 3), ratio(1, 4), 1, 1);
    pulse = (struct passo_pulse){.place = PASSO_PLACE_OFF_BEAT, .swing_long = 2, .swing_short = 1};
    pulse.count = none;
    check_heard(&seven, pulse, (const int64_t[]){12000, 36000, 66000}, 3);
}

static void test_back_beats(void **state)
{
    (void)state;
    struct passo_passage common = passage_of(meter_of(4, 4), ratio(1, 4), 1, 1);
    struct passo_pulse pulse = {.place = PASSO_PLACE_BACK_BEAT};
    check_body(&common, NULL, pulse, "[ (B1.1) b1.2 (b1.3) b1.4 < B2.1 .");
    pulse.thin = PASSO_THIN_HALVES; /* they are every second beat */
    check_body(&common, NULL, pulse, "[ (B1.1) b1.2 (b1.3) b1.4 < B2.1 .");
    pulse.thin = PASSO_THIN_BARS;
    check_body(&common, NULL, pulse, "[ (B1.1) b1.2 (b1.3) (b1.4) < B2.1 .");
    pulse.thin = PASSO_THIN_NONE;
    pulse.subdivide = 2;
    check_body(&common, NULL, pulse, "[ (B1.1) (s1.1) b1.2 s1.2 (b1.3) (s1.3) b1.4 s1.4 < B2.1 .");
    struct passo_passage waltz = passage_of(meter_of(3, 4), ratio(1, 4), 1, 1);
    pulse.subdivide = 0;
    check_body(&waltz, NULL, pulse, "[ B1.1 b1.2 b1.3 < B2.1 .");
}

static void build_with(struct passo_pulse pulse)
{
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &passage.loop[0], .pulse = &pulse, .mbpm = 120000};
    free(passo_timeline_build(&shape, 1, zero, RATE_HZ));
}

static void build_all_muted(void)
{
    build_with((struct passo_pulse){.mute_bars = 4, .mute_of = 4});
}

static void build_long_round(void)
{
    build_with((struct passo_pulse){.mute_bars = 1, .mute_of = 65});
}

static void build_more_than_all(void)
{
    build_with((struct passo_pulse){.mute_permille = 1001});
}

static void build_odd_thinning(void)
{
    build_with((struct passo_pulse){.thin = PASSO_THIN_COUNT});
}

static void build_odd_place(void)
{
    build_with((struct passo_pulse){.place = PASSO_PLACE_COUNT});
}

static void test_faulty_pulses_stop_the_program(void **state)
{
    (void)state;
    assert_true(stops_the_program(build_all_muted));
    assert_true(stops_the_program(build_long_round));
    assert_true(stops_the_program(build_more_than_all));
    assert_true(stops_the_program(build_odd_thinning));
    assert_true(stops_the_program(build_odd_place));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_session_14),
        cmocka_unit_test(test_silent_bars_count_from_the_first_full_bar),
        cmocka_unit_test(test_drawn_bars),
        cmocka_unit_test(test_thinning),
        cmocka_unit_test(test_the_thinner_of_two_holds),
        cmocka_unit_test(test_off_beats),
        cmocka_unit_test(test_back_beats),
        cmocka_unit_test(test_faulty_pulses_stop_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
