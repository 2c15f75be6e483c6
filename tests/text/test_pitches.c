/* Notes as they are named, and how instruments transpose. Which note of the keyboard a name is was
 * set out from the piano's keys (from memory); what instruments sound is section (i) of the trade
 * page, and the rest of the table is common practice, as orchestration primers print it (from
 * memory). */
#include "setup_tools.h"

#include <passo/random.h>

static struct passo_pitch pitch_of(const char *text)
{
    struct passo_pitch pitch = {99, 99};
    if (passo_pitch_read(text, &pitch))
        print_error("no note: %s\n", text);
    assert_int_equal(passo_pitch_read(text, &pitch), PASSO_OK);
    return pitch;
}

static void many_ways_to_name_one(void **state)
{
    /* Places on the line of fifths: F C G D A E B are -1 to 5, a sharp seven more. */
    static const struct {
        const char *text;
        int fifths;
        int octave;
        const char *written;
    } names[] = {
        {"C 4", 0, 4, "C 4"},
        {"c4", 0, 4, "C 4"},
        {"  C   4  ", 0, 4, "C 4"},
        {"B-flat 2", -2, 2, "B-flat 2"},
        {"Bb2", -2, 2, "B-flat 2"},
        {"bb2", -2, 2, "B-flat 2"},
        {"B flat 2", -2, 2, "B-flat 2"},
        {"B-Flat2", -2, 2, "B-flat 2"},
        {"B\xE2\x99\xAD"
         "2",
         -2, 2, "B-flat 2"},
        {"B \xE2\x99\xAD 2", -2, 2, "B-flat 2"},
        {"b 1", 5, 1, "B 1"},
        {"b1", 5, 1, "B 1"},
        {"F#3", 6, 3, "F-sharp 3"},
        {"F sharp 3", 6, 3, "F-sharp 3"},
        {"F\xE2\x99\xAF"
         "3",
         6, 3, "F-sharp 3"},
        {"F\xE2\x99\xAE 3", -1, 3, "F 3"},
        {"E-flat 3", -3, 3, "E-flat 3"},
        {"Bbb2", -9, 2, "B-double-flat 2"},
        {"B double flat 2", -9, 2, "B-double-flat 2"},
        {"B-double-flat 2", -9, 2, "B-double-flat 2"},
        {"B\xE2\x99\xAD\xE2\x99\xAD"
         "2",
         -9, 2, "B-double-flat 2"},
        {"B\xF0\x9D\x84\xAB"
         "2",
         -9, 2, "B-double-flat 2"},
        {"F##4", 13, 4, "F-double-sharp 4"},
        {"F\xF0\x9D\x84\xAA"
         "4",
         13, 4, "F-double-sharp 4"},
        {"B## 9", 19, 9, "B-double-sharp 9"},
        {"Fbb-1", -15, -1, "F-double-flat -1"},
        {"C-1", 0, -1, "C -1"},
        {"A 0", 3, 0, "A 0"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char text[64];
        const struct passo_pitch pitch = pitch_of(names[i].text);
        assert_int_equal(pitch.fifths, names[i].fifths);
        assert_int_equal(pitch.octave, names[i].octave);
        assert_string_equal(passo_pitch_write(pitch, text, sizeof text), names[i].written);
    }
}

/* Every spelling of every octave, in the three ways of writing it. */
static void all_that_is_written_reads_back(void **state)
{
    (void)state;
    for (int octave = PASSO_OCTAVE_MIN; octave <= PASSO_OCTAVE_MAX; octave++)
        for (int fifths = PASSO_FIFTHS_MIN; fifths <= PASSO_FIFTHS_MAX; fifths++) {
            const struct passo_pitch pitch = {(int8_t)fifths, (int8_t)octave};
            char text[3][64];
            passo_pitch_write(pitch, text[0], sizeof text[0]);
            passo_pitch_write_short(pitch, false, text[1], sizeof text[1]);
            passo_pitch_write_short(pitch, true, text[2], sizeof text[2]);
            for (size_t i = 0; i < 3; i++) {
                const struct passo_pitch back = pitch_of(text[i]);
                assert_int_equal(back.fifths, fifths);
                assert_int_equal(back.octave, octave);
            }
            for (const char *at = text[2]; *at; at++)
                assert_true((unsigned char)*at < 0x80);
        }
    char text[64];
    assert_string_equal(passo_pitch_write_short(pitch_of("B-flat 2"), false, text, sizeof text),
                        "B\xE2\x99\xAD"
                        "2");
    assert_string_equal(passo_pitch_write_short(pitch_of("B-flat 2"), true, text, sizeof text),
                        "Bb2");
    assert_string_equal(passo_pitch_write_short(pitch_of("C##4"), true, text, sizeof text), "C##4");
}

static void what_is_no_note_is_refused(void **state)
{
    static const char *const syntax[] = {"",
                                         " ",
                                         "H 3",
                                         "3",
                                         "B",
                                         "B-flat",
                                         "Bb",
                                         "B-flat-",
                                         "B#b2",
                                         "Bb#2",
                                         "Bbbb2",
                                         "C###",
                                         "C 4x",
                                         "C 4 5",
                                         "C 4.5",
                                         "C4-",
                                         "C - 1",
                                         "CC4",
                                         "-C4",
                                         "C\n4x",
                                         "C4,",
                                         "do",
                                         "sol 4",
                                         "C \xFF",
                                         "\xE2\x99\xAD 4",
                                         "double flat 4"};
    static const char *const range[] = {"C 10", "C -2", "C 99999999999999999999",
                                        "C-99999999999999"};
    (void)state;
    struct passo_pitch pitch = {7, 7};
    for (size_t i = 0; i < sizeof syntax / sizeof *syntax; i++) {
        if (passo_pitch_read(syntax[i], &pitch) != PASSO_ERR_SYNTAX)
            print_error("a note: %s\n", syntax[i]);
        assert_int_equal(passo_pitch_read(syntax[i], &pitch), PASSO_ERR_SYNTAX);
    }
    for (size_t i = 0; i < sizeof range / sizeof *range; i++)
        assert_int_equal(passo_pitch_read(range[i], &pitch), PASSO_ERR_RANGE);
    assert_int_equal(pitch.fifths, 7); /* untouched */
    assert_int_equal(pitch.octave, 7);
}

/* Drawn signs: never a crash, and what is read is within the limits and reads back. */
static void drawn_signs(void **state)
{
    static const char *const signs[] = {"A",
                                        "b",
                                        "C",
                                        "-flat",
                                        "-",
                                        "#",
                                        "b",
                                        " ",
                                        "3",
                                        "-1",
                                        "double",
                                        "sharp",
                                        "\t",
                                        "9",
                                        "0",
                                        "x",
                                        ".",
                                        "\xE2",
                                        "\xE2\x99\xAD",
                                        "g",
                                        "F "};
    struct passo_random random;
    size_t read = 0;
    (void)state;
    passo_random_seed(&random, 6);
    for (int round = 0; round < 20000; round++) {
        char text[64] = "";
        char back_text[64];
        struct passo_pitch pitch;
        struct passo_pitch back;
        for (uint32_t left = passo_random_below(&random, 5); left; left--)
            strcat(text, signs[passo_random_below(&random, sizeof signs / sizeof *signs)]);
        int16_t semitones = 0;
        if (passo_instrument_transposition(text, &semitones))
            assert_in_range(semitones + 48, 0, 96);
        if (passo_pitch_read(text, &pitch))
            continue;
        read++;
        assert_in_range(pitch.fifths + 15, 0, 34);
        assert_in_range(pitch.octave + 1, 0, 10);
        passo_pitch_write(pitch, back_text, sizeof back_text);
        assert_int_equal(passo_pitch_read(back_text, &back), PASSO_OK);
        assert_memory_equal(&back, &pitch, sizeof back);
    }
    assert_true(read > 100);
}

static void instruments_transpose(void **state)
{
    static const struct {
        const char *name;
        int semitones;
    } known[] = {
        /* trade.md (i) */
        {"B-flat trumpet", -2},
        {"Trumpet in B-flat", -2},
        {"B\xE2\x99\xAD trumpet", -2},
        {"Bb Trumpet 2", -2},
        {"trumpet in b flat", -2},
        {"B-flat cornet", -2},
        {"Solo Cornet", -2},
        {"flugelhorn", -2},
        {"Flugel Horn in B flat", -2},
        {"Horn in F", -7},
        {"French horn", -7},
        {"2nd F horn", -7},
        {"horn in E", -8},
        {"E-flat tenor horn", -9},
        {"tenor horn", -9},
        {"Alto Horn in Eb", -9},
        {"E-flat horn", -9},
        {"solo horn in E flat", -9},
        {"baritone, treble clef", -14},
        {"treble clef euphonium", -14},
        {"Euphonium T.C.", -14},
        {"Baritone TC", -14},
        {"2nd trombone, treble clef", -14},
        {"E-flat tuba, treble clef", -21},
        {"E-flat bass", -21},
        {"Eb bass, treble clef", -21},
        {"EE-flat bass", -21},
        {"treble clef tuba in B-flat", -26},
        {"BB-flat bass", -26},
        {"B-flat bass", -26},
        {"soprano cornet", 3},
        {"E-flat soprano cornet", 3},
        {"trombone", 0},
        {"bass trombone", 0},
        {"Tenor Trombone", 0},
        {"trombone, tenor clef", 0},
        {"euphonium, bass clef", 0},
        {"Euphonium B.C.", 0},
        {"baritone", 0},
        {"tuba", 0},
        {"E-flat tuba", 0},
        {"BBb tuba", 0},
        {"E-flat bass, bass clef", 0},
        {"C trumpet", 0},
        {"trumpet in D", 2},
        {"E-flat trumpet", 3},
        /* common practice */
        {"trumpet", -2},
        {"trumpet in E", 4},
        {"trumpet in F", 5},
        {"trumpet in A", -3},
        {"cornet in A", -3},
        {"piccolo trumpet", 10},
        {"piccolo trumpet in A", 9},
        {"Piccolo Trumpet in B-flat", 10},
        {"horn in D", -10},
        {"horn in C", -12},
        {"horn in G", -5},
        {"horn in A-flat", -4},
        {"horn in B-flat alto", -2},
        {"horn in B-flat basso", -14},
        {"double horn in F/B-flat", -7},
        {"double horn in B-flat and F", -7},
        {"mellophone", -7},
        {"baritone horn, treble clef", -14},
        {"tenor tuba, treble clef", -14},
        {"HORN IN F", -7},
        {"B-flat bass trumpet", -14},
        {"bass trumpet in C", -12},
        {"E-flat bass trumpet, treble clef", -9},
        {"ophicleide", 0},
        {"Cimbasso in F", 0},
        {"contrabass trombone", 0},
        {"contrabass tuba", 0},
        {"euphonium, concert pitch", 0},
        {"trumpet in C, concert pitch", 0},
        {"1st horn in F", -7},
        {"3rd and 4th horns in E-flat", -9},
        {"Repiano Cornet", -2},
        {"principal trumpet", -2},
    };
    static const char *const unknown[] = {
        "", "trombonist", "viola", "alto saxophone", "baritone sax", "E-flat clarinet",
        "English horn", "basset horn", "Wagner tuba", "horn in B-flat", "horn in A",
        "tuba, treble clef", "string bass", "bass drum", "bass trumpet", "treble clef", "in F",
        "the third chair", "e-flat", "trombone in F, treble clef", "bass trumpet in F",
        "B-flat bass trumpet, bass clef", "Wagner tuba in F", "ophicleide, treble clef",
        "trumpet, concert pitch",
        /* a word that is not known */
        "B-flt trumpet", "B-flatt trumpet", "Horn in Es", "trumpet in Fis", "trumpet or kazoo",
        "F hornn", "nose trumpet"};
    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        int16_t semitones = 99;
        const bool found = passo_instrument_transposition(known[i].name, &semitones);
        if (!found || semitones != known[i].semitones)
            print_error("%s: %d\n", known[i].name, semitones);
        assert_true(found);
        assert_int_equal(semitones, known[i].semitones);
    }
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++) {
        int16_t semitones = 99;
        if (passo_instrument_transposition(unknown[i], &semitones))
            print_error("%s: %d\n", unknown[i], semitones);
        assert_int_equal(semitones, 99);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(many_ways_to_name_one),
        cmocka_unit_test(all_that_is_written_reads_back),
        cmocka_unit_test(what_is_no_note_is_refused),
        cmocka_unit_test(drawn_signs),
        cmocka_unit_test(instruments_transpose),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
