/* R7 of trade.md: the search for the edge, pass by pass, worked out by hand. */
#include "engine/ladder_play.h"

static struct play play;

/* 60 64 68 ... 116 120: sixteen rungs, four to a step. */
static struct passo_rule edge_rule(void)
{
    struct passo_rule rule = play_rule(60, 120, 16);
    rule.climbs = PASSO_CLIMBS_EDGE;
    return rule;
}

static void expect_edge(int32_t mbpm)
{
    assert_string_equal(passo_outcome_name(play.state.outcome), "edge");
    play_expect_move(&play, PASSO_MOVE_STOPPED, PASSO_REASON_EDGE_FOUND);
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), mbpm);
}

static void rule_7_to_the_letter(void **unused)
{
    (void)unused;
    struct passo_rule rule = edge_rule();
    rule.finish_passes = 1;
    rule.tired_misses = 3;
    play_begin(&play, &rule, 1);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_RAISED, PASSO_REASON_EDGE_UP);
    play_marks(&play, "CM");
    play_expect_move(&play, PASSO_MOVE_DROPPED, PASSO_REASON_EDGE_HALF);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_RAISED, PASSO_REASON_EDGE_HALF);
    play_pass(&play, 'M');
    assert_string_equal(play.course, "60 76 92(M) 84 88(M)");
    expect_edge(84000);
    assert_int_equal(play.ladder.edge_step, 4);
    assert_int_equal(play.ladder.rungs, 16);
    assert_int_equal(play.state.best_rung, play.state.edge_clean);
    play_expect_next(&play, PASSO_PART_CONTEXT, 84000);
}

static void an_edge_at_either_end(void **unused)
{
    (void)unused;
    const struct passo_rule rule = edge_rule();
    play_expect(&play, &rule, 1, "M", "60(M)");
    expect_edge(60000);
    play_expect(&play, &rule, 1, "CCCCC", "60 76 92 108 120");
    play_expect_move(&play, PASSO_MOVE_WON, PASSO_REASON_TARGET_WON);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    play_expect(&play, &rule, 1, "CCCC MCC", "60 76 92 108 120(M) 112 116");
    expect_edge(116000);
    play_expect(&play, &rule, 1, "CM MM", "60 76(M) 68(M) 64(M)");
    expect_edge(60000);
}

static void expect_grid(const struct passo_rule *rule, uint16_t step, uint16_t rungs,
                        const int32_t *mbpm, size_t first)
{
    play_begin(&play, rule, 1);
    assert_int_equal(play.ladder.edge_step, step);
    assert_int_equal(play.ladder.rungs, rungs);
    for (size_t i = 0; i < first; i++)
        assert_int_equal(play.ladder.rung_mbpm[i], mbpm[i]);
    assert_int_equal(play.ladder.rung_mbpm[rungs - 1], rule->target_mbpm);
}

static void the_step_is_halved_until_it_is_near_enough(void **unused)
{
    (void)unused;
    struct passo_rule rule = edge_rule();
    rule.step_mbpm = 5000;
    rule.target_mbpm = 70000;
    expect_grid(&rule, 2, 5, (const int32_t[]){60000, 62500, 65000, 67500, 70000}, 5);
    rule.step_mbpm = 4000;
    expect_grid(&rule, 1, 4, (const int32_t[]){60000, 64000, 68000}, 3);
    rule.step_mbpm = 16000;
    rule.edge_within_mbpm = 3999;
    expect_grid(&rule, 8, 6, (const int32_t[]){60000, 62000, 64000}, 3);
    /* to a hundredth, half up: 10 / 16 is 0.625 */
    rule.step_mbpm = 10000;
    rule.edge_within_mbpm = 1000;
    expect_grid(&rule, 16, 17, (const int32_t[]){60000, 60630, 61250, 61880, 62500}, 5);
    /* also close under the target: the edge is asked for to within 4 */
    rule = edge_rule();
    rule.target_mbpm = 76500;
    expect_grid(&rule, 4, 6, (const int32_t[]){60000, 64000, 68000, 72000, 76000}, 5);
    rule.start_mbpm = rule.target_mbpm;
    expect_grid(&rule, 4, 1, NULL, 0);
}

static void each_rung_asks_for_every_turn(void **unused)
{
    (void)unused;
    struct passo_rule rule = edge_rule();
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    rule.raise_clean = 5;
    play_expect(&play, &rule, 2, "CC CM CC M", "60a 60b 76a 76b(M) 68a 68b 72a(M)");
    expect_edge(68000);
}

static void unmarked_and_void_passes_say_nothing(void **unused)
{
    (void)unused;
    const struct passo_rule rule = edge_rule();
    play_expect(&play, &rule, 1, "CUVC", "60 76(U) 76(V) 76");
    play_expect_next(&play, PASSO_PART_CLIMB, 92000);
}

static void by_hand_the_search_stays_between(void **unused)
{
    (void)unused;
    const struct passo_rule rule = edge_rule();
    play_begin(&play, &rule, 1);
    play_hand(&play, PASSO_LADDER_EASIER);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    play_marks(&play, "CCM"); /* clean at 76, missed at 92, now at 84 */
    for (int i = 0; i < 3; i++)
        play_hand(&play, PASSO_LADDER_HARDER);
    play_expect_next(&play, PASSO_PART_CLIMB, 88000);
    for (int i = 0; i < 5; i++)
        play_hand(&play, PASSO_LADDER_EASIER);
    play_expect_next(&play, PASSO_PART_CLIMB, 80000);
    play_pass(&play, 'C'); /* between 80 and 92: 86 is no rung, so 84 */
    play_expect_next(&play, PASSO_PART_CLIMB, 84000);
}

static void the_stops_come_first(void **unused)
{
    (void)unused;
    struct passo_rule rule = edge_rule();
    rule.stop_passes = 5; /* "at most 6 passes": the fifth finds it */
    play_expect(&play, &rule, 1, "CCMCM", "60 76 92(M) 84 88(M)");
    expect_edge(84000);
    rule.stop_passes = 4;
    play_expect(&play, &rule, 1, "CCMC", "60 76 92(M) 84");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PASSES);
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), 84000);
    rule.stop_passes = 0;
    rule.tired_misses = 3;
    play_expect(&play, &rule, 1, "CMMM", "60 76(M) 68(M) 64(M)");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIRED);
    rule.tired_misses = 0;
    rule.leads_on = true;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "CMMM", "60 76(M) 68(M) 64(M)");
    expect_edge(60000);
    assert_int_equal(play.state.part, PASSO_PART_DONE);
}

static void a_clean_ceiling_is_todays_edge(void **unused)
{
    (void)unused;
    struct passo_rule rule = edge_rule();
    rule.ceiling_mbpm = 82000;
    play_expect(&play, &rule, 1, "CCC", "60 76 80");
    expect_edge(80000);
    play_expect(&play, &rule, 1, "CCM", "60 76 80(M)");
    expect_edge(76000);
}

static void an_earlier_day_opens_the_search_higher(void **unused)
{
    (void)unused;
    struct passo_rule rule = edge_rule();
    rule.past_mbpm = 100000; /* 85: the grid's 84 */
    play_begin(&play, &rule, 1);
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), 84000);
    play_expect(&play, &rule, 1, "CM", "84 100(M)");
    play_expect_next(&play, PASSO_PART_CLIMB, 92000);
    play_expect(&play, &rule, 1, "MC", "84(M) 68");
    play_expect_next(&play, PASSO_PART_CLIMB, 76000);
    play_expect(&play, &rule, 1, "MMM", "84(M) 68(M) 60(M)");
    expect_edge(60000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rule_7_to_the_letter),
        cmocka_unit_test(an_edge_at_either_end),
        cmocka_unit_test(the_step_is_halved_until_it_is_near_enough),
        cmocka_unit_test(each_rung_asks_for_every_turn),
        cmocka_unit_test(unmarked_and_void_passes_say_nothing),
        cmocka_unit_test(by_hand_the_search_stays_between),
        cmocka_unit_test(the_stops_come_first),
        cmocka_unit_test(a_clean_ceiling_is_todays_edge),
        cmocka_unit_test(an_earlier_day_opens_the_search_higher),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
