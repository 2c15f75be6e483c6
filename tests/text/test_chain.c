/* Chains: the loops that each makes, their places over meter changes and pickups, and the order in
 * which they are climbed. The places are counted by hand. */
#include "setup_tools.h"

/* Loops as "NAME FROM TO", a place as bar + beats/unit of whole notes. */
struct want {
    const char *name;
    int32_t from_bar, from_num, from_den;
    int32_t to_bar, to_num, to_den;
};

/* That the chain of these lines makes just these loops, climbed in this order, the whole last. */
static void assert_chain(const char *lines, const struct want *want, size_t wants)
{
    struct trial trial;
    try_lines(&trial, lines, NULL, false);
    assert_no_faults(&trial);
    const struct passo_passage *passage = &trial.setup.passage;
    const struct passo_stage *stage = &trial.setup.course.stage[0];
    assert_int_equal(passage->loops, wants + 1);
    assert_int_equal(trial.setup.course.stages, 1);
    assert_string_equal(stage->name, "");
    assert_int_equal(stage->turns, wants + 1);
    for (size_t i = 0; i < wants; i++) {
        const struct passo_loop *loop = &passage->loop[i + 1];
        assert_string_equal(loop->name, want[i].name);
        assert_place(loop->from, want[i].from_bar, want[i].from_num, want[i].from_den);
        assert_place(loop->to, want[i].to_bar, want[i].to_num, want[i].to_den);
        assert_int_equal(stage->turn[i].loop, i + 1);
    }
    assert_int_equal(stage->turn[wants].loop, 0);
    trial_end(&trial);
}
#define CHAIN(lines, ...)                                                                          \
    do {                                                                                           \
        static const struct want want[] = {__VA_ARGS__};                                           \
        assert_chain(lines, want, sizeof want / sizeof *want);                                     \
    } while (0)

static void grows_by_bars(void **state)
{
    (void)state;
    CHAIN("[loops]\nchain = forward by 1 bar\n", {"first bar", 1, 0, 1, 2, 0, 1},
          {"first 2 bars", 1, 0, 1, 3, 0, 1}, {"first 3 bars", 1, 0, 1, 4, 0, 1});
    CHAIN("[loops]\nChain = backward\n", {"last bar", 4, 0, 1, 5, 0, 1},
          {"last 2 bars", 3, 0, 1, 5, 0, 1}, {"last 3 bars", 2, 0, 1, 5, 0, 1});
    CHAIN("[passage]\nbars = 33-37\n[loops]\nchain = forward by 2 bars\n",
          {"first 2 bars", 33, 0, 1, 35, 0, 1}, {"first 4 bars", 33, 0, 1, 37, 0, 1});
    /* a pickup belongs to the first chunk, and to the whole alone from the end */
    CHAIN("[passage]\nbars = 2\npickup = 1 beat\n[loops]\nchain = forward by bar\n",
          {"first bar", 0, 3, 4, 2, 0, 1});
    CHAIN("[passage]\nbars = 2\npickup = 1 beat\n[loops]\nchain = backward by bar\n",
          {"last bar", 2, 0, 1, 3, 0, 1});
}

static void grows_by_beats(void **state)
{
    (void)state;
    CHAIN("[passage]\nbars = 2\n[shape]\nbar 2 = meter 2/4\n[loops]\nchain = backward by beat\n",
          {"last beat", 2, 1, 4, 3, 0, 1}, {"last 2 beats", 2, 0, 1, 3, 0, 1},
          {"last 3 beats", 1, 3, 4, 3, 0, 1}, {"last 4 beats", 1, 1, 2, 3, 0, 1},
          {"last 5 beats", 1, 1, 4, 3, 0, 1});
    CHAIN("[passage]\nbars = 1-2\npickup = eighth\n[shape]\nbar 2 = meter 2/4\n"
          "[loops]\nchain = forward by 2 beats\n",
          {"first 2 beats", 0, 7, 8, 1, 1, 2}, {"first 4 beats", 0, 7, 8, 2, 0, 1});
    /* A beat that does not fill its bar is one too: 7/8 counted in quarters has four. */
    CHAIN(
        "[passage]\nmeter = 7/8\nbeat = quarter\nbars = 2\n[loops]\nchain = backward by 3 beats\n",
        {"last 3 beats", 2, 1, 4, 3, 0, 1}, {"last 6 beats", 1, 1, 2, 3, 0, 1});
    CHAIN("[passage]\nmeter = 6/8\nbars = 2\n[loops]\nchain = forward by beat\n",
          {"first beat", 1, 0, 1, 1, 3, 8}, {"first 2 beats", 1, 0, 1, 2, 0, 1},
          {"first 3 beats", 1, 0, 1, 2, 3, 8});
}

static void halves(void **state)
{
    (void)state;
    CHAIN("[passage]\nbars = 8\n[loops]\nchain = halves\n", {"first half", 1, 0, 1, 5, 0, 1},
          {"second half", 4, 3, 4, 9, 0, 1}, {"seam", 4, 0, 1, 6, 0, 1});
    CHAIN("[passage]\nbars = 8\n[loops]\nchain = halves, overlapping 2 beats\n",
          {"first half", 1, 0, 1, 5, 0, 1}, {"second half", 4, 1, 2, 9, 0, 1},
          {"seam", 4, 0, 1, 6, 0, 1});
    CHAIN("[passage]\nbars = 8\n[loops]\nchain = halves, overlapping 1 bar\n",
          {"first half", 1, 0, 1, 5, 0, 1}, {"second half", 4, 0, 1, 9, 0, 1},
          {"seam", 4, 0, 1, 6, 0, 1});
    CHAIN("[passage]\nbars = 8\n[loops]\nchain = halves, overlapping the landing\n",
          {"first half", 1, 0, 1, 5, 0, 1}, {"second half", 5, 0, 1, 9, 0, 1},
          {"seam", 4, 0, 1, 6, 0, 1});
    /* of five bars the earlier middle; the beat before it is one of a bar in 3/4 */
    CHAIN("[passage]\nbars = 33-37\npickup = quarter\n[shape]\nbar 34 = meter 3/4\n"
          "[loops]\nchain = halves\n",
          {"first half", 32, 3, 4, 35, 0, 1}, {"second half", 34, 1, 2, 38, 0, 1},
          {"seam", 34, 0, 1, 36, 0, 1});
    /* two bars: their seam is not all of them; one bar: the middle beat */
    CHAIN("[passage]\nbars = 2\n[loops]\nchain = halves\n", {"first half", 1, 0, 1, 2, 0, 1},
          {"second half", 1, 3, 4, 3, 0, 1}, {"seam", 1, 3, 4, 2, 1, 4});
    CHAIN("[passage]\nbars = 1\n[loops]\nchain = halves\n", {"first half", 1, 0, 1, 1, 1, 2},
          {"second half", 1, 1, 4, 2, 0, 1}, {"seam", 1, 1, 4, 1, 3, 4});
    CHAIN("[passage]\nmeter = 2/4\nbars = 1\n[loops]\nchain = halves, overlapping landing\n",
          {"first half", 1, 0, 1, 1, 1, 4}, {"second half", 1, 1, 4, 2, 0, 1});
}

static void pieces(void **state)
{
    (void)state;
    CHAIN("[passage]\nbars = 5\npickup = 2 beats\n[loops]\nchain = pieces of 2 bars\n",
          {"piece 1", 0, 1, 2, 3, 0, 1}, {"piece 2", 2, 3, 4, 5, 0, 1},
          {"piece 3", 4, 3, 4, 6, 0, 1});
    CHAIN("[passage]\nmeter = 3/4\nbars = 2\n[loops]\nchain = pieces of 2 beats, overlapping the "
          "landing\n",
          {"piece 1", 1, 0, 1, 1, 1, 2}, {"piece 2", 1, 1, 2, 2, 1, 4},
          {"piece 3", 2, 1, 4, 3, 0, 1});
}

/* The player's own loops come first; one that has a chain's name stands in its place. */
static void own_loops_come_first(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"chain",   "halves",         "variant", "low=octave down",
                                   "variant", "high=octave up", NULL};
    try_lines(&trial, "[passage]\nbars = 8\n[loops]\nSeam = 3-6\nrun = 7\n", options, false);
    assert_no_faults(&trial);
    const struct passo_stage *stage = &trial.setup.course.stage[0];
    static const char *const want[] = {"Seam", "run", "first half", "second half", "whole"};
    assert_int_equal(trial.setup.passage.loops, 5);
    assert_int_equal(stage->turns, 10);
    for (size_t i = 0; i < stage->turns; i++) {
        assert_string_equal(trial.setup.passage.loop[stage->turn[i].loop].name, want[i / 2]);
        assert_int_equal(stage->turn[i].variant, i % 2 + 1);
    }
    trial_end(&trial);
}

static void lengths_are_rungs(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\nbars = 100\n[loops]\na = 1-2\nchain = backward by bar\n"
              "[ladder]\nclimbs = length\n[variants]\nlow = octave down\n",
              NULL, false);
    assert_no_faults(&trial);
    const struct passo_stage *stage = &trial.setup.course.stage[0];
    assert_int_equal(stage->rule.lengths, 100);
    assert_int_equal(stage->turns, 1);
    assert_int_equal(stage->turn[0].loop, 0);
    assert_int_equal(stage->turn[0].variant, 1);
    for (int i = 0; i < 99; i++)
        assert_int_equal(stage->length[i], i + 2);
    assert_int_equal(stage->length[99], 0);
    trial_end(&trial);
}

static void assert_refused(const char *passage, const char *chain, const char *would_do)
{
    struct trial trial;
    char text[256];
    char read[128];
    snprintf(text, sizeof text, "[loops]\nchain = %s\n[passage]\n%s\n", chain, passage);
    snprintf(read, sizeof read, "chain = %s: ", chain);
    try_lines(&trial, text, NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", read, would_do);
    trial_end(&trial);
}

static void refuses_chains(void **state)
{
    struct trial trial;
    (void)state;
    assert_refused("", "daisy", "a chain is forward by 1 bar, backward by beat");
    assert_refused("", "forward by 0 bars", "a chain is forward");
    assert_refused("", "forward by 1 bar please", "a chain is forward");
    assert_refused("", "pieces", "a chain is forward");
    assert_refused("", "forward by 1 bar, overlapping 1 beat", "only halves and pieces overlap");
    assert_refused("", "halves, with 1 beat", "halves, overlapping 1 beat");
    assert_refused("", "halves, overlapping much", "halves, overlapping 1 beat");
    assert_refused("", "halves, overlapping 8 beats", "overlapping the landing");
    assert_refused("", "halves, overlapping 2 bars", "overlapping the landing");
    assert_refused("", "pieces of 4 bars", "shorter pieces would do");
    assert_refused("", "pieces of 1 beat", "overlapping the landing");
    assert_refused("meter = 1/4\nbars = 1", "halves", "two beats or more");
    assert_refused("bars = 200", "backward by 1 bar",
                   "makes 199 loops, and a passage has at most 127; steps of 2 bars would do");
    assert_refused("bars = 2000\nmeter = 64/64\nbeat = 1/64", "forward by beat",
                   "steps of 1001 beats would do");
    assert_refused("bars = 2000", "pieces of 1 bar", "steps of 16 bars would do");
    try_lines(&trial, "[passage]\nbars = 100\n[loops]\nchain = backward by 1 bar\n", NULL, false);
    assert_fault(&trial,
                 "march.passo, line 4: 100 loops in 1 variants are more than 64 turns; leave "
                 "some out");
    trial_end(&trial);
    const char *const option[] = {"chain", "rope", NULL};
    try_lines(&trial, NULL, option, false);
    assert_fault_says(&trial, "--chain rope: ", "", "a chain is forward by 1 bar");
    trial_end(&trial);
    const char *const loop[] = {"loop", "chain=1-2", NULL};
    try_lines(&trial, NULL, loop, false);
    assert_fault_says(&trial, "--loop", "taken", "--chain halves");
    trial_end(&trial);
    try_lines(&trial, "[ladder]\nchain = halves\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", "chain = halves: ", "belongs under [loops]");
    trial_end(&trial);
    try_lines(&trial, "[loops]\nchain = halves\n[ladder]\nclimbs = length\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 4: ", "climbs = length: ", "forward or backward");
    trial_end(&trial);
}

/* What the hint says would do, does. */
static void the_step_that_would_do_does(void **state)
{
    struct trial trial;
    (void)state;
    for (int bars = 129; bars <= 2000; bars += 61) {
        char text[128];
        int step = 0;
        snprintf(text, sizeof text, "[passage]\nbars = %d\n[loops]\nchain = backward\n", bars);
        strcat(text, "[ladder]\nclimbs = length\n");
        try_lines(&trial, text, NULL, false);
        assert_int_equal(trial.faults.faults, 1);
        assert_int_equal(sscanf(strstr(trial.faults.fault[0], "steps of "), "steps of %d", &step),
                         1);
        trial_end(&trial);
        snprintf(text, sizeof text,
                 "[passage]\nbars = %d\n[loops]\nchain = backward by %d bars\n"
                 "[ladder]\nclimbs = length\n",
                 bars, step);
        try_lines(&trial, text, NULL, false);
        assert_no_faults(&trial);
        trial_end(&trial);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grows_by_bars),
        cmocka_unit_test(grows_by_beats),
        cmocka_unit_test(halves),
        cmocka_unit_test(pieces),
        cmocka_unit_test(own_loops_come_first),
        cmocka_unit_test(lengths_are_rungs),
        cmocka_unit_test(refuses_chains),
        cmocka_unit_test(the_step_that_would_do_does),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
