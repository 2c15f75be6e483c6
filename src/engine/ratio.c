/* Exact rationals. Intermediate products are 128 bits wide; a result that does not fit is a bug of
 * the caller, who keeps to the ranges of music. */
#include "engine/ratio_priv.h"

#include <passo/error.h>
#include <passo/ratio.h>

typedef ratio_wide wide;

static wide gcd(wide a, wide b)
{
    if (a < 0)
        a = -a;
    while (b) {
        wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

void ratio_reduce(wide *num, wide *den)
{
    PASSO_BUG_ON(*den == 0);
    wide divisor = gcd(*num, *den);
    if ((*den < 0) != (divisor < 0))
        divisor = -divisor;
    *num /= divisor;
    *den /= divisor;
}

static struct passo_ratio reduced(wide num, wide den)
{
    ratio_reduce(&num, &den);
    PASSO_BUG_ON(num > INT64_MAX || num < -INT64_MAX || den > INT64_MAX);
    return (struct passo_ratio){(int64_t)num, (int64_t)den};
}

struct passo_ratio passo_ratio(int64_t num, int64_t den)
{
    return reduced(num, den);
}

struct passo_ratio passo_ratio_add(struct passo_ratio a, struct passo_ratio b)
{
    return reduced((wide)a.num * b.den + (wide)b.num * a.den, (wide)a.den * b.den);
}

struct passo_ratio passo_ratio_sub(struct passo_ratio a, struct passo_ratio b)
{
    return reduced((wide)a.num * b.den - (wide)b.num * a.den, (wide)a.den * b.den);
}

struct passo_ratio passo_ratio_mul(struct passo_ratio a, struct passo_ratio b)
{
    return reduced((wide)a.num * b.num, (wide)a.den * b.den);
}

struct passo_ratio passo_ratio_div(struct passo_ratio a, struct passo_ratio b)
{
    return reduced((wide)a.num * b.den, (wide)a.den * b.num);
}

int passo_ratio_cmp(struct passo_ratio a, struct passo_ratio b)
{
    wide left = (wide)a.num * b.den;
    wide right = (wide)b.num * a.den;
    return (left > right) - (left < right);
}

int64_t passo_ratio_floor(struct passo_ratio a)
{
    int64_t whole = a.num / a.den;
    return whole - (a.num % a.den < 0);
}
