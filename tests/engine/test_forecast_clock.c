/* The forecast's clock, ends and places, in climbs whose marks are certain: up to a tempo every
 * pass is clean, above it none. Four bars of 4/4 at 60 with a landing of one beat are 17 s of
 * playing after 4 s of count-in; the rest is as long as the playing. */
#include "engine/forecast_tools.h"

static const struct passo_skill always = {60, 0};
static const struct passo_skill never = {-60, 0};

/* Clean under `bpm`, missed above. */
static struct passo_skill up_to(double bpm)
{
    return (struct passo_skill){5000 * log(bpm), -5000};
}

static struct passo_forecast_climb climb_of(struct forecast_scene *scene, struct passo_skill skill)
{
    struct passo_forecast_climb climb;
    scene->ask.skill = skill;
    passo_forecast_run(&scene->ask, 7, 1, &climb);
    return climb;
}

static struct passo_forecast_climb climb_by(const struct passo_rule *rule, struct passo_skill skill)
{
    struct forecast_scene *scene = forecast_scene(rule);
    struct passo_forecast_climb climb = climb_of(scene, skill);
    free(scene);
    return climb;
}

static void a_won_climb_lasts_until_the_target_is_won(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 60, 4);
    rule.finish_passes = 3;
    rule.over_passes = 2;
    rule.over_permille = 1050;
    struct passo_forecast_climb climb = climb_by(&rule, always);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(climb.passes, 2);
    assert_int_equal(climb.ms, 21000 + 17000 + 21000);
    assert_int_equal(climb.stuck_mbpm, 0);
    rule.anchor_permille = 500; /* at 30: 34 s after 8 s */
    climb = climb_by(&rule, always);
    assert_int_equal(climb.passes, 3);
    assert_int_equal(climb.ms, 21000 + 17000 + 42000 + 34000 + 21000);
    rule.anchor_permille = 0;
    rule.rest_permille = 0;
    rule.rest_fixed_ms = 2500;
    climb = climb_by(&rule, always);
    assert_int_equal(climb.ms, 21000 + 2500 + 21000);
}

/* Every pass a miss: the pass that ends at 1237 s is the first to end after 20 min; then the finish
 * is played. */
static void time_ends_a_climb_as_the_conductor_has_it(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 80, 4);
    rule.stop_ms = 20 * 60000;
    rule.finish_passes = 1;
    struct passo_forecast_climb climb = climb_by(&rule, never);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_TIME);
    assert_int_equal(climb.passes, 33 + 1);
    assert_int_equal(climb.ms, (21 + 32 * 38 + 38) * 1000);
    assert_int_equal(climb.stuck_mbpm, 60000);
    assert_int_equal(climb.stuck_rung, 0);
}

/* Tired after three misses: a rest of 90 s, then the easy pass. */
static void the_tired_rest_longer(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 80, 4);
    rule.tired_misses = 3;
    struct passo_forecast_climb climb = climb_by(&rule, never);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_TIRED);
    assert_int_equal(climb.passes, 4);
    assert_int_equal(climb.ms, (21 + 38 + 38 + 90 + 21) * 1000);
}

static void without_limits_only_the_target_ends_it(void **unused)
{
    (void)unused;
    struct passo_rule rule = passo_rule_default();
    rule.start_mbpm = 60000;
    rule.target_mbpm = 80000;
    rule.stop_passes = 9;
    rule.stop_misses = 3;
    rule.stage_ms = 1000;
    rule.stage_passes = 8;
    rule.stage_misses = 2;
    struct forecast_scene *scene = forecast_scene(&rule);
    const struct passo_course before = scene->course;
    scene->ask.no_limits = true;
    scene->ask.passes_max = 400;
    struct passo_forecast_climb climb = climb_of(scene, up_to(66));
    assert_int_equal(climb.outcome, PASSO_OUTCOME_OPEN);
    assert_int_equal(climb.passes, 400);
    assert_int_equal(climb.stuck_mbpm, 68000);
    climb = climb_of(scene, always);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(climb.passes, 2 * 6);
    assert_memory_equal(&before, &scene->course, sizeof before);
    free(scene);
}

static void stuck_is_the_lowest_rung_not_won(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 80, 4);
    rule.plateau_drops = 2;
    struct passo_forecast_climb climb = climb_by(&rule, up_to(70));
    assert_int_equal(climb.outcome, PASSO_OUTCOME_PLATEAU);
    assert_int_equal(climb.stuck_mbpm, 72000);
    assert_int_equal(climb.stuck_rung, 3);
    rule.past_mbpm = 80000; /* opens at 85 % of it, at 68 */
    climb = climb_by(&rule, up_to(66));
    assert_int_equal(climb.stuck_mbpm, 68000);
}

/* Under `whole climb` the second turn's climb has rungs of its own to win. */
static void each_turn_of_a_whole_climb_has_its_rungs(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 80, 4);
    rule.raise_clean = 1;
    rule.turn = PASSO_TURN_WHOLE_CLIMB;
    rule.stop_passes = 8;
    struct forecast_scene *scene = forecast_scene(&rule);
    scene->course.stage[0].turns = 2;
    assert_int_equal(passo_course_check(&scene->course, NULL, 0), PASSO_OK);
    struct passo_forecast_climb climb = climb_of(scene, always);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_PASSES);
    assert_int_equal(climb.passes, 8);
    assert_int_equal(climb.stuck_rung, 1); /* 6 rungs, then one of the second turn; the 8th is the
                                              stop's */
    free(scene);
}

/* Two stages; the second begins at 80 % of what the first gave. */
static void stages_are_climbed_one_after_the_other(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 80, 4);
    struct forecast_scene *scene = forecast_scene(&rule);
    scene->course.stages = 2;
    scene->course.stage[1] = scene->course.stage[0];
    scene->course.stage[1].rule.target_mbpm = 100000;
    scene->course.stage[1].start = (struct passo_look_back){PASSO_LOOK_LOWER, 800};
    assert_int_equal(passo_course_check(&scene->course, NULL, 0), PASSO_OK);
    struct passo_forecast_climb climb = climb_of(scene, always);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(climb.passes, 2 * 6 + 2 * 10); /* 60 ... 80, then 64 ... 100 */
    scene->ask.passes_max = 200;
    climb = climb_of(scene, up_to(90));
    assert_int_equal(climb.outcome, PASSO_OUTCOME_OPEN);
    assert_int_equal(climb.stage, 1);
    assert_int_equal(climb.stuck_mbpm, 92000);
    free(scene);
}

/* At 60, 17 s of the whole in the first stage; then, with its own rest, 9 s of the first half and
 * 17 s of the whole, each after 4 s of count-in. Passes over the target between the stages do not
 * end the climb. */
static void each_stage_has_its_own_loop_and_rest(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 60, 4);
    rule.raise_clean = 1;
    struct forecast_scene *scene = forecast_scene(&rule);
    scene->passage.loop[1] = (struct passo_loop){"first half", {1, {0, 1}}, {3, {0, 1}}};
    scene->passage.loops = 2;
    scene->course.stages = 2;
    scene->course.stage[1] = scene->course.stage[0];
    scene->course.stage[1].turns = 2;
    scene->course.stage[1].turn[0].loop = 1;
    scene->course.stage[1].turn[1].loop = 0;
    scene->course.stage[0].rule.over_passes = 1;
    scene->course.stage[0].rule.over_permille = 2000; /* 2 s and 8.5 s */
    scene->course.stage[0].rule.rest_permille = 0;
    scene->course.stage[0].rule.rest_fixed_ms = 3000;
    assert_int_equal(passo_course_check(&scene->course, NULL, 0), PASSO_OK);
    struct passo_forecast_climb climb = climb_of(scene, always);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(climb.passes, 4);
    assert_int_equal(climb.ms, 21000 + 3000 + 10500 + 3000 + 13000 + 9000 + 21000);
    free(scene);
}

static void drawn_tempos_are_put_away_one_by_one(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 80, 4);
    rule.climbs = PASSO_CLIMBS_MIXED;
    struct passo_forecast_climb climb = climb_by(&rule, always);
    assert_int_equal(climb.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(climb.passes, 6);
    rule.stop_passes = 50;
    climb = climb_by(&rule, up_to(70));
    assert_int_equal(climb.outcome, PASSO_OUTCOME_PASSES);
    assert_int_equal(climb.stuck_mbpm, 72000);
}

/* 60 64 68 72 clean, 76 missed: 4 apart is near enough. */
static void an_edge_that_is_found_is_not_won(void **unused)
{
    (void)unused;
    struct passo_rule rule = play_rule(60, 80, 4);
    rule.climbs = PASSO_CLIMBS_EDGE;
    struct passo_forecast_climb climb = climb_by(&rule, up_to(74));
    assert_int_equal(climb.outcome, PASSO_OUTCOME_EDGE);
    assert_int_equal(climb.passes, 5);
    assert_in_range(climb.stuck_mbpm, 72001, 76000);
}

/* --- sums --- */

static struct passo_forecast_climb won_after(uint32_t passes)
{
    return (struct passo_forecast_climb){
        .passes = passes, .ms = passes * 1000, .outcome = PASSO_OUTCOME_WON};
}

static struct passo_forecast_climb stuck_at(int32_t mbpm, uint16_t rung, enum passo_outcome outcome)
{
    return (struct passo_forecast_climb){
        .passes = 1, .ms = 1, .outcome = outcome, .stuck_mbpm = mbpm, .stuck_rung = rung};
}

static void climbs_not_won_count_as_longer_than_any(void **unused)
{
    (void)unused;
    struct passo_forecast_climb climb[20];
    struct passo_forecast sum;
    for (uint32_t i = 0; i < 19; i++)
        climb[i] = won_after(19 - i);
    climb[19] = stuck_at(72000, 3, PASSO_OUTCOME_TIRED);
    passo_forecast_sum(climb, 20, &sum);
    assert_int_equal(sum.climbs, 20);
    assert_int_equal(sum.won, 19);
    assert_int_equal(sum.median_passes, 11);
    assert_int_equal(sum.median_ms, 11000);
    assert_int_equal(sum.ninth_passes, 19);
    assert_int_equal(sum.ended[PASSO_OUTCOME_TIRED], 1);
    assert_int_equal(sum.stuck, 1);
    climb[0] = stuck_at(72000, 3, PASSO_OUTCOME_TIME); /* a tenth: no ninth decile */
    passo_forecast_sum(climb, 20, &sum);
    assert_int_equal(sum.ninth_passes, 0);
    assert_int_equal(sum.ninth_ms, 0);
    assert_int_not_equal(sum.median_passes, 0);
    for (uint32_t i = 0; i < 10; i++)
        climb[i] = stuck_at(i < 4 ? 64000 : 76000, i < 4 ? 1 : 4, PASSO_OUTCOME_PLATEAU);
    for (uint32_t i = 10; i < 20; i++)
        climb[i] = won_after(5);
    passo_forecast_sum(climb, 20, &sum);
    assert_int_equal(sum.median_passes, 0);
    assert_int_equal(sum.ended[PASSO_OUTCOME_PLATEAU], 10);
    assert_int_equal(sum.stuck_mbpm, 76000);
    assert_int_equal(sum.stuck_rung, 4);
    assert_int_equal(sum.stuck, 6);
}

static void one_climb_and_all_won(void **unused)
{
    (void)unused;
    struct passo_forecast_climb climb[] = {won_after(12)};
    struct passo_forecast sum;
    passo_forecast_sum(climb, 1, &sum);
    assert_int_equal(sum.median_passes, 12);
    assert_int_equal(sum.ninth_passes, 12);
    assert_int_equal(sum.stuck_mbpm, 0);
    assert_int_equal(sum.stuck, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_won_climb_lasts_until_the_target_is_won),
        cmocka_unit_test(time_ends_a_climb_as_the_conductor_has_it),
        cmocka_unit_test(the_tired_rest_longer),
        cmocka_unit_test(without_limits_only_the_target_ends_it),
        cmocka_unit_test(stuck_is_the_lowest_rung_not_won),
        cmocka_unit_test(each_turn_of_a_whole_climb_has_its_rungs),
        cmocka_unit_test(stages_are_climbed_one_after_the_other),
        cmocka_unit_test(each_stage_has_its_own_loop_and_rest),
        cmocka_unit_test(drawn_tempos_are_put_away_one_by_one),
        cmocka_unit_test(an_edge_that_is_found_is_not_won),
        cmocka_unit_test(climbs_not_won_count_as_longer_than_any),
        cmocka_unit_test(one_climb_and_all_won),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
