/* Climbs that do not climb: a check before a performance, a block of a routine; and a hand that
 * puts a limit off. What a check does is trade.md (g): one pass each, after a miss one more at
 * 80 %, never a third, no raising. */
#include "engine/forecast_tools.h"
#include "engine/ladder_play.h"

static struct play play;

/* Spot C of trade.md session 9: 96, once more at 76.8. Everything else of the rule is as loud as it
 * can be, and says nothing. */
static struct passo_rule check_rule(void)
{
    struct passo_rule rule = passo_rule_default();
    rule.climbs = PASSO_CLIMBS_CHECK;
    rule.target_mbpm = 96000;
    rule.start_permille = 800;
    rule.stop_ms = 0;
    rule.cold = true;
    rule.anchor_permille = 600;
    rule.over_passes = 2;
    rule.close_clean = 2;
    rule.finish_passes = 2;
    rule.put_away_passes = 1;
    rule.put_away_permille = 600;
    rule.tired_misses = 1;
    rule.tired_of = 1;
    rule.stop_passes = 1;
    rule.stop_misses = 1;
    rule.stage_passes = 1;
    rule.ceiling_mbpm = 80000;
    rule.past_mbpm = 60000;
    rule.unmarked = PASSO_UNMARKED_MISS;
    return rule;
}

static struct passo_rule block_rule(void)
{
    struct passo_rule rule = check_rule();
    rule.climbs = PASSO_CLIMBS_BLOCK;
    rule.stop_passes = 3;
    return rule;
}

static void expect_end(enum passo_outcome outcome, enum passo_move move, enum passo_reason reason)
{
    play_expect_next(&play, PASSO_PART_DONE, play_next(&play).mbpm);
    assert_string_equal(passo_outcome_name(play.state.outcome), passo_outcome_name(outcome));
    play_expect_move(&play, move, reason);
}

static void a_check_is_one_pass_and_after_a_miss_one_slower(void **unused)
{
    (void)unused;
    const struct passo_rule rule = check_rule();
    play_begin(&play, &rule, 3);
    assert_int_equal(play.ladder.rungs, 2);
    assert_int_equal(play.ladder.rule.unmarked, PASSO_UNMARKED_HOLD);
    play_expect_next(&play, PASSO_PART_CLIMB, 96000);
    play_expect(&play, &rule, 1, "C", "96");
    expect_end(PASSO_OUTCOME_WON, PASSO_MOVE_NONE, PASSO_REASON_TOUCHED);
    play_expect(&play, &rule, 1, "U", "96(U)");
    expect_end(PASSO_OUTCOME_DONE, PASSO_MOVE_NONE, PASSO_REASON_TOUCHED);
    play_expect(&play, &rule, 1, "M", "96(M)");
    play_expect_next(&play, PASSO_PART_CLIMB, 76800);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_ONCE_MORE);
    play_expect(&play, &rule, 1, "VMVC", "96(V) 96(M) 76.8(V) 76.8");
    expect_end(PASSO_OUTCOME_MISSES, PASSO_MOVE_NONE, PASSO_REASON_TOUCHED);
    play_expect(&play, &rule, 1, "MM", "96(M) 76.8(M)");
    expect_end(PASSO_OUTCOME_MISSES, PASSO_MOVE_NONE, PASSO_REASON_TOUCHED);
    play_expect(&play, &rule, 1, "MU", "96(M) 76.8(U)");
    expect_end(PASSO_OUTCOME_MISSES, PASSO_MOVE_NONE, PASSO_REASON_TOUCHED);
}

/* start = target: the second try is at the same tempo, and still the last. */
static void a_check_at_one_tempo(void **unused)
{
    (void)unused;
    struct passo_rule rule = check_rule();
    rule.start_mbpm = 96000;
    play_expect(&play, &rule, 1, "MM", "96(M) 96(M)");
    assert_int_equal(play.ladder.rungs, 1);
    expect_end(PASSO_OUTCOME_MISSES, PASSO_MOVE_NONE, PASSO_REASON_TOUCHED);
    /* A start that is very near is still a tempo of its own. */
    rule.start_mbpm = 95900;
    play_expect(&play, &rule, 1, "MC", "96(M) 95.9");
    rule.start_mbpm = 96001;
    char fault[256];
    assert_int_equal(passo_ladder_init(&play.ladder, &rule, 1, fault, sizeof fault),
                     PASSO_ERR_RANGE);
    assert_non_null(strstr(fault, "`start` is 96.001"));
}

static void no_hand_moves_a_check_but_the_undo_does(void **unused)
{
    (void)unused;
    const struct passo_rule rule = check_rule();
    struct passo_ladder_state before;
    play_begin(&play, &rule, 3);
    memcpy(&before, &play.state, sizeof before);
    play_hand(&play, PASSO_LADDER_EASIER);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_hand(&play, PASSO_LADDER_TURN);
    play_hand(&play, PASSO_LADDER_EXTEND); /* without a limit there is nothing to put off */
    assert_memory_equal(&before, &play.state, sizeof before);
    assert_int_equal(play.last.move, PASSO_MOVE_NONE);
    play_pass(&play, 'M');
    play_expect_next(&play, PASSO_PART_CLIMB, 76800);
    play_undo(&play);
    play_expect_next(&play, PASSO_PART_CLIMB, 96000);
    play_pass(&play, 'M');
    play_hand(&play, PASSO_LADDER_HARDER);
    play_expect_next(&play, PASSO_PART_CLIMB, 76800);
    play_hand(&play, PASSO_LADDER_QUIT);
    expect_end(PASSO_OUTCOME_QUIT, PASSO_MOVE_STOPPED, PASSO_REASON_QUIT);
}

/* What was played at another rung (the mark was taken back meanwhile) moves nothing. */
static void a_pass_played_elsewhere_moves_nothing(void **unused)
{
    (void)unused;
    const struct passo_rule rules[] = {check_rule(), block_rule()};
    for (size_t i = 0; i < 2; i++) {
        const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                                 .mark = PASSO_MARK_MISS,
                                                 .part = PASSO_PART_CLIMB,
                                                 .rung = 7};
        struct passo_ladder_state before;
        play_begin(&play, &rules[i], 1);
        memcpy(&before, &play.state, sizeof before);
        play_event(&play, &event);
        assert_memory_equal(&before, &play.state, sizeof before);
        play_expect_move(&play, PASSO_MOVE_NONE, PASSO_REASON_ELSEWHERE);
    }
}

static void the_time_ends_a_check(void **unused)
{
    (void)unused;
    struct passo_rule rule = check_rule();
    rule.stop_ms = 60000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 60000;
    play_pass(&play, 'M'); /* no time for the slower one, and a miss it was */
    expect_end(PASSO_OUTCOME_MISSES, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
    play_begin(&play, &rule, 1);
    play.pass_ms = 60000;
    play_pass(&play, 'V');
    expect_end(PASSO_OUTCOME_TIME, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
    play_begin(&play, &rule, 1);
    play.pass_ms = 60000;
    play_pass(&play, 'C');
    expect_end(PASSO_OUTCOME_WON, PASSO_MOVE_NONE, PASSO_REASON_TOUCHED);
    play_begin(&play, &rule, 1);
    play.pass_ms = 60000;
    play_hand(&play, PASSO_LADDER_EXTEND);
    play_pass(&play, 'M');
    play_expect_next(&play, PASSO_PART_CLIMB, 76800);
}

static void a_block_is_played_so_often_whatever_is_said_of_it(void **unused)
{
    (void)unused;
    const struct passo_rule rule = block_rule();
    play_expect(&play, &rule, 1, "UUU", "96(U) 96(U) 96(U)");
    assert_int_equal(play.ladder.rungs, 1);
    expect_end(PASSO_OUTCOME_DONE, PASSO_MOVE_NONE, PASSO_REASON_PLAYED);
    play_expect(&play, &rule, 1, "MCM", "96(M) 96 96(M)");
    expect_end(PASSO_OUTCOME_DONE, PASSO_MOVE_NONE, PASSO_REASON_PLAYED);
    assert_int_equal(play.state.best_rung, -1);
    assert_int_equal(play.state.misses_run, 0);
    /* A pause broke the second off: it is played again. */
    play_expect(&play, &rule, 1, "UVU", "96(U) 96(V) 96(U)");
    play_expect_next(&play, PASSO_PART_CLIMB, 96000);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_hand(&play, PASSO_LADDER_EXTEND);
    play_marks(&play, "UUUU");
    play_expect_next(&play, PASSO_PART_CLIMB, 96000);
    play_pass(&play, 'U');
    expect_end(PASSO_OUTCOME_DONE, PASSO_MOVE_NONE, PASSO_REASON_PLAYED);
}

/* Nobody is there to say anything: it never pauses, and a pass that was begun is finished. */
static void a_block_of_minutes_never_pauses(void **unused)
{
    (void)unused;
    struct passo_rule rule = block_rule();
    rule.stop_passes = 0;
    rule.stop_ms = 100000;
    play_begin(&play, &rule, 1);
    play.pass_ms = 9000;
    for (int i = 0; i < 11; i++) {
        play_pass(&play, 'U');
        assert_false(play_next(&play).pause);
        assert_false(play_next(&play).wait);
    }
    play_expect_next(&play, PASSO_PART_CLIMB, 96000);
    play_pass(&play, 'U');
    expect_end(PASSO_OUTCOME_DONE, PASSO_MOVE_NONE, PASSO_REASON_PLAYED);
    play_begin(&play, &rule, 1);
    play.pass_ms = 100000;
    play_pass(&play, 'V');
    expect_end(PASSO_OUTCOME_DONE, PASSO_MOVE_NONE, PASSO_REASON_PLAYED);
}

/* --- two minutes and four passes more --- */

static void a_hand_puts_the_limits_off(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.stop_ms = 60000;
    play_begin(&play, &rule, 1);
    assert_int_equal(passo_ladder_stop_ms(&play.ladder, &play.state), 60000);
    assert_true(passo_ladder_extends(&play.ladder, &play.state));
    play_hand(&play, PASSO_LADDER_EXTEND);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_EXTENDED);
    assert_int_equal(passo_ladder_stop_ms(&play.ladder, &play.state), 180000);
    play.pass_ms = 20000;
    play_marks(&play, "MMMM MMMM");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
    play_pass(&play, 'M'); /* 180 s */
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIME);
    assert_false(passo_ladder_extends(&play.ladder, &play.state));
    const uint16_t extended = play.state.extended;
    play_hand(&play, PASSO_LADDER_EXTEND);
    assert_int_equal(play.state.extended, extended);
    rule.stop_ms = 0;
    rule.stop_passes = 2;
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_hand(&play, PASSO_LADDER_EXTEND);
    play_hand(&play, PASSO_LADDER_EXTEND);
    play_marks(&play, "MMMM MMMM");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
    play_pass(&play, 'M');
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PASSES);
}

/* The clean pass stays clean, and three without a mark before the hand make no pause. */
static void it_keeps_what_was_counted(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.stop_passes = 40;
    play_begin(&play, &rule, 1);
    play_marks(&play, "CUU");
    play_hand(&play, PASSO_LADDER_EXTEND);
    play_pass(&play, 'U');
    assert_false(play_next(&play).pause);
    play_pass(&play, 'C');
    play_expect_next(&play, PASSO_PART_CLIMB, 64000);
    rule.stop_passes = 0;
    play_begin(&play, &rule, 1);
    assert_false(passo_ladder_extends(&play.ladder, &play.state));
    play_hand(&play, PASSO_LADDER_EXTEND);
    assert_int_equal(play.state.extended, 0);
    assert_int_equal(play.last.move, PASSO_MOVE_NONE);
    rule.cold = true;
    rule.stop_passes = 4;
    rule.finish_passes = 1;
    play_begin(&play, &rule, 1);
    play_hand(&play, PASSO_LADDER_EXTEND); /* before the first try */
    assert_int_equal(play.state.extended, 1);
    play_marks(&play, "M MMMM MMMM");
    play_expect_next(&play, PASSO_PART_CONTEXT, 60000);
    assert_false(passo_ladder_extends(&play.ladder, &play.state));
}

/* --- as a course --- */

static void it_runs_over_all_stages(void **unused)
{
    (void)unused;
    static struct passo_course course;
    static struct passo_course_state state;
    memset(&course, 0, sizeof course);
    course.stages = 2;
    for (size_t i = 0; i < 2; i++) {
        course.stage[i].rule = play_rule(60, 100, 4);
        course.stage[i].rule.stop_ms = 300000;
        course.stage[i].rule.stage_passes = 2;
        course.stage[i].turns = 1;
        snprintf(course.stage[i].name, sizeof course.stage[i].name, "half %zu", i + 1);
    }
    assert_int_equal(passo_course_check(&course, NULL, 0), PASSO_OK);
    passo_course_begin(&course, &state);
    const struct passo_ladder_event more = {.type = PASSO_LADDER_EXTEND};
    passo_course_apply(&course, &state, &more);
    for (int passes = 1; passes <= 12; passes++) {
        const struct passo_plan plan = passo_course_next(&course, &state);
        assert_int_equal(plan.stage, passes > 6);
        const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                                 .mark = PASSO_MARK_MISS,
                                                 .part = plan.part,
                                                 .rung = plan.rung,
                                                 .stage = plan.stage,
                                                 .elapsed_ms = passes * 1000};
        passo_course_apply(&course, &state, &event);
    }
    assert_int_equal(state.now.part, PASSO_PART_DONE);
    assert_int_equal(state.now.extended, 1);
}

static void they_stand_alone(void **unused)
{
    (void)unused;
    static struct passo_course course;
    char fault[256];
    memset(&course, 0, sizeof course);
    course.stages = 2;
    course.stage[0].rule = play_rule(60, 100, 4);
    course.stage[0].turns = course.stage[1].turns = 1;
    snprintf(course.stage[1].name, sizeof course.stage[1].name, "seam");
    const struct passo_rule rules[] = {check_rule(), block_rule()};
    for (size_t i = 0; i < 2; i++) {
        course.stage[1].rule = rules[i];
        assert_int_equal(passo_course_check(&course, fault, sizeof fault), PASSO_ERR_RANGE);
        assert_non_null(strstr(fault, "stage `seam`: a check or a block"));
    }
    course.stages = 1;
    course.stage[0].rule = rules[0];
    assert_int_equal(passo_course_check(&course, fault, sizeof fault), PASSO_OK);
}

static void there_is_no_advice_on_them(void **unused)
{
    (void)unused;
    const struct passo_rule rules[] = {check_rule(), block_rule()};
    for (size_t i = 0; i < 2; i++) {
        play_begin(&play, &rules[i], 1);
        assert_null(passo_ladder_advice(&play.ladder));
        assert_true(passo_rule_is_once(&play.ladder.rule));
    }
    const struct passo_rule climbs = play_rule(60, 100, 4);
    assert_false(passo_rule_is_once(&climbs));
}

/* Forecasts have an end too: of a check that is missed nine times in ten, and of a block. */
static void a_forecast_of_them_ends(void **unused)
{
    (void)unused;
    const struct passo_rule rules[] = {check_rule(), block_rule()};
    for (size_t i = 0; i < 2; i++) {
        struct passo_forecast_climb climb[200];
        struct forecast_scene *scene = forecast_scene(&rules[i]);
        scene->ask.skill = forecast_flat(0.1);
        passo_forecast_run(&scene->ask, 0, 200, climb);
        size_t won = 0;
        for (size_t k = 0; k < 200; k++) {
            const bool first = climb[k].outcome == PASSO_OUTCOME_WON;
            won += first;
            assert_int_equal(climb[k].passes, i ? 3 : first ? 1 : 2);
            if (i)
                assert_int_equal(climb[k].outcome, PASSO_OUTCOME_DONE);
            else if (!first)
                assert_int_equal(climb[k].outcome, PASSO_OUTCOME_MISSES);
        }
        assert_in_range(won, i ? 0 : 5, i ? 0 : 50);
        free(scene);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_check_is_one_pass_and_after_a_miss_one_slower),
        cmocka_unit_test(a_check_at_one_tempo),
        cmocka_unit_test(no_hand_moves_a_check_but_the_undo_does),
        cmocka_unit_test(a_pass_played_elsewhere_moves_nothing),
        cmocka_unit_test(the_time_ends_a_check),
        cmocka_unit_test(a_block_is_played_so_often_whatever_is_said_of_it),
        cmocka_unit_test(a_block_of_minutes_never_pauses),
        cmocka_unit_test(a_hand_puts_the_limits_off),
        cmocka_unit_test(it_keeps_what_was_counted),
        cmocka_unit_test(it_runs_over_all_stages),
        cmocka_unit_test(they_stand_alone),
        cmocka_unit_test(there_is_no_advice_on_them),
        cmocka_unit_test(a_forecast_of_them_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
