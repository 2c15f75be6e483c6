/* How notes sound, by figures that do not come from the code that makes them: pitch by the phase
 * that a Fourier sum gains, what a small speaker leaves by a high-pass, where octaves lie by
 * autocorrelation and spectral centroid, and what tells notes from clicks and cues. Pitches are
 * those of ISO 16 and the MIDI numbers, 440 * 2^((m - 69) / 12) (references.md, 5). */
#include "help.h"

#include "sound/tone.h"

#include <math.h>

#define PI       3.14159265358979323846
#define LONGEST  48000
#define B_FLAT_0 22
#define B_FLAT_1 34
#define B_FLAT_2 46
#define B_FLAT_3 58
#define B_FLAT_4 70
#define B_FLAT_5 82

static float out[LONGEST];

static double hz_of(int midi)
{
    return 440.0 * pow(2.0, (midi - 69) / 12.0);
}

/* What the player gives of a tongued note by itself, from its first frame on. */
static void play(uint32_t rate_hz, int midi, size_t frames)
{
    const struct passo_tone tone = {.hz = (float)passo_pitch_hz(midi, 440),
                                    .level = PASSO_NOTE_LEVEL,
                                    .layer = PASSO_LAYER_NOTE,
                                    .onset = PASSO_ONSET_TONGUED};
    struct passo_player *player = plain_player(rate_hz, 7, 16);
    struct passo_timeline *alone =
        passo_timeline_tones(&tone, 1, 2000, 1, (struct passo_instant){0, 0}, rate_hz);
    assert_int_equal(passo_player_play(player, alone), PASSO_OK);
    passo_player_render(player, out, frames, 0);
    passo_player_destroy(player);
}

/* --- Fourier sums --- */

struct sum {
    double in_phase;
    double ahead;
};

/* At hz, over `frames` frames from `from` on under a Hann window; the size is the amplitude. The
 * phase is that of frame 0. */
static struct sum fourier(size_t from, size_t frames, double hz, uint32_t rate_hz)
{
    struct sum sum = {0};
    double step = 2 * PI * hz / rate_hz;
    double cosine = cos(step * (double)from);
    double sine = sin(step * (double)from);
    double turn_cosine = cos(step);
    double turn_sine = sin(step);
    double window_cosine = cos(PI / (double)frames);
    double window_sine = sin(PI / (double)frames);
    const double window_turn_cosine = cos(2 * PI / (double)frames);
    const double window_turn_sine = sin(2 * PI / (double)frames);
    for (size_t i = 0; i < frames; i++) {
        double sample = (double)out[from + i] * (0.5 - 0.5 * window_cosine);
        sum.in_phase += sample * cosine;
        sum.ahead -= sample * sine;
        double next = cosine * turn_cosine - sine * turn_sine;
        sine = sine * turn_cosine + cosine * turn_sine;
        cosine = next;
        next = window_cosine * window_turn_cosine - window_sine * window_turn_sine;
        window_sine = window_sine * window_turn_cosine + window_cosine * window_turn_sine;
        window_cosine = next;
    }
    sum.in_phase *= 4 / (double)frames;
    sum.ahead *= 4 / (double)frames;
    return sum;
}

static double size_of(struct sum sum)
{
    return hypot(sum.in_phase, sum.ahead);
}

/* --- pitch --- */

/* From how much the fundamental's phase gains in a quarter of a second; the octave under it
 * holds next to nothing. */
static double cents_off(int midi, uint32_t rate_hz)
{
    const double hz = hz_of(midi);
    const size_t window = rate_hz / 2;
    const size_t later = rate_hz / 4;
    struct sum early = fourier(rate_hz / 8, window, hz, rate_hz);
    struct sum late = fourier(rate_hz / 8 + later, window, hz, rate_hz);
    assert_true(size_of(early) > 0.03 && size_of(late) > 0.03);
    assert_true(size_of(fourier(rate_hz / 8, window, hz / 2, rate_hz)) < 0.002);
    double turned = atan2(late.ahead * early.in_phase - late.in_phase * early.ahead,
                          late.in_phase * early.in_phase + late.ahead * early.ahead);
    double off_hz = turned / (2 * PI) * rate_hz / (double)later;
    return 1200 * log2((hz + off_hz) / hz);
}

static void test_every_pitch(void **state)
{
    (void)state;
    static const uint32_t rates[] = {44100, 48000};
    assert_true(fabs(hz_of(B_FLAT_1) - 58.270470) < 1e-6); /* as printed there */
    assert_true(fabs(hz_of(B_FLAT_4) - 466.163762) < 1e-6);
    for (size_t r = 0; r < 2; r++) {
        for (int midi = B_FLAT_0; midi <= B_FLAT_5; midi++) {
            play(rates[r], midi, rates[r] * 7 / 8);
            assert_true(fabs(cents_off(midi, rates[r])) < 0.02);
        }
    }
}

/* --- on a small speaker --- */

/* A high-pass of the second order at 200 Hz, quality 1/sqrt(2): about what a laptop's speaker gives
 * (common practice); the bilinear form of R. Bristow-Johnson's cookbook, from memory. */
static void through_a_small_speaker(float *samples, size_t frames, uint32_t rate_hz)
{
    const double omega = 2 * PI * 200 / rate_hz;
    const double alpha = sin(omega) / 2 / sqrt(0.5);
    const double whole = 1 + alpha;
    const double b = (1 + cos(omega)) / 2 / whole; /* b, -2 b, b */
    const double a1 = -2 * cos(omega) / whole;
    const double a2 = (1 - alpha) / whole;
    double x1 = 0;
    double x2 = 0;
    double y1 = 0;
    double y2 = 0;
    for (size_t i = 0; i < frames; i++) {
        double x = samples[i];
        double y = b * (x - 2 * x1 + x2) - a1 * y1 - a2 * y2;
        x2 = x1;
        x1 = x;
        y2 = y1;
        y1 = y;
        samples[i] = (float)y;
    }
}

static double level_db(const float *samples, size_t from, size_t to)
{
    double sum = 0;
    for (size_t i = from; i < to; i++)
        sum += (double)samples[i] * (double)samples[i];
    return 10 * log10(sum / (double)(to - from) + 1e-30);
}

static double speaker_db(int midi)
{
    play(22050, midi, 22050);
    through_a_small_speaker(out, 22050, 22050);
    return level_db(out, 22050 / 4, 22050);
}

/* The filter itself: 3 dB down at 200 Hz, 12 dB an octave below it, nothing taken at 2 kHz. */
static void test_the_small_speaker(void **state)
{
    (void)state;
    static const struct {
        double hz;
        double db;
    } points[] = {{50, -24.1}, {100, -12.3}, {200, -3.0}, {2000, 0.0}};
    for (size_t k = 0; k < sizeof points / sizeof *points; k++) {
        for (size_t i = 0; i < 22050; i++)
            out[i] = (float)sin(2 * PI * points[k].hz * (double)i / 22050);
        double before = level_db(out, 11025, 22050);
        through_a_small_speaker(out, 22050, 22050);
        assert_true(fabs(level_db(out, 11025, 22050) - before - points[k].db) < 0.15);
    }
}

/* The low register is hardly softer than the middle one where nothing under 200 Hz comes through:
 * a sine on B-flat 1 would lose 21 dB against one on B-flat 3. */
static void test_low_notes_on_a_small_speaker(void **state)
{
    (void)state;
    double middle = speaker_db(B_FLAT_3);
    assert_true(speaker_db(B_FLAT_0) > middle - 7);
    assert_true(speaker_db(B_FLAT_1) > middle - 2.5);
    assert_true(speaker_db(41) > middle - 1.5); /* F 2 */
    for (int midi = B_FLAT_2; midi <= B_FLAT_5; midi++)
        assert_true(fabs(speaker_db(midi) - middle) < 1.2);
}

/* --- octaves --- */

/* The shortest time after which what comes through the speaker is nearly the same again. */
static double period_hz(uint32_t rate_hz, double lowest_hz)
{
    const size_t from = rate_hz / 4;
    const size_t frames = rate_hz / 4;
    double all = 0;
    for (size_t i = 0; i < frames; i++)
        all += (double)out[from + i] * (double)out[from + i];
    for (size_t lag = 8; (double)lag < rate_hz / lowest_hz; lag++) {
        double alike = 0;
        for (size_t i = 0; i < frames; i++)
            alike += (double)out[from + i] * (double)out[from + lag + i];
        if (alike > 0.93 * all)
            return (double)rate_hz / (double)lag;
    }
    return 0;
}

/* The mean of the harmonics' places, by their amplitudes. */
static double centroid_hz(double fundamental_hz, uint32_t rate_hz)
{
    double total = 0;
    double places = 0;
    for (int h = 1; h * fundamental_hz < 5200; h++) {
        double size = size_of(fourier(rate_hz / 4, rate_hz / 2, h * fundamental_hz, rate_hz));
        total += size;
        places += size * h * fundamental_hz;
    }
    return places / total;
}

/* On the small speaker a note and its octave differ in the spacing of what is heard, by half or
 * double, and in how bright they are. */
static void test_octaves_are_told_apart(void **state)
{
    (void)state;
    static const int notes[] = {B_FLAT_0, B_FLAT_1, B_FLAT_2, B_FLAT_3, B_FLAT_4, B_FLAT_5};
    double before_hz = 0;
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++) {
        const double hz = hz_of(notes[i]);
        play(22050, notes[i], 22050);
        through_a_small_speaker(out, 22050, 22050);
        double found_hz = period_hz(22050, 20);
        double bright_hz = centroid_hz(hz, 22050);
        assert_true(fabs(found_hz / hz - 1) < 0.05);
        assert_true(bright_hz > before_hz * 1.25);
        before_hz = bright_hz;
    }
}

/* --- nothing but harmonics --- */

/* Beside its harmonics a note holds nothing: half way between any two, and above the last up to
 * half the rate, under a window whose side lobes lie low enough (Hann's fall 18 dB an octave). */
static void test_no_aliases(void **state)
{
    (void)state;
    static const uint32_t rates[] = {22050, 44100, 48000};
    double worst_db = -300;
    for (size_t r = 0; r < 3; r++) {
        for (int midi = B_FLAT_4; midi <= B_FLAT_5 + 12; midi += 3) {
            const double hz = hz_of(midi);
            play(rates[r], midi, rates[r] * 3 / 4);
            double loudest = size_of(fourier(rates[r] / 4, rates[r] / 2, hz, rates[r]));
            for (int k = 1; (k + 0.5) * hz < rates[r] / 2.0 - 100; k++) {
                const double at = (k + 0.5) * hz;
                double size = size_of(fourier(rates[r] / 4, rates[r] / 2, at, rates[r]));
                worst_db = fmax(worst_db, 20 * log10(size / loudest));
            }
        }
    }
    assert_true(worst_db < -110);
}

/* --- notes, cues and clicks --- */

struct figures {
    double ring_ms;     /* until 90 % of the energy is out */
    double centroid_hz; /* of the energy */
};

static struct figures figures_of(const float *frame, size_t frames, uint32_t rate_hz)
{
    double energy = 0;
    double so_far = 0;
    double slope = 0; /* the energy of the difference tells the mean square of the frequency */
    size_t ring = 0;
    for (size_t i = 0; i < frames; i++)
        energy += (double)frame[i] * (double)frame[i];
    while (so_far < 0.9 * energy) {
        so_far += (double)frame[ring] * (double)frame[ring];
        ring++;
    }
    for (size_t i = 1; i < frames; i++)
        slope += pow((double)frame[i] - (double)frame[i - 1], 2);
    return (struct figures){1000.0 * (double)ring / rate_hz,
                            asin(fmin(1, sqrt(slope / energy) / 2)) * rate_hz / PI};
}

/* Clicks are over in 12 ms, most of their energy near 2 kHz or over it; a note goes on. */
static void test_notes_are_no_clicks(void **state)
{
    (void)state;
    for (int timbre = 0; timbre < PASSO_TIMBRE_COUNT; timbre++) {
        struct passo_kit kit;
        passo_kit_init(&kit, (enum passo_timbre)timbre, 22050);
        for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
            struct figures click = figures_of(kit.click[i].frame, kit.click[i].frames, 22050);
            assert_true(click.ring_ms < 15);
            assert_true(click.centroid_hz > 2000);
        }
        passo_kit_deinit(&kit);
    }
    for (int midi = B_FLAT_0; midi <= B_FLAT_5; midi += 12) {
        play(22050, midi, 11025); /* half a second of two */
        struct figures note = figures_of(out, 11025, 22050);
        assert_true(note.ring_ms > 440);
        assert_true(midi > B_FLAT_3 || note.centroid_hz < 1300);
    }
}

/* The third harmonic as a share of the first. */
static double third_of(size_t from, size_t frames, double hz)
{
    return size_of(fourier(from, frames, 3 * hz, 22050)) /
           size_of(fourier(from, frames, hz, 22050));
}

/* A cue is nearly a sine, a note of the same pitch is not. First pitches of kit.h's cues as their
 * recipes have them: D 5, A 5 and so on. */
static void test_notes_are_no_cues(void **state)
{
    (void)state;
    static const double first_hz[PASSO_CUE_COUNT] = {1047, 587, 880, 698, 587, 784, 523, 392};
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_WOOD, 22050);
    for (int i = 0; i < PASSO_CUE_COUNT; i++) {
        assert_true(kit.cue[i].frames >= 660);
        memcpy(out, kit.cue[i].frame, 660 * sizeof *out); /* 30 ms */
        assert_true(third_of(0, 660, first_hz[i]) < 0.1);
        int midi = (int)lround(69 + 12 * log2(first_hz[i] / 440));
        play(22050, midi, 22050);
        assert_true(third_of(5512, 11025, hz_of(midi)) > 2);
    }
    passo_kit_deinit(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_pitch),
        cmocka_unit_test(test_the_small_speaker),
        cmocka_unit_test(test_low_notes_on_a_small_speaker),
        cmocka_unit_test(test_octaves_are_told_apart),
        cmocka_unit_test(test_no_aliases),
        cmocka_unit_test(test_notes_are_no_clicks),
        cmocka_unit_test(test_notes_are_no_cues),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
