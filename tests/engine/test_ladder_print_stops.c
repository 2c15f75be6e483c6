/* The fine print of the ladder (design.md section 5), lines 8 and 9: tired and the stops. Each test
 * is named after the line it checks. */
#include "engine/ladder_play.h"

static struct play play;

static struct passo_rule one_clean(void)
{
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    return rule;
}

static void line_08_tired_looks_at_counted_marks_alone(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.drop = PASSO_DROP_HOLD;
    rule.tired_misses = 3;
    rule.tired_of = 5;
    play_expect(&play, &rule, 1, "CCCC M U V M", "60 64 68 72 76(M) 76(U) 76(V) 76(M)");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
    play_pass(&play, 'M');
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIRED);
    play_expect_next(&play, PASSO_PART_EASY, 64000); /* two below 72 */
    assert_int_equal(play_next(&play).rest_ms, 90000);
    play_pass(&play, 'V'); /* not a pass */
    play_expect_next(&play, PASSO_PART_EASY, 64000);
    play_pass(&play, 'M');
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIRED);
}

static void line_08_the_easy_pass_is_not_under_the_bottom(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.tired_misses = 3;
    rule.tired_of = 3;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "MMM C", "60(M) 60(M) 60(M) easy:60");
    play_expect(&play, &rule, 1, "CC MMM C", "60 64 68(M) 68(M) 64(M) easy:60");
    assert_int_equal(play.state.part, PASSO_PART_DONE); /* no finish */
}

static void line_09_a_won_climb_is_won_whatever_fires(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 64, 4);
    rule.raise_clean = 1;
    rule.stop_passes = 2;
    rule.stop_ms = 1000;
    rule.over_passes = 1;
    rule.close_clean = 1;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 1);
    play.pass_ms = 500;
    play_marks(&play, "CC");
    play_expect_move(&play, PASSO_MOVE_WON, PASSO_REASON_TARGET_WON);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    play_expect_next(&play, PASSO_PART_CONTEXT, 64000); /* over and close are skipped */
    play.pass_ms = 0;
    rule.stop_ms = 0;
    play_begin(&play, &rule, 1);
    play_marks(&play, "CC");
    play_expect_next(&play, PASSO_PART_CONTEXT, 64000);
    rule.stop_passes = 3;
    play_begin(&play, &rule, 1);
    play_marks(&play, "CC");
    play_expect_next(&play, PASSO_PART_OVER, 67200);
}

static void line_09_time_ends_over_and_close(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 60, 4);
    rule.raise_clean = 1;
    rule.over_passes = 2;
    rule.close_clean = 2;
    rule.finish_passes = 1;
    rule.stop_ms = 1000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 500;
    play_marks(&play, "CM");
    play_expect_next(&play, PASSO_PART_CONTEXT, 60000);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    rule.over_passes = 1;
    play_begin(&play, &rule, 1);
    play.pass_ms = 334;
    play_marks(&play, "CCC");
    play_expect_next(&play, PASSO_PART_CONTEXT, 60000);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void line_09_time_ends_the_climb_after_an_anchor(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.anchor_permille = 600;
    rule.stop_ms = 1000;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 1);
    play.pass_ms = 500;
    play_marks(&play, "C-");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
    play_expect_next(&play, PASSO_PART_CONTEXT, 60000);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIME);
}

/* From the lowest rank up, each rule taking one more stop that fires on the same, sixth pass. */
static void line_09_rank_of_the_stops(void **unused)
{
    (void)unused;
    const struct {
        enum passo_move move;
        enum passo_reason reason;
        enum passo_outcome outcome;
        enum passo_part part;
    } expected[] = {
        {PASSO_MOVE_DROPPED, PASSO_REASON_DROP, PASSO_OUTCOME_OPEN, PASSO_PART_CLIMB},
        {PASSO_MOVE_STOPPED, PASSO_REASON_MISSES, PASSO_OUTCOME_MISSES, PASSO_PART_DONE},
        {PASSO_MOVE_STOPPED, PASSO_REASON_PASSES, PASSO_OUTCOME_PASSES, PASSO_PART_CONTEXT},
        {PASSO_MOVE_PLATEAU, PASSO_REASON_PLATEAU, PASSO_OUTCOME_PLATEAU, PASSO_PART_CONTEXT},
        {PASSO_MOVE_STOPPED, PASSO_REASON_TIME, PASSO_OUTCOME_TIME, PASSO_PART_CONTEXT},
        {PASSO_MOVE_TIRED, PASSO_REASON_TIRED, PASSO_OUTCOME_TIRED, PASSO_PART_EASY},
    };
    struct passo_rule rule = one_clean();
    rule.drop_misses = 1;
    rule.finish_passes = 1;
    for (size_t i = 0; i < 6; i++) {
        rule.stop_misses = i >= 1 ? 2 : 0;
        rule.stop_passes = i >= 2 ? 6 : 0;
        rule.plateau_drops = i >= 3 ? 2 : 0;
        rule.stop_ms = i >= 4 ? 600 : 0;
        rule.tired_misses = i >= 5 ? 3 : 0;
        play_begin(&play, &rule, 1);
        play.pass_ms = 100;
        play_marks(&play, "CMCCM"); /* drops from 64 and from 68 */
        assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
        play_expect_next(&play, PASSO_PART_CLIMB, 64000);
        play_pass(&play, 'M'); /* from 64 again */
        play_expect_move(&play, expected[i].move, expected[i].reason);
        assert_int_equal(play.state.outcome, expected[i].outcome);
        assert_int_equal(play.state.part, expected[i].part);
    }
    play_undo(&play);
    play_hand(&play, PASSO_LADDER_QUIT); /* and the player's stop above all */
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_QUIT);
}

static void line_09_a_rung_won_on_the_stopping_pass_counts(void **unused)
{
    (void)unused;
    struct passo_rule rule = one_clean();
    rule.stop_passes = 2;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 1);
    play_marks(&play, "CC");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_PASSES);
    play_expect_next(&play, PASSO_PART_CONTEXT, 64000);
}

static void line_09_passes_counts_the_climbing_alone(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.cold = true;
    rule.anchor_permille = 600;
    rule.stop_passes = 3;
    play_expect(&play, &rule, 1, "M C- U V M- C",
                "cold:100(M) 60 anchor:60 60(U) 60(V) 60(M) anchor:60 60");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PASSES);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_08_tired_looks_at_counted_marks_alone),
        cmocka_unit_test(line_08_the_easy_pass_is_not_under_the_bottom),
        cmocka_unit_test(line_09_a_won_climb_is_won_whatever_fires),
        cmocka_unit_test(line_09_time_ends_over_and_close),
        cmocka_unit_test(line_09_time_ends_the_climb_after_an_anchor),
        cmocka_unit_test(line_09_rank_of_the_stops),
        cmocka_unit_test(line_09_a_rung_won_on_the_stopping_pass_counts),
        cmocka_unit_test(line_09_passes_counts_the_climbing_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
