/* Session CSVs into the log, and the log out as one. Thread: the main thread. Blocks: on the disk.
 */
#ifndef PASSO_STORE_IMPORT_H
#define PASSO_STORE_IMPORT_H

#include "store/csv_read.h"
#include "store/log.h"

struct passo_import {
    const char *path;
    const char *player; /* whose passes they are, whatever the rows say; NULL: as they say */
    void *user;
    void (*fault)(void *user, const char *sentence); /* as passo_csv_taker's; quotes the file */
};

struct passo_import_result {
    uint64_t passes; /* in the file */
    uint64_t added;
    uint64_t corrected; /* were there, and the file has a later mark for them */
    uint64_t known;     /* were there as they are */
    uint64_t nameless;  /* named no player, and none was given */
    uint64_t torn_line; /* the last line, if it was cut off and left out; 0: none was */
};

/* Takes a file in, all of it or nothing: with any fault but a torn last line nothing is added and
 * every fault is told with its row and column. What is there already is not added again. A pass
 * that is there differently is a fault, unless its row is marked `changed` or the log has it with
 * its window open. A file without a row still makes its `player` known. PASSO_ERR_SYNTAX: faults
 * were told, or no session CSV (out_fault); PASSO_ERR_FILE: file or log, in out_fault. */
PASSO_MUST_CHECK enum passo_error passo_log_import(struct passo_log *log,
                                                   const struct passo_import *import,
                                                   struct passo_import_result *out_result,
                                                   char *out_fault, size_t fault_bytes);

#endif
