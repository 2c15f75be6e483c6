/* A day's words, and its list at many widths and heights: letters are read back from curses' own
 * screen, which no terminal sees. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <curses.h>
#include <stdlib.h>
#include "scenes.h"
#include "view/day_words.h"
#include "view/paint.h"

#define ALL_ROWS 60
#define ALL_COLS 120

static struct passo_snapshot s;

static void test_the_place_in_the_day(void **state)
{
    (void)state;
    char text[64];
    scene_on_day(&s, 7);
    assert_string_equal(day_place(&scene_day, false, text, sizeof text),
                        "visit 3 of 6 · 13 of 40 min");
    assert_string_equal(day_place(&scene_day, true, text, sizeof text), "visit 3/6");
    scene_on_day(&s, 6);
    assert_string_equal(day_place(&scene_day, false, text, sizeof text), "7 of 19 · 12 of 40 min");
    assert_string_equal(day_place(&scene_day, true, text, sizeof text), "7/19");
    scene_on_day(&s, SCENE_LINES);
    assert_string_equal(day_place(&scene_day, false, text, sizeof text), "");
}

/* Of a block and between items the day's line says it, of a visit the climb itself. */
static void test_what_is_played(void **state)
{
    (void)state;
    static const struct {
        const char *scene, *what;
        bool lists;
    } table[] = {
        {"block", "flow study · E major", true},
        {"free", "tonguing", true},
        {"between", "visit: Harbour Variations, fourth", true},
        {"visit", "bars 33-36 · octave down", false},
        {"spot", "bars 40-47", false},
        {"playing", "bars 33-36 · octave down", false},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        assert_true(scene_fill(table[i].scene, &s));
        assert_string_equal(day_what(&s), table[i].what);
        assert_int_equal(day_lists(&s), table[i].lists);
    }
}

/* What is begun of a minute is not done, and is still to play. */
static void test_minutes_round_to_the_player(void **state)
{
    (void)state;
    char text[64];
    struct passo_day_show day = {.done_ms = 59999, .whole_ms = 206800};
    assert_string_equal(day_minutes(&day, text, sizeof text), "0 of 4 min");
    day = (struct passo_day_show){.done_ms = 720000, .whole_ms = 2700000};
    assert_string_equal(day_minutes(&day, text, sizeof text), "12 of 45 min");
}

static void test_what_comes_after(void **state)
{
    (void)state;
    char text[2 * PASSO_WORDS_BYTES];
    scene_on_day(&s, 16);
    assert_string_equal(day_in_a_row(&scene_day, text, sizeof text),
                        "visit 6/6 · 29 of 40 min · then tonguing");
    scene_lines[17].state = PASSO_DAY_SKIPPED;
    scene_on_day(&s, 18);
    assert_string_equal(day_in_a_row(&scene_day, text, sizeof text), "19/19 · 36 of 40 min");
    scene_lines[12].state = PASSO_DAY_PUT_OFF;
    assert_string_equal(day_in_a_row(&scene_day, text, sizeof text),
                        "19/19 · 36 of 40 min · then chromatic pattern");
    scene_on_day(&s, SCENE_LINES);
    assert_string_equal(day_in_a_row(&scene_day, text, sizeof text), "39 of 40 min");
}

/* Put off: the list says so where its minutes stood, and it is not the next one yet. */
static void test_put_off(void **state)
{
    (void)state;
    char row[ALL_COLS + 1];
    bool said = false;
    scene_on_day(&s, 2);
    scene_lines[0].state = PASSO_DAY_PUT_OFF;
    erase();
    paint_list((struct rect){1, 2, 20, 60}, &scene_day);
    for (int y = 0; y < ALL_ROWS; y++) {
        mvinnstr(y, 0, row, ALL_COLS);
        row[ALL_COLS] = '\0';
        said = said || (strstr(row, "end") && !strstr(row, ":"));
    }
    assert_true(said);
    scene_on_day(&s, 0);
}

static void read_row(int y, char row[ALL_COLS + 1])
{
    memset(row, 0, ALL_COLS + 1);
    mvinnstr(y, 0, row, ALL_COLS);
}

/* Every line of the list is seen or counted, the current one is seen, nothing leaves the rectangle,
 * and the number that a row of "... 5 more" says is right. */
static void check_list(int rows, int cols, size_t now, bool listing)
{
    char row[ALL_COLS + 1];
    struct rect in = {1, 2, rows, cols};
    int pointers = 0;
    unsigned before = 0, more = 0, lines = 0;
    scene_on_day(&s, now);
    erase();
    if (listing)
        paint_listing(in, &scene_day);
    else
        paint_list(in, &scene_day);
    for (int y = 0; y < ALL_ROWS; y++) {
        read_row(y, row);
        assert_int_equal(strspn(row, " ") == strlen(row) || (y >= 1 && y < 1 + rows), 1);
        if (strspn(row, " ") == strlen(row))
            continue;
        assert_true(strspn(row, " ") >= 2);
        assert_true(strspn(row + 2 + cols, " ") == strlen(row + 2 + cols));
        const char *text = row + strspn(row, " ");
        bool said = strncmp(text, "... ", 4) == 0;
        if (said && strstr(text, " before") != NULL)
            before = (unsigned)strtoul(text + 4, NULL, 10);
        else if (said && strstr(text, " more") != NULL)
            more = (unsigned)strtoul(text + 4, NULL, 10);
        else
            lines += y > 1 && (strstr(row, ":00") || strstr(row, ":30") || strstr(row, ":50") ||
                               strstr(row, "out"));
        pointers += strchr(row, '>') != NULL;
    }
    assert_int_equal(pointers, now < SCENE_LINES);
    assert_true(before <= now);
    if (rows >= 8)
        assert_int_equal(before + lines + more, SCENE_LINES);
    else
        assert_true(lines >= 1 && before + lines + more <= SCENE_LINES);
}

static void test_a_list_at_many_sizes(void **state)
{
    (void)state;
    static const int rows[] = {4, 5, 6, 7, 8, 9, 11, 14, 17, 20, 21, 22, 28, 40};
    static const int cols[] = {24, 31, 40, 58, 69, 70, 78, 100};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++)
        for (size_t c = 0; c < sizeof cols / sizeof cols[0]; c++)
            for (size_t now = 0; now <= SCENE_LINES; now++) {
                check_list(rows[r], cols[c], now, false);
                if (cols[c] >= 40 && rows[r] >= 6)
                    check_list(rows[r], cols[c], now, true);
            }
}

/* The keys of one block are told apart where the block's name finds no room. */
static void test_a_key_is_never_cut_away(void **state)
{
    (void)state;
    char row[ALL_COLS + 1];
    bool seen = false;
    scene_on_day(&s, 0);
    erase();
    paint_list((struct rect){0, 0, 21, 26}, &scene_day);
    for (int y = 0; y < 21; y++) {
        read_row(y, row);
        seen = seen || (strstr(row, "..., D-flat major ") != NULL && strstr(row, "0:50") != NULL);
    }
    assert_true(seen);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_place_in_the_day),
        cmocka_unit_test(test_what_is_played),
        cmocka_unit_test(test_minutes_round_to_the_player),
        cmocka_unit_test(test_what_comes_after),
        cmocka_unit_test(test_put_off),
        cmocka_unit_test(test_a_list_at_many_sizes),
        cmocka_unit_test(test_a_key_is_never_cut_away),
    };
    FILE *nowhere = fopen("/dev/null", "r+");
    if (nowhere == NULL)
        return 1;
    SCREEN *screen = newterm("xterm", nowhere, nowhere);
    if (screen == NULL)
        return 1;
    resizeterm(ALL_ROWS, ALL_COLS);
    ink_init(false, false);
    int failed = cmocka_run_group_tests_name("view/day", tests, NULL, NULL);
    endwin();
    delscreen(screen);
    fclose(nowhere);
    return failed;
}
