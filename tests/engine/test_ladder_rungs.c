/* The rungs (design.md section 5, fine print 1), against hand-made lists, trade.md's own and exact
 * integers of GMP. */
#include "engine/ladder_play.h"

#include <gmp.h>

#include <passo/random.h>

static struct passo_ladder ladder;

static void make(const struct passo_rule *rule)
{
    char fault[256];
    if (passo_ladder_init(&ladder, rule, 1, fault, sizeof fault))
        fail_msg("rule refused: %s", fault);
}

static void expect_rungs(const struct passo_rule *rule, const char *rungs)
{
    char line[16384] = "";
    make(rule);
    for (size_t i = 0; i < ladder.rungs; i++)
        snprintf(line + strlen(line), sizeof line - strlen(line), "%s%.7g", i ? " " : "",
                 ladder.rung_mbpm[i] / 1000.0);
    assert_string_equal(line, rungs);
}

static struct passo_rule stepped(enum passo_steps steps, int32_t start_mbpm, int32_t target_mbpm,
                                 int32_t permille)
{
    struct passo_rule rule = passo_rule_default();
    rule.start_mbpm = start_mbpm;
    rule.target_mbpm = target_mbpm;
    rule.steps = steps;
    rule.step_permille = permille;
    return rule;
}

static void start_default_is_60_percent_to_a_hundredth(void **unused)
{
    (void)unused;
    struct passo_rule rule = passo_rule_default();
    rule.target_mbpm = 96000;
    expect_rungs(&rule, "57.6 61.6 65.6 69.6 73.6 77.6 81.6 85.6 89.6 93.6 96");
    rule.start_permille = 1000;
    rule.target_mbpm = 96600;
    expect_rungs(&rule, "96.6");
    rule.start_permille = 600;
    rule.target_mbpm = 7000;
    expect_rungs(&rule, "5 7"); /* 4.2 is too slow to play */
}

static void bpm(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_BPM, 60000, 75000, 0);
    expect_rungs(&rule, "60 64 68 72 75");
    rule.step_mbpm = 2500;
    expect_rungs(&rule, "60 62.5 65 67.5 70 72.5 75");
}

static void percent(void **unused)
{
    (void)unused;
    /* trade.md session 4; 239.08 is within 1 % of the target */
    struct passo_rule rule = stepped(PASSO_STEPS_PERCENT, 150000, 240000, 60);
    expect_rungs(&rule, "150 159 168.54 178.65 189.37 200.73 212.78 225.54 240");
    /* 50 x 1.05^2 is 55.125: half up */
    rule = stepped(PASSO_STEPS_PERCENT, 50000, 65000, 50);
    expect_rungs(&rule, "50 52.5 55.13 57.88 60.78 63.81 65");
}

static void points(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_POINTS, 57600, 96000, 100);
    expect_rungs(&rule, "57.6 67.2 76.8 86.4 96");
    /* 40 + 6.665 is half up; 40 + 2 x 6.665 is exact, not 46.67 + 6.665 */
    rule = stepped(PASSO_STEPS_POINTS, 40000, 66650, 100);
    expect_rungs(&rule, "40 46.67 53.33 60 66.65");
}

static void equal_ratios(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_RUNGS, 60000, 120000, 0);
    rule.step_rungs = 8;
    /* 60 x 2^(k/7) */
    expect_rungs(&rule, "60 66.25 73.14 80.75 89.16 98.44 108.69 120");
    rule.step_rungs = 2;
    expect_rungs(&rule, "60 120");
    /* the root is exactly half a hundredth: sqrt(9.375 x 36.015) = 18.375; the start is rounded
     * like every rung below the target */
    rule = stepped(PASSO_STEPS_RUNGS, 9375, 36015, 0);
    rule.step_rungs = 3;
    expect_rungs(&rule, "9.38 18.38 36.015");
}

static void marks(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_MARKS, 61000, 95000, 0);
    expect_rungs(&rule, "61 63 66 69 72 76 80 84 88 92 95");
    /* references.md 4.1: 39 marks from 40 to 208 */
    rule = stepped(PASSO_STEPS_MARKS, 40000, 208000, 0);
    expect_rungs(&rule, "40 42 44 46 48 50 52 54 56 58 60 63 66 69 72 76 80 84 88 92 96 100 104 "
                        "108 112 116 120 126 132 138 144 152 160 168 176 184 192 200 208");
    assert_int_equal(ladder.rungs, 39);
}

static void quarter_of_the_rest(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_REST, 70000, 120000, 250);
    expect_rungs(&rule, "70 82 91 98 103 107 110 112 114 116 118 120"); /* trade.md R6 */
    rule = stepped(PASSO_STEPS_REST, 70500, 80000, 250);
    expect_rungs(&rule, "70.5 72.5 74.5 76.5 78.5 80");
}

static void list(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_LIST, 0, 0, 0);
    const int32_t tempos[] = {80000, 88000, 96125};
    memcpy(rule.list_mbpm, tempos, sizeof tempos);
    rule.list_count = 3;
    expect_rungs(&rule, "80 88 96.125");
    assert_int_equal(ladder.rule.start_mbpm, 80000);
    assert_int_equal(ladder.rule.target_mbpm, 96125);
    rule.list_count = 1;
    expect_rungs(&rule, "80");
}

static void within_1_percent_is_left_out_but_not_the_start(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_BPM, 60000, 100000, 0);
    rule.step_mbpm = 39000;
    expect_rungs(&rule, "60 100"); /* 99 is exactly 1 % under */
    rule.step_mbpm = 38999;
    expect_rungs(&rule, "60 98.999 100");
    rule.start_mbpm = 99500;
    rule.step_mbpm = 100;
    expect_rungs(&rule, "99.5 100");
}

static void start_at_the_target_is_one_rung(void **unused)
{
    (void)unused;
    for (int steps = 0; steps < PASSO_STEPS_LIST; steps++) {
        struct passo_rule rule = stepped((enum passo_steps)steps, 100000, 100000, 100);
        rule.step_rungs = 8;
        expect_rungs(&rule, "100");
    }
}

static void up_to_1024_rungs(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_BPM, 5000, 1000000, 0);
    rule.step_mbpm = 963; /* step 1023 is within 1 % of the target */
    make(&rule);
    assert_int_equal(ladder.rungs, PASSO_RUNGS_MAX);
    rule.step_mbpm = 962;
    assert_int_equal(passo_ladder_init(&ladder, &rule, 1, NULL, 0), PASSO_ERR_RANGE);
    rule = stepped(PASSO_STEPS_RUNGS, 5000, 1000000, 0);
    rule.step_rungs = PASSO_RUNGS_MAX;
    make(&rule);
    assert_true(ladder.rungs < PASSO_RUNGS_MAX && ladder.rungs > PASSO_RUNGS_MAX / 2);
    rule = stepped(PASSO_STEPS_LIST, 0, 0, 0);
    for (int i = 0; i + 1 < PASSO_RUNGS_MAX; i++)
        rule.list_mbpm[i] = 5000 + 900 * i;
    rule.list_mbpm[PASSO_RUNGS_MAX - 1] = 1000000;
    rule.list_count = PASSO_RUNGS_MAX;
    make(&rule);
    assert_int_equal(ladder.rungs, PASSO_RUNGS_MAX);
}

static int32_t between(struct passo_random *random, int32_t low, int32_t high)
{
    return low + (int32_t)passo_random_below(random, (uint32_t)(high - low + 1));
}

/* floor(start x (1000 + p)^k / 1000^k / 10 + 1/2) x 10 by GMP's integers. */
static int64_t exact_percent(int32_t start, int32_t permille, unsigned k)
{
    mpz_t num;
    mpz_t den;
    mpz_init(num);
    mpz_init(den);
    mpz_ui_pow_ui(num, 1000 + (unsigned long)permille, k);
    mpz_mul_ui(num, num, 2 * (unsigned long)start);
    mpz_ui_pow_ui(den, 1000, k);
    mpz_mul_ui(den, den, 10);
    mpz_add(num, num, den);
    mpz_mul_ui(den, den, 2);
    mpz_fdiv_q(num, num, den);
    int64_t hundredths = (int64_t)mpz_get_si(num);
    mpz_clear(num);
    mpz_clear(den);
    return hundredths * 10;
}

static void percent_is_exact_by_gmp(void **unused)
{
    (void)unused;
    struct passo_random random;
    passo_random_seed(&random, 1);
    for (int round = 0; round < 200; round++) {
        int32_t start = between(&random, 5000, 300000);
        int32_t target = between(&random, start, 1000000);
        int32_t permille = between(&random, 6, 300);
        struct passo_rule rule = stepped(PASSO_STEPS_PERCENT, start, target, permille);
        make(&rule);
        size_t at = 0;
        int64_t last = 0;
        for (unsigned k = 0; start < target; k++) {
            int64_t mbpm = exact_percent(start, permille, k);
            if (mbpm >= target)
                break;
            if (at && (mbpm == last || mbpm * 100 >= (int64_t)target * 99))
                continue;
            assert_int_equal(ladder.rung_mbpm[at++], mbpm);
            last = mbpm;
        }
        assert_int_equal(at + 1, ladder.rungs);
        assert_int_equal(ladder.rung_mbpm[at], target);
    }
}

/* The finest percent the ladder takes, over more than a thousand steps. */
static void percent_is_exact_over_a_thousand_steps(void **unused)
{
    (void)unused;
    struct passo_rule rule = stepped(PASSO_STEPS_PERCENT, 100000, 275000, 1);
    make(&rule);
    assert_true(ladder.rungs > 1000);
    for (unsigned k = 0; k + 1u < ladder.rungs; k += 7)
        assert_int_equal(ladder.rung_mbpm[k], exact_percent(100000, 1, k));
    rule = stepped(PASSO_STEPS_PERCENT, 5000, 8000, 1); /* many steps share a hundredth */
    make(&rule);
    for (size_t i = 1; i < ladder.rungs; i++)
        assert_true(ladder.rung_mbpm[i] > ladder.rung_mbpm[i - 1]);
}

/* Rung `mbpm` is start x (target / start)^(k / n) to a hundredth, half up, if and only if
 * (20 m - 10)^n <= 2^n start^(n-k) target^k < (20 m + 10)^n with m = mbpm / 10. */
static bool is_exact_root(int64_t mbpm, int32_t start, int32_t target, unsigned k, unsigned n)
{
    mpz_t value;
    mpz_t other;
    mpz_init(value);
    mpz_init(other);
    mpz_ui_pow_ui(value, 2 * (unsigned long)start, n - k);
    mpz_ui_pow_ui(other, 2 * (unsigned long)target, k);
    mpz_mul(value, value, other);
    mpz_ui_pow_ui(other, (unsigned long)(2 * mbpm - 10), n);
    bool above = mpz_cmp(other, value) <= 0;
    mpz_ui_pow_ui(other, (unsigned long)(2 * mbpm + 10), n);
    bool below = mpz_cmp(value, other) < 0;
    mpz_clear(value);
    mpz_clear(other);
    return above && below;
}

static void equal_ratios_are_exact_by_gmp(void **unused)
{
    (void)unused;
    struct passo_random random;
    passo_random_seed(&random, 2);
    size_t checked = 0;
    for (int round = 0; round < 500; round++) {
        int32_t start = between(&random, 5000, 200000);
        int32_t target = between(&random, start + start / 2, 1000000);
        struct passo_rule rule = stepped(PASSO_STEPS_RUNGS, start, target, 0);
        rule.step_rungs = between(&random, 2, 24);
        make(&rule);
        assert_int_equal(ladder.rungs, rule.step_rungs);
        for (unsigned k = 1; k + 1u < ladder.rungs; k++, checked++)
            assert_true(is_exact_root(ladder.rung_mbpm[k], start, target, k,
                                      (unsigned)rule.step_rungs - 1));
    }
    assert_true(checked > 3000);
}

/* Roots that are exactly half a hundredth, made on purpose: a m n between a m^2 and a n^2. */
static void equal_ratios_round_an_exact_half_up(void **unused)
{
    (void)unused;
    struct passo_random random;
    passo_random_seed(&random, 3);
    for (int round = 0; round < 2000; round++) {
        int32_t a = 5 * (2 * between(&random, 0, 20) + 1);
        int32_t m = 2 * between(&random, 10, 30) + 1;
        int32_t n = m + 2 * between(&random, 8, 20);
        if (a * m * m < 5000 || a * n * n > 1000000)
            continue;
        struct passo_rule rule = stepped(PASSO_STEPS_RUNGS, a * m * m, a * n * n, 0);
        rule.step_rungs = 3;
        make(&rule);
        assert_int_equal(a * m * n % 10, 5);
        assert_int_equal(ladder.rung_mbpm[1], a * m * n + 5);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(start_default_is_60_percent_to_a_hundredth),
        cmocka_unit_test(bpm),
        cmocka_unit_test(percent),
        cmocka_unit_test(points),
        cmocka_unit_test(equal_ratios),
        cmocka_unit_test(marks),
        cmocka_unit_test(quarter_of_the_rest),
        cmocka_unit_test(list),
        cmocka_unit_test(within_1_percent_is_left_out_but_not_the_start),
        cmocka_unit_test(start_at_the_target_is_one_rung),
        cmocka_unit_test(up_to_1024_rungs),
        cmocka_unit_test(percent_is_exact_by_gmp),
        cmocka_unit_test(percent_is_exact_over_a_thousand_steps),
        cmocka_unit_test(equal_ratios_are_exact_by_gmp),
        cmocka_unit_test(equal_ratios_round_an_exact_half_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
