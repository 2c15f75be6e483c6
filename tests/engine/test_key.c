/* Keys against the circle of fourths and its signatures as they are commonly printed, the pairs of
 * relative keys, and keys worked out from their letters; notes against the table of the equal
 * temperament. Names are written "Bb" and "F#" here. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <passo/key.h>
#include <passo/pitch.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

/* The line of fifths as it is printed, from 15 flatwards of C to 15 sharpwards. */
static const char *const line[] = {"Fbb", "Cbb", "Gbb", "Dbb", "Abb", "Ebb", "Bbb", "Fb",
                                   "Cb",  "Gb",  "Db",  "Ab",  "Eb",  "Bb",  "F",   "C",
                                   "G",   "D",   "A",   "E",   "B",   "F#",  "C#",  "G#",
                                   "D#",  "A#",  "E#",  "B#",  "F##", "C##", "G##"};

static const char *name_of(struct passo_key key)
{
    assert_true(abs(key.tonic) <= PASSO_TONIC_MAX);
    return line[key.tonic + PASSO_TONIC_MAX];
}

static struct passo_key named(const char *name, enum passo_mode mode)
{
    for (int tonic = -PASSO_TONIC_MAX; tonic <= PASSO_TONIC_MAX; tonic++) {
        if (strcmp(line[tonic + PASSO_TONIC_MAX], name) == 0)
            return (struct passo_key){.tonic = (int8_t)tonic, .mode = (uint8_t)mode};
    }
    fail_msg("no key \"%s\"", name);
    return (struct passo_key){0};
}

/* By the white keys of a piano and the signs behind the letter. */
static int semitones_of(const char *name)
{
    static const int white[] = {9, 11, 0, 2, 4, 5, 7};
    int semitones = white[name[0] - 'A'];
    for (const char *sign = name + 1; *sign; sign++)
        semitones += *sign == '#' ? 1 : -1;
    return (semitones + 12) % 12;
}

static struct passo_key numbered(int number)
{
    return (struct passo_key){.tonic = (int8_t)(number / 2 - PASSO_TONIC_MAX),
                              .mode = (uint8_t)(number % 2)};
}
enum { NUMBERED = (2 * PASSO_TONIC_MAX + 1) * 2 };

static void pitch_classes_are_those_of_the_letters(void **unused)
{
    (void)unused;
    assert_int_equal(COUNT(line), 2 * PASSO_TONIC_MAX + 1);
    for (int i = 0; i < NUMBERED; i++) {
        const struct passo_key key = numbered(i);
        assert_int_equal(passo_key_pitch_class(key), semitones_of(name_of(key)));
    }
}

/* --- relatives --- */

/* The pairs under one signature, from seven flats to seven sharps (common practice). */
static const char *const relative[][2] = {{"Cb", "Ab"}, {"Gb", "Eb"}, {"Db", "Bb"}, {"Ab", "F"},
                                          {"Eb", "C"},  {"Bb", "G"},  {"F", "D"},   {"C", "A"},
                                          {"G", "E"},   {"D", "B"},   {"A", "F#"},  {"E", "C#"},
                                          {"B", "G#"},  {"F#", "D#"}, {"C#", "A#"}};

static void relatives_share_a_signature(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < COUNT(relative); i++) {
        const struct passo_key major = named(relative[i][0], PASSO_MODE_MAJOR);
        const struct passo_key minor = named(relative[i][1], PASSO_MODE_MINOR);
        /* The signs of a major key are its place on the line: 7 flats, 6, ..., 7 sharps. */
        assert_int_equal(major.tonic, (int)i - 7);
        assert_string_equal(name_of(passo_key_relative(major)), relative[i][1]);
        assert_int_equal(passo_key_relative(major).mode, PASSO_MODE_MINOR);
        assert_string_equal(name_of(passo_key_relative(minor)), relative[i][0]);
        assert_int_equal(passo_key_relative(minor).mode, PASSO_MODE_MAJOR);
    }
}

static void every_relative_can_be_written(void **unused)
{
    (void)unused;
    for (int i = 0; i < NUMBERED; i++) {
        const struct passo_key key = numbered(i);
        const struct passo_key other = passo_key_relative(key);
        const int apart = key.mode == PASSO_MODE_MAJOR ? 9 : 3;
        assert_int_equal(semitones_of(name_of(other)), (semitones_of(name_of(key)) + apart) % 12);
        assert_int_not_equal(other.mode, key.mode);
        assert_int_equal(passo_key_match(passo_key_relative(other), key),
                         abs(key.tonic) <= 12 || abs(other.tonic - key.tonic) == 3
                             ? PASSO_KEY_SAME
                             : PASSO_KEY_ENHARMONIC);
    }
}

/* --- how well keys agree --- */

static void agree(const char *a, enum passo_mode a_mode, const char *b, enum passo_mode b_mode,
                  enum passo_key_match match)
{
    if (passo_key_match(named(a, a_mode), named(b, b_mode)) != match)
        fail_msg("%s (%d) and %s (%d)", a, a_mode, b, b_mode);
}

/* The pairs of trade.md, session 10 and (e) 2, and what is near them. */
static void keys_of_a_session_agree(void **unused)
{
    (void)unused;
    const enum passo_mode major = PASSO_MODE_MAJOR;
    const enum passo_mode minor = PASSO_MODE_MINOR;
    agree("D", major, "D", major, PASSO_KEY_SAME);
    agree("Cb", major, "B", major, PASSO_KEY_ENHARMONIC);
    agree("Gb", major, "F#", major, PASSO_KEY_ENHARMONIC);
    agree("Db", major, "C#", major, PASSO_KEY_ENHARMONIC);
    agree("C#", minor, "Db", minor, PASSO_KEY_ENHARMONIC);
    agree("Ab", major, "F", minor, PASSO_KEY_RELATIVE);
    agree("C#", minor, "E", major, PASSO_KEY_RELATIVE);
    agree("Gb", major, "D#", minor, PASSO_KEY_RELATIVE);
    agree("Cb", major, "G#", minor, PASSO_KEY_RELATIVE);
    agree("C", major, "C", minor, PASSO_KEY_APART);
    agree("F", major, "F", minor, PASSO_KEY_APART);
    agree("C", major, "G", major, PASSO_KEY_APART);
    agree("C", major, "Eb", minor, PASSO_KEY_APART);
    agree("A", minor, "F#", major, PASSO_KEY_APART);
    agree("A", minor, "E", minor, PASSO_KEY_APART);
}

static enum passo_key_match by_ear(struct passo_key a, struct passo_key b)
{
    const int from_a_to_b = (semitones_of(name_of(b)) - semitones_of(name_of(a)) + 12) % 12;
    if (a.mode == b.mode && from_a_to_b == 0)
        return a.tonic == b.tonic ? PASSO_KEY_SAME : PASSO_KEY_ENHARMONIC;
    if (a.mode == b.mode)
        return PASSO_KEY_APART;
    return from_a_to_b == (a.mode == PASSO_MODE_MAJOR ? 9 : 3) ? PASSO_KEY_RELATIVE
                                                               : PASSO_KEY_APART;
}

static void all_pairs_agree_both_ways(void **unused)
{
    (void)unused;
    for (int i = 0; i < NUMBERED; i++) {
        for (int j = 0; j < NUMBERED; j++) {
            const struct passo_key a = numbered(i);
            const struct passo_key b = numbered(j);
            assert_int_equal(passo_key_match(a, b), by_ear(a, b));
            assert_int_equal(passo_key_match(a, b), passo_key_match(b, a));
        }
    }
}

/* --- cycles --- */

static void goes(enum passo_cycle_kind kind, enum passo_mode mode, const char *const names[12])
{
    const struct passo_cycle cycle = {.kind = kind, .mode = mode};
    assert_int_equal(passo_cycle_length(&cycle), 12);
    for (size_t place = 0; place < 40; place++) {
        const struct passo_key key = passo_cycle_key(&cycle, place);
        assert_string_equal(name_of(key), names[place % 12]);
        assert_int_equal(key.mode, mode);
    }
}

/* references.md 5 and common practice. */
static void majors_go_as_they_are_printed(void **unused)
{
    (void)unused;
    static const char *const fourths[] = {"C",  "F", "Bb", "Eb", "Ab", "Db",
                                          "Gb", "B", "E",  "A",  "D",  "G"};
    static const char *const fifths[] = {"C",  "G",  "D",  "A",  "E",  "B",
                                         "Gb", "Db", "Ab", "Eb", "Bb", "F"};
    static const char *const up[] = {"C",  "Db", "D",  "Eb", "E",  "F",
                                     "Gb", "G",  "Ab", "A",  "Bb", "B"};
    static const char *const down[] = {"C",  "B", "Bb", "A",  "Ab", "G",
                                       "Gb", "F", "E",  "Eb", "D",  "Db"};
    goes(PASSO_CYCLE_FOURTHS, PASSO_MODE_MAJOR, fourths);
    goes(PASSO_CYCLE_FIFTHS, PASSO_MODE_MAJOR, fifths);
    goes(PASSO_CYCLE_CHROMATIC_UP, PASSO_MODE_MAJOR, up);
    goes(PASSO_CYCLE_CHROMATIC_DOWN, PASSO_MODE_MAJOR, down);
}

static void minors_have_the_fewest_signs(void **unused)
{
    (void)unused;
    static const char *const fourths[] = {"C",  "F", "Bb", "Eb", "G#", "C#",
                                          "F#", "B", "E",  "A",  "D",  "G"};
    static const char *const fifths[] = {"C",  "G",  "D",  "A",  "E",  "B",
                                         "F#", "C#", "G#", "Eb", "Bb", "F"};
    static const char *const up[] = {"C",  "C#", "D",  "Eb", "E",  "F",
                                     "F#", "G",  "G#", "A",  "Bb", "B"};
    static const char *const down[] = {"C",  "B", "Bb", "A",  "G#", "G",
                                       "F#", "F", "E",  "Eb", "D",  "C#"};
    goes(PASSO_CYCLE_FOURTHS, PASSO_MODE_MINOR, fourths);
    goes(PASSO_CYCLE_FIFTHS, PASSO_MODE_MINOR, fifths);
    goes(PASSO_CYCLE_CHROMATIC_UP, PASSO_MODE_MINOR, up);
    goes(PASSO_CYCLE_CHROMATIC_DOWN, PASSO_MODE_MINOR, down);
}

static void a_list_goes_as_it_is_written(void **unused)
{
    (void)unused;
    struct passo_cycle cycle = {.kind = PASSO_CYCLE_LIST, .mode = PASSO_MODE_MINOR, .listed = 3};
    cycle.list[0] = named("Cb", PASSO_MODE_MAJOR);
    cycle.list[1] = named("D#", PASSO_MODE_MINOR);
    cycle.list[2] = named("C", PASSO_MODE_MAJOR);
    assert_int_equal(passo_cycle_length(&cycle), 3);
    for (size_t place = 0; place < 10; place++) {
        const struct passo_key key = passo_cycle_key(&cycle, place);
        assert_memory_equal(&key, &cycle.list[place % 3], sizeof key);
    }
    for (int i = 0; i < PASSO_KEYS_MAX; i++)
        cycle.list[i] = numbered(i);
    cycle.listed = PASSO_KEYS_MAX;
    assert_int_equal(passo_cycle_length(&cycle), 24);
    assert_int_equal(passo_cycle_key(&cycle, 23).tonic, numbered(23).tonic);
    assert_int_equal(passo_cycle_key(&cycle, 24).tonic, numbered(0).tonic);
    const struct passo_cycle none = {.kind = PASSO_CYCLE_NONE, .listed = 3};
    assert_int_equal(passo_cycle_length(&none), 0);
}

/* --- notes --- */

/* references.md 5: f = 440 * 2^((m - 69) / 12), the digits as another program's tables print them;
 * the periods are at 48 kHz. */
static void notes_have_the_printed_frequencies(void **unused)
{
    (void)unused;
    static const struct {
        int midi;
        double hz;
        double period_frames;
        double hz_442;
    } table[] = {{21, 27.5000, 1745.4545, 27.6250},    {22, 29.135235, 1647.4897, 29.2677},
                 {24, 32.703196, 1467.7465, 32.8518},  {28, 41.203445, 1164.9511, 41.3907},
                 {29, 43.653529, 1099.5675, 43.8520},  {34, 58.270470, 823.7449, 58.5353},
                 {39, 77.781746, 617.1114, 78.1353},   {40, 82.406889, 582.4756, 82.7815},
                 {43, 97.998859, 489.8016, 98.4443},   {46, 116.540940, 411.8724, 117.0707},
                 {53, 174.614116, 274.8919, 175.4078}, {55, 195.997718, 244.9008, 196.8886},
                 {58, 233.081881, 205.9362, 234.1413}, {60, 261.625565, 183.4683, 262.8148},
                 {65, 349.228231, 137.4459, 350.8156}, {70, 466.163762, 102.9681, 468.2827}};
    for (size_t i = 0; i < COUNT(table); i++) {
        near(passo_pitch_hz(table[i].midi, 440), table[i].hz, 0.51e-6);
        near(48000 / passo_pitch_hz(table[i].midi, 440), table[i].period_frames, 0.51e-4);
        near(passo_pitch_hz(table[i].midi, 442), table[i].hz_442, 0.51e-4);
    }
    near(passo_pitch_hz(69, 440), 440, 0);
    near(passo_pitch_hz(69, 442), 442, 0);
    for (int midi = 12; midi < 128; midi++)
        near(passo_pitch_hz(midi, 440) / passo_pitch_hz(midi - 12, 440), 2, 1e-14);
}

static void a_drone_lies_from_f_to_e(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        int midi;
    } drones[] = {{"F", 41},  {"F#", 42}, {"Gb", 42}, {"G", 43},  {"Ab", 44},
                  {"A", 45},  {"Bb", 46}, {"B", 47},  {"Cb", 47}, {"C", 48},
                  {"Db", 49}, {"D", 50},  {"Eb", 51}, {"E", 52},  {"Fb", 52}};
    for (size_t i = 0; i < COUNT(drones); i++) {
        for (int mode = 0; mode < PASSO_MODE_COUNT; mode++)
            assert_int_equal(passo_key_drone_midi(named(drones[i].name, (enum passo_mode)mode)),
                             drones[i].midi);
    }
    for (int i = 0; i < NUMBERED; i++) {
        const int midi = passo_key_drone_midi(numbered(i));
        assert_in_range(midi, 41, 52);
        assert_int_equal(midi % 12, semitones_of(name_of(numbered(i))));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pitch_classes_are_those_of_the_letters),
        cmocka_unit_test(relatives_share_a_signature),
        cmocka_unit_test(every_relative_can_be_written),
        cmocka_unit_test(keys_of_a_session_agree),
        cmocka_unit_test(all_pairs_agree_both_ways),
        cmocka_unit_test(majors_go_as_they_are_printed),
        cmocka_unit_test(minors_have_the_fewest_signs),
        cmocka_unit_test(a_list_goes_as_it_is_written),
        cmocka_unit_test(notes_have_the_printed_frequencies),
        cmocka_unit_test(a_drone_lies_from_f_to_e),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
