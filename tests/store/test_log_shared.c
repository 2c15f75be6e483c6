/* The log beside other programs: one that writes, many that write, one that moves the file away,
 * and SQLite's own shell, which must read there what the log says. And that no reader of one
 * passage walks through all of them. */
#include "store/log_tools.h"

#include <pthread.h>

enum { WRITERS = 3, CLIMBS = 12, PASSES = 5 };

#define ALL ((struct passo_log_wish){0})

static size_t count_rows(const char *path)
{
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct rows rows = rows_of(log, ALL);
    size_t count = rows.count;
    free_rows(&rows);
    passo_log_close(log);
    return count;
}

static sqlite3 *lock(const char *path)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "BEGIN EXCLUSIVE", NULL, NULL, NULL), SQLITE_OK);
    return db;
}

static void test_another_program_writes(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING), 2);
    commit_log(log);
    sqlite3 *other = lock(path);
    for (int i = 1; i < 4; i++) {
        play_climb(log, climb_at("A.B.", "Run", EVENING + i * 3600 * SECOND), 2);
        assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
        assert_string_equal(passo_log_why(log), "another program is writing to it");
        assert_int_equal(passo_log_waiting(log), i * 8); /* begin, 2 x 3, end */
        assert_int_equal(count_rows(path), 2);           /* a reader is not held up */
    }
    assert_true(LOG_PATIENCE_MS < 100);
    /* one that is opened meanwhile waits for its first commit too */
    struct passo_log *late = open_log(path, PASSO_LOG_KEEP);
    play_climb(late, climb_at("A.B.", "Run", EVENING + 4 * 3600 * SECOND), 2);
    assert_int_equal(passo_log_commit(late), PASSO_ERR_FILE);
    assert_int_equal(sqlite3_close(other), SQLITE_OK);
    commit_log(late);
    commit_log(log);
    struct rows rows = rows_of(log, ALL);
    assert_int_equal(rows.count, 10);
    for (size_t i = 0; i < 10; i++) {
        assert_int_equal(rows.at[i].pass, i % 2 + 1);
        assert_true(i == 0 || rows.at[i - 1].time_ns < rows.at[i].time_ns);
    }
    free_rows(&rows);
    passo_log_close(late);
    passo_log_close(log);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

/* A new log that somebody holds from the beginning. */
static void test_a_new_log_that_is_locked(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    sqlite3 *other = lock(path);
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    char fault[FAULT_BYTES];
    char session[PASSO_SESSION_BYTES];
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING);
    struct passo_log_wish wish = ALL;
    struct rows rows = {0};
    passo_log_begin(log, &climb, session);
    assert_string_equal(session, climb.session);
    assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
    assert_int_equal(passo_log_rows(log, &wish, add_row, &rows, fault, sizeof fault),
                     PASSO_ERR_FILE);
    assert_non_null(strstr(fault, "another program is writing to it; try again in a moment"));
    assert_int_equal(sqlite3_close(other), SQLITE_OK);
    commit_log(log);
    passo_log_close(log);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

struct writer {
    const char *path;
    const char *player;
    bool failed;
};

/* Many climbs, each commit tried until it is through; asserts are not for threads. */
static void *write_much(void *user)
{
    struct writer *writer = user;
    char fault[FAULT_BYTES];
    struct passo_log *log;
    if (passo_log_open(writer->path, PASSO_LOG_KEEP, &log, fault, sizeof fault) != PASSO_OK) {
        writer->failed = true;
        return NULL;
    }
    for (uint32_t i = 0; i < CLIMBS; i++) {
        char session[PASSO_SESSION_BYTES];
        struct passo_log_climb climb = climb_at(writer->player, "Run", EVENING);
        passo_log_begin(log, &climb, session);
        for (uint32_t pass = 1; pass <= PASSES; pass++) {
            struct passo_row row = row_at(pass, EVENING + (i * PASSES + pass) * SECOND);
            play(log, &row);
            mark(log, &row, PASSO_MARK_CLEAN);
            while (passo_log_commit(log) != PASSO_OK) {
                if (strcmp(passo_log_why(log), "another program is writing to it") != 0)
                    writer->failed = true;
            }
        }
        passo_log_end(log, PASSO_OUTCOME_WON);
    }
    while (passo_log_commit(log) != PASSO_OK)
        ;
    passo_log_close(log);
    return NULL;
}

/* The same new file, at once; two of them also play the same passage under the same name. */
static void test_many_write(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    pthread_t thread[WRITERS];
    struct writer writer[WRITERS] = {
        {path, "A.B.", false}, {path, "C.D.", false}, {path, "A.B.", false}};
    for (int i = 0; i < WRITERS; i++)
        assert_int_equal(pthread_create(&thread[i], NULL, write_much, &writer[i]), 0);
    for (int i = 0; i < WRITERS; i++) {
        assert_int_equal(pthread_join(thread[i], NULL), 0);
        assert_false(writer[i].failed);
    }
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct rows rows = rows_of(log, ALL);
    assert_int_equal(rows.count, WRITERS * CLIMBS * PASSES);
    for (size_t i = 0; i < rows.count; i++) {
        assert_int_equal(rows.at[i].pass, i % PASSES + 1);
        assert_int_equal(rows.at[i].mark, PASSO_MARK_CLEAN);
    }
    free_rows(&rows);
    struct days days = days_of(log, ALL);
    assert_int_equal(days.count, 2);
    assert_int_equal(days.at[0].passes + days.at[1].passes, WRITERS * CLIMBS * PASSES);
    free_days(&days);
    passo_log_close(log);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

static void *open_only(void *user)
{
    struct writer *writer = user;
    char fault[FAULT_BYTES];
    struct passo_log *log;
    writer->failed =
        passo_log_open(writer->path, PASSO_LOG_KEEP, &log, fault, sizeof fault) != PASSO_OK;
    passo_log_close(log);
    return NULL;
}

/* None of them takes what another is just making for damaged or foreign. */
static void test_many_make_it(void **state)
{
    (void)state;
    char *folder = new_folder();
    for (int round = 0; round < 40; round++) {
        char name[16];
        snprintf(name, sizeof name, "%d", round);
        char *path = path_in(folder, name);
        pthread_t thread[WRITERS];
        struct writer writer[WRITERS];
        for (int i = 0; i < WRITERS; i++) {
            writer[i] = (struct writer){path, "", false};
            assert_int_equal(pthread_create(&thread[i], NULL, open_only, &writer[i]), 0);
        }
        for (int i = 0; i < WRITERS; i++) {
            assert_int_equal(pthread_join(thread[i], NULL), 0);
            assert_false(writer[i].failed);
        }
        free(path);
    }
    remove_folder(folder);
}

static void assert_passes(struct passo_log *log, uint32_t first, uint32_t second)
{
    struct rows rows = rows_of(log, ALL);
    assert_int_equal(rows.count, 2);
    assert_int_equal(rows.at[0].pass, first);
    assert_int_equal(rows.at[1].pass, second);
    assert_string_equal(rows.at[1].session, "20261125T193005");
    free_rows(&rows);
}

/* A climb that goes on while its file is moved away, and where another one then stands. */
static void test_the_file_is_moved(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    char *moved = path_in(folder, "moved");
    char session[PASSO_SESSION_BYTES];
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING);
    struct passo_row row[3];
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    passo_log_begin(log, &climb, session);
    for (uint32_t i = 0; i < 3; i++)
        row[i] = row_at(i + 1, EVENING + i * 40 * SECOND);
    play(log, &row[0]);
    commit_log(log);
    assert_int_equal(rename(path, moved), 0);
    mark(log, &row[0], PASSO_MARK_MISS); /* of a pass that is in the other file */
    play(log, &row[1]);
    mark(log, &row[1], PASSO_MARK_CLEAN);
    assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
    assert_string_equal(passo_log_why(log), "its file was moved, replaced or deleted meanwhile");
    assert_int_equal(passo_log_waiting(log), 3);
    commit_log(log);
    play(log, &row[2]);
    commit_log(log);
    assert_passes(log, 2, 3);
    /* the one that was moved comes back over it: the climb that is there goes on */
    assert_int_equal(rename(moved, path), 0);
    mark(log, &row[2], PASSO_MARK_CLEAN);
    assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
    commit_log(log);
    struct passo_row last = row_at(4, EVENING + 200 * SECOND);
    play(log, &last);
    commit_log(log);
    assert_passes(log, 1, 4);
    passo_log_close(log);
    assert_sound(path);
    free(moved);
    free(path);
    remove_folder(folder);
}

/* With its folder, in the middle of a climb. */
static void test_the_file_is_deleted(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING), 2);
    commit_log(log);
    remove_folder(strdup(folder));
    struct passo_row row = row_at(3, EVENING + 200 * SECOND);
    play(log, &row);
    assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
    commit_log(log);
    assert_int_equal(count_rows(path), 1);
    passo_log_close(log);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

/* Whether a step of a plan reads every row of a table that grows with practice. */
static bool walks(const char *step)
{
    static const char *const tables[] = {"pass", "change", "climb", "hand", "ended", "day", "text"};
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        char scan[32];
        snprintf(scan, sizeof scan, "SCAN %s", tables[i]);
        size_t length = strlen(scan);
        if (!strncmp(step, scan, length) && (step[length] == ' ' || step[length] == '\0'))
            return true;
    }
    return false;
}

/* Steps of a statement's plan that walk. */
static int count_walks(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *plan;
    int found = 0;
    char *explained = sqlite3_mprintf("EXPLAIN QUERY PLAN %s", sql);
    assert_int_equal(sqlite3_prepare_v2(db, explained, -1, &plan, NULL), SQLITE_OK);
    while (sqlite3_step(plan) == SQLITE_ROW)
        found += walks((const char *)sqlite3_column_text(plan, 3));
    sqlite3_finalize(plan);
    sqlite3_free(explained);
    return found;
}

static void test_nothing_walks_through_all(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    for (int i = 0; i < LOG_STATEMENTS; i++) {
        int found = count_walks(log->db, log_sql((enum log_statement)i));
        if (found)
            fail_msg("it walks: %s", log_sql((enum log_statement)i));
    }
    /* the judge finds one where there is one */
    assert_int_equal(count_walks(log->db, "SELECT * FROM pass WHERE number = 3"), 1);
    assert_int_equal(count_walks(log->db, "SELECT * FROM change ORDER BY id"), 1);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* The rows as a reader of the schema alone would put them together. */
#define SHELL_SQL                                                                                  \
    "SELECT n.text, c.session, t.text, p.number, p.tempo_mbpm, v.text, "                           \
    "coalesce((SELECT mark FROM change g WHERE g.climb = p.climb AND g.number = p.number "         \
    "ORDER BY id DESC LIMIT 1), p.mark), "                                                         \
    "coalesce((SELECT rest_ms FROM change g WHERE g.climb = p.climb AND g.number = p.number "      \
    "ORDER BY id DESC LIMIT 1), p.rest_ms) "                                                       \
    "FROM pass p JOIN climb c ON c.id = p.climb JOIN passage s ON s.id = c.passage "               \
    "JOIN player l ON l.id = s.player JOIN text n ON n.id = l.name JOIN text t ON t.id = s.title " \
    "JOIN text v ON v.id = p.variant "                                                             \
    "ORDER BY (SELECT min(time_ns / 1000000000) FROM pass q WHERE q.climb = p.climb), "            \
    "n.text, t.text, c.session, p.number"

/* sqlite.org's own shell reads the same: an outside judge of what is in the file. */
static void test_the_shell_reads_the_same(void **state)
{
    (void)state;
    if (system("command -v sqlite3 > /dev/null") != 0) {
        print_message("not tried: there is no sqlite3 shell here\n");
        skip();
    }
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    write_story(log);
    struct rows rows = rows_of(log, ALL);
    char *command = NULL;
    assert_true(asprintf(&command, "sqlite3 -readonly -separator '|' %s \"%s\"", path, SHELL_SQL) >
                0);
    FILE *shell = popen(command, "r");
    assert_non_null(shell);
    char line[512];
    size_t lines = 0;
    for (; fgets(line, sizeof line, shell); lines++) {
        char wanted[512];
        assert_true(lines < rows.count);
        const struct passo_row *row = &rows.at[lines];
        snprintf(wanted, sizeof wanted, "%s|%s|%s|%u|%d|%s|%d|%lld\n", row->player, row->session,
                 row->passage, row->pass, row->tempo_mbpm, row->variant, (int)row->mark,
                 (long long)(row->rest_ns / 1000000));
        assert_string_equal(line, wanted);
    }
    assert_int_equal(pclose(shell), 0);
    assert_int_equal(lines, rows.count);
    assert_true(lines > 10);
    free(command);
    free_rows(&rows);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_another_program_writes),
        cmocka_unit_test(test_a_new_log_that_is_locked),
        cmocka_unit_test(test_many_write),
        cmocka_unit_test(test_many_make_it),
        cmocka_unit_test(test_the_file_is_moved),
        cmocka_unit_test(test_the_file_is_deleted),
        cmocka_unit_test(test_nothing_walks_through_all),
        cmocka_unit_test(test_the_shell_reads_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
