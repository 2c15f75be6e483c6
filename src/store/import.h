/* Session CSVs into the log. Thread: the main thread. Blocks: on the disk.
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
    const char *name; /* what the sentences call the file; NULL: its path */
    /* Both may be NULL. Another program is writing to the log: a minute is waited for it. Told
     * once. */
    void (*busy)(void *user);
    /* Asked a few times a second, with the passes that were read; false breaks the import off. */
    bool (*go_on)(void *user, uint64_t passes);
};

struct passo_import_result {
    uint64_t passes; /* in the file */
    uint64_t added;
    uint64_t corrected; /* were there, and the file has a later mark for them */
    uint64_t known;     /* were there as they are */
    uint64_t nameless;  /* named no player, and none was given */
    uint64_t torn_line; /* the last line, if it was cut off and left out; 0: none was */
    bool by_log;        /* of PASSO_ERR_FILE: it was the log, not the file */
};

/* Takes a file in, all of it or nothing: with any fault but a torn last line nothing is added and
 * every fault is told with its row and column. What is there already is not added again. A pass
 * that is there differently is a fault, unless its row is marked `changed` (then it is corrected),
 * the log's is (then that correction holds), or the log has it with its window open (then it is
 * completed). A file without a row still makes its `player` known. PASSO_ERR_SYNTAX: faults
 * were told, or no session CSV (out_fault); PASSO_ERR_FILE: file or log, in out_fault;
 * PASSO_ERR_STATE: it was broken off. After an error nothing has been added. Memory does not grow
 * with the file, but with the sessions and texts in it. */
PASSO_MUST_CHECK enum passo_error passo_log_import(struct passo_log *log,
                                                   const struct passo_import *import,
                                                   struct passo_import_result *out_result,
                                                   char *out_fault, size_t fault_bytes);

#endif
