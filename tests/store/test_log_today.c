/* What was done of a day's routine: it comes back as it was, in order, by player and day; it waits
 * and is written with all else; passes, days and exports know nothing of it; and what could not
 * have been written is damage. */
#include "store/log_deeds.h"
#include "store/log_out.h"

#define EVERY ((struct passo_log_wish){0})

static struct deeds all_of(struct passo_log *log)
{
    return deeds_of(log, NULL, 0, 0);
}

static size_t count_of(struct passo_log *log, const char *player, int32_t from_day, int32_t to_day)
{
    struct deeds deeds = deeds_of(log, player, from_day, to_day);
    size_t count = deeds.count;
    free_deeds(&deeds);
    return count;
}

/* No climb was begun. */
static void test_they_come_back_in_order(void **state)
{
    (void)state;
    static const enum passo_log_deed wanted[] = {
        PASSO_LOG_DAY_BEGAN,    PASSO_LOG_ITEM_BEGAN,   PASSO_LOG_ITEM_DONE, PASSO_LOG_ITEM_SKIPPED,
        PASSO_LOG_ITEM_PUT_OFF, PASSO_LOG_ITEM_STOPPED, PASSO_LOG_ITEM_OWED};
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    write_deeds(log);
    assert_int_equal(passo_log_waiting(log), 7);
    assert_int_equal(count_of(log, NULL, 0, 0), 0); /* they wait */
    commit_log(log);
    passo_log_close(log);
    log = open_log(path, PASSO_LOG_LOOK);
    struct deeds deeds = all_of(log);
    assert_int_equal(deeds.count, 7);
    for (size_t i = 0; i < 7; i++)
        assert_int_equal(deeds.at[i].deed, wanted[i]);
    /* the third, word for word */
    struct passo_log_day_row done =
        deed_at("A.B.", "block/long tones", PASSO_LOG_ITEM_DONE, 180 * SECOND);
    done.played_ns = 95 * SECOND + 12345678;
    done.rested_ns = 80 * SECOND + 1;
    assert_true(same_deed(&deeds.at[2], &done));
    assert_string_equal(deeds.at[2].routine, "Morning, 45 minutes");
    assert_int_equal(deeds.at[5].day, 20261126);
    free_deeds(&deeds);
    passo_log_close(log);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

static void test_by_player_and_day(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    write_deeds(log);
    do_item(log, "", "block/long tones", PASSO_LOG_ITEM_DONE, 0);
    commit_log(log);
    struct deeds deeds = deeds_of(log, "A.B.", 0, 0);
    assert_int_equal(deeds.count, 6);
    for (size_t i = 1; i < 6; i++)
        assert_true(deeds.at[i - 1].time_ns < deeds.at[i].time_ns); /* as they were written */
    free_deeds(&deeds);
    assert_int_equal(count_of(log, "C.D.", 0, 0), 1);
    assert_int_equal(count_of(log, "", 0, 0), 1);
    assert_int_equal(count_of(log, "A.", 0, 0), 0);
    assert_int_equal(count_of(log, "A.B.", 20261125, 20261125), 4);
    assert_int_equal(count_of(log, "A.B.", 20261126, 0), 2);
    assert_int_equal(count_of(log, "A.B.", 0, 20261124), 0);
    assert_int_equal(count_of(log, NULL, 20261125, 20261125), 6);
    assert_int_equal(count_of(log, NULL, 20261126, 20261231), 2);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* What is held, and what may be anything. */
static void test_odd_values(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    char item[] = "block/\"); DROP TABLE deed; --\n\xff\xe2\x99\xad";
    struct passo_log_day_row row = {.routine = "",
                                    .item = item,
                                    .deed = PASSO_LOG_ITEM_DONE,
                                    .time_ns = INT64_MIN,
                                    .offset_s = INT32_MAX,
                                    .day = 99991231,
                                    .played_ns = INT64_MAX,
                                    .rested_ns = -1};
    passo_log_today(log, &row);
    char kept[sizeof item];
    memcpy(kept, item, sizeof item);
    memset(item, 'x', sizeof item - 1); /* it was copied */
    commit_log(log);
    struct deeds deeds = deeds_of(log, "", 0, 0);
    assert_int_equal(deeds.count, 1);
    assert_string_equal(deeds.at[0].item, kept);
    assert_string_equal(deeds.at[0].routine, "");
    assert_int_equal(deeds.at[0].time_ns, -4000000000 * SECOND);
    assert_int_equal(deeds.at[0].offset_s, 2 * 86400);
    assert_int_equal(deeds.at[0].day, 99991231);
    assert_int_equal(deeds.at[0].played_ns, 2 * 86400 * SECOND);
    assert_int_equal(deeds.at[0].rested_ns, 0);
    free_deeds(&deeds);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* While another program writes they wait among the rows of a climb; then all is there once. */
static void test_they_wait_with_all_else(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    sqlite3 *db;
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    for (int i = 1; i < 4; i++) {
        do_item(log, "A.B.", "visit/1/Run", PASSO_LOG_ITEM_BEGAN, i * 3600 * SECOND);
        play_climb(log, climb_at("A.B.", "Run", EVENING + i * 3600 * SECOND), 2);
        do_item(log, "A.B.", "visit/1/Run", PASSO_LOG_ITEM_DONE, i * 3600 * SECOND + 1);
        assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
        assert_string_equal(passo_log_why(log), "another program is writing to it");
        assert_int_equal(passo_log_waiting(log), i * 10); /* two, and 8 of the climb */
        assert_int_equal(count_of(log, NULL, 0, 0), 0);
    }
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
    commit_log(log);
    commit_log(log);
    struct deeds deeds = all_of(log);
    assert_int_equal(deeds.count, 6);
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(deeds.at[i].deed, i % 2 ? PASSO_LOG_ITEM_DONE : PASSO_LOG_ITEM_BEGAN);
    free_deeds(&deeds);
    struct rows rows = rows_of(log, EVERY);
    assert_int_equal(rows.count, 6);
    free_rows(&rows);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* Nothing that was written is changed by what comes after. */
static void test_they_are_only_added(void **state)
{
    (void)state;
    static const char sql[] =
        "SELECT group_concat(id || ':' || player || ':' || routine || ':' || item || ':' || kind "
        "|| ':' || time_ns || ':' || day || ':' || played_ns || ':' || rested_ns, '/') "
        "FROM (SELECT * FROM deed ORDER BY id)";
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    char *before = strdup("");
    for (int i = 0; i < 5; i++) {
        write_deeds(log);
        commit_log(log);
        char *now = ask(path, sql);
        assert_true(strlen(now) > strlen(before));
        assert_int_equal(strncmp(now, before, strlen(before)), 0);
        free(before);
        before = now;
    }
    free(before);
    assert_int_equal(count_of(log, NULL, 0, 0), 35);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* Exports are of passes: the same with them and without. */
static void test_exports_are_of_passes(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    char *csv = path_in(folder, "out.csv");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING), 3);
    commit_log(log);
    char *before[] = {exported(log, csv, false), exported(log, csv, true)};
    write_deeds(log);
    commit_log(log);
    for (int days = 0; days < 2; days++) {
        char *after = exported(log, csv, days);
        assert_string_equal(after, before[days]);
        free(after);
        free(before[days]);
    }
    passo_log_close(log);
    free(csv);
    free(path);
    remove_folder(folder);
}

static const char *const damage[] = {
    "UPDATE deed SET kind = 7 WHERE id = 2",
    "UPDATE deed SET kind = -1",
    "UPDATE deed SET player = 999",
    "UPDATE deed SET routine = 999",
    "UPDATE deed SET item = 0",
    "UPDATE deed SET day = 20261131 WHERE id = 6",
    "UPDATE deed SET day = 0",
    "UPDATE deed SET day = (1 << 40) + 20261125",
    "UPDATE deed SET offset_s = 172801",
    "UPDATE deed SET time_ns = 4000000000000000001",
    "UPDATE deed SET time_ns = -9223372036854775808",
    "UPDATE deed SET played_ns = -1",
    "UPDATE deed SET played_ns = 172800000000001",
    "UPDATE deed SET rested_ns = 1 << 62",
    "UPDATE deed SET rested_ns = -5",
    "ALTER TABLE deed DROP COLUMN rested_ns",
};

static void test_damage(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log");
    for (size_t i = 0; i < sizeof damage / sizeof damage[0]; i++) {
        char fault[FAULT_BYTES];
        struct deeds deeds = {0};
        sqlite3 *db;
        struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
        write_deeds(log);
        commit_log(log);
        passo_log_close(log);
        assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
        assert_int_equal(sqlite3_exec(db, damage[i], NULL, NULL, NULL), SQLITE_OK);
        assert_int_equal(sqlite3_close(db), SQLITE_OK);
        log = open_log(path, PASSO_LOG_LOOK);
        if (passo_log_today_rows(log, NULL, 0, 0, add_deed, &deeds, fault, sizeof fault) !=
            PASSO_ERR_SYNTAX)
            fail_msg("not found: %s", damage[i]);
        assert_non_null(strstr(fault, "this log is damaged"));
        free_deeds(&deeds);
        struct rows rows = rows_of(log, EVERY); /* the passes are as good as they were */
        assert_int_equal(rows.count, 0);
        free_rows(&rows);
        passo_log_close(log);
        assert_int_equal(unlink(path), 0);
    }
    free(path);
    remove_folder(folder);
}

/* Who has ten years behind them is asked for one day by the index, not by a walk. */
static void test_a_day_is_found_by_the_index(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log");
    char sql[600];
    passo_log_close(open_log(path, PASSO_LOG_KEEP));
    snprintf(sql, sizeof sql, "EXPLAIN QUERY PLAN %s", log_sql(LOG_DEEDS_READ));
    sqlite3 *db;
    sqlite3_stmt *statement;
    bool found = false;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &statement, NULL), SQLITE_OK);
    while (sqlite3_step(statement) == SQLITE_ROW) {
        const char *step = (const char *)sqlite3_column_text(statement, 3);
        found = found || strstr(step, "deed_by_day (player=? AND day>? AND day<?)");
        assert_null(strstr(step, "SCAN deed"));
    }
    assert_true(found);
    sqlite3_finalize(statement);
    sqlite3_close(db);
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_they_come_back_in_order),
        cmocka_unit_test(test_by_player_and_day),
        cmocka_unit_test(test_odd_values),
        cmocka_unit_test(test_they_wait_with_all_else),
        cmocka_unit_test(test_they_are_only_added),
        cmocka_unit_test(test_exports_are_of_passes),
        cmocka_unit_test(test_damage),
        cmocka_unit_test(test_a_day_is_found_by_the_index),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
