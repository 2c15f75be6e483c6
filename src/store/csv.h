/* The session CSV (design.md section 8): RFC 4180, UTF-8, a header, one row a pass, written and
 * flushed after each pass. Thread: the main thread. */
#ifndef PASSO_STORE_CSV_H
#define PASSO_STORE_CSV_H

#include <passo/ladder.h>
#include <stdio.h>

struct passo_csv; /* opaque: an open CSV */

/* One row. Texts may be anything: they are quoted, and a cell that a spreadsheet would run as a
 * formula is made harmless by a leading apostrophe. */
struct passo_csv_row {
    int64_t time_ns; /* CLOCK_REALTIME of the first count-in of this pass */
    const char *player;
    const char *session;
    const char *passage;
    const char *piece;
    uint32_t pass; /* from 1 */
    enum passo_part part;
    const char *loop;
    const char *bars; /* "33-36" */
    const char *variant;
    const char *beat_unit; /* "dotted quarter" */
    int32_t tempo_mbpm;
    int32_t target_mbpm;
    enum passo_mark mark;
    const char *marked_by; /* "key", "assumed", "changed", or "" */
    int32_t miss_bar;      /* where a miss pressed while playing fell; INT32_MIN: none */
    uint32_t clean_in_a_row;
    enum passo_move move;
    int32_t next_mbpm; /* 0: nothing follows */
    int64_t play_ns;
    int64_t rest_ns;
    int64_t elapsed_ns;
};

/* Opens `path` ("-": standard output) and writes the header. An existing file is refused with
 * PASSO_ERR_EXISTS unless `force`. out_fault gets one sentence. */
PASSO_MUST_CHECK enum passo_error passo_csv_open(const char *path, bool force,
                                                 struct passo_csv **out_csv, char *out_fault,
                                                 size_t fault_bytes);
/* Writes one row and flushes it. PASSO_ERR_FILE (disk full, pipe closed): the row is kept in
 * memory and written, with those behind it and in order, by the next call that succeeds. */
PASSO_MUST_CHECK enum passo_error passo_csv_write(struct passo_csv *csv,
                                                  const struct passo_csv_row *row);
/* Tries once more to write what waits, then closes and frees. PASSO_ERR_FILE if rows were lost;
 * NULL is fine. */
enum passo_error passo_csv_close(struct passo_csv *csv);

/* One CSV cell of `text` for RFC 4180, made harmless; returns out. Exposed for export. */
const char *passo_csv_cell(const char *text, char *out, size_t bytes);

#endif
