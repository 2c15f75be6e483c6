/* For the tests of the log: folders of their own, rows and days kept as copies and compared, and
 * one story that is written the same every time. The players are of the Marrowby town band. */
#ifndef PASSO_TESTS_STORE_LOG_TOOLS_H
#define PASSO_TESTS_STORE_LOG_TOOLS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <cmocka.h>
#include <ftw.h>
#include "store/log_priv.h"

#define FAULT_BYTES 600
#define SECOND      1000000000LL
#define EVENING     (1795631405LL * SECOND) /* 2026-11-25T18:30:05Z; checked with date(1) */

/* --- a folder of its own --- */

static inline char *new_folder(void)
{
    /* in memory where it can be had: syncing a disk some thousand times takes long */
    char *folder = strdup(access("/dev/shm", W_OK) == 0 ? "/dev/shm/passo-log-XXXXXX"
                                                        : "/tmp/passo-log-XXXXXX");
    assert_non_null(mkdtemp(folder));
    return folder;
}

static inline char *path_in(const char *folder, const char *name)
{
    char *path = NULL;
    assert_true(asprintf(&path, "%s/%s", folder, name) > 0);
    return path;
}

static inline int remove_one(const char *path, const struct stat *about, int kind, struct FTW *at)
{
    (void)about;
    (void)kind;
    (void)at;
    return remove(path);
}

static inline void remove_folder(char *folder)
{
    nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
    free(folder);
}

/* --- what was read --- */

struct rows {
    struct passo_row *at;
    size_t count;
};

static inline const char **text_of(struct passo_row *row, size_t which)
{
    const char **text[] = {&row->player, &row->session, &row->passage,   &row->piece,    &row->loop,
                           &row->bars,   &row->variant, &row->beat_unit, &row->marked_by};
    return which < sizeof text / sizeof text[0] ? text[which] : NULL;
}

static inline void add_row(void *user, const struct passo_row *row)
{
    struct rows *rows = user;
    rows->at = realloc(rows->at, (rows->count + 1) * sizeof *rows->at);
    struct passo_row *kept = &rows->at[rows->count++];
    *kept = *row;
    for (size_t i = 0; text_of(kept, i); i++)
        *text_of(kept, i) = strdup(*text_of(kept, i) ? *text_of(kept, i) : "");
}

static inline void free_rows(struct rows *rows)
{
    for (size_t i = 0; i < rows->count; i++) {
        for (size_t j = 0; text_of(&rows->at[i], j); j++)
            free((void *)(uintptr_t)*text_of(&rows->at[i], j));
    }
    free(rows->at);
    *rows = (struct rows){0};
}

static inline struct rows rows_of(struct passo_log *log, struct passo_log_wish wish)
{
    char fault[FAULT_BYTES];
    struct rows rows = {0};
    if (passo_log_rows(log, &wish, add_row, &rows, fault, sizeof fault) != PASSO_OK)
        fail_msg("%s", fault);
    return rows;
}

/* Whether all of two rows is the same. */
static inline bool same_row(struct passo_row *a, struct passo_row *b)
{
    for (size_t i = 0; text_of(a, i); i++) {
        if (strcmp(*text_of(a, i), *text_of(b, i)) != 0)
            return false;
    }
    return a->time_ns == b->time_ns && a->offset_s == b->offset_s && a->day == b->day &&
           a->pass == b->pass && a->part == b->part && a->extra == b->extra &&
           a->off_pitch == b->off_pitch && a->tempo_mbpm == b->tempo_mbpm &&
           a->target_mbpm == b->target_mbpm && a->mark == b->mark && a->miss_bar == b->miss_bar &&
           a->clean_in_a_row == b->clean_in_a_row && a->move == b->move &&
           a->next_mbpm == b->next_mbpm && a->play_ns == b->play_ns && a->rest_ns == b->rest_ns &&
           a->elapsed_ns == b->elapsed_ns;
}

static inline void assert_same_rows(struct rows *a, struct rows *b)
{
    assert_int_equal(a->count, b->count);
    for (size_t i = 0; i < a->count; i++) {
        if (!same_row(&a->at[i], &b->at[i]))
            fail_msg("row %zu differs: pass %u of %s and %u of %s", i, a->at[i].pass,
                     a->at[i].session, b->at[i].pass, b->at[i].session);
    }
}

struct days {
    struct passo_log_day *at;
    size_t count;
};

static inline void add_day(void *user, const struct passo_log_day *day)
{
    struct days *days = user;
    days->at = realloc(days->at, (days->count + 1) * sizeof *days->at);
    struct passo_log_day *kept = &days->at[days->count++];
    *kept = *day;
    kept->player = strdup(day->player);
    kept->passage = strdup(day->passage);
    kept->piece = strdup(day->piece);
    kept->beat_unit = strdup(day->beat_unit);
}

static inline void free_days(struct days *days)
{
    for (size_t i = 0; i < days->count; i++) {
        free((void *)(uintptr_t)days->at[i].player);
        free((void *)(uintptr_t)days->at[i].passage);
        free((void *)(uintptr_t)days->at[i].piece);
        free((void *)(uintptr_t)days->at[i].beat_unit);
    }
    free(days->at);
    *days = (struct days){0};
}

static inline struct days days_of(struct passo_log *log, struct passo_log_wish wish)
{
    char fault[FAULT_BYTES];
    struct days days = {0};
    if (passo_log_days(log, &wish, add_day, &days, fault, sizeof fault) != PASSO_OK)
        fail_msg("%s", fault);
    return days;
}

static inline bool same_day(const struct passo_log_day *a, const struct passo_log_day *b)
{
    return !strcmp(a->player, b->player) && !strcmp(a->passage, b->passage) &&
           !strcmp(a->piece, b->piece) && !strcmp(a->beat_unit, b->beat_unit) && a->day == b->day &&
           a->target_mbpm == b->target_mbpm && a->passes == b->passes && a->clean == b->clean &&
           a->missed == b->missed && a->play_ns == b->play_ns &&
           a->best_clean_mbpm == b->best_clean_mbpm && a->best_won_mbpm == b->best_won_mbpm &&
           a->first_try == b->first_try && a->first_at_level == b->first_at_level &&
           a->ended == b->ended && a->first_ns == b->first_ns;
}

static inline void assert_same_days(const struct days *a, const struct days *b)
{
    assert_int_equal(a->count, b->count);
    for (size_t i = 0; i < a->count; i++) {
        if (!same_day(&a->at[i], &b->at[i]))
            fail_msg("day %zu differs: %d of %s and %d of %s", i, a->at[i].day, a->at[i].passage,
                     b->at[i].day, b->at[i].passage);
    }
}

/* --- a log --- */

static inline struct passo_log *open_log(const char *path, enum passo_log_use use)
{
    char fault[FAULT_BYTES];
    struct passo_log *log = NULL;
    if (passo_log_open(path, use, &log, fault, sizeof fault) != PASSO_OK)
        fail_msg("%s", fault);
    return log;
}

static inline void commit_log(struct passo_log *log)
{
    if (passo_log_commit(log) != PASSO_OK)
        fail_msg("%s", passo_log_why(log));
    assert_int_equal(passo_log_waiting(log), 0);
    assert_string_equal(passo_log_why(log), "");
}

/* The first text that a statement gives, from a connection of its own. */
static inline char *ask(const char *path, const char *sql)
{
    sqlite3 *db;
    sqlite3_stmt *statement;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    sqlite3_busy_timeout(db, 5000);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &statement, NULL), SQLITE_OK);
    int rc = sqlite3_step(statement);
    char *text = rc == SQLITE_ROW ? strdup((const char *)sqlite3_column_text(statement, 0)) : NULL;
    sqlite3_finalize(statement);
    sqlite3_close(db);
    return text;
}

static inline void assert_answer(const char *path, const char *sql, const char *answer)
{
    char *text = ask(path, sql);
    assert_non_null(text);
    assert_string_equal(text, answer);
    free(text);
}

static inline void assert_sound(const char *path)
{
    assert_answer(path, "PRAGMA integrity_check", "ok");
    char *broken = ask(path, "SELECT \"table\" FROM pragma_foreign_key_check");
    assert_null(broken);
}

/* --- rows to write --- */

static inline struct passo_log_climb climb_at(const char *player, const char *passage,
                                              int64_t began_ns)
{
    return (struct passo_log_climb){.player = player,
                                    .passage = passage,
                                    .piece = "Harvest March",
                                    .setup = "[passage]\ntitle = x\n",
                                    .session = "20261125T193005",
                                    .began_ns = began_ns,
                                    .offset_s = 3600};
}

static inline struct passo_row row_at(uint32_t pass, int64_t time_ns)
{
    struct passo_row row = {.player = "",
                            .session = "",
                            .passage = "",
                            .piece = "",
                            .pass = pass,
                            .part = PASSO_PART_CLIMB,
                            .loop = "whole",
                            .bars = "33-36",
                            .variant = "as written",
                            .beat_unit = "quarter",
                            .tempo_mbpm = 60000 + 4000 * (int32_t)pass,
                            .target_mbpm = 100000,
                            .marked_by = "",
                            .miss_bar = INT32_MIN,
                            .play_ns = 12 * SECOND + 345678901};
    passo_row_time(&row, time_ns, 3600);
    return row;
}

static inline struct passo_ladder_event event_of(const struct passo_row *row)
{
    return (struct passo_ladder_event){.type = PASSO_LADDER_PASS,
                                       .mark = row->mark,
                                       .part = row->part,
                                       .rung = (uint16_t)(row->pass % 7),
                                       .turn = (uint8_t)(row->pass % 3),
                                       .stage = (uint8_t)(row->pass % 2),
                                       .elapsed_ms = 20000 * (int64_t)row->pass,
                                       .played_ms = 12346 * (int64_t)row->pass};
}

static inline void play(struct passo_log *log, const struct passo_row *row)
{
    struct passo_ladder_event event = event_of(row);
    passo_log_played(log, row, &event);
}

static inline void mark(struct passo_log *log, struct passo_row *row, enum passo_mark how)
{
    row->mark = how;
    row->marked_by = how == PASSO_MARK_NONE ? "" : "key";
    row->clean_in_a_row = how == PASSO_MARK_CLEAN;
    row->move = how == PASSO_MARK_CLEAN ? PASSO_MOVE_RAISED : PASSO_MOVE_HELD;
    row->miss_bar = how == PASSO_MARK_MISS ? 34 : INT32_MIN;
    row->next_mbpm = row->tempo_mbpm + 4000;
    passo_log_change(log, how == PASSO_MARK_NONE ? PASSO_LOG_TAKEN_BACK : PASSO_LOG_MARKED, row);
}

static inline void close_pass(struct passo_log *log, struct passo_row *row)
{
    row->rest_ns = 13 * SECOND + 499600;
    row->elapsed_ns = 40 * SECOND * row->pass;
    passo_log_change(log, PASSO_LOG_CLOSED, row);
}

/* One climb of `passes` passes, clean but for every third. */
static inline void play_climb(struct passo_log *log, struct passo_log_climb climb, uint32_t passes)
{
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(log, &climb, session);
    for (uint32_t pass = 1; pass <= passes; pass++) {
        struct passo_row row = row_at(pass, climb.began_ns + (int64_t)pass * 40 * SECOND);
        play(log, &row);
        mark(log, &row, pass % 3 ? PASSO_MARK_CLEAN : PASSO_MARK_MISS);
        close_pass(log, &row);
    }
    passo_log_end(log, PASSO_OUTCOME_WON);
}

/* What was done with an item of a routine, on the day and at the time of EVENING and so much later.
 */
static inline struct passo_log_day_row deed_at(const char *player, const char *item,
                                               enum passo_log_deed deed, int64_t later_ns)
{
    const int64_t days = later_ns / (86400 * SECOND);
    return (struct passo_log_day_row){.player = player,
                                      .routine = "Morning, 45 minutes",
                                      .item = item,
                                      .deed = deed,
                                      .time_ns = EVENING + later_ns,
                                      .offset_s = 3600,
                                      .day = 20261125 + (int32_t)days};
}

static inline void do_item(struct passo_log *log, const char *player, const char *item,
                           enum passo_log_deed deed, int64_t later_ns)
{
    struct passo_log_day_row row = deed_at(player, item, deed, later_ns);
    row.played_ns = deed == PASSO_LOG_ITEM_DONE ? 95 * SECOND + 12345678 : 0;
    row.rested_ns = deed == PASSO_LOG_ITEM_DONE ? 80 * SECOND + 1 : 0;
    passo_log_today(log, &row);
}

/* Every deed, of two players on two days. */
static inline void write_deeds(struct passo_log *log)
{
    do_item(log, "A.B.", "minutes=45 order=mixed", PASSO_LOG_DAY_BEGAN, 0);
    do_item(log, "A.B.", "block/long tones", PASSO_LOG_ITEM_BEGAN, SECOND);
    do_item(log, "A.B.", "block/long tones", PASSO_LOG_ITEM_DONE, 180 * SECOND);
    do_item(log, "A.B.", "block/flow study/D-flat major", PASSO_LOG_ITEM_SKIPPED, 181 * SECOND);
    do_item(log, "C.D.", "visit/1/Run", PASSO_LOG_ITEM_PUT_OFF, 182 * SECOND);
    do_item(log, "A.B.", "visit/1/Run", PASSO_LOG_ITEM_STOPPED, 86400 * SECOND);
    do_item(log, "A.B.", "visit/1/Solo, bars 33 to 36", PASSO_LOG_ITEM_OWED, 86401 * SECOND);
}

/* What stands in tests/store/logs by version: two players, three passages, an undo, a correction,
 * hands, a void pass, a check, two targets on a day, a climb that was cut short, and what was done
 * of a routine (from version 3 on). */
static inline void write_story(struct passo_log *log)
{
    char session[PASSO_SESSION_BYTES];
    play_climb(log, climb_at("A.B.", "Solo, bars 33 to 36", EVENING), 7);
    play_climb(log, climb_at("A.B.", "Run", EVENING + 86400 * SECOND), 4);
    play_climb(log, climb_at("", "Run", EVENING + 3 * 3600 * SECOND), 3);
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING + 90000 * SECOND);
    passo_log_begin(log, &climb, session);
    struct passo_ladder_event hand = {.type = PASSO_LADDER_EASIER, .stage = 1, .elapsed_ms = 77};
    passo_log_hand(log, &hand, 0);
    struct passo_row row = row_at(1, climb.began_ns);
    play(log, &row);
    mark(log, &row, PASSO_MARK_CLEAN);
    mark(log, &row, PASSO_MARK_NONE);
    mark(log, &row, PASSO_MARK_MISS);
    close_pass(log, &row);
    row.mark = PASSO_MARK_CLEAN;
    row.marked_by = "changed";
    row.miss_bar = INT32_MIN;
    passo_log_change(log, PASSO_LOG_CHANGED, &row);
    row = row_at(2, climb.began_ns + 40 * SECOND);
    row.mark = PASSO_MARK_VOID;
    row.target_mbpm = 96000;
    play(log, &row);
    row = row_at(3, climb.began_ns + 80 * SECOND);
    row.target_mbpm = 96000;
    row.variant = "octave below";
    row.off_pitch = true;
    row.tempo_mbpm = 95000;
    play(log, &row);
    mark(log, &row, PASSO_MARK_CLEAN);
    hand.type = PASSO_LADDER_HARDER;
    passo_log_hand(log, &hand, 3);
    row = row_at(4, climb.began_ns + 120 * SECOND);
    row.part = PASSO_PART_COUNT;
    row.extra = PASSO_EXTRA_CHECK;
    play(log, &row);
    write_deeds(log);
    commit_log(log);
}

#endif
