/* Quantiles of Student's t. With the angle whose tangent is t / sqrt(freedom), the probability
 * between -t and t is a finite sum of powers of its cosine (Abramowitz & Stegun 26.7.3 and 26.7.4),
 * exact for every whole number of degrees of freedom; it grows with the angle, so halving finds the
 * angle of a probability to the last bit. Pure; any thread. */
#include "engine/outlook_priv.h"

#include <math.h>

static const double right_angle = 1.57079632679489661923;

/* The probability of lying between the angle and its negative. */
static double within(double angle, size_t freedom)
{
    const double cosine = cos(angle);
    const bool odd = freedom % 2 == 1;
    double term = odd ? cosine : 1;
    double sum = 0;
    for (size_t k = odd ? 3 : 2; k <= freedom; k += 2) {
        sum += term;
        term *= cosine * cosine * (double)(k - 1) / (double)k;
    }
    if (odd)
        return (angle + sin(angle) * sum) / right_angle;
    return sin(angle) * sum;
}

double passo_student_quantile(double share, size_t freedom)
{
    PASSO_BUG_ON(!(share > 0 && share < 1) || freedom < 1);
    const double wanted = fabs(2 * share - 1);
    double low = 0;
    double high = right_angle;
    for (;;) {
        const double middle = low + (high - low) / 2;
        if (middle <= low || middle >= high)
            break;
        if (within(middle, freedom) < wanted)
            low = middle;
        else
            high = middle;
    }
    return copysign(tan(low) * sqrt((double)freedom), share - 0.5);
}
