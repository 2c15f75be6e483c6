/* The ladder as a staircase, against the published points of psychophysics: a simulated player on
 * a fine grid, far from floor and target, settles where raises and drops balance.
 *
 * Errors. A share over N passes has a standard error of at most sqrt(p (1 - p) / N), .0008 for
 * N = 400,000 and p = .5 (a staircase's marks pull against each other, so it is less); its distance
 * from p* that comes of the step size is under .003 (references.md 1.4). Hence .005 against p*,
 * .003 against the exact stationary share. The mean tempo has a standard deviation of 2.2 to 4.7
 * and forgets within some 30 passes: a standard error under .06, four of which are .25. */
#include "engine/ladder_play.h"

#include <math.h>

#include <passo/player_model.h>

#define PASSES  400000
#define BURN_IN 20000

static struct passo_ladder ladder;

struct walk {
    double share_clean;
    double mean_bpm;
    double sd_bpm;
    long raises;
    long drops;
    long rungs_moved; /* from the first counted pass to the last */
    int least_rung;
    int most_rung;
};

static struct passo_rule staircase(int n, int raise_rungs, int drop_misses, int drop_rungs)
{
    struct passo_rule rule = play_rule(60, 180, 1);
    rule.raise_clean = (uint8_t)n;
    rule.lift[0] = (int8_t)raise_rungs;
    rule.drop_misses = (uint8_t)drop_misses;
    rule.drop_rungs = (uint16_t)drop_rungs;
    return rule;
}

static struct passo_decision play_one(struct passo_ladder_state *state,
                                      struct passo_player_model *player,
                                      struct passo_random *random, enum passo_mark *out_mark)
{
    const struct passo_plan plan = passo_ladder_next(&ladder, state);
    *out_mark = passo_player_model_play(player, random, plan.mbpm);
    const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                             .mark = *out_mark,
                                             .part = plan.part,
                                             .rung = plan.rung,
                                             .turn = plan.turn};
    return passo_ladder_apply(&ladder, state, &event);
}

static struct walk walk(const struct passo_rule *rule, long passes, uint64_t seed)
{
    struct passo_player_model player = {.t50_mbpm = 120000, .spread_mbpm = 6000};
    struct passo_random random;
    struct passo_ladder_state state;
    struct walk walked = {.least_rung = INT32_MAX};
    enum passo_mark mark;
    double sum = 0;
    double squares = 0;
    long cleans = 0;
    assert_int_equal(passo_ladder_init(&ladder, rule, 1, NULL, 0), PASSO_OK);
    passo_random_seed(&random, seed);
    passo_ladder_begin(&ladder, &state);
    for (long i = 0; i < BURN_IN; i++)
        (void)play_one(&state, &player, &random, &mark);
    const int from = state.rung;
    for (long i = 0; i < passes; i++) {
        const double bpm = ladder.rung_mbpm[state.rung] / 1000.0;
        sum += bpm;
        squares += bpm * bpm;
        const struct passo_decision decision = play_one(&state, &player, &random, &mark);
        cleans += mark == PASSO_MARK_CLEAN;
        walked.raises += decision.move == PASSO_MOVE_RAISED;
        walked.drops += decision.move == PASSO_MOVE_DROPPED;
        walked.least_rung = state.rung < walked.least_rung ? state.rung : walked.least_rung;
        walked.most_rung = state.rung > walked.most_rung ? state.rung : walked.most_rung;
    }
    assert_int_equal(state.outcome, PASSO_OUTCOME_OPEN);
    walked.share_clean = (double)cleans / (double)passes;
    walked.mean_bpm = sum / (double)passes;
    walked.sd_bpm = sqrt(squares / (double)passes - walked.mean_bpm * walked.mean_bpm);
    walked.rungs_moved = state.rung - from;
    return walked;
}

/* U x raises - D x drops = T_end - T_start, where no floor and no top was met. */
static void expect_identity(const struct walk *walked, const struct passo_rule *rule)
{
    assert_true(walked->least_rung >= rule->drop_rungs);
    assert_true(walked->most_rung + rule->lift[0] < ladder.rungs);
    assert_int_equal(rule->lift[0] * walked->raises - rule->drop_rungs * walked->drops,
                     walked->rungs_moved);
}

/* Levitt, H. (1971), JASA 49(2B), 467-477, Table I (from memory): P^n = 1/2, that is .500 .707
 * .794 .841. */
static void levitt_1971(void **unused)
{
    (void)unused;
    const double published[] = {.500, .707, .794, .841};
    for (int n = 1; n <= 4; n++) {
        const struct passo_rule rule = staircase(n, 1, 1, 1);
        const struct walk walked = walk(&rule, PASSES, (uint64_t)n);
        assert_near(walked.share_clean, published[n - 1], .005);
        assert_near(walked.share_clean, pow(.5, 1.0 / n), .005);
        expect_identity(&walked, &rule);
    }
}

/* Garcia-Perez (1998), Vision Research 38(12), 1861-1881, abstract: step ratios up/down .2845
 * .5488 .7393 .8415 settle at 77.85, 80.35, 83.15 and 85.84 % correct. Each ratio is said in whole
 * rungs of .1 bpm, off by at most .0006, which moves the point by less than .0002. */
static void garcia_perez_1998(void **unused)
{
    (void)unused;
    const struct {
        int raise_rungs;
        int drop_rungs;
        double ratio;
        double published;
    } rows[] = {
        {33, 116, .2845, .7785},
        {28, 51, .5488, .8035},
        {17, 23, .7393, .8315},
        {16, 19, .8415, .8584},
    };
    for (int n = 1; n <= 4; n++) {
        const int u = rows[n - 1].raise_rungs;
        const int d = rows[n - 1].drop_rungs;
        struct passo_rule rule = staircase(n, u, 1, d);
        rule.start_mbpm = 60000;
        rule.target_mbpm = 162000;
        rule.step_mbpm = 100;
        const struct walk walked = walk(&rule, PASSES, 10 + (uint64_t)n);
        assert_near((double)u / d, rows[n - 1].ratio, 6.1e-4);
        assert_near(walked.share_clean, rows[n - 1].published, .005);
        assert_near(pow((double)d / (u + d), 1.0 / n), rows[n - 1].published, 2e-4);
        expect_identity(&walked, &rule);
    }
}

/* Kaernbach, C. (1991), Perception & Psychophysics 49, 227-229 (example from memory): steps of 1
 * up and 3 down settle at 75 %. */
static void kaernbach_1991(void **unused)
{
    (void)unused;
    const struct passo_rule rule = staircase(1, 1, 1, 3);
    const struct walk walked = walk(&rule, PASSES, 20);
    assert_near(walked.share_clean, .75, .005);
    expect_identity(&walked, &rule);
}

/* references.md 1.4: the stationary distribution of the same ladder and player, solved exactly. */
static void exact_stationary_numbers(void **unused)
{
    (void)unused;
    const struct {
        int n;
        int raise_rungs;
        int drop_rungs;
        double mean_bpm;
        double p_of_mean;
        double share;
        double sd_bpm;
    } rows[] = {
        {1, 1, 1, 120.0000, .5000, .5000, 2.500}, {2, 1, 1, 114.5553, .7125, .7064, 2.306},
        {3, 1, 1, 111.7020, .7995, .7930, 2.240}, {4, 1, 1, 109.7672, .8462, .8403, 2.207},
        {3, 2, 2, 111.4846, .8052, .7923, 3.222}, {3, 4, 4, 111.0396, .8166, .7907, 4.704},
        {1, 1, 3, 112.8991, .7656, .7500, 3.594}, {3, 1, 2, 107.9179, .8822, .8733, 2.879},
    };
    const struct passo_player_model player = {.t50_mbpm = 120000, .spread_mbpm = 6000};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct passo_rule rule =
            staircase(rows[i].n, rows[i].raise_rungs, 1, rows[i].drop_rungs);
        const struct walk walked = walk(&rule, PASSES, 30 + i);
        const int32_t mean_mbpm = (int32_t)lround(walked.mean_bpm * 1000);
        assert_near(walked.share_clean, rows[i].share, .003);
        assert_near(walked.mean_bpm, rows[i].mean_bpm, .25);
        assert_near(walked.sd_bpm, rows[i].sd_bpm, .25);
        assert_near(passo_player_model_clean(&player, mean_mbpm), rows[i].p_of_mean, .01);
    }
}

/* references.md 1.3: were the count of cleans not begun again after a raise, n = 3 would settle at
 * .6823 instead of .7937. */
static void the_count_begins_again_after_a_raise(void **unused)
{
    (void)unused;
    static struct play play;
    const struct passo_rule rule = staircase(3, 1, 1, 1);
    play_expect(&play, &rule, 1, "CCCCCC C", "60 60 60 61 61 61 62");
    const struct walk walked = walk(&rule, PASSES, 40);
    assert_near(walked.share_clean, .7937, .005);
    assert_true(walked.share_clean > .6823 + .1);
}

/* references.md 1.3: balance points of "n clean in a row, drop after k misses in a row" with equal
 * steps. Steps of .1 bpm, so that the tempo stays where the curve is straight: its standard
 * deviation is about .8 bpm and it forgets within some 300 passes, a standard error of .04 bpm or
 * .0017 in p; four of these and the step's own bias make .008. */
static void balance_with_misses_in_a_row(void **unused)
{
    (void)unused;
    const struct {
        int n;
        int k;
        double balance;
    } rows[] = {
        {1, 2, .29289}, {2, 2, .50000}, {3, 2, .60445}, {4, 2, .66826}, {5, 2, .71186},
        {1, 3, .20630}, {2, 3, .39555}, {3, 3, .50000}, {4, 3, .56733}, {5, 3, .61517},
    };
    const struct passo_player_model player = {.t50_mbpm = 120000, .spread_mbpm = 6000};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct passo_rule rule = staircase(rows[i].n, 1, rows[i].k, 1);
        rule.start_mbpm = 80000;
        rule.target_mbpm = 160000;
        rule.step_mbpm = 100;
        const struct walk walked = walk(&rule, PASSES / 2, 50 + i);
        const int32_t mean_mbpm = (int32_t)lround(walked.mean_bpm * 1000);
        assert_near(passo_player_model_clean(&player, mean_mbpm), rows[i].balance, .008);
        expect_identity(&walked, &rule);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(levitt_1971),
        cmocka_unit_test(garcia_perez_1998),
        cmocka_unit_test(kaernbach_1991),
        cmocka_unit_test(exact_stationary_numbers),
        cmocka_unit_test(the_count_begins_again_after_a_raise),
        cmocka_unit_test(balance_with_misses_in_a_row),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
