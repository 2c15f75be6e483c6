/* The ladder as an absorbing chain: how many passes a climb takes for a player with a constant
 * share of clean passes, against the exact values of runs and random walks.
 *
 * Errors. A mean over N climbs has the standard error sd / sqrt(N), with the exact sd of the row;
 * each check allows four of these (a chance of 6 in 100,000), and the seeds are fixed. A share of
 * N has sqrt(p (1 - p) / N). */
#include "engine/ladder_play.h"

#include <math.h>

#include <passo/random.h>

static struct passo_ladder ladder;

/* A ladder of so many rungs, the target among them; up to 20, so that none is within 1 % of it. */
static void make(int rungs, int n, int drop_misses, int drop_rungs)
{
    struct passo_rule rule = play_rule(100, 100 + 5 * (rungs - 1), 5);
    rule.raise_clean = (uint8_t)n;
    rule.drop = drop_misses ? PASSO_DROP_RUNGS : PASSO_DROP_HOLD;
    rule.drop_misses = (uint8_t)drop_misses;
    rule.drop_rungs = (uint16_t)drop_rungs;
    assert_int_equal(passo_ladder_init(&ladder, &rule, 1, NULL, 0), PASSO_OK);
    assert_int_equal(ladder.rungs, rungs);
}

static struct passo_decision play_one(struct passo_ladder_state *state, struct passo_random *random,
                                      double p)
{
    const struct passo_plan plan = passo_ladder_next(&ladder, state);
    const bool clean = passo_random_unit(random) < p;
    const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                             .mark = clean ? PASSO_MARK_CLEAN : PASSO_MARK_MISS,
                                             .part = plan.part,
                                             .rung = plan.rung,
                                             .turn = plan.turn};
    return passo_ladder_apply(&ladder, state, &event);
}

struct figures {
    double mean;
    double variance;
};

static struct figures climbs(int count, double p, uint64_t seed)
{
    struct passo_random random;
    struct passo_ladder_state state;
    double sum = 0;
    double squares = 0;
    passo_random_seed(&random, seed);
    for (int i = 0; i < count; i++) {
        passo_ladder_begin(&ladder, &state);
        while (state.outcome == PASSO_OUTCOME_OPEN)
            (void)play_one(&state, &random, p);
        sum += state.passes;
        squares += (double)state.passes * state.passes;
    }
    struct figures figures = {.mean = sum / count};
    figures.variance = squares / count - figures.mean * figures.mean;
    return figures;
}

/* Feller, An Introduction to Probability Theory, vol. 1, XIII.7 (section from memory; mean and
 * variance also DasGupta, Probability for Statistics and Machine Learning, Theorem 1.19): passes to
 * the first run of n. The exact fractions are references.md 2.1. The variance of such a waiting
 * time is found to some 3 % with 20,000 climbs (its fourth moment is about 10 variances squared):
 * 10 % are allowed. */
static void feller_runs(void **unused)
{
    (void)unused;
    const struct {
        int n;
        double p;
        double mean;
        double variance;
    } rows[] = {
        {3, .8, 305.0 / 64, 28705.0 / 4096},
        {3, .9, 2710.0 / 729, 1140310.0 / 531441},
        {2, .75, 28.0 / 9, 244.0 / 81},
        {1, .5, 2, 2},
        {2, .5, 6, 22},
        {4, .7, 10.5498, 60.0149},
        {5, .95, 5.8471, 3.7548},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        make(1, rows[i].n, 0, 1);
        const struct figures found = climbs(20000, rows[i].p, 100 + i);
        assert_near(found.mean, rows[i].mean, 4 * sqrt(rows[i].variance / 20000));
        assert_near(found.variance, rows[i].variance, .1 * rows[i].variance);
    }
}

/* Feller XIII.8 (page from memory): n clean before k misses in a row. references.md 1.3: with
 * A = (1 - p^n)/(q p^n), B = (1 - q^k)/(p q^k) the share is B/(A + B) and the mean A B/(A + B). */
static void feller_run_before_run(void **unused)
{
    (void)unused;
    const struct {
        int n;
        int k;
        double p;
        double share;
    } rows[] = {{3, 2, .5, .3}, {3, 2, .8, .862921}, {5, 2, .8, .745179}};
    const int races = 20000;
    for (size_t i = 0; i < 3; i++) {
        const double p = rows[i].p;
        const double q = 1 - p;
        const double a = (1 - pow(p, rows[i].n)) / (q * pow(p, rows[i].n));
        const double b = (1 - pow(q, rows[i].k)) / (p * pow(q, rows[i].k));
        assert_near(b / (a + b), rows[i].share, 1e-6);
        struct passo_random random;
        struct passo_ladder_state state;
        const struct passo_ladder_event up = {.type = PASSO_LADDER_HARDER};
        int raised = 0;
        double passes = 0;
        double squares = 0;
        make(3, rows[i].n, rows[i].k, 1);
        passo_random_seed(&random, 200 + i);
        for (int race = 0; race < races; race++) {
            passo_ladder_begin(&ladder, &state);
            (void)passo_ladder_apply(&ladder, &state, &up);
            while (state.rung == 1)
                (void)play_one(&state, &random, p);
            raised += state.rung == 2;
            passes += state.passes;
            squares += (double)state.passes * state.passes;
        }
        const double mean = passes / races;
        const double error = sqrt((squares / races - mean * mean) / races);
        assert_near((double)raised / races, rows[i].share,
                    4 * sqrt(rows[i].share * (1 - rows[i].share) / races));
        assert_near(mean, a * b / (a + b), 4 * error);
    }
}

/* Feller XIV.3, Table 1 (from memory; each row recomputed in references.md 2.2): with 1 clean up
 * and 1 miss down the ladder is the classical ruin problem, from rung z to rung 0 or a. */
static void feller_ruin(void **unused)
{
    (void)unused;
    const struct {
        double p;
        int z;
        int a;
        double ruin;
        double duration;
        int runs;
    } rows[] = {
        {.5, 9, 10, .1, 9, 10000},
        {.45, 9, 10, .210056, 11.0056, 10000},
        {.4, 99, 100, .333333, 161.6667, 2000},
    };
    for (size_t i = 0; i < 3; i++) {
        struct passo_random random;
        struct passo_ladder_state state;
        const struct passo_ladder_event up = {.type = PASSO_LADDER_HARDER};
        int ruined = 0;
        double passes = 0;
        double squares = 0;
        struct passo_rule rule = play_rule(10, 1000, 8); /* rung a is short of the target */
        rule.raise_clean = 1;
        rule.drop_misses = 1;
        assert_int_equal(passo_ladder_init(&ladder, &rule, 1, NULL, 0), PASSO_OK);
        assert_true(ladder.rungs > rows[i].a + 1);
        passo_random_seed(&random, 300 + i);
        for (int run = 0; run < rows[i].runs; run++) {
            passo_ladder_begin(&ladder, &state);
            for (int k = 0; k < rows[i].z; k++)
                (void)passo_ladder_apply(&ladder, &state, &up);
            while (state.rung > 0 && state.rung < rows[i].a)
                (void)play_one(&state, &random, rows[i].p);
            ruined += state.rung == 0;
            passes += state.passes;
            squares += (double)state.passes * state.passes;
        }
        const double mean = passes / rows[i].runs;
        const double error = sqrt((squares / rows[i].runs - mean * mean) / rows[i].runs);
        assert_near((double)ruined / rows[i].runs, rows[i].ruin,
                    4 * sqrt(rows[i].ruin * (1 - rows[i].ruin) / rows[i].runs));
        assert_near(mean, rows[i].duration, 4 * error);
    }
}

/* Kemeny & Snell, Finite Markov Chains (1960), chapter III (page from memory): the rows of
 * references.md 2.4, passes from the bottom to a won target of a ladder of K rungs. An sd of 0 is
 * not in the table: the one found is taken. */
static void kemeny_snell_ladders(void **unused)
{
    (void)unused;
    const struct {
        int rungs;
        int n;
        double p;
        int drop_misses;
        int drop_rungs;
        double mean;
        double sd;
        int count;
    } rows[] = {
        {5, 1, .8, 0, 1, 6.25, 0, 10000},
        {5, 1, .8, 1, 1, 7965.0 / 1024, 3.185, 20000},
        {5, 1, .8, 1, 2, 9.165039, 0, 10000},
        {5, 2, .8, 1, 1, 24.342999, 14.224, 10000},
        {5, 2, .8, 1, 2, 35.040250, 0, 5000},
        {5, 3, .8, 1, 1, 67.170750, 50.930, 4000},
        {5, 3, .8, 2, 1, 27.258301, 9.945, 10000},
        {10, 2, .8, 2, 1, 30.713436, 6.962, 10000},
        {10, 3, .8, 0, 1, 47.656250, 0, 5000},
        {10, 3, .8, 1, 1, 228.489300, 175.08, 4000},
        {10, 3, .8, 2, 1, 55.586366, 14.94, 10000},
        {10, 3, .9, 1, 1, 55.669357, 19.671, 5000},
        {10, 3, .9, 2, 1, 38.339874, 5.953, 5000},
        {10, 3, .7, 2, 1, 105.366726, 46.17, 5000},
        {10, 5, .95, 1, 1, 79.214104, 23.370, 4000},
        {20, 3, .9, 1, 1, 114.839486, 29.843, 2000},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        make(rows[i].rungs, rows[i].n, rows[i].drop_misses, rows[i].drop_rungs);
        const struct figures found = climbs(rows[i].count, rows[i].p, 400 + i);
        const double sd = rows[i].sd > 0 ? rows[i].sd : sqrt(found.variance);
        assert_near(found.mean, rows[i].mean, 4 * sd / sqrt(rows[i].count));
        if (rows[i].sd > 0)
            assert_near(sqrt(found.variance), rows[i].sd, .1 * rows[i].sd);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(feller_runs),
        cmocka_unit_test(feller_run_before_run),
        cmocka_unit_test(feller_ruin),
        cmocka_unit_test(kemeny_snell_ladders),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
