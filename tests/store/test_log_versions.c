/* Every version of the schema that there was opens and says what it said: tests/store/logs has a
 * copy of each, and a version without one fails here. */
#include "store/log_deeds.h"

#define ALL ((struct passo_log_wish){0})

static char *file_text(const char *path)
{
    FILE *file = fopen(path, "r");
    if (!file)
        return NULL;
    char *text = NULL;
    size_t bytes = 0;
    ssize_t got = getdelim(&text, &bytes, '\0', file);
    fclose(file);
    assert_true(got > 0);
    return text;
}

/* The stored copy of a version as a file. */
static void make_version(const char *path, int version)
{
    char source[512];
    sqlite3 *db;
    snprintf(source, sizeof source, "%s/tests/store/logs/version-%d.sql", PASSO_SOURCE_DIR,
             version);
    char *sql = file_text(source);
    if (!sql)
        fail_msg("version %d has no stored copy: %s", version, source);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    free(sql);
}

static void assert_same_log(struct passo_log *a, struct passo_log *b)
{
    struct rows rows[] = {rows_of(a, ALL), rows_of(b, ALL)};
    struct days days[] = {days_of(a, ALL), days_of(b, ALL)};
    assert_true(rows[0].count > 10 && days[0].count > 3);
    assert_same_rows(&rows[0], &rows[1]);
    assert_same_days(&days[0], &days[1]);
    for (int i = 0; i < 2; i++) {
        free_rows(&rows[i]);
        free_days(&days[i]);
    }
}

/* What was done of a routine, which version 3 brought. */
static void assert_deeds(struct passo_log *old, int version, struct passo_log *new)
{
    struct deeds deeds[] = {deeds_of(old, NULL, 0, 0), deeds_of(new, NULL, 0, 0)};
    assert_int_equal(deeds[1].count, PASSO_LOG_DEED_COUNT); /* one of each */
    if (version >= 3)
        assert_same_deeds(&deeds[0], &deeds[1]);
    else
        assert_int_equal(deeds[0].count, 0);
    free_deeds(&deeds[0]);
    free_deeds(&deeds[1]);
}

/* An older log takes what is new. */
static void assert_takes_deeds(struct passo_log *log)
{
    struct deeds before = deeds_of(log, NULL, 0, 0);
    write_deeds(log);
    commit_log(log);
    struct deeds after = deeds_of(log, NULL, 0, 0);
    assert_int_equal(after.count, before.count + PASSO_LOG_DEED_COUNT);
    free_deeds(&before);
    free_deeds(&after);
}

static void test_every_version_says_the_same(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *new_path = path_in(folder, "new");
    char *path = path_in(folder, "old");
    struct passo_log *new = open_log(new_path, PASSO_LOG_KEEP);
    write_story(new);
    for (int version = 1; version <= LOG_VERSION; version++) {
        for (int use = PASSO_LOG_LOOK; use <= PASSO_LOG_KEEP; use++) {
            char number[8];
            make_version(path, version);
            struct passo_log *old = open_log(path, (enum passo_log_use)use);
            assert_same_log(old, new);
            assert_deeds(old, version, new);
            snprintf(number, sizeof number, "%d", LOG_VERSION);
            assert_answer(path, "PRAGMA user_version", number);
            if (use == PASSO_LOG_KEEP)
                assert_takes_deeds(old);
            passo_log_close(old);
            assert_sound(path);
            assert_int_equal(unlink(path), 0);
        }
    }
    passo_log_close(new);
    free(path);
    free(new_path);
    remove_folder(folder);
}

/* A file of ours holds the same tables whether it came up the steps or was made new. */
static void test_the_schema_is_the_same(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *new_path = path_in(folder, "new");
    passo_log_close(open_log(new_path, PASSO_LOG_KEEP));
    char *path = path_in(folder, "old");
    const char *schema = "SELECT group_concat(sql, ';') FROM "
                         "(SELECT sql FROM sqlite_schema ORDER BY type, name)";
    char *text = ask(new_path, schema);
    assert_true(strlen(text) > 1000);
    for (int version = 1; version <= LOG_VERSION; version++) {
        make_version(path, version);
        passo_log_close(open_log(path, PASSO_LOG_KEEP));
        assert_answer(path, schema, text);
        assert_int_equal(unlink(path), 0);
    }
    free(text);
    free(path);
    free(new_path);
    remove_folder(folder);
}

/* While another program writes, an older log is brought up to date in memory to be looked at. */
static void test_an_older_log_that_is_locked(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "old");
    sqlite3 *db;
    make_version(path, 1);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct days days = days_of(log, ALL);
    assert_int_equal(days.count, 4);
    free_days(&days);
    passo_log_close(log);
    log = open_log(path, PASSO_LOG_KEEP); /* waits for its first commit */
    play_climb(log, climb_at("A.B.", "Run", EVENING), 1);
    assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
    assert_string_equal(passo_log_why(log), "another program is writing to it");
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    assert_answer(path, "PRAGMA user_version", "1");
    commit_log(log);
    assert_answer(path, "PRAGMA user_version", "3");
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* Refused, with the file untouched and these words in the sentence. */
static void assert_refused(const char *path, enum passo_error error, const char *words)
{
    for (int use = PASSO_LOG_LOOK; use <= PASSO_LOG_KEEP; use++) {
        char fault[FAULT_BYTES];
        struct passo_log *log;
        enum passo_error got =
            passo_log_open(path, (enum passo_log_use)use, &log, fault, sizeof fault);
        if (got == PASSO_OK)
            fail_msg("%s was opened; wanted: %s", path, words);
        assert_null(log);
        assert_int_equal(got, error);
        assert_int_equal(strncmp(fault, path, strlen(path)), 0);
        if (!strstr(fault, words))
            fail_msg("\"%s\" does not say \"%s\"", fault, words);
    }
}

/* A stored copy with something done to it. */
static void make_changed(const char *path, const char *sql)
{
    sqlite3 *db;
    (void)unlink(path);
    make_version(path, LOG_VERSION);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

static void test_what_is_not_ours(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log");
    make_changed(path, "PRAGMA user_version = 7");
    assert_refused(path, PASSO_ERR_SYNTAX,
                   "was written by a newer passo (log version 7; this one knows 3); install that, "
                   "or name another log with --log");
    make_changed(path, "PRAGMA application_id = 0");
    assert_refused(path, PASSO_ERR_SYNTAX, "this database is another program's; name another log");
    make_changed(path, "PRAGMA application_id = 77; PRAGMA user_version = 7");
    assert_refused(path, PASSO_ERR_SYNTAX, "this database is another program's");
    make_changed(path, "DROP TABLE change");
    assert_refused(path, PASSO_ERR_SYNTAX, "this log is damaged; keep a copy");
    make_changed(path, "DROP TABLE deed");
    assert_refused(path, PASSO_ERR_SYNTAX, "this log is damaged");
    make_changed(path, "PRAGMA user_version = 2"); /* it has a table too many */
    assert_refused(path, PASSO_ERR_SYNTAX, "this log is damaged");
    make_changed(path, "PRAGMA user_version = 0");
    assert_refused(path, PASSO_ERR_SYNTAX, "this log is damaged");
    make_changed(path, "PRAGMA user_version = -1");
    assert_refused(path, PASSO_ERR_SYNTAX, "this log is damaged");
    free(path);
    remove_folder(folder);
}

static void test_what_is_no_database(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log");
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    for (int i = 0; i < 100; i++)
        fprintf(file, "[passage]\ntitle = this is a file of another kind\n");
    fclose(file);
    assert_refused(path, PASSO_ERR_SYNTAX, "this is no log of passo; name another log with --log");
    /* half a log */
    unlink(path);
    make_version(path, LOG_VERSION);
    struct stat about;
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(truncate(path, about.st_size / 2 / 4096 * 4096), 0);
    assert_refused(path, PASSO_ERR_SYNTAX, "this log is damaged");
    assert_int_equal(truncate(path, 1000), 0);
    assert_refused(path, PASSO_ERR_SYNTAX, "this ");
    free(path);
    remove_folder(folder);
}

/* Numbers that no enum has, texts that are not there: damage is said, not shown. */
static void test_damage_inside(void **state)
{
    (void)state;
    static const char *const damage[] = {
        "UPDATE pass SET mark = 99 WHERE climb = 1 AND number = 2",
        "UPDATE pass SET part = 7",
        "UPDATE pass SET part = 103",
        "UPDATE pass SET move = -1",
        "UPDATE pass SET loop = 999",
        "UPDATE pass SET offset_s = 1 << 40",
        "UPDATE pass SET play_ms = 1 << 62",
        "UPDATE pass SET rung = 1 << 20",
        "UPDATE change SET kind = 4",
        "UPDATE change SET mark = 4",
        "UPDATE change SET next_mbpm = 1 << 40",
        "DELETE FROM text WHERE text = 'Run'",
        "DROP INDEX climb_by_time; ALTER TABLE climb DROP COLUMN last_s",
    };
    char *folder = new_folder();
    char *path = path_in(folder, "log");
    for (size_t i = 0; i < sizeof damage / sizeof damage[0]; i++) {
        char fault[FAULT_BYTES];
        struct rows rows = {0};
        struct passo_log_wish wish = ALL;
        make_changed(path, damage[i]);
        struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
        if (passo_log_rows(log, &wish, add_row, &rows, fault, sizeof fault) != PASSO_ERR_SYNTAX)
            fail_msg("not found: %s", damage[i]);
        assert_non_null(strstr(fault, "this log is damaged"));
        free_rows(&rows);
        passo_log_close(log);
    }
    free(path);
    remove_folder(folder);
}

static void test_damage_in_the_days(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log");
    static const char *const bad_days[] = {
        "UPDATE day SET ended = 99",
        "UPDATE day SET first_try = 4",
        "UPDATE day SET passes = -1",
        "UPDATE day SET first_at_level = 9",
        "UPDATE day SET beat_unit = 999",
        "UPDATE day SET play_ms = 1 << 62",
        "UPDATE day SET day = day / 100 * 100",
    };
    for (size_t i = 0; i < sizeof bad_days / sizeof bad_days[0]; i++) {
        char fault[FAULT_BYTES];
        struct days days = {0};
        struct passo_log_wish wish = ALL;
        make_changed(path, bad_days[i]);
        struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
        if (passo_log_days(log, &wish, add_day, &days, fault, sizeof fault) != PASSO_ERR_SYNTAX)
            fail_msg("not found: %s", bad_days[i]);
        free_days(&days);
        passo_log_close(log);
    }
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_version_says_the_same),
        cmocka_unit_test(test_the_schema_is_the_same),
        cmocka_unit_test(test_an_older_log_that_is_locked),
        cmocka_unit_test(test_what_is_not_ours),
        cmocka_unit_test(test_what_is_no_database),
        cmocka_unit_test(test_damage_inside),
        cmocka_unit_test(test_damage_in_the_days),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
