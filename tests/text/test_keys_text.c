/* Keys as they are written, read and written back. What a key is was checked against the circle of
 * fifths as every theory primer prints it (from memory): C has no signs, each step to the right one
 * sharp more, each to the left one flat more; a minor key has its relative major's signs. */
#include "setup_tools.h"
#include "text/routine.h"

/* The fifteen major keys and their relative minors by their signs, flats below zero. */
static const struct {
    int signs;
    const char *major;
    const char *minor;
} circle[] = {
    {-7, "C-flat major", "A-flat minor"},
    {-6, "G-flat major", "E-flat minor"},
    {-5, "D-flat major", "B-flat minor"},
    {-4, "A-flat major", "F minor"},
    {-3, "E-flat major", "C minor"},
    {-2, "B-flat major", "G minor"},
    {-1, "F major", "D minor"},
    {0, "C major", "A minor"},
    {1, "G major", "E minor"},
    {2, "D major", "B minor"},
    {3, "A major", "F-sharp minor"},
    {4, "E major", "C-sharp minor"},
    {5, "B major", "G-sharp minor"},
    {6, "F-sharp major", "D-sharp minor"},
    {7, "C-sharp major", "A-sharp minor"},
};

static struct passo_key key_of(const char *text)
{
    struct passo_key key = {99, 99};
    if (passo_key_read(text, &key))
        print_error("no key: %s\n", text);
    assert_int_equal(passo_key_read(text, &key), PASSO_OK);
    return key;
}

static void the_circle_of_fifths(void **state)
{
    char text[64];
    (void)state;
    for (size_t i = 0; i < sizeof circle / sizeof *circle; i++) {
        struct passo_key major = key_of(circle[i].major);
        struct passo_key minor = key_of(circle[i].minor);
        assert_int_equal(major.tonic, circle[i].signs);
        assert_int_equal(major.mode, PASSO_MODE_MAJOR);
        assert_int_equal(minor.tonic, circle[i].signs + 3);
        assert_int_equal(minor.mode, PASSO_MODE_MINOR);
        assert_int_equal(passo_key_match(major, minor), PASSO_KEY_RELATIVE);
        assert_string_equal(passo_key_write(major, text, sizeof text), circle[i].major);
        assert_string_equal(passo_key_write(minor, text, sizeof text), circle[i].minor);
    }
}

/* The twelve keys of a keyboard, counted from C. */
static void letters_sound_where_they_should(void **state)
{
    static const struct {
        const char *key;
        int pitch_class;
    } keys[] = {
        {"C", 0},   {"C sharp", 1},      {"Db", 1},      {"D", 2},  {"E-flat", 3},  {"D#", 3},
        {"E", 4},   {"Fb", 4},           {"F", 5},       {"E#", 5}, {"F-sharp", 6}, {"Gb", 6},
        {"G", 7},   {"Ab", 8},           {"G#m", 8},     {"A", 9},  {"B flat", 10}, {"A#", 10},
        {"B", 11},  {"Cb", 11},          {"C-flat", 11}, {"B#", 0}, {"Cx", -1},     {"Bbb", 9},
        {"F##", 7}, {"A double flat", 7}};
    (void)state;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        struct passo_key key;
        if (keys[i].pitch_class < 0)
            assert_int_equal(passo_key_read(keys[i].key, &key), PASSO_ERR_SYNTAX);
        else
            assert_int_equal(passo_key_pitch_class(key_of(keys[i].key)), keys[i].pitch_class);
    }
}

static void many_ways_to_write_one(void **state)
{
    static const struct {
        const char *written;
        const char *read;
    } ways[] = {
        {"Ab", "A-flat major"},
        {"ab", "A-flat major"},
        {"A♭", "A-flat major"},
        {"A ♭ major", "A-flat major"},
        {"a flat", "A-flat major"},
        {"A-FLAT MAJOR", "A-flat major"},
        {"Aflat maj", "A-flat major"},
        {"A-flat-major", "A-flat major"},
        {"  A - flat   major  ", "A-flat major"},
        {"AbM", "A-flat major"},
        {"a flat minor", "A-flat minor"},
        {"abm", "A-flat minor"},
        {"A♭m", "A-flat minor"},
        {"A-flat min", "A-flat minor"},
        {"F#m", "F-sharp minor"},
        {"f♯ minor", "F-sharp minor"},
        {"F sharp m", "F-sharp minor"},
        {"c", "C major"},
        {"cm", "C minor"},
        {"C minor", "C minor"},
        {"b", "B major"},
        {"bb", "B-flat major"},
        {"Bbm", "B-flat minor"},
        {"B flat", "B-flat major"},
        {"b minor", "B minor"},
        {"B♮ minor", "B minor"},
        {"\tE-flat\tmajor", "E-flat major"},
    };
    char text[64];
    (void)state;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        assert_string_equal(passo_key_write(key_of(ways[i].written), text, sizeof text),
                            ways[i].read);
}

static void what_is_no_key(void **state)
{
    static const char *const none[] = {
        "",
        "H",
        "h minor",
        "Hb",
        "Es",
        "As-Dur",
        "a-moll",
        "B-dur",
        "Fis",
        "chromatic",
        "whole tone",
        "C dorian",
        "C major scale",
        "major",
        "minor",
        "flat",
        "C-",
        "C-major-",
        "C, F",
        "C,",
        "A#b",
        "Bbbb",
        "F###",
        "D##",
        "C 4",
        "Eb3",
        "C\xE2\x99",
        "Do",
        "do major",
        "ma",
        "C flats",
        "C minors",
        "Emm",
        "E major m",
    };
    (void)state;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        struct passo_key key = {42, 7};
        if (passo_key_read(none[i], &key) != PASSO_ERR_SYNTAX)
            print_error("read as a key: %s\n", none[i]);
        assert_int_equal(passo_key_read(none[i], &key), PASSO_ERR_SYNTAX);
        assert_int_equal(key.tonic, 42);
        assert_int_equal(key.mode, 7);
    }
}

static void every_key_reads_back(void **state)
{
    char text[64];
    (void)state;
    for (int tonic = -PASSO_TONIC_MAX; tonic <= PASSO_TONIC_MAX; tonic++)
        for (int mode = 0; mode < PASSO_MODE_COUNT; mode++) {
            struct passo_key key = {(int8_t)tonic, (uint8_t)mode};
            struct passo_key back = key_of(passo_key_write(key, text, sizeof text));
            assert_int_equal(back.tonic, tonic);
            assert_int_equal(back.mode, mode);
        }
}

static void lists(void **state)
{
    static const struct {
        const char *text;
        size_t count;
        bool whole;
    } list[] = {
        {"E-flat major, C minor", 2, true},
        {"Bb,Eb ,Ab, F minor", 4, true},
        {"C", 1, true},
        {"", 0, true},
        {" , ", 0, true},
        {"C, , F,", 2, true},
        {"C, H, F", 1, false},
        {"chromatic", 0, false},
        {"C major D major", 0, false},
        {"C, D, E, F, G, A, B, Bb, Eb", 8, false}, /* eight are taken, and there is one more */
        {"C, D, E, F, G, A, B, Bb,", 8, true},
        {"C major                                                                          x", 0,
         false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
        struct passo_key key[PASSO_PASSAGE_KEYS_MAX];
        bool whole = !list[i].whole;
        assert_int_equal(passo_keys_read(list[i].text, key, PASSO_PASSAGE_KEYS_MAX, &whole),
                         list[i].count);
        assert_int_equal(whole, list[i].whole);
    }
    struct passo_key key[2];
    bool whole = false;
    assert_int_equal(passo_keys_read("E-flat major, C minor", key, 2, &whole), 2);
    assert_int_equal(key[0].tonic, -3);
    assert_int_equal(key[1].tonic, 0);
    assert_int_equal(key[1].mode, PASSO_MODE_MINOR);
}

static void a_name_is_cut_to_its_room(void **state)
{
    char text[7];
    (void)state;
    assert_string_equal(
        passo_key_write((struct passo_key){-3, PASSO_MODE_MAJOR}, text, sizeof text), "E-flat");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_circle_of_fifths),
        cmocka_unit_test(letters_sound_where_they_should),
        cmocka_unit_test(many_ways_to_write_one),
        cmocka_unit_test(what_is_no_key),
        cmocka_unit_test(every_key_reads_back),
        cmocka_unit_test(lists),
        cmocka_unit_test(a_name_is_cut_to_its_room),
    };
    return cmocka_run_group_tests_name("keys as text", tests, NULL, NULL);
}
