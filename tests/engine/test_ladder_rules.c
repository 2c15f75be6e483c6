/* The rules of trade.md section 2-3(b), said in the ladder's language and played pass by pass
 * (common practice of the trade; the tempos are invented). Its sessions are files in
 * tests/session/trade. */
#include "engine/ladder_play.h"

static struct play play;

static struct passo_rule pair_rule(void)
{
    struct passo_rule rule = play_rule(72, 112, 8);
    rule.raise_clean = 1;
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    return rule;
}

static void r01_streak(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 3;
    rule.drop = PASSO_DROP_HOLD;
    play_expect(&play, &rule, 1, "CCMCCCMMMM C", "60 60 60(M) 60 60 60 64(M) 64(M) 64(M) 64(M) 64");
}

static void r02_streak_with_drop(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.drop_misses = 1;
    play_expect(&play, &rule, 1, "CCCMMCC C", "60 60 64 64(M) 60(M) 60 60 64");
    rule.drop_misses = 2;
    play_expect(&play, &rule, 1, "CCMCMM C", "60 60 64(M) 64 64(M) 64(M) 60");
}

static void r03_share(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 3;
    rule.raise_of = 4;
    rule.drop_misses = 4;
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    /* the second miss closes the first window, the fourth the second: drop */
    play_expect(&play, &rule, 1, "CCC MCM CMM C", "60 60 60 64(M) 64 64(M) 64 64(M) 64(M) 60");
    /* three in a row need no fourth; C C M C does */
    play_expect(&play, &rule, 1, "CCC CCMC C", "60 60 60 64 64 64(M) 64 68");
}

static void r04_two_up_one_back(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    rule.drop = PASSO_DROP_HOLD;
    rule.lift[0] = 2;
    rule.lift[1] = -1;
    rule.lifts = 2;
    play_expect(&play, &rule, 1, "CCCCC C", "60 68 64 72 68 76");
    /* a miss repeats the entry */
    play_expect(&play, &rule, 1, "CMCC C", "60 68(M) 68 64 72");
}

static void r05_percent_drops_by_index(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 0);
    rule.steps = PASSO_STEPS_PERCENT;
    rule.step_permille = 50;
    rule.raise_clean = 1;
    rule.drop_misses = 1;
    play_expect(&play, &rule, 1, "CCCMCC", "60 63 66.15 69.46(M) 66.15 69.46");
}

static void r06_shrinking_steps(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(70, 120, 0);
    rule.steps = PASSO_STEPS_REST;
    rule.step_permille = 250;
    rule.raise_clean = 1;
    play_expect(&play, &rule, 1, "CCCCCCCCCCCC", "70 82 91 98 103 107 110 112 114 116 118 120");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void r08_r09_pair(void **unused)
{
    (void)unused;
    const struct passo_rule rule = pair_rule();
    /* a miss in the first way repeats it, a second one drops (here: is held at the bottom) */
    play_expect(&play, &rule, 2, "CC MM CC", "72a 72b 80a(M) 80a(M) 72a 72b");
    /* a miss at pitch begins with the octave down at the same tempo; a second one drops */
    play_expect(&play, &rule, 2, "CC CM CM C", "72a 72b 80a 80b(M) 80a 80b(M) 72a");
}

static void r10_rhythm_round(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    rule.drop = PASSO_DROP_HOLD;
    play_expect(&play, &rule, 3, "CMMCC C", "60a 60b(M) 60b(M) 60b 60c 64a");
}

static void r11_slow_anchor(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(80, 100, 10);
    rule.anchor_permille = 600;
    play_expect(&play, &rule, 1, "C-M-C-C-C-C",
                "80 anchor:60 80(M) anchor:60 80 anchor:60 80 anchor:60 90 anchor:60 90");
    assert_int_equal(play.state.passes, 6);
}

static void r14_over_never_drops(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(100, 100, 4);
    rule.raise_clean = 1;
    rule.over_passes = 3;
    rule.over_permille = 1040;
    rule.close_clean = 1;
    play_expect(&play, &rule, 1, "C MMM MC",
                "100 over:104(M) over:104(M) over:104(M) "
                "close:100(M) close:100");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static void r15_plateau(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    rule.plateau_drops = 2;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "CCMM CMM", "60 64 68(M) 68(M) 64 68(M) 68(M)");
    play_expect_move(&play, PASSO_MOVE_PLATEAU, PASSO_REASON_PLATEAU);
    play_expect_next(&play, PASSO_PART_CONTEXT, 64000);
    play_pass(&play, 'M');
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PLATEAU);
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static void r16_time_box(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    rule.stop_ms = 180000;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 1);
    play.pass_ms = 50000;
    play_marks(&play, "CCM");
    play_expect_next(&play, PASSO_PART_CLIMB, 68000);
    play_pass(&play, 'C'); /* ends at 200 s: is played out, then the context run */
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
    play_expect_next(&play, PASSO_PART_CONTEXT, 68000);
    play_pass(&play, 'M');
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIME);
}

static void r17_pass_limit(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.stop_passes = 12;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "CC CC V CC CM U CC CM",
                "60 60 64 64 68(V) 68 68 72 72(M) 72(U) 72 72 76 76(M)");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_PASSES);
    play_expect_next(&play, PASSO_PART_CONTEXT, 72000);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PASSES);
}

static void r18_tired_stop(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    rule.drop = PASSO_DROP_HOLD;
    rule.tired_misses = 3;
    rule.tired_of = 5;
    play_expect(&play, &rule, 1, "CCC MCM CC MCM", "60 64 68 72(M) 72 76(M) 76 80 84(M) 84 88(M)");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN); /* 2 of 5 all along */
    play_pass(&play, 'M');
    play_expect_next(&play, PASSO_PART_EASY, 76000); /* two rungs below 84 */
}

static void r22_cold_first_try(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.cold = true;
    play_expect(&play, &rule, 1, "MCC C", "cold:100(M) 60 60 64");
    play_expect(&play, &rule, 1, "CC", "cold:100 60");
    assert_int_equal(play.state.cleans, 1);
    assert_int_equal(play.state.best_rung, -1);
}

static void r28_context_is_played_once(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(100, 100, 4);
    rule.raise_clean = 1;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "CM", "100 context:100(M)");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_true(passo_ladder_best_mbpm(&play.ladder, &play.state) == 100000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(r01_streak),
        cmocka_unit_test(r02_streak_with_drop),
        cmocka_unit_test(r03_share),
        cmocka_unit_test(r04_two_up_one_back),
        cmocka_unit_test(r05_percent_drops_by_index),
        cmocka_unit_test(r06_shrinking_steps),
        cmocka_unit_test(r08_r09_pair),
        cmocka_unit_test(r10_rhythm_round),
        cmocka_unit_test(r11_slow_anchor),
        cmocka_unit_test(r14_over_never_drops),
        cmocka_unit_test(r15_plateau),
        cmocka_unit_test(r16_time_box),
        cmocka_unit_test(r17_pass_limit),
        cmocka_unit_test(r18_tired_stop),
        cmocka_unit_test(r22_cold_first_try),
        cmocka_unit_test(r28_context_is_played_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
