/* R24 of trade.md: mixed tempos. Which tempo is drawn hangs on the seed; what must hold does not.
 */
#include "engine/ladder_play.h"

#define SEEDS 4000

static struct play play;

/* 70 80 90 100 */
static struct passo_rule mixed_rule(uint64_t seed)
{
    struct passo_rule rule = play_rule(70, 100, 10);
    rule.climbs = PASSO_CLIMBS_MIXED;
    rule.seed = seed;
    return rule;
}

static void clean_passes_put_every_rung_away_once(void **unused)
{
    (void)unused;
    for (uint64_t seed = 0; seed < 100; seed++) {
        const struct passo_rule rule = mixed_rule(seed);
        unsigned seen = 0;
        play_begin(&play, &rule, 1);
        for (int i = 0; i < 4; i++) {
            const unsigned bit = 1u << play_next(&play).rung;
            assert_false(seen & bit);
            assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
            play_pass(&play, 'C');
            seen |= bit;
            if (i < 3)
                play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_PUT_AWAY);
        }
        assert_int_equal(seen, 15);
        play_expect_move(&play, PASSO_MOVE_WON, PASSO_REASON_TARGET_WON);
        assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
        assert_int_equal(play.state.best_rung, 3);
    }
}

static void a_miss_leaves_it_in_and_none_comes_twice_running(void **unused)
{
    (void)unused;
    for (uint64_t seed = 0; seed < 100; seed++) {
        const struct passo_rule rule = mixed_rule(seed);
        play_begin(&play, &rule, 1);
        for (int i = 0; i < 12; i++) {
            const uint16_t rung = play_next(&play).rung;
            play_pass(&play, 'M');
            play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_STAYS_IN);
            assert_int_not_equal(play_next(&play).rung, rung);
        }
        play_marks(&play, "CCC");
        const uint16_t last = play_next(&play).rung; /* the only one left comes again */
        play_marks(&play, "M");
        assert_int_equal(play_next(&play).rung, last);
        play_marks(&play, "MC");
        assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    }
}

static void every_rung_is_drawn_as_often(void **unused)
{
    (void)unused;
    int first[4] = {0};
    int second[4][4] = {{0}};
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        const struct passo_rule rule = mixed_rule(seed);
        play_begin(&play, &rule, 1);
        const uint16_t one = play_next(&play).rung;
        play_pass(&play, 'M');
        first[one]++;
        second[one][play_next(&play).rung]++;
    }
    /* five standard deviations: 5 x sqrt(4000 x 1/4 x 3/4) = 137, 5 x sqrt(4000 / 12) = 91 */
    for (int one = 0; one < 4; one++) {
        assert_near(first[one], SEEDS / 4.0, 137);
        for (int other = 0; other < 4; other++)
            assert_near(second[one][other], one == other ? 0 : SEEDS / 12.0, one == other ? 0 : 91);
    }
}

/* A draw is one of its number, not of what was played before: an undo draws the same again. */
static void the_order_is_the_rules_and_the_events(void **unused)
{
    (void)unused;
    const struct passo_rule rule = mixed_rule(5);
    static struct play again;
    play_begin(&play, &rule, 1);
    play_begin(&again, &rule, 1);
    play_marks(&play, "CMMCUC");
    play_marks(&again, "CMMCM");
    play_undo(&again);
    play_marks(&again, "UV");
    play_undo(&again);
    play_marks(&again, "C");
    assert_memory_equal(&play.state, &again.state, sizeof play.state);
}

static void a_rung_asks_for_every_turn(void **unused)
{
    (void)unused;
    struct passo_rule rule = mixed_rule(1);
    rule.turn = PASSO_TURN_EVERY_PASS;
    rule.raise_clean = 3;
    play_begin(&play, &rule, 2);
    const uint16_t rung = play_next(&play).rung;
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_NEXT_TURN);
    assert_int_equal(play_next(&play).rung, rung);
    assert_int_equal(play_next(&play).turn, 1);
    play_pass(&play, 'M');
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_STAYS_IN);
    assert_int_not_equal(play_next(&play).rung, rung);
    assert_int_equal(play_next(&play).turn, 0);
    play_marks(&play, "CC CC CC CC");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(play.state.passes, 10);
}

static void by_hand_the_next_that_is_still_in(void **unused)
{
    (void)unused;
    const struct passo_rule rule = mixed_rule(2);
    play_begin(&play, &rule, 1);
    for (int i = 0; i < 4; i++)
        play_hand(&play, PASSO_LADDER_EASIER);
    play_expect_next(&play, PASSO_PART_CLIMB, 70000);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_pass(&play, 'C'); /* 80 is away */
    for (int i = 0; i < 4; i++)
        play_hand(&play, PASSO_LADDER_EASIER);
    play_expect_next(&play, PASSO_PART_CLIMB, 70000);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_expect_move(&play, PASSO_MOVE_HARDER, PASSO_REASON_BY_HAND);
    play_expect_next(&play, PASSO_PART_CLIMB, 90000);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    play_expect_next(&play, PASSO_PART_CLIMB, 100000);
    play_pass(&play, 'C');
    assert_int_equal(play.state.best_rung, 3); /* put away, though two are left */
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
}

static void under_a_ceiling_all_come_in_again(void **unused)
{
    (void)unused;
    struct passo_rule rule = mixed_rule(3);
    rule.ceiling_mbpm = 95000;
    play_begin(&play, &rule, 1);
    for (int round = 0; round < 5; round++)
        for (int i = 0; i < 3; i++) {
            const uint16_t rung = play_next(&play).rung;
            assert_true(rung < 3);
            play_pass(&play, 'C');
            play_expect_move(&play, PASSO_MOVE_HELD,
                             i < 2 ? PASSO_REASON_PUT_AWAY : PASSO_REASON_CEILING);
            assert_int_not_equal(play_next(&play).rung, rung);
        }
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
}

static void the_stops_hold_alike(void **unused)
{
    (void)unused;
    struct passo_rule rule = mixed_rule(4);
    rule.tired_misses = 3;
    rule.plateau_drops = 1;
    play_begin(&play, &rule, 1);
    play_marks(&play, "MMM");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIRED);
    rule.tired_misses = 0;
    rule.stop_passes = 4;
    play_begin(&play, &rule, 1);
    play_marks(&play, "CMCC");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PASSES);
    play_begin(&play, &rule, 1);
    play_marks(&play, "CCCC"); /* the last needed pass */
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void an_earlier_day_says_which_comes_first(void **unused)
{
    (void)unused;
    for (uint64_t seed = 0; seed < 20; seed++) {
        struct passo_rule rule = mixed_rule(seed);
        rule.past_mbpm = 100000; /* 85: opens at 80 */
        play_begin(&play, &rule, 1);
        play_expect_next(&play, PASSO_PART_CLIMB, 80000);
        play_marks(&play, "CCCC");
        assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    }
}

static void one_rung_is_a_ladder_too(void **unused)
{
    (void)unused;
    struct passo_rule rule = mixed_rule(0);
    rule.start_mbpm = rule.target_mbpm;
    play_expect(&play, &rule, 1, "MMC", "100(M) 100(M) 100");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clean_passes_put_every_rung_away_once),
        cmocka_unit_test(a_miss_leaves_it_in_and_none_comes_twice_running),
        cmocka_unit_test(every_rung_is_drawn_as_often),
        cmocka_unit_test(the_order_is_the_rules_and_the_events),
        cmocka_unit_test(a_rung_asks_for_every_turn),
        cmocka_unit_test(by_hand_the_next_that_is_still_in),
        cmocka_unit_test(under_a_ceiling_all_come_in_again),
        cmocka_unit_test(the_stops_hold_alike),
        cmocka_unit_test(an_earlier_day_says_which_comes_first),
        cmocka_unit_test(one_rung_is_a_ladder_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
