/* The built-in sounds by their figures: length, level, brightness (spectral centroid), spread, how
 * long they ring, what lies over 16 kHz, how they begin and end, and that any two of a set differ
 * in pitch and timbre and level. Goals: trade.md, 3(l). */
#include "help.h"

#include <complex.h>
#include <math.h>

#define RATE_HZ 48000
#define BIN_HZ  40
#define PI      3.14159265358979323846

struct figures {
    double energy;
    double centroid_hz;
    double spread_hz;
    double ring_ms;   /* until 90 % of the energy is out */
    double above_16k; /* shares of the energy */
    double in_band;   /* 1.5 to 6 kHz */
    double under_800;
};

/* Energy of one frequency of the sample. */
static double power_at(const float *frame, size_t frames, double hz, uint32_t rate_hz)
{
    double complex turn = cexp(-2 * PI * I * hz / rate_hz);
    double complex phasor = 1;
    double complex sum = 0;
    for (size_t i = 0; i < frames; i++) {
        sum += (double)frame[i] * phasor;
        phasor *= turn;
    }
    return creal(sum) * creal(sum) + cimag(sum) * cimag(sum);
}

static double ring_ms_of(const struct passo_sample *sample, double energy, uint32_t rate_hz)
{
    double so_far = 0;
    size_t i = 0;
    while (so_far < 0.9 * energy) {
        so_far += (double)sample->frame[i] * (double)sample->frame[i];
        i++;
    }
    return 1000.0 * (double)i / rate_hz;
}

static struct figures figures_of(const struct passo_sample *sample, uint32_t rate_hz)
{
    struct figures figures = {0};
    double total = 0;
    double first = 0;
    double second = 0;
    for (double hz = BIN_HZ; hz < rate_hz / 2.0; hz += BIN_HZ) {
        double power = power_at(sample->frame, sample->frames, hz, rate_hz);
        total += power;
        first += power * hz;
        second += power * hz * hz;
        figures.above_16k += hz > 16000 ? power : 0;
        figures.in_band += hz >= 1500 && hz <= 6000 ? power : 0;
        figures.under_800 += hz < 800 ? power : 0;
    }
    for (size_t i = 0; i < sample->frames; i++)
        figures.energy += (double)sample->frame[i] * (double)sample->frame[i];
    figures.centroid_hz = first / total;
    figures.spread_hz = sqrt(second / total - figures.centroid_hz * figures.centroid_hz);
    figures.ring_ms = ring_ms_of(sample, figures.energy, rate_hz);
    figures.above_16k /= total;
    figures.in_band /= total;
    figures.under_800 /= total;
    return figures;
}

static float peak_of(const struct passo_sample *sample)
{
    float peak = 0;
    for (size_t i = 0; i < sample->frames; i++)
        peak = fmaxf(peak, fabsf(sample->frame[i]));
    return peak;
}

static double db(double ratio)
{
    return 10.0 * log10(ratio);
}

/* How many times one is larger than the other, 1 or more. */
static double apart(double a, double b)
{
    return a > b ? a / b : b / a;
}

static void test_begin_and_end_at_every_rate(void **state)
{
    (void)state;
    const uint32_t rates[] = {8000, 22050, 44100, 48000, 96000, 192000, 384000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        for (int t = 0; t < PASSO_TIMBRE_COUNT; t++) {
            struct passo_kit kit;
            passo_kit_init(&kit, (enum passo_timbre)t, rates[r]);
            assert_int_equal(kit.rate_hz, rates[r]);
            for (int i = 0; i < PASSO_SOUNDS; i++) {
                const struct passo_sample *sound =
                    i < PASSO_CLICK_COUNT_OF ? &kit.click[i] : &kit.cue[i - PASSO_CLICK_COUNT_OF];
                assert_true(fabsf(sound->frame[0]) >= 0.002F);
                assert_true(sound->frame[sound->frames - 1] == 0.0F);
                /* no step at the end: the last tenth of a millisecond is under -60 dB of the peak
                 */
                for (size_t k = sound->frames - rates[r] / 10000 - 1; k < sound->frames; k++)
                    assert_true(fabsf(sound->frame[k]) < 0.001F * peak_of(sound) + 0.0002F);
                for (size_t k = 0; k < sound->frames; k++)
                    assert_true(fabsf(sound->frame[k]) <= 0.7001F);
            }
            float highest = peak_of(&kit.click[PASSO_CLICK_BAR]);
            assert_true(t == PASSO_TIMBRE_RIM ? fabsf(highest - 0.7F) < 1e-4F : highest > 0.4F);
            passo_kit_deinit(&kit);
        }
    }
}

static void check_click(const struct passo_sample *sound, uint32_t rate_hz)
{
    struct figures figures = figures_of(sound, rate_hz);
    double length_ms = 1000.0 * (double)sound->frames / rate_hz;
    assert_true(length_ms >= 14.9 && length_ms <= 30.1);
    assert_true(figures.centroid_hz >= 2000 && figures.centroid_hz <= 4000);
    assert_true(figures.in_band > 0.9);
    assert_true(figures.under_800 < 0.01);
    assert_true(db(figures.above_16k) < -60.0);
    /* sharp: within a millisecond it has been nearly as high as it gets */
    struct passo_sample onset = {sound->frame, rate_hz / 1000};
    assert_true(peak_of(&onset) > 0.75F * peak_of(sound));
}

static void check_pair(const struct figures *a, const struct figures *b)
{
    assert_true(apart(a->centroid_hz, b->centroid_hz) > 1.04); /* pitch */
    assert_true(apart(a->spread_hz, b->spread_hz) > 1.12 ||
                apart(a->ring_ms, b->ring_ms) > 1.12);  /* timbre */
    assert_true(db(apart(a->energy, b->energy)) > 1.0); /* level */
}

static void test_clicks_of_a_set_differ(void **state)
{
    (void)state;
    for (int t = 0; t < PASSO_TIMBRE_COUNT; t++) {
        struct passo_kit kit;
        struct figures figures[PASSO_CLICK_COUNT_OF];
        passo_kit_init(&kit, (enum passo_timbre)t, RATE_HZ);
        for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
            check_click(&kit.click[i], RATE_HZ);
            figures[i] = figures_of(&kit.click[i], RATE_HZ);
            print_message("%s %-9s centroid %4.0f Hz, spread %4.0f Hz, rings %4.1f ms, %5.1f dB, "
                          "over 16 kHz %5.1f dB\n",
                          passo_timbre_name((enum passo_timbre)t),
                          passo_click_name((enum passo_click)i), figures[i].centroid_hz,
                          figures[i].spread_hz, figures[i].ring_ms,
                          db(figures[i].energy / figures[0].energy), db(figures[i].above_16k));
            for (int k = 0; k < i; k++)
                check_pair(&figures[i], &figures[k]);
        }
        double sub = db(figures[PASSO_CLICK_SUB].energy / figures[PASSO_CLICK_BEAT].energy);
        assert_true(fabs(sub + 10.0) < 0.1);
        passo_kit_deinit(&kit);
    }
}

static void test_sets_differ(void **state)
{
    (void)state;
    struct figures figures[PASSO_TIMBRE_COUNT];
    for (int t = 0; t < PASSO_TIMBRE_COUNT; t++) {
        struct passo_kit kit;
        passo_kit_init(&kit, (enum passo_timbre)t, RATE_HZ);
        figures[t] = figures_of(&kit.click[PASSO_CLICK_BEAT], RATE_HZ);
        passo_kit_deinit(&kit);
        for (int k = 0; k < t; k++)
            assert_true(apart(figures[t].spread_hz, figures[k].spread_hz) > 1.2 ||
                        apart(figures[t].ring_ms, figures[k].ring_ms) > 1.2);
    }
}

/* A set sounds alike at every usual rate, and is the same each time it is made. */
static void test_sets_are_steady(void **state)
{
    (void)state;
    struct passo_kit a;
    struct passo_kit b;
    passo_kit_init(&a, PASSO_TIMBRE_WOOD, 44100);
    passo_kit_init(&b, PASSO_TIMBRE_WOOD, 96000);
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        struct figures at_44 = figures_of(&a.click[i], 44100);
        struct figures at_96 = figures_of(&b.click[i], 96000);
        assert_true(apart(at_44.centroid_hz, at_96.centroid_hz) < 1.01);
        check_click(&a.click[i], 44100);
    }
    passo_kit_deinit(&b);
    passo_kit_init(&b, PASSO_TIMBRE_WOOD, 44100);
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++)
        assert_memory_equal(a.click[i].frame, b.click[i].frame, a.click[i].frames * sizeof(float));
    passo_kit_deinit(&a);
    passo_kit_deinit(&b);
}

/* The pitch around a moment: the strongest frequency of 80 ms; 0 in silence. */
static double pitch_at(const struct passo_sample *sample, double ms)
{
    size_t from = (size_t)(ms * RATE_HZ / 1000.0);
    size_t frames = RATE_HZ * 80 / 1000;
    if (from + frames > sample->frames)
        frames = sample->frames - from;
    if (peak_of(&(struct passo_sample){sample->frame + from, frames}) < 0.02F)
        return 0;
    double best = 0;
    double best_hz = 0;
    for (double hz = 200; hz < 3000; hz += 4) {
        double power = power_at(sample->frame + from, frames, hz, RATE_HZ);
        if (power > best) {
            best = power;
            best_hz = hz;
        }
    }
    return best_hz;
}

static void test_cues_by_their_melody(void **state)
{
    (void)state;
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_RIM, RATE_HZ);
    const struct passo_sample *cue = kit.cue;
    assert_true(pitch_at(&cue[PASSO_CUE_RAISED], 170) > 1.3 * pitch_at(&cue[PASSO_CUE_RAISED], 20));
    assert_true(pitch_at(&cue[PASSO_CUE_DROPPED], 20) >
                1.3 * pitch_at(&cue[PASSO_CUE_DROPPED], 170));
    assert_true(pitch_at(&cue[PASSO_CUE_AGAIN], 10) == pitch_at(&cue[PASSO_CUE_AGAIN], 100));
    assert_true(pitch_at(&cue[PASSO_CUE_WON], 160) > 1.15 * pitch_at(&cue[PASSO_CUE_WON], 20));
    assert_true(pitch_at(&cue[PASSO_CUE_WON], 320) > 1.15 * pitch_at(&cue[PASSO_CUE_WON], 160));
    assert_true(pitch_at(&cue[PASSO_CUE_CONTEXT], 15) >
                1.3 * pitch_at(&cue[PASSO_CUE_CONTEXT], 120));
    assert_true(pitch_at(&cue[PASSO_CUE_CONTEXT], 15) == pitch_at(&cue[PASSO_CUE_CONTEXT], 250));
    assert_true(pitch_at(&cue[PASSO_CUE_TIME], 0) == pitch_at(&cue[PASSO_CUE_TIME], 200));
    assert_true(pitch_at(&cue[PASSO_CUE_TIME], 120) == 0); /* three separate notes */
    assert_true(pitch_at(&cue[PASSO_CUE_TIME], 320) == 0);
    assert_true(pitch_at(&cue[PASSO_CUE_BREATHE], 50) < 450);
    assert_true(cue[PASSO_CUE_TICK].frames <= RATE_HZ / 20);
    passo_kit_deinit(&kit);
}

/* Root mean square frequency, by the energy of the sample's differences: a difference passes the
 * frequency w with the power (2 sin(w/2))^2. Exact for any length, unlike a row of bins. */
static double rms_hz_of(const struct passo_sample *sample)
{
    double energy = 0;
    double change = 0;
    for (size_t i = 1; i < sample->frames; i++) {
        double step = (double)sample->frame[i] - (double)sample->frame[i - 1];
        change += step * step;
        energy += (double)sample->frame[i] * (double)sample->frame[i];
    }
    return asin(sqrt(change / energy) / 2) * RATE_HZ / PI;
}

/* At most this share of the energy lies over 16 kHz: four differences pass that with a power of at
 * least 3^4 at 48 kHz. */
static double bound_over_16k(const struct passo_sample *sample)
{
    double energy = 0;
    double change = 0;
    const float *x = sample->frame;
    for (size_t i = 4; i < sample->frames; i++) {
        double step = x[i] - 4.0 * x[i - 1] + 6.0 * x[i - 2] - 4.0 * x[i - 3] + x[i - 4];
        change += step * step;
        energy += (double)x[i] * (double)x[i];
    }
    return change / energy / 81.0;
}

/* Soft, and nowhere near a click: all below 1.3 kHz, where every click is above 2 kHz. */
static void test_cues_are_no_clicks(void **state)
{
    (void)state;
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_BELL, RATE_HZ);
    for (int i = 0; i < PASSO_CUE_COUNT; i++) {
        double hz = rms_hz_of(&kit.cue[i]);
        double over = db(bound_over_16k(&kit.cue[i]));
        print_message("cue %-8s %4.0f Hz, %4.0f ms, over 16 kHz under %5.1f dB\n",
                      passo_cue_name((enum passo_cue)i), hz,
                      1000.0 * (double)kit.cue[i].frames / RATE_HZ, over);
        assert_true(hz < 1300);
        assert_true(over < -60.0);
        assert_true(peak_of(&kit.cue[i]) <= 0.25F);
        assert_true(kit.cue[i].frames <= RATE_HZ * 7 / 10);
    }
    assert_true(rms_hz_of(&kit.click[PASSO_CLICK_COUNT]) > 2000);
    passo_kit_deinit(&kit);
}

static void test_names_are_unique(void **state)
{
    (void)state;
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        for (int k = 0; k < i; k++)
            assert_string_not_equal(passo_click_name((enum passo_click)i),
                                    passo_click_name((enum passo_click)k));
    }
    for (int i = 0; i < PASSO_CUE_COUNT; i++) {
        for (int k = 0; k < i; k++)
            assert_string_not_equal(passo_cue_name((enum passo_cue)i),
                                    passo_cue_name((enum passo_cue)k));
    }
    for (int i = 0; i < PASSO_TIMBRE_COUNT; i++) {
        for (int k = 0; k < i; k++)
            assert_string_not_equal(passo_timbre_name((enum passo_timbre)i),
                                    passo_timbre_name((enum passo_timbre)k));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_begin_and_end_at_every_rate),
        cmocka_unit_test(test_clicks_of_a_set_differ),
        cmocka_unit_test(test_sets_differ),
        cmocka_unit_test(test_sets_are_steady),
        cmocka_unit_test(test_cues_by_their_melody),
        cmocka_unit_test(test_cues_are_no_clicks),
        cmocka_unit_test(test_names_are_unique),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
