/* Parts of a rule, pass by pass, worked out by hand: coins, misses in a row over visits to a turn,
 * lengths, the teacher's ceiling. The rules are trade.md's 2-3(b); the tempos are invented. */
#include "engine/ladder_play.h"

static struct play play;

/* R19: five coins; a clean pass moves one across, a miss one back. */
static struct passo_rule coin_rule(void)
{
    struct passo_rule rule = play_rule(60, 72, 4);
    rule.raise_clean = 5;
    rule.raise_coins = true;
    rule.drop = PASSO_DROP_HOLD;
    return rule;
}

static void coins_go_across_and_back(void **unused)
{
    (void)unused;
    const struct passo_rule rule = coin_rule();
    /* across: 1 2 1 2 3 4 5 */
    play_expect(&play, &rule, 1, "CCM CCC", "60 60 60(M) 60 60 60");
    assert_int_equal(play.state.coins, 4);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_CLEAN);
    play_pass(&play, 'C');
    play_expect_move(&play, PASSO_MOVE_RAISED, PASSO_REASON_RUNG_WON);
    play_expect_next(&play, PASSO_PART_CLIMB, 64000);
    assert_int_equal(play.state.coins, 0);
}

static void no_coin_goes_back_that_is_not_across(void **unused)
{
    (void)unused;
    const struct passo_rule rule = coin_rule();
    play_expect(&play, &rule, 1, "MM CCU VCC", "60(M) 60(M) 60 60 60(U) 60(V) 60 60");
    play_expect_next(&play, PASSO_PART_CLIMB, 60000);
    play_pass(&play, 'C');
    play_expect_next(&play, PASSO_PART_CLIMB, 64000);
}

static void coins_lie_with_rung_and_turn(void **unused)
{
    (void)unused;
    struct passo_rule rule = coin_rule();
    rule.raise_clean = 2;
    play_expect(&play, &rule, 2, "CMCC CMCC C", "60a 60a(M) 60a 60a 60b 60b(M) 60b 60b 64a");
    assert_int_equal(play.state.coins, 1);
    play_hand(&play, PASSO_LADDER_HARDER);
    assert_int_equal(play.state.coins, 0);
    play_pass(&play, 'C');
    play_hand(&play, PASSO_LADDER_TURN);
    assert_int_equal(play.state.coins, 0);
}

/* R8: octave down (a), then at pitch (b). */
static struct passo_rule pair_rule(enum passo_drop_counts counts)
{
    struct passo_rule rule = play_rule(60, 72, 4);
    rule.raise_clean = 1;
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.drop_counts = counts;
    return rule;
}

static void octave_pair_to_the_letter(void **unused)
{
    (void)unused;
    const struct passo_rule rule = pair_rule(PASSO_DROP_COUNTS_IN_A_ROW_HERE);
    /* a miss octave down, clean, a miss at pitch, one more octave down: no drop; the second miss at
     * pitch at that tempo drops */
    play_expect(&play, &rule, 2, "CC MCM M", "60a 60b 64a(M) 64a 64b(M) 64a(M)");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_FIRST_TURN);
    play_marks(&play, "CM");
    play_expect_move(&play, PASSO_MOVE_DROPPED, PASSO_REASON_DROP);
    play_expect_next(&play, PASSO_PART_CLIMB, 60000);
    /* counted in all, the second miss octave down drops */
    const struct passo_rule here = pair_rule(PASSO_DROP_COUNTS_HERE);
    play_expect(&play, &here, 2, "CC MCM M C", "60a 60b 64a(M) 64a 64b(M) 64a(M) 60a");
    /* two in a row octave down */
    play_expect(&play, &rule, 2, "CC MM C", "60a 60b 64a(M) 64a(M) 60a");
}

static void octave_pair_forgets_where_the_rung_was_left(void **unused)
{
    (void)unused;
    const struct passo_rule rule = pair_rule(PASSO_DROP_COUNTS_IN_A_ROW_HERE);
    /* 64b missed once, dropped by 64a, back: 64b has no misses any more */
    play_expect(&play, &rule, 2, "CC CM MM CC CM C",
                "60a 60b 64a 64b(M) 64a(M) 64a(M) 60a 60b 64a 64b(M) 64a");
    play_expect_next(&play, PASSO_PART_CLIMB, 64000);
    assert_int_equal(play.state.misses_row_here[1], 1);
    /* on the bottom rung the drop only clears the misses that fired it */
    play_expect(&play, &rule, 2, "CM CM", "60a 60b(M) 60a 60b(M)");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_DROP_AT_BOTTOM);
    assert_int_equal(play.state.misses_row_here[1], 0);
}

/* Session 7 of trade.md, from the end: lengths 1 to 8 at 144, 2 clean each; R12: three misses in a
 * row make it a length shorter. */
static struct passo_rule length_rule(void)
{
    struct passo_rule rule = play_rule(0, 144, 4);
    rule.climbs = PASSO_CLIMBS_LENGTH;
    rule.lengths = 8;
    rule.drop_misses = 3;
    return rule;
}

static void session_07_lengths(void **unused)
{
    (void)unused;
    const struct passo_rule rule = length_rule();
    play_expect(&play, &rule, 1, "CCCC CCCC CCCC CCCC",
                "L1 L1 L2 L2 L3 L3 L4 L4 L5 L5 L6 L6 L7 L7 L8 L8");
    play_expect_move(&play, PASSO_MOVE_WON, PASSO_REASON_TARGET_WON);
    assert_int_equal(play.last.from_mbpm, 144000);
    assert_int_equal(play.state.passes, 16);
    play_expect(&play, &rule, 1, "CCCC CCCC MMM C", "L1 L1 L2 L2 L3 L3 L4 L4 L5(M) L5(M) L5(M) L4");
    play_expect(&play, &rule, 1, "CCM CMM CC", "L1 L1 L2(M) L2 L2(M) L2(M) L2 L2");
    play_expect_next(&play, PASSO_PART_CLIMB, 144000);
    assert_int_equal(play_next(&play).rung, 2);
}

static void lengths_know_the_other_parts_too(void **unused)
{
    (void)unused;
    struct passo_rule rule = length_rule();
    rule.lengths = 3;
    rule.raise_clean = 1;
    rule.cold = true;
    rule.over_passes = 1;
    rule.close_clean = 1;
    rule.finish_passes = 1;
    /* the over pass is 105 % of 144, on the whole length */
    play_expect(&play, &rule, 1, "M CCC MC C",
                "cold:144(M) L1 L2 L3 over:L3(M) close:L3 context:144");
    assert_int_equal(play.event[0].rung, 2);
    rule.plateau_drops = 2;
    rule.drop_misses = 1;
    play_expect(&play, &rule, 1, "C CM CM", "cold:144 L1 L2(M) L1 L2(M)");
    play_expect_move(&play, PASSO_MOVE_PLATEAU, PASSO_REASON_PLATEAU);
    play_expect_next(&play, PASSO_PART_CONTEXT, 144000);
    assert_int_equal(play_next(&play).rung, 0);
}

/* R23: 60 68 76 84 92 100, and today no more than 80. */
static struct passo_rule ceiling_rule(int32_t ceiling_bpm)
{
    struct passo_rule rule = play_rule(60, 100, 8);
    rule.raise_clean = 1;
    rule.ceiling_mbpm = ceiling_bpm * 1000;
    return rule;
}

static void the_ceiling_lets_it_rise_no_further(void **unused)
{
    (void)unused;
    struct passo_rule rule = ceiling_rule(80);
    play_expect(&play, &rule, 1, "CCC", "60 68 76");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_CEILING);
    assert_int_equal(play.state.best_rung, 2);
    assert_int_equal(play.state.cleans, 0);
    play_hand(&play, PASSO_LADDER_HARDER);
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    play_marks(&play, "CMMC");
    assert_string_equal(play.course, "60 68 76 76 76(M) 76(M) 68");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
    rule.lift[0] = 3;
    play_expect(&play, &rule, 1, "CC", "60 76");
    rule = ceiling_rule(60);
    play_expect(&play, &rule, 1, "CC", "60 60");
    rule = ceiling_rule(100);
    play_expect(&play, &rule, 1, "CCCCCC", "60 68 76 84 92 100");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
    rule = ceiling_rule(140);
    play_expect(&play, &rule, 1, "CCCCCC", "60 68 76 84 92 100");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void at_the_ceiling_the_turns_go_round(void **unused)
{
    (void)unused;
    struct passo_rule rule = ceiling_rule(70);
    play_expect(&play, &rule, 2, "CC CC CC C", "60a 60b 68a 68b 68a 68b 68a");
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    play_expect(&play, &rule, 2, "CC CC CC", "60a 68a 60b 68b 60a 68a");
    play_expect_move(&play, PASSO_MOVE_HELD, PASSO_REASON_CEILING);
    play_expect(&play, &rule, 1, "CC CC", "60 68 68 68");
    rule.past_mbpm = 80000; /* opens at 68 */
    play_expect(&play, &rule, 2, "C C C", "68a 68b 68a");
}

static void nothing_is_played_over_the_ceiling(void **unused)
{
    (void)unused;
    struct passo_rule rule = ceiling_rule(80);
    rule.cold = true;
    rule.stop_passes = 3;
    rule.finish_passes = 1;
    rule.put_away_passes = 1;
    rule.put_away_permille = 900;
    play_expect(&play, &rule, 1, "C CCC C C", "cold:80 60 68 76 context:76 easy:80");
    assert_int_equal(play.state.part, PASSO_PART_DONE);
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_PASSES);
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), 76000);
}

/* An anchor is a slow pass: where the climb itself is slower there is none. */
static void an_anchor_is_never_the_faster_pass(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(50, 100, 10);
    rule.raise_clean = 1;
    rule.anchor_permille = 600;
    play_expect(&play, &rule, 1, "C C-C-", "50 60 anchor:60 70 anchor:60");
}

/* Twenty minutes are twenty minutes, marked or not. */
static void time_runs_over_passes_without_a_mark(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(50, 100, 10);
    rule.stop_ms = 3000;
    static const char *const marks[] = {"UUU", "VVV", "CUV"};
    for (size_t i = 0; i < 3; i++) {
        play_begin(&play, &rule, 1);
        play.pass_ms = 1000;
        for (const char *at = marks[i]; *at; at++) {
            assert_int_equal(play.state.outcome, PASSO_OUTCOME_OPEN);
            play_pass(&play, *at);
        }
        assert_int_equal(play.last.reason, PASSO_REASON_TIME);
        assert_int_equal(play.state.outcome, PASSO_OUTCOME_TIME);
        assert_int_equal(play.state.part, PASSO_PART_DONE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coins_go_across_and_back),
        cmocka_unit_test(no_coin_goes_back_that_is_not_across),
        cmocka_unit_test(coins_lie_with_rung_and_turn),
        cmocka_unit_test(octave_pair_to_the_letter),
        cmocka_unit_test(octave_pair_forgets_where_the_rung_was_left),
        cmocka_unit_test(session_07_lengths),
        cmocka_unit_test(lengths_know_the_other_parts_too),
        cmocka_unit_test(the_ceiling_lets_it_rise_no_further),
        cmocka_unit_test(at_the_ceiling_the_turns_go_round),
        cmocka_unit_test(nothing_is_played_over_the_ceiling),
        cmocka_unit_test(an_anchor_is_never_the_faster_pass),
        cmocka_unit_test(time_runs_over_passes_without_a_mark),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
