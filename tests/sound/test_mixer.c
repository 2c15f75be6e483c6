/* Limiter, level ramp, voices: exact where nothing is to happen, and never a step. */
#include "help.h"

#include "sound/mixer.h"
#include "sound/voices.h"

#include <math.h>

#define RATE_HZ 48000

/* Bitwise the same sample up to the knee, so that ordinary clicks are untouched. */
static void test_limiter_leaves_clicks_alone(void **state)
{
    (void)state;
    for (int i = -8000; i <= 8000; i++) {
        float sample = (float)i / 10000.0F;
        float limited = passo_limit(sample);
        assert_memory_equal(&limited, &sample, sizeof sample);
    }
}

static void test_limiter_never_beyond_one(void **state)
{
    (void)state;
    float before = 0.8F;
    for (float sample = 0.8F; sample < 1e6F; sample *= 1.001F) {
        float limited = passo_limit(sample);
        assert_true(limited >= before && limited <= 1.0F);
        assert_true(passo_limit(-sample) == -limited);
        /* Slope at most 1, and 1 at the knee: no corner. */
        assert_true(limited <= sample + 1e-7F);
        before = limited;
    }
    assert_true(passo_limit(INFINITY) == 1.0F);
    assert_true(fabsf((passo_limit(0.8001F) - 0.8F) / 0.0001F - 1.0F) < 0.01F);
}

static float biggest_step(const float *out, size_t frames, float before)
{
    float step = 0;
    for (size_t i = 0; i < frames; i++) {
        step = fmaxf(step, fabsf(out[i] - before));
        before = out[i];
    }
    return step;
}

/* 10 ms from 1 to 0.25: a straight line of 480 steps of 0.75/480. */
static void test_level_ramp(void **state)
{
    (void)state;
    struct passo_level level;
    float out[600];
    for (size_t i = 0; i < 600; i++)
        out[i] = 0.5F;
    passo_level_init(&level, RATE_HZ);
    passo_level_set(&level, 0.25F, true);
    passo_level_apply(&level, out, 600);
    assert_true(biggest_step(out, 600, 0.5F) <= 0.5F * 0.75F / 480.0F * 1.001F);
    assert_true(out[479] > 0.125F);
    assert_true(out[480] == 0.125F && out[599] == 0.125F);
}

/* A second wish on the way begins where the first had come to. */
static void test_level_turned_on_the_way(void **state)
{
    (void)state;
    struct passo_level level;
    float out[800];
    for (size_t i = 0; i < 800; i++)
        out[i] = 0.5F;
    passo_level_init(&level, RATE_HZ);
    passo_level_set(&level, 0.0F, true);
    passo_level_apply(&level, out, 200);
    passo_level_set(&level, 1.0F, true);
    passo_level_apply(&level, out + 200, 600);
    assert_true(biggest_step(out, 800, 0.5F) <= 0.5F / 480.0F * 1.001F);
    assert_true(out[799] == 0.5F);
}

/* Nothing sounds: no step to hear, and the first click must not come above the set level. */
static void test_level_at_once_in_silence(void **state)
{
    (void)state;
    struct passo_level level;
    float out[1] = {0.5F};
    passo_level_init(&level, RATE_HZ);
    passo_level_set(&level, 0.5F, false);
    passo_level_apply(&level, out, 1);
    assert_true(out[0] == 0.25F);
}

/* 40 long voices, one a frame: 16 sound, the oldest go. A voice of height h fades in 240 frames, so
 * the sum moves by at most 24 fading slopes a frame, plus the height of a new voice's beginning. */
static void test_full_pool_steals_without_a_step(void **state)
{
    (void)state;
    static struct passo_voices voices;
    static float out[2000];
    struct passo_sample sound = constant(1.0F, 4000);
    sound.frame[0] = 0.0F;
    for (size_t i = 0; i < 200; i++)
        sound.frame[i] = (float)i / 200.0F;
    passo_voices_init(&voices, RATE_HZ);
    memset(out, 0, sizeof out);
    for (size_t at = 0; at < 1600; at += 40) {
        passo_voices_start(&voices, &sound);
        passo_voices_mix(&voices, out + at, 40);
    }
    passo_voices_mix(&voices, out + 1600, 400);
    /* Rising voices: at most 200/40 at once, 1/200 each; falling: 240/40 at 1/241 each. */
    assert_true(biggest_step(out, 2000, 0.0F) <= 6.5F / 200.0F);
    /* In the end exactly the 16 youngest sound. */
    assert_true(fabsf(out[1999] - 16.0F) < 1e-4F);
    free(sound.frame);
}

/* Voice i has the height 2^i: the sum tells which of them sound. */
static void test_the_oldest_goes(void **state)
{
    (void)state;
    static struct passo_voices voices;
    static float out[400];
    struct passo_sample sound[18];
    passo_voices_init(&voices, RATE_HZ);
    memset(out, 0, sizeof out);
    for (int i = 0; i < 18; i++) {
        sound[i] = constant((float)(1 << i), 4000);
        passo_voices_start(&voices, &sound[i]);
        passo_voices_mix(&voices, NULL, 1);
    }
    passo_voices_mix(&voices, out, 400);
    assert_true(out[399] == (float)((1 << 18) - 1 - 1 - 2));
    for (int i = 0; i < 18; i++)
        free(sound[i].frame);
}

/* More thefts than fading slots: what has no room is not begun. Still no step down. */
static void test_flooded_pool(void **state)
{
    (void)state;
    static struct passo_voices voices;
    static float out[400];
    struct passo_sample sound = constant(0.01F, 4000);
    passo_voices_init(&voices, RATE_HZ);
    memset(out, 0, sizeof out);
    for (int i = 0; i < 100; i++)
        passo_voices_start(&voices, &sound);
    passo_voices_mix(&voices, out, 400);
    assert_true(out[0] > 0.2F && out[0] <= 0.32F);
    for (size_t i = 1; i < 400; i++)
        assert_true(out[i] <= out[i - 1] && out[i - 1] - out[i] < 0.001F);
    assert_true(fabsf(out[399] - 0.16F) < 1e-5F);
    free(sound.frame);
}

static void test_fade_takes_5_ms(void **state)
{
    (void)state;
    static struct passo_voices voices;
    float out[300] = {0};
    struct passo_sample sound = constant(0.5F, 4000);
    passo_voices_init(&voices, RATE_HZ);
    passo_voices_start(&voices, &sound);
    passo_voices_mix(&voices, NULL, 10);
    passo_voices_fade(&voices);
    passo_voices_mix(&voices, out, 300);
    assert_true(biggest_step(out, 300, 0.5F) <= 0.5F / 240.0F);
    assert_true(out[239] > 0.0F);
    assert_true(out[240] == 0.0F);
    assert_false(passo_voices_sound(&voices));
    free(sound.frame);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_limiter_leaves_clicks_alone),
        cmocka_unit_test(test_limiter_never_beyond_one),
        cmocka_unit_test(test_level_ramp),
        cmocka_unit_test(test_level_turned_on_the_way),
        cmocka_unit_test(test_level_at_once_in_silence),
        cmocka_unit_test(test_full_pool_steals_without_a_step),
        cmocka_unit_test(test_the_oldest_goes),
        cmocka_unit_test(test_flooded_pool),
        cmocka_unit_test(test_fade_takes_5_ms),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
