/* What is told of a stage that cannot be read: its place, what was read and what would do. */
#include "setup_tools.h"

/* The lines begin with line 5 of a file; four bars, target quarter = 96. */
static const struct {
    const char *lines; /* from line 5; four bars, target quarter = 96 */
    const char *place;
    const char *read;
    const char *would_do;
} bad_stages[] = {
    {"[stage]\nraise = 1 clean\n", "march.passo, line 5: ", "[stage]", "[stage first half]"},
    {"[stages a]\nraise = 1 clean\n", "march.passo, line 5: ", "[stages a]", "[stage NAME]"},
    {"[stage a]\nrase = 1 clean\n", "march.passo, line 6: ", "rase", "did you mean raise?"},
    {"[stage a]\nbars = 4\n", "march.passo, line 6: ", "bars = 4", "belongs under [passage]"},
    {"[stage a]\non-miss = break off\n", "march.passo, line 6: ", "on-miss", "all stages"},
    {"[stage a]\nraise = often\n", "march.passo, line 6: ", "raise = often", "3 clean of 4"},
    {"[stage a]\nraise =\n", "march.passo, line 6: ", "raise = : ", "leave it out"},
    {"[stage a]\nstart = 80 % of lower result\n", "march.passo, line 6: ", "lower result",
     "the first stage has nothing to look back at"},
    {"[stage a]\ntarget = last result\n", "march.passo, line 6: ", "last result",
     "the first stage has nothing to look back at"},
    {"[ladder]\nstart = 80 % of lower result\n", "march.passo, line 6: ", "lower result",
     "only a stage after the first looks back"},
    {"[stage a]\nraise = 1 clean\n[stage b]\nstart = 80 % of best result\n",
     "march.passo, line 8: ", "best result", "80 % of lower result"},
    {"[stage a]\nraise = 1 clean\n[stage b]\nstart = 201 % of last result\n",
     "march.passo, line 8: ", "201 %", "at most 200 %"},
    {"[stage a]\ntarget = 0 %\n", "march.passo, line 6: ", "target = 0 %", "90 %"},
    {"[stage a]\ntarget = 60.25 %\n", "march.passo, line 6: ", "60.25 %", "90 %"},
    {"[stage a]\nstart = half = 30\n", "march.passo, line 6: ", "start = half = 30",
     "this counts in half, but the passage in quarter"},
    {"[loops]\nfirst run = 1-2\n[stage a]\nloop = frist run\n",
     "march.passo, line 8: ", "there is no loop called frist run", "did you mean first run?"},
    {"[stage a]\nloop = trombone\n", "march.passo, line 6: ", "trombone", "whole would do"},
    {"[stage a]\nloop = whole,\n", "march.passo, line 6: ", "called \"\"", "whole would do"},
    {"[stage a]\nvariant = slured\n[variants]\nslurred = slurred\n",
     "march.passo, line 6: ", "there is no variant called slured", "did you mean slurred?"},
    {"[stage a]\nchain = daisy\n", "march.passo, line 6: ", "chain = daisy", "a chain is"},
    {"[stage a]\nclimbs = length\n", "march.passo, line 6: ", "climbs = length",
     "chain = backward by 1 bar would do"},
    {"[stage a]\nclimbs = length\nchain = backward\nloop = whole\n",
     "march.passo, line 8: ", "loop = whole", "leave this out"},
    {"[stage a]\nclimbs = length\nchain = halves\n", "march.passo, line 6: ", "climbs = length",
     "forward or backward"},
    {"[stage a]\nstart = 100\n", "march.passo, line 6: ", "100", "96"},
};

static void refuses_stages(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof bad_stages / sizeof *bad_stages; i++) {
        struct trial trial;
        char text[512];
        snprintf(text, sizeof text, "[passage]\ntarget = quarter = 96\n\n\n%s",
                 bad_stages[i].lines);
        try_lines(&trial, text, NULL, true);
        assert_fault_says(&trial, bad_stages[i].place, bad_stages[i].read, bad_stages[i].would_do);
        trial_end(&trial);
    }
}

static void refuses_options(void **state)
{
    static const struct {
        const char *option;
        const char *sentence;
    } bad[] = {
        {"raise = 1 clean",
         "--stage raise = 1 clean: this is written NAME: LINE, as in second half: start = 70 %"},
        {" : raise = 1 clean",
         "--stage : raise = 1 clean: this is written NAME: LINE, as in second half: start = 70 %"},
        {"a: raise",
         "--stage a: raise: this is written NAME: LINE, as in second half: start = 70 %"},
        {"a]: raise = 1 clean",
         "--stage a]: raise = 1 clean: a stage's name has no ; ] or quotes in it"},
        {"nnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnn: cold = no",
         "--stage nnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnnn: cold = no: a stage's name has at most 33 "
         "bytes"},
        {"a: rase = 1 clean", "--stage a: rase = 1 clean: not known here; did you mean --raise?"},
        {"a: meter = 3/4",
         "--stage a: meter = 3/4: this holds for all stages; it belongs under [passage]"},
        {"a: miss = never", "--stage a: miss = never: after a miss comes the same turn again, or "
                            "the first turn"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct trial trial;
        const char *const options[] = {"target", "96", "stage", bad[i].option, NULL};
        try_lines(&trial, NULL, options, true);
        assert_fault(&trial, bad[i].sentence);
        trial_end(&trial);
    }
}

static void refuses_too_many(void **state)
{
    struct trial trial;
    char text[4096] = "[passage]\ntarget = 96\n";
    (void)state;
    for (int i = 0; i < 33; i++) {
        snprintf(text + strlen(text), sizeof text - strlen(text), "[stage %d]\nraise = 1 clean\n",
                 i);
        try_lines(&trial, text, NULL, true);
        if (i < 32) {
            assert_no_faults(&trial);
            assert_int_equal(trial.setup.course.stages, i + 1);
        } else {
            assert_fault_says(&trial, "march.passo, line 68: ", "raise", "32 would do");
        }
        trial_end(&trial);
    }
}

/* A loop that a wrong line did not place is no fault of its own. */
static void tells_no_fault_of_a_fault(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 96\nbars = 0\n[loops]\nchain = halves\n[stage a]\n"
              "loop = seam\n",
              NULL, true);
    assert_fault_says(&trial, "march.passo, line 3: ", "bars = 0", "2000");
    trial_end(&trial);
}

/* All faults of a file at once, in the order of its lines. */
static void faults_come_in_the_order_of_the_lines(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\ntarget = 96\n[stage a]\nraise = no\n[pulse]\nswing = no\n[ladder]\n"
              "drop = no\n[variants]\nlow = octave 9\n[passage]\npickup = no\n",
              NULL, true);
    static const char *const places[] = {"line 4:", "line 6:", "line 8:", "line 10:", "line 12:"};
    assert_int_equal(trial.faults.faults, 5);
    for (size_t i = 0; i < 5; i++)
        assert_non_null(strstr(trial.faults.fault[i], places[i]));
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refuses_stages),
        cmocka_unit_test(refuses_options),
        cmocka_unit_test(refuses_too_many),
        cmocka_unit_test(tells_no_fault_of_a_fault),
        cmocka_unit_test(faults_come_in_the_order_of_the_lines),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
