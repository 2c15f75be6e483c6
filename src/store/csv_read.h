/* The session CSV read back (csv.h says what is written): RFC 4180 with any line end, quoted cells
 * with line breaks, a byte order mark. The header decides the order of the columns; columns that
 * are not known are passed over, and a header may come again where files were joined. Streams: what
 * is kept is one row and the names of the rows marked `changed`. Thread: the main thread. */
#ifndef PASSO_STORE_CSV_READ_H
#define PASSO_STORE_CSV_READ_H

#include "store/csv.h"

#define PASSO_CSV_RECORD_MAX 65536 /* bytes of one row; a longer one is a fault */
#define PASSO_CSV_FAULTS_MAX 50    /* told one by one */

/* Who takes what is read. */
struct passo_csv_taker {
    void *user;
    /* One row, in the order of the file. A row marked `changed` replaces the earlier rows of the
     * same player, session, passage, piece and pass: those are not handed over. Gives back NULL, or
     * what is wrong with the row in some words, which are then told as a fault. */
    const char *(*row)(void *user, const struct passo_row *row);
    /* A row that cannot be read and was passed over, as one sentence with file and line; after
     * fifty one more that says how many there were besides. It quotes the file: clean it before
     * it is shown. May be NULL. */
    void (*fault)(void *user, const char *sentence);
    /* The rest may be NULL or false. */
    const char *name;   /* what the sentences call the file; NULL: its path */
    const char *player; /* whose the rows are, whatever they say; NULL: as they say */
    bool whole; /* the file counts only as a whole: no sentence says that a row is passed over */
    /* The last line, if it was cut off: no line end stands behind it and it has too few cells or a
     * quote that is never closed. Then it is no fault. NULL: it is told as one. */
    void (*torn)(void *user, uint64_t line);
    /* Asked now and then, with the rows that have been handed over; false breaks the reading off.
     */
    bool (*go_on)(void *user, uint64_t rows);
};

/* Reads a file, twice through. PASSO_ERR_FILE with one sentence in out_fault if it cannot be read
 * or is no ordinary file; PASSO_ERR_SYNTAX likewise if it is no session CSV (empty, without header,
 * a needed column missing). PASSO_ERR_STATE, without a sentence: it was broken off. Rows are handed
 * over only once the header has been read. Blocks: on the disk. */
PASSO_MUST_CHECK enum passo_error passo_csv_read(const char *path,
                                                 const struct passo_csv_taker *taker,
                                                 char *out_fault, size_t fault_bytes);

#endif
