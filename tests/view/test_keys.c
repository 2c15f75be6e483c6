/* The key table, its readings, and the folding of text to ASCII. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <curses.h>
#include <string.h>
#include "text/fold.h"
#include "view/keys.h"

/* design.md section 7. */
static void test_the_keys_of_the_design(void **state)
{
    (void)state;
    static const struct {
        int code;
        enum passo_command command;
    } table[] = {
        {' ', PASSO_COMMAND_CLEAN},       {'\n', PASSO_COMMAND_CLEAN},
        {'\r', PASSO_COMMAND_CLEAN},      {KEY_ENTER, PASSO_COMMAND_CLEAN},
        {KEY_RIGHT, PASSO_COMMAND_CLEAN}, {KEY_NPAGE, PASSO_COMMAND_CLEAN},
        {'x', PASSO_COMMAND_MISS},        {KEY_BACKSPACE, PASSO_COMMAND_MISS},
        {127, PASSO_COMMAND_MISS},        {8, PASSO_COMMAND_MISS},
        {KEY_LEFT, PASSO_COMMAND_MISS},   {KEY_PPAGE, PASSO_COMMAND_MISS},
        {'v', PASSO_COMMAND_VOID},        {'u', PASSO_COMMAND_UNDO},
        {'U', PASSO_COMMAND_UNDO},        {'p', PASSO_COMMAND_PAUSE},
        {KEY_UP, PASSO_COMMAND_HARDER},   {KEY_DOWN, PASSO_COMMAND_EASIER},
        {'n', PASSO_COMMAND_TURN},        {'s', PASSO_COMMAND_SOONER},
        {'l', PASSO_COMMAND_LONGER},      {'+', PASSO_COMMAND_LOUDER},
        {'-', PASSO_COMMAND_SOFTER},      {'?', PASSO_COMMAND_HELP},
        {'e', PASSO_COMMAND_EXTEND},      {'k', PASSO_COMMAND_SKIP},
        {'o', PASSO_COMMAND_PUT_OFF},     {'O', PASSO_COMMAND_PUT_OFF},
        {'q', PASSO_COMMAND_QUIT},        {'z', PASSO_COMMAND_NONE},
        {0, PASSO_COMMAND_NONE},          {27, PASSO_COMMAND_NONE},
        {-1, PASSO_COMMAND_NONE},         {KEY_RESIZE, PASSO_COMMAND_NONE},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        assert_int_equal(keys_command(table[i].code), table[i].command);
}

static void test_every_command_has_one_row_and_no_key_two(void **state)
{
    (void)state;
    size_t count;
    const struct key_row *row = keys_rows(&count);
    int rows_of[PASSO_COMMAND_COUNT] = {0};
    for (size_t i = 0; i < count; i++) {
        rows_of[row[i].help.command]++;
        assert_true(strlen(row[i].help.keys) > 0 && strlen(row[i].help.words) > 0);
        for (size_t k = 0; k < KEY_CODES_MAX && row[i].code[k] != 0; k++)
            assert_int_equal(keys_command(row[i].code[k]), row[i].help.command);
    }
    for (int command = PASSO_COMMAND_NONE + 1; command < PASSO_COMMAND_COUNT; command++)
        assert_int_equal(rows_of[command], 1);
    size_t table_count;
    const struct passo_key_help *table = passo_key_table(&table_count);
    assert_int_equal(table_count, count);
    assert_int_equal(table[0].command, PASSO_COMMAND_CLEAN);
}

static bool has_use(enum key_place place, enum passo_command command)
{
    struct key_use use[KEY_ROWS_MAX];
    size_t count = keys_of(place, use);
    for (size_t i = 0; i < count; i++)
        if (use[i].row->help.command == command)
            return true;
    return false;
}

/* What only a day knows is asked for only there; where nothing is marked, no mark is offered; help
 * and the way out come last, everywhere. */
static void test_keys_have_their_places(void **state)
{
    (void)state;
    for (enum key_place place = 0; place < KEY_PLACES; place++) {
        struct key_use use[KEY_ROWS_MAX];
        size_t count = keys_of(place, use);
        bool day = place == KEYS_VISIT || place == KEYS_BLOCK || place == KEYS_BETWEEN;
        bool marks = place == KEYS_CLIMB || place == KEYS_VISIT;
        bool runs = place != KEYS_LISTING && place != KEYS_END;
        assert_in_range(count, 2, KEY_ROWS_MAX);
        assert_int_equal(use[count - 2].row->help.command, PASSO_COMMAND_HELP);
        assert_int_equal(use[count - 1].row->help.command, PASSO_COMMAND_QUIT);
        assert_int_equal(has_use(place, PASSO_COMMAND_SKIP), day);
        assert_int_equal(has_use(place, PASSO_COMMAND_PUT_OFF), day);
        assert_int_equal(has_use(place, PASSO_COMMAND_MISS), marks);
        assert_int_equal(has_use(place, PASSO_COMMAND_UNDO), marks);
        assert_int_equal(has_use(place, PASSO_COMMAND_PAUSE), runs);
        for (size_t i = 0; i < count; i++)
            for (size_t k = 0; k < i; k++)
                assert_int_not_equal(use[i].row->help.command, use[k].row->help.command);
    }
    assert_false(has_use(KEYS_BLOCK, PASSO_COMMAND_CLEAN));
    for (enum key_place place = KEYS_LISTEN; place <= KEYS_IN_TURN; place++) {
        assert_true(keys_of_hear(place));
        assert_false(has_use(place, PASSO_COMMAND_CLEAN));
        assert_false(has_use(place, PASSO_COMMAND_EXTEND));
        assert_false(has_use(place, PASSO_COMMAND_HARDER));
        assert_true(has_use(place, PASSO_COMMAND_TURN));
        assert_true(has_use(place, PASSO_COMMAND_LOUDER));
        assert_int_equal(has_use(place, PASSO_COMMAND_SOONER), place == KEYS_IN_TURN);
        assert_int_equal(has_use(place, PASSO_COMMAND_LONGER), place == KEYS_IN_TURN);
    }
    assert_true(has_use(KEYS_CLIMB, PASSO_COMMAND_EXTEND));
}

/* The order of a day's footer, whose end a narrow window loses. */
static void test_a_day_has_its_keys_first(void **state)
{
    (void)state;
    static const enum passo_command first[] = {PASSO_COMMAND_CLEAN,   PASSO_COMMAND_MISS,
                                               PASSO_COMMAND_PAUSE,   PASSO_COMMAND_SKIP,
                                               PASSO_COMMAND_PUT_OFF, PASSO_COMMAND_SOONER};
    struct key_use use[KEY_ROWS_MAX];
    assert_true(keys_of(KEYS_VISIT, use) > 6);
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(use[i].row->help.command, first[i]);
    assert_string_equal(use[3].words, "leave this out");
    assert_string_equal(use[3].row->help.words, "of a day: leave this out");
    assert_true(keys_of(KEYS_BLOCK, use) > 4);
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(use[i].row->help.command, first[i + 2]);
    keys_of(KEYS_LISTING, use);
    assert_string_equal(use[0].footer_word, "begin");
    keys_of(KEYS_BETWEEN, use);
    assert_string_equal(use[0].footer_word, "go on");
    keys_of(KEYS_CLIMB, use);
    assert_string_equal(use[0].footer_word, "clean");
}

static void test_a_snapshot_has_one_place(void **state)
{
    (void)state;
    static struct passo_snapshot s;
    static struct passo_ladder ladder;
    struct passo_day_show day = {0};
    s.steady = true;
    assert_int_equal(keys_place(&s), KEYS_STEADY);
    s.steady = false;
    assert_int_equal(keys_place(&s), KEYS_CLIMB);
    s.ladder = &ladder;
    assert_int_equal(keys_place(&s), KEYS_CLIMB);
    s.block = true;
    assert_int_equal(keys_place(&s), KEYS_IN_TURN);
    s.plays = true;
    assert_int_equal(keys_place(&s), KEYS_LISTEN);
    s.ladder = NULL;
    s.day = &day;
    assert_int_equal(keys_place(&s), KEYS_BETWEEN);
    day.block = true; /* the block to come */
    assert_int_equal(keys_place(&s), KEYS_BETWEEN);
    s.ladder = &ladder;
    assert_int_equal(keys_place(&s), KEYS_BLOCK);
    day.block = false;
    assert_int_equal(keys_place(&s), KEYS_VISIT);
    day.listing = true;
    assert_int_equal(keys_place(&s), KEYS_LISTING);
    day.listing = false;
    s.ladder = NULL;
    s.phase = PASSO_PHASE_OVER;
    assert_int_equal(keys_place(&s), KEYS_END);
}

static void check_read(const char *bytes, size_t used, int code)
{
    int got = -5;
    assert_int_equal(keys_read(bytes, strlen(bytes), &got), used);
    if (used > 0)
        assert_int_equal(got, code);
}

/* Sequences as in ECMA-48 (CSI: parameter bytes 30 to 3F, a final byte 40 to 7E) and xterm's. */
static void test_sequences_are_read(void **state)
{
    (void)state;
    check_read("a", 1, 'a');
    check_read("\033[A", 3, KEY_UP);
    check_read("\033OB", 3, KEY_DOWN);
    check_read("\033[5~rest", 4, KEY_PPAGE);
    check_read("\033[6~", 4, KEY_NPAGE);
    check_read("\033[15~q", 5, 0);
    check_read("\033[1;5Cq", 6, 0);
    check_read("\033OMx", 3, KEY_ENTER);
    check_read("\033", 0, 0);
    check_read("\033[", 0, 0);
    check_read("\033[5", 0, 0);
    check_read("\033O", 0, 0);
    check_read("\033x", 1, 0);
    check_read("\xc3\xa9", 1, 0xc3);
}

static void check_fold(const char *text, const char *ascii)
{
    char out[128];
    assert_string_equal(passo_text_ascii(text, out, sizeof out), ascii);
}

static void test_text_folds_to_ascii(void **state)
{
    (void)state;
    check_fold("bars 33-36 \u00b7 octave down", "bars 33-36, octave down");
    check_fold("pi\u00f9 mosso", "piu mosso");
    check_fold("\u00c9tude in E\u266d \u2014 \u201cslow\u201d", "Etude in E-flat - \"slow\"");
    check_fold("F\u266f, Dvo\u0159\u00e1k\u2026", "F-sharp, Dvorak...");
    check_fold("\u00fcber \u00df \u0152", "ueber ss Oe");
    check_fold("\u9577\u3044 \U0001D15E", "?? ?");
    check_fold("e\u0301le\u0300ve", "eleve");
    check_fold("\u00b7x", "-x");
    check_fold("\xc3", "?");
    check_fold("\xe2\x82", "?");
    check_fold("", "");
    char tiny[6];
    assert_string_equal(passo_text_ascii("abc\u2026d", tiny, sizeof tiny), "abc");
    assert_string_equal(passo_text_ascii("abcdefgh", tiny, sizeof tiny), "abcde");
}

/* Every letter of both tables gives one printing ASCII character or more. */
static void test_every_accented_letter_folds(void **state)
{
    (void)state;
    for (unsigned code = 0xc0; code < 0x180; code++) {
        char text[3] = {(char)(0xc0 | code >> 6), (char)(0x80 | (code & 0x3f)), 0};
        char out[8];
        passo_text_ascii(text, out, sizeof out);
        assert_in_range(strlen(out), 1, 2);
        assert_true(out[0] > ' ' && out[0] < 127 && out[0] != '?');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_keys_of_the_design),
        cmocka_unit_test(test_every_command_has_one_row_and_no_key_two),
        cmocka_unit_test(test_keys_have_their_places),
        cmocka_unit_test(test_a_day_has_its_keys_first),
        cmocka_unit_test(test_a_snapshot_has_one_place),
        cmocka_unit_test(test_sequences_are_read),
        cmocka_unit_test(test_text_folds_to_ascii),
        cmocka_unit_test(test_every_accented_letter_folds),
    };
    return cmocka_run_group_tests_name("view/keys", tests, NULL, NULL);
}
