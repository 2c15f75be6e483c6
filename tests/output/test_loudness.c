/* Loudness: the measure against the numbers of ITU-R BS.1770 and EBU Tech 3341, the shipped timbres
 * against each other, and sets from files that are brought to the loudness of the built-in one. */
#include "help.h"

#include "output/loudness.h"
#include "output/samples.h"

#include <math.h>

#define PI 3.14159265358979323846

static char fault[256];

struct part {
    double dbfs; /* peak of the sine */
    double seconds;
};

/* Loudness of a sine that changes its level; one channel. */
static double loudness_of(double hz, const struct part *part, size_t parts, uint32_t rate_hz)
{
    size_t frames = 0;
    for (size_t i = 0; i < parts; i++)
        frames += (size_t)(part[i].seconds * rate_hz);
    float *sine = malloc(frames * sizeof *sine);
    size_t at = 0;
    for (size_t i = 0; i < parts; i++) {
        double peak = pow(10, part[i].dbfs / 20);
        for (size_t left = (size_t)(part[i].seconds * rate_hz); left; left--, at++)
            sine[at] = (float)(peak * sin(2 * PI * hz * (double)at / rate_hz));
    }
    double lufs = passo_loudness_lufs(sine, frames, rate_hz);
    free(sine);
    return lufs;
}

/* BS.1770: a 997 Hz sine of full scale in one front channel reads -3.01 LKFS (references.md 9.5).
 */
static void test_full_scale_sine(void **state)
{
    (void)state;
    const struct part whole = {0, 2};
    assert_true(fabs(loudness_of(997, &whole, 1, 48000) + 3.01) < 0.01);
    assert_true(fabs(loudness_of(997, &whole, 1, 44100) + 3.01) < 0.01);
}

/* EBU Tech 3341, table 1, cases 1 to 5 (references.md 9.5): they are stereo and read -23, -33, -23,
 * -23, -23 to 0.1 LU; in one channel alone all is 3.01 LU less. The gates are at work in 3 to 5. */
static void test_ebu_cases(void **state)
{
    (void)state;
    static const struct {
        struct part part[5];
        size_t parts;
        double lufs;
    } cases[] = {
        {{{-23, 20}}, 1, -23},
        {{{-33, 20}}, 1, -33},
        {{{-36, 10}, {-23, 60}, {-36, 10}}, 3, -23},
        {{{-72, 10}, {-36, 10}, {-23, 60}, {-36, 10}, {-72, 10}}, 5, -23},
        {{{-26, 20}, {-20, 20.1}, {-26, 20}}, 3, -23},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double lufs = loudness_of(1000, cases[i].part, cases[i].parts, 16000);
        assert_true(fabs(lufs - (cases[i].lufs - 3.01)) < 0.1);
    }
}

static void test_what_cannot_be_measured(void **state)
{
    (void)state;
    float frame[20000] = {0};
    assert_true(passo_loudness_lufs(frame, 20000, 48000) == -HUGE_VAL); /* silent */
    for (size_t i = 0; i < 20000; i++)
        frame[i] = i % 16 < 8 ? 0.5F : -0.5F;
    assert_true(passo_loudness_lufs(frame, 19000, 48000) == -HUGE_VAL); /* 396 ms */
    assert_true(isfinite(passo_loudness_lufs(frame, 20000, 48000)));
    assert_true(passo_loudness_lufs(frame, 20000, 3000) == -HUGE_VAL);
    assert_true(passo_loudness_lufs(frame, 0, 48000) == -HUGE_VAL);
}

/* A set is as loud as two bars of it that a player renders, also where clicks run into each other.
 */
static void test_set_as_it_is_heard(void **state)
{
    (void)state;
    enum { RATE = 16000, FRAMES = 4 * RATE };
    struct passo_kit kit = plain_kit(RATE, RATE);
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        for (size_t k = 0; k < RATE; k++)
            kit.click[i].frame[k] *= (float)sin((double)k * (0.3 + 0.1 * i));
    }
    double lufs = passo_loudness_of_set(kit.click, RATE);
    struct passo_player *player = passo_player_create(&kit, 64);
    float *out = malloc(FRAMES * sizeof *out);
    assert_int_equal(passo_player_play(player, steady(1, RATE, 0, RATE / 2, 8)), PASSO_OK);
    passo_player_render(player, out, FRAMES, 0);
    assert_true(fabs(lufs - passo_loudness_lufs(out, FRAMES, RATE)) < 0.001);
    free(out);
    passo_player_destroy(player);
}

/* The three that ship, within 1 LU of each other. */
static void test_timbres_are_equally_loud(void **state)
{
    (void)state;
    const uint32_t rates[] = {44100, 48000, 96000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        double softest = 0;
        double loudest = -70;
        for (int t = 0; t < PASSO_TIMBRE_COUNT; t++) {
            struct passo_kit kit;
            passo_kit_init(&kit, (enum passo_timbre)t, rates[r]);
            double lufs = passo_loudness_of_set(kit.click, rates[r]);
            softest = fmin(softest, lufs);
            loudest = fmax(loudest, lufs);
            passo_kit_deinit(&kit);
        }
        assert_true(loudest > -34 && softest < -30 && loudest - softest < 1.0);
    }
}

/* --- sets from files --- */

/* Tones that ring `ms` milliseconds, at these levels. */
static void write_set(double hz, double ms, double bar, double beat, uint32_t rate_hz)
{
    size_t frames = (size_t)(ms * rate_hz / 1000);
    float *tone = malloc(frames * sizeof *tone);
    for (int i = 0; i < 2; i++) {
        double level = i ? beat : bar;
        for (size_t k = 0; k < frames; k++)
            tone[k] = (float)(level * cos(2 * PI * hz * (double)k / rate_hz) *
                              (double)(frames - k) / (double)frames);
        write_audio(i ? "beat.wav" : "bar.wav", SF_FORMAT_WAV | SF_FORMAT_FLOAT, (int)rate_hz, 1,
                    tone, frames);
    }
    free(tone);
}

static float highest_of(const struct passo_kit *kit)
{
    float highest = 0;
    for (size_t i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        for (size_t k = 0; k < kit->click[i].frames; k++)
            highest = fmaxf(highest, fabsf(kit->click[i].frame[k]));
    }
    return highest;
}

/* Loads the folder's set into the built-in kit at 48 kHz; returns by how many LU it is louder now
 * than the built-in one. out_kit is the caller's to deinit. */
static double loaded_over_built_in(struct passo_kit *out_kit)
{
    passo_kit_init(out_kit, PASSO_TIMBRE_RIM, 48000);
    double built_in = passo_loudness_of_set(out_kit->click, 48000);
    assert_int_equal(passo_samples_load(out_kit, folder, fault, sizeof fault), PASSO_OK);
    assert_true(highest_of(out_kit) <= 0.9001F);
    return passo_loudness_of_set(out_kit->click, 48000) - built_in;
}

/* Loud and long, soft, low, of another rate: all as loud as the built-in one, and bar against beat
 * as it was. */
static void test_sets_are_matched(void **state)
{
    (void)state;
    static const struct {
        double hz, ms, bar, beat;
        uint32_t rate_hz;
    } cases[] = {{2000, 60, 0.9, 0.45, 48000},
                 {2500, 30, 0.05, 0.05, 44100},
                 {800, 200, 0.2, 0.1, 22050},
                 {3000, 900, 0.05, 0.025, 48000}, /* runs into the next beat */
                 {1000, 100, 4.0, 1.0, 96000}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        write_set(cases[i].hz, cases[i].ms, cases[i].bar, cases[i].beat, cases[i].rate_hz);
        struct passo_kit kit;
        assert_true(fabs(loaded_over_built_in(&kit)) < 0.05);
        double bar = (double)kit.click[PASSO_CLICK_BAR].frame[0];
        double beat = (double)kit.click[PASSO_CLICK_BEAT].frame[0];
        double kept = fmin(cases[i].bar, 4.0) / cases[i].beat;
        if (cases[i].bar <= 1.0) /* one over full scale was brought to it first, alone */
            assert_true(fabs(bar / beat / kept - 1) < 0.02);
        passo_kit_deinit(&kit);
    }
}

/* The bounds: 20 dB are the most, and a set of needles stays under 0.9. */
static void test_gain_is_bounded(void **state)
{
    (void)state;
    struct passo_kit kit;
    write_set(2500, 30, 0.0015, 0.0015, 48000);
    assert_true(loaded_over_built_in(&kit) < -10);
    assert_true(fabsf(kit.click[PASSO_CLICK_BAR].frame[0] - 0.015F) < 0.0001F);
    passo_kit_deinit(&kit);
    write_set(20000, 0.2, 0.5, 0.5, 48000); /* ten frames */
    assert_true(loaded_over_built_in(&kit) < -3);
    assert_true(fabsf(kit.click[PASSO_CLICK_BAR].frame[0] - 0.9F) < 0.001F);
    passo_kit_deinit(&kit);
    write_set(2500, 4000, 1.0, 1.0, 48000); /* a siren: 20 dB down */
    assert_true(loaded_over_built_in(&kit) > 3);
    assert_true(fabsf(kit.click[PASSO_CLICK_BAR].frame[0] - 0.1F) < 0.001F);
    passo_kit_deinit(&kit);
}

/* At a rate without a measure a set stays as it is, but for the bound of its peak. */
static void test_rate_without_a_measure(void **state)
{
    (void)state;
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_RIM, 3000);
    write_set(500, 50, 0.5, 0.25, 3000);
    assert_int_equal(passo_samples_load(&kit, folder, fault, sizeof fault), PASSO_OK);
    assert_true(kit.click[PASSO_CLICK_BAR].frame[0] == 0.5F);
    write_set(500, 50, 1.0, 0.25, 3000);
    assert_int_equal(passo_samples_load(&kit, folder, fault, sizeof fault), PASSO_OK);
    assert_true(fabsf(kit.click[PASSO_CLICK_BAR].frame[0] - 0.9F) < 1e-6F);
    passo_kit_deinit(&kit);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, remove_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_full_scale_sine),
        cmocka_unit_test(test_ebu_cases),
        cmocka_unit_test(test_what_cannot_be_measured),
        cmocka_unit_test(test_set_as_it_is_heard),
        cmocka_unit_test(test_timbres_are_equally_loud),
        IN_FOLDER(test_sets_are_matched),
        IN_FOLDER(test_gain_is_bounded),
        IN_FOLDER(test_rate_without_a_measure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
