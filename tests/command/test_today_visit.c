/* What makes a passage's lines those of a visit: the ladder of low stakes, its time, its end. And
 * that the thirty days of the bench are played by the same rule. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "command/today_parts.h"
#include "engine/thirty_days.h"

static const char page[] = "[passage]\n"
                           "title = Lantern March\n"
                           "bars = 1-4\n"
                           "target = quarter = 100\n"
                           "context = 1-8\n"
                           "[ladder]\n"
                           "steps = 10 points\n"
                           "raise = 5 clean in a row\n"
                           "over = 1 at 105 %\n"
                           "[loops]\n"
                           "chain = halves\n"
                           "[stage slow]\n"
                           "target = 80 %\n"
                           "[stage up]\n"
                           "start = 80 %\n";

struct visiting {
    struct spot spot;
    struct today_visit visit;
    struct passo_lines lines;
    struct passo_setup *setup;
};

/* A pass at the target: count-in 2.4 s, 10.2 s played; in context 4.8 s more than twice that. */
static struct visiting *visit(const char *text, int64_t ms, bool context)
{
    struct visiting *made = passo_xcalloc(1, sizeof *made);
    char path[] = "/tmp/passo-visit-XXXXXX";
    char why[256] = "";
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, text, strlen(text)), strlen(text));
    close(file);
    made->setup = passo_xcalloc(1, sizeof *made->setup);
    made->spot = (struct spot){.name = "lantern",
                               .path = path,
                               .context = context,
                               .count_in_ms = 2400,
                               .played_ms = 10200,
                               .context_ms = 22200};
    made->visit = (struct today_visit){.spot = &made->spot, .ms = ms, .passes = 6, .rest = ""};
    const bool loaded = spot_load(&made->spot, 20261130, &made->lines, today_visit_lines,
                                  &made->visit, made->setup, why, sizeof why);
    unlink(path);
    assert_string_equal(why, "");
    assert_true(loaded);
    return made;
}

static void leave(struct visiting *made)
{
    passo_lines_deinit(&made->lines);
    free(made->setup);
    free(made);
}

/* Only what a visit says counts: the passage's own raise, over and stages do not. */
static void a_visit_has_low_stakes(void **state)
{
    (void)state;
    struct visiting *made = visit(page, 180000, true);
    const struct passo_rule *rule = &made->setup->course.stage[0].rule;
    assert_int_equal(made->setup->course.stages, 1);
    assert_int_equal(rule->target_mbpm, 100000);
    assert_int_equal(rule->raise_clean, 1);
    assert_int_equal(rule->raise_of, 0);
    assert_int_equal(rule->drop, PASSO_DROP_RUNGS);
    assert_int_equal(rule->drop_rungs, 1);
    assert_int_equal(rule->drop_misses, 2);
    assert_int_equal(rule->plateau_drops, 0);
    assert_int_equal(rule->tired_misses, 0);
    assert_int_equal(rule->over_passes, 0);
    assert_int_equal(rule->close_clean, 0);
    assert_int_equal(rule->anchor_permille, 0);
    assert_false(rule->cold);
    assert_int_equal(rule->resume_permille, 1000);
    assert_int_equal(made->setup->passage.loops, 1);
    assert_int_equal(rule->stop_passes, 6);
    assert_int_equal(rule->steps, PASSO_STEPS_POINTS);
    assert_int_equal(rule->step_permille, 100);
    leave(made);
}

/* 3 minutes: 8 s to read, half a pass of 28.5 s, a run in context of 55.5 s: 102.25 s are left. In
 * 2 minutes two passes and the context have no room: 97.75 s, and no context; nor where the file
 * names none. A very long passage still gets half a minute. */
static void its_time_is_kept(void **state)
{
    (void)state;
    static const struct {
        int64_t ms;
        bool context;
        int64_t stop_s;
        int finish;
    } cases[] = {{180000, true, 102, 1},
                 {120000, true, 97, 0},
                 {180000, false, 157, 0},
                 {20000, false, 30, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct visiting *made = visit(page, cases[i].ms, cases[i].context);
        const struct passo_rule *rule = &made->setup->course.stage[0].rule;
        assert_int_equal(rule->stop_ms, cases[i].stop_s * 1000);
        assert_int_equal(rule->finish_passes, cases[i].finish);
        leave(made);
    }
}

static void a_hard_lip_rests_longer(void **state)
{
    (void)state;
    static const char plain[] = "[passage]\nbars = 1-4\ntarget = 100\n";
    static const char high[] = "[passage]\nbars = 1-4\ntarget = 100\ntags = high range\n";
    static const char own[] = "[passage]\nbars = 1-4\ntarget = 100\n[ladder]\nrest = 2 x played\n";
    static const struct {
        const char *page;
        const char *tags;
        const char *rest;
        int32_t permille;
    } cases[] = {{plain, "", "", 1000},
                 {high, "high range", "", 1500},
                 {own, "high range", "3 x played", 2000},
                 {plain, "", "3 x played", 3000}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct visiting *made = visit(cases[i].page, 180000, false);
        struct passo_faults faults = {0};
        snprintf(made->spot.tags, sizeof made->spot.tags, "%s", cases[i].tags);
        made->visit.rest = cases[i].rest;
        /* The lines of a visit that was made are made once more, with this rest. */
        struct passo_lines lines = {0};
        char path[] = "/tmp/passo-visit-XXXXXX";
        int file = mkstemp(path);
        assert_int_equal(write(file, cases[i].page, strlen(cases[i].page)), strlen(cases[i].page));
        close(file);
        passo_lines_add_file(&lines, path, &faults);
        today_visit_lines(&made->visit, &lines, &faults);
        passo_setup_resolve(&lines, true, made->setup, &faults);
        unlink(path);
        assert_int_equal(faults.faults, 0);
        assert_int_equal(made->setup->rule.rest_permille, cases[i].permille);
        passo_lines_deinit(&lines);
        leave(made);
    }
}

static void the_bench_plays_by_it(void **state)
{
    (void)state;
    const struct thirty_passage passage = {.target_mbpm = 100000, .best_rung = 2};
    struct passo_rule bench;
    struct visiting *made = visit(page, 180000, false);
    const struct passo_rule *rule = &made->setup->course.stage[0].rule;
    thirty_rule(&passage, 60000, &bench);
    assert_int_equal(bench.raise_clean, rule->raise_clean);
    assert_int_equal(bench.raise_of, rule->raise_of);
    assert_int_equal(bench.drop, rule->drop);
    assert_int_equal(bench.drop_rungs, rule->drop_rungs);
    assert_int_equal(bench.drop_misses, rule->drop_misses);
    assert_int_equal(bench.drop_counts, rule->drop_counts);
    assert_int_equal(bench.plateau_drops, rule->plateau_drops);
    assert_int_equal(bench.tired_misses, rule->tired_misses);
    assert_int_equal(bench.over_passes, rule->over_passes);
    assert_int_equal(bench.close_clean, rule->close_clean);
    assert_int_equal(bench.anchor_permille, rule->anchor_permille);
    assert_int_equal(bench.finish_passes, rule->finish_passes);
    /* One opens at its last best clean rung, the other at its last best clean tempo. */
    assert_int_equal(bench.resume_rungs, 1);
    assert_int_equal(bench.past_mbpm, thirty_mbpm(&passage, passage.best_rung + 1));
    assert_int_equal(rule->resume_permille, 1000);
    assert_int_equal(bench.stop_passes, rule->stop_passes);
    assert_int_equal(bench.cold, rule->cold);
    leave(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_visit_has_low_stakes),
        cmocka_unit_test(its_time_is_kept),
        cmocka_unit_test(a_hard_lip_rests_longer),
        cmocka_unit_test(the_bench_plays_by_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
