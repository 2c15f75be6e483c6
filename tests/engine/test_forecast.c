/* The forecast's chances against published and exact numbers: Feller's runs (An Introduction to
 * Probability Theory, vol. 1, XIII.7; section from memory), absorbing chains solved in closed form,
 * and a chain whose chance falls with the tempo, solved here. Means are held to five standard
 * errors, variances to five of theirs (from the fourth moment); the seeds are fixed. */
#include "engine/forecast_tools.h"

#include <pthread.h>

enum { CLIMBS = 20000, STATES_MAX = 64 };

struct moments {
    double mean;
    double variance;
    double mean_error; /* standard errors */
    double variance_error;
};

static struct moments moments(const struct passo_forecast_climb *climb, uint32_t climbs)
{
    struct moments of = {0};
    double fourth = 0;
    for (uint32_t i = 0; i < climbs; i++)
        of.mean += climb[i].passes / (double)climbs;
    for (uint32_t i = 0; i < climbs; i++) {
        const double squared = pow(climb[i].passes - of.mean, 2);
        of.variance += squared / climbs;
        fourth += squared * squared / climbs;
    }
    of.mean_error = sqrt(of.variance / climbs);
    of.variance_error = sqrt((fourth - of.variance * of.variance) / climbs);
    return of;
}

static struct passo_rule rungs(int count, uint8_t raise, uint8_t drop_rungs, uint8_t drop_misses)
{
    struct passo_rule rule = play_rule(60, 60 + 2 * (count - 1), 2);
    rule.raise_clean = raise;
    rule.drop = drop_rungs ? PASSO_DROP_RUNGS : PASSO_DROP_HOLD;
    rule.drop_rungs = drop_rungs;
    rule.drop_misses = drop_misses;
    return rule;
}

/* Free it. */
static struct passo_forecast_climb *played(const struct passo_rule *rule, struct passo_skill skill)
{
    struct forecast_scene *scene = forecast_scene(rule);
    struct passo_forecast_climb *climb = passo_xcalloc(CLIMBS, sizeof *climb);
    scene->ask.skill = skill;
    passo_forecast_run(&scene->ask, 0, CLIMBS, climb);
    for (uint32_t i = 0; i < CLIMBS; i++)
        assert_int_equal(climb[i].outcome, PASSO_OUTCOME_WON);
    free(scene);
    return climb;
}

static void agrees(const struct passo_rule *rule, struct passo_skill skill, double mean,
                   double variance)
{
    struct passo_forecast_climb *climb = played(rule, skill);
    struct moments got = moments(climb, CLIMBS);
    assert_near(got.mean, mean, 5 * got.mean_error);
    if (variance > 0)
        assert_near(got.variance, variance, 5 * got.variance_error);
    free(climb);
}

/* Passes to n clean in a row: mean (1 - p^n) / (q p^n), variance 1/(q p^n)^2 - (2n + 1)/(q p^n) -
 * p/q^2. */
static void one_rung_is_fellers_run(void **unused)
{
    (void)unused;
    const double chance[] = {0.5, 0.7, 0.8, 0.9, 0.95};
    for (uint8_t n = 1; n <= 5; n++) {
        for (size_t i = 0; i < FORECAST_COUNT(chance); i++) {
            const double p = chance[i];
            const double run = (1 - p) * pow(p, n);
            const struct passo_rule rule = rungs(1, n, 0, 1);
            agrees(&rule, forecast_flat(p), (1 - pow(p, n)) / run,
                   1 / (run * run) - (2 * n + 1) / run - p / ((1 - p) * (1 - p)));
        }
    }
}

/* The same formula in exact fractions. */
static void one_rung_in_exact_fractions(void **unused)
{
    (void)unused;
    const struct passo_rule three = rungs(1, 3, 0, 1);
    const struct passo_rule two = rungs(1, 2, 0, 1);
    agrees(&three, forecast_flat(0.8), 305.0 / 64, 28705.0 / 4096);
    agrees(&three, forecast_flat(0.9), 2710.0 / 729, 1140310.0 / 531441);
    agrees(&two, forecast_flat(0.75), 28.0 / 9, 244.0 / 81);
}

/* Ladders of K rungs, from the linear solve over (rung, cleans, misses) that equals the closed form
 * h_k = sum (1/a)(b/a)^j (references.md 2.4); sd 0: none was given. */
static void ladders_are_the_absorbing_chains(void **unused)
{
    (void)unused;
    const struct {
        int rungs;
        uint8_t raise;
        double clean;
        uint8_t drop_rungs;
        uint8_t drop_misses;
        double mean;
        double sd;
    } chain[] = {
        {5, 1, 0.8, 1, 1, 7.778320, 3.185},    {5, 2, 0.8, 1, 1, 24.342999, 14.224},
        {5, 3, 0.8, 1, 1, 67.170750, 50.930},  {10, 3, 0.8, 0, 1, 47.656250, 0},
        {10, 3, 0.8, 1, 1, 228.4893, 175.08},  {10, 2, 0.9, 1, 1, 29.706036, 8.142},
        {10, 3, 0.9, 1, 1, 55.669357, 19.671}, {10, 5, 0.95, 1, 1, 79.214104, 23.370},
        {20, 3, 0.9, 1, 1, 114.83949, 29.843}, {5, 1, 0.8, 2, 1, 9.165039, 0},
        {5, 3, 0.8, 2, 1, 114.823200, 0},      {10, 3, 0.9, 2, 1, 90.967463, 0},
        {5, 3, 0.8, 1, 2, 27.258301, 9.945},   {10, 2, 0.8, 1, 2, 30.713436, 6.962},
        {10, 3, 0.8, 1, 2, 55.586366, 14.94},  {10, 3, 0.9, 1, 2, 38.339874, 5.953},
        {10, 3, 0.7, 1, 2, 105.366726, 46.17},
    };
    for (size_t i = 0; i < FORECAST_COUNT(chain); i++) {
        const struct passo_rule rule =
            rungs(chain[i].rungs, chain[i].raise, chain[i].drop_rungs, chain[i].drop_misses);
        agrees(&rule, forecast_flat(chain[i].clean), chain[i].mean, chain[i].sd * chain[i].sd);
    }
}

/* --- a chance that falls with the tempo --- */

/* States (rung, cleans in a row), without the absorbing one: `raise n in a row, drop 1 after 1`. */
struct chain {
    int states;
    double to[STATES_MAX][STATES_MAX];
};

static struct chain chain_of(int count, int raise, const struct passo_skill *skill)
{
    struct chain chain = {.states = count * raise};
    for (int rung = 0; rung < count; rung++) {
        const double logit = skill->intercept + skill->slope * log(60 + 2 * rung);
        const double clean = 1 / (1 + exp(-logit));
        const int lower = rung > 0 ? rung - 1 : 0;
        for (int cleans = 0; cleans < raise; cleans++) {
            const int from = rung * raise + cleans;
            chain.to[from][lower * raise] += 1 - clean;
            if (from + 1 <
                chain.states) /* the last clean of a rung leads to the next one's first */
                chain.to[from][from + 1] += clean;
        }
    }
    return chain;
}

/* The mean time to absorption from state 0: (I - Q) t = 1 by Gauss's elimination. */
static double mean_of(const struct chain *chain)
{
    double row[STATES_MAX][STATES_MAX + 1];
    const int n = chain->states;
    for (int i = 0; i < n; i++) {
        for (int j = 0; j < n; j++)
            row[i][j] = (i == j ? 1 : 0) - chain->to[i][j];
        row[i][n] = 1;
    }
    for (int k = n - 1; k >= 0; k--) {
        for (int i = 0; i < n; i++) {
            const double share = row[i][k] / row[k][k];
            for (int j = 0; i != k && j <= n; j++)
                row[i][j] -= share * row[k][j];
        }
    }
    return row[0][n] / row[0][0];
}

/* The fewest passes within which more than this share is absorbed, by powers of the matrix. */
static uint32_t quantile_of(const struct chain *chain, double share)
{
    double at[STATES_MAX] = {1};
    uint32_t passes = 0;
    for (double left = 1; 1 - left <= share; passes++) {
        double next[STATES_MAX] = {0};
        for (int i = 0; i < chain->states; i++)
            for (int j = 0; j < chain->states; j++)
                next[j] += at[i] * chain->to[i][j];
        left = 0;
        for (int i = 0; i < chain->states; i++)
            left += at[i] = next[i];
    }
    return passes;
}

static void a_falling_chance_is_the_solved_chain(void **unused)
{
    (void)unused;
    const struct {
        int rungs;
        uint8_t raise;
        struct passo_skill skill;
    } climb[] = {
        {8, 2, {45, -10}},
        {10, 3, {27, -5.6}},
        {20, 3, {40, -8.4}},
        {6, 1, {30, -7.1}},
    };
    for (size_t i = 0; i < FORECAST_COUNT(climb); i++) {
        const struct passo_rule rule = rungs(climb[i].rungs, climb[i].raise, 1, 1);
        const struct chain chain = chain_of(climb[i].rungs, climb[i].raise, &climb[i].skill);
        struct passo_forecast_climb *climbs = played(&rule, climb[i].skill);
        struct moments got = moments(climbs, CLIMBS);
        struct passo_forecast sum;
        assert_near(got.mean, mean_of(&chain), 5 * got.mean_error);
        passo_forecast_sum(climbs, CLIMBS, &sum);
        assert_near(sum.median_passes, quantile_of(&chain, 0.5), 1);
        assert_near(sum.ninth_passes, quantile_of(&chain, 0.9), 1);
        free(climbs);
    }
}

/* --- seeds and shares --- */

static bool same(const struct passo_forecast_climb *one, const struct passo_forecast_climb *other,
                 size_t climbs)
{
    for (size_t i = 0; i < climbs; i++) {
        if (one[i].passes != other[i].passes || one[i].ms != other[i].ms ||
            one[i].outcome != other[i].outcome || one[i].stuck_mbpm != other[i].stuck_mbpm)
            return false;
    }
    return true;
}

static void the_seed_and_the_number_make_the_climb(void **unused)
{
    (void)unused;
    enum { FEW = 300 };
    const struct passo_rule rule = rungs(8, 3, 1, 2);
    struct forecast_scene *scene = forecast_scene(&rule);
    struct passo_forecast_climb whole[FEW];
    struct passo_forecast_climb parts[FEW];
    scene->ask.skill = (struct passo_skill){20, -4.4};
    passo_forecast_run(&scene->ask, 1000, FEW, whole);
    passo_forecast_run(&scene->ask, 1200, 100, parts + 200);
    passo_forecast_run(&scene->ask, 1000, 199, parts);
    passo_forecast_run(&scene->ask, 1199, 1, parts + 199);
    assert_true(same(whole, parts, FEW));
    scene->ask.seed++;
    passo_forecast_run(&scene->ask, 1000, FEW, parts);
    assert_false(same(whole, parts, FEW));
    free(scene);
}

struct share {
    const struct passo_forecast_ask *ask;
    uint32_t first;
    struct passo_forecast_climb climb[500];
};

static void *play_share(void *with)
{
    struct share *share = with;
    passo_forecast_run(share->ask, share->first, FORECAST_COUNT(share->climb), share->climb);
    return NULL;
}

static void threads_play_the_same_climbs(void **unused)
{
    (void)unused;
    enum { THREADS = 3 };
    const struct passo_rule rule = rungs(8, 3, 1, 2);
    struct forecast_scene *scene = forecast_scene(&rule);
    struct share *share = passo_xcalloc(THREADS, sizeof *share);
    pthread_t thread[THREADS];
    struct passo_forecast_climb *alone = passo_xcalloc(THREADS * 500, sizeof *alone);
    scene->ask.skill = (struct passo_skill){20, -4.4};
    for (uint32_t i = 0; i < THREADS; i++) {
        share[i].ask = &scene->ask;
        share[i].first = i * 500;
        assert_int_equal(pthread_create(&thread[i], NULL, play_share, &share[i]), 0);
    }
    passo_forecast_run(&scene->ask, 0, THREADS * 500, alone);
    for (int i = 0; i < THREADS; i++) {
        assert_int_equal(pthread_join(thread[i], NULL), 0);
        assert_true(same(share[i].climb, alone + i * 500, 500));
    }
    free(alone);
    free(share);
    free(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_rung_is_fellers_run),
        cmocka_unit_test(one_rung_in_exact_fractions),
        cmocka_unit_test(ladders_are_the_absorbing_chains),
        cmocka_unit_test(a_falling_chance_is_the_solved_chain),
        cmocka_unit_test(the_seed_and_the_number_make_the_climb),
        cmocka_unit_test(threads_play_the_same_climbs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
