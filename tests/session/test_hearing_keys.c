/* What keys do to what the machine plays before a count-in, through the real conductor in simulated
 * time: marks, sooner and longer, pause and skip. */
#include "heard_cues.h"

static int64_t frame_of(double s)
{
    return (int64_t)(s * S + 0.5);
}

/* A mark that changes what comes takes a hearing back that sounds, and the new one is heard. */
static void a_mark_brings_another_hearing(void **state)
{
    (void)state;
    static const char *const options[] = {"rest", "20 s", "raise", "1 clean", NULL};
    struct stage *stage = heard_stage();
    cues = 0;
    struct passo_setup *setup = heard_setup(options);
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    const double end = 0.03 + 9 + 3.5 + 9; /* of the first pass */
    const double press = end + 10;         /* in the hearing, which sounds from 7.5 to 16.5 */
    stage_press(stage, press, PASSO_COMMAND_CLEAN);
    stage_press(stage, press + 17, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(heards, 6);
    HEARD_AT(2, PASSO_HANDED_HEARING, 2, frame_of(end + 20 - 12.5));
    assert_int_equal(heard[2].mbpm, 60000);
    assert_int_equal(heard[4].mbpm, 80000);
    assert_int_equal(heard[4].what, PASSO_HANDED_HEARING);
    /* Its cues have sounded by then; a frame more or less is the clock's rounding of the press. */
    assert_true(llabs((long long)(heard[4].start.frame - frame_of(press + 1.1))) <= 1);
    assert_int_equal(heard[5].start.frame, heard[4].end.frame + S * 7 / 2);
    assert_int_equal(cues_of(PASSO_CUE_RAISED), 1);
    STAGE_SAID(stage, PASSO_SAY_PASS, "Listen: bar 1 · first · quarter = 80. Then you play.");
    free(setup);
    stage_free(stage);
}

/* One that changes nothing lets it go on: a tick, and no cue over it. */
static void a_mark_that_changes_nothing(void **state)
{
    (void)state;
    static const char *const options[] = {"rest", "20 s", "raise", "2 clean in a row", NULL};
    struct stage *stage = heard_stage();
    cues = 0;
    struct passo_setup *setup = heard_setup(options);
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    const double end = 0.03 + 9 + 3.5 + 9;
    stage_press(stage, end + 10, PASSO_COMMAND_CLEAN);
    stage_press(stage, end + 19, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(heards, 4);
    assert_int_equal(cues_of(PASSO_CUE_TICK), 1);
    assert_int_equal(cues_of(PASSO_CUE_AGAIN), 0);
    /* Nor over a starting note; before it there is room for one. */
    setup->intonation.hear = PASSO_HEAR_OFF;
    setup->intonation.starts = true;
    for (int i = 0; i < 2; i++) {
        const double passed = 0.03 + 2 + 9;
        cues = 0;
        stage_press(stage, passed + (i ? 18.5 : 15), PASSO_COMMAND_CLEAN);
        stage_press(stage, passed + 21, PASSO_COMMAND_QUIT);
        stage_play(stage, setup);
        assert_int_equal(cues_of(PASSO_CUE_TICK), 1);
        assert_int_equal(cues_of(PASSO_CUE_AGAIN), i ? 0 : 1);
    }
    free(setup);
    stage_free(stage);
}

/* Sooner brings a hearing that waits; once more, and it is enough. */
static void sooner(void **state)
{
    (void)state;
    static const char *const options[] = {"rest", "30 s", NULL};
    struct stage *stage = heard_stage();
    cues = 0;
    struct passo_setup *setup = heard_setup(options);
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    const double end = 0.03 + 3 + 2.5 + 9; /* the first hearing was cut, too */
    stage_press(stage, 3.03, PASSO_COMMAND_SOONER);
    stage_press(stage, end + 4, PASSO_COMMAND_SOONER);
    stage_press(stage, end + 6, PASSO_COMMAND_SOONER);
    stage_press(stage, end + 7, PASSO_COMMAND_LONGER);
    stage_press(stage, end + 20, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(heards, 9);
    HEARD_AT(0, PASSO_HANDED_HEARING, 1, LEAD);
    assert_int_equal(heard[2].what, PASSO_HANDED_PASS);
    assert_true(llabs((long long)(heard[2].start.frame - frame_of(5.53))) <= 1);
    HEARD_AT(3, PASSO_HANDED_HEARING, 2, heard[2].end.frame + 30 * S - PASS - S * 7 / 2);
    assert_int_equal(heard[5].what, PASSO_HANDED_HEARING);
    assert_true(llabs((long long)(heard[5].start.frame - frame_of(end + 4.5))) <= 2);
    assert_int_equal(heard[7].what, PASSO_HANDED_PASS);
    assert_true(llabs((long long)(heard[7].start.frame - frame_of(end + 8.5))) <= 2);
    /* Longer, and what was heard is not heard again. */
    assert_int_equal(heard[8].what, PASSO_HANDED_PASS);
    assert_int_equal(heard[8].start.frame, heard[7].start.frame + 10 * S);
    free(setup);
    stage_free(stage);
}

/* A pass that is none is heard again before it is played again; what was heard to its end is not
 * heard twice in one rest. */
static void a_void_pass_is_heard_again(void **state)
{
    (void)state;
    static const char *const options[] = {"rest", "30 s", NULL};
    struct stage *stage = heard_stage();
    cues = 0;
    struct passo_setup *setup = heard_setup(options);
    setup->intonation.hear = PASSO_HEAR_NEW_RUNG;
    const double end = 0.03 + 9 + 3.5 + 9;
    stage_press(stage, end + 5, PASSO_COMMAND_VOID);
    stage_press(stage, end + 27, PASSO_COMMAND_LONGER); /* it has sounded from 17.5 to 26.5 */
    stage_press(stage, end + 39, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(heards, 6);
    HEARD_AT(2, PASSO_HANDED_PASS, 2, heard[1].end.frame + 30 * S); /* taken back by the mark */
    HEARD_AT(3, PASSO_HANDED_HEARING, 2, heard[2].start.frame - S * 7 / 2 - PASS);
    HEARD_AT(4, PASSO_HANDED_PASS, 2, heard[2].start.frame);
    HEARD_AT(5, PASSO_HANDED_PASS, 2, heard[4].start.frame + 10 * S);
    free(setup);
    stage_free(stage);
}

static void pause_and_skip(void **state)
{
    (void)state;
    static const char *const options[] = {"rest", "30 s", NULL};
    struct stage *stage = heard_stage();
    cues = 0;
    struct passo_setup *setup = heard_setup(options);
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    setup->intonation.starts = true;
    stage_press(stage, 3, PASSO_COMMAND_PAUSE);
    stage_press(stage, 8, PASSO_COMMAND_PAUSE);
    stage_press(stage, 11, PASSO_COMMAND_SKIP);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.end, PASSO_END_SKIP);
    assert_int_equal(stage->band.result.passes, 0);
    assert_int_equal(heards, 6); /* hearing, note and pass, twice */
    assert_true(llabs((long long)(heard[3].start.frame - frame_of(8.5))) <= 1);
    free(setup);
    stage_free(stage);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mark_brings_another_hearing),
        cmocka_unit_test(a_mark_that_changes_nothing),
        cmocka_unit_test(sooner),
        cmocka_unit_test(a_void_pass_is_heard_again),
        cmocka_unit_test(pause_and_skip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
