/* Ratios to a grain of 2^-28: exact where they fit, else the nearest grain, half up, by GMP. */
#include "time_tools.h"

#include "engine/grain_priv.h"

#define GRAINS (INT64_C(1) << 28)

/* exact is the result, or its nearest grain where its denominator is too fine. */
static void check(struct passo_ratio result, const mpq_t exact)
{
    mpq_t found;
    mpq_init(found);
    mpz_set_si(mpq_numref(found), result.num);
    mpz_set_si(mpq_denref(found), result.den);
    if (mpz_cmp_si(mpq_denref(exact), GRAINS) > 0) {
        mpz_t grains;
        mpz_init(grains);
        rounded(grains, exact, GRAINS);
        assert_int_equal(passo_ratio_cmp(result, ratio(mpz_get_si(grains), GRAINS)), 0);
        mpz_clear(grains);
    } else {
        assert_true(mpq_equal(found, exact));
    }
    mpq_clear(found);
}

static struct passo_ratio draw(uint64_t *seed, int64_t least)
{
    int64_t den =
        random_between(seed, 0, 1) ? random_between(seed, 1, 64) : random_between(seed, 1, GRAINS);
    return ratio(random_between(seed, least, 16 * den), den);
}

static void set(mpq_t out, struct passo_ratio value)
{
    mpq_set_si(out, value.num, (unsigned long)value.den);
}

static void test_drawn_ratios(void **state)
{
    (void)state;
    uint64_t seed = 28;
    mpq_t a, b, exact;
    mpq_inits(a, b, exact, NULL);
    for (int i = 0; i < 20000; i++) {
        struct passo_ratio left = draw(&seed, -GRAINS);
        struct passo_ratio right = draw(&seed, 1);
        set(a, left);
        set(b, right);
        mpq_add(exact, a, b);
        check(grain_add(left, right), exact);
        mpq_sub(exact, a, b);
        check(grain_sub(left, right), exact);
        mpq_mul(exact, a, b);
        check(grain_mul(left, right), exact);
        if (passo_ratio_cmp(right, ratio(1, 16)) < 0)
            continue;
        mpq_div(exact, a, b);
        check(grain_div(left, right), exact);
    }
    mpq_clears(a, b, exact, NULL);
}

static void test_halves_go_up(void **state)
{
    (void)state;
    const struct passo_ratio grain = {1, GRAINS};
    const struct passo_ratio half = {1, 2};
    assert_int_equal(passo_ratio_cmp(grain_mul(grain, half), grain), 0);
    assert_int_equal(grain_mul(ratio(-1, GRAINS), half).num, 0);
    assert_int_equal(passo_ratio_cmp(grain_mul(ratio(-3, GRAINS), half), ratio(-1, GRAINS)), 0);
    assert_int_equal(
        passo_ratio_cmp(grain_scale(ratio(7, 1), ratio(2, 1), ratio(3, 4)), ratio(56, 3)), 0);
    assert_int_equal(passo_ratio_cmp(grain_nearest(.75L), ratio(3, 4)), 0);
    assert_int_equal(passo_ratio_cmp(grain_nearest(1.6L / (long double)GRAINS), ratio(2, GRAINS)),
                     0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drawn_ratios),
        cmocka_unit_test(test_halves_go_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
