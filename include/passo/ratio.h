/* Exact rationals: every musical length and place is one, in whole notes. No float holds a
 * musical time. Thread: any; nothing here allocates or fails silently. */
#ifndef PASSO_RATIO_H
#define PASSO_RATIO_H

#include <stdbool.h>
#include <stdint.h>

/* num/den in lowest terms, den > 0. */
struct passo_ratio {
    int64_t num;
    int64_t den;
};

/* Lowest terms of num/den. den must not be 0 (a bug stops the program). */
struct passo_ratio passo_ratio(int64_t num, int64_t den);
/* Sum, difference, product, quotient, exact. A result that does not fit 63 bits, or a division by
 * 0, is a bug and stops the program: callers keep to the documented ranges of music. */
struct passo_ratio passo_ratio_add(struct passo_ratio a, struct passo_ratio b);
struct passo_ratio passo_ratio_sub(struct passo_ratio a, struct passo_ratio b);
struct passo_ratio passo_ratio_mul(struct passo_ratio a, struct passo_ratio b);
struct passo_ratio passo_ratio_div(struct passo_ratio a, struct passo_ratio b);
/* -1, 0 or 1 as a is less than, equal to or greater than b. */
int passo_ratio_cmp(struct passo_ratio a, struct passo_ratio b);
/* Largest whole number that is not above a. */
int64_t passo_ratio_floor(struct passo_ratio a);

#endif
