/* The session CSV (design.md section 8): RFC 4180, UTF-8, a header, one row a pass, written and
 * flushed after each pass. Thread: the main thread. */
#ifndef PASSO_STORE_CSV_H
#define PASSO_STORE_CSV_H

#include <stddef.h>
#include "store/row.h"

struct passo_csv; /* opaque: an open CSV */

/* Opens `path` ("-": standard output) and writes the header. An existing file is refused with
 * PASSO_ERR_EXISTS unless `force`. out_fault gets one sentence. */
PASSO_MUST_CHECK enum passo_error passo_csv_open(const char *path, bool force,
                                                 struct passo_csv **out_csv, char *out_fault,
                                                 size_t fault_bytes);
/* Writes one row and flushes it; a cell that a spreadsheet would run as a formula is made harmless
 * by a leading apostrophe. PASSO_ERR_FILE (disk full, pipe closed): the row is kept in
 * memory and written, with those behind it and in order, by the next call that succeeds. */
PASSO_MUST_CHECK enum passo_error passo_csv_write(struct passo_csv *csv,
                                                  const struct passo_row *row);
/* Tries once more to write what waits, then closes and frees. PASSO_ERR_FILE if rows were lost;
 * NULL is fine. */
enum passo_error passo_csv_close(struct passo_csv *csv);

/* One CSV cell of `text` for RFC 4180, made harmless; returns out. Exposed for export. */
const char *passo_csv_cell(const char *text, char *out, size_t bytes);

#endif
