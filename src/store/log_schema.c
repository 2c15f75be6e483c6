/* The schema, as the steps from one version to the next: a new log runs all of them, an older one
 * those that it lacks, in one transaction. A step that was released is never changed. Runs on the
 * main thread. */
#include "store/log_priv.h"

#include <stdio.h>

/* Points of pass and change to text are not declared: their check at every insert would double
 * what an import costs, and what is read is checked in any case. */
static const char step_1[] =
    "CREATE TABLE text (id INTEGER PRIMARY KEY, text TEXT NOT NULL UNIQUE) STRICT;"
    "CREATE TABLE player (id INTEGER PRIMARY KEY,"
    " name INTEGER NOT NULL UNIQUE REFERENCES text) STRICT;"
    "CREATE TABLE passage (id INTEGER PRIMARY KEY, player INTEGER NOT NULL REFERENCES player,"
    " title INTEGER NOT NULL REFERENCES text, piece INTEGER NOT NULL REFERENCES text,"
    " UNIQUE (player, title, piece)) STRICT;"
    "CREATE TABLE climb (id INTEGER PRIMARY KEY, passage INTEGER NOT NULL REFERENCES passage,"
    " session TEXT NOT NULL, began_ns INTEGER NOT NULL, offset_s INTEGER NOT NULL,"
    " setup INTEGER NOT NULL REFERENCES text, seen_live INTEGER NOT NULL,"
    " first_s INTEGER, last_s INTEGER, UNIQUE (passage, session)) STRICT;"
    "CREATE INDEX climb_by_time ON climb (passage, last_s);"
    "CREATE INDEX climb_by_beginning ON climb (passage, began_ns);"
    "CREATE TABLE pass (climb INTEGER NOT NULL REFERENCES climb, number INTEGER NOT NULL,"
    " time_ns INTEGER NOT NULL, offset_s INTEGER NOT NULL, part INTEGER NOT NULL,"
    " stage INTEGER, rung INTEGER, turn INTEGER, ended_ms INTEGER, played_ms INTEGER,"
    " loop INTEGER NOT NULL, bars INTEGER NOT NULL, variant INTEGER NOT NULL,"
    " off_pitch INTEGER NOT NULL, beat_unit INTEGER NOT NULL, tempo_mbpm INTEGER NOT NULL,"
    " target_mbpm INTEGER NOT NULL, mark INTEGER NOT NULL, marked_by INTEGER NOT NULL,"
    " miss_bar INTEGER, clean_in_a_row INTEGER NOT NULL, move INTEGER NOT NULL,"
    " next_mbpm INTEGER NOT NULL, play_ms INTEGER NOT NULL, rest_ms INTEGER NOT NULL,"
    " elapsed_ms INTEGER NOT NULL, PRIMARY KEY (climb, number)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE change (id INTEGER PRIMARY KEY, climb INTEGER NOT NULL,"
    " number INTEGER NOT NULL, kind INTEGER NOT NULL, mark INTEGER NOT NULL,"
    " marked_by INTEGER NOT NULL, miss_bar INTEGER, clean_in_a_row INTEGER NOT NULL,"
    " move INTEGER NOT NULL, next_mbpm INTEGER NOT NULL, rest_ms INTEGER NOT NULL,"
    " elapsed_ms INTEGER NOT NULL, at_s INTEGER NOT NULL,"
    " FOREIGN KEY (climb, number) REFERENCES pass) STRICT;"
    "CREATE INDEX change_of_pass ON change (climb, number);"
    "CREATE TABLE hand (id INTEGER PRIMARY KEY, climb INTEGER NOT NULL REFERENCES climb,"
    " after_pass INTEGER NOT NULL, type INTEGER NOT NULL, stage INTEGER NOT NULL,"
    " rung INTEGER NOT NULL, turn INTEGER NOT NULL, elapsed_ms INTEGER NOT NULL,"
    " played_ms INTEGER NOT NULL) STRICT;"
    "CREATE INDEX hand_of_climb ON hand (climb, after_pass);"
    "CREATE TABLE ended (climb INTEGER PRIMARY KEY REFERENCES climb,"
    " outcome INTEGER NOT NULL) STRICT;";

static const char step_2[] =
    "CREATE TABLE day (passage INTEGER NOT NULL REFERENCES passage, day INTEGER NOT NULL,"
    " first_ns INTEGER NOT NULL, beat_unit INTEGER NOT NULL, target_mbpm INTEGER NOT NULL,"
    " passes INTEGER NOT NULL, clean INTEGER NOT NULL, missed INTEGER NOT NULL,"
    " play_ms INTEGER NOT NULL, best_clean_mbpm INTEGER NOT NULL,"
    " best_won_mbpm INTEGER NOT NULL, first_try INTEGER NOT NULL,"
    " first_at_level INTEGER NOT NULL, ended INTEGER NOT NULL,"
    " PRIMARY KEY (passage, day, beat_unit, target_mbpm)) STRICT, WITHOUT ROWID;";

/* Points of deed to text are not declared, as those of pass. */
static const char step_3[] =
    "CREATE TABLE deed (id INTEGER PRIMARY KEY, player INTEGER NOT NULL REFERENCES player,"
    " routine INTEGER NOT NULL, item INTEGER NOT NULL, kind INTEGER NOT NULL,"
    " time_ns INTEGER NOT NULL, offset_s INTEGER NOT NULL, day INTEGER NOT NULL,"
    " played_ns INTEGER NOT NULL, rested_ns INTEGER NOT NULL) STRICT;"
    "CREATE INDEX deed_by_day ON deed (player, day);";

static int run_step_1(struct passo_log *log)
{
    return sqlite3_exec(log->db, step_1, NULL, NULL, NULL);
}

/* The days of all that is there. */
static int run_step_2(struct passo_log *log)
{
    struct passo_log_wish all = {0};
    struct log_passages passages;
    int rc = sqlite3_exec(log->db, step_2, NULL, NULL, NULL);
    if (rc != SQLITE_OK)
        return rc;
    rc = log_passages_read(log, &all, &passages);
    for (size_t i = 0; i < passages.count && rc == SQLITE_OK; i++)
        rc = log_days_work_out(log, passages.at[i].id, 0, 0);
    log_passages_free(&passages);
    return rc;
}

static int run_step_3(struct passo_log *log)
{
    return sqlite3_exec(log->db, step_3, NULL, NULL, NULL);
}

static int (*const step[LOG_VERSION])(struct passo_log *log) = {run_step_1, run_step_2, run_step_3};

int log_version(struct passo_log *log, int *out_version)
{
    sqlite3_stmt *statement;
    int rc = sqlite3_prepare_v2(log->db, "PRAGMA user_version", -1, &statement, NULL);
    if (rc != SQLITE_OK)
        return rc;
    rc = sqlite3_step(statement);
    *out_version = sqlite3_column_int(statement, 0);
    int end = sqlite3_finalize(statement);
    return rc == SQLITE_ROW ? SQLITE_OK : end;
}

int log_migrate(struct passo_log *log, int to)
{
    char pragmas[96];
    int from = 0;
    int rc = sqlite3_exec(log->db, "BEGIN IMMEDIATE", NULL, NULL, NULL);
    /* Another program may have been faster. */
    if (rc == SQLITE_OK)
        rc = log_version(log, &from);
    for (int version = from; version < to && rc == SQLITE_OK; version++)
        rc = step[version](log);
    snprintf(pragmas, sizeof pragmas, "PRAGMA application_id = %d; PRAGMA user_version = %d",
             LOG_APPLICATION, from < to ? to : from);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(log->db, pragmas, NULL, NULL, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(log->db, "COMMIT", NULL, NULL, NULL);
    return rc == SQLITE_OK ? rc : log_undo(log, rc);
}
