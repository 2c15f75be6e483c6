/* Rules that are legal but surely not meant: each has one sentence, and the rule beside it none. */
#include "engine/ladder_play.h"

static struct passo_ladder ladder;

static struct passo_rule good(void)
{
    struct passo_rule rule = passo_rule_default();
    rule.target_mbpm = 100000;
    return rule;
}

static const char *advice(const struct passo_rule *rule, size_t turns)
{
    char fault[256];
    if (passo_ladder_init(&ladder, rule, turns, fault, sizeof fault))
        fail_msg("rule refused: %s", fault);
    const char *text = passo_ladder_advice(&ladder);
    return text ? text : "";
}

static void advice_first_turn_never_drops_on_misses_in_a_row(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.miss = PASSO_MISS_FIRST_TURN;
    assert_non_null(strstr(advice(&rule, 2), "`after 2 misses here`"));
    rule.drop_counts = PASSO_DROP_COUNTS_HERE;
    assert_string_equal(advice(&rule, 2), "");
    rule.drop_counts = PASSO_DROP_COUNTS_IN_A_ROW;
    rule.drop_misses = 1;
    assert_string_equal(advice(&rule, 2), "");
    rule.drop_misses = 2;
    rule.drop = PASSO_DROP_HOLD;
    assert_string_equal(advice(&rule, 2), "");
}

/* The advice is true: such a ladder does not drop, however often the player misses. */
static void advice_first_turn_is_true(void **unused)
{
    (void)unused;
    static struct play play;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.raise_clean = 1;
    rule.miss = PASSO_MISS_FIRST_TURN;
    play_expect(&play, &rule, 1, "CMMMM", "60 64(M) 64(M) 64(M) 64(M)");
}

static void advice_lift_that_never_arrives(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.lifts = 2;
    rule.lift[0] = 1;
    rule.lift[1] = -1;
    assert_non_null(strstr(advice(&rule, 1), "`lift`"));
    rule.lift[0] = 2;
    assert_string_equal(advice(&rule, 1), "");
    rule.lift[0] = 10; /* 60, 100: there before it goes back */
    rule.lift[1] = -10;
    assert_string_equal(advice(&rule, 1), "");
    rule.lift[0] = -1; /* held at the bottom, then one up and one back */
    rule.lift[1] = 1;
    assert_non_null(strstr(advice(&rule, 1), "`lift`"));
    rule.start_mbpm = 96000;
    assert_string_equal(advice(&rule, 1), "");
}

static void advice_stops_that_come_before_the_drop(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.drop_misses = 3;
    assert_non_null(strstr(advice(&rule, 1), "`tired` ends the climb"));
    rule.tired_misses = 0;
    assert_string_equal(advice(&rule, 1), "");
    rule.stop_misses = 3;
    assert_non_null(strstr(advice(&rule, 1), "`stop` ends the climb"));
    rule.stop_misses = 4;
    assert_string_equal(advice(&rule, 1), "");
}

static void advice_fewer_passes_than_a_rung_needs(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.stop_passes = 5;
    assert_string_equal(advice(&rule, 2), "");
    assert_non_null(strstr(advice(&rule, 3), "fewer passes")); /* 2 clean in each of 3 turns */
    rule.turn = PASSO_TURN_EVERY_PASS;
    assert_string_equal(advice(&rule, 5), "");
    assert_non_null(strstr(advice(&rule, 6), "fewer passes"));
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    assert_string_equal(advice(&rule, 6), "");
}

static void advice_anchor_and_over_on_the_wrong_side(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.anchor_permille = 1010;
    assert_non_null(strstr(advice(&rule, 1), "`anchor`"));
    rule.anchor_permille = 600;
    rule.over_passes = 1;
    rule.over_permille = 1000;
    assert_non_null(strstr(advice(&rule, 1), "`over`"));
    rule.over_permille = 1050;
    assert_string_equal(advice(&rule, 1), "");
}

static void advice_limits_that_can_never_act(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.stage_ms = rule.stop_ms;
    assert_non_null(strstr(advice(&rule, 1), "stage's `stop`"));
    rule.stage_ms--;
    assert_string_equal(advice(&rule, 1), "");
    rule.stage_passes = 12;
    assert_string_equal(advice(&rule, 1), "");
    rule.stop_passes = 12;
    assert_non_null(strstr(advice(&rule, 1), "stage's `stop`"));
    rule.stage_passes = 1;
    assert_non_null(strstr(advice(&rule, 1), "fewer passes"));
    rule = good();
    rule.tired_played_ms = rule.stop_ms + 1;
    assert_non_null(strstr(advice(&rule, 1), "`tired` asks for more playing"));
    rule.tired_played_ms--;
    assert_string_equal(advice(&rule, 1), "");
    rule.tired_misses = 0;
    rule.stage_misses = 2;
    assert_non_null(strstr(advice(&rule, 1), "`stop` ends the climb"));
}

static void advice_put_away_is_slow(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.put_away_passes = 1;
    rule.put_away_permille = 1001;
    assert_non_null(strstr(advice(&rule, 1), "`finish`"));
    rule.put_away_permille = 1000;
    assert_string_equal(advice(&rule, 1), "");
}

static void advice_knows_what_is_not_looked_at(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.miss = PASSO_MISS_FIRST_TURN;
    rule.lift[0] = -1;
    rule.climbs = PASSO_CLIMBS_MIXED;
    assert_string_equal(advice(&rule, 2), "");
    rule.climbs = PASSO_CLIMBS_EDGE;
    assert_string_equal(advice(&rule, 2), "");
    rule.climbs = PASSO_CLIMBS_TEMPO;
    assert_string_not_equal(advice(&rule, 2), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(advice_first_turn_never_drops_on_misses_in_a_row),
        cmocka_unit_test(advice_first_turn_is_true),
        cmocka_unit_test(advice_lift_that_never_arrives),
        cmocka_unit_test(advice_stops_that_come_before_the_drop),
        cmocka_unit_test(advice_fewer_passes_than_a_rung_needs),
        cmocka_unit_test(advice_anchor_and_over_on_the_wrong_side),
        cmocka_unit_test(advice_limits_that_can_never_act),
        cmocka_unit_test(advice_put_away_is_slow),
        cmocka_unit_test(advice_knows_what_is_not_looked_at),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
