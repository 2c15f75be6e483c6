/* Pitches against the table of a library that is not ours (tonal_pitches.h), the staff, printed
 * scales, and the chromatic scale as it is taught. The frequencies as they are printed are in
 * test_key.c. */
#include "pitch_tools.h"
#include "time_tools.h"
#include "tonal_pitches.h"

static void spellings_sound_as_tonal_says(void **unused)
{
    (void)unused;
    assert_int_equal(COUNT(tonal_sounds), 4 * COUNT(line_of_fifths));
    for (size_t i = 0; i < COUNT(tonal_sounds); i++) {
        const struct passo_pitch pitch = pitch_named(tonal_sounds[i].name);
        assert_int_equal(passo_pitch_midi(pitch), tonal_sounds[i].midi);
        near(passo_pitch_hz(passo_pitch_midi(pitch), PASSO_A4_HZ), tonal_sounds[i].hz, 0.51e-6);
    }
}

/* The letter and the signs that stand in the name, and back. */
static void spellings_are_letters_and_signs(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < COUNT(tonal_sounds); i++) {
        const char *name = tonal_sounds[i].name;
        const int letter = (int)(strchr("CDEFGAB", name[0]) - "CDEFGAB");
        const int signs = (int)strspn(name + 1, "b#");
        const int alter = name[1] == 'b' ? -signs : signs;
        const struct passo_pitch pitch = pitch_named(name);
        assert_int_equal(passo_pitch_letter(pitch), letter);
        assert_int_equal(passo_pitch_alter(pitch), alter);
        is_pitch(passo_pitch_of(letter, alter, pitch.octave), name);
    }
}

/* Middle C lies one ledger line under the treble clef's five lines E G B D F; G B D F A are those
 * of the bass clef (common practice): lines are two steps apart. */
static void steps_are_those_of_the_staff(void **unused)
{
    (void)unused;
    static const char *const lines[] = {"G2", "B2",  "D3",  "F3", "A3",  "C4",
                                        "E4", "Gb4", "B#4", "D5", "F##5"};
    for (size_t i = 0; i < COUNT(lines); i++)
        assert_int_equal(passo_pitch_step(pitch_named(lines[i])), 18 + 2 * (int)i);
    assert_int_equal(passo_pitch_step(pitch_named("C4")), 28);
    assert_int_equal(passo_pitch_step(pitch_named("B#3")), 27);
    assert_int_equal(passo_pitch_step(pitch_named("Cb-1")), -7);
}

/* --- from MIDI numbers --- */

/* The majors from seven flats to seven sharps as they are printed; tonal 6.4.3 has the same. */
static const char *const scales[][7] = {
    {"Cb", "Db", "Eb", "Fb", "Gb", "Ab", "Bb"}, {"Gb", "Ab", "Bb", "Cb", "Db", "Eb", "F"},
    {"Db", "Eb", "F", "Gb", "Ab", "Bb", "C"},   {"Ab", "Bb", "C", "Db", "Eb", "F", "G"},
    {"Eb", "F", "G", "Ab", "Bb", "C", "D"},     {"Bb", "C", "D", "Eb", "F", "G", "A"},
    {"F", "G", "A", "Bb", "C", "D", "E"},       {"C", "D", "E", "F", "G", "A", "B"},
    {"G", "A", "B", "C", "D", "E", "F#"},       {"D", "E", "F#", "G", "A", "B", "C#"},
    {"A", "B", "C#", "D", "E", "F#", "G#"},     {"E", "F#", "G#", "A", "B", "C#", "D#"},
    {"B", "C#", "D#", "E", "F#", "G#", "A#"},   {"F#", "G#", "A#", "B", "C#", "D#", "E#"},
    {"C#", "D#", "E#", "F#", "G#", "A#", "B#"}};

/* A name's nearest MIDI number to middle C, by the white keys of a piano. */
static int midi_named(const char *name)
{
    static const int white[] = {9, 11, 0, 2, 4, 5, 7};
    const int signs = (int)strlen(name + 1);
    return 60 + white[name[0] - 'A'] + (name[1] == 'b' ? -signs : signs);
}

static void is_spelt(int midi, struct passo_key key, const char *name)
{
    assert_string_equal(line_of_fifths[passo_pitch_of_midi(midi, key).fifths - PASSO_FIFTHS_MIN],
                        name);
}

static void scales_are_spelt_as_they_are_printed(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < COUNT(scales); i++) {
        const struct passo_key major = key_named(scales[i][0], PASSO_MODE_MAJOR);
        const struct passo_key minor = passo_key_relative(major);
        int signs = 0;
        for (size_t k = 0; k < 7; k++) {
            const int midi = midi_named(scales[i][k]);
            is_spelt(midi, major, scales[i][k]);
            is_spelt(midi, minor, scales[i][k]);
            signs += passo_pitch_alter(passo_pitch_of_midi(midi, major));
        }
        /* references.md 5: C 0, F -1, B-flat -2 ... C-flat -7 */
        assert_int_equal(signs, (int)i - 7);
    }
}

/* The harmonic chromatic scale as it is taught (common practice, from memory): every degree but the
 * first and fifth twice; in minor as in major. */
static void the_chromatic_scale_is_the_harmonic_one(void **unused)
{
    (void)unused;
    static const struct {
        const char *tonic;
        enum passo_mode mode;
        const char *name[12]; /* from C upwards */
    } taught[] = {
        {"C", PASSO_MODE_MAJOR, {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}},
        {"C", PASSO_MODE_MINOR, {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}},
        {"A", PASSO_MODE_MINOR, {"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "Bb", "B"}},
        {"G", PASSO_MODE_MINOR, {"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}},
        {"Bb",
         PASSO_MODE_MAJOR,
         {"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "Cb"}},
    };
    for (size_t i = 0; i < COUNT(taught); i++) {
        for (int k = 0; k < 12; k++)
            is_spelt(60 + k, key_named(taught[i].tonic, taught[i].mode), taught[i].name[k]);
    }
}

/* The sign that makes the leading note of each minor key, as it is printed. */
static void minor_keys_have_their_leading_note(void **unused)
{
    (void)unused;
    static const char *const leads[][2] = {{"Ab", "G"},  {"Eb", "D"}, {"Bb", "A"},  {"F", "E"},
                                           {"C", "B"},   {"G", "F#"}, {"D", "C#"},  {"A", "G#"},
                                           {"E", "D#"},  {"B", "A#"}, {"F#", "E#"}, {"C#", "B#"},
                                           {"G#", "F##"}};
    for (size_t i = 0; i < COUNT(leads); i++)
        is_spelt(midi_named(leads[i][1]), key_named(leads[i][0], PASSO_MODE_MINOR), leads[i][1]);
}

/* Whatever the key, the number stays; a spelling that cannot be written gives way. */
static void every_number_is_kept_in_every_key(void **unused)
{
    (void)unused;
    for (int tonic = -PASSO_TONIC_MAX; tonic <= PASSO_TONIC_MAX; tonic++) {
        for (int midi = 0; midi <= 127; midi++) {
            const struct passo_key key = {(int8_t)tonic, (uint8_t)(midi % 2)};
            const struct passo_pitch pitch = passo_pitch_of_midi(midi, key);
            assert_int_equal(passo_pitch_midi(pitch), midi);
            assert_true(pitch.fifths >= PASSO_FIFTHS_MIN && pitch.fifths <= PASSO_FIFTHS_MAX);
            assert_true(pitch.octave >= PASSO_OCTAVE_MIN && pitch.octave <= PASSO_OCTAVE_MAX);
        }
    }
    /* in C-sharp, the lowest C would be a B-sharp of an octave that is not there */
    is_pitch(passo_pitch_of_midi(0, key_named("C#", PASSO_MODE_MAJOR)), "C-1");
    is_pitch(passo_pitch_of_midi(12, key_named("C#", PASSO_MODE_MAJOR)), "B#-1");
}

/* --- bugs --- */

static void letter_too_high(void)
{
    (void)passo_pitch_of(7, 0, 4);
}
static void letter_too_low(void)
{
    (void)passo_pitch_of(-1, 0, 4);
}
static void three_sharps(void)
{
    (void)passo_pitch_of(0, 3, 4);
}
static void three_flats(void)
{
    (void)passo_pitch_of(0, -3, 4);
}
static void octave_too_high(void)
{
    (void)passo_pitch_of(0, 0, PASSO_OCTAVE_MAX + 1);
}
static void octave_too_low(void)
{
    (void)passo_pitch_of(0, 0, PASSO_OCTAVE_MIN - 1);
}
static void number_too_high(void)
{
    (void)passo_pitch_of_midi(128, (struct passo_key){0});
}
static void number_too_low(void)
{
    (void)passo_pitch_of_midi(-1, (struct passo_key){0});
}

static void what_is_outside_the_limits_stops_the_program(void **unused)
{
    (void)unused;
    void (*const bug[])(void) = {letter_too_high, letter_too_low, three_sharps,    three_flats,
                                 octave_too_high, octave_too_low, number_too_high, number_too_low};
    for (size_t i = 0; i < COUNT(bug); i++)
        assert_true(stops_the_program(bug[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spellings_sound_as_tonal_says),
        cmocka_unit_test(spellings_are_letters_and_signs),
        cmocka_unit_test(steps_are_those_of_the_staff),
        cmocka_unit_test(scales_are_spelt_as_they_are_printed),
        cmocka_unit_test(the_chromatic_scale_is_the_harmonic_one),
        cmocka_unit_test(minor_keys_have_their_leading_note),
        cmocka_unit_test(every_number_is_kept_in_every_key),
        cmocka_unit_test(what_is_outside_the_limits_stops_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
