/* What the conductor keeps in the log, and what becomes of it when the log takes nothing. */
#include "keep_tools.h"

#include <sys/wait.h>
#include <time.h>

static void both_of_an_undo_are_kept(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    const struct climb_wish wish = {.options = options, .marks = "cmuuccc"};
    struct kept *kept = calloc(1, sizeof *kept);
    forget();
    struct band *band = band_new();
    start(&wish, band);
    band_free(band);
    read_kept(kept);
    assert_int_equal(kept->row[0].mark, PASSO_MARK_CLEAN);
    assert_string_equal(kept->row[0].marked_by, "changed");
    assert_int_equal(kept->row[1].mark, PASSO_MARK_CLEAN);
    /* The miss, both that were taken back, and the marks that came then. */
    assert_int_equal(sql_number("SELECT count(*) FROM change WHERE kind = 1"), 2);
    assert_true(sql_number("SELECT count(*) FROM change WHERE number = 2 AND mark = 2") > 0);
    free(kept);
}

static void nothing_is_kept_of_no_pass(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    const struct climb_wish wish = {.options = options, .marks = ""};
    forget();
    struct band *band = band_new();
    start(&wish, band);
    band_free(band);
    assert_int_equal(sql_number("SELECT count(*) FROM climb"), 0);
}

/* --- a log that takes nothing --- */

static void what_the_log_does_not_take_is_rescued(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    char rescue[80];
    snprintf(rescue, sizeof rescue, "%s/rescue.csv", folder);
    const char *const files[] = {"/nowhere/rescue.csv", rescue, NULL};
    const struct climb_wish wish = {.options = options, .marks = "cccmcc"};
    sqlite3 *holder;
    forget();
    passo_log_close(open_log());
    assert_int_equal(sqlite3_open(log_path, &holder), SQLITE_OK);
    assert_int_equal(sqlite3_exec(holder, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    struct band *band = band_new();
    band->rescue = files;
    start(&wish, band);
    sqlite3_close(holder);
    assert_non_null(band->result.log_failed);
    assert_string_equal(band->result.rescued, rescue);
    size_t told = 0;
    for (size_t i = 0; i < band->lines; i++)
        told += strstr(band->line[i], "The log cannot be written") != NULL;
    assert_int_equal(told, 1);
    struct band *back = band_new();
    band_read_rows(back, rescue);
    assert_int_equal(back->rows, band->rows);
    for (size_t i = 0; i < back->rows; i++)
        assert_memory_equal(&back->row[i], &band->row[i], sizeof back->row[i]);
    assert_int_equal(sql_number("SELECT count(*) FROM pass"), 0);
    free(back);
    band_free(band);
}

static void a_log_that_comes_free_gets_everything(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    const struct climb_wish wish = {.options = options, .marks = "cccmcc"};
    forget();
    passo_log_close(open_log());
    /* Held for a while by a child; the last tries of the climb come after it. */
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        sqlite3 *holder;
        const struct timespec while_ = {.tv_nsec = 700000000};
        if (sqlite3_open(log_path, &holder) == SQLITE_OK &&
            sqlite3_exec(holder, "BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK)
            nanosleep(&while_, NULL);
        _exit(0);
    }
    const struct timespec moment = {.tv_nsec = 200000000};
    nanosleep(&moment, NULL);
    struct band *band = band_new();
    start(&wish, band);
    assert_int_equal(waitpid(child, NULL, 0), child);
    assert_null(band->result.log_failed);
    assert_int_equal(sql_number("SELECT count(*) FROM pass"), band->result.passes);
    assert_int_equal(sql_number("SELECT count(*) FROM ended"), 1);
    band_free(band);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_of_an_undo_are_kept),
        cmocka_unit_test(nothing_is_kept_of_no_pass),
        cmocka_unit_test(what_the_log_does_not_take_is_rescued),
        cmocka_unit_test(a_log_that_comes_free_gets_everything),
    };
    return cmocka_run_group_tests(tests, keep_set_up, keep_tear_down);
}
