/* From the file to the passes: sessions 6 and 7 of the acceptance scenarios, and presets, resolved
 * and played by the real course with written marks. The tempi and loops are the scenarios' own. */
#include "setup_tools.h"

struct pass {
    const char *loop;
    int32_t mbpm;
    char mark; /* c, m */
};

/* Plays the passes; each must come as said. The climb is then over. */
static void assert_played(const struct trial *trial, const struct pass *pass, size_t passes,
                          enum passo_outcome outcome)
{
    const struct passo_course *course = &trial->setup.course;
    struct passo_course_state *state = passo_xcalloc(1, sizeof *state);
    passo_course_begin(course, state);
    for (size_t i = 0; i < passes; i++) {
        struct passo_plan plan = passo_course_next(course, state);
        const struct passo_loop *loop = passo_plan_loop(&trial->setup.passage, &plan);
        if (plan.mbpm != pass[i].mbpm || strcmp(loop->name, pass[i].loop))
            print_error("pass %zu: %s at %d\n", i + 1, loop->name, (int)plan.mbpm);
        assert_int_equal(plan.mbpm, pass[i].mbpm);
        assert_string_equal(loop->name, pass[i].loop);
        struct passo_ladder_event event = {
            .type = PASSO_LADDER_PASS,
            .mark = pass[i].mark == 'c' ? PASSO_MARK_CLEAN : PASSO_MARK_MISS,
            .part = plan.part,
            .rung = plan.rung,
            .turn = plan.turn,
            .stage = plan.stage,
            .elapsed_ms = 1000 * (int64_t)(i + 1),
            .played_ms = 500 * (int64_t)(i + 1),
        };
        passo_course_apply(course, state, &event);
    }
    assert_int_equal(passo_course_next(course, state).part, PASSO_PART_DONE);
    assert_int_equal(state->now.outcome, outcome);
    free(state);
}
#define PLAYED(trial, outcome, ...)                                                                \
    do {                                                                                           \
        static const struct pass pass[] = {__VA_ARGS__};                                           \
        assert_played(trial, pass, sizeof pass / sizeof *pass, outcome);                           \
    } while (0)

/* Session 6, by the preset: 17 passes and one context run. */
static void halves_are_joined(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ninstrument = trombone\nmeter = 4/4\nbars = 8\ntarget = quarter = 120\n"
              "preset = halves\n",
              NULL, true);
    assert_no_faults(&trial);
    PLAYED(&trial, PASSO_OUTCOME_WON, {"first half", 72000, 'c'}, {"first half", 84000, 'c'},
           {"first half", 96000, 'c'}, {"first half", 108000, 'c'}, {"second half", 72000, 'c'},
           {"second half", 84000, 'c'}, {"second half", 96000, 'm'}, {"second half", 96000, 'c'},
           {"second half", 108000, 'c'}, {"seam", 86400, 'c'}, {"seam", 86400, 'c'},
           {"whole", 86400, 'c'}, {"whole", 94400, 'c'}, {"whole", 102400, 'c'},
           {"whole", 110400, 'c'}, {"whole", 118400, 'c'}, {"whole", 120000, 'c'},
           {"whole", 120000, 'm'});
    trial_end(&trial);
}

/* Session 7, by the preset and by its own lines; MMM at length 5 goes to length 4. */
static void from_the_end(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"finish", "none", NULL};
    try_lines(&trial,
              "[passage]\nmeter = 4/4\nbars = 2\ntarget = quarter = 144\npreset = from-the-end\n",
              options, true);
    assert_no_faults(&trial);
    PLAYED(
        &trial, PASSO_OUTCOME_WON, {"last beat", 144000, 'c'}, {"last beat", 144000, 'c'},
        {"last 2 beats", 144000, 'c'}, {"last 2 beats", 144000, 'c'}, {"last 3 beats", 144000, 'c'},
        {"last 3 beats", 144000, 'm'}, {"last 3 beats", 144000, 'c'}, {"last 3 beats", 144000, 'c'},
        {"last 4 beats", 144000, 'c'}, {"last 4 beats", 144000, 'c'}, {"last 5 beats", 144000, 'm'},
        {"last 5 beats", 144000, 'm'}, {"last 5 beats", 144000, 'm'}, {"last 4 beats", 144000, 'c'},
        {"last 4 beats", 144000, 'c'}, {"last 5 beats", 144000, 'c'}, {"last 5 beats", 144000, 'c'},
        {"last 6 beats", 144000, 'c'}, {"last 6 beats", 144000, 'c'}, {"last 7 beats", 144000, 'c'},
        {"last 7 beats", 144000, 'c'}, {"whole", 144000, 'c'}, {"whole", 144000, 'c'});
    trial_end(&trial);
}

/* R7 of the trade page: +16 until a miss, then half way, until the gap is at most 4; the work
 * begins at 85 % of the edge. Steps and start as the preset has them, target 96: 48 64 80(M) 72
 * 76(M): the edge is 72, and 85 % of it 61.2. */
static void the_edge_leads_to_the_work(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {
        "finish", "none", "stage", "climb: steps = 20 bpm", "stage", "climb: raise = 1 clean",
        NULL};
    try_lines(&trial, "[passage]\ntarget = 96\npreset = find-the-edge\n", options, true);
    assert_no_faults(&trial);
    PLAYED(&trial, PASSO_OUTCOME_WON, {"whole", 48000, 'c'}, {"whole", 64000, 'c'},
           {"whole", 80000, 'm'}, {"whole", 72000, 'c'}, {"whole", 76000, 'm'},
           {"whole", 61200, 'c'}, {"whole", 81200, 'c'}, {"whole", 96000, 'c'});
    trial_end(&trial);
}

/* Five coins: one across with each clean pass, one back with a miss. */
static void coins_cross_the_stand(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"finish", "none", "start", "100 %", NULL};
    try_lines(&trial, "[passage]\ntarget = 96\npreset = coins\n", options, true);
    assert_no_faults(&trial);
    PLAYED(&trial, PASSO_OUTCOME_WON, {"whole", 96000, 'c'}, {"whole", 96000, 'c'},
           {"whole", 96000, 'm'}, {"whole", 96000, 'c'}, {"whole", 96000, 'c'},
           {"whole", 96000, 'c'}, {"whole", 96000, 'c'});
    trial_end(&trial);
}

static void it_is_put_away_slow(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"start", "100 %", NULL};
    try_lines(&trial, "[passage]\ntarget = 100\nbars = 5-8\ncontext = 2\npreset = put-away-slow\n",
              options, true);
    assert_no_faults(&trial);
    PLAYED(&trial, PASSO_OUTCOME_WON, {"whole", 100000, 'c'}, {"whole", 100000, 'c'},
           {"context", 100000, 'm'}, {"whole", 60000, 'c'});
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(halves_are_joined),          cmocka_unit_test(from_the_end),
        cmocka_unit_test(the_edge_leads_to_the_work), cmocka_unit_test(coins_cross_the_stand),
        cmocka_unit_test(it_is_put_away_slow),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
