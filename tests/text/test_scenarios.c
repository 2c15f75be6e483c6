/* Sessions 1 to 7, 11 and 12 of the acceptance scenarios as passage files: each must resolve to the
 * rule and the passage that its text describes. What a session leaves out does not act: no pass
 * limit, time box, plateau or tired stop unless it is named. */
#include "setup_tools.h"

#define UNLIMITED "stop = none\nplateau = none\ntired = none\n"

static void unlimited(struct passo_rule *rule)
{
    rule->stop_ms = 0;
    rule->plateau_drops = 0;
    rule->tired_misses = 0;
}

static void one_bass_trombone_streak(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = bass trombone\nmeter = 4/4\nbars = 33-36\n"
              "target = quarter = 132\ncontext = 29-40\n"
              "[ladder]\nstart = quarter = 84\nsteps = 8 bpm\nraise = 2 clean in a row\n"
              "drop = 1 rung after 2 misses\nfinish = 1 in context\n" UNLIMITED,
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.start_mbpm = 84000;
    want.target_mbpm = 132000;
    want.step_mbpm = 8000;
    want.raise_clean = 2;
    want.drop_misses = 2;
    want.finish_passes = 1;
    assert_rules_equal(&trial.setup.rule, &want);
    const struct passo_passage *passage = &trial.setup.passage;
    assert_ratio(passage->beat, 1, 4);
    assert_ratio(passo_passage_length(passage, passage->loop[0].from, passage->loop[0].to), 4, 1);
    assert_place(passage->context.from, 29, 0, 1);
    assert_place(passage->context.to, 41, 0, 1);
    trial_end(&trial);
}

static void two_euphonium_octave_pair(void **state)
{
    struct trial trial;
    struct passo_turn turn[PASSO_TURNS_MAX];
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = euphonium\nkey = E-flat major\nmeter = 3/4\nbars = 8\n"
              "target = quarter = 112\n[variants]\ndown = octave down\npitch = as written\n"
              "[ladder]\nstart = 72\nsteps = 8 bpm\nraise = 1 clean\nturn = every rung\n"
              "miss = first turn\ndrop = 1 rung after 2 misses here\n" UNLIMITED,
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.start_mbpm = 72000;
    want.target_mbpm = 112000;
    want.step_mbpm = 8000;
    want.raise_clean = 1;
    want.turn = PASSO_TURN_EVERY_RUNG;
    want.miss = PASSO_MISS_FIRST_TURN;
    want.drop_counts = PASSO_DROP_COUNTS_HERE;
    assert_rules_equal(&trial.setup.rule, &want);
    const struct passo_passage *passage = &trial.setup.passage;
    assert_int_equal(passo_passage_turns(passage, turn), 2);
    assert_int_equal(passage->variant[turn[0].variant].octave, -1);
    assert_int_equal(passage->variant[turn[1].variant].octave, 0);
    assert_string_equal(passage->key, "E-flat major");
    assert_ratio(passo_passage_length(passage, passage->loop[0].from, passage->loop[0].to), 6, 1);
    trial_end(&trial);
}

static void three_student_in_six_eight(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\nmeter = 6/8\nbars = 8\ntarget = dotted quarter = 76\n"
              "[ladder]\nstart = 52\nsteps = 6 bpm\nraise = 3 clean of 4\ndrop = hold\n" UNLIMITED
              "[pulse]\ncount = eighth below dotted quarter = 60\n",
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.start_mbpm = 52000;
    want.target_mbpm = 76000;
    want.step_mbpm = 6000;
    want.raise_clean = 3;
    want.raise_of = 4;
    want.drop = PASSO_DROP_HOLD;
    assert_rules_equal(&trial.setup.rule, &want);
    assert_ratio(trial.setup.passage.beat, 3, 8);
    assert_ratio(trial.setup.pulse.count, 1, 8);
    assert_int_equal(trial.setup.pulse.count_below_mbpm, 60000);
    trial_end(&trial);
}

static void four_tuba_in_seven_eight(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = tuba\nmeter = 7/8 as 2+2+3\nbars = 10\n"
              "target = eighth = 240\n"
              "[shape]\nbar 6 = meter 7/8 (2+2+3)\nbar 5 = meter 3/4\n"
              "[ladder]\nstart = 150\nsteps = 6 %\nraise = 1 clean\n"
              "drop = 1 rung after 2 misses in a row\nover = 1 at 105 %\nclose = 2 clean\n"
              "finish = none\n" UNLIMITED "[pulse]\ncount = eighth below 210\n",
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.start_mbpm = 150000;
    want.target_mbpm = 240000;
    want.steps = PASSO_STEPS_PERCENT;
    want.step_permille = 60;
    want.raise_clean = 1;
    want.over_passes = 1;
    want.over_permille = 1050;
    want.close_clean = 2;
    want.finish_passes = 0;
    assert_rules_equal(&trial.setup.rule, &want);
    const struct passo_passage *passage = &trial.setup.passage;
    assert_ratio(passage->beat, 1, 8);
    assert_int_equal(passage->changes, 2);
    assert_int_equal(passage->change[0].bar, 5);
    assert_int_equal(passage->change[1].bar, 6);
    assert_int_equal(passage->change[1].meter.groups, 3);
    /* 69 eighths: the scenario's own sum */
    assert_ratio(passo_passage_length(passage, passage->loop[0].from, passage->loop[0].to), 69, 8);
    struct passo_ladder ladder;
    assert_int_equal(passo_ladder_init(&ladder, &trial.setup.rule, 1, NULL, 0), PASSO_OK);
    assert_int_equal(ladder.rungs, 9);
    assert_int_equal(ladder.rung_mbpm[2], 168540);
    trial_end(&trial);
}

static void five_horn_with_rit_and_fermata(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = horn\nmeter = 4/4\nbars = 40-48\ntarget = quarter = 96\n"
              "[shape]\nbars 44-45 = rit. to 75 %\n"
              "bar 46 = meter 2/4, fermata x 2, then 1 beat\nbar 47 = meter 3/4, a tempo\n"
              "[ladder]\nstart = 60 %\nsteps = 10 points\nraise = 2 clean in a row\n"
              "drop = hold\n" UNLIMITED,
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.target_mbpm = 96000;
    want.start_permille = 600;
    want.steps = PASSO_STEPS_POINTS;
    want.step_permille = 100;
    want.drop = PASSO_DROP_HOLD;
    assert_rules_equal(&trial.setup.rule, &want);
    const struct passo_passage *passage = &trial.setup.passage;
    assert_ratio(passo_passage_length(passage, passage->loop[0].from, passage->loop[0].to), 8, 1);
    assert_int_equal(passage->changes, 2);
    assert_int_equal(passage->writtens, 3);
    const struct passo_written *rit = &passage->written[0];
    assert_int_equal(rit->kind, PASSO_WRITTEN_TO);
    assert_ratio(rit->share, 3, 4); /* 96 to 72 */
    assert_place(rit->from, 44, 0, 1);
    assert_place(rit->to, 46, 0, 1);
    const struct passo_written *fermata = &passage->written[1];
    assert_int_equal(fermata->kind, PASSO_WRITTEN_FERMATA);
    assert_ratio(fermata->share, 2, 1); /* a half note held 4 beats */
    assert_int_equal(fermata->beats, 1);
    assert_place(fermata->from, 46, 0, 1);
    assert_place(fermata->to, 47, 0, 1);
    const struct passo_written *a_tempo = &passage->written[2];
    assert_int_equal(a_tempo->kind, PASSO_WRITTEN_TEMPO);
    assert_ratio(a_tempo->share, 1, 1);
    assert_place(a_tempo->from, 47, 0, 1);
    trial_end(&trial);
}

/* A loop, its places and a stage that plays it alone, as written. */
static void assert_part(const struct trial *trial, size_t stage, const char *name,
                        struct passo_place from, struct passo_place to)
{
    const struct passo_stage *part = &trial->setup.course.stage[stage];
    const struct passo_loop *loop = &trial->setup.passage.loop[part->turn[0].loop];
    assert_int_equal(part->turns, 1);
    assert_int_equal(part->turn[0].variant, 0);
    assert_string_equal(loop->name, name);
    assert_place(loop->from, from.bar, from.at.num, from.at.den);
    assert_place(loop->to, to.bar, to.at.num, to.at.den);
}

static void six_trombone_halves_joined(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = trombone\nmeter = 4/4\nbars = 8\ntarget = quarter = 120\n"
              "[loops]\nchain = halves, overlapping 1 beat\n"
              "[ladder]\nstart = 60 %\nsteps = 10 points\nraise = 1 clean\ndrop = hold\n"
              "finish = 1 in context\n" UNLIMITED "[stage A]\nloop = first half\ntarget = 90 %\n"
              "[stage B]\nloop = second half\ntarget = 90 %\n"
              "[stage seam]\nloop = seam\nraise = 2 clean in a row\n"
              "start = 80 % of lower result\ntarget = 80 % of lower result\n"
              "[stage joined]\nloop = whole\nstart = 80 % of lower result\nsteps = 8 bpm\n",
              NULL, true);
    assert_no_faults(&trial);
    const struct passo_course *course = &trial.setup.course;
    assert_int_equal(course->stages, 4);
    const struct passo_place end = {9, {0, 1}};
    assert_part(&trial, 0, "first half", (struct passo_place){1, {0, 1}},
                (struct passo_place){5, {0, 1}});
    /* from bar 4 beat 4 */
    assert_part(&trial, 1, "second half", (struct passo_place){4, {3, 4}}, end);
    assert_part(&trial, 2, "seam", (struct passo_place){4, {0, 1}},
                (struct passo_place){6, {0, 1}});
    assert_part(&trial, 3, "whole", (struct passo_place){1, {0, 1}}, end);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.target_mbpm = 108000;
    want.start_permille = 600; /* both of 120, the passage's target */
    want.steps = PASSO_STEPS_POINTS;
    want.step_permille = 100;
    want.raise_clean = 1;
    want.drop = PASSO_DROP_HOLD;
    assert_rules_equal(&course->stage[0].rule, &want);
    assert_rules_equal(&course->stage[1].rule, &want);
    assert_int_equal(course->stage[0].rule.full_mbpm, 120000);
    assert_int_equal(course->stage[2].rule.raise_clean, 2);
    assert_int_equal(course->stage[2].target.permille, 800);
    want.target_mbpm = 120000;
    want.steps = PASSO_STEPS_BPM;
    want.step_mbpm = 8000;
    assert_rules_equal(&course->stage[3].rule, &want);
    assert_int_equal(course->stage[3].start.look, PASSO_LOOK_LOWER);
    assert_int_equal(course->stage[3].start.permille, 800);
    assert_int_equal(course->stage[3].target.look, PASSO_LOOK_NONE);
    trial_end(&trial);
}

static void seven_trumpet_from_the_end(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = trumpet\nmeter = 4/4\nbars = 2\ntarget = quarter = 144\n"
              "[loops]\nchain = backward by beat\n"
              "[ladder]\nclimbs = length\nraise = 2 clean in a row\n"
              "drop = 1 rung after 3 misses in a row\nfinish = none\n" UNLIMITED,
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.target_mbpm = 144000;
    want.climbs = PASSO_CLIMBS_LENGTH;
    want.lengths = 8;
    want.raise_clean = 2;
    want.drop_misses = 3;
    want.finish_passes = 0;
    const struct passo_stage *stage = &trial.setup.course.stage[0];
    assert_int_equal(trial.setup.course.stages, 1);
    assert_rules_equal(&stage->rule, &want);
    const struct passo_passage *passage = &trial.setup.passage;
    for (int beats = 1; beats <= 8; beats++) {
        const struct passo_loop *loop = &passage->loop[stage->length[beats - 1]];
        struct passo_ratio length = passo_passage_length(passage, loop->from, loop->to);
        assert_int_equal(passo_ratio_cmp(length, passo_ratio(beats, 4)), 0);
        assert_place(loop->to, 3, 0, 1);
    }
    trial_end(&trial);
}

static void eleven_pedals(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 120\n[ladder]\nstart = quarter = 80\nsteps = 4 bpm\n"
              "raise = 2 clean in a row\ndrop = 1 rung after 2 misses in a row\n"
              "unmarked = hold\non-miss = play on\n" UNLIMITED,
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.target_mbpm = 120000;
    want.start_mbpm = 80000;
    want.unmarked = PASSO_UNMARKED_HOLD;
    assert_rules_equal(&trial.setup.rule, &want);
    assert_int_equal(trial.setup.on_miss, PASSO_ON_MISS_PLAY_ON);
    trial_end(&trial);
}

static void twelve_tired_tuba(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = tuba\nmeter = 4/4\nbars = 6\ntarget = quarter = 92\n"
              "[ladder]\nstart = 66\nsteps = 4 bpm\nraise = 1 clean\n"
              "drop = 1 rung after 2 misses\ntired = 3 misses of 5\nplateau = none\nstop = none\n",
              NULL, true);
    assert_no_faults(&trial);
    struct passo_rule want = passo_rule_default();
    unlimited(&want);
    want.start_mbpm = 66000;
    want.target_mbpm = 92000;
    want.raise_clean = 1;
    want.tired_misses = 3;
    want.tired_of = 5;
    assert_rules_equal(&trial.setup.rule, &want);
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_bass_trombone_streak),
        cmocka_unit_test(two_euphonium_octave_pair),
        cmocka_unit_test(three_student_in_six_eight),
        cmocka_unit_test(four_tuba_in_seven_eight),
        cmocka_unit_test(five_horn_with_rit_and_fermata),
        cmocka_unit_test(six_trombone_halves_joined),
        cmocka_unit_test(seven_trumpet_from_the_end),
        cmocka_unit_test(eleven_pedals),
        cmocka_unit_test(twelve_tired_tuba),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
