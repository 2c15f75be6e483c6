/* Stages: which line of a key counts, what looks back, what is left to the first and the last
 * stage, and which turns each has. */
#include "setup_tools.h"

/* A stage of the course by its name; the course has so many. */
static const struct passo_stage *stage_of(const struct trial *trial, size_t stages, size_t index,
                                          const char *name)
{
    const struct passo_course *course = &trial->setup.course;
    assert_int_equal(course->stages, stages);
    assert_string_equal(course->stage[index].name, name);
    return &course->stage[index];
}

static void assert_turn(const struct trial *trial, const struct passo_stage *stage, size_t index,
                        const char *loop, const char *variant)
{
    const struct passo_passage *passage = &trial->setup.passage;
    assert_true(index < stage->turns);
    assert_string_equal(passage->loop[stage->turn[index].loop].name, loop);
    assert_string_equal(passage->variant[stage->turn[index].variant].name, variant);
}

static void no_stage_is_one_over_the_common_rule(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 96\n[loops]\na = 1-2\nb = 3-4\n[variants]\nlow = octave down\n"
              "up = octave up\n[ladder]\ncold = yes\nover = 1 at 105 %\n",
              NULL, true);
    assert_no_faults(&trial);
    const struct passo_stage *stage = stage_of(&trial, 1, 0, "");
    assert_rules_equal(&stage->rule, &trial.setup.rule);
    assert_int_equal(stage->turns, 4);
    struct passo_turn turn[PASSO_TURNS_MAX];
    assert_int_equal(passo_passage_turns(&trial.setup.passage, turn), 4);
    assert_memory_equal(stage->turn, turn, 4 * sizeof *turn);
    assert_int_equal(stage->start.look, PASSO_LOOK_NONE);
    assert_int_equal(stage->target.look, PASSO_LOOK_NONE);
    assert_false(stage->rule.leads_on);
    trial_end(&trial);
}

/* Of one rank the stage's line counts, else that of the higher rank. */
static void the_higher_rank_wins(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"drop",  "hold",       "stage", "One: raise = 7 clean",
                                   "stage", "two:lift=3", "stage", "three: anchor = 50 %",
                                   "miss",  "first turn", NULL};
    try_lines(&trial,
              "[passage]\ntarget = 96\npreset = patient\n[stage one]\nsteps = 2 bpm\n"
              "raise = 3 clean\ndrop = 1 rung after 5 misses\n[ladder]\nturn = every pass\n"
              "[stage two]\nturn = whole climb\nlift = 2 -1\n",
              options, true);
    assert_no_faults(&trial);
    const struct passo_stage *stage = stage_of(&trial, 3, 0, "one");
    assert_int_equal(stage->rule.steps, PASSO_STEPS_BPM); /* the stage's, over the preset's */
    assert_int_equal(stage->rule.step_mbpm, 2000);
    assert_int_equal(stage->rule.raise_clean, 7); /* the stage's option, over its file's line */
    assert_int_equal(stage->rule.raise_of, 0);
    assert_int_equal(stage->rule.drop, PASSO_DROP_HOLD); /* the common option, over its line */
    assert_int_equal(stage->rule.turn, PASSO_TURN_EVERY_PASS); /* the common line */
    assert_int_equal(stage->rule.start_permille, 700);         /* the preset's */
    assert_int_equal(stage->rule.miss, PASSO_MISS_FIRST_TURN);
    stage = stage_of(&trial, 3, 1, "two");
    assert_int_equal(stage->rule.turn, PASSO_TURN_WHOLE_CLIMB); /* the stage's, of one rank */
    assert_int_equal(stage->rule.lifts, 1);
    assert_int_equal(stage->rule.lift[0], 3);
    assert_int_equal(stage->rule.raise_of, 4); /* the preset's */
    stage = stage_of(&trial, 3, 2, "three");
    assert_int_equal(stage->rule.anchor_permille, 500);
    trial_end(&trial);
}

/* A target, a limit and a look back are the stage's own, whoever says the common ones. */
static void what_is_a_stages_own_stays(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"target", "100", "start", "50", "stop", "9 min", NULL};
    try_lines(&trial,
              "[stage one]\ntarget = 90 %\nstart = 70\nstop = 6 passes, 3 min, 4 misses in a row\n"
              "[stage two]\nstart = 80 % of lower result\nstop = none\n",
              options, true);
    assert_no_faults(&trial);
    const struct passo_stage *one = stage_of(&trial, 2, 0, "one");
    const struct passo_stage *two = stage_of(&trial, 2, 1, "two");
    assert_int_equal(one->rule.target_mbpm, 90000);
    assert_int_equal(one->rule.start_mbpm, 50000); /* the option's */
    assert_int_equal(one->rule.stage_ms, 180000);
    assert_int_equal(one->rule.stage_passes, 6);
    assert_int_equal(one->rule.stage_misses, 4);
    assert_int_equal(one->rule.stop_ms, 540000);
    assert_int_equal(one->rule.stop_passes, 0);
    assert_int_equal(two->rule.target_mbpm, 100000);
    assert_int_equal(two->start.look, PASSO_LOOK_LOWER);
    assert_int_equal(two->start.permille, 800);
    assert_int_equal(two->rule.stage_ms, 0);
    assert_int_equal(two->rule.stop_ms, 540000);
    trial_end(&trial);
}

static void looks_back(void **state)
{
    static const struct {
        const char *value;
        enum passo_look look;
        int permille;
    } look[] = {
        {"80 % of lower result", PASSO_LOOK_LOWER, 800},
        {"62.5% of the higher result", PASSO_LOOK_HIGHER, 625},
        {"last result", PASSO_LOOK_LAST, 1000},
        {"200 % of last result", PASSO_LOOK_LAST, 2000},
    };
    (void)state;
    for (size_t i = 0; i < sizeof look / sizeof *look; i++)
        for (int target = 0; target < 2; target++) {
            struct trial trial;
            char text[256];
            snprintf(text, sizeof text,
                     "[passage]\ntarget = 96\n[stage a]\n[stage a]\nraise = 1 clean\n[stage b]\n"
                     "%s = %s\n",
                     target ? "target" : "start", look[i].value);
            try_lines(&trial, text, NULL, true);
            assert_no_faults(&trial);
            const struct passo_stage *stage = stage_of(&trial, 2, 1, "b");
            const struct passo_look_back *back = target ? &stage->target : &stage->start;
            const struct passo_look_back *other = target ? &stage->start : &stage->target;
            assert_int_equal(back->look, look[i].look);
            assert_int_equal(back->permille, look[i].permille);
            assert_int_equal(other->look, PASSO_LOOK_NONE);
            assert_int_equal(stage->rule.target_mbpm, 96000); /* never above it */
            trial_end(&trial);
        }
}

/* That a stage climbs these rungs, in thousandths of a beat a minute. */
static void assert_rungs(const struct passo_stage *stage, const int32_t *rung, size_t rungs)
{
    struct passo_ladder *ladder = passo_xcalloc(1, sizeof *ladder);
    assert_int_equal(passo_ladder_init(ladder, &stage->rule, stage->turns, NULL, 0), PASSO_OK);
    assert_int_equal(ladder->rungs, rungs);
    for (size_t i = 0; i < rungs; i++)
        assert_int_equal(ladder->rung_mbpm[i], rung[i]);
    free(ladder);
}
#define RUNGS(stage, ...)                                                                          \
    assert_rungs(stage, (const int32_t[]){__VA_ARGS__},                                            \
                 sizeof((const int32_t[]){__VA_ARGS__}) / sizeof(int32_t))

/* Shares and points are of the passage's target. */
static void shares_are_of_the_passages_target(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 120\n[ladder]\nsteps = 10 points\n[stage a]\ntarget = 90 %\n"
              "[stage b]\ntarget = 66.6 % of the target\nstart = 80 %\nsteps = 5 %\n"
              "[stage c]\ntarget = quarter = 100\nstart = 70\n[stage d]\nraise = 1 clean\n",
              NULL, true);
    assert_no_faults(&trial);
    RUNGS(stage_of(&trial, 4, 0, "a"), 72000, 84000, 96000, 108000);
    RUNGS(stage_of(&trial, 4, 1, "b"), 79920); /* not above its target */
    RUNGS(stage_of(&trial, 4, 2, "c"), 70000, 82000, 94000, 100000);
    RUNGS(stage_of(&trial, 4, 3, "d"), 72000, 84000, 96000, 108000, 120000);
    trial_end(&trial);
}

static void a_stage_may_have_a_list(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[ladder]\nsteps = 60 70 80\n[stage a]\nraise = 1 clean\n[stage b]\nsteps = 40 50\n"
              "[stage c]\nsteps = 4 bpm\nstart = 72\n",
              NULL, true);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.target_mbpm, 80000);
    assert_int_equal(stage_of(&trial, 3, 0, "a")->rule.start_mbpm, 60000);
    assert_int_equal(stage_of(&trial, 3, 1, "b")->rule.start_mbpm, 40000);
    assert_int_equal(stage_of(&trial, 3, 1, "b")->rule.target_mbpm, 50000);
    assert_int_equal(stage_of(&trial, 3, 2, "c")->rule.start_mbpm, 72000);
    assert_int_equal(stage_of(&trial, 3, 2, "c")->rule.target_mbpm, 80000);
    trial_end(&trial);
}

static void the_ends_are_the_first_and_the_last_stages(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 96\n[ladder]\ncold = yes\nover = 1 at 105 %\nclose = thinning\n"
              "finish = 1 in context, 1 at 60 %\nanchor = 50 %\n[stage a]\nraise = 1 clean\n"
              "[stage b]\ncold = yes\n[stage c]\nclose = 1 clean\n",
              NULL, true);
    assert_no_faults(&trial);
    static const char *const name[] = {"a", "b", "c"};
    for (size_t i = 0; i < 3; i++) {
        const struct passo_rule *rule = &stage_of(&trial, 3, i, name[i])->rule;
        assert_int_equal(rule->cold, i < 2);
        assert_int_equal(rule->over_passes, i == 2);
        assert_int_equal(rule->close_thins, false);
        assert_int_equal(rule->close_clean, i == 2);
        /* wherever the climb ends, it ends with its finish */
        assert_int_equal(rule->finish_passes, 1);
        assert_int_equal(rule->put_away_passes, 1);
        assert_int_equal(rule->anchor_permille, 500);
        assert_int_equal(rule->leads_on, i < 2);
    }
    trial_end(&trial);
}

static void names_its_turns(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"stage", "Joined: variant = as written", NULL};
    try_lines(&trial,
              "[passage]\ntarget = 96\nbars = 8\n[loops]\nrun = 2-3\nchain = halves\n"
              "[variants]\nlow = octave down\nhigh = octave up\n"
              "[stage parts]\nloop = Run, second half,run\nvariant = high, LOW\n"
              "[stage joined]\nloop = whole\n[stage all]\nvariant = low\n"
              "[stage ends]\nchain = backward by 4 bars\nvariant = low\n"
              "[stage lengths]\nclimbs = length\nchain = backward by 2 bars\n",
              options, true);
    assert_no_faults(&trial);
    const struct passo_stage *parts = stage_of(&trial, 5, 0, "parts");
    assert_int_equal(parts->turns, 4);
    assert_turn(&trial, parts, 0, "run", "high");
    assert_turn(&trial, parts, 1, "run", "low");
    assert_turn(&trial, parts, 3, "second half", "low");
    const struct passo_stage *joined = stage_of(&trial, 5, 1, "joined");
    assert_int_equal(joined->turns, 1);
    assert_turn(&trial, joined, 0, "whole", "as written");
    const struct passo_stage *all = stage_of(&trial, 5, 2, "all");
    assert_int_equal(all->turns, 5);
    assert_turn(&trial, all, 0, "run", "low");
    assert_turn(&trial, all, 3, "seam", "low");
    assert_turn(&trial, all, 4, "whole", "low");
    const struct passo_stage *ends = stage_of(&trial, 5, 3, "ends");
    assert_int_equal(ends->turns, 2);
    assert_turn(&trial, ends, 0, "last 4 bars", "low");
    assert_turn(&trial, ends, 1, "whole", "low");
    const struct passo_stage *lengths = stage_of(&trial, 5, 4, "lengths");
    assert_int_equal(lengths->turns, 2);
    assert_int_equal(lengths->rule.lengths, 4);
    assert_string_equal(trial.setup.passage.loop[lengths->length[1]].name, "last 4 bars");
    assert_int_equal(lengths->length[1], ends->turn[0].loop); /* made once */
    assert_int_equal(lengths->length[3], 0);
    trial_end(&trial);
}

/* Two chains that make different loops of one name. */
static void names_stay_apart(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 96\nbars = 8\n[stage a]\nchain = halves\n[stage b]\n"
              "chain = halves, overlapping 2 beats\n",
              NULL, true);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.passage.loops, 5);
    assert_turn(&trial, stage_of(&trial, 2, 0, "a"), 1, "second half", "as written");
    assert_turn(&trial, stage_of(&trial, 2, 1, "b"), 1, "second half 2", "as written");
    assert_turn(&trial, stage_of(&trial, 2, 1, "b"), 0, "first half", "as written");
    trial_end(&trial);
}

/* Where two beats are all there is, the seam is the whole passage. */
static void a_seam_that_is_all_has_its_name_still(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 96\nmeter = 2/4\nbars = 1\n[loops]\n"
              "chain = halves, overlapping the landing\n[stage a]\nloop = seam\n",
              NULL, true);
    assert_no_faults(&trial);
    assert_turn(&trial, stage_of(&trial, 1, 0, "a"), 0, "whole", "as written");
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_stage_is_one_over_the_common_rule),
        cmocka_unit_test(the_higher_rank_wins),
        cmocka_unit_test(what_is_a_stages_own_stays),
        cmocka_unit_test(looks_back),
        cmocka_unit_test(shares_are_of_the_passages_target),
        cmocka_unit_test(a_stage_may_have_a_list),
        cmocka_unit_test(the_ends_are_the_first_and_the_last_stages),
        cmocka_unit_test(names_its_turns),
        cmocka_unit_test(names_stay_apart),
        cmocka_unit_test(a_seam_that_is_all_has_its_name_still),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
