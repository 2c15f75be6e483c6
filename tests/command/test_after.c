/* What is said of a log and of where the day opens by it. The figures are of session 8 of trade.md
 * section 4, whose ten days are played from a file in tests/session/trade. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <cmocka.h>
#include "command/after.h"

/* What the program says on a day after a log; steps of one beat, so that no tempo is between. */
static char *words_on(int32_t today, const char *log, const char *const option[][2], size_t options)
{
    static char words[256];
    char path[] = "/tmp/passo-after-XXXXXX";
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    struct passo_setup *setup = calloc(1, sizeof *setup);
    const struct passo_after after = {.log = path, .player = "", .today = today};
    int file = mkstemp(path);
    assert_int_equal(write(file, log, strlen(log)), (ssize_t)strlen(log));
    close(file);
    passo_lines_add_option(&lines, "title", "march", &faults);
    for (size_t i = 0; i < options; i++)
        passo_lines_add_option(&lines, option[i][0], option[i][1], &faults);
    passo_setup_resolve(&lines, true, setup, &faults);
    assert_int_equal(faults.faults, 0);
    passo_after_read(&after, setup, words, sizeof words, NULL, &faults);
    assert_int_equal(faults.faults, 0);
    unlink(path);
    passo_lines_deinit(&lines);
    free(setup);
    return words;
}

static const char header[] = "time,session,passage,pass,part,loop,variant,beat_unit,tempo,mark\n";
static const char *const plain[][2] = {{"target", "104"}, {"start", "60"}, {"steps", "1 bpm"}};

/* Two missed days (session 8, day 6) are not remarked on. */
static void the_first_day_and_one_after_missed_days(void **state)
{
    (void)state;
    char log[512];
    assert_string_equal(
        words_on(20261101, header, plain, 3),
        "The log has no pass of this passage up to today; today begins at quarter = 60.");
    snprintf(log, sizeof log,
             "%s2026-11-03T19:30:00+01:00,s,march,1,climb,whole,as written,quarter,84,clean\n"
             "2026-11-03T19:31:00+01:00,s,march,2,cold,whole,as written,quarter,104,miss\n",
             header);
    assert_string_equal(words_on(20261106, log, plain, 3),
                        "Last practised on 3 November: best clean quarter = 84; today begins at "
                        "quarter = 63.");
}

static void other_openings(void **state)
{
    (void)state;
    char log[1024];
    snprintf(log, sizeof log,
             "%s2025-12-30T19:30:00+01:00,s,march,1,climb,whole,as written,quarter,84,clean\n",
             header);
    assert_string_equal(words_on(20251230, log, plain, 3),
                        "Practised today already: best clean quarter = 84; this climb begins at "
                        "quarter = 71.");
    assert_string_equal(words_on(20260101, log, plain, 3),
                        "Last practised on 30 December 2025: best clean quarter = 84; today begins "
                        "at quarter = 67.");
    static const char *const cold[][2] = {
        {"target", "104"}, {"start", "60"}, {"steps", "1 bpm"}, {"cold", "yes"}};
    assert_string_equal(words_on(20251231, log, cold, 4),
                        "Last practised on 30 December: best clean quarter = 84; today begins at "
                        "quarter = 71.");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_day_and_one_after_missed_days),
        cmocka_unit_test(other_openings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
