/* The items of a day through the real conductor, one after the other on one stream in simulated
 * time: blocks without marks, what the keys do to them, and what each item leaves to the next. */
#include <math.h>

#include "items_heard.h"

static const double block_pass_s = 4 + 5 + 6;

/* Nothing is left on the stream: no pass, no cue, no sound. */
static void assert_silent(struct stage *stage)
{
    struct passo_notice notice;
    stage_advance(stage, 10000000); /* what was said to the player is read */
    while (passo_player_notice(stage->sounding.player, &notice))
        continue;
    assert_true(passo_player_next_due(stage->sounding.player) == INT64_MAX);
    stage_advance(stage, INT64_C(30000000000));
    assert_false(passo_player_notice(stage->sounding.player, &notice));
}

/* --- blocks --- */

static void a_block_is_played_and_nobody_asks(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(2);
    stage->run.then_words = "Then G-flat major.";
    setup->intonation =
        (struct passo_intonation){.drone = PASSO_DRONE_ROOT, .keyed = true, .key = {-2, 0}};
    stage->run.no_clicks = true;
    static const struct {
        double at_s;
        enum passo_command command;
    } keys[] = {{1, PASSO_COMMAND_CLEAN},  {3, PASSO_COMMAND_HARDER}, {6, PASSO_COMMAND_MISS},
                {10, PASSO_COMMAND_CLEAN}, {11, PASSO_COMMAND_UNDO},  {12, PASSO_COMMAND_VOID},
                {16, PASSO_COMMAND_CLEAN}, {22, PASSO_COMMAND_MISS},  {27, PASSO_COMMAND_CLEAN}};
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
        stage_press(stage, keys[i].at_s, keys[i].command);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.end, PASSO_END_RULE);
    assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_DONE);
    assert_int_equal(stage->band.result.passes, 2);
    assert_int_equal(stage->band.result.played_ns, 10 * INT64_C(1000000000));
    assert_int_equal(stage->band.result.rested_ns, 12 * INT64_C(1000000000));
    assert_int_equal(stage->band.result.level_permille, 0);
    BAND_CLOCK((double)stage->band.result.elapsed_ns / 1e9, 2 * block_pass_s);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_MARK), 0);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_END), 0);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_MOVE), 1);
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Next: G-flat major.");
    assert_int_equal(stage_said_of(stage, PASSO_SAY_START), 0);
    STAGE_SAID(stage, PASSO_SAY_PASS, "flow study \u00b7 quarter = 60 \u00b7 2 passes.");
    STAGE_SAID(stage, PASSO_SAY_PASS, "Pass 2 of 2.");
    STAGE_SAID(stage, PASSO_SAY_NOTICE, "A block keeps its tempo.");
    STAGE_SHOWED(stage, "Count-in, then play flow study \u00b7 quarter = 60.");
    STAGE_SHOWED(stage, "Play flow study \u00b7 quarter = 60.");
    STAGE_SHOWED(stage, "Next: flow study \u00b7 quarter = 60.");
    STAGE_SHOWED(stage, "Next: G-flat major.");
    for (size_t i = 0; i < stage->nexts; i++)
        assert_null(strstr(stage->next[i], "How was it?"));
    assert_string_equal(stage->count, "");
    assert_int_equal(stage->band.last.cleans_needed, 0);
    assert_int_equal(cues[PASSO_CUE_BREATHE], 2); /* also before what comes then */
    for (size_t i = 0; i < PASSO_CUE_COUNT; i++)
        assert_true(cues[i] == 0 || i == PASSO_CUE_BREATHE);
    assert_true(fabsf(last_tone.hz - 116.541F) < 0.001F);
    assert_true(last_no_clicks);
    free(setup);
    stage_free(stage);
}

/* No pulse and no tempo: what it is, and how long it still lasts. */
static void a_free_block_has_its_time_alone(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(1);
    stage->run.free = true;
    stage_press(stage, 5, PASSO_COMMAND_CLEAN);
    stage_press(stage, 7.5, PASSO_COMMAND_CLEAN);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_DONE);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_PASS), 0);
    assert_int_equal(stage->band.last.mbpm, 0);
    STAGE_SHOWED(stage, "flow study: 0:04 left.");
    STAGE_SHOWED(stage, "flow study: 0:02 left.");
    free(setup);
    stage_free(stage);
}

/* The pause breaks the first pass off; it is played again, and nobody is told of a mark. */
static void a_paused_block_plays_its_pass_again(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(1);
    stage_press(stage, 6, PASSO_COMMAND_PAUSE);
    stage_press(stage, 20, PASSO_COMMAND_PAUSE);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.passes, 2);
    assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_DONE);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_MARK), 0);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_PASS), 2);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_MOVE), 0);
    assert_in_range(stage->band.result.played_ns, INT64_C(6900000000), INT64_C(7000000000));
    free(setup);
    stage_free(stage);
}

/* What a script says of passes is for those that have marks. */
static void a_block_takes_no_mark_of_a_script(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *first = block(2);
    struct passo_setup *second = visit("1 pass");
    struct passo_marker marker = {0};
    char path[] = "/tmp/passo-items-XXXXXX";
    char fault[512];
    int fd = mkstemp(path);
    assert_int_equal(write(fd, "c", 1), 1);
    close(fd);
    assert_int_equal(passo_marker_script(&marker, path, fault, sizeof fault), PASSO_OK);
    unlink(path);
    stage->run.marker = &marker;
    stage_play(stage, first);
    assert_int_equal(stage->band.result.passes, 2);
    stage_play(stage, second);
    STAGE_SAID(stage, PASSO_SAY_MARK, "Pass 1: clean.");
    /* A block goes on when nothing is left of it. */
    stage_play(stage, first);
    assert_int_equal(stage->band.result.passes, 2);
    assert_int_equal(stage->band.result.end, PASSO_END_RULE);
    passo_marker_deinit(&marker);
    free(first);
    free(second);
    stage_free(stage);
}

static void the_next_turn_of_a_block_is_the_next_item(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(12);
    stage->run.in_day = false;                   /* it needs no day */
    stage_press(stage, 0.3, PASSO_COMMAND_TURN); /* held since the item before */
    stage_press(stage, block_pass_s + 6.03, PASSO_COMMAND_TURN);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.end, PASSO_END_RULE);
    assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_DONE);
    /* the first pass, and two seconds of the second */
    assert_int_equal(stage->band.result.passes, 2);
    assert_in_range(stage->band.result.played_ns, INT64_C(6990000000), INT64_C(7010000000));
    assert_int_equal(stage->band.last.pass, 2); /* and none is to come */
    assert_silent(stage);
    free(setup);
    stage_free(stage);
}

static void a_block_of_minutes(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(0);
    setup->course.stage[0].rule.stop_ms = 60000;
    stage_play(stage, setup);
    /* 9, 24, 39, 54 s are not yet a minute; the pass that begins then is finished */
    assert_int_equal(stage->band.result.passes, 5);
    assert_int_equal(cues[PASSO_CUE_TIME], 0);
    stage_press(stage, 50, PASSO_COMMAND_EXTEND);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.passes, 13); /* 9 + 12 * 15 s */
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Two minutes more.");
    free(setup);
    stage_free(stage);
}

static void sooner_and_later(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(2);
    stage_press(stage, 10.03, PASSO_COMMAND_SOONER); /* one second into the first rest */
    stage_press(stage, 22.03, PASSO_COMMAND_LONGER); /* the last: 10 s more */
    stage_play(stage, setup);
    BAND_CLOCK((double)stage->band.result.rested_ns / 1e9, 3 + 16);
    stage_press(stage, 10.03, PASSO_COMMAND_LONGER);
    stage_press(stage, 35.53, PASSO_COMMAND_SOONER); /* a second and a half into the last */
    stage_play(stage, setup);
    BAND_CLOCK((double)stage->band.result.rested_ns / 1e9, 16 + 3.5);
    /* Sooner is never later. */
    stage_press(stage, 29.03, PASSO_COMMAND_SOONER);
    stage_play(stage, setup);
    BAND_CLOCK((double)stage->band.result.rested_ns / 1e9, 12);
    /* Without a day there is nothing to come sooner. */
    stage->run.in_day = false;
    stage_press(stage, 25.03, PASSO_COMMAND_SOONER);
    stage_press(stage, 26.03, PASSO_COMMAND_LONGER);
    stage_play(stage, setup);
    BAND_CLOCK((double)stage->band.result.rested_ns / 1e9, 12);
    free(setup);
    stage_free(stage);
}

/* --- what an item leaves to the next --- */

static void the_stream_is_left_silent(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *first = block(3);
    struct passo_setup *second = visit("6 passes");
    /* In mid-pass; in a rest with the next pass handed over; just after a mark, its cue to come. */
    stage_press(stage, 6, PASSO_COMMAND_QUIT);
    stage_play(stage, first);
    assert_silent(stage);
    stage_press(stage, 11, PASSO_COMMAND_QUIT);
    stage_play(stage, first);
    assert_silent(stage);
    stage_press(stage, 12, PASSO_COMMAND_CLEAN);
    stage_press(stage, 12.2, PASSO_COMMAND_QUIT);
    stage_play(stage, second);
    assert_int_equal(stage->band.result.end, PASSO_END_QUIT);
    assert_int_equal(cues[PASSO_CUE_RAISED], 1);
    assert_silent(stage);
    /* And the one that follows hears only its own. */
    stage_play(stage, first);
    assert_int_equal(stage->band.result.passes, 3);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_PASS), 3);
    BAND_CLOCK((double)stage->band.result.elapsed_ns / 1e9, 3 * block_pass_s);
    free(first);
    free(second);
    stage_free(stage);
}

/* A notice that the item before did not read is none of this one's. */
static void notices_of_the_item_before_are_not_heard(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(1);
    stage_press(stage, 6, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    stage_advance(stage, 10000000);
    passo_player_late(stage->sounding.player);
    stage_advance(stage, 10000000);
    stage_play(stage, setup);
    assert_int_equal(stage_said_of(stage, PASSO_SAY_NOTICE), 0);
    assert_string_equal(stage->band.last.notice, "");
    free(setup);
    stage_free(stage);
}

static void a_hand_on_the_level_goes_with_the_day(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = block(1);
    stage_play(stage, setup);
    assert_int_equal(stage->band.last.level_permille, 400);
    assert_int_equal(stage->band.result.level_permille, 0);
    stage_press(stage, 5, PASSO_COMMAND_LOUDER);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.level_permille, 450);
    stage->run.level_permille = 450;
    for (int i = 0; i < 10; i++)
        stage_press(stage, 1 + i, PASSO_COMMAND_SOFTER);
    stage_play(stage, setup);
    assert_int_equal(stage->band.last.level_permille, 0);
    assert_int_equal(stage->band.result.level_permille, 1);
    stage->run.level_permille = stage->band.result.level_permille;
    stage_play(stage, setup);
    assert_int_equal(stage->band.last.level_permille, 1);
    assert_int_equal(stage->band.result.level_permille, 1);
    stage->run.level_permille = -1;
    stage_play(stage, setup);
    assert_int_equal(stage->band.last.level_permille, 400);
    free(setup);
    stage_free(stage);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_block_is_played_and_nobody_asks),
        cmocka_unit_test(a_free_block_has_its_time_alone),
        cmocka_unit_test(a_paused_block_plays_its_pass_again),
        cmocka_unit_test(a_block_takes_no_mark_of_a_script),
        cmocka_unit_test(the_next_turn_of_a_block_is_the_next_item),
        cmocka_unit_test(a_block_of_minutes),
        cmocka_unit_test(sooner_and_later),
        cmocka_unit_test(the_stream_is_left_silent),
        cmocka_unit_test(notices_of_the_item_before_are_not_heard),
        cmocka_unit_test(a_hand_on_the_level_goes_with_the_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
