/* Where an earlier day lets today's climb open: one of `--after LOG`, or of the record. Thread: the
 * main thread. */
#ifndef PASSO_COMMAND_AFTER_H
#define PASSO_COMMAND_AFTER_H

#include "store/past.h"
#include "text/setup.h"

struct passo_after {
    const char *log;          /* path of a session CSV; NULL: the record */
    struct passo_log *record; /* borrowed */
    const char *player;       /* of a CSV "" is any; of the record the one without a name */
    int32_t today;            /* 20261124: the local day */
    /* Of a visit, how many passes it has room for; 0: a climb. After a day without a clean pass a
     * visit opens at 85 % of the best tempo won, a climb at its start. With room for fewer than
     * three passes it opens where the last one ended, or it would never get on. */
    int visit_passes;
};

/* Reads the log and lets every stage of a resolved setup open by it; one sentence on what was taken
 * from it goes to out_words ("" of a record that has no pass yet: a first day is nothing to tell),
 * and what it says to out_log (NULL: not wanted; else free it with passo_past_deinit(), also after
 * a fault). A log that cannot be read is added to the faults; rows that had to be passed over are
 * told at once. Blocks: on the disk. */
void passo_after_read(const struct passo_after *after, struct passo_setup *setup, char *out_words,
                      size_t bytes, struct passo_past_log *out_log, struct passo_faults *faults);

#endif
