/* Play and rest in balance: how much of a day was played, how much rested, and when a rest is to be
 * offered. Brass players rest as much as they play (common practice); five minutes off after
 * fifteen of playing (a judgement of the trade). A rest is offered, never forced. Thread: any.
 * Pure. */
#ifndef PASSO_BALANCE_H
#define PASSO_BALANCE_H

#include <stdbool.h>
#include <stdint.h>

#define PASSO_BALANCE_LONG_PLAYED_MS (15 * 60000) /* of weighted playing ... */
#define PASSO_BALANCE_LONG_REST_MS   (5 * 60000)  /* ... earns so much at a stretch */
#define PASSO_BALANCE_RESTED_MS      (2 * 60000)  /* a rest of so much at a stretch begins anew */
#define PASSO_BALANCE_LEAST_MS       15000        /* a smaller debt is not worth a word */
#define PASSO_BALANCE_MOST_MS        90000        /* the most that is offered for a debt */
#define PASSO_STRAIN_USUAL           1000
#define PASSO_STRAIN_HIGH            1500 /* long, high or loud playing weighs half as much again */

/* Zero-initialize: the day begins. */
struct passo_balance {
    int64_t played_ms; /* as it was */
    int64_t rested_ms;
    int64_t weighted_ms;   /* played, by strain */
    int64_t since_long_ms; /* weighted, since the last rest of PASSO_BALANCE_RESTED_MS */
    int64_t high_ms;       /* weighted less played, since then: what strain added */
};

enum passo_rest_why {
    PASSO_REST_NONE, /* nothing is offered */
    PASSO_REST_EVEN, /* more was played than rested */
    PASSO_REST_HIGH, /* the same, and most of it for strain */
    PASSO_REST_LONG, /* fifteen minutes since the last long rest */
    PASSO_REST_WHY_COUNT
};

struct passo_rest_offer {
    enum passo_rest_why why;
    int64_t ms; /* 0 of NONE */
};

/* So much was played, at this strain (permille: USUAL or HIGH), and rested between.
 * Milliseconds are 0 or more here and below. */
void passo_balance_add(struct passo_balance *balance, int64_t played_ms, int64_t rested_ms,
                       int32_t strain_permille);
/* A rest at one stretch, between items; one of RESTED_MS or more begins anew. */
void passo_balance_rest(struct passo_balance *balance, int64_t rested_ms);
/* What would be fair now. LONG before the others; a debt is weighted_ms less rested_ms. */
struct passo_rest_offer passo_balance_offer(const struct passo_balance *balance);
/* Whether a passage's or block's tags speak of strain: "high", "high range", "high register",
 * "loud", "endurance" among them; tags are set apart by ", ". Case does not matter. */
int32_t passo_balance_strain(const char *tags);

#endif
