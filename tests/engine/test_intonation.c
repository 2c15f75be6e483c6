/* What is tuned to, against the printed frequencies (references.md 5), the transpositions of
 * trade.md (i) and the cents of the pure fifth. */
#include "pitch_tools.h"

#include <passo/intonation.h>

/* A frequency is handed on as a float: within a thousandth of a cent of it. */
#define FLOAT_CENTS 1e-3

static double cents(double hz, double over_hz)
{
    return 1200 * log2(hz / over_hz);
}

static struct passo_intonation in_key(const char *name, int transposition, enum passo_drone drone)
{
    return (struct passo_intonation){.transposition = (int16_t)transposition,
                                     .keyed = true,
                                     .key = key_named(name, PASSO_MODE_MAJOR),
                                     .drone = drone};
}

static void written_notes_sound_in_their_place(void **unused)
{
    (void)unused;
    static const struct {
        double a4_hz;
        int transposition;
        const char *written;
        int octave;
        double hz;
    } notes[] = {
        {0, 0, "A4", 0, 440},           {440, 0, "A4", 0, 440},
        {442, 0, "A4", 0, 442},         {415, 0, "A4", -1, 207.5},
        {466, 0, "A4", 2, 1864},        {0, -2, "B4", 0, 440}, /* B-flat trumpet */
        {0, -2, "C5", 0, 466.163762},                          /* B-flat 4 */
        {0, -7, "C5", 0, 349.228231},                          /* horn in F: F 4 */
        {0, -21, "G4", 0, 116.540940}, /* E-flat tuba in treble clef: B-flat 2 */
        {442, -21, "G4", 0, 117.0707},  {0, 0, "Eb3", -1, 77.781746}, /* an octave down, E-flat 2 */
        {0, -14, "C5", -1, 116.540940}, /* euphonium in treble clef, an octave down */
        {0, 0, "E2", -1, 41.203445},    {0, 0, "D#2", 0, 77.781746}, /* E-flat 2 */
    };
    for (size_t i = 0; i < COUNT(notes); i++) {
        const struct passo_intonation intonation = {
            .a4_hz = notes[i].a4_hz, .transposition = (int16_t)notes[i].transposition};
        near(passo_intonation_hz(&intonation, pitch_named(notes[i].written), notes[i].octave),
             notes[i].hz, 0.51e-4);
    }
}

static void a_root_lies_from_f_to_e_as_it_sounds(void **unused)
{
    (void)unused;
    static const struct {
        const char *key;
        int transposition;
        double hz;
    } roots[] = {
        {"F", 0, 87.307058},    /* F 2, the lowest: tonal_pitches.h has E-sharp 2 */
        {"E", 0, 164.813778},   /* E 3, the highest: twice 82.406889 */
        {"Bb", 0, 116.540940},  /* B-flat 2 */
        {"C", -2, 116.540940},  /* a B-flat trumpet's C */
        {"C", -26, 116.540940}, /* a B-flat tuba's */
        {"G", -2, 87.307058},   /* F */
        {"F#", -2, 164.813778}, /* E: not an octave lower */
        {"C", 3, 155.563492},   /* a soprano cornet's C: E-flat 3, twice 77.781746 */
        {"C", -9, 155.563492},
    };
    for (size_t i = 0; i < COUNT(roots); i++) {
        const struct passo_intonation intonation =
            in_key(roots[i].key, roots[i].transposition, PASSO_DRONE_ROOT);
        struct passo_tone tone[PASSO_DRONES_MAX];
        assert_int_equal(passo_intonation_drone(&intonation, 0.2F, tone), 1);
        near(cents(tone[0].hz, roots[i].hz), 0, FLOAT_CENTS);
    }
}

/* All keys on all instruments, in F to E, on the key's tonic so many semitones away. */
static void every_root_is_the_tonic_that_sounds(void **unused)
{
    (void)unused;
    for (int semitones = -48; semitones <= 48; semitones++) {
        for (int tonic = -PASSO_TONIC_MAX; tonic <= PASSO_TONIC_MAX; tonic++) {
            struct passo_intonation intonation = in_key("C", semitones, PASSO_DRONE_ROOT);
            intonation.a4_hz = 442;
            intonation.key.tonic = (int8_t)tonic;
            struct passo_tone tone[PASSO_DRONES_MAX];
            assert_int_equal(passo_intonation_drone(&intonation, 0.1F, tone), 1);
            const double midi = 69 + cents(tone[0].hz, 442) / 100;
            assert_in_range((long)lround(midi), 41, 52);
            near(midi, round(midi), FLOAT_CENTS / 100);
            assert_int_equal((lround(midi) - semitones - 7 * tonic) % 12, 0);
        }
    }
}

static void a_fifth_is_equal_or_pure(void **unused)
{
    (void)unused;
    struct passo_intonation intonation = in_key("Eb", 0, PASSO_DRONE_ROOT_AND_FIFTH);
    struct passo_tone tone[PASSO_DRONES_MAX];
    assert_int_equal(passo_intonation_drone(&intonation, 0.1F, tone), 2);
    near(cents(tone[1].hz, tone[0].hz), 700, FLOAT_CENTS);
    near(cents(tone[1].hz, 233.081881), 0, FLOAT_CENTS); /* B-flat 3 over E-flat 3 */
    intonation.pure_fifth = true;
    assert_int_equal(passo_intonation_drone(&intonation, 0.1F, tone), 2);
    near(cents(tone[1].hz, tone[0].hz), 701.9550, FLOAT_CENTS); /* references.md 5 */
    near(cents(tone[0].hz, 155.563492), 0, FLOAT_CENTS);        /* the root stays */
}

/* The two together are no louder than one alone. */
static void two_tones_share_the_level(void **unused)
{
    (void)unused;
    static const float levels[] = {0.1F, 0.25F, 1};
    for (size_t i = 0; i <= COUNT(levels); i++) {
        const float level = i < COUNT(levels) ? levels[i] : 0;
        const float peak = level > 0 ? level : PASSO_TONE_LEVEL;
        struct passo_tone tone[PASSO_DRONES_MAX];
        struct passo_intonation intonation = in_key("C", 0, PASSO_DRONE_ROOT);
        assert_int_equal(passo_intonation_drone(&intonation, level, tone), 1);
        near(tone[0].level, peak, 0);
        intonation.drone = PASSO_DRONE_ROOT_AND_FIFTH;
        assert_int_equal(passo_intonation_drone(&intonation, level, tone), 2);
        near(tone[0].level, peak / 2, 0);
        near(tone[1].level, peak / 2, 0);
        assert_int_equal(tone[0].layer, PASSO_LAYER_DRONE);
        assert_int_equal(tone[1].layer, PASSO_LAYER_FIFTH);
        assert_int_equal(tone[0].onset, PASSO_ONSET_SOFT);
        assert_int_equal(tone[1].onset, PASSO_ONSET_SOFT);
    }
}

static void a_named_note_sounds_where_it_is_written(void **unused)
{
    (void)unused;
    struct passo_intonation intonation = {.drone = PASSO_DRONE_NOTE, .note = pitch_named("Bb1")};
    struct passo_tone tone[PASSO_DRONES_MAX];
    assert_int_equal(passo_intonation_drone(&intonation, 0.1F, tone), 1);
    near(cents(tone[0].hz, 58.270470), 0, FLOAT_CENTS);
    assert_int_equal(tone[0].layer, PASSO_LAYER_DRONE);
    intonation.note = pitch_named("C5");
    intonation.transposition = -2;
    intonation.a4_hz = 442;
    assert_int_equal(passo_intonation_drone(&intonation, 0.1F, tone), 1);
    near(cents(tone[0].hz, 468.2827), 0, FLOAT_CENTS);
}

static void no_drone_is_none(void **unused)
{
    (void)unused;
    const struct passo_intonation intonation = in_key("C", 0, PASSO_DRONE_NONE);
    struct passo_tone tone[PASSO_DRONES_MAX];
    assert_int_equal(passo_intonation_drone(&intonation, 0.1F, tone), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(written_notes_sound_in_their_place),
        cmocka_unit_test(a_root_lies_from_f_to_e_as_it_sounds),
        cmocka_unit_test(every_root_is_the_tonic_that_sounds),
        cmocka_unit_test(a_fifth_is_equal_or_pure),
        cmocka_unit_test(two_tones_share_the_level),
        cmocka_unit_test(a_named_note_sounds_where_it_is_written),
        cmocka_unit_test(no_drone_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
