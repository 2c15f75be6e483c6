/* Rows gather in a buffer that is written when it is large. A write that fails ends the reading of
 * the log as well, as of millions of rows there may be many left. Runs on the main thread. */
#include "store/export.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "store/beside.h"
#include "store/csv_line.h"
#include "store/log_priv.h"

enum { BUFFER_BYTES = 1 << 18 };

static const char days_header[] = "date,player,passage,piece,beat_unit,target,first_try,best_clean,"
                                  "level,passes,clean,missed,clean_share,play_min,ended\r\n";

struct exporting {
    struct passo_log *log;
    struct passo_beside to;
    struct csv_bytes waiting;
    uint64_t rows;
    int failed; /* errno of the write that failed; 0: none has */
};

static void flush(struct exporting *exporting)
{
    size_t done = 0;
    while (done < exporting->waiting.used && !exporting->failed) {
        ssize_t wrote = write(exporting->to.file, exporting->waiting.bytes + done,
                              exporting->waiting.used - done);
        if (wrote > 0)
            done += (size_t)wrote;
        else if (wrote < 0 && errno != EINTR)
            exporting->failed = errno;
    }
    exporting->waiting.used = 0;
    if (exporting->failed)
        sqlite3_interrupt(exporting->log->db);
}

static void count_row(struct exporting *exporting)
{
    exporting->rows++;
    if (exporting->waiting.used >= BUFFER_BYTES)
        flush(exporting);
}

static void take_row(void *user, const struct passo_row *row)
{
    struct exporting *exporting = user;
    csv_line_row(&exporting->waiting, row);
    count_row(exporting);
}

/* --- days --- */

static int64_t rounded(int64_t number, int64_t by)
{
    return (number + by / 2) / by;
}

/* 20261124 as 2026-11-24. */
static void put_date(struct csv_bytes *to, int32_t day)
{
    char date[32];
    snprintf(date, sizeof date, "%04d-%02d-%02d,", day / 10000, day / 100 % 100, day % 100);
    csv_line_text(to, date);
}

/* A tempo as short as exact; nothing for none. */
static void put_tempo(struct csv_bytes *to, int32_t mbpm)
{
    int digits = mbpm % 1000 == 0 ? 0 : mbpm % 100 == 0 ? 1 : mbpm % 10 == 0 ? 2 : 3;
    int32_t unit = digits == 0 ? 1000 : digits == 1 ? 100 : digits == 2 ? 10 : 1;
    if (mbpm)
        csv_line_decimal(to, mbpm / unit, digits, ',');
    else
        csv_line_text(to, ",");
}

/* A share in % with one digit behind the point; nothing of nothing. */
static void put_share(struct csv_bytes *to, int64_t part, int64_t whole)
{
    if (part && whole)
        csv_line_decimal(to, rounded(part * 1000, whole), 1, ',');
    else
        csv_line_text(to, whole ? "0.0," : ",");
}

static void take_day(void *user, const struct passo_log_day *day)
{
    struct exporting *exporting = user;
    struct csv_bytes *to = &exporting->waiting;
    bool tried = day->clean || day->missed || day->first_try != PASSO_MARK_NONE;
    put_date(to, day->day);
    csv_line_cell(to, day->player, ',');
    csv_line_cell(to, day->passage, ',');
    csv_line_cell(to, day->piece, ',');
    csv_line_cell(to, day->beat_unit, ',');
    put_tempo(to, day->target_mbpm);
    csv_line_cell(to, tried ? passo_mark_name(day->first_try) : "", ',');
    put_tempo(to, day->best_clean_mbpm);
    put_share(to, day->best_clean_mbpm, day->best_clean_mbpm ? day->target_mbpm : 0);
    csv_line_decimal(to, day->passes, 0, ',');
    csv_line_decimal(to, day->clean, 0, ',');
    csv_line_decimal(to, day->missed, 0, ',');
    put_share(to, day->clean, (int64_t)day->clean + day->missed);
    csv_line_decimal(to, rounded(day->play_ns, INT64_C(6000000000)), 1, ',');
    csv_line_cell(to, passo_move_name(day->ended), '\r');
    csv_line_text(to, "\n");
    count_row(exporting);
}

/* --- */

static enum passo_error read_log(struct exporting *exporting, const struct passo_export *export,
                                 char *out_fault, size_t fault_bytes)
{
    enum passo_error error = PASSO_OK;
    for (size_t i = 0; i < export->wishes && error == PASSO_OK && !exporting->failed; i++) {
        if (export->days)
            error = passo_log_days(exporting->log, &export->wish[i], take_day, exporting, out_fault,
                                   fault_bytes);
        else
            error = passo_log_rows(exporting->log, &export->wish[i], take_row, exporting, out_fault,
                                   fault_bytes);
    }
    return error;
}

static enum passo_error tell_failed(const struct exporting *exporting,
                                    const struct passo_export *export, char *out_fault,
                                    size_t fault_bytes)
{
    bool output = strcmp(export->path, "-") == 0;
    snprintf(out_fault, fault_bytes, "%s cannot be written: %s; %s",
             output ? "standard output" : export->path,
             exporting->failed == EPIPE ? "nobody reads it any more" : strerror(exporting->failed),
             exporting->to.path ? "no file was left" : "what was written is not whole");
    return PASSO_ERR_FILE;
}

enum passo_error passo_log_export(struct passo_log *log, const struct passo_export *export,
                                  uint64_t *out_rows, char *out_fault, size_t fault_bytes)
{
    struct exporting exporting = {.log = log};
    *out_rows = 0;
    if (passo_same_file(export->path, log->path)) {
        snprintf(out_fault, fault_bytes, "%s is the log itself; name another file", export->path);
        return PASSO_ERR_EXISTS;
    }
    enum passo_error error =
        passo_beside_open(&exporting.to, export->path, export->force, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    if (export->days)
        csv_line_text(&exporting.waiting, days_header);
    else
        csv_line_header(&exporting.waiting);
    error = read_log(&exporting, export, out_fault, fault_bytes);
    flush(&exporting);
    if (exporting.failed)
        error = tell_failed(&exporting, export, out_fault, fault_bytes);
    if (error == PASSO_OK)
        error = passo_beside_keep(&exporting.to, out_fault, fault_bytes);
    else
        passo_beside_drop(&exporting.to);
    free(exporting.waiting.bytes);
    *out_rows = exporting.rows;
    return error;
}

enum passo_error passo_log_titles(struct passo_log *log,
                                  void (*take)(void *user, const char *title, const char *piece),
                                  void *user, char *out_fault, size_t fault_bytes)
{
    const struct passo_log_wish all = {0};
    struct log_passages passages = {0};
    enum passo_error error = log_begin_read(log, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    int rc = log_passages_read(log, &all, &passages);
    for (size_t i = 0; i < passages.count && rc == SQLITE_OK; i++)
        take(user, passages.at[i].title, passages.at[i].piece);
    log_passages_free(&passages);
    return log_end_read(log, rc, out_fault, fault_bytes);
}
