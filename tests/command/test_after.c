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

/* What the program says with these options; steps of one beat, so that no tempo is between. */
static char *words_of(const struct passo_after *after, const char *const option[][2],
                      size_t options)
{
    static char words[256];
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    struct passo_setup *setup = calloc(1, sizeof *setup);
    strcpy(words, "nothing was said");
    passo_lines_add_option(&lines, "title", "march", &faults);
    for (size_t i = 0; i < options; i++)
        passo_lines_add_option(&lines, option[i][0], option[i][1], &faults);
    passo_setup_resolve(&lines, true, setup, &faults);
    assert_int_equal(faults.faults, 0);
    passo_after_read(after, setup, words, sizeof words, NULL, &faults);
    assert_int_equal(faults.faults, 0);
    passo_lines_deinit(&lines);
    free(setup);
    return words;
}

/* The same on a day after a log of these bytes. */
static char *words_on(int32_t today, const char *log, const char *const option[][2], size_t options)
{
    char path[] = "/tmp/passo-after-XXXXXX";
    const struct passo_after after = {.log = path, .player = "", .today = today};
    int file = mkstemp(path);
    assert_int_equal(write(file, log, strlen(log)), (ssize_t)strlen(log));
    close(file);
    char *words = words_of(&after, option, options);
    unlink(path);
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
                        "Last practised on 3 November: clean up to quarter = 84; today begins at "
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
                        "Practised today already: clean up to quarter = 84; this climb begins at "
                        "quarter = 71.");
    assert_string_equal(words_on(20260101, log, plain, 3),
                        "Last practised on 30 December 2025: clean up to quarter = 84; today begins "
                        "at quarter = 67.");
    static const char *const cold[][2] = {
        {"target", "104"}, {"start", "60"}, {"steps", "1 bpm"}, {"cold", "yes"}};
    assert_string_equal(words_on(20251231, log, cold, 4),
                        "Last practised on 30 December: clean up to quarter = 84; today begins at "
                        "quarter = 71.");
}

/* --- the record --- */

/* One clean pass of the march at quarter = 84, 3 November 2026 at 19:30 UTC. */
static void keep_a_pass(struct passo_log *record, const char *player)
{
    struct passo_row row = {.player = player,
                            .session = "s",
                            .passage = "march",
                            .piece = "",
                            .pass = 1,
                            .part = PASSO_PART_CLIMB,
                            .loop = "whole",
                            .bars = "",
                            .variant = "as written",
                            .beat_unit = "quarter",
                            .tempo_mbpm = 84000,
                            .target_mbpm = 104000,
                            .mark = PASSO_MARK_CLEAN,
                            .marked_by = "key",
                            .miss_bar = INT32_MIN,
                            .move = PASSO_MOVE_HELD,
                            .next_mbpm = 84000,
                            .play_ns = 1000000000};
    /* As `date -ud "2026-11-03 19:30" +%s` says. */
    passo_row_time(&row, INT64_C(1793734200) * 1000000000, 0);
    const struct passo_ladder_event event = {.mark = row.mark, .part = row.part};
    const struct passo_log_climb climb = {.player = player,
                                          .passage = "march",
                                          .piece = "",
                                          .setup = "",
                                          .session = "s",
                                          .began_ns = row.time_ns};
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(record, &climb, session);
    passo_log_played(record, &row, &event);
    passo_log_change(record, PASSO_LOG_MARKED, &row);
    passo_log_change(record, PASSO_LOG_CLOSED, &row);
    passo_log_end(record, PASSO_OUTCOME_QUIT);
    assert_int_equal(passo_log_commit(record), PASSO_OK);
}

/* A first day is nothing to tell; then the same words as of a CSV, each player's own. */
static void the_record_tells_what_a_csv_does(void **state)
{
    (void)state;
    static const char *const files[] = {"", "-wal", "-shm", "-journal"};
    char folder[] = "/tmp/passo-after-XXXXXX";
    char path[64];
    char file[96];
    char fault[512];
    struct passo_after after = {.player = "", .today = 20261106};
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/log", folder);
    assert_int_equal(passo_log_open(path, PASSO_LOG_KEEP, &after.record, fault, sizeof fault),
                     PASSO_OK);
    assert_string_equal(words_of(&after, plain, 3), "");
    keep_a_pass(after.record, "AB");
    assert_string_equal(words_of(&after, plain, 3), "");
    after.player = "AB";
    assert_string_equal(words_of(&after, plain, 3),
                        "Last practised on 3 November: clean up to quarter = 84; today begins at "
                        "quarter = 63.");
    after.player = "";
    after.today = 20261103;
    keep_a_pass(after.record, "");
    assert_string_equal(words_of(&after, plain, 3),
                        "Practised today already: clean up to quarter = 84; this climb begins at "
                        "quarter = 71.");
    passo_log_close(after.record);
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        snprintf(file, sizeof file, "%s%s", path, files[i]);
        unlink(file);
    }
    assert_int_equal(rmdir(folder), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_day_and_one_after_missed_days),
        cmocka_unit_test(other_openings),
        cmocka_unit_test(the_record_tells_what_a_csv_does),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
