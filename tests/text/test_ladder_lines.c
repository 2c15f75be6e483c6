/* Every form of every line of [ladder] and [pulse], and what a bad one is told. The forms are
 * those of the design's table; what each sets is written out by hand. */
#include "setup_tools.h"

static void reads_start(void **state)
{
    (void)state;
    RULE("start = 60 %", want.start_permille = 600);
    RULE("start = 62.5%", want.start_permille = 625);
    RULE("start = 100 % of target", want.start_permille = 1000);
    RULE("start = 84", want.start_mbpm = 84000);
    RULE("start = 63.7 bpm", want.start_mbpm = 63700);
    RULE("start = quarter = 84", want.start_mbpm = 84000);
    RULE("start=96", want.start_mbpm = 96000);
    assert_bad("ladder", "start", "0 %", "100 % of the target");
    assert_bad("ladder", "start", "120 %", "100 % of the target");
    assert_bad("ladder", "start", "60.25 %", "tenth of a percent");
    assert_bad("ladder", "start", "slow", "a tempo is a number, 96");
    assert_bad("ladder", "start", "0", "5 to 1000");
}

static void reads_steps(void **state)
{
    (void)state;
    RULE("steps = 4 bpm", want.step_mbpm = 4000);
    RULE("steps = 2.5bpm", want.step_mbpm = 2500);
    RULE("steps = 5 %", want.steps = PASSO_STEPS_PERCENT; want.step_permille = 50);
    RULE("steps = 10 points", want.steps = PASSO_STEPS_POINTS; want.step_permille = 100);
    RULE("steps = 1 point", want.steps = PASSO_STEPS_POINTS; want.step_permille = 10);
    RULE("steps = 8 rungs", want.steps = PASSO_STEPS_RUNGS; want.step_rungs = 8);
    RULE("steps = marks", want.steps = PASSO_STEPS_MARKS);
    RULE("steps = quarter of the rest", want.steps = PASSO_STEPS_REST; want.step_permille = 250);
    RULE("steps = third of the rest", want.steps = PASSO_STEPS_REST; want.step_permille = 334);
    RULE("steps = half of the rest", want.steps = PASSO_STEPS_REST; want.step_permille = 500);
    RULE("steps = 20 % of the rest", want.steps = PASSO_STEPS_REST; want.step_permille = 200);
    RULE("steps = 60 66 72.5 96", want.steps = PASSO_STEPS_LIST; want.list_count = 4;
         want.list_mbpm[0] = 60000; want.list_mbpm[1] = 66000; want.list_mbpm[2] = 72500;
         want.list_mbpm[3] = 96000; want.start_mbpm = 60000);
    RULE("steps = 60, 96", want.steps = PASSO_STEPS_LIST; want.list_count = 2;
         want.list_mbpm[0] = 60000; want.list_mbpm[1] = 96000; want.start_mbpm = 60000);
    assert_bad("ladder", "steps", "4", "4 bpm");
    assert_bad("ladder", "steps", "80", "4 bpm");
    assert_bad("ladder", "steps", "4 bpn", "quarter of the rest");
    assert_bad("ladder", "steps", "0 bpm", "more than 0");
    assert_bad("ladder", "steps", "0 %", "more than nothing");
    assert_bad("ladder", "steps", "1 rung", "2 to 1024 rungs");
    assert_bad("ladder", "steps", "1000000000000000000000 rungs", "2 to 1024 rungs");
    assert_bad("ladder", "steps", "80 72 96", "goes up");
    assert_bad("ladder", "steps", "80 80 96", "goes up");
    assert_bad("ladder", "steps", "0 80 96", "5 to 1000");
    assert_bad("ladder", "steps", "60 80 1e9", "a list of tempi");
}

/* The share of a third must give what the exact third gives: fine print 1 of the design. */
static void a_third_of_a_whole_remainder_is_exact(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, "[passage]\ntarget = 96\n[ladder]\nsteps = third of the rest\n", NULL, true);
    assert_no_faults(&trial);
    for (int64_t rest = 1; rest < 500; rest++)
        assert_int_equal(rest * 1000 * trial.setup.rule.step_permille / 1000000, rest / 3);
    trial_end(&trial);
}

/* Ends of a list that say otherwise are the engine's fault to find; the origin is the line's. */
static void a_list_is_start_and_target(void **state)
{
    (void)state;
    struct trial trial;
    try_lines(&trial, "[ladder]\nsteps = 60 66 72 80\n", NULL, true);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.target_mbpm, 80000);
    assert_int_equal(trial.setup.rule.start_mbpm, 60000);
    trial_end(&trial);
    try_lines(&trial, "[passage]\ntarget = 96\n[ladder]\nsteps = 60 66 72 80\n", NULL, true);
    assert_fault_says(&trial, "march.passo, line 2: ", "96", "80");
    trial_end(&trial);
    try_lines(&trial, "[ladder]\nstart = 50\nsteps = 60 66 72 80\n", NULL, true);
    assert_fault_says(&trial, "march.passo, line 2: ", "50", "60");
    trial_end(&trial);
}

static void reads_raise_and_drop(void **state)
{
    (void)state;
    RULE("raise = 2 clean in a row", want.raise_clean = 2);
    RULE("raise = 3 clean of 4", want.raise_clean = 3; want.raise_of = 4);
    RULE("raise = 1 clean", want.raise_clean = 1);
    RULE("raise = 32 clean of 32", want.raise_clean = 32; want.raise_of = 32);
    RULE("drop = 1 rung after 2 misses", want.drop_rungs = 1);
    RULE("drop = 2 rungs after 1 miss", want.drop_rungs = 2; want.drop_misses = 1);
    RULE("drop = 1 rung after 3 misses in a row", want.drop_misses = 3);
    RULE("drop = 1 rung after 2 misses here", want.drop_counts = PASSO_DROP_COUNTS_HERE);
    RULE("drop = to start after 3 misses", want.drop = PASSO_DROP_TO_START; want.drop_misses = 3);
    RULE("drop = to start after 3 misses here", want.drop = PASSO_DROP_TO_START;
         want.drop_misses = 3; want.drop_counts = PASSO_DROP_COUNTS_HERE);
    RULE("drop = hold", want.drop = PASSO_DROP_HOLD);
    assert_bad("ladder", "raise", "clean", "2 clean in a row, 3 clean of 4, 1 clean or 5 coins");
    assert_bad("ladder", "raise", "0 clean", "1 to 255 clean");
    assert_bad("ladder", "raise", "-2 clean in a row", "1 to 255 clean");
    assert_bad("ladder", "raise", "5 clean of 4", "a window holds");
    assert_bad("ladder", "raise", "3 clean of 33", "at most 32");
    assert_bad("ladder", "raise", "2 clean in a row please", "2 clean in a row");
    assert_bad("ladder", "drop", "1 rung", "1 rung after 2 misses");
    assert_bad("ladder", "drop", "0 rungs after 2 misses", "at least 1 rung");
    assert_bad("ladder", "drop", "1 rung after 0 misses", "1 to 255 misses");
    assert_bad("ladder", "drop", "1 rung after 256 misses", "1 to 255 misses");
}

static void reads_miss_lift_turn(void **state)
{
    (void)state;
    RULE("miss = again", want.miss = PASSO_MISS_AGAIN);
    RULE("miss = first turn", want.miss = PASSO_MISS_FIRST_TURN);
    RULE("lift = 1", want.lifts = 1);
    RULE("lift = 2 -1", want.lifts = 2; want.lift[0] = 2; want.lift[1] = -1);
    RULE("lift = +3, -1, -1", want.lifts = 3; want.lift[0] = 3; want.lift[1] = -1;
         want.lift[2] = -1);
    RULE("lift = -1 2", want.lifts = 2; want.lift[0] = -1; want.lift[1] = 2);
    RULE("turn = every rung", want.turn = PASSO_TURN_EVERY_RUNG);
    RULE("turn = every pass", want.turn = PASSO_TURN_EVERY_PASS);
    RULE("turn = whole climb", want.turn = PASSO_TURN_WHOLE_CLIMB);
    assert_bad("ladder", "miss", "later", "first turn");
    assert_bad("ladder", "lift", "0", "none of them 0");
    assert_bad("ladder", "lift", "2 -1 -1", "together go up");
    assert_bad("ladder", "lift", "-1", "together go up");
    assert_bad("ladder", "lift", "1 1 1 1 1 1 1 1 1", "up to eight");
    assert_bad("ladder", "lift", "1.5", "numbers of rungs");
    assert_bad("ladder", "lift", "200", "numbers of rungs");
    assert_bad("ladder", "turn", "sometimes", "every rung, every pass");
}

static void reads_what_stands_around(void **state)
{
    (void)state;
    RULE("anchor = none", want.anchor_permille = 0);
    RULE("anchor = 60 %", want.anchor_permille = 600);
    RULE("over = none", want.over_passes = 0);
    RULE("over = 1 at 105 %", want.over_passes = 1; want.over_permille = 1050);
    RULE("close = none", want.close_clean = 0);
    RULE("close = 2 clean", want.close_clean = 2);
    RULE("finish = 1 in context", want.finish_passes = 1);
    RULE("finish = none", want.finish_passes = 0);
    RULE("plateau = 2 drops", want.plateau_drops = 2);
    RULE("plateau = 1 drop", want.plateau_drops = 1);
    RULE("plateau = none", want.plateau_drops = 0);
    RULE("tired = 3 misses of 5", want.tired_misses = 3);
    RULE("tired = 1 miss of 8", want.tired_misses = 1; want.tired_of = 8);
    RULE("tired = none", want.tired_misses = 0);
    RULE("cold = no", want.cold = false);
    RULE("cold = yes", want.cold = true);
    RULE("unmarked = hold", want.unmarked = PASSO_UNMARKED_HOLD);
    RULE("unmarked = wait", want.unmarked = PASSO_UNMARKED_WAIT);
    RULE("unmarked = clean", want.unmarked = PASSO_UNMARKED_CLEAN);
    RULE("unmarked = miss", want.unmarked = PASSO_UNMARKED_MISS);
    assert_bad("ladder", "anchor", "0 %", "none");
    assert_bad("ladder", "anchor", "60", "60 %");
    assert_bad("ladder", "over", "1 at 105", "1 at 105 %");
    assert_bad("ladder", "over", "0 at 105 %", "none");
    assert_bad("ladder", "close", "two clean", "2 clean");
    assert_bad("ladder", "finish", "0 in context", "none");
    assert_bad("ladder", "plateau", "300 drops", "2 drops");
    assert_bad("ladder", "tired", "6 misses of 5", "3 misses of 5");
    assert_bad("ladder", "cold", "perhaps", "yes or no");
    assert_bad("ladder", "unmarked", "maybe", "hold, wait, clean or miss");
}

static void reads_stop_and_rest(void **state)
{
    (void)state;
    RULE("stop = 20 min", want.stop_ms = 1200000);
    RULE("stop = 90 s", want.stop_ms = 90000);
    RULE("stop = 1.5 minutes", want.stop_ms = 90000);
    RULE("stop = 12 passes", want.stop_ms = 0; want.stop_passes = 12);
    RULE("stop = 5 misses in a row", want.stop_ms = 0; want.stop_misses = 5);
    RULE("stop = 6 passes, 3 min", want.stop_ms = 180000; want.stop_passes = 6);
    RULE("stop = 3 min , 6 passes,5 misses in a row", want.stop_ms = 180000; want.stop_passes = 6;
         want.stop_misses = 5);
    RULE("stop = none", want.stop_ms = 0);
    RULE("rest = as played", want.rest_permille = 1000);
    RULE("rest = 1.5 x played", want.rest_permille = 1500);
    RULE("rest = 10 s", want.rest_permille = 0; want.rest_fixed_ms = 10000);
    RULE("rest = as played at least 8 s", want.rest_least_ms = 8000);
    RULE("rest = as played, at most 90 s", want.rest_most_ms = 90000);
    RULE("rest = 2 x played, at least 15 s, at most 2 min", want.rest_permille = 2000;
         want.rest_least_ms = 15000; want.rest_most_ms = 120000);
    RULE("rest = as played at most 20 s at least 5 s", want.rest_least_ms = 5000;
         want.rest_most_ms = 20000);
    assert_bad("ladder", "stop", "soon", "20 min");
    assert_bad("ladder", "stop", "20", "20 min");
    assert_bad("ladder", "stop", "0 passes", "12 passes");
    assert_bad("ladder", "stop", "0 min", "20 min");
    assert_bad("ladder", "stop", "12 passes,", "none");
    assert_bad("ladder", "stop", "99999999999999999999 min", "a day at most");
    assert_bad("ladder", "rest", "a while", "as played");
    assert_bad("ladder", "rest", "0 x played", "as played");
    assert_bad("ladder", "rest", "2 h", "an hour at most");
    assert_bad("ladder", "rest", "as played, at least 2 h", "an hour at most");
    assert_bad("ladder", "rest", "as played, at least 60 s, at most 6 s", "above the most");
    assert_bad("ladder", "rest", "as played, about 6 s", "at least 6 s");
}

static void reads_on_miss(void **state)
{
    struct trial trial;
    (void)state;
    const char *const off[] = {"on-miss", "break off", NULL};
    const char *const on[] = {"on-miss", "play on", NULL};
    const char *const bad[] = {"on-miss", "cry", NULL};
    try_lines(&trial, NULL, off, false);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.on_miss, PASSO_ON_MISS_BREAK_OFF);
    trial_end(&trial);
    try_lines(&trial, "[ladder]\non-miss = break off\n", on, false);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.on_miss, PASSO_ON_MISS_PLAY_ON);
    trial_end(&trial);
    try_lines(&trial, NULL, bad, false);
    assert_fault_says(&trial, "--on-miss cry: ", "", "break off");
    trial_end(&trial);
}

#define PULSE(line, ...)                                                                           \
    do {                                                                                           \
        struct passo_pulse want = {0};                                                             \
        struct trial trial;                                                                        \
        __VA_ARGS__;                                                                               \
        try_lines(&trial, "[pulse]\n" line "\n", NULL, false);                                     \
        assert_no_faults(&trial);                                                                  \
        const struct passo_pulse *pulse = &trial.setup.pulse;                                      \
        assert_ratio(pulse->count, want.count.num, want.count.den);                                \
        assert_int_equal(pulse->count_below_mbpm, want.count_below_mbpm);                          \
        assert_int_equal(pulse->subdivide, want.subdivide);                                        \
        assert_int_equal(pulse->subdivide_below_mbpm, want.subdivide_below_mbpm);                  \
        assert_int_equal(pulse->swing_long, want.swing_long);                                      \
        assert_int_equal(pulse->swing_short, want.swing_short);                                    \
        assert_int_equal(pulse->count_in_bars, want.count_in_bars);                                \
        assert_int_equal(pulse->silent, want.silent);                                              \
        trial_end(&trial);                                                                         \
    } while (0)

static void reads_the_pulse(void **state)
{
    (void)state;
    PULSE("", (void)want);
    PULSE("count = eighth", want.count = passo_ratio(1, 8));
    PULSE("count = groups", want.count = passo_ratio(0, 1));
    PULSE("count = eighth below 60", want.count = passo_ratio(1, 8); want.count_below_mbpm = 60000);
    PULSE("count = eighth below dotted quarter = 60", want.count = passo_ratio(1, 8);
          want.count_below_mbpm = 60000);
    PULSE("subdivide = 3", want.subdivide = 3);
    PULSE("subdivide = 2 below 80", want.subdivide = 2; want.subdivide_below_mbpm = 80000);
    PULSE("subdivide = none", want.subdivide = 0);
    PULSE("swing = 2:1", want.swing_long = 2; want.swing_short = 1);
    PULSE("swing = straight", want.swing_long = 0);
    PULSE("count-in = 1 bar", want.count_in_bars = 1);
    PULSE("count-in = 2 bars", want.count_in_bars = 2);
    PULSE("count-in = auto", want.count_in_bars = 0);
    PULSE("leave-out = none", want.silent = 0);
    PULSE("leave-out = beats", want.silent = 1 << PASSO_CLICK_BEAT);
    PULSE("silent = bar, sub", want.silent = 1 << PASSO_CLICK_BAR | 1 << PASSO_CLICK_SUB);
    PULSE("silent = groups, beats, count-in",
          want.silent = 1 << PASSO_CLICK_GROUP | 1 << PASSO_CLICK_BEAT |
                        1 << PASSO_CLICK_COUNT_BAR | 1 << PASSO_CLICK_COUNT);
    assert_bad("pulse", "count", "slowly", "eighth below 60");
    assert_bad("pulse", "count", "eighth below slow", "a tempo is a number");
    assert_bad("pulse", "subdivide", "7", "2 to 6");
    assert_bad("pulse", "subdivide", "1", "2 to 6");
    assert_bad("pulse", "swing", "1:2", "long to short");
    assert_bad("pulse", "swing", "20:1", "numbers up to 9");
    assert_bad("pulse", "count-in", "0 bars", "1 bar to 4 bars");
    assert_bad("pulse", "silent", "bar, noise", "count-in");
    assert_bad("pulse", "leave-out", "bar,", "count-in");
    assert_bad("pulse", "volume", "120 %", "0 % to 100 %");
    assert_bad("pulse", "volume", "11", "0 % to 100 %");
}

static void reads_volume_and_sounds(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, "[pulse]\nvolume = 72.5 %\nsounds = wood\n", NULL, false);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.volume_permille, 725);
    assert_string_equal(trial.setup.sounds, "wood");
    trial_end(&trial);
    const char *const options[] = {"sounds", "built in", "volume", "0 %", NULL};
    try_lines(&trial, "[pulse]\nsounds = wood\n", options, false);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.volume_permille, 0);
    assert_string_equal(trial.setup.sounds, "");
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_start),
        cmocka_unit_test(reads_steps),
        cmocka_unit_test(a_third_of_a_whole_remainder_is_exact),
        cmocka_unit_test(a_list_is_start_and_target),
        cmocka_unit_test(reads_raise_and_drop),
        cmocka_unit_test(reads_miss_lift_turn),
        cmocka_unit_test(reads_what_stands_around),
        cmocka_unit_test(reads_stop_and_rest),
        cmocka_unit_test(reads_on_miss),
        cmocka_unit_test(reads_the_pulse),
        cmocka_unit_test(reads_volume_and_sounds),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
