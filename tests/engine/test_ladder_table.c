/* Each line of the ladder's table (design.md section 5), value by value. Steps and the check of
 * the values are test_ladder_rungs.c and test_ladder_check.c. */
#include "engine/ladder_play.h"

static struct play play;

static struct passo_rule one_clean(void)
{
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    return rule;
}

static void raise_clean_in_a_row(void **unused)
{
    (void)unused;
    const struct passo_rule rule = play_rule(60, 100, 4);
    play_expect(&play, &rule, 1, "CMCCC", "60 60(M) 60 60 64");
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_CLEAN);
    assert_int_equal(play.last.cleans, 1);
    assert_true(play.last.counted);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_RAISED, PASSO_REASON_RUNG_WON);
    assert_int_equal(play.last.cleans, 2);
    assert_int_equal(play.last.from_mbpm, 60000);
    assert_int_equal(play.last.to_mbpm, 64000);
}

static void raise_clean_of_a_window(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 2;
    rule.raise_of = 3;
    rule.drop = PASSO_DROP_HOLD;
    play_expect(&play, &rule, 1, "CMMCMCC", "60 60(M) 60(M) 60 60(M) 60 64");
    rule.raise_clean = 32;
    rule.raise_of = 32;
    play_begin(&play, &rule, 1);
    for (int i = 0; i < 31; i++)
        play_pass(&play, 'C');
    assert_int_equal(play.state.rung, 0);
    play_pass(&play, 'C');
    assert_int_equal(play.state.rung, 1);
}

static void drop_rungs_after_misses_in_a_row(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    play_expect(&play, &rule, 1, "CCMCMM C", "60 64 68(M) 68 72(M) 72(M) 68");
    play_begin(&play, &rule, 1);
    play_marks(&play, "CMM");
    play_expect_move(&play, PASSO_MOVE_DROPPED, PASSO_REASON_DROP);
    rule.drop_rungs = 3;
    play_expect(&play, &rule, 1, "CCCCMM C", "60 64 68 72 76(M) 76(M) 64");
    play_expect(&play, &rule, 1, "CCMM C", "60 64 68(M) 68(M) 60"); /* not under the start */
}

static void drop_after_misses_here(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    play_expect(&play, &rule, 1, "CC MCM C", "60 60 64(M) 64 64(M) 60");
}

static void drop_to_start(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.drop = PASSO_DROP_TO_START;
    play_expect(&play, &rule, 1, "CCCMM C", "60 64 68 72(M) 72(M) 60");
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    rule.raise_clean = 2;
    play_expect(&play, &rule, 1, "CCCCMCM C", "60 60 64 64 68(M) 68 68(M) 60");
}

static void drop_hold(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.drop = PASSO_DROP_HOLD;
    play_expect(&play, &rule, 1, "CMMMMM C", "60 64(M) 64(M) 64(M) 64(M) 64(M) 64");
}

static void miss_again(void **unused)
{
    (void)unused;
    const struct passo_rule rule = one_clean();
    play_expect(&play, &rule, 2, "CMC C", "60a 60b(M) 60b 64a");
}

static void miss_first_turn(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    rule.drop_misses = 9;
    play_expect(&play, &rule, 3, "CCMCMC C", "60a 60b 60c(M) 60a 60b(M) 60a 60b");
    play_begin(&play, &rule, 3);
    play_marks(&play, "CM");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_FIRST_TURN);
}

static void lift(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.lift[0] = 3;
    rule.lift[1] = -1;
    rule.lift[2] = -1;
    rule.lifts = 3;
    play_expect(&play, &rule, 1, "CCCCC", "60 72 68 64 76");
    play_begin(&play, &rule, 1);
    play_marks(&play, "CC");
    play_expect_move(&play, PASSO_MOVE_DROPPED, PASSO_REASON_LIFT_BACK);
}

static void turn_every_rung(void **unused)
{
    (void)unused;
    const struct passo_rule rule = play_rule(60, 64, 4);
    play_expect(&play, &rule, 2, "CCCMCC CCCC", "60a 60a 60b 60b(M) 60b 60b 64a 64a 64b 64b");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    play_begin(&play, &rule, 2);
    play_marks(&play, "CC");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_NEXT_TURN);
}

static void turn_every_pass(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 64, 4);
    rule.turn = PASSO_TURN_EVERY_PASS;
    play_expect(&play, &rule, 2, "CMCC C", "60a 60b(M) 60a 60b 64a");
}

static void turn_whole_climb(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 68, 4);
    rule.raise_clean = 1;
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    play_expect(&play, &rule, 2, "CCC CMCC", "60a 64a 68a 60b 64b(M) 64b 68b");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void anchor(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 64, 4);
    rule.anchor_permille = 500;
    rule.raise_clean = 1;
    /* in the turn just played; none after the last pass of the climbing, nor after a void one */
    play_expect(&play, &rule, 2, "C-VC-C-C",
                "60a anchor:32a 60b(V) 60b anchor:32b 64a anchor:32a 64b");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    assert_int_equal(play.last.to_mbpm, 32000); /* the pass to come */
    play_pass(&play, '-');
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_UNCOUNTED);
}

static void over_close_finish(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(96, 100, 4);
    rule.raise_clean = 1;
    rule.over_passes = 2;
    rule.over_permille = 1055;
    rule.close_clean = 2;
    rule.finish_passes = 2;
    play_expect(&play, &rule, 2, "CCCC MC CMC MC",
                "96a 96b 100a 100b over:105.5b(M) over:105.5b close:100b close:100b(M) close:100b "
                "context:100(M) context:100");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void finish_none(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(100, 100, 4);
    rule.raise_clean = 1;
    play_expect(&play, &rule, 1, "C", "100");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_true(play.last.move == PASSO_MOVE_WON);
}

static void plateau_none(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.drop_misses = 1;
    play_expect(&play, &rule, 1, "CMCMCMCM C", "60 64(M) 60 64(M) 60 64(M) 60 64(M) 60");
}

static void tired_none(void **unused)
{
    (void)unused;
    const struct passo_rule rule = one_clean();
    play_expect(&play, &rule, 1, "MMMMMM C", "60(M) 60(M) 60(M) 60(M) 60(M) 60(M) 60");
}

static void stop_none_and_the_default(void **unused)
{
    (void)unused;
    struct passo_rule rule = passo_rule_default();
    rule.target_mbpm = 100000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 599999;
    play_marks(&play, "CC");
    assert_int_equal(play.state.part, PASSO_PART_CLIMB);
    play.clock_ms = 1200000 - play.pass_ms;
    play_pass(&play, 'C');
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIME);
    rule.stop_ms = 0;
    play_begin(&play, &rule, 1);
    play.pass_ms = INT64_C(1) << 50;
    play_marks(&play, "CCC");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
}

static void stop_of_a_visit(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.stop_passes = 6;
    rule.stop_ms = 180000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 20000;
    play_marks(&play, "CMCMCM");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PASSES);
    play_begin(&play, &rule, 1);
    play.pass_ms = 60000;
    play_marks(&play, "CMC");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIME);
}

static void stop_misses_in_a_row(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.stop_misses = 5;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "CCMMMMCMMMMM",
                "60 64 68(M) 68(M) 64(M) 64(M) 60 64(M) 64(M) 60(M) 60(M) 60(M)");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_MISSES);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_MISSES);
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static void unmarked_hold(void **unused)
{
    (void)unused;
    const struct passo_rule rule = play_rule(60, 100, 4);
    play_expect(&play, &rule, 1, "CUC C", "60 60(U) 60 64");
    play_begin(&play, &rule, 1);
    play_marks(&play, "CU");
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_UNMARKED);
    assert_false(play.last.counted);
    assert_false(play_next(&play).wait);
}

static void unmarked_wait(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.unmarked = PASSO_UNMARKED_WAIT;
    play_begin(&play, &rule, 1);
    assert_false(play_next(&play).wait);
    play_marks(&play, "CU");
    assert_true(play_next(&play).wait);
    assert_int_equal(play.state.cleans, 1);
    play_undo(&play); /* the mark comes */
    play_pass(&play, 'C');
    assert_false(play_next(&play).wait);
    play_expect_next(&play, PASSO_PART_CLIMB, 64000);
    play_marks(&play, "UUUU");
    assert_true(play_next(&play).wait);
    play_hand(&play, PASSO_LADDER_EASIER);
    assert_false(play_next(&play).wait);
}

static void unmarked_clean(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.unmarked = PASSO_UNMARKED_CLEAN;
    play_expect(&play, &rule, 1, "UUUMU U", "60(U) 60(U) 64(U) 64(M) 64(U) 64(U)");
    assert_int_equal(play.state.rung, 2);
    assert_true(play.last.assumed);
    assert_true(play.last.counted);
    play_pass(&play, 'C');
    assert_false(play.last.assumed);
}

static void unmarked_miss(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.unmarked = PASSO_UNMARKED_MISS;
    play_expect(&play, &rule, 1, "CCUU C", "60 60 64(U) 64(U) 60");
    play_begin(&play, &rule, 1);
    play_pass(&play, 'U');
    assert_true(play.last.assumed);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_MISS);
}

static void cold(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.cold = true;
    play_begin(&play, &rule, 2);
    assert_true(play_next(&play).as_written);
    play_expect_next(&play, PASSO_PART_COLD, 100000);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_UNCOUNTED);
    assert_int_equal(play.last.from_mbpm, 100000);
    assert_int_equal(play.last.to_mbpm, 60000);
    assert_int_equal(play.state.passes, 0);
    assert_int_equal(play.state.best_clean_rung, -1);
    assert_false(play_next(&play).as_written);
    play_expect(&play, &rule, 1, "U C", "cold:100(U) 60"); /* unmarked: it was played */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(raise_clean_in_a_row),
        cmocka_unit_test(raise_clean_of_a_window),
        cmocka_unit_test(drop_rungs_after_misses_in_a_row),
        cmocka_unit_test(drop_after_misses_here),
        cmocka_unit_test(drop_to_start),
        cmocka_unit_test(drop_hold),
        cmocka_unit_test(miss_again),
        cmocka_unit_test(miss_first_turn),
        cmocka_unit_test(lift),
        cmocka_unit_test(turn_every_rung),
        cmocka_unit_test(turn_every_pass),
        cmocka_unit_test(turn_whole_climb),
        cmocka_unit_test(anchor),
        cmocka_unit_test(over_close_finish),
        cmocka_unit_test(finish_none),
        cmocka_unit_test(plateau_none),
        cmocka_unit_test(tired_none),
        cmocka_unit_test(stop_none_and_the_default),
        cmocka_unit_test(stop_of_a_visit),
        cmocka_unit_test(stop_misses_in_a_row),
        cmocka_unit_test(unmarked_hold),
        cmocka_unit_test(unmarked_wait),
        cmocka_unit_test(unmarked_clean),
        cmocka_unit_test(unmarked_miss),
        cmocka_unit_test(cold),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
