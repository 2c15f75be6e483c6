/* The rate of a passage by hand, and against a posterior summed up on a grid. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <passo/budget.h>
#include <passo/random.h>

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

/* 0 and 40 minutes at -0.3 and 0.1: Sxx 800, Sxy 8; (5000/9 + 3200) / (1000000/9 + 320000). */
static void a_rate_by_hand(void **unused)
{
    (void)unused;
    const struct passo_effort effort[] = {{0, -.3}, {40, .1}};
    near(passo_rate_fit(effort, 2), 33800.0 / 3880000.0, 1e-15);
    /* Where on the line the minutes and the levels lie makes no difference. */
    const struct passo_effort moved[] = {{1000, 2.7}, {1040, 3.1}};
    near(passo_rate_fit(moved, 2), 33800.0 / 3880000.0, 1e-12);
}

static void without_days_the_prior(void **unused)
{
    (void)unused;
    const struct passo_effort effort[] = {{30, -.3}, {30, .4}, {30, -1}};
    near(passo_rate_fit(NULL, 0), PASSO_RATE_PRIOR, 1e-15);
    near(passo_rate_fit(effort, 1), PASSO_RATE_PRIOR, 1e-15);
    /* No more is known where no minute lies between the days. */
    near(passo_rate_fit(effort, 3), PASSO_RATE_PRIOR, 1e-15);
}

static void a_rate_is_told_within_bounds(void **unused)
{
    (void)unused;
    const struct passo_effort falls[] = {{0, .5}, {50, 0}, {100, -.5}};
    const struct passo_effort soars[] = {{0, -3}, {50, 0}, {100, 3}};
    near(passo_rate_fit(falls, 3), PASSO_RATE_LEAST, 0);
    near(passo_rate_fit(soars, 3), PASSO_RATE_MOST, 0);
}

/* The mean of the rate a posteriori, summed up over a grid of starting levels (all alike
 * beforehand) and rates (normal beforehand): no formula of a regression is in it. The steps are
 * under the scatter of either, given the other, of up to 8 days within 100 minutes. */
static double rate_on_a_grid(const struct passo_effort *effort, size_t efforts)
{
    double weight = 0;
    double sum = 0;
    for (double rate = -.025; rate < .035; rate += 1e-4) {
        const double off = (rate - PASSO_RATE_PRIOR) / PASSO_RATE_PRIOR_SD;
        for (double start = -3; start < 3; start += .01) {
            double squares = off * off;
            for (size_t i = 0; i < efforts; i++) {
                const double miss = effort[i].level - start - rate * effort[i].minutes;
                squares += miss * miss / (PASSO_LEVEL_SD * PASSO_LEVEL_SD);
            }
            weight += exp(-squares / 2);
            sum += exp(-squares / 2) * rate;
        }
    }
    return sum / weight;
}

static void rates_are_the_posterior_mean(void **unused)
{
    (void)unused;
    struct passo_random random;
    size_t inside = 0;
    passo_random_seed(&random, 7);
    for (int i = 0; i < 12; i++) {
        struct passo_effort effort[8];
        const size_t efforts = 2 + passo_random_below(&random, 7);
        const double slope = .002 + .012 * passo_random_unit(&random);
        for (size_t at = 0; at < efforts; at++) {
            effort[at].minutes = 100 * passo_random_unit(&random);
            effort[at].level = -.5 + slope * effort[at].minutes +
                               .1 * (passo_random_unit(&random) + passo_random_unit(&random) - 1);
        }
        const double mean = rate_on_a_grid(effort, efforts);
        near(passo_rate_fit(effort, efforts), fmin(fmax(mean, PASSO_RATE_LEAST), PASSO_RATE_MOST),
             1e-9);
        inside += mean > PASSO_RATE_LEAST && mean < PASSO_RATE_MOST;
    }
    assert_true(inside >= 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rate_by_hand),
        cmocka_unit_test(without_days_the_prior),
        cmocka_unit_test(a_rate_is_told_within_bounds),
        cmocka_unit_test(rates_are_the_posterior_mean),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
