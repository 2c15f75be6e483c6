/* The tone of a pass: where its two events stand, at which level, and the pass without clicks that
 * may lie over it. At quarter = 120 and 48 kHz a quarter is 24,000 frames. */
#include "time_tools.h"

#include <math.h>

#define RATE_HZ 48000
#define QUARTER 24000
#define B_FLAT  58.27047F

static const struct passo_instant zero = {0, 0};
static const struct passo_pulse plain = {0};

static struct passo_pass_shape shape_of(const struct passo_passage *passage,
                                        const struct passo_pulse *pulse)
{
    return (struct passo_pass_shape){
        .passage = passage, .loop = &passage->loop[0], .pulse = pulse, .mbpm = 120000};
}

static void check(const struct passo_pass_shape *shape, const char *expected)
{
    char text[4096];
    struct passo_timeline *timeline = passo_timeline_build(shape, 1, zero, RATE_HZ);
    assert_string_equal(written(timeline, text, sizeof text), expected);
    free(timeline);
}

static void test_a_tone_from_the_first_click_to_the_end(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 5, 1);
    struct passo_pass_shape shape = shape_of(&passage, &plain);
    shape.drone[0].hz = B_FLAT;
    check(&shape, "{ I1 i2 I1 i2 [ B5.1 b5.2 < B6.1 } .");
    shape.no_landing = true;
    check(&shape, "{ I1 i2 I1 i2 [ B5.1 b5.2 } .");
    shape.no_count_in = true;
    check(&shape, "{ [ B5.1 b5.2 } .");
    shape.no_landing = false;
    check(&shape, "{ [ B5.1 b5.2 < B6.1 } .");
    shape.drone[0].hz = 0;
    shape.drone[0].level = 0.5F;
    check(&shape, "[ B5.1 b5.2 < B6.1 .");
}

/* The frame of a start that is rounded up belongs to the tone as to the click. */
static void test_its_frames(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 5, 1);
    struct passo_pass_shape shape = shape_of(&passage, &plain);
    shape.drone[0].hz = B_FLAT;
    for (uint32_t half = 0; half < 2; half++) {
        struct passo_instant start = {1000, half << 31};
        struct passo_timeline *timeline = passo_timeline_build(&shape, 1, start, RATE_HZ);
        const struct passo_event *on = &timeline->event[0];
        const struct passo_event *off = &timeline->event[timeline->events - 2];
        assert_int_equal(on->kind, PASSO_EVENT_TONE_ON);
        assert_int_equal(on->frame, half);
        assert_int_equal(off->kind, PASSO_EVENT_TONE_OFF);
        assert_int_equal(off->frame, 7 * QUARTER + half);
        assert_int_equal(off->frame, (off + 1)->frame);
        assert_int_equal(on->bar | on->beat | on->of | off->bar | off->beat | off->of, 0);
        free(timeline);
    }
}

static struct passo_tone tone_built(struct passo_tone tone)
{
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 5, 1);
    struct passo_pass_shape shape = shape_of(&passage, &plain);
    shape.drone[0] = tone;
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, RATE_HZ);
    struct passo_tone built = timeline->tones ? timeline->tone[0] : (struct passo_tone){0};
    free(timeline);
    return built;
}

static void test_its_level(void **state)
{
    (void)state;
    struct passo_tone usual = tone_built((struct passo_tone){.hz = B_FLAT, .level = 0});
    assert_true(usual.hz == B_FLAT);
    assert_true(fabsf(20 * log10f(usual.level) + 20) < 0.01F); /* 20 dB under full scale */
    assert_true(tone_built((struct passo_tone){.hz = B_FLAT, .level = 0.5F}).level == 0.5F);
    assert_true(tone_built((struct passo_tone){.hz = B_FLAT, .level = 1}).level == 1);
    struct passo_tone none = tone_built((struct passo_tone){.hz = 0, .level = 0.5F});
    assert_true(none.hz == 0 && none.level == 0);
}

/* Subdivisions, a fermata that begins between clicks, its preparation and the landing. */
static void test_without_clicks_the_count_in_sounds(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(2, 4), ratio(1, 4), 1, 2);
    write_in(&passage,
             change_of(PASSO_WRITTEN_FERMATA, 1, ratio(3, 8), 2, ratio(0, 1), ratio(2, 1)))
        ->beats = 1;
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_pulse pulse = {.count_in_bars = 1};
    struct passo_pass_shape shape = shape_of(&passage, &pulse);
    check(&shape, "I1 i2 [ B1.1 b1.2 b1.2 i2 B2.1 b2.2 < B3.1 .");
    shape.no_clicks = true;
    check(&shape, "I1 i2 [ (B1.1) (b1.2) (b1.2) (i2) (B2.1) (b2.2) < (B3.1) .");
    pulse.subdivide = 2;
    shape.drone[0].hz = B_FLAT;
    check(&shape, "{ I1 i2 [ (B1.1) (s1.1) (b1.2) (s1.2) (i2) (B2.1) (s2.1) (b2.2) (s2.2) < "
                  "(B3.1) } .");
    pulse.silent = 1U << PASSO_CLICK_COUNT;
    pulse.subdivide = 0;
    check(&shape, "{ I1 (i2) [ (B1.1) (b1.2) (b1.2) (i2) (B2.1) (b2.2) < (B3.1) } .");
}

static struct passo_pulse drawn_pulse(uint64_t *random)
{
    return (struct passo_pulse){
        .subdivide = (uint8_t)random_between(random, 0, 6),
        .silent = (uint8_t)random_between(random, 0, 63),
        .mute_permille = (uint16_t)random_between(random, 0, 1000),
        .thin = (enum passo_thin)random_between(random, 0, PASSO_THIN_COUNT - 1),
        .place = (enum passo_click_place)random_between(random, 0, PASSO_PLACE_COUNT - 1),
    };
}

static bool is_click(const struct passo_event *event)
{
    return event->kind == PASSO_EVENT_CLICK || event->kind == PASSO_EVENT_SILENT_CLICK;
}

/* Under any pulse: the same events on the same frames with the two of the tone around them; of the
 * kinds only the body's clicks have changed, to silent ones. */
static void check_against(const struct passo_timeline *bare, const struct passo_timeline *toned)
{
    assert_int_equal(toned->events, bare->events + 2);
    assert_int_equal(passo_instant_cmp(toned->end, bare->end), 0);
    bool body = false;
    for (size_t i = 0; i < bare->events; i++) {
        bool last = i + 1 == bare->events;
        struct passo_event was = bare->event[i];
        body = body || was.kind == PASSO_EVENT_BODY;
        if (body && is_click(&was))
            was.kind = PASSO_EVENT_SILENT_CLICK;
        assert_memory_equal(&toned->event[i + 1 + last], &was, sizeof was);
    }
}

static void test_nothing_else_changes(void **state)
{
    (void)state;
    uint64_t random = 20260101;
    size_t sounding = 0;
    for (int round = 0; round < 2000; round++) {
        struct passo_passage passage =
            passage_of(meter_of(random_between(&random, 1, 7), 4), ratio(1, 4), 1, 4);
        struct passo_pulse pulse = drawn_pulse(&random);
        struct passo_pass_shape shape = shape_of(&passage, &pulse);
        struct passo_instant start = {0, (uint32_t)random_bits(&random)};
        struct passo_timeline *bare = passo_timeline_build(&shape, 1, start, 44100);
        shape.drone[0].hz = B_FLAT;
        shape.no_clicks = true;
        struct passo_timeline *toned = passo_timeline_build(&shape, 1, start, 44100);
        check_against(bare, toned);
        for (size_t i = 0; i < toned->events; i++)
            sounding += toned->event[i].kind == PASSO_EVENT_CLICK;
        free(bare);
        free(toned);
    }
    assert_in_range(sounding, 2000, 2000 * 14); /* the count-ins */
}

static void build_below_zero(void)
{
    (void)tone_built((struct passo_tone){.hz = -1, .level = 0});
}

static void build_no_number(void)
{
    (void)tone_built((struct passo_tone){.hz = NAN, .level = 0});
}

static void build_endless(void)
{
    (void)tone_built((struct passo_tone){.hz = INFINITY, .level = 0});
}

static void build_too_loud(void)
{
    (void)tone_built((struct passo_tone){.hz = B_FLAT, .level = 1.5F});
}

static void build_upside_down(void)
{
    (void)tone_built((struct passo_tone){.hz = B_FLAT, .level = -0.5F});
}

static void test_faulty_tones_stop_the_program(void **state)
{
    (void)state;
    assert_true(stops_the_program(build_below_zero));
    assert_true(stops_the_program(build_no_number));
    assert_true(stops_the_program(build_endless));
    assert_true(stops_the_program(build_too_loud));
    assert_true(stops_the_program(build_upside_down));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_tone_from_the_first_click_to_the_end),
        cmocka_unit_test(test_its_frames),
        cmocka_unit_test(test_its_level),
        cmocka_unit_test(test_without_clicks_the_count_in_sounds),
        cmocka_unit_test(test_nothing_else_changes),
        cmocka_unit_test(test_faulty_tones_stop_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
