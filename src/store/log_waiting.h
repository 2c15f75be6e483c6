/* What waits to be written (log_write.c fills it, log_commit.c empties it), and the climbs that
 * this program writes. Thread: one. */
#ifndef PASSO_STORE_LOG_WAITING_H
#define PASSO_STORE_LOG_WAITING_H

#include "store/log_priv.h"

/* Where a climb stands in the file; put back when a transaction is rolled back. */
struct log_place {
    uint64_t file; /* which one (passo_log.file); 0: it is in none yet */
    struct log_climb climb;
    struct log_own_climb *fork; /* takes the passes from this number on: those were taken */
    uint32_t fork_from;
};

struct log_own_climb {
    struct log_own_climb *next;
    int64_t gone_on; /* its id, and nothing else is known; else 0 */
    char *player;
    char *passage;
    char *piece;
    char *setup;
    char *session;
    int64_t began_ns;
    int32_t offset_s;
    bool seen_live;
    bool adopts; /* it may be in the file already, and is that one then */
    struct log_place now;
    struct log_place before; /* this transaction */
};

enum log_waiting_kind {
    LOG_KIND_BEGIN,
    LOG_KIND_PLAYED,
    LOG_KIND_CHANGE,
    LOG_KIND_HAND,
    LOG_KIND_END,
    LOG_KIND_DEED
};

struct log_waiting {
    enum log_waiting_kind kind;
    struct log_own_climb *climb;   /* NULL of a deed */
    struct passo_row row;          /* its texts point into `texts` */
    struct passo_log_day_row deed; /* so do these */
    char *texts;
    struct passo_ladder_event event;
    enum passo_log_change change;
    enum passo_outcome outcome;
    uint32_t after_pass;
    int64_t at_s;
};

struct log_write {
    struct log_own_climb *climbs; /* the latest first */
    struct log_own_climb *current;
    struct log_waiting *waiting;
    size_t count;
    size_t room;
};

/* A climb to be written; the texts are copied. */
struct log_own_climb *log_own_climb_add(struct log_write *write,
                                        const struct passo_log_climb *climb);
/* Learns from the file which climb it is that is gone on with. */
int log_own_climb_know(struct passo_log *log, struct log_own_climb *own);

#endif
