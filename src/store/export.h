/* The log out as CSV: a row a pass (csv.h), which import.h reads back, or a row a passage and day.
 * Thread: the main thread. Blocks: on the disk. */
#ifndef PASSO_STORE_EXPORT_H
#define PASSO_STORE_EXPORT_H

#include "store/log.h"

struct passo_export {
    const char *path; /* as beside.h takes it */
    bool force;       /* over a file that is there */
    bool days;        /* date,player,passage,piece,beat_unit,target,first_try,best_clean,level,
                         passes,clean,missed,clean_share,play_min,ended: level in % of the target, the
                         share in % of the passes that were clean or missed */
    const struct passo_log_wish *wish; /* one behind the other */
    size_t wishes;
};

/* Writes the file whole, or leaves none. PASSO_ERR_EXISTS: there is a file, or it is the log;
 * PASSO_ERR_FILE: the file or the log; PASSO_ERR_SYNTAX: the log; each with one sentence. */
PASSO_MUST_CHECK enum passo_error passo_log_export(struct passo_log *log,
                                                   const struct passo_export *export,
                                                   uint64_t *out_rows, char *out_fault,
                                                   size_t fault_bytes);

/* Every title and piece in the log that any player has, each once for each of them. Texts are valid
 * during the call. */
PASSO_MUST_CHECK enum passo_error passo_log_titles(struct passo_log *log,
                                                   void (*take)(void *user, const char *title,
                                                                const char *piece),
                                                   void *user, char *out_fault, size_t fault_bytes);

#endif
