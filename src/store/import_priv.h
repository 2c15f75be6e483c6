/* The inside of the import. Thread: the main thread. */
#ifndef PASSO_STORE_IMPORT_PRIV_H
#define PASSO_STORE_IMPORT_PRIV_H

#include "store/import.h"
#include "store/csv_line.h"
#include "store/log_priv.h"

/* --- the passages and climbs that the file has named so far (import_climbs.c) --- */

struct import_passage;

struct import_climb {
    struct log_climb log;
    const struct import_passage *passage;
    char *session;
    bool fresh; /* the log did not have it before this file */
};

struct import_climbs {
    struct import_passage **passage; /* open addressing, as climb is */
    size_t passage_slots;
    size_t passages;
    struct import_climb **climb;
    size_t climb_slots;
    size_t climbs;
    struct import_climb *last; /* rows of one session mostly stand together */
};

/* The climb of a row: known, found in the log, or added to it. */
int import_climb_of(struct import_climbs *climbs, struct passo_log *log,
                    const struct passo_row *row, struct import_climb **out_climb);
/* Writes how far the climbs reach. */
int import_climbs_settle(struct import_climbs *climbs, struct passo_log *log);
void import_climbs_deinit(struct import_climbs *climbs);

/* --- one row (import_row.c) --- */

#define IMPORT_WHAT_BYTES 512

struct import_rows {
    struct passo_log *log;
    struct passo_import_result *result;
    struct import_climbs climbs;
    int64_t now_s;
    int rc; /* of SQLite; once it is not SQLITE_OK rows are passed over */
    char what[IMPORT_WHAT_BYTES];
    struct csv_bytes line[2]; /* a pass as the log has it and as the file does */
    char *scratch[2];
    size_t scratch_bytes[2];
};

/* Takes a row in. NULL, or what is wrong with it. */
const char *import_row(struct import_rows *rows, const struct passo_row *row);
/* Frees all but the climbs. */
void import_rows_deinit(struct import_rows *rows);

#endif
