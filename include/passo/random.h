/* A small seeded generator (xoshiro256**, seeded by splitmix64): the same seed gives the same
 * numbers on every machine. For the simulated player, drawn orders and tests; not for secrets.
 * Thread: any, one at a time for one generator. No allocation, no clock. */
#ifndef PASSO_RANDOM_H
#define PASSO_RANDOM_H

#include <stdint.h>

struct passo_random {
    uint64_t word[4]; /* never all zero once seeded */
};

/* The next word of a splitmix64 stream whose state is *state. */
uint64_t passo_random_mix(uint64_t *state);
/* Starts the stream of a seed; every seed is fine. */
void passo_random_seed(struct passo_random *random, uint64_t seed);
/* 64 random bits. */
uint64_t passo_random_next(struct passo_random *random);
/* 0 to bound - 1, each equally likely. bound > 0 (0 is a bug and stops the program). */
uint32_t passo_random_below(struct passo_random *random, uint32_t bound);
/* A multiple of 2^-53 in [0, 1). */
double passo_random_unit(struct passo_random *random);

#endif
