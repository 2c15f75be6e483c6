/* Records of an RFC 4180 file: whole rows, quoted line breaks within, and their cells. A private
 * header of the store. Thread: the main thread. */
#ifndef PASSO_STORE_CSV_RECORD_H
#define PASSO_STORE_CSV_RECORD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define CSV_CELLS_MAX 256 /* columns of a row */

enum csv_record_kind {
    CSV_RECORD_ROW,
    CSV_RECORD_END,
    CSV_RECORD_TORN,    /* the file ends in a quoted cell */
    CSV_RECORD_QUOTING, /* something stands behind a closing quote */
    CSV_RECORD_TOO_LONG,
    CSV_RECORD_UNREAD, /* errno says why */
};

/* One record. Valid until the next. */
struct csv_record {
    const char *text; /* as it stands in the file, without its line end */
    size_t bytes;
    uint64_t line;     /* on which it begins, from 1 */
    uint64_t lines;    /* that it spans */
    size_t first_line; /* bytes of the first of them, line end included */
    bool ended;        /* by a line end, not by the file's */
};

/* A file on its way; the room is PASSO_CSV_RECORD_MAX twice and a little. */
struct csv_records {
    int file;
    char *buffer;
    size_t from; /* of what has been read and not yet handed out ... */
    size_t to;   /* ... to here */
    bool at_end; /* nothing more to read */
    uint64_t line;
};

void csv_records_init(struct csv_records *records, int file);
void csv_records_deinit(struct csv_records *records);
/* Back to the beginning of the file. False: errno says why. */
bool csv_records_rewind(struct csv_records *records);
/* The next record. Of one that is no row the first line is passed over and the next record begins
 * behind it, so that a quote that is never closed does not swallow what follows. */
enum csv_record_kind csv_records_next(struct csv_records *records, struct csv_record *out_record);
/* Goes on behind the first line of the record just handed out. */
void csv_records_retry(struct csv_records *records, const struct csv_record *record);
/* The cells of a record without their quotes, each ended by 0, in scratch, which has room for
 * record->bytes + 1. Returns how many there are, which may be more than CSV_CELLS_MAX. */
size_t csv_record_cells(const struct csv_record *record, char *scratch,
                        const char *out_cell[CSV_CELLS_MAX]);

#endif
