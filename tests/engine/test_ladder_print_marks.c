/* The fine print of the ladder (design.md section 5), lines 10 to 12: void and unmarked passes, the
 * parts that never move the ladder, undo and the moves by hand. Each test is named after the line
 * it checks. */
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

static void line_10_void_and_unmarked_change_nothing(void **unused)
{
    (void)unused;
    struct passo_ladder_state before;
    const struct passo_rule rule = play_rule(60, 100, 4);
    play_begin(&play, &rule, 2);
    play_marks(&play, "MC");
    memcpy(&before, &play.state, sizeof before);
    play_pass(&play, 'V');
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_VOID);
    assert_memory_equal(&play.state, &before, sizeof before);
    play_pass(&play, 'U');
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_UNMARKED);
    assert_int_equal(play.state.unmarked_run, 1);
    play.state.unmarked_run = 0;
    assert_memory_equal(&play.state, &before, sizeof before);
}

static void line_10_three_unmarked_pause_once(void **unused)
{
    (void)unused;
    const struct passo_rule rule = play_rule(60, 100, 4);
    play_begin(&play, &rule, 1);
    play_marks(&play, "UU");
    assert_false(play_next(&play).pause);
    play_pass(&play, 'U');
    assert_true(play_next(&play).pause);
    play_pass(&play, 'U'); /* told already */
    assert_false(play_next(&play).pause);
    play_marks(&play, "UU");
    assert_true(play_next(&play).pause);
    play_begin(&play, &rule, 1);
    play_marks(&play, "UUVU");
    assert_false(play_next(&play).pause);
    play_begin(&play, &rule, 1);
    play_marks(&play, "UUCUU");
    assert_false(play_next(&play).pause);
}

static void line_10_anchors_are_not_unmarked(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.anchor_permille = 600;
    play_begin(&play, &rule, 1);
    play_marks(&play, "C-C-C-C-");
    assert_int_equal(play.state.unmarked_run, 0);
}

static void line_10_six_assumed_cleans_hold_until_a_key(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.target_mbpm = 200000;
    rule.unmarked = PASSO_UNMARKED_CLEAN;
    play_begin(&play, &rule, 1);
    play_marks(&play, "UUUUU");
    assert_false(play_next(&play).wait);
    play_pass(&play, 'U');
    assert_true(play.last.assumed);
    assert_true(play_next(&play).wait);
    assert_int_equal(play.state.rung, 6);
    play_pass(&play, 'U'); /* the seventh is held */
    assert_false(play.last.assumed);
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_UNMARKED);
    assert_int_equal(play.state.rung, 6);
    assert_true(play_next(&play).wait);
    play_pass(&play, 'M');
    assert_false(play_next(&play).wait);
    play_pass(&play, 'U');
    assert_true(play.last.assumed);
    assert_int_equal(play.state.rung, 7);
    play_marks(&play, "UUUC UUUUU"); /* a key in between starts the six afresh */
    assert_false(play_next(&play).wait);
    play_pass(&play, 'U');
    assert_true(play_next(&play).wait);
    play_hand(&play, PASSO_LADDER_EASIER); /* any key */
    assert_false(play_next(&play).wait);
    play_marks(&play, "UUUUU");
    assert_false(play_next(&play).wait);
    play_pass(&play, 'U');
    assert_true(play_next(&play).wait);
}

static void line_11_the_other_parts_never_move_the_ladder(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 64, 4);
    rule.raise_clean = 1;
    rule.cold = true;
    rule.anchor_permille = 600;
    rule.over_passes = 1;
    rule.close_clean = 1;
    rule.finish_passes = 1;
    rule.tired_misses = 1;
    rule.tired_of = 1;
    rule.stop_misses = 1;
    play_expect(&play, &rule, 1, "M CM C M MC M",
                "cold:64(M) 60 anchor:38.4(M) 64 over:67.2(M) close:64(M) close:64 context:64(M)");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(play.state.passes, 2);
}

static void line_11_where_the_other_parts_are_played(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 68, 4);
    rule.raise_clean = 1;
    rule.cold = true;
    rule.over_passes = 1;
    rule.close_clean = 1;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 2);
    assert_int_equal(play_next(&play).rung, 2); /* cold */
    play_marks(&play, "C CC CC CC");
    play_expect_next(&play, PASSO_PART_OVER, 71400);
    assert_int_equal(play_next(&play).rung, 2);
    assert_int_equal(play_next(&play).turn, 1);
    assert_false(play_next(&play).as_written);
    play_pass(&play, 'C');
    play_expect_next(&play, PASSO_PART_CLOSE, 68000);
    assert_int_equal(play_next(&play).rung, 2);
    play_pass(&play, 'C');
    assert_int_equal(play_next(&play).rung, 2); /* context */
    rule.stop_passes = 5;
    rule.cold = false;
    play_begin(&play, &rule, 2);
    play_marks(&play, "CC CC M");
    play_expect_next(&play, PASSO_PART_CONTEXT, 64000);
    assert_int_equal(play_next(&play).rung, 1);
}

static void line_11_a_void_pass_of_any_part_is_played_again(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 60, 4);
    rule.raise_clean = 1;
    rule.cold = true;
    rule.over_passes = 1;
    rule.close_clean = 1;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "VC VC VC VC VC",
                "cold:60(V) cold:60 60(V) 60 over:63(V) over:63 close:60(V) close:60 context:60(V) "
                "context:60");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static void line_11_unmarked_over_and_context_were_played(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 60, 4);
    rule.raise_clean = 1;
    rule.over_passes = 1;
    rule.close_clean = 1;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "C U UC U", "60 over:63(U) close:60(U) close:60 context:60(U)");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static void line_11_a_pass_played_elsewhere_moves_nothing(void **unused)
{
    (void)unused;
    const struct passo_rule rule = one_clean();
    play_begin(&play, &rule, 2);
    play_pass(&play, 'C');
    struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                       .mark = PASSO_MARK_CLEAN,
                                       .part = PASSO_PART_CLIMB,
                                       .turn = 0}; /* turn b is to be played */
    play_event(&play, &event);
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_ELSEWHERE);
    assert_int_equal(play.state.turn, 1);
    event.turn = 1;
    event.rung = 1;
    play_event(&play, &event);
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_ELSEWHERE);
    event.rung = 0;
    event.part = PASSO_PART_OVER;
    play_event(&play, &event);
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_ELSEWHERE);
    event.mark = PASSO_MARK_VOID;
    play_event(&play, &event);
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_VOID);
    event.mark = PASSO_MARK_NONE;
    play_event(&play, &event);
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_UNMARKED);
    assert_int_equal(play.state.passes, 1);
    assert_int_equal(play.state.rung, 0);
}

static void line_12_undo_takes_back_the_mark_and_all_it_did(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.stop_misses = 2;
    struct passo_ladder_state was[4];
    play_begin(&play, &rule, 2);
    const char *marks = "CCMM";
    for (int i = 0; i < 4; i++) {
        memcpy(&was[i], &play.state, sizeof was[i]);
        play_pass(&play, marks[i]);
    }
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    for (int i = 3; i >= 0; i--) {
        play_undo(&play);
        assert_memory_equal(&play.state, &was[i], sizeof was[i]);
    }
    assert_int_equal(play.last.reason, PASSO_REASON_NONE);
}

static void line_12_easier_and_harder_by_hand(void **unused)
{
    (void)unused;
    const struct passo_rule rule = play_rule(60, 68, 4);
    play_begin(&play, &rule, 2);
    play_marks(&play, "CCMC");
    play_hand(&play, PASSO_LADDER_HARDER);
    play_expect_move(&play, PASSO_MOVE_HARDER, PASSO_REASON_BY_HAND);
    assert_int_equal(play.last.from_mbpm, 60000);
    assert_int_equal(play.last.to_mbpm, 64000);
    expect_counters_clear();
    assert_int_equal(play.state.turn, 0);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_pass(&play, 'C');
    play_pass(&play, 'V');
    assert_int_equal(play.last.cleans, 1);
    play_hand(&play, PASSO_LADDER_HARDER); /* at the top */
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    assert_int_equal(play.last.cleans, 1);
    assert_int_equal(play.state.cleans, 1);
    play_hand(&play, PASSO_LADDER_EASIER);
    play_expect_move(&play, PASSO_MOVE_EASIER, PASSO_REASON_BY_HAND);
    play_hand(&play, PASSO_LADDER_EASIER);
    play_hand(&play, PASSO_LADDER_EASIER);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    play_expect_next(&play, PASSO_PART_CLIMB, 60000);
    assert_int_equal(play.state.best_rung, -1); /* nothing was won by hand */
}

static void line_12_by_hand_while_an_anchor_is_due(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(80, 100, 10);
    rule.anchor_permille = 600;
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_hand(&play, PASSO_LADDER_HARDER);
    play_expect_next(&play, PASSO_PART_ANCHOR, 60000);
    play_pass(&play, '-');
    play_expect_next(&play, PASSO_PART_CLIMB, 90000);
}

static void line_12_by_hand_only_while_climbing(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.cold = true;
    play_begin(&play, &rule, 2);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_hand(&play, PASSO_LADDER_TURN);
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_NONE);
    assert_int_equal(play.state.rung, 0);
    assert_int_equal(play.state.turn, 0);
}

static void line_12_by_hand_under_whole_climb_the_turn_stays(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 68, 4);
    rule.raise_clean = 1;
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    play_begin(&play, &rule, 3);
    play_marks(&play, "CCC");
    play_hand(&play, PASSO_LADDER_HARDER);
    assert_int_equal(play.state.turn, 1);
    assert_int_equal(play.state.rung, 1);
    play_hand(&play, PASSO_LADDER_TURN);
    assert_int_equal(play.state.turn, 2);
    assert_int_equal(play.state.rung, 1);
}

static void line_12_the_next_turn_by_hand(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 68, 4);
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    play_begin(&play, &rule, 2);
    play_marks(&play, "MC");
    play_hand(&play, PASSO_LADDER_TURN);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    assert_int_equal(play.state.turn, 1);
    assert_int_equal(play.state.cleans, 0);
    assert_int_equal(play.state.misses_here[0], 1);
    play_hand(&play, PASSO_LADDER_TURN); /* round again */
    assert_int_equal(play.state.turn, 0);
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_hand(&play, PASSO_LADDER_TURN); /* there is no other */
    assert_int_equal(play.state.cleans, 1);
}

static void the_player_stops(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 60, 4);
    rule.raise_clean = 1;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 1);
    play_hand(&play, PASSO_LADDER_QUIT);
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_QUIT);
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_QUIT);
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_hand(&play, PASSO_LADDER_QUIT); /* before the context run: won all the same */
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void an_event_at_the_end_changes_nothing(void **unused)
{
    (void)unused;
    struct passo_ladder_state before;
    struct passo_rule rule = play_rule(60, 60, 4);
    rule.raise_clean = 1;
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    memcpy(&before, &play.state, sizeof before);
    play_pass(&play, 'M');
    play_pass(&play, 'U');
    play_hand(&play, PASSO_LADDER_QUIT);
    play_hand(&play, PASSO_LADDER_EASIER);
    assert_memory_equal(&play.state, &before, sizeof before);
    assert_int_equal(play.last.move, PASSO_MOVE_NONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_10_void_and_unmarked_change_nothing),
        cmocka_unit_test(line_10_three_unmarked_pause_once),
        cmocka_unit_test(line_10_anchors_are_not_unmarked),
        cmocka_unit_test(line_10_six_assumed_cleans_hold_until_a_key),
        cmocka_unit_test(line_11_the_other_parts_never_move_the_ladder),
        cmocka_unit_test(line_11_where_the_other_parts_are_played),
        cmocka_unit_test(line_11_a_void_pass_of_any_part_is_played_again),
        cmocka_unit_test(line_11_unmarked_over_and_context_were_played),
        cmocka_unit_test(line_11_a_pass_played_elsewhere_moves_nothing),
        cmocka_unit_test(line_12_undo_takes_back_the_mark_and_all_it_did),
        cmocka_unit_test(line_12_easier_and_harder_by_hand),
        cmocka_unit_test(line_12_by_hand_while_an_anchor_is_due),
        cmocka_unit_test(line_12_by_hand_only_while_climbing),
        cmocka_unit_test(line_12_by_hand_under_whole_climb_the_turn_stays),
        cmocka_unit_test(line_12_the_next_turn_by_hand),
        cmocka_unit_test(the_player_stops),
        cmocka_unit_test(an_event_at_the_end_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
