/* The slots of the tone: rises and ends without a step, the phase kept where the pitch stays. */
#include "tone_tools.h"

/* --- rise and end --- */

/* From nothing to the level in 40 ms and back in 80: each frame is the steady tone's times a raised
 * cosine, and no frame is a step. */
static void test_rise_and_end(void **state)
{
    (void)state;
    static float steady[FRAMES];
    struct passo_tones tones = quiet();
    start(&tones, LOW_HZ);
    float *out = mix(&tones, whole, 9600);
    passo_tones_release(&tones);
    mix(&tones, out, FRAMES - 9600);
    tones = quiet();
    passo_tones_start(&tones, (struct passo_tone){.hz = LOW_HZ, .level = LEVEL});
    tones.slot[0].left = 0; /* at its level from the first frame on */
    mix(&tones, steady, FRAMES);
    for (int i = 0; i < FRAMES; i++) {
        int gone = i - 9600;
        float gain = i < ATTACK       ? 0.5F - 0.5F * cosf(PI * (float)i / ATTACK)
                     : gone < 0       ? 1.0F
                     : gone < RELEASE ? 0.5F + 0.5F * cosf(PI * (float)gone / RELEASE)
                                      : 0.0F;
        assert_true(fabsf(whole[i] - gain * steady[i]) < 2e-6F);
    }
    assert_true(whole[0] == 0.0F);
    assert_true(whole[9600 + RELEASE] == 0.0F && fabsf(whole[9600 + RELEASE - 1]) < 1e-6F);
    assert_true(steepest(whole, FRAMES) <= slope_of(LOW_HZ) * 1.0001F);
}

static void test_it_sounds_until_its_end(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    assert_false(passo_tones_sound(&tones));
    start(&tones, LOW_HZ);
    assert_true(passo_tones_sound(&tones));
    passo_tones_mix(&tones, NULL, 1000000);
    passo_tones_release(&tones);
    passo_tones_mix(&tones, NULL, RELEASE - 1);
    assert_true(passo_tones_sound(&tones));
    passo_tones_release(&tones); /* it ends already: no longer for that */
    passo_tones_mix(&tones, NULL, 1);
    assert_false(passo_tones_sound(&tones));
    start(&tones, LOW_HZ);
    passo_tones_mix(&tones, NULL, ATTACK);
    passo_tones_fade(&tones);
    passo_tones_mix(&tones, NULL, FADE - 1);
    assert_true(passo_tones_sound(&tones));
    passo_tones_fade(&tones);
    passo_tones_mix(&tones, NULL, 1);
    assert_false(passo_tones_sound(&tones));
}

/* Released or faded at any moment of its rise, and faded at any of its end: no step. */
static void test_ended_on_the_way(void **state)
{
    (void)state;
    float slope = slope_of(LOW_HZ);
    for (size_t at = 0; at <= ATTACK + 960; at += 37) {
        struct passo_tones tones = quiet();
        start(&tones, LOW_HZ);
        float *out = mix(&tones, whole, at);
        passo_tones_release(&tones);
        out = mix(&tones, out, at / 2);
        bool fades = at % 2;
        if (fades)
            passo_tones_fade(&tones);
        float *end = mix(&tones, out, RELEASE);
        assert_true(steepest(whole, (size_t)(end - whole)) <= slope + ramp_slope(FADE) * 1.001F);
        assert_false(passo_tones_sound(&tones));
        if (fades)
            assert_true(out[FADE] == 0.0F);
    }
}

/* --- one tone after another --- */

/* TONE_OFF and TONE_ON of one pitch on one frame are nothing at all; after a gap the tone comes
 * back on its phase. */
static void test_the_same_pitch_goes_on(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    start(&tones, LOW_HZ);
    mix(&tones, whole, FRAMES);
    static const size_t gaps[] = {0, 1, 480, RELEASE - 1};
    for (size_t g = 0; g < sizeof gaps / sizeof *gaps; g++) {
        tones = quiet();
        start(&tones, LOW_HZ);
        float *out = mix(&tones, split, 10007);
        passo_tones_release(&tones);
        out = mix(&tones, out, gaps[g]);
        start(&tones, LOW_HZ);
        mix(&tones, out, FRAMES - 10007 - gaps[g]);
        assert_memory_equal(split, whole, 10007 * sizeof *split);
        size_t back = gaps[g] ? 10007 + gaps[g] + ATTACK : 0;
        assert_memory_equal(split + back, whole + back, (FRAMES - back) * sizeof *split);
        assert_true(steepest(split, FRAMES) <= slope_of(LOW_HZ) * 1.0001F);
    }
}

/* Another level of the same pitch is reached without a new tone. */
static void test_the_same_pitch_at_another_level(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    start(&tones, LOW_HZ);
    mix(&tones, whole, FRAMES);
    tones = quiet();
    start(&tones, LOW_HZ);
    float *out = mix(&tones, split, 10000);
    passo_tones_start(&tones, (struct passo_tone){.hz = LOW_HZ, .level = LEVEL / 2});
    mix(&tones, out, FRAMES - 10000);
    for (size_t i = 10000 + ATTACK; i < FRAMES; i++)
        assert_true(split[i] == whole[i] / 2);
    assert_true(steepest(split, FRAMES) <= slope_of(LOW_HZ) * 1.0001F);
}

/* Another pitch: the old one rings out under the new one's rise, and is gone after 80 ms. */
static void test_another_pitch_crossfades(void **state)
{
    (void)state;
    static float second[FRAMES];
    struct passo_tones tones = quiet();
    start(&tones, HIGH_HZ);
    mix(&tones, second, FRAMES);
    tones = quiet();
    start(&tones, LOW_HZ);
    float *out = mix(&tones, whole, 10000);
    start(&tones, HIGH_HZ);
    mix(&tones, out, FRAMES - 10000);
    assert_memory_equal(out + RELEASE, second + RELEASE, (FRAMES - 10000 - RELEASE) * sizeof *out);
    assert_true(steepest(whole, FRAMES) <= slope_of(LOW_HZ) + slope_of(HIGH_HZ));
    float between = 0; /* both are heard in the middle of it */
    for (size_t i = 0; i < RELEASE / 2; i++)
        between = fmaxf(between, fabsf(out[i] - second[i]));
    assert_true(between > LEVEL / 2);
    start(&tones, 0.0F); /* no tone: the end of the one that sounds */
    passo_tones_mix(&tones, NULL, RELEASE);
    assert_false(passo_tones_sound(&tones));
}

/* More pitches than slots within their end: the last do not begin, and nothing steps. */
static void test_more_pitches_than_slots(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    float *out = whole;
    float slope = 0;
    for (int i = 0; i < PASSO_TONE_SLOTS + 3; i++) {
        start(&tones, LOW_HZ + 10 * (float)i);
        out = mix(&tones, out, 120);
        slope += slope_of(LOW_HZ + 10 * (float)i);
    }
    out = mix(&tones, out, RELEASE);
    assert_true(steepest(whole, (size_t)(out - whole)) <= slope);
    assert_false(passo_tones_sound(&tones));
    start(&tones, LOW_HZ); /* and all have come back */
    assert_true(passo_tones_sound(&tones));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rise_and_end),
        cmocka_unit_test(test_it_sounds_until_its_end),
        cmocka_unit_test(test_ended_on_the_way),
        cmocka_unit_test(test_the_same_pitch_goes_on),
        cmocka_unit_test(test_the_same_pitch_at_another_level),
        cmocka_unit_test(test_another_pitch_crossfades),
        cmocka_unit_test(test_more_pitches_than_slots),
    };
    return cmocka_run_group_tests(tests, make_waves, NULL);
}
