/* What a minute adds to a passage: the slope of its level over the minutes spent on it.
 *
 * Where a passage stood at first is not known beforehand, how steeply it rises is: so the days
 * count by how far they lie from their middle, and the prior as one more slope beside theirs, each
 * weighed by how sure it is. Pure; any thread. */
#include <passo/budget.h>

#include <math.h>

double passo_rate_fit(const struct passo_effort *effort, size_t efforts)
{
    double middle_minutes = 0;
    double middle_level = 0;
    double sxx = 0;
    double sxy = 0;
    for (size_t i = 0; i < efforts; i++) {
        middle_minutes += effort[i].minutes / (double)efforts;
        middle_level += effort[i].level / (double)efforts;
    }
    for (size_t i = 0; i < efforts; i++) {
        const double minutes = effort[i].minutes - middle_minutes;
        sxx += minutes * minutes;
        sxy += minutes * (effort[i].level - middle_level);
    }
    const double sure = 1 / (PASSO_RATE_PRIOR_SD * PASSO_RATE_PRIOR_SD);
    const double scatter = PASSO_LEVEL_SD * PASSO_LEVEL_SD;
    const double rate = (PASSO_RATE_PRIOR * sure + sxy / scatter) / (sure + sxx / scatter);
    return fmin(fmax(rate, PASSO_RATE_LEAST), PASSO_RATE_MOST);
}
