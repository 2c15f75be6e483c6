/* A day: blocks, visits and checks one after the other, through the one conductor, on one stream
 * of sound. Between two of them the next is announced, a rest is offered where it is due, and the
 * player may skip, put off, pause or stop. Thread: the main thread. */
#ifndef PASSO_SESSION_DAY_H
#define PASSO_SESSION_DAY_H

#include <passo/balance.h>
#include "session/climb.h"

/* One item. Texts are borrowed. */
struct passo_day_item {
    const char *line;   /* of the list: "flow study · D-flat major" */
    const char *why;    /* why it stands here, or gets its minutes; "" */
    const char *prompt; /* what comes, as one sentence, before it: "Visit: ... " */
    int64_t ms;         /* as planned */
    int32_t prepare_ms; /* before its count-in, to read the prompt and turn the page; 0: none */
    int32_t strain_permille; /* PASSO_STRAIN_...; 0: it is neither played nor rested (breathing) */
    bool visit;
    bool block;
    bool over;    /* done or skipped earlier today */
    bool skipped; /* then: skipped */
    bool put_off; /* put off earlier today: it comes last, and is put off no more */
};

enum passo_day_doing {
    PASSO_DOING_BEGAN,
    PASSO_DOING_DONE,
    PASSO_DOING_SKIPPED,
    PASSO_DOING_PUT_OFF,
    PASSO_DOING_STOPPED, /* the day was left in the middle of it */
    PASSO_DOING_COUNT
};

struct passo_day_setup {
    struct passo_climb_setup
        base;           /* output, device, view, marker, wall_ns; what ready() begins with */
    const char *sounds; /* click set of the day; "" built in */
    const char *title;
    const struct passo_day_item *item;
    size_t items;
    bool asks;                    /* the list is shown first, until a key */
    bool offers_rest;             /* by the balance, between items */
    bool goes_on;                 /* what is left of it can be played later the same day */
    struct passo_balance balance; /* of earlier today */
    const char *goodbye;          /* the last sentence when all was played; "" none */
    const char *goodbye_missed;   /* ... where a check had a miss; NULL: the same */
    void *user;
    /* Fills *run for an item: its setup, csv, log and words; what it needs lives until over().
     * False: it cannot be played; out_why is a clause, it is said and the item is skipped. */
    bool (*ready)(void *user, size_t item, struct passo_climb_setup *run, char *out_why,
                  size_t bytes);
    /* What became of an item; result is NULL of BEGAN, and of what was skipped or put off before it
     * began. wall_ns: when. */
    void (*over)(void *user, size_t item, enum passo_day_doing doing,
                 const struct passo_climb_result *result, int64_t wall_ns);
};

struct passo_day_result {
    bool finished; /* every item was done or skipped */
    bool cut_short;
    size_t done;
    size_t skipped;
    size_t left; /* of finished: 0 */
    bool csv_failed;
    struct passo_balance balance;
    char words[PASSO_WORDS_BYTES]; /* the day as one or two sentences */
};

/* Runs what is left of the day. PASSO_ERR_... as passo_climb_run(), when not even a clock starts.
 */
PASSO_MUST_CHECK enum passo_error passo_day_run(const struct passo_day_setup *setup,
                                                struct passo_day_result *out_result,
                                                char *out_fault, size_t fault_bytes);

#endif
