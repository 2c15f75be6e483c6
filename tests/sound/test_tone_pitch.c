/* The tone's sound, measured on its samples: pitch by the phase that a Fourier sum gains in a
 * second, harmonics by a least-squares fit whose remainder is all that should not be there. Pitches
 * are those of ISO 16 and the MIDI numbers, 440 * 2^((m - 69) / 12) (references.md, 5). */
#include "help.h"

#include "sound/tone.h"

#include <complex.h>
#include <math.h>

#define PI       3.14159265358979323846
#define LONGEST  (192000 * 3 / 2)
#define HARMONIC (2 * PASSO_WAVE_HARMONICS)

static const uint32_t rates[] = {8000, 11025, 22050, 44100, 48000, 96000, 192000};
#define RATES (sizeof rates / sizeof *rates)

static struct passo_waves waves;
static float out[LONGEST];

static double hz_of(int midi)
{
    return 440.0 * pow(2.0, (midi - 69) / 12.0);
}

/* The steady part of a tone at full level, in `out`. */
static void render(uint32_t rate_hz, double hz, size_t frames)
{
    struct passo_tones tones;
    passo_tones_init(&tones, &waves, rate_hz);
    passo_tones_start(&tones, (struct passo_tone){.hz = (float)hz, .level = 1.0F});
    passo_tones_mix(&tones, NULL, rate_hz / 10);
    memset(out, 0, sizeof out);
    passo_tones_mix(&tones, out, frames);
}

/* --- pitch --- */

/* The Fourier sum at hz over `frames` frames from `from` on, under a Hann window. */
static double complex fourier(size_t from, size_t frames, double turns_a_frame)
{
    double complex sum = 0;
    for (size_t i = 0; i < frames; i++) {
        double window = 0.5 - 0.5 * cos(2 * PI * ((double)i + 0.5) / (double)frames);
        sum += window * out[from + i] * cexp(-2 * PI * I * turns_a_frame * (double)(from + i));
    }
    return sum * 4 / (double)frames; /* the window's mean and the real signal's half: amplitude */
}

/* How far a harmonic is from its place, in cents. */
static double cents_off(uint32_t rate_hz, double hz)
{
    size_t window = rate_hz / 2;
    double complex early = fourier(0, window, hz / rate_hz);
    double complex late = fourier(rate_hz, window, hz / rate_hz); /* a second later */
    assert_true(cabs(early) > 0.04 && cabs(late) > 0.04);         /* it is there */
    double off_hz = carg(late / early) / (2 * PI);
    return 1200 * log2((hz + off_hz) / hz);
}

static void test_every_pitch(void **state)
{
    (void)state;
    assert_true(fabs(hz_of(28) - 41.203445) < 1e-6); /* E1, B-flat 1 and 4 as printed there */
    assert_true(fabs(hz_of(34) - 58.270470) < 1e-6);
    assert_true(fabs(hz_of(70) - 466.163762) < 1e-6);
    double worst = 0;
    for (size_t r = 3; r < RATES; r++) {
        for (int midi = 28; midi <= 70; midi++) {
            double hz = hz_of(midi);
            render(rates[r], hz, rates[r] * 3 / 2);
            double off = fmax(fabs(cents_off(rates[r], hz)), fabs(cents_off(rates[r], 3 * hz)));
            worst = fmax(worst, off);
            assert_true(off < 0.001);
        }
    }
    print_message("E1 to B-flat 4 at 44.1 to 192 kHz: at most %.5f cent off\n", worst);
}

/* rate * 86400 frames are 86400 seconds: turns are hz * 86400, exact in a double for hz is a float.
 */
static void test_a_day_later(void **state)
{
    (void)state;
    for (size_t r = 0; r < RATES; r++) {
        for (int midi = 28; midi <= 70; midi++) {
            float hz = (float)hz_of(midi);
            struct passo_tones tones;
            passo_tones_init(&tones, &waves, rates[r]);
            passo_tones_start(&tones, (struct passo_tone){.hz = hz, .level = 1.0F});
            passo_tones_mix(&tones, NULL, rates[r] * UINT64_C(86400));
            double turn = 0;
            for (size_t i = 0; i < PASSO_TONE_SLOTS; i++) {
                if (tones.slot[i].period)
                    turn = (double)tones.slot[i].phase * 0x1p-64;
            }
            double off = turn - fmod((double)hz * 86400, 1.0);
            assert_true(fabs(off - round(off)) < 2e-8);
        }
    }
}

/* What sounds a day later is what sounded at first: 440 Hz is whole turns a second. */
static void test_a_day_later_sounds_alike(void **state)
{
    (void)state;
    static float later[4800];
    struct passo_tones tones;
    passo_tones_init(&tones, &waves, 48000);
    passo_tones_start(&tones, (struct passo_tone){.hz = 440.0F, .level = 1.0F});
    passo_tones_mix(&tones, NULL, 4800 + UINT64_C(86400) * 48000);
    memset(later, 0, sizeof later);
    passo_tones_mix(&tones, later, 4800);
    render(48000, 440.0, 4800);
    for (size_t i = 0; i < 4800; i++)
        assert_true(fabsf(later[i] - out[i]) < 2e-5F);
}

/* --- what sounds, and nothing else --- */

static int harmonics_of(uint32_t rate_hz, double hz)
{
    double top_hz = fmin(5000, 0.45 * rate_hz);
    int harmonics = (int)fmin(16, floor(top_hz / hz));
    return harmonics ? harmonics : 1;
}

/* Solves the normal equations in place by elimination (they are symmetric and well set). */
static void solve(double matrix[HARMONIC][HARMONIC + 1], int size)
{
    for (int k = 0; k < size; k++) {
        for (int row = 0; row < size; row++) {
            double share = row == k ? 0 : matrix[row][k] / matrix[k][k];
            for (int c = k; c <= size; c++)
                matrix[row][c] -= share * matrix[k][c];
        }
    }
    for (int k = 0; k < size; k++)
        matrix[k][size] /= matrix[k][k];
}

static void fill_row(double row[HARMONIC], int harmonics, double turns)
{
    for (int h = 0; h < harmonics; h++) {
        row[2 * h] = cos(2 * PI * (h + 1) * turns);
        row[2 * h + 1] = sin(2 * PI * (h + 1) * turns);
    }
}

/* Fits the harmonics; gives their amplitudes and the mean square that they leave unexplained. */
static double fit(uint32_t rate_hz, double hz, size_t frames, int harmonics,
                  double out_amplitude[PASSO_WAVE_HARMONICS])
{
    static double matrix[HARMONIC][HARMONIC + 1];
    double row[HARMONIC];
    int size = 2 * harmonics;
    memset(matrix, 0, sizeof matrix);
    for (size_t i = 0; i < frames; i++) {
        fill_row(row, harmonics, hz / rate_hz * (double)i);
        for (int a = 0; a < size; a++) {
            for (int b = 0; b < size; b++)
                matrix[a][b] += row[a] * row[b];
            matrix[a][size] += row[a] * out[i];
        }
    }
    solve(matrix, size);
    double left = 0;
    for (size_t i = 0; i < frames; i++) {
        double sample = out[i];
        fill_row(row, harmonics, hz / rate_hz * (double)i);
        for (int a = 0; a < size; a++)
            sample -= row[a] * matrix[a][size];
        left += sample * sample;
    }
    for (int h = 0; h < harmonics; h++)
        out_amplitude[h] = hypot(matrix[2 * h][size], matrix[2 * h + 1][size]);
    return left / (double)frames;
}

static double mean_square(size_t frames)
{
    double sum = 0;
    for (size_t i = 0; i < frames; i++)
        sum += (double)out[i] * out[i];
    return sum / (double)frames;
}

/* The spectrum as it was written down: shares of the third harmonic, cut off where it must be. */
static void check_amplitudes(const double *amplitude, int harmonics)
{
    static const double written[] = {.45, .80, 1.0, .90, .75, .62, .50, .42,
                                     .34, .28, .23, .19, .15, .12, .10, .08};
    for (int h = 1; h < harmonics; h++) {
        double ratio = amplitude[h] / amplitude[0];
        assert_true(fabs(ratio / (written[h] / written[0]) - 1) < 1e-3);
    }
}

static void test_harmonics_and_nothing_else(void **state)
{
    (void)state;
    static const double hz[] = {41.203445,  58.27047, 116.54094, 174.614116, 233.081881,
                                466.163762, 1234.5,   2600.0,    3599.0,     6000.0};
    double worst_db = -300;
    for (size_t r = 0; r < RATES; r++) {
        for (size_t k = 0; k < sizeof hz / sizeof *hz && hz[k] < 0.45 * rates[r]; k++) {
            double amplitude[PASSO_WAVE_HARMONICS];
            int harmonics = harmonics_of(rates[r], hz[k]);
            size_t frames = rates[r] / 20 + 1001;
            render(rates[r], hz[k], frames);
            double left = fit(rates[r], (float)hz[k], frames, harmonics, amplitude);
            double left_db = 10 * log10(left / mean_square(frames));
            worst_db = fmax(worst_db, left_db);
            assert_true(left_db < -90);
            check_amplitudes(amplitude, harmonics);
        }
    }
    print_message("beside the harmonics: at most %.1f dB\n", worst_db);
}

/* The peak is the level, and the sound is strong for its peak: a sine's crest factor is 1.41. */
static void test_peak_and_crest(void **state)
{
    (void)state;
    double most_crest = 0;
    for (int midi = 28; midi <= 70; midi++) {
        render(48000, hz_of(midi), 48000);
        float peak = 0;
        for (size_t i = 0; i < 48000; i++)
            peak = fmaxf(peak, fabsf(out[i]));
        assert_true(peak > 0.98F && peak < 1.0005F);
        most_crest = fmax(most_crest, peak / sqrt(mean_square(48000)));
    }
    print_message("crest factor at most %.2f\n", most_crest);
    assert_true(most_crest < 1.72);
}

/* On a speaker that gives nothing under 200 Hz more than half of a pedal note's power is left. */
static void test_a_pedal_note_on_a_small_speaker(void **state)
{
    (void)state;
    double amplitude[PASSO_WAVE_HARMONICS];
    double all = 0;
    double heard = 0;
    render(48000, 58.27047, 9600);
    (void)fit(48000, 58.27047F, 9600, 16, amplitude);
    for (int h = 0; h < 16; h++) {
        double power = amplitude[h] * amplitude[h];
        all += power;
        heard += (h + 1) * 58.27047 >= 200 ? power : 0;
    }
    assert_true(heard > 0.5 * all);
}

static void test_what_cannot_sound(void **state)
{
    (void)state;
    static const float hz[] = {0.0F, -1.0F, NAN, INFINITY, 3601.0F};
    for (size_t i = 0; i < sizeof hz / sizeof *hz; i++) {
        struct passo_tones tones;
        passo_tones_init(&tones, &waves, 8000);
        passo_tones_start(&tones, (struct passo_tone){.hz = hz[i], .level = 1.0F});
        assert_false(passo_tones_sound(&tones));
    }
    assert_int_equal(passo_wave_harmonics(3600, 8000), 1);
    assert_int_equal(passo_wave_harmonics(312.5, 192000), 16);
    assert_int_equal(passo_wave_harmonics(312.6, 192000), 15);
    assert_int_equal(passo_wave_harmonics(225, 8000), 16);
    assert_int_equal(passo_wave_harmonics(226, 8000), 15);
}

static int make_waves(void **state)
{
    (void)state;
    passo_waves_init(&waves);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_pitch),
        cmocka_unit_test(test_a_day_later),
        cmocka_unit_test(test_a_day_later_sounds_alike),
        cmocka_unit_test(test_harmonics_and_nothing_else),
        cmocka_unit_test(test_peak_and_crest),
        cmocka_unit_test(test_a_pedal_note_on_a_small_speaker),
        cmocka_unit_test(test_what_cannot_sound),
    };
    return cmocka_run_group_tests(tests, make_waves, NULL);
}
