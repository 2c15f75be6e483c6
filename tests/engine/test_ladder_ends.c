/* How a climb or a stage ends, pass by pass, worked out by hand: a thinning close, a close after a
 * plateau, a slow pass to put away, tired by playing, limits of the stage alone, and a stage that
 * leads on. The rules are trade.md's 2-3(b); the tempos are invented. */
#include "engine/ladder_play.h"

static struct play play;

/* R25: at the target each clean pass thins the pulse one stage, a miss gives one back. */
static void close_thins_until_nothing_clicks(void **unused)
{
    (void)unused;
    static const char marks[] = "MCCMUCVCCC";
    static const uint8_t thin[] = {0, 0, 1, 2, 1, 1, 2, 2, 3, 4};
    struct passo_rule rule = play_rule(100, 100, 4);
    rule.raise_clean = 1;
    rule.close_thins = true;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 1);
    assert_int_equal(play_next(&play).thin, PASSO_THIN_NONE);
    play_pass(&play, 'C');
    for (size_t i = 0; i < sizeof thin; i++) {
        play_expect_next(&play, PASSO_PART_CLOSE, 100000);
        assert_int_equal(play_next(&play).thin, thin[i]);
        play_pass(&play, marks[i]);
    }
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    play_expect_next(&play, PASSO_PART_CONTEXT, 100000);
    assert_int_equal(play_next(&play).thin, PASSO_THIN_NONE);
}

static void close_says_how_it_thins(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(100, 100, 4);
    rule.raise_clean = 1;
    rule.close_thins = true;
    play_expect(&play, &rule, 1, "CM", "100 close:100(M)");
    play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_UNCOUNTED);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_THINNER);
    assert_false(play.last.counted);
    play_pass(&play, 'M');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_FULLER);
    rule.stop_ms = 35000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 10000;
    play_marks(&play, "CCCC");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

/* R15: the second drop from one tempo, then two clean passes at the best tempo won. */
static struct passo_rule plateau_rule(void)
{
    struct passo_rule rule = play_rule(60, 100, 8);
    rule.raise_clean = 1;
    rule.plateau_drops = 2;
    rule.plateau_clean = 2;
    rule.over_passes = 1;
    rule.finish_passes = 1;
    return rule;
}

static void a_plateau_closes_at_the_best_tempo_won(void **unused)
{
    (void)unused;
    struct passo_rule rule = plateau_rule();
    play_expect(&play, &rule, 1, "CCMM CMM CMU C M",
                "60 68 76(M) 76(M) 68 76(M) 76(M) close:68 close:68(M) close:68(U) close:68 "
                "context:68(M)");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PLATEAU);
    rule.close_thins = true; /* that is of the target */
    play_expect(&play, &rule, 1, "CCMM CMM C", "60 68 76(M) 76(M) 68 76(M) 76(M) close:68");
    assert_int_equal(play_next(&play).thin, PASSO_THIN_NONE);
    rule.stop_ms = 80000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 10000;
    play_marks(&play, "CCMM CMM M");
    play_expect_next(&play, PASSO_PART_CONTEXT, 68000);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PLATEAU);
}

/* R26: put away slow. */
static void after_the_context_it_is_put_away_slowly(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(92, 100, 4);
    rule.raise_clean = 1;
    rule.finish_passes = 1;
    rule.put_away_passes = 2;
    rule.put_away_permille = 600;
    play_expect(&play, &rule, 1, "CCC M", "92 96 100 context:100(M)");
    assert_int_equal(play_next(&play).rest_ms, 0);
    play_marks(&play, "MU");
    assert_string_equal(play.course, "92 96 100 context:100(M) easy:60(M) easy:60(U)");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    rule.finish_passes = 0;
    play_expect(&play, &rule, 1, "CCC CC", "92 96 100 easy:60 easy:60");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    rule.stop_misses = 2;
    play_expect(&play, &rule, 1, "MM", "92(M) 92(M)");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    rule.stop_misses = 0;
    rule.tired_misses = 2;
    play_expect(&play, &rule, 1, "MM", "92(M) 92(M)");
    assert_int_equal(play_next(&play).rest_ms, 90000);
    play_marks(&play, "C");
    assert_string_equal(play.course, "92(M) 92(M) easy:92");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

/* R18: playing minutes over a limit. */
static void tired_by_playing(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    rule.cold = true;
    rule.tired_played_ms = 40000;
    play_begin(&play, &rule, 1);
    play.body_ms = 10000;
    play_marks(&play, "CCCC");
    assert_string_equal(play.course, "cold:100 60 64 68");
    play_expect_move(&play, PASSO_MOVE_TIRED, PASSO_REASON_TIRED);
    play_expect_next(&play, PASSO_PART_EASY, 60000);
    assert_int_equal(play_next(&play).rest_ms, 90000);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIRED);
    /* at a counted mark only: unmarked, the third pass leaves it open */
    play_begin(&play, &rule, 1);
    play.body_ms = 10000;
    play_marks(&play, "CCCU");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
    /* the pass that wins has won, and nothing past the target is asked for */
    rule.start_mbpm = 92000;
    rule.over_passes = 1;
    play_begin(&play, &rule, 1);
    play.body_ms = 10000;
    play_marks(&play, "CCCC");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static struct passo_rule stage_rule(void)
{
    struct passo_rule rule = play_rule(60, 100, 8);
    rule.raise_clean = 1;
    rule.finish_passes = 1;
    return rule;
}

static void expect_stage_end(enum passo_outcome outcome, enum passo_part part, bool stage_ended)
{
    assert_string_equal(passo_outcome_name(play.state.outcome), passo_outcome_name(outcome));
    assert_string_equal(passo_part_name(play.state.part), passo_part_name(part));
    assert_int_equal(play.state.stage_ended, stage_ended);
}

static void a_stage_has_limits_of_its_own(void **unused)
{
    (void)unused;
    struct passo_rule rule = stage_rule();
    rule.stage_passes = 3;
    play_expect(&play, &rule, 1, "CMC", "60 68(M) 68");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_PASSES);
    expect_stage_end(PASSO_OUTCOME_PASSES, PASSO_PART_CONTEXT, true);
    rule.leads_on = true;
    play_expect(&play, &rule, 1, "CMC", "60 68(M) 68");
    expect_stage_end(PASSO_OUTCOME_PASSES, PASSO_PART_DONE, true);
    rule = stage_rule();
    rule.stage_misses = 2;
    play_expect(&play, &rule, 1, "CMCMM", "60 68(M) 68 76(M) 76(M)");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_MISSES);
    expect_stage_end(PASSO_OUTCOME_MISSES, PASSO_PART_DONE, true);
}

static void a_stages_time_is_from_its_beginning(void **unused)
{
    (void)unused;
    struct passo_rule rule = stage_rule();
    rule.stage_ms = 30000;
    rule.leads_on = true;
    play_begin(&play, &rule, 1);
    play.state.stage_from_ms = 60000;
    play.clock_ms = 60000;
    play.pass_ms = 15000;
    play_pass(&play, 'C');
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
    expect_stage_end(PASSO_OUTCOME_TIME, PASSO_PART_DONE, true);
    /* an anchor pass too may use it up */
    rule.anchor_permille = 600;
    play_begin(&play, &rule, 1);
    play.pass_ms = 15000;
    play_marks(&play, "C-");
    expect_stage_end(PASSO_OUTCOME_TIME, PASSO_PART_DONE, true);
}

static void the_climbs_limit_comes_before_the_stages(void **unused)
{
    (void)unused;
    struct passo_rule rule = stage_rule();
    rule.stage_passes = 2;
    rule.stop_passes = 2;
    rule.leads_on = true;
    play_expect(&play, &rule, 1, "CC", "60 68");
    expect_stage_end(PASSO_OUTCOME_PASSES, PASSO_PART_CONTEXT, false);
    /* time of the stage ranks over passes of the climb, but a stage follows and may not */
    rule.stage_passes = 0;
    rule.stage_ms = 20000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 10000;
    play_marks(&play, "CC");
    expect_stage_end(PASSO_OUTCOME_PASSES, PASSO_PART_CONTEXT, false);
    rule.leads_on = false;
    play_begin(&play, &rule, 1);
    play.pass_ms = 10000;
    play_marks(&play, "CC");
    expect_stage_end(PASSO_OUTCOME_TIME, PASSO_PART_CONTEXT, true);
}

static void a_stage_that_leads_on_leaves_the_finish_to_the_last(void **unused)
{
    (void)unused;
    struct passo_rule rule = stage_rule();
    rule.leads_on = true;
    rule.put_away_passes = 1;
    rule.put_away_permille = 600;
    rule.over_passes = 1;
    rule.plateau_drops = 1;
    play_expect(&play, &rule, 1, "CCCCCC M", "60 68 76 84 92 100 over:105(M)");
    expect_stage_end(PASSO_OUTCOME_WON, PASSO_PART_DONE, false);
    play_expect(&play, &rule, 1, "CMM", "60 68(M) 68(M)");
    expect_stage_end(PASSO_OUTCOME_PLATEAU, PASSO_PART_DONE, false);
    /* what ends the climb ends it here too, with its finish */
    rule.stop_passes = 2;
    play_expect(&play, &rule, 1, "CC CC", "60 68 context:68 easy:60");
    expect_stage_end(PASSO_OUTCOME_PASSES, PASSO_PART_DONE, false);
}

static void a_won_stage_does_not_hide_that_the_climb_is_over(void **unused)
{
    (void)unused;
    struct passo_rule rule = stage_rule();
    rule.start_mbpm = 92000;
    rule.stop_passes = 2;
    play_expect(&play, &rule, 1, "CC", "92 100");
    expect_stage_end(PASSO_OUTCOME_WON, PASSO_PART_CONTEXT, false);
    rule.leads_on = true;
    play_expect(&play, &rule, 1, "CC", "92 100");
    expect_stage_end(PASSO_OUTCOME_PASSES, PASSO_PART_CONTEXT, false);
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), 100000);
    /* nor does its close */
    rule.stop_passes = 0;
    rule.stop_ms = 30000;
    rule.close_clean = 2;
    play_begin(&play, &rule, 1);
    play.pass_ms = 10000;
    play_marks(&play, "CCC");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
    expect_stage_end(PASSO_OUTCOME_TIME, PASSO_PART_CONTEXT, false);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(close_thins_until_nothing_clicks),
        cmocka_unit_test(close_says_how_it_thins),
        cmocka_unit_test(a_plateau_closes_at_the_best_tempo_won),
        cmocka_unit_test(after_the_context_it_is_put_away_slowly),
        cmocka_unit_test(tired_by_playing),
        cmocka_unit_test(a_stage_has_limits_of_its_own),
        cmocka_unit_test(a_stages_time_is_from_its_beginning),
        cmocka_unit_test(the_climbs_limit_comes_before_the_stages),
        cmocka_unit_test(a_stage_that_leads_on_leaves_the_finish_to_the_last),
        cmocka_unit_test(a_won_stage_does_not_hide_that_the_climb_is_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
