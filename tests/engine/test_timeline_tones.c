/* Tones by themselves: a starting note, a drone. */
#include "time_tools.h"

#define RATE_HZ 48000

static const struct passo_instant zero = {0, 0};

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
        cmocka_unit_test(test_tones_alone),
        cmocka_unit_test(test_faulty_calls_stop_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
