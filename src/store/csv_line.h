/* One row of the session CSV as bytes. A private header of the store. Thread: any. Pure. */
#ifndef PASSO_STORE_CSV_LINE_H
#define PASSO_STORE_CSV_LINE_H

#include "store/csv.h"

/* Bytes that grow. Zero-initialize; free bytes. */
struct csv_bytes {
    char *bytes;
    size_t used;
    size_t room;
};

/* Adds the header, or a row, with its line end. */
void csv_line_header(struct csv_bytes *to);
void csv_line_row(struct csv_bytes *to, const struct passo_row *row);
/* Adds a text as it is. */
void csv_line_text(struct csv_bytes *to, const char *text);
/* Adds a cell, made harmless, and what stands behind it. */
void csv_line_cell(struct csv_bytes *to, const char *text, char behind);
/* Adds a decimal with exactly so many digits behind its point, of a number in units of 10^-digits
 * (at most 9), and what stands behind it. */
void csv_line_decimal(struct csv_bytes *to, int64_t number, int digits, char behind);

#endif
