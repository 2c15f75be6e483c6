/* Ratios to a grain: every operation works in 128 bits, reduces, and rounds only if the reduced
 * denominator is over 2^28. Thread: any; nothing allocates. */
#include "grain_priv.h"
#include "ratio_priv.h"

#include <math.h>
#include <passo/error.h>

typedef ratio_wide wide;

#define GRAINS ((int64_t)1 << 28) /* in a whole note */

/* num / den. |num| < 2^98 leaves room for num * 2^29 below. */
static struct passo_ratio grained(wide num, wide den)
{
    ratio_reduce(&num, &den);
    if (den <= GRAINS)
        return passo_ratio((int64_t)num, (int64_t)den);
    wide twice = 2 * num * GRAINS + den;
    wide grains = twice / (2 * den);
    grains -= twice % (2 * den) < 0;
    return passo_ratio((int64_t)grains, GRAINS);
}

struct passo_ratio grain_add(struct passo_ratio a, struct passo_ratio b)
{
    return grained((wide)a.num * b.den + (wide)b.num * a.den, (wide)a.den * b.den);
}

struct passo_ratio grain_sub(struct passo_ratio a, struct passo_ratio b)
{
    return grained((wide)a.num * b.den - (wide)b.num * a.den, (wide)a.den * b.den);
}

struct passo_ratio grain_mul(struct passo_ratio a, struct passo_ratio b)
{
    return grain_scale(a, b, (struct passo_ratio){1, 1});
}

struct passo_ratio grain_div(struct passo_ratio a, struct passo_ratio b)
{
    return grain_scale(a, (struct passo_ratio){1, 1}, b);
}

/* length.num < 2^(20 + 28), times.num and share.den each < 2^32 at a value of at most 16 and
 * 2^28: the numerator is < 2^(48 + 20 + 28) = 2^96 with times.num < 2^20 (a written share) and
 * share.den <= 2^28 (a tempo in force); the denominator is < 2^(28 + 20 + 32). */
struct passo_ratio grain_scale(struct passo_ratio length, struct passo_ratio times,
                               struct passo_ratio share)
{
    return grained((wide)length.num * times.num * share.den,
                   (wide)length.den * times.den * share.num);
}

struct passo_ratio grain_nearest(long double whole_notes)
{
    return passo_ratio(llroundl(whole_notes * (long double)GRAINS), GRAINS);
}
