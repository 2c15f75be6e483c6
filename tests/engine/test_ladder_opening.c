/* Where a climb opens the next day (R21 of trade.md), worked out by hand; session 12's opening is
 * its own figure. Session 8, ten days of it, is a file in tests/session/trade. */
#include "engine/ladder_play.h"

static struct play play;

static int32_t opening_mbpm(void)
{
    return play.ladder.rung_mbpm[play.ladder.opening];
}

/* Checks every rung and where the climb opens; in bpm. */
static void expect_rungs(const struct passo_rule *rule, double opening, size_t rungs,
                         const double *bpm)
{
    play_begin(&play, rule, 1);
    assert_int_equal(play.ladder.rungs, rungs);
    for (size_t i = 0; i < rungs; i++)
        assert_near(play.ladder.rung_mbpm[i], bpm[i] * 1000, 0.001);
    assert_near(opening_mbpm(), opening * 1000, 0.001);
    assert_int_equal(play.state.rung, play.ladder.opening);
    assert_int_equal(passo_ladder_best_mbpm(&play.ladder, &play.state), opening_mbpm());
}

#define EXPECT_RUNGS(rule, opening, ...)                                                           \
    expect_rungs(rule, opening, sizeof((const double[]){__VA_ARGS__}) / sizeof(double),            \
                 (const double[]){__VA_ARGS__})

static void session_12_opens_at_66_tomorrow(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(66, 92, 4);
    rule.past_mbpm = 78000;
    EXPECT_RUNGS(&rule, 66, 66, 70, 74, 78, 82, 86, 90, 92);
}

static void the_steps_go_on_from_the_opening(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 104, 4);
    rule.past_mbpm = 72000;
    EXPECT_RUNGS(&rule, 61, 60, 61, 65, 69, 73, 77, 81, 85, 89, 93, 97, 101, 104);
    rule.past_mbpm = 80000;
    EXPECT_RUNGS(&rule, 68, 60, 64, 68, 72, 76, 80, 84, 88, 92, 96, 100, 104);
    rule.past_mbpm = 88000; /* 103 is within 1 % under the target */
    EXPECT_RUNGS(&rule, 75, 60, 64, 68, 72, 75, 79, 83, 87, 91, 95, 99, 104);
    rule.past_mbpm = 85000; /* 72.25; 71.5 is within 1 % under the opening */
    rule.step_mbpm = 11500;
    EXPECT_RUNGS(&rule, 72, 60, 72, 83.5, 95, 104);
}

static void steps_of_other_kinds_go_on_likewise(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(150, 240, 4);
    rule.steps = PASSO_STEPS_PERCENT;
    rule.step_permille = 60;
    rule.past_mbpm = 200000; /* 168.54 is within 1 % under 170 */
    EXPECT_RUNGS(&rule, 170, 150, 159, 170, 180.2, 191.01, 202.47, 214.62, 227.5, 240);
    rule = play_rule(60, 100, 4);
    rule.steps = PASSO_STEPS_POINTS;
    rule.step_permille = 100;
    rule.past_mbpm = 90000; /* 76.5, half up */
    EXPECT_RUNGS(&rule, 77, 60, 70, 77, 87, 97, 100);
    rule = play_rule(70, 120, 4);
    rule.steps = PASSO_STEPS_REST;
    rule.step_permille = 250;
    rule.past_mbpm = 100000;
    EXPECT_RUNGS(&rule, 85, 70, 82, 85, 93, 99, 104, 108, 111, 113, 115, 117, 120);
    rule = play_rule(60, 80, 4);
    rule.steps = PASSO_STEPS_MARKS;
    rule.past_mbpm = 80000;
    EXPECT_RUNGS(&rule, 68, 60, 63, 66, 68, 69, 72, 76, 80);
}

static void some_rules_keep_their_own_rungs(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(50, 100, 4);
    rule.steps = PASSO_STEPS_RUNGS;
    rule.step_rungs = 3; /* 50 x sqrt 2 is 70.71 */
    rule.past_mbpm = 84000;
    EXPECT_RUNGS(&rule, 70.71, 50, 70.71, 100);
    rule.past_mbpm = 83000; /* 70.55 is 71 */
    EXPECT_RUNGS(&rule, 70.71, 50, 70.71, 100);
    rule.past_mbpm = 82000; /* 69.7 is 70 */
    EXPECT_RUNGS(&rule, 50, 50, 70.71, 100);
    rule.steps = PASSO_STEPS_LIST;
    rule.start_mbpm = 0;
    rule.target_mbpm = 0;
    rule.list_count = 4;
    for (int i = 0; i < 4; i++)
        rule.list_mbpm[i] = 60000 + 10000 * i;
    rule.past_mbpm = 90000;
    EXPECT_RUNGS(&rule, 70, 60, 70, 80, 90);
}

static void an_opening_stays_within_its_bounds(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 72, 4);
    rule.past_mbpm = 66000; /* 56.1 */
    EXPECT_RUNGS(&rule, 60, 60, 64, 68, 72);
    rule.past_mbpm = 140000;
    EXPECT_RUNGS(&rule, 72, 60, 64, 68, 72);
    rule.past_mbpm = 84000; /* 71.4 is 71, which the target takes in being within 1 % ... */
    rule.target_mbpm = 71500;
    EXPECT_RUNGS(&rule, 71.5, 60, 64, 68, 71.5);
    rule.ceiling_mbpm = 71000; /* ... but not over the ceiling */
    EXPECT_RUNGS(&rule, 68, 60, 64, 68, 71.5);
    rule.target_mbpm = 80000;
    rule.ceiling_mbpm = 66500;
    EXPECT_RUNGS(&rule, 66.5, 60, 64, 66.5, 70.5, 74.5, 78.5, 80);
    assert_int_equal(play.ladder.highest, play.ladder.opening);
    rule = play_rule(60, 60, 4);
    rule.past_mbpm = 60000;
    EXPECT_RUNGS(&rule, 60, 60);
    /* a start between two hundredths */
    rule = play_rule(60, 72, 4);
    rule.start_mbpm = 60004;
    rule.steps = PASSO_STEPS_PERCENT;
    rule.step_permille = 100;
    rule.past_mbpm = 60000;
    EXPECT_RUNGS(&rule, 60, 60, 66, 72);
}

static void missed_days_lower_the_share_to_60_percent(void **unused)
{
    (void)unused;
    static const struct {
        int32_t permille;
        uint16_t missed;
        int32_t bpm;
    } day[] = {{850, 0, 85}, {850, 1, 80}, {850, 4, 65}, {850, 5, 60},  {850, 65535, 60},
               {620, 1, 60}, {500, 0, 50}, {500, 3, 50}, {1000, 1, 95}, {0, 0, 30}};
    for (size_t i = 0; i < sizeof day / sizeof *day; i++) {
        struct passo_rule rule = play_rule(30, 104, 4);
        rule.past_mbpm = 100000;
        rule.resume_permille = day[i].permille;
        rule.past_missed = day[i].missed;
        play_begin(&play, &rule, 1);
        assert_int_equal(opening_mbpm(), day[i].bpm * 1000);
    }
}

static void so_many_rungs_down(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 8);
    rule.resume_permille = 0;
    rule.resume_rungs = 2;
    rule.past_mbpm = 91000; /* at or under: 84, the fourth */
    EXPECT_RUNGS(&rule, 68, 60, 68, 76, 84, 92, 100);
    rule.past_mbpm = 68000;
    EXPECT_RUNGS(&rule, 60, 60, 68, 76, 84, 92, 100);
    rule.past_mbpm = 200000;
    rule.ceiling_mbpm = 80000;
    EXPECT_RUNGS(&rule, 76, 60, 68, 76, 84, 92, 100);
    rule.past_mbpm = 0;
    EXPECT_RUNGS(&rule, 60, 60, 68, 76, 84, 92, 100);
}

static void lengths_open_shorter(void **unused)
{
    (void)unused;
    static const struct {
        uint16_t past;
        uint16_t missed;
        int32_t permille;
        uint8_t rungs;
        int opening;
    } day[] = {
        {0, 0, 850, 0, 1}, {8, 0, 850, 0, 7}, /* 6.8 */
        {1, 0, 850, 0, 1}, {8, 3, 850, 0, 6}, /* 5.6 */
        {5, 0, 700, 0, 4},                    /* 3.5, half up */
        {8, 0, 0, 3, 5},   {2, 0, 0, 3, 1},   {8, 0, 0, 0, 1}, {500, 0, 850, 0, 8},
    };
    for (size_t i = 0; i < sizeof day / sizeof *day; i++) {
        struct passo_rule rule = play_rule(0, 144, 4);
        rule.climbs = PASSO_CLIMBS_LENGTH;
        rule.lengths = 8;
        rule.past_length = day[i].past;
        rule.past_mbpm = 144000;
        rule.past_missed = day[i].missed;
        rule.resume_permille = day[i].permille;
        rule.resume_rungs = day[i].rungs;
        play_begin(&play, &rule, 1);
        assert_int_equal(play.ladder.opening + 1, day[i].opening);
    }
}

static void below_the_opening_lies_the_start(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 76, 4);
    rule.raise_clean = 1;
    rule.past_mbpm = 80000; /* 68 */
    play_expect(&play, &rule, 1, "MM MM MM C", "68(M) 68(M) 64(M) 64(M) 60(M) 60(M) 60");
    rule.drop = PASSO_DROP_TO_START;
    play_expect(&play, &rule, 1, "CMM C", "68 72(M) 72(M) 60");
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    play_expect(&play, &rule, 2, "CCC CCC", "68a 72a 76a 68b 72b 76b");
    assert_int_equal(play.state.outcome, PASSO_OUTCOME_WON);
}

static void with_nothing_won_the_best_is_the_opening(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 100, 4);
    rule.past_mbpm = 80000;
    rule.stop_passes = 2;
    rule.finish_passes = 1;
    play_expect(&play, &rule, 1, "MM C", "68(M) 68(M) context:68");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(session_12_opens_at_66_tomorrow),
        cmocka_unit_test(the_steps_go_on_from_the_opening),
        cmocka_unit_test(steps_of_other_kinds_go_on_likewise),
        cmocka_unit_test(some_rules_keep_their_own_rungs),
        cmocka_unit_test(an_opening_stays_within_its_bounds),
        cmocka_unit_test(missed_days_lower_the_share_to_60_percent),
        cmocka_unit_test(so_many_rungs_down),
        cmocka_unit_test(lengths_open_shorter),
        cmocka_unit_test(below_the_opening_lies_the_start),
        cmocka_unit_test(with_nothing_won_the_best_is_the_opening),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
