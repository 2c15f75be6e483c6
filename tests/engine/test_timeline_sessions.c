/* Worked numbers of trade.md section 4 that time alone decides: sessions that are not climbs, and
 * to the frame what tests/session/trade says in seconds. */
#include "time_tools.h"

#define RATE_HZ 48000

static const struct passo_ratio none = {0, 1};

/* 12.3456 s as 12346: the pages give seconds to three places. */
static int64_t ms(struct passo_instant length)
{
    return (passo_instant_ns(length, RATE_HZ) + 500000) / 1000000;
}

/* One pass from `start`. Returns where its rest ends, which is the larger of least_ms and permille
 * of the playing. */
static struct passo_instant play(const struct passo_passage *passage, const struct passo_loop *loop,
                                 int32_t mbpm, int64_t least_ms, int32_t permille,
                                 struct passo_instant start, struct passo_timeline **out_timeline)
{
    struct passo_pulse pulse = {0};
    struct passo_pass_shape shape = {
        .passage = passage, .loop = loop, .pulse = &pulse, .mbpm = mbpm};
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, start, RATE_HZ);
    struct passo_instant played = passo_instant_sub(timeline->end, timeline->body);
    struct passo_instant rest = passo_instant_scale(played, permille);
    struct passo_instant least = passo_instant_from_ms(least_ms, RATE_HZ);
    if (passo_instant_cmp(rest, least) < 0)
        rest = least;
    *out_timeline = timeline;
    return passo_instant_add(timeline->end, rest);
}

/* Tenths of a second, as the page gives them. */
static int64_t tenths(struct passo_instant length)
{
    return (ms(length) + 50) / 100;
}

static void test_session_4_seven_eight(void **state)
{
    (void)state;
    struct passo_passage passage = {.meter = groups_of(8, 3, 2, 2, 3),
                                    .beat = {1, 8},
                                    .first_bar = 1,
                                    .bars = 10,
                                    .changes = 2};
    passage.change[0] = (struct passo_meter_change){5, meter_of(3, 4)};
    passage.change[1] = (struct passo_meter_change){6, passage.meter};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_pulse pulse = {.count_below_mbpm = 210000};
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &passage.loop[0], .pulse = &pulse, .mbpm = 240000};
    assert_int_equal(passo_ratio_cmp(passo_pass_span(&shape).body, ratio(69, 8)), 0);
    struct passo_tempo tempo = {240000, {1, 8}};
    assert_int_equal(passo_tempo_ns(passo_pass_span(&shape).body, tempo), INT64_C(17250000000));
    tempo.mbpm = 150000;
    assert_int_equal(passo_tempo_ns(passo_pass_span(&shape).body, tempo), INT64_C(27600000000));

    /* groups only at 240: 0.5 0.5 0.75 s, the 3/4 bar 0.5 0.5 0.5 s */
    struct passo_timeline *timeline =
        passo_timeline_build(&shape, 1, (struct passo_instant){0, 0}, RATE_HZ);
    static const int64_t lasts[] = {24000, 24000, 36000};
    assert_int_equal(timeline->events, 3 + 1 + 30 + 3);
    for (size_t i = 0; i < 30; i++) {
        const struct passo_event *event = &timeline->event[4 + i];
        const struct passo_event *next = &timeline->event[5 + i];
        assert_int_equal(next->frame - event->frame, event->bar == 5 ? 24000 : lasts[i % 3]);
        assert_int_equal(event->bar, 1 + (int32_t)i / 3);
        assert_int_equal(event->of, 3);
    }
    free(timeline);
    /* all eighths below 210: in the 3/4 bar too */
    shape.mbpm = 200730;
    timeline = passo_timeline_build(&shape, 1, (struct passo_instant){0, 0}, RATE_HZ);
    assert_int_equal(timeline->events, 7 + 1 + 69 + 3);
    free(timeline);
}

static void test_session_6_from_bar_4_beat_4(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 8);
    struct passo_loop second_half = loop_of(4, ratio(3, 4), 9, none);
    struct passo_timeline *timeline;
    play(&passage, &second_half, 72000, 6000, 1000, (struct passo_instant){0, 0}, &timeline);
    char text[1024];
    const char *start = "I1 i2 i3 i4 I1 i2 i3 [ b4.4 B5.1 b5.2";
    assert_int_equal(strncmp(written(timeline, text, sizeof text), start, strlen(start)), 0);
    free(timeline);
}

static void test_session_9_check(void **state)
{
    (void)state;
    static const struct {
        uint8_t beats;
        int32_t bars, bpm;
        int64_t pass_ms;
    } spot[] = {
        {4, 4, 132, 7727}, {3, 8, 112, 13393}, {4, 8, 96, 20625},
        {3, 4, 66, 11818}, {4, 4, 88, 11591},
    };
    struct passo_instant at = {0, 0};
    for (size_t i = 0; i < 5; i++) {
        struct passo_passage passage =
            passage_of(meter_of(spot[i].beats, 4), ratio(1, 4), 1, spot[i].bars);
        struct passo_timeline *timeline;
        at = play(&passage, &passage.loop[0], spot[i].bpm * 1000, 15000, 2000, at, &timeline);
        assert_int_equal(ms(passo_instant_sub(timeline->end, timeline->body)), spot[i].pass_ms);
        free(timeline);
    }
    assert_int_equal(tenths(at), 2068);
}

static void test_session_13_phone_track(void **state)
{
    (void)state;
    static const int32_t bpm[] = {80, 80, 88, 88, 96, 96};
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 8);
    struct passo_instant at = {0, 0};
    int64_t downbeat_ms[6];
    int64_t end_ms = 0;
    for (size_t i = 0; i < 6; i++) {
        struct passo_timeline *timeline;
        at = play(&passage, &passage.loop[0], bpm[i] * 1000, 8000, 1000, at, &timeline);
        downbeat_ms[i] = ms(timeline->body);
        end_ms = ms(timeline->end);
        if (i == 0) {
            assert_int_equal(timeline->event[5].frame, 144000);
            assert_int_equal(timeline->event[5].click, PASSO_CLICK_BAR);
        }
        free(timeline);
    }
    assert_int_equal(downbeat_ms[0], 3000);
    assert_int_equal(downbeat_ms[1], 55500);
    assert_int_equal(downbeat_ms[2], 107727);
    assert_int_equal(end_ms, 267330);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_session_4_seven_eight),
        cmocka_unit_test(test_session_6_from_bar_4_beat_4),
        cmocka_unit_test(test_session_9_check),
        cmocka_unit_test(test_session_13_phone_track),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
