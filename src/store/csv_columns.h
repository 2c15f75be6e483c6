/* The columns of the session CSV and what may stand in them. A private header of the store.
 * Thread: the main thread. */
#ifndef PASSO_STORE_CSV_COLUMNS_H
#define PASSO_STORE_CSV_COLUMNS_H

#include "store/csv_read.h"

/* In the order in which they are written. */
enum csv_column {
    CSV_TIME,
    CSV_PLAYER,
    CSV_SESSION,
    CSV_PASSAGE,
    CSV_PIECE,
    CSV_PASS,
    CSV_PART,
    CSV_LOOP,
    CSV_BARS,
    CSV_VARIANT,
    CSV_BEAT_UNIT,
    CSV_TEMPO,
    CSV_TARGET,
    CSV_MARK,
    CSV_MARKED_BY,
    CSV_MISS_BAR,
    CSV_CLEANS,
    CSV_MOVE,
    CSV_NEXT_TEMPO,
    CSV_PLAY,
    CSV_REST,
    CSV_ELAPSED,
    CSV_COLUMNS
};

/* Where each column stands in the file: index of the cell, or -1. */
struct csv_header {
    int at[CSV_COLUMNS];
    size_t cells;
};

/* Reads the names in a header. False with what is wrong in out_fault. */
bool csv_header_read(const char *const *cell, size_t cells, struct csv_header *out_header,
                     char *out_fault, size_t fault_bytes);
/* Reads the cells of a row. False with what is wrong in out_fault. Texts of the row point into the
 * cells. */
bool csv_row_read(const struct csv_header *header, const char *const *cell,
                  struct passo_row *out_row, char *out_fault, size_t fault_bytes);
/* "beat_unit"; static. */
const char *csv_column_name(enum csv_column column);

#endif
