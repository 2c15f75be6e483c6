/* A session CSV becomes one transaction: the reader hands over row by row, each is looked up and
 * added, and only a file without a fault is committed. What is told on the way is told by the
 * reader, in the words of import_row.c. Runs on the main thread. */
#include "store/import_priv.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

enum { WAIT_MS = 60000, CACHE_KIB = 65536, OPCODES = 100000 };

struct importing {
    const struct passo_import *import;
    struct import_rows rows;
    uint64_t faults;
    bool broken_off;
};

static int64_t now_ms(clockid_t clock)
{
    struct timespec now;
    clock_gettime(clock, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static bool goes_on(struct importing *importing)
{
    const struct passo_import *import = importing->import;
    if (import->go_on && !import->go_on(import->user, importing->rows.result->passes))
        importing->broken_off = true;
    return !importing->broken_off;
}

/* --- for the reader --- */

static const char *take_row(void *user, const struct passo_row *row)
{
    struct importing *importing = user;
    return import_row(&importing->rows, row);
}

static void take_fault(void *user, const char *sentence)
{
    struct importing *importing = user;
    importing->faults++;
    importing->import->fault(importing->import->user, sentence);
}

static void take_torn(void *user, uint64_t line)
{
    struct importing *importing = user;
    importing->rows.result->torn_line = line;
}

static bool reader_goes_on(void *user, uint64_t rows)
{
    struct importing *importing = user;
    (void)rows;
    return importing->rows.rc == SQLITE_OK && goes_on(importing);
}

/* For SQLite, which works on its own at the end: not 0 ends it. */
static int sqlite_ends(void *user)
{
    return !goes_on(user);
}

/* --- the transaction --- */

static bool is_busy(const struct passo_log *log)
{
    return !strcmp(passo_log_why(log), log_refusal(SQLITE_BUSY).why);
}

/* Begins; another program that writes is given a minute, if this is not broken off. */
static bool begin(struct passo_log *log, struct importing *importing)
{
    const struct passo_import *import = importing->import;
    int64_t until_ms = now_ms(CLOCK_MONOTONIC) + WAIT_MS;
    bool told = false;
    while (!log_begin_work(log)) {
        if (!is_busy(log) || now_ms(CLOCK_MONOTONIC) >= until_ms || !goes_on(importing))
            return false;
        if (!told && import->busy)
            import->busy(import->user);
        told = true;
    }
    return true;
}

/* Why the log could not be written, as a sentence. */
static enum passo_error refuse(const struct passo_log *log, struct passo_import_result *result,
                               char *out_fault, size_t fault_bytes)
{
    result->by_log = true;
    snprintf(out_fault, fault_bytes, "%s: %s%s", log->path, passo_log_why(log),
             is_busy(log) ? "; try again when it is done" : "; nothing was taken in");
    return PASSO_ERR_FILE;
}

/* All that is between the beginning and the end of the transaction. */
static enum passo_error read_file(struct importing *importing, char *out_fault, size_t fault_bytes)
{
    const struct passo_import *import = importing->import;
    struct import_rows *rows = &importing->rows;
    const struct passo_csv_taker taker = {.user = importing,
                                          .row = take_row,
                                          .fault = take_fault,
                                          .name = import->name,
                                          .player = import->player,
                                          .whole = true,
                                          .torn = take_torn,
                                          .go_on = reader_goes_on};
    int64_t player;
    if (import->player)
        rows->rc = log_player(rows->log, import->player, &player);
    enum passo_error error = passo_csv_read(import->path, &taker, out_fault, fault_bytes);
    if (rows->rc == SQLITE_OK && error == PASSO_OK)
        rows->rc = import_climbs_settle(&rows->climbs, rows->log);
    /* A row that the log could not take ends the reading: that is the log's fault. */
    return rows->rc == SQLITE_OK && error == PASSO_OK && importing->faults ? PASSO_ERR_SYNTAX
                                                                           : error;
}

/* Ends what was begun: all of it or nothing. */
static enum passo_error end(struct passo_log *log, struct importing *importing,
                            enum passo_error error, char *out_fault, size_t fault_bytes)
{
    int rc = importing->rows.rc;
    if (rc == SQLITE_OK && error != PASSO_OK) {
        log_undo(log, SQLITE_OK);
        return error;
    }
    if (rc == SQLITE_OK)
        sqlite3_progress_handler(log->db, OPCODES, sqlite_ends, importing);
    bool done = log_end_work(log, rc);
    sqlite3_progress_handler(log->db, 0, NULL, NULL);
    if (done)
        return PASSO_OK;
    return importing->broken_off ? PASSO_ERR_STATE
                                 : refuse(log, importing->rows.result, out_fault, fault_bytes);
}

enum passo_error passo_log_import(struct passo_log *log, const struct passo_import *import,
                                  struct passo_import_result *out_result, char *out_fault,
                                  size_t fault_bytes)
{
    char cache[40];
    struct importing importing = {
        .import = import,
        .rows = {.log = log, .result = out_result, .now_s = now_ms(CLOCK_REALTIME) / 1000}};
    *out_result = (struct passo_import_result){0};
    if (fault_bytes)
        out_fault[0] = '\0';
    if (!begin(log, &importing))
        return importing.broken_off ? PASSO_ERR_STATE
                                    : refuse(log, out_result, out_fault, fault_bytes);
    snprintf(cache, sizeof cache, "PRAGMA cache_size = -%d", CACHE_KIB);
    sqlite3_exec(log->db, cache, NULL, NULL, NULL);
    enum passo_error error = read_file(&importing, out_fault, fault_bytes);
    error = end(log, &importing, error, out_fault, fault_bytes);
    import_climbs_deinit(&importing.rows.climbs);
    import_rows_deinit(&importing.rows);
    return error;
}
