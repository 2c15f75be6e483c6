/* Exact rationals against those of GMP. */
#include "time_tools.h"

static void set(mpq_t out, struct passo_ratio a)
{
    mpz_set_si(mpq_numref(out), a.num);
    mpz_set_si(mpq_denref(out), a.den);
    mpq_canonicalize(out);
}

static void check_equal(struct passo_ratio ours, const mpq_t theirs)
{
    assert_int_equal(mpz_cmp_si(mpq_numref(theirs), ours.num), 0);
    assert_int_equal(mpz_cmp_si(mpq_denref(theirs), ours.den), 0);
}

static void test_lowest_terms(void **state)
{
    (void)state;
    struct passo_ratio a = passo_ratio(6, -8);
    assert_int_equal(a.num, -3);
    assert_int_equal(a.den, 4);
    a = passo_ratio(0, -5);
    assert_int_equal(a.num, 0);
    assert_int_equal(a.den, 1);
    a = passo_ratio(INT64_MAX, INT64_MAX);
    assert_int_equal(a.num, 1);
    assert_int_equal(a.den, 1);
    a = passo_ratio(INT64_MIN, -2);
    assert_true(a.num == INT64_C(1) << 62);
    assert_int_equal(a.den, 1);
}

static void test_arithmetic_is_gmps(void **state)
{
    (void)state;
    uint64_t seed = 7;
    const int64_t most = (INT64_C(1) << 30) - 1;
    mpq_t x, y, z;
    mpq_inits(x, y, z, NULL);
    for (int i = 0; i < 100000; i++) {
        struct passo_ratio a = passo_ratio(random_between(&seed, -most, most),
                                           random_between(&seed, 1, i % 2 ? most : 64));
        struct passo_ratio b = passo_ratio(random_between(&seed, -most, most),
                                           random_between(&seed, 1, i % 3 ? most : 64));
        set(x, a);
        set(y, b);
        mpq_add(z, x, y);
        check_equal(passo_ratio_add(a, b), z);
        mpq_sub(z, x, y);
        check_equal(passo_ratio_sub(a, b), z);
        mpq_mul(z, x, y);
        check_equal(passo_ratio_mul(a, b), z);
        if (b.num) {
            mpq_div(z, x, y);
            check_equal(passo_ratio_div(a, b), z);
        }
    }
    mpq_clears(x, y, z, NULL);
}

static void test_order_and_floor_over_the_whole_range(void **state)
{
    (void)state;
    uint64_t seed = 8;
    mpq_t x, y;
    mpz_t floor;
    mpq_inits(x, y, NULL);
    mpz_init(floor);
    for (int i = 0; i < 100000; i++) {
        struct passo_ratio a = passo_ratio(random_between(&seed, -INT64_MAX, INT64_MAX),
                                           random_between(&seed, 1, i % 2 ? INT64_MAX : 9));
        /* b lies close to a, so that the comparison needs every bit of the products */
        struct passo_ratio b =
            passo_ratio(a.num > 0 ? a.num - 1 : a.num, a.den > 1 ? a.den - 1 : 1);
        set(x, a);
        set(y, b);
        int order = mpq_cmp(x, y);
        assert_int_equal(passo_ratio_cmp(a, b), (order > 0) - (order < 0));
        assert_int_equal(passo_ratio_cmp(b, a), (order < 0) - (order > 0));
        mpz_fdiv_q(floor, mpq_numref(x), mpq_denref(x));
        assert_int_equal(mpz_cmp_si(floor, passo_ratio_floor(a)), 0);
    }
    mpz_clear(floor);
    mpq_clears(x, y, NULL);
}

static void no_denominator(void)
{
    passo_ratio(1, 0);
}

static void divide_by_zero(void)
{
    passo_ratio_div(ratio(1, 2), ratio(0, 1));
}

static void sum_too_large(void)
{
    passo_ratio_add(ratio(INT64_MAX, 1), ratio(1, 1));
}

static void product_too_fine(void)
{
    passo_ratio_mul(ratio(1, INT64_MAX), ratio(1, 2));
}

static void number_too_low(void)
{
    passo_ratio(INT64_MIN, 1);
}

static void test_what_does_not_fit_stops_the_program(void **state)
{
    (void)state;
    assert_true(stops_the_program(no_denominator));
    assert_true(stops_the_program(divide_by_zero));
    assert_true(stops_the_program(sum_too_large));
    assert_true(stops_the_program(product_too_fine));
    assert_true(stops_the_program(number_too_low));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lowest_terms),
        cmocka_unit_test(test_arithmetic_is_gmps),
        cmocka_unit_test(test_order_and_floor_over_the_whole_range),
        cmocka_unit_test(test_what_does_not_fit_stops_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
