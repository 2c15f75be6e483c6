/* The table of many players. Session 15 of the trade's notes (trade.md section 4): 30 students, 4
 * passages, 7 days make one table of 120 lines; a student without a row is there, in plain words.
 */
#include "text_tools.h"

enum { STUDENTS = 30, PASSAGES = 4, MON = 20261123, SUN = 20261129 };

static const char *const titles[PASSAGES] = {"Zum Trio", "Fanfare", "Chorale", "Octave leaps"};

static const char *student(int index, char out[8])
{
    /* Not in the order of the alphabet. */
    snprintf(out, 8, "%c.%c.", 'Z' - index % 26, 'A' + (index * 7 + index / 26) % 26);
    return out;
}

/* Student 13 has no row; the others practise, more or less. */
static void take_week(struct passo_report *report)
{
    char name[8];
    for (int day = 0; day < 7; day++) {
        for (int i = 0; i < STUDENTS; i++) {
            for (int j = 0; j < PASSAGES; j++) {
                for (uint32_t pass = 1; i != 13 && (day + i + j) % 3 && pass <= 10; pass++) {
                    char mark = i == 0 ? 'c' : i == 1 ? "cmmmmcmmmc"[pass - 1] : "ccmc"[pass % 4];
                    struct passo_row row = marked_row(MON + day, pass, 80 + 4 * day, mark);
                    row.player = student(i, name);
                    row.passage = titles[j];
                    if (pass == 2 && mark == 'm')
                        row.miss_bar = 33;
                    passo_report_take(report, &row);
                }
            }
        }
    }
}

static struct passo_report *week(void)
{
    char name[8];
    struct passo_report *report = passo_report_begin(SUN, MON, 0);
    for (int i = 0; i < STUDENTS; i++) {
        for (int j = 0; j < PASSAGES; j++)
            passo_report_expect(report, student(i, name), titles[j], PIECE);
    }
    take_week(report);
    passo_report_settle(report);
    return report;
}

static void test_session_15(void **state)
{
    (void)state;
    struct passo_report *report = week();
    char *text = drawn(passo_studio_text, report, 80, true);
    assert_fits(text, 80, true);
    assert_has(text, "Practice from 23 November to 29 November 2026\n\nPLAYER ");
    const char *head = strstr(text, "PLAYER ");
    const size_t passage = (size_t)(strstr(head, "PASSAGE ") - head);
    const size_t days = (size_t)(strstr(head, "DAYS ") - head);
    const char *row = strchr(head, '\n') + 1;
    size_t without = 0;
    char name[8];
    for (int i = 0; i < STUDENTS * PASSAGES; i++, row = strchr(row, '\n') + 1) {
        student(i / PASSAGES, name);
        /* In the order that was asked for; nobody is sorted by anything. */
        assert_memory_equal(row, name, strlen(name));
        assert_memory_equal(row + passage, titles[i % PASSAGES], strlen(titles[i % PASSAGES]));
        bool none = !strncmp(row + days, "no practice recorded\n", 21);
        without += none;
        assert_int_equal(none, i / PASSAGES == 13);
    }
    assert_int_equal(without, PASSAGES);
    assert_int_equal(*row, '\n'); /* 120 lines, and no more */
    free(text);
    passo_report_free(report);
}

static void test_cells(void **state)
{
    (void)state;
    struct passo_report *report = week();
    char *text = drawn(passo_studio_text, report, 80, true);
    /* Z.A.: days 2 3 5 6 of the first passage; all clean; 104 at the last is 79 % of 132. */
    assert_has(text, "\nZ.A.   Zum Trio     4 of 7 4 of 4  100  76 % 100 % -        5 too "
                     "careful?\n");
    /* Y.H.: 3 clean of 10 each day, the first one clean; most misses in bar 36. */
    assert_has(text, "\nY.H.   Zum Trio     5 of 7 5 of 5  104  79 %  30 % bar 36   7 too "
                     "fast?\n");
    free(text);
    text = drawn(passo_studio_text, report, 140, true);
    assert_has(text, "  Tue Wed Fri Sat ");
    assert_has(text, "  perhaps too careful\n");
    assert_has(text, "  perhaps too fast\n");
    free(text);
    passo_report_free(report);
}

static void test_every_width(void **state)
{
    (void)state;
    struct passo_report *report = week();
    for (int columns = 40; columns <= 200; columns += 7) {
        for (int utf8 = 0; utf8 < 2; utf8++) {
            char *text = drawn(passo_studio_text, report, columns, utf8);
            assert_fits(text, columns, utf8);
            assert_has(text, "no practice recorded\n");
            assert_true(lines_of(text) > STUDENTS * PASSAGES + 3);
            free(text);
        }
    }
    passo_report_free(report);
}

static void test_nobody(void **state)
{
    (void)state;
    struct passo_report *report = passo_report_begin(SUN, MON, 0);
    passo_report_settle(report);
    char *text = drawn(passo_studio_text, report, 80, true);
    assert_string_equal(text, "No practice of players is recorded from 23 November to 29 November "
                              "2026.\n");
    free(text);
    passo_report_free(report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_session_15),
        cmocka_unit_test(test_cells),
        cmocka_unit_test(test_every_width),
        cmocka_unit_test(test_nobody),
    };
    return cmocka_run_group_tests(tests, use_utf8, NULL);
}
