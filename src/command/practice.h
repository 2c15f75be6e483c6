/* What the log has of passages: how they were practised, where they stand, when they are due, and
 * what a minute adds. For the tables and for the day's plan. Thread: the main thread. */
#ifndef PASSO_COMMAND_PRACTICE_H
#define PASSO_COMMAND_PRACTICE_H

#include <passo/budget.h>
#include <passo/standing.h>
#include "store/log.h"

/* The secure tempo and the rate go by the days so far back from a passage's last: what was long ago
 * says little of it. */
#define PASSO_PRACTICE_DAYS 60
/* A tempo that was clean once is not secure yet: where only that is known, the level is taken to
 * lie so much lower (in the logarithm of the tempo: 5 %). A judgement, not a measurement. */
#define PASSO_PRACTICE_MARGIN 0.05
/* Where only loops were clean, or an octave away, the whole at pitch is taken to lie so much lower
 * still. A judgement. */
#define PASSO_PRACTICE_PARTS 0.05
/* The level of a passage that has no clean pass yet: 70 % of its target. A judgement. */
#define PASSO_PRACTICE_GUESS 0.7

/* Whose practice, and of which days. */
struct passo_practice_wish {
    const char *player; /* exact; NULL: any */
    int32_t from_day;   /* 20261101; 0: from the first */
    int32_t to_day;     /* 0: to today */
    int32_t today;
};

/* A passage that is asked for. Texts are borrowed during the call. */
struct passo_practice_ask {
    const char *title; /* exact, as the piece; NULL: it is passed over, and stays unpractised */
    const char *piece;
    struct passo_ratio beat; /* every tempo is given back in this unit */
    int32_t target_mbpm;     /* 0: none is said */
};

/* What there is of one. */
struct passo_practice {
    uint32_t passes; /* 0: never practised, and due */
    int64_t play_ns;
    int32_t best_mbpm; /* the best rung won; 0: none */
    int32_t last_day;  /* 0: never practised */
    bool due;
    int32_t held_back; /* days from today until it is due; 0: it is */
    struct passo_secure secure;
    /* ln of the secure tempo over the target (FITTED, AT_LEAST and UNDER: its bpm). Where that is
     * not known it is guessed: from the best clean tempo of the whole passage, or if there is none
     * the best rung won, less PASSO_PRACTICE_MARGIN; else PASSO_PRACTICE_GUESS. While the whole
     * was never clean at pitch it is a guess in any case, and lower by PASSO_PRACTICE_PARTS. So too
     * without a target. Finite. */
    double level;
    bool guessed;
    /* What a minute is expected to add to the level (passo_rate_fit()), from the best of each day
     * over today's target: clean of the whole passage, or where no day has that, a rung won. */
    double rate;
    uint32_t rate_days; /* from so many days; under 2 the rate is the prior's */
};

/* Reads the practice of `asks` passages in one moment each of days and of passes; log NULL: there
 * is none. Errors as of passo_log_rows(). Blocks: on the disk. */
PASSO_MUST_CHECK enum passo_error
passo_practice_read(struct passo_log *log, const struct passo_practice_wish *wish,
                    const struct passo_practice_ask *ask, size_t asks,
                    struct passo_practice *out_practice, char *out_fault, size_t fault_bytes);

#endif
