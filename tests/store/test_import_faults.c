/* A file that is not wholly good leaves nothing behind, and says where and what: faults of rows,
 * passes that are there differently, a break in the middle, a log that is locked or has no room. */
#include "store/import_tools.h"

#include <signal.h>
#include <sqlite3.h>
#include <sys/resource.h>

static const char march[] = ROW(DAY, "A.B.", "s1", "1", "88", "clean", "key")
    ROW(DAY, "A.B.", "s1", "2", "92", "miss", "key")
        ROW(DAY, "A.B.", "s1", "3", "88", "clean", "key");

/* So many good rows of a new player's session; free it. */
static char *many_rows(const char *session, int rows)
{
    char *text = calloc((size_t)rows + 2, 200);
    for (int i = 1, at = 0; i <= rows; i++)
        at += sprintf(text + at, ROW(DAY, "N.N.", "%s", "%d", "88", "clean", "key"), session, i);
    return text;
}

static void one_bad_row_of_a_thousand(void **state)
{
    (void)state;
    struct passo_log *log = open_log("thousand.sqlite");
    assert_int_equal(import_rows_of(log, march).error, PASSO_OK);
    char *before = exported(log, false);
    char *text = many_rows("s9", 999);
    strcat(text, ROW(DAY, "N.N.", "s9", "1000", "4", "clean", "key"));
    struct taken taken = import_rows_of(log, text);
    assert_int_equal(taken.error, PASSO_ERR_SYNTAX);
    assert_int_equal(taken.faults, 1);
    assert_has(taken.told[0], "/anna.csv, line 1001: tempo is \"4\"; a tempo from 5 to 1000 is");
    assert_null(strstr(taken.told[0], "passed over"));
    char *after = exported(log, false);
    assert_string_equal(after, before);
    assert_string_equal(players_of(log), "A.B.;");
    free(before);
    free(after);
    free(text);
    passo_log_close(log);
}

static void what_differs_is_named(void **state)
{
    (void)state;
    static const struct {
        const char *row;
        const char *told;
    } cases[] = {
        {ROW(DAY, "A.B.", "s1", "3", "92", "clean", "key"),
         "line 2: pass 3 of session s1 is in the log at 88; here tempo is 92; if it is another "
         "one, give its session another name; else take this row out"},
        {ROW(DAY, "A.B.", "s1", "3", "88", "void", "key"),
         "pass 3 of session s1 is in the log with mark clean; here mark is void; to correct it, "
         "write changed under marked_by; else take this row out"},
        {ROW("2026-11-24T18:00:01+01:00", "A.B.", "s1", "3", "88", "clean", "key"),
         "with time 2026-11-24T18:00:00+01:00; here time is 2026-11-24T18:00:01+01:00;"},
        /* Not even a correction changes what was played; that is told before the mark. */
        {ROW(DAY, "A.B.", "s1", "3", "92", "void", "changed"), "at 88; here tempo is 92;"},
        {ROW(DAY, "A.B.", "s2", "1", "92", "clean", "key")
             ROW(DAY, "A.B.", "s2", "1", "92", "miss", "key"),
         "line 3: pass 1 of session s2 is earlier in this file with mark clean; here mark is miss"},
    };
    struct passo_log *log = open_log("differs.sqlite");
    assert_int_equal(import_rows_of(log, march).error, PASSO_OK);
    char *before = exported(log, false);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct taken taken = import_rows_of(log, cases[i].row);
        assert_int_equal(taken.error, PASSO_ERR_SYNTAX);
        assert_int_equal(taken.faults, 1);
        assert_has(taken.told[0], cases[i].told);
    }
    char *after = exported(log, false);
    assert_string_equal(after, before);
    free(before);
    free(after);
    passo_log_close(log);
}

/* trade.md, session 15: a torn last line is told by its line, and the rest is kept. */
static void a_torn_last_line(void **state)
{
    (void)state;
    static const struct {
        const char *end;
        uint64_t line; /* 0: a fault */
    } cases[] = {
        {"2026-11-24T18:00:00+01:00,A.B.,s1,ma", 5},
        {"2", 5},
        {"2026-11-24T18:00:00+01:00,A.B.,s1,\"march", 5},
        {"2026-11-24T18:00:00+01:00,A.B.,s1,\"march\nby night\nand day", 5},
        {"2026-11-24T18:00:00+01:00,A.B.,s1,ma\r\n", 0},
        {"2026-11-24T18:00:00+01:00,A.B.,s1,\"march\r\n" ROW(DAY, "A.B.", "s1", "4", "88", "clean",
                                                             "key"),
         0},
        {"2026-11-24T18:00:00+01:00,A.B.,s1,\"march\r\n"
         "2026-11-24T18:00:00+01:00,A.B.,s1,march,,4,climb,w,,v,quarter,88,,clean,key,,0,,,1,1,x",
         0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char name[40];
        char text[2000];
        snprintf(name, sizeof name, "torn%zu.sqlite", i);
        snprintf(text, sizeof text, "%s%s", march, cases[i].end);
        struct passo_log *log = open_log(name);
        struct taken taken = import_rows_of(log, text);
        assert_int_equal(taken.error, cases[i].line ? PASSO_OK : PASSO_ERR_SYNTAX);
        assert_int_equal(taken.result.torn_line, cases[i].line);
        char *rows = exported(log, false);
        assert_int_equal(strstr(rows, ",s1,") != NULL, cases[i].line != 0);
        if (!cases[i].line)
            assert_has(taken.told[0], ", line 5: ");
        free(rows);
        passo_log_close(log);
    }
}

static void no_file_to_take(void **state)
{
    (void)state;
    struct passo_log *log = open_log("none.sqlite");
    struct taken taken = import_file(log, place("nowhere.csv"), "N.N.");
    assert_int_equal(taken.error, PASSO_ERR_FILE);
    assert_false(taken.result.by_log);
    assert_has(taken.why, "nowhere.csv: there is no such file");
    assert_int_equal(import_file(log, folder, "N.N.").error, PASSO_ERR_FILE);
    assert_int_equal(import_file(log, put_file("none.csv", "a;b;c\n"), "N.N.").error,
                     PASSO_ERR_SYNTAX);
    assert_string_equal(players_of(log), "");
    passo_log_close(log);
}

static bool ask_twice(void *user, uint64_t passes)
{
    struct taken *taken = user;
    (void)passes;
    return ++taken->asked < 2;
}

static void broken_off(void **state)
{
    (void)state;
    struct passo_log *log = open_log("broken.sqlite");
    assert_int_equal(import_rows_of(log, march).error, PASSO_OK);
    char *before = exported(log, false);
    char *rows = many_rows("s9", 5000);
    char *text = calloc(1, strlen(rows) + sizeof HEADER + 3);
    sprintf(text, "%s\r\n%s", HEADER, rows);
    struct taken taken = {0};
    const struct passo_import import = {.path = put_file("long.csv", text),
                                        .user = &taken,
                                        .fault = keep_sentence,
                                        .go_on = ask_twice};
    enum passo_error error =
        passo_log_import(log, &import, &taken.result, taken.why, sizeof taken.why);
    assert_int_equal(error, PASSO_ERR_STATE);
    char *after = exported(log, false);
    assert_string_equal(after, before);
    assert_int_equal(import_file(log, import.path, NULL).result.added, 5000);
    free(before);
    free(after);
    free(rows);
    free(text);
    passo_log_close(log);
}

/* --- a log that another program writes to --- */

static sqlite3 *writer;

static void let_go(void)
{
    sqlite3_exec(writer, "ROLLBACK", NULL, NULL, NULL);
}

static bool let_go_at_third(void *user, uint64_t passes)
{
    struct taken *taken = user;
    (void)passes;
    if (++taken->asked == 3)
        let_go();
    return true;
}

static bool never(void *user, uint64_t passes)
{
    struct taken *taken = user;
    (void)passes;
    taken->asked++;
    return false;
}

static void count_busy(void *user)
{
    struct taken *taken = user;
    taken->busy++;
}

static void another_program_is_waited_for(void **state)
{
    (void)state;
    struct passo_log *log = open_log("busy.sqlite");
    struct taken taken = {0};
    struct passo_import import = {.path = place("busy.csv"),
                                  .user = &taken,
                                  .fault = keep_sentence,
                                  .busy = count_busy,
                                  .go_on = never};
    char text[2000];
    sprintf(text, "%s\r\n%s", HEADER, march);
    put_file("busy.csv", text);
    import.path = place("busy.csv");
    assert_int_equal(sqlite3_open(place("busy.sqlite"), &writer), SQLITE_OK);
    assert_int_equal(sqlite3_exec(writer, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(passo_log_import(log, &import, &taken.result, taken.why, sizeof taken.why),
                     PASSO_ERR_STATE);
    assert_int_equal(taken.asked, 1);
    taken = (struct taken){0};
    import.go_on = let_go_at_third;
    assert_int_equal(passo_log_import(log, &import, &taken.result, taken.why, sizeof taken.why),
                     PASSO_OK);
    assert_int_equal(taken.result.added, 3);
    assert_int_equal(taken.busy, 1);
    sqlite3_close(writer);
    passo_log_close(log);
}

/* --- no room: a limit on the size of files stands in for a full disk --- */

static void a_full_disk_rolls_back(void **state)
{
    (void)state;
    struct rlimit whole;
    struct passo_log *log = open_log("full.sqlite");
    assert_int_equal(import_rows_of(log, march).error, PASSO_OK);
    char *before = exported(log, false);
    char *rows = many_rows("s9", 20000);
    signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &whole);
    char *text = calloc(1, strlen(rows) + sizeof HEADER + 3);
    sprintf(text, "%s\r\n%s", HEADER, rows);
    put_file("large.csv", text);
    struct rlimit full = {.rlim_cur = 300000, .rlim_max = whole.rlim_max};
    setrlimit(RLIMIT_FSIZE, &full);
    struct taken taken = import_file(log, place("large.csv"), NULL);
    setrlimit(RLIMIT_FSIZE, &whole);
    assert_int_equal(taken.error, PASSO_ERR_FILE);
    assert_true(taken.result.by_log);
    assert_has(taken.why, "full.sqlite: ");
    char *after = exported(log, false);
    assert_string_equal(after, before);
    assert_int_equal(import_file(log, place("large.csv"), NULL).result.added, 20000);
    free(before);
    free(after);
    free(rows);
    free(text);
    passo_log_close(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_bad_row_of_a_thousand),
        cmocka_unit_test(what_differs_is_named),
        cmocka_unit_test(a_torn_last_line),
        cmocka_unit_test(no_file_to_take),
        cmocka_unit_test(broken_off),
        cmocka_unit_test(another_program_is_waited_for),
        cmocka_unit_test(a_full_disk_rolls_back),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
