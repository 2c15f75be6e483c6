/* What `passo plan` works out and prints where no passage file of the other tests leads: the curve,
 * courses of several stages, chains. The printed text is caught from stdout. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "command/plan_curve.h"
#include "command/plan_ladder.h"
#include "command/plan_say.h"
#include "session/climb.h"

static const struct passo_ratio quarter = {1, 4};

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

/* --- the curve --- */

static struct plan_curve curve_of(const char *clean)
{
    struct plan_curve curve;
    struct passo_faults faults = {0};
    assert_true(plan_curve_read(clean, quarter, &curve, &faults));
    assert_int_equal(faults.faults, 0);
    return curve;
}

static void refused(const char *clean, const char *word)
{
    struct plan_curve curve;
    struct passo_faults faults = {0};
    assert_false(plan_curve_read(clean, quarter, &curve, &faults));
    assert_true(faults.faults > 0);
    assert_non_null(strstr(faults.fault[0], "--clean"));
    assert_non_null(strstr(faults.fault[0], word));
    passo_faults_deinit(&faults);
}

static void two_points_are_met(void **unused)
{
    (void)unused;
    const char *const ways[] = {"85 % at 72, 40 % at 96", "40% at quarter = 96;85%  at  72",
                                "85 % at half = 36, 40 % at eighth = 192"};
    for (size_t i = 0; i < 3; i++) {
        struct plan_curve curve = curve_of(ways[i]);
        near(passo_skill_clean(&curve.skill, 72000), 0.85, 1e-9);
        near(passo_skill_clean(&curve.skill, 96000), 0.40, 1e-9);
        assert_non_null(strstr(curve.words, "quarter = 72"));
    }
}

static void one_point_has_the_usual_slope(void **unused)
{
    (void)unused;
    struct plan_curve curve = curve_of("85 % at 72");
    near(passo_skill_clean(&curve.skill, 72000), 0.85, 1e-9);
    /* as it is told: 5 clean to a miss become about 3 to a miss a tenth faster */
    const double slower =
        log(5.0 / 1) / curve.skill.slope - curve.skill.intercept / curve.skill.slope;
    const double odds = exp(curve.skill.intercept + curve.skill.slope * (slower + log(1.1)));
    near(odds, 3, 0.15);
    assert_non_null(strstr(curve.words, "usual slope"));
}

static void more_points_are_fitted(void **unused)
{
    (void)unused;
    struct plan_curve curve = curve_of("90 % at 60, 80 % at 72, 30 % at 96");
    double clean = passo_skill_clean(&curve.skill, 60000) + passo_skill_clean(&curve.skill, 72000) +
                   passo_skill_clean(&curve.skill, 96000);
    near(clean, 2.0, 1e-9); /* the likeliest curve has as many clean passes as were given */
    assert_non_null(strstr(curve.words, "3 points"));
}

static void never_and_always_are_moved_a_little(void **unused)
{
    (void)unused;
    struct plan_curve curve = curve_of("100 % at 60, 0 % at 120");
    near(passo_skill_clean(&curve.skill, 60000), 0.99, 1e-9);
    near(passo_skill_clean(&curve.skill, 120000), 0.01, 1e-9);
    assert_non_null(strstr(curve.words, "taken as 1 % and 99 %"));
}

static void what_is_no_point_is_refused(void **unused)
{
    (void)unused;
    refused("", "wanted");
    refused(", ,", "wanted");
    refused("85 at 72", "wanted");
    refused("85 %", "wanted");
    refused("85 % near 72", "wanted");
    refused("101 % at 72", "wanted");
    refused("-1 % at 72", "wanted");
    refused("nan % at 72", "wanted");
    refused("85 % at", "wanted");
    refused("85 % at 4", "5 to 1000");
    refused("85 % at sixty-fourth = 5", "5 to 1000"); /* 0.3 quarters a minute */
    refused("85 % at 72, 80 % at half = 36", "twice");
    refused("40 % at 72, 85 % at 96", "mixed up");
    refused("1%at 1", "5 to 1000");
}

static void an_assumption_is_told(void **unused)
{
    (void)unused;
    struct plan_curve curve;
    plan_curve_assume(60000, 96000, quarter, &curve);
    near(passo_skill_clean(&curve.skill, 60000), 0.95, 1e-9);
    near(passo_skill_clean(&curve.skill, 96000), 0.60, 1e-9);
    assert_non_null(strstr(curve.words, "quarter = 60"));
    plan_curve_assume(96000, 96000, quarter, &curve);
    near(passo_skill_clean(&curve.skill, 96000), 0.60, 1e-9);
    assert_true(curve.skill.slope < 0);
}

/* --- a log --- */

static struct plan_curve fitted(const struct passo_past_log *log)
{
    struct plan_curve curve;
    assert_true(plan_curve_fit(log, &curve));
    return curve;
}

/* What brglm2 0.9 gave for the same marks (tests/engine/test_skill.c). */
static void marks_of_a_log_are_fitted(void **unused)
{
    (void)unused;
    struct passo_skill_group group[] = {{log(60), 18, 18}, {log(66), 19, 17}, {log(72), 17, 14},
                                        {log(78), 15, 9},  {log(84), 9, 4},   {log(90), 6, 1}};
    struct passo_past_log past = {.group = group, .groups = 6, .passes = 84, .days = 3};
    struct plan_curve curve = fitted(&past);
    near(curve.skill.intercept, 52.5467425613033, 1e-6);
    near(curve.skill.slope, -11.9570424228225, 1e-6);
    assert_non_null(strstr(curve.words, "84 passes on 3 days"));
    assert_non_null(strstr(curve.words, "half as much as one a week later"));
    assert_null(strstr(curve.words, "rough"));
    /* What has faded is little to go by, however many passes there were. */
    for (size_t i = 0; i < 6; i++) {
        group[i].n /= 4;
        group[i].y /= 4;
    }
    curve = fitted(&past);
    assert_non_null(strstr(curve.words, "84 passes on 3 days"));
    assert_non_null(strstr(curve.words, "rough guess"));
}

static void marks_that_show_no_fall_have_the_usual_slope(void **unused)
{
    (void)unused;
    struct passo_skill_group rising[] = {{log(60), 4, 2}, {log(80), 4, 4}};
    struct passo_skill_group one[] = {{log(72), 9, 8}};
    struct passo_past_log past = {.group = rising, .groups = 2, .passes = 8, .days = 1};
    struct plan_curve curve = fitted(&past);
    near(curve.skill.slope, -5, 0);
    near(passo_skill_clean(&curve.skill, 69282), 6.5 / 9, 1e-4); /* the middle of 60 and 80 */
    assert_non_null(strstr(curve.words, "8 passes on 1 day of"));
    assert_null(strstr(curve.words, "week"));
    assert_non_null(strstr(curve.words, "rough guess"));
    assert_non_null(strstr(curve.words, "usual slope"));
    past = (struct passo_past_log){.group = one, .groups = 1, .passes = 9, .days = 2};
    curve = fitted(&past);
    near(curve.skill.slope, -5, 0);
    near(passo_skill_clean(&curve.skill, 72000), 0.85, 1e-9);
    past = (struct passo_past_log){.groups = 0};
    assert_false(plan_curve_fit(&past, &curve));
}

/* --- courses --- */

static struct passo_setup *setup_of(size_t stages)
{
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    struct passo_rule rule = passo_rule_default();
    struct passo_passage *passage = &setup->passage;
    assert_int_equal(passo_meter_init(&passage->meter, 4, 4), PASSO_OK);
    passage->beat = quarter;
    passage->first_bar = 1;
    passage->bars = 4;
    passage->loops = 3;
    passage->loop[1] = (struct passo_loop){"first half", {1, {0, 1}}, {3, {0, 1}}};
    passage->loop[2] = (struct passo_loop){"second half", {3, {0, 1}}, {5, {0, 1}}};
    assert_int_equal(passo_passage_complete(passage), PASSO_OK);
    rule.start_mbpm = 60000;
    rule.target_mbpm = 80000;
    rule.stop_ms = 0;
    rule.tired_misses = 0;
    rule.finish_passes = 0;
    setup->course.stages = stages;
    for (size_t i = 0; i < stages; i++) {
        struct passo_stage *stage = &setup->course.stage[i];
        snprintf(stage->name, sizeof stage->name, "part %zu", i + 1);
        stage->rule = rule;
        stage->turns = 1;
        stage->turn[0].loop = (uint8_t)((i + 1) % 3);
    }
    return setup;
}

static void checked(struct passo_setup *setup)
{
    assert_int_equal(passo_course_check(&setup->course, NULL, 0), PASSO_OK);
}

/* The third stage begins at 80 % of the lower result, which is 80 when every pass is clean. */
static struct passo_setup *three_stages(void)
{
    struct passo_setup *setup = setup_of(3);
    setup->course.stage[2].rule.target_mbpm = 96000;
    setup->course.stage[2].start = (struct passo_look_back){PASSO_LOOK_LOWER, 800};
    checked(setup);
    return setup;
}

static void stages_come_as_if_all_were_clean(void **unused)
{
    (void)unused;
    struct passo_setup *setup = three_stages();
    struct plan_stages stages;
    plan_stages_play(setup, &stages);
    assert_int_equal(stages.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(stages.ladder[0]->rungs, 6);
    assert_int_equal(stages.ladder[2]->rung_mbpm[0], 64000);
    assert_int_equal(stages.ladder[2]->rungs, 9);
    assert_int_equal(stages.passes, 2 * (6 + 6 + 9));
    plan_stages_deinit(&stages);
    /* a limit ends it in the first stage: the second is still shown, the third cannot be */
    for (size_t i = 0; i < 3; i++)
        setup->course.stage[i].rule.stop_passes = 4;
    checked(setup);
    plan_stages_play(setup, &stages);
    assert_int_equal(stages.outcome, PASSO_OUTCOME_PASSES);
    assert_non_null(stages.ladder[1]);
    assert_null(stages.ladder[2]);
    plan_stages_deinit(&stages);
    free(setup);
}

/* --- as long as the conductor takes --- */

static void draw_nothing(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    (void)view, (void)snapshot;
}

static void say_nothing(struct passo_view *view, enum passo_say kind, const char *line)
{
    (void)view, (void)kind, (void)line;
}

static bool press_nothing(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    (void)view, (void)now_ns, (void)out_press;
    return false;
}

static void wait_for_nothing(struct passo_view *view, int64_t timeout_ns)
{
    (void)view, (void)timeout_ns;
}

static void close_nothing(struct passo_view *view)
{
    (void)view;
}

static void take_end(void *user, enum passo_handed what, const struct passo_setup *setup,
                     const struct passo_plan *plan, uint32_t pass,
                     const struct passo_timeline *timeline)
{
    (void)what, (void)setup, (void)plan, (void)pass;
    *(int64_t *)user = timeline->end.frame;
}

/* The last landing of a track, every pass clean, in milliseconds. */
static int64_t conducted_ms(const struct passo_setup *setup)
{
    static const struct passo_view_ops ops = {.name = "none",
                                              .draw = draw_nothing,
                                              .say = say_nothing,
                                              .press = press_nothing,
                                              .wait = wait_for_nothing,
                                              .close = close_nothing};
    char marks[257];
    char fault[256] = "";
    int64_t end = 0;
    struct passo_view view = {.ops = &ops};
    struct passo_marker marker = {.script = marks};
    struct passo_climb_result result;
    const struct passo_witness witness = {.user = &end, .handed = take_end};
    memset(marks, 'c', sizeof marks - 1);
    marks[sizeof marks - 1] = '\0';
    const struct passo_climb_setup run = {.setup = setup,
                                          .output = &passo_output_simulated,
                                          .ask = {.rate_hz = 48000},
                                          .view = &view,
                                          .marker = &marker,
                                          .player = "",
                                          .unrecorded = true,
                                          .wall_ns = 1,
                                          .track = true,
                                          .witness = &witness};
    if (passo_climb_run(&run, &result, fault, sizeof fault) != PASSO_OK)
        fail_msg("%s", fault);
    return end / 48;
}

static struct passo_setup *heard_setup(const char *const *more)
{
    static const char *const usual[] = {"bars",    "1-4",   "notes", "C4 z4 | z8 | E8 | F8 |",
                                        "target",  "96",    "start", "80",
                                        "steps",   "8 bpm", "raise", "2 clean",
                                        "finish",  "none",  "stop",  "none",
                                        "plateau", "none",  "tired", "none",
                                        "rest",    "10 s",  NULL};
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    for (size_t i = 0; usual[i]; i += 2)
        passo_lines_add_option(&lines, usual[i], usual[i + 1], &faults);
    for (size_t i = 0; more[i]; i += 2)
        passo_lines_add_option(&lines, more[i], more[i + 1], &faults);
    passo_setup_resolve(&lines, true, setup, &faults);
    if (faults.faults)
        fail_msg("%s", faults.fault[0]);
    passo_lines_deinit(&lines);
    return setup;
}

/* What is planned is what is played, with all that the machine plays before: rests of 10 s, under
 * which no hearing fits, and rests that are longer; loops of which one has no note; variants; parts
 * that are not heard. */
static void a_plan_is_as_long_as_the_climb(void **unused)
{
    (void)unused;
    static const char *const more[][13] = {
        {NULL},
        {"start-pitch", "C 4", NULL},
        {"start-pitch", "C 4", "rest", "1 s", NULL},
        {"hear", "before each new rung", NULL},
        {"hear", "before each new rung", "rest", "60 s", NULL},
        {"hear", "every pass", NULL},
        {"hear", "every pass", "start-pitch", "C 4", "rest", "as played, at least 8 s", NULL},
        {"hear", "before each new rung", "loop", "still=2", "loop", "end=3-4", "start-pitch", "C 4",
         NULL},
        {"hear", "every pass", "loop", "still=2", "loop", "end=3-4", NULL},
        {"hear", "before each new rung", "variant", "low=octave -1", "turn", "every pass", NULL},
        {"hear", "before each new rung", "anchor", "70 %", "over", "1 at 105 %", NULL},
        {"hear", "every pass", "anchor", "70 %", "rest", "1 s", NULL},
        /* In the last fifth of the time it is told that it is nearly up. */
        {"hear", "every pass", "rest", "1 s", "stop", "140 s", NULL},
    };
    for (size_t i = 0; i < sizeof more / sizeof more[0]; i++) {
        struct passo_setup *setup = heard_setup(more[i]);
        struct plan_stages stages;
        plan_stages_play(setup, &stages);
        const int64_t conducted = conducted_ms(setup);
        if (llabs(stages.total_ms - conducted) > 2)
            fail_msg("%zu: planned %lld ms, conducted %lld ms", i, (long long)stages.total_ms,
                     (long long)conducted);
        plan_stages_deinit(&stages);
        free(setup);
    }
}

/* --- print --- */

static char printed[16384];
static int true_stdout;
static FILE *caught;

static void catch_stdout(void)
{
    fflush(stdout);
    caught = tmpfile();
    assert_non_null(caught);
    true_stdout = dup(STDOUT_FILENO);
    dup2(fileno(caught), STDOUT_FILENO);
}

static void give_stdout_back(void)
{
    fflush(stdout);
    dup2(true_stdout, STDOUT_FILENO);
    close(true_stdout);
    rewind(caught);
    const size_t bytes = fread(printed, 1, sizeof printed - 1, caught);
    printed[bytes] = '\0';
    fclose(caught);
}

static void says(const char *words)
{
    if (!strstr(printed, words))
        fail_msg("no \"%s\" in:\n%s", words, printed);
}

static void print_all(const struct passo_setup *setup, const char *locale)
{
    struct plan_stages stages;
    struct plan_curve curve;
    struct plan_outlook *outlook = passo_xcalloc(1, sizeof *outlook);
    struct plan_view view = {.setup = setup, .outlook = outlook};
    setenv("LC_ALL", locale, 1);
    plan_stages_play(setup, &stages);
    plan_curve_assume(60000, 110000, quarter, &curve);
    plan_outlook_make(&(struct plan_wish){setup, curve.skill, 1, 500}, outlook);
    catch_stdout();
    plan_stages_print(setup, "Today begins at the bottom.", &stages);
    plan_outlook_print(&view);
    plan_chart_print(setup, &stages, &curve.skill, outlook);
    give_stdout_back();
    uint32_t ends = 0;
    for (size_t i = 0; i < setup->course.stages; i++)
        ends += outlook->ends[i];
    assert_int_equal(ends + outlook->within.won, 500);
    plan_stages_deinit(&stages);
    free(outlook);
}

static void each_stage_has_its_name_rungs_and_turns(void **unused)
{
    (void)unused;
    struct passo_setup *setup = three_stages();
    print_all(setup, "C.UTF-8");
    says("\nToday begins at the bottom.\n");
    says("Stage 1 of 3: part 1, from quarter = 60 to quarter = 80 in 6 rungs.");
    says("Stage 3 of 3: part 3, from quarter = 64 to quarter = 96 in 9 rungs, if every\n"
         "pass before it is clean.");
    says("bars 1-2");
    says("bars 3-4");
    says("If every pass were clean: 42 passes");
    says("Stage part 1: ");
    says("\u2588");
    free(setup);
}

/* A pass of four bars at 80: 3 s counted, 12.75 s played; heard first, its rest is of 1.5 s, 15.75
 * s and 3.5 s. The forecast counts none of it, and says so. */
static void rests_have_room_for_what_is_heard(void **unused)
{
    static const char *const every[] = {"hear", "every pass", NULL};
    static const char *const rungs[] = {"hear", "before each new rung", NULL};
    static const char *const off[] = {"start-pitch", "C 4", "rest", "1 s", NULL};
    (void)unused;
    struct passo_setup *setup = heard_setup(every);
    print_all(setup, "C.UTF-8");
    says("3.0 s      12.8 s   20.8 s\n");
    says("Before every pass you hear it; the rests are long enough for that.");
    says("(These minutes are without what you hear before you play.)");
    free(setup);
    setup = heard_setup(rungs);
    print_all(setup, "C.UTF-8");
    says("3.0 s      12.8 s   10.0 s\n");
    says("Before each new rung you hear it first;");
    says("(These minutes are without what you hear before you play.)");
    free(setup);
    setup = heard_setup(off);
    print_all(setup, "C.UTF-8");
    says("3.0 s      12.8 s    3.5 s\n");
    assert_null(strstr(printed, "you hear"));
    free(setup);
}

static void lengths_are_bars_at_one_tempo(void **unused)
{
    (void)unused;
    struct passo_setup *setup = setup_of(1);
    struct passo_stage *stage = &setup->course.stage[0];
    stage->name[0] = '\0';
    stage->rule.climbs = PASSO_CLIMBS_LENGTH;
    stage->rule.lengths = 2;
    stage->length[0] = 2;
    stage->length[1] = 0;
    checked(setup);
    print_all(setup, "C");
    says("bars");
    says("3-4");
    says("1-4");
    for (const char *at = printed; *at; at++)
        assert_true((unsigned char)*at < 0x80);
    free(setup);
}

static void no_line_is_wider_than_a_terminal(void **unused)
{
    (void)unused;
    struct passo_setup *setup = three_stages();
    print_all(setup, "C");
    for (const char *line = printed; *line; line += strcspn(line, "\n") + 1)
        assert_true(strcspn(line, "\n") <= 80);
    free(setup);
}

static void percents_are_not_rounded_to_none_or_all(void **unused)
{
    (void)unused;
    char out[16];
    assert_string_equal(plan_percent(0, 10000, out), "0 %");
    assert_string_equal(plan_percent(1, 10000, out), "under 1 %");
    assert_string_equal(plan_percent(50, 10000, out), "1 %");
    assert_string_equal(plan_percent(9949, 10000, out), "99 %");
    assert_string_equal(plan_percent(9999, 10000, out), "over 99 %");
    assert_string_equal(plan_percent(10000, 10000, out), "100 %");
    assert_string_equal(plan_percent(1, 2, out), "50 %");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_points_are_met),
        cmocka_unit_test(one_point_has_the_usual_slope),
        cmocka_unit_test(more_points_are_fitted),
        cmocka_unit_test(never_and_always_are_moved_a_little),
        cmocka_unit_test(what_is_no_point_is_refused),
        cmocka_unit_test(an_assumption_is_told),
        cmocka_unit_test(marks_of_a_log_are_fitted),
        cmocka_unit_test(marks_that_show_no_fall_have_the_usual_slope),
        cmocka_unit_test(stages_come_as_if_all_were_clean),
        cmocka_unit_test(a_plan_is_as_long_as_the_climb),
        cmocka_unit_test(each_stage_has_its_name_rungs_and_turns),
        cmocka_unit_test(rests_have_room_for_what_is_heard),
        cmocka_unit_test(lengths_are_bars_at_one_tempo),
        cmocka_unit_test(no_line_is_wider_than_a_terminal),
        cmocka_unit_test(percents_are_not_rounded_to_none_or_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
