/* Rules that are refused, each with a sentence that names the part; the names and the defaults of
 * the rule. */
#include "engine/ladder_play.h"

static struct passo_ladder ladder;

static struct passo_rule good(void)
{
    struct passo_rule rule = passo_rule_default();
    rule.target_mbpm = 100000;
    return rule;
}

static void expect_refused(const struct passo_rule *rule, size_t turns, const char *words)
{
    char fault[256];
    memset(fault, 'x', sizeof fault);
    assert_int_equal(passo_ladder_init(&ladder, rule, turns, fault, sizeof fault), PASSO_ERR_RANGE);
    assert_non_null(memchr(fault, 0, sizeof fault));
    if (!strstr(fault, words))
        fail_msg("'%s' does not say '%s'", fault, words);
    char brief[8] = "";
    assert_int_equal(passo_ladder_init(&ladder, rule, turns, brief, sizeof brief), PASSO_ERR_RANGE);
    assert_int_equal(brief[7], 0);
    assert_int_equal(passo_ladder_init(&ladder, rule, turns, NULL, 64), PASSO_ERR_RANGE);
    fault[0] = 'x';
    assert_int_equal(passo_ladder_init(&ladder, rule, turns, fault, 0), PASSO_ERR_RANGE);
    assert_int_equal(fault[0], 'x');
}

#define REFUSED(change, words)                                                                     \
    do {                                                                                           \
        struct passo_rule rule = good();                                                           \
        change;                                                                                    \
        expect_refused(&rule, 1, words);                                                           \
    } while (0)

static void the_default_is_taken_once_it_has_a_target(void **unused)
{
    (void)unused;
    char fault[64] = "x";
    struct passo_rule rule = good();
    assert_int_equal(passo_ladder_init(&ladder, &rule, PASSO_TURNS_MAX, fault, sizeof fault), 0);
    assert_string_equal(fault, "");
    assert_null(passo_ladder_advice(&ladder));
    rule = passo_rule_default();
    expect_refused(&rule, 1, "`target`");
}

static void default_values_are_the_tables_first(void **unused)
{
    (void)unused;
    const struct passo_rule rule = passo_rule_default();
    assert_int_equal(rule.start_permille, 600);
    assert_int_equal(rule.steps, PASSO_STEPS_BPM);
    assert_int_equal(rule.step_mbpm, 4000);
    assert_int_equal(rule.raise_clean, 2);
    assert_int_equal(rule.raise_of, 0);
    assert_int_equal(rule.drop, PASSO_DROP_RUNGS);
    assert_int_equal(rule.drop_rungs, 1);
    assert_int_equal(rule.drop_misses, 2);
    assert_int_equal(rule.drop_counts, PASSO_DROP_COUNTS_IN_A_ROW);
    assert_int_equal(rule.miss, PASSO_MISS_AGAIN);
    assert_int_equal(rule.lifts, 1);
    assert_int_equal(rule.lift[0], 1);
    assert_int_equal(rule.turn, PASSO_TURN_EVERY_RUNG);
    assert_int_equal(rule.anchor_permille, 0);
    assert_int_equal(rule.over_passes, 0);
    assert_int_equal(rule.close_clean, 0);
    assert_int_equal(rule.finish_passes, 1);
    assert_int_equal(rule.plateau_drops, 2);
    assert_int_equal(rule.tired_misses, 3);
    assert_int_equal(rule.tired_of, 5);
    assert_int_equal(rule.stop_ms, 1200000);
    assert_int_equal(rule.stop_passes, 0);
    assert_int_equal(rule.stop_misses, 0);
    assert_int_equal(rule.unmarked, PASSO_UNMARKED_HOLD);
    assert_int_equal(rule.rest_permille, 1000);
    assert_int_equal(rule.rest_least_ms, 6000);
    assert_int_equal(rule.rest_most_ms, 60000);
    assert_false(rule.cold);
    assert_int_equal(rule.climbs, PASSO_CLIMBS_TEMPO);
    assert_int_equal(rule.edge_within_mbpm, 4000);
    assert_int_equal(rule.resume_permille, 850);
    assert_int_equal(rule.resume_rungs, 0);
    assert_int_equal(rule.put_away_passes + rule.plateau_clean + rule.close_thins, 0);
    assert_int_equal(rule.stage_ms + rule.stage_passes + rule.stage_misses, 0);
}

static void start_and_target_are_checked(void **unused)
{
    (void)unused;
    REFUSED(rule.target_mbpm = 4999, "`target`: 4.999 bpm");
    REFUSED(rule.target_mbpm = 1000001, "`target`: 1000.001 bpm");
    REFUSED(rule.target_mbpm = -1, "`target`: -0.001 bpm");
    REFUSED(rule.start_mbpm = 4000, "`start`: 4 bpm");
    REFUSED(rule.start_mbpm = INT32_MIN, "`start`");
    REFUSED(rule.start_mbpm = 100001, "`start` is 100.001, above the target 100");
    REFUSED(rule.start_permille = 0, "`start`");
    REFUSED(rule.start_permille = 1001, "`start`: a share of 100.1 %");
    REFUSED(rule.start_permille = INT32_MAX, "`start`");
}

static void steps_are_checked(void **unused)
{
    (void)unused;
    REFUSED(rule.step_mbpm = 0, "`steps = 0 bpm`");
    REFUSED(rule.step_mbpm = 10, "more than 1024 rungs from 60 to 100 bpm");
    REFUSED((rule.steps = PASSO_STEPS_PERCENT, rule.step_permille = 0), "`steps`");
    REFUSED((rule.steps = PASSO_STEPS_PERCENT, rule.step_permille = 1001), "`steps`");
    REFUSED((rule.steps = PASSO_STEPS_PERCENT, rule.step_permille = 1, rule.start_mbpm = 5000,
             rule.target_mbpm = 1000000),
            "more than 1024 rungs from 5 to 1000 bpm");
    REFUSED((rule.steps = PASSO_STEPS_POINTS, rule.step_permille = -5), "`steps`");
    REFUSED((rule.steps = PASSO_STEPS_REST, rule.step_permille = 0), "`steps`");
    REFUSED((rule.steps = PASSO_STEPS_RUNGS, rule.step_rungs = 1), "`steps = 1 rungs`");
    REFUSED((rule.steps = PASSO_STEPS_RUNGS, rule.step_rungs = 1025), "`steps = 1025 rungs`");
    REFUSED(rule.steps = PASSO_STEPS_COUNT, "`steps`");
}

static void a_list_is_checked(void **unused)
{
    (void)unused;
    struct passo_rule rule = good();
    rule.steps = PASSO_STEPS_LIST;
    rule.target_mbpm = 0;
    expect_refused(&rule, 1, "a list of 0 tempos");
    rule.list_count = PASSO_RUNGS_MAX + 1;
    expect_refused(&rule, 1, "a list of 1025 tempos");
    rule.list_count = 2;
    rule.list_mbpm[0] = 80000;
    rule.list_mbpm[1] = 80000;
    expect_refused(&rule, 1, "80 comes after 80");
    rule.list_mbpm[1] = 1200000;
    expect_refused(&rule, 1, "1200 bpm is outside");
    rule.list_mbpm[1] = 90500;
    rule.target_mbpm = 100000;
    expect_refused(&rule, 1, "`target` is 100, but the list of `steps` ends at 90.5");
    rule.target_mbpm = 90500;
    rule.start_mbpm = 60000;
    expect_refused(&rule, 1, "`start` is 60, but the list of `steps` begins at 80");
    rule.start_mbpm = 80000;
    assert_int_equal(passo_ladder_init(&ladder, &rule, 1, NULL, 0), PASSO_OK);
}

static void the_other_parts_are_checked(void **unused)
{
    (void)unused;
    REFUSED(rule.raise_clean = 0, "`raise = 0 clean`");
    REFUSED((rule.raise_clean = 5, rule.raise_of = 4), "`raise = 5 clean of 4`");
    REFUSED((rule.raise_clean = 5, rule.raise_of = 33), "`raise = 5 clean of 33`");
    REFUSED(rule.drop_rungs = 0, "`drop = 0 rungs`");
    REFUSED(rule.drop_misses = 0, "`drop` after 0 misses");
    REFUSED(rule.drop = PASSO_DROP_COUNT, "`drop`");
    REFUSED(rule.miss = PASSO_MISS_COUNT, "`miss`");
    REFUSED(rule.lifts = 0, "`lift` has 0 moves");
    REFUSED(rule.lifts = 9, "`lift` has 9 moves");
    REFUSED(rule.lifts = 2, "`lift`: a move by 0 rungs");
    REFUSED(rule.turn = PASSO_TURN_COUNT, "`turn`");
    REFUSED(rule.anchor_permille = -1, "`anchor`");
    REFUSED(rule.anchor_permille = 10, "`anchor`: 1 % of the target");
    REFUSED((rule.over_passes = 1, rule.over_permille = 20000), "`over`: 2000 %");
    REFUSED((rule.over_passes = 1, rule.over_permille = 0), "`over`");
    REFUSED(rule.tired_misses = 6, "`tired = 6 misses of 5`");
    REFUSED(rule.tired_of = 0, "`tired = 3 misses of 0`");
    REFUSED(rule.tired_of = 33, "`tired = 3 misses of 33`");
    REFUSED(rule.stop_ms = -1, "`stop`");
    REFUSED(rule.unmarked = PASSO_UNMARKED_COUNT, "`unmarked`");
    REFUSED(rule.rest_permille = -1, "`rest`");
    REFUSED(rule.rest_fixed_ms = -1, "`rest`");
    REFUSED(rule.rest_permille = 100001, "`rest`");
    REFUSED(rule.rest_fixed_ms = 3600001, "`rest`");
    REFUSED(rule.rest_least_ms = -1, "`rest`");
    REFUSED(rule.rest_least_ms = 3600001, "`rest`");
    REFUSED(rule.rest_most_ms = -1, "`rest`");
    REFUSED(rule.rest_most_ms = 3600001, "`rest`");
    REFUSED(rule.rest_most_ms = 5999, "at least 6 s is more than at most 5.999 s");
    const struct passo_rule rule = good();
    expect_refused(&rule, 0, "0 turns");
    expect_refused(&rule, PASSO_TURNS_MAX + 1, "65 turns");
}

static void the_newer_parts_are_checked(void **unused)
{
    (void)unused;
    REFUSED(rule.climbs = PASSO_CLIMBS_COUNT, "`climbs`");
    REFUSED(rule.climbs = PASSO_CLIMBS_LENGTH, "`climbs = length` over 0 lengths");
    REFUSED((rule.climbs = PASSO_CLIMBS_LENGTH, rule.lengths = 129), "over 129 lengths");
    REFUSED((rule.climbs = PASSO_CLIMBS_LENGTH, rule.lengths = 8, rule.target_mbpm = 0),
            "`target`");
    REFUSED((rule.climbs = PASSO_CLIMBS_LENGTH, rule.lengths = 8, rule.ceiling_mbpm = 99000),
            "`ceiling` is 99, under the target 100 at which every length is played");
    REFUSED((rule.climbs = PASSO_CLIMBS_EDGE, rule.steps = PASSO_STEPS_MARKS), "`climbs = edge`");
    REFUSED((rule.climbs = PASSO_CLIMBS_EDGE, rule.edge_within_mbpm = 99), "within 0.099 bpm");
    REFUSED((rule.climbs = PASSO_CLIMBS_EDGE, rule.edge_within_mbpm = 1000001), "within 1000.001");
    REFUSED((rule.climbs = PASSO_CLIMBS_EDGE, rule.step_mbpm = 1000001), "`steps = 1000.001 bpm`");
    REFUSED((rule.climbs = PASSO_CLIMBS_EDGE, rule.step_mbpm = 0), "`steps = 0 bpm`");
    REFUSED(
        (rule.climbs = PASSO_CLIMBS_EDGE, rule.target_mbpm = 1000000, rule.edge_within_mbpm = 100),
        "more than 1024 rungs from 600 to 1000 bpm; a wider edge would do");
    REFUSED(rule.ceiling_mbpm = 4000, "`ceiling`: 4 bpm");
    REFUSED(rule.ceiling_mbpm = -1, "`ceiling`");
    REFUSED(rule.ceiling_mbpm = 59999, "`ceiling` is 59.999, under the start 60");
    REFUSED((rule.raise_coins = true, rule.raise_of = 4), "`raise` counts coins");
    REFUSED(rule.drop_counts = PASSO_DROP_COUNTS_COUNT, "`drop` counts misses");
    REFUSED((rule.close_clean = 2, rule.close_thins = true), "`close` asks for 2 clean or thins");
    REFUSED((rule.put_away_passes = 1, rule.put_away_permille = 10), "`finish`: 1 % of the target");
    REFUSED((rule.put_away_passes = 1, rule.put_away_permille = -1), "`finish`");
    REFUSED(rule.tired_played_ms = -1, "`tired` after less than no playing");
    REFUSED(rule.stage_ms = -1, "`stop`");
    REFUSED(rule.resume_permille = -1, "`resume`");
    REFUSED(rule.resume_permille = 1001, "`resume`: a share of 100.1 %");
}

#define TAKEN(change)                                                                              \
    do {                                                                                           \
        struct passo_rule rule = good();                                                           \
        change;                                                                                    \
        assert_int_equal(passo_ladder_init(&ladder, &rule, 1, NULL, 0), PASSO_OK);                 \
    } while (0)

static void values_at_the_edge_are_taken(void **unused)
{
    (void)unused;
    TAKEN((rule.step_mbpm = 1, rule.start_mbpm = 98900));
    TAKEN((rule.raise_clean = 32, rule.raise_of = 32));
    TAKEN((rule.lifts = 8, memset(rule.lift, 1, sizeof rule.lift)));
    TAKEN((rule.tired_misses = 32, rule.tired_of = 32));
    TAKEN((rule.tired_misses = 0, rule.tired_of = 0));
    TAKEN((rule.rest_permille = 0, rule.rest_fixed_ms = 3600000));
    TAKEN(rule.rest_permille = 100000);
    TAKEN((rule.rest_least_ms = 0, rule.rest_most_ms = 0));
    TAKEN((rule.rest_least_ms = 3600000, rule.rest_most_ms = 3600000));
    TAKEN((rule.target_mbpm = 1000000, rule.step_mbpm = 40000));
    TAKEN((rule.target_mbpm = 5000, rule.start_mbpm = 5000));
    TAKEN((rule.drop = PASSO_DROP_HOLD, rule.drop_misses = 0, rule.drop_rungs = 0));
    TAKEN((rule.drop = PASSO_DROP_TO_START, rule.drop_rungs = 0));
    TAKEN(rule.ceiling_mbpm = 60000);
    TAKEN(rule.ceiling_mbpm = 1000000);
    TAKEN((rule.climbs = PASSO_CLIMBS_LENGTH, rule.lengths = 128, rule.step_mbpm = 0,
           rule.ceiling_mbpm = 100000));
    TAKEN((rule.climbs = PASSO_CLIMBS_EDGE, rule.step_mbpm = 1000000, rule.edge_within_mbpm = 100));
    TAKEN((rule.climbs = PASSO_CLIMBS_MIXED, rule.raise_clean = 0, rule.lifts = 0));
    TAKEN((rule.put_away_passes = 1, rule.put_away_permille = 0));
    TAKEN((rule.resume_permille = 1000, rule.past_mbpm = INT32_MAX, rule.past_missed = UINT16_MAX));
}

static const char *mark_name(int value)
{
    return passo_mark_name((enum passo_mark)value);
}

static const char *part_name(int value)
{
    return passo_part_name((enum passo_part)value);
}

static const char *move_name(int value)
{
    return passo_move_name((enum passo_move)value);
}

static const char *outcome_name(int value)
{
    return passo_outcome_name((enum passo_outcome)value);
}

static void expect_unique(const char *(*name)(int), int count)
{
    for (int i = 0; i < count; i++)
        for (int k = 0; k < i; k++)
            assert_string_not_equal(name(i), name(k));
    assert_string_equal(name(count), "");
    assert_string_equal(name(-1), "");
}

static void names_are_unique(void **unused)
{
    (void)unused;
    expect_unique(mark_name, PASSO_MARK_COUNT);
    expect_unique(part_name, PASSO_PART_COUNT);
    expect_unique(move_name, PASSO_MOVE_COUNT);
    expect_unique(outcome_name, PASSO_OUTCOME_COUNT);
    assert_string_equal(passo_move_name(PASSO_MOVE_NONE), "");
    assert_string_equal(passo_mark_name(PASSO_MARK_NONE), "unmarked");
    assert_string_equal(passo_part_name(PASSO_PART_CONTEXT), "context");
    assert_string_equal(passo_move_name(PASSO_MOVE_RAISED), "raised");
    assert_string_equal(passo_outcome_name(PASSO_OUTCOME_WON), "won");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_default_is_taken_once_it_has_a_target),
        cmocka_unit_test(default_values_are_the_tables_first),
        cmocka_unit_test(start_and_target_are_checked),
        cmocka_unit_test(steps_are_checked),
        cmocka_unit_test(a_list_is_checked),
        cmocka_unit_test(the_other_parts_are_checked),
        cmocka_unit_test(the_newer_parts_are_checked),
        cmocka_unit_test(values_at_the_edge_are_taken),
        cmocka_unit_test(names_are_unique),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
