/* Frames and nanoseconds: there and back at every usual rate, rounding, negative times, ends. */
#include "help.h"

#include "sound/frames.h"

static const uint32_t rates[] = {8000, 11025, 22050, 44100, 48000, 88200, 96000, 192000, 384000};

/* Published figure: one frame at 48 kHz is 20.833 microseconds (references.md section 6: 21 us). */
static void test_values(void **state)
{
    (void)state;
    assert_int_equal(passo_frames_to_ns(1, 48000), 20834);
    assert_int_equal(passo_frames_to_ns(3, 48000), 62500);
    assert_int_equal(passo_frames_to_ns(44100, 44100), 1000000000);
    assert_int_equal(passo_frames_to_ns(-1, 48000), -20833);
    assert_int_equal(passo_ns_to_frames(20833, 48000), 0);
    assert_int_equal(passo_ns_to_frames(20834, 48000), 1);
    assert_int_equal(passo_ns_to_frames(-1, 48000), -1);
}

static void test_there_and_back(void **state)
{
    (void)state;
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        int64_t day = (int64_t)rates[r] * 86400;
        for (int64_t frame = -100000; frame < 100000; frame += 7)
            assert_int_equal(passo_ns_to_frames(passo_frames_to_ns(frame, rates[r]), rates[r]),
                             frame);
        for (int64_t frame = day - 1000; frame < day + 1000; frame++)
            assert_int_equal(passo_ns_to_frames(passo_frames_to_ns(frame, rates[r]), rates[r]),
                             frame);
    }
}

/* "Never" may be handed in: the result is far away, not overflown. */
static void test_ends_saturate(void **state)
{
    (void)state;
    assert_true(passo_frames_to_ns(INT64_MAX, 8000) > INT64_C(6000000000000000000));
    assert_true(passo_frames_to_ns(INT64_MIN, 8000) < -INT64_C(6000000000000000000));
    assert_true(passo_ns_to_frames(INT64_MAX, 384000) > INT64_C(2000000000000000));
    assert_true(passo_ns_to_frames(INT64_MIN, 384000) < -INT64_C(2000000000000000));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_values),
        cmocka_unit_test(test_there_and_back),
        cmocka_unit_test(test_ends_saturate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
