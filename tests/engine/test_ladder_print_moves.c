/* The fine print of the ladder (design.md section 5), lines 2 to 7: counters, turns, lift, plateau.
 * Each test is named after the line it checks. Line 1 (rungs) is test_ladder_rungs.c. */
#include "engine/ladder_play.h"

static struct play play;

static struct passo_rule one_clean(void)
{
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    return rule;
}

static void expect_counters_clear(void)
{
    static const uint8_t none[PASSO_TURNS_MAX];
    assert_int_equal(play.state.cleans, 0);
    assert_int_equal(play.state.misses, 0);
    assert_int_equal(play.state.window, 0);
    assert_int_equal(play.state.window_marks, 0);
    assert_memory_equal(play.state.misses_here, none, sizeof none);
}

static void line_02_a_win_clears_all_and_begins_the_round_again(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    play_begin(&play, &rule, 2);
    play_marks(&play, "MCC CC");
    play_expect_move(&play, PASSO_MOVE_RAISED, PASSO_REASON_RUNG_WON);
    expect_counters_clear();
    assert_int_equal(play.state.turn, 0);
    /* so the third clean in a row is the first on the new rung, as it was in a window */
    rule.raise_of = 3;
    play_expect(&play, &rule, 1, "CC MCC C", "60 60 64(M) 64 64 68");
}

static void line_02_a_drop_clears_all_and_begins_the_round_again(void **unused)
{
    (void)unused;
    const struct passo_rule rule = one_clean();
    play_begin(&play, &rule, 2);
    play_marks(&play, "CC CMM");
    play_expect_move(&play, PASSO_MOVE_DROPPED, PASSO_REASON_DROP);
    expect_counters_clear();
    assert_int_equal(play.state.turn, 0);
    assert_int_equal(play.state.rung, 0);
}

static void line_02_under_whole_climb_the_turn_stays(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.target_mbpm = 68000;
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    play_expect(&play, &rule, 2, "CCC CCMM CC", "60a 64a 68a 60b 64b 68b(M) 68b(M) 64b 68b");
}

static void line_02_another_turn_keeps_misses_here(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    /* one miss in each turn is no drop; the second one in b is */
    play_expect(&play, &rule, 2, "CC MCM CM C", "60a 60b 64a(M) 64a 64b(M) 64a 64b(M) 60a");
    play_begin(&play, &rule, 2);
    play_marks(&play, "CC MCM");
    assert_int_equal(play.state.misses_here[0], 1);
    assert_int_equal(play.state.misses_here[1], 1);
    assert_int_equal(play.state.misses, 0);
    play_pass(&play, 'C');
    assert_int_equal(play.state.cleans, 0); /* coming to b */
}

static void line_02_another_turn_clears_the_window(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 2;
    rule.raise_of = 3;
    play_expect(&play, &rule, 2, "CC CMC C", "60a 60a 60b 60b(M) 60b 64a");
    play_expect(&play, &rule, 2, "CC MC C", "60a 60a 60b(M) 60b 60b");
}

static void line_02_another_turn_clears_misses_in_a_row(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    play_expect(&play, &rule, 2, "CC M CM CC", "60a 60b 64a(M) 64a 64b(M) 64b 68a");
}

static void line_02_only_a_clean_pass_wins(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.raise_clean = 2;
    rule.raise_of = 4;
    rule.turn = PASSO_TURN_EVERY_PASS;
    rule.drop = PASSO_DROP_HOLD;
    /* after C C M in a round of three the window holds 2 of 4, but the last turn was missed */
    play_expect(&play, &rule, 3, "CCM MMC C", "60a 60b 60c(M) 60a(M) 60b(M) 60c 60a");
    play_expect(&play, &rule, 3, "CCM MCC C", "60a 60b 60c(M) 60a(M) 60b 60c 64a");
}

static void line_02_marks_end_each_others_rows(void **unused)
{
    (void)unused;
    const struct passo_rule rule = play_rule(60, 100, 4);
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_pass(&play, 'M');
    assert_int_equal(play.state.cleans, 0);
    assert_int_equal(play.state.misses, 1);
    assert_int_equal(play.last.cleans, 0);
    play_pass(&play, 'C');
    assert_int_equal(play.state.cleans, 1);
    assert_int_equal(play.state.misses, 0);
}

static void line_02_a_drop_at_the_bottom_holds_and_clears_its_misses(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 3;
    rule.raise_of = 4;
    play_begin(&play, &rule, 1);
    play_marks(&play, "CMM");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_DROP_AT_BOTTOM);
    assert_int_equal(play.state.misses, 0);
    assert_int_equal(play.state.window_marks, 3); /* nothing moved: the window stays */
    play_pass(&play, 'M');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_MISS);
    play_pass(&play, 'M');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_DROP_AT_BOTTOM);
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    play_begin(&play, &rule, 1);
    play_marks(&play, "MCM");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_DROP_AT_BOTTOM);
    assert_int_equal(play.state.misses_here[0], 0);
    rule.drop = PASSO_DROP_TO_START;
    play_begin(&play, &rule, 1);
    play_marks(&play, "MM");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_DROP_AT_BOTTOM);
    rule = one_clean(); /* and the turn stays */
    play_expect(&play, &rule, 2, "CMM C", "60a 60b(M) 60b(M) 60b");
}

static void line_02_counters_do_not_wrap(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.drop = PASSO_DROP_HOLD;
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    for (int i = 0; i < 300; i++)
        play_pass(&play, 'M');
    assert_int_equal(play.state.misses, UINT8_MAX);
    assert_int_equal(play.state.misses_here[0], UINT8_MAX);
    assert_int_equal(play.state.window_marks, 32);
    assert_int_equal(play.state.recent_marks, 32);
    assert_int_equal(play.state.misses_run, 300);
}

static void line_03_fewer_than_the_window_may_have_been_played(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 3;
    rule.raise_of = 4;
    play_expect(&play, &rule, 1, "CCC C", "60 60 60 64");
    rule.drop_misses = 5;
    play_expect(&play, &rule, 1, "CMMCC C", "60 60(M) 60(M) 60 60 60");
    play_pass(&play, 'C'); /* M C C C C: the window has left the misses behind */
    assert_int_equal(play.state.cleans, 1);
    assert_int_equal(play.state.rung, 1);
}

static void line_04_every_rung(void **unused)
{
    (void)unused;
    const struct passo_rule rule = one_clean();
    play_expect(&play, &rule, 3, "CMCC C", "60a 60b(M) 60b 60c 64a");
    assert_int_equal(play.state.best_rung, 0);
}

static void line_04_every_pass_runs_on_over_the_turns(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.turn = PASSO_TURN_EVERY_PASS;
    /* 2 in a row are there after b, but the round ends with c */
    play_expect(&play, &rule, 3, "CCC C", "60a 60b 60c 64a");
    /* M C C: met, and c was the last turn */
    play_expect(&play, &rule, 3, "MCC C", "60a(M) 60b 60c 64a");
    /* the misses in a row run on as well */
    play_expect(&play, &rule, 3, "CCC CMM C", "60a 60b 60c 64a 64b(M) 64c(M) 60a");
    play_begin(&play, &rule, 3);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_NEXT_TURN);
    play_pass(&play, 'M');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_MISS);
    assert_int_equal(play.state.turn, 2);
}

static void line_04_every_pass_with_first_turn(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.turn = PASSO_TURN_EVERY_PASS;
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    play_expect(&play, &rule, 3, "CM CC C C", "60a 60b(M) 60a 60b 60c 64a");
}

static void line_04_whole_climb(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 64, 4);
    rule.raise_clean = 1;
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    rule.over_passes = 1;
    rule.close_clean = 1;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 2);
    play_marks(&play, "CC");
    play_expect_move(&play, PASSO_MOVE_WON, PASSO_REASON_NEXT_CLIMB);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
    assert_int_equal(play.state.best_rung, 1); /* of any turn */
    play_expect(&play, &rule, 2, "CC CC M C C",
                "60a 64a 60b 64b over:67.2b(M) close:64b context:64");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static void line_05_first_turn_after_a_miss_that_moved_nothing(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    play_begin(&play, &rule, 2);
    play_marks(&play, "CM"); /* already in the first turn: cleared all the same */
    assert_int_equal(play.state.turn, 0);
    assert_int_equal(play.state.window_marks, 0);
    assert_int_equal(play.state.misses, 0);
    assert_int_equal(play.state.misses_here[0], 1);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_FIRST_TURN);
    /* with one turn, or in a turn's whole climb, there is no round */
    play_begin(&play, &rule, 1);
    play_pass(&play, 'M');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_MISS);
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    play_begin(&play, &rule, 2);
    play_pass(&play, 'M');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_MISS);
    rule.turn = PASSO_TURN_EVERY_RUNG;
    /* a drop held at the bottom moved nothing either */
    rule.raise_clean = 1;
    play_expect(&play, &rule, 2, "CM CM C", "60a 60b(M) 60a 60b(M) 60a");
}

static void line_06_lift_cycles_and_stops_at_the_ends(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 72, 4);
    rule.raise_clean = 1;
    rule.lift[0] = -1;
    rule.lift[1] = 3;
    rule.lift[2] = -2;
    rule.lift[3] = 7;
    rule.lifts = 4;
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_LIFT_CLAMPED);
    assert_int_equal(play.state.best_rung, 0);
    expect_counters_clear();
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_RAISED, PASSO_REASON_RUNG_WON);
    play_expect_next(&play, PASSO_PART_CLIMB, 72000);
    play_pass(&play, 'C'); /* a win on the top ends the climbing, whatever the next number is */
    play_expect_move(&play, PASSO_MOVE_WON, PASSO_REASON_TARGET_WON);
    expect_counters_clear();
}

static void line_06_lift_begins_again_with_a_drop(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.lift[0] = 2;
    rule.lift[1] = -1;
    rule.lifts = 2;
    play_expect(&play, &rule, 1, "C MM CC", "60 68(M) 68(M) 64 72");
    /* by hand it does not: the second win goes one back */
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_hand(&play, PASSO_LADDER_HARDER);
    play_pass(&play, 'C');
    play_expect_next(&play, PASSO_PART_CLIMB, 68000);
}

static void line_06_lift_begins_again_with_the_turns_climb(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 68, 4);
    rule.raise_clean = 1;
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    rule.lift[0] = 2;
    rule.lift[1] = -1;
    rule.lifts = 2;
    play_expect(&play, &rule, 2, "CC CC", "60a 68a 60b 68b");
}

static void line_07_plateau_is_the_second_drop_from_one_rung(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.drop_misses = 1;
    rule.plateau_drops = 2;
    rule.finish_passes = 1;
    /* drops from 68, then 64, then 68 again */
    play_expect(&play, &rule, 1, "CCM M CCM M", "60 64 68(M) 64(M) 60 64 68(M) context:64(M)");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PLATEAU);
    /* held at the bottom: no drop */
    rule.plateau_drops = 1;
    play_expect(&play, &rule, 1, "MMMM C", "60(M) 60(M) 60(M) 60(M) 60");
}

static void line_07_best_is_the_highest_rung_won_or_the_start(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    play_begin(&play, &rule, 1);
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), 60000);
    play_marks(&play, "CCMM");
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), 64000);
    rule.stop_passes = 2;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "MM", "60(M) 60(M)");
    play_expect_next(&play, PASSO_PART_CONTEXT, 60000);
    assert_true(play_next(&play).as_written);
}

static void line_07_plateau_counts_in_one_turns_climb(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 64, 4);
    rule.raise_clean = 1;
    rule.drop_misses = 1;
    rule.plateau_drops = 2;
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    play_expect(&play, &rule, 2, "CMCC CMCC", "60a 64a(M) 60a 64a 60b 64b(M) 60b 64b");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_02_a_win_clears_all_and_begins_the_round_again),
        cmocka_unit_test(line_02_a_drop_clears_all_and_begins_the_round_again),
        cmocka_unit_test(line_02_under_whole_climb_the_turn_stays),
        cmocka_unit_test(line_02_another_turn_keeps_misses_here),
        cmocka_unit_test(line_02_another_turn_clears_the_window),
        cmocka_unit_test(line_02_another_turn_clears_misses_in_a_row),
        cmocka_unit_test(line_02_only_a_clean_pass_wins),
        cmocka_unit_test(line_02_marks_end_each_others_rows),
        cmocka_unit_test(line_02_a_drop_at_the_bottom_holds_and_clears_its_misses),
        cmocka_unit_test(line_02_counters_do_not_wrap),
        cmocka_unit_test(line_03_fewer_than_the_window_may_have_been_played),
        cmocka_unit_test(line_04_every_rung),
        cmocka_unit_test(line_04_every_pass_runs_on_over_the_turns),
        cmocka_unit_test(line_04_every_pass_with_first_turn),
        cmocka_unit_test(line_04_whole_climb),
        cmocka_unit_test(line_05_first_turn_after_a_miss_that_moved_nothing),
        cmocka_unit_test(line_06_lift_cycles_and_stops_at_the_ends),
        cmocka_unit_test(line_06_lift_begins_again_with_a_drop),
        cmocka_unit_test(line_06_lift_begins_again_with_the_turns_climb),
        cmocka_unit_test(line_07_plateau_is_the_second_drop_from_one_rung),
        cmocka_unit_test(line_07_best_is_the_highest_rung_won_or_the_start),
        cmocka_unit_test(line_07_plateau_counts_in_one_turns_climb),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
