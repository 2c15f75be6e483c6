/* The player's rules, one by one, on plain kits: where a click sounds, what is told, queue and late
 * hand-over, withdraw, stop, cues, level, full command ring. */
#include "help.h"

#define RATE_HZ  8000
#define FRAME_NS 125000 /* exact at 8 kHz */
#define CLICK    5      /* frames a plain click lasts */

/* Renders on in one block; the frame line and its time run together from 0. */
static void run(struct passo_player *player, float *out, int64_t frames)
{
    passo_player_render(player, out, (size_t)frames, passo_player_rendered(player) * FRAME_NS);
}

static void check_constant(const float *out, int64_t from, int64_t to, float value)
{
    for (int64_t i = from; i < to; i++)
        assert_true(out[i] == value);
}

static void test_clicks_on_their_frames(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 64);
    float out[200];
    assert_int_equal(passo_player_play(player, steady(7, RATE_HZ, 30, 40, 3)), PASSO_OK);
    run(player, out, 200);
    check_constant(out, 0, 30, 0.0F);
    check_constant(out, 30, 35, plain_click(PASSO_CLICK_BAR));
    check_constant(out, 35, 70, 0.0F);
    check_constant(out, 70, 75, plain_click(PASSO_CLICK_BEAT));
    check_constant(out, 110, 115, plain_click(PASSO_CLICK_BEAT));
    check_constant(out, 115, 200, 0.0F);
    expect(player, PASSO_NOTICE_BEGAN, 7, 30);
    struct passo_notice beat = expect(player, PASSO_NOTICE_BEAT, 7, 30);
    assert_int_equal(beat.heard_ns, 30 * FRAME_NS);
    assert_int_equal(beat.click, PASSO_CLICK_BAR);
    beat = expect(player, PASSO_NOTICE_BEAT, 7, 70);
    assert_int_equal(beat.bar, 1);
    assert_int_equal(beat.beat, 2);
    assert_int_equal(beat.of, 4);
    expect(player, PASSO_NOTICE_BEAT, 7, 110);
    expect(player, PASSO_NOTICE_ENDED, 7, 150);
    expect_none(player);
    passo_player_destroy(player);
}

static void test_every_kind_of_event(void **state)
{
    (void)state;
    const struct passo_event events[] = {
        {.frame = 0, .kind = PASSO_EVENT_SILENT_CLICK, .bar = 3, .beat = 1, .of = 2},
        {.frame = 10, .kind = PASSO_EVENT_BODY, .bar = 4},
        {.frame = 10, .kind = PASSO_EVENT_CLICK, .click = PASSO_CLICK_BAR, .bar = 4},
        {.frame = 20, .kind = PASSO_EVENT_LAND, .bar = 5},
        {.frame = 30, .kind = PASSO_EVENT_END},
    };
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 16);
    float out[40];
    assert_int_equal(passo_player_play(player, timeline(1, RATE_HZ, 0, events, 5)), PASSO_OK);
    run(player, out, 40);
    check_constant(out, 0, 10, 0.0F); /* told, not sounded */
    check_constant(out, 10, 15, plain_click(PASSO_CLICK_BAR));
    expect(player, PASSO_NOTICE_BEGAN, 1, 0);
    struct passo_notice silent = expect(player, PASSO_NOTICE_BEAT, 1, 0);
    assert_int_equal(silent.bar, 3);
    assert_true(silent.silent);
    assert_int_equal(expect(player, PASSO_NOTICE_BODY, 1, 10).bar, 4);
    assert_false(expect(player, PASSO_NOTICE_BEAT, 1, 10).silent);
    assert_int_equal(expect(player, PASSO_NOTICE_LAND, 1, 20).bar, 5);
    expect(player, PASSO_NOTICE_ENDED, 1, 30);
    passo_player_destroy(player);
}

/* Four may wait; the fifth is refused and stays the caller's. One follows the other on the frame
 * where that ends, or on its own frame if that is later. */
static void test_queue_of_four(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 64);
    struct passo_timeline *fifth = steady(5, RATE_HZ, 0, 10, 1);
    assert_int_equal(passo_player_play(player, steady(1, RATE_HZ, 0, 10, 1)), PASSO_OK);
    assert_int_equal(passo_player_play(player, steady(2, RATE_HZ, 10, 10, 1)), PASSO_OK);
    assert_int_equal(passo_player_play(player, steady(3, RATE_HZ, 50, 10, 1)), PASSO_OK);
    assert_int_equal(passo_player_play(player, steady(4, RATE_HZ, 55, 10, 1)), PASSO_OK);
    assert_int_equal(passo_player_play(player, fifth), PASSO_ERR_FULL);
    run(player, NULL, 5);
    assert_int_equal(passo_player_play(player, fifth), PASSO_OK);
    run(player, NULL, 100);
    const int64_t began[] = {0, 10, 50, 60, 70};
    for (uint64_t i = 0; i < 5; i++) {
        expect(player, PASSO_NOTICE_BEGAN, i + 1, began[i]);
        expect(player, PASSO_NOTICE_BEAT, i + 1, began[i]);
        expect(player, PASSO_NOTICE_ENDED, i + 1, began[i] + 10);
    }
    expect_none(player);
    passo_player_destroy(player);
}

/* Read after its start: it begins with the block that reads it, whole, and says where. */
static void test_late_hand_over(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 16);
    float out[64];
    run(player, NULL, 100);
    assert_int_equal(passo_player_play(player, steady(1, RATE_HZ, 40, 10, 2)), PASSO_OK);
    run(player, out, 64);
    check_constant(out, 0, 5, plain_click(PASSO_CLICK_BAR));
    check_constant(out, 10, 15, plain_click(PASSO_CLICK_BEAT));
    expect(player, PASSO_NOTICE_BEGAN, 1, 100);
    expect(player, PASSO_NOTICE_BEAT, 1, 100);
    expect(player, PASSO_NOTICE_BEAT, 1, 110);
    expect(player, PASSO_NOTICE_ENDED, 1, 120);
    passo_player_destroy(player);
}

/* A start of 10.75 rounds to frame 11: its first click is one frame after start.frame. Behind a
 * pass that ends on that rounded frame it is not late, and nothing is shifted. */
static void test_fraction_of_a_start(void **state)
{
    (void)state;
    const struct passo_event events[] = {
        {.frame = 1, .kind = PASSO_EVENT_CLICK, .click = PASSO_CLICK_BAR},
        {.frame = 11, .kind = PASSO_EVENT_CLICK, .click = PASSO_CLICK_BEAT},
        {.frame = 20, .kind = PASSO_EVENT_END},
    };
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 16);
    struct passo_timeline *second = timeline(2, RATE_HZ, 10, events, 3);
    second->start.fraction = 0xC0000000U;
    assert_int_equal(passo_player_play(player, steady(1, RATE_HZ, 0, 11, 1)), PASSO_OK);
    assert_int_equal(passo_player_play(player, second), PASSO_OK);
    run(player, NULL, 64);
    expect(player, PASSO_NOTICE_BEGAN, 1, 0);
    expect(player, PASSO_NOTICE_BEAT, 1, 0);
    expect(player, PASSO_NOTICE_ENDED, 1, 11);
    assert_int_equal(expect(player, PASSO_NOTICE_BEGAN, 2, 10).heard_ns, 10 * FRAME_NS);
    expect(player, PASSO_NOTICE_BEAT, 2, 11);
    expect(player, PASSO_NOTICE_BEAT, 2, 21);
    expect(player, PASSO_NOTICE_ENDED, 2, 30);
    passo_player_destroy(player);
}

static void test_withdraw(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 16);
    for (uint64_t i = 1; i <= 4; i++)
        assert_int_equal(passo_player_play(player, steady(i, RATE_HZ, 0, 10, 2)), PASSO_OK);
    run(player, NULL, 1);
    assert_int_equal(passo_player_withdraw(player), PASSO_OK);
    /* The room of those withdrawn is there at once, though the command was not read yet. */
    for (uint64_t i = 5; i <= 8; i++)
        assert_int_equal(passo_player_play(player, steady(i, RATE_HZ, 100, 10, 1)), PASSO_OK);
    run(player, NULL, 115);
    expect(player, PASSO_NOTICE_BEGAN, 1, 0);
    expect(player, PASSO_NOTICE_BEAT, 1, 0);
    expect(player, PASSO_NOTICE_BEAT, 1, 10);
    expect(player, PASSO_NOTICE_ENDED, 1, 20);
    expect(player, PASSO_NOTICE_BEGAN, 5, 100);
    passo_player_destroy(player);
}

/* The stop comes before the click of its own frame; what sounds fades; the waiting ones go. */
static void test_stop_at_a_frame(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, 100, 16);
    float out[128];
    assert_int_equal(passo_player_play(player, steady(1, RATE_HZ, 0, 50, 3)), PASSO_OK);
    assert_int_equal(passo_player_play(player, steady(2, RATE_HZ, 0, 50, 3)), PASSO_OK);
    run(player, out, 10);
    assert_int_equal(passo_player_stop(player, 50), PASSO_OK);
    run(player, out, 128);
    check_constant(out, 0, 40, plain_click(PASSO_CLICK_BAR));
    for (int i = 40; i < 80; i++) /* 5 ms at 8 kHz are 40 frames */
        assert_true(out[i] < out[i - 1] &&
                    out[i - 1] - out[i] <= plain_click(PASSO_CLICK_BAR) / 40);
    check_constant(out, 80, 128, 0.0F);
    expect(player, PASSO_NOTICE_BEGAN, 1, 0);
    expect(player, PASSO_NOTICE_BEAT, 1, 0);
    expect(player, PASSO_NOTICE_STOPPED, 1, 50);
    expect_none(player);
    passo_player_destroy(player);
}

static void test_stop_at_once_and_with_nothing(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 16);
    assert_int_equal(passo_player_stop(player, 0), PASSO_OK); /* nothing plays */
    run(player, NULL, 10);
    expect_none(player);
    assert_int_equal(passo_player_play(player, steady(1, RATE_HZ, 10, 50, 3)), PASSO_OK);
    run(player, NULL, 20);
    assert_int_equal(passo_player_stop(player, 600), PASSO_OK);
    assert_int_equal(passo_player_stop(player, 3), PASSO_OK); /* the earlier one holds */
    assert_int_equal(passo_player_stop(player, 500), PASSO_OK);
    /* One that is handed over after the stop is not touched by it. */
    assert_int_equal(passo_player_play(player, steady(2, RATE_HZ, 40, 50, 1)), PASSO_OK);
    run(player, NULL, 600);
    expect(player, PASSO_NOTICE_BEGAN, 1, 10);
    expect(player, PASSO_NOTICE_BEAT, 1, 10);
    expect(player, PASSO_NOTICE_STOPPED, 1, 30);
    expect(player, PASSO_NOTICE_BEGAN, 2, 40);
    expect(player, PASSO_NOTICE_BEAT, 2, 40);
    expect(player, PASSO_NOTICE_ENDED, 2, 90);
    passo_player_destroy(player);
}

static void test_cues(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 64);
    float out[64];
    assert_int_equal(passo_player_cue(player, PASSO_CUE_WON, 30), PASSO_OK);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, -5), PASSO_OK);
    run(player, out, 64);
    check_constant(out, 0, 5, plain_cue(PASSO_CUE_TICK));
    check_constant(out, 5, 30, 0.0F);
    check_constant(out, 30, 35, plain_cue(PASSO_CUE_WON));
    expect_none(player);
    for (int i = 0; i < 16; i++)
        assert_int_equal(passo_player_cue(player, PASSO_CUE_AGAIN, 1000 + i), PASSO_OK);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_AGAIN, 1000), PASSO_ERR_FULL);
    assert_int_equal(passo_player_hush(player), PASSO_OK);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_RAISED, 70), PASSO_OK);
    run(player, out, 64);
    check_constant(out, 6, 11, plain_cue(PASSO_CUE_RAISED));
    assert_int_equal(passo_player_next_due(player), INT64_MAX);
    passo_player_destroy(player);
}

static void test_level(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, 300, 16);
    float out[400];
    assert_int_equal(passo_player_level(player, 0.5F), PASSO_OK); /* silence: at once */
    assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, 0), PASSO_OK);
    run(player, out, 10);
    check_constant(out, 0, 10, plain_cue(PASSO_CUE_TICK) / 2);
    assert_int_equal(passo_player_level(player, 7.0F), PASSO_OK); /* held to 1 */
    run(player, out, 200);
    for (int i = 1; i < 80; i++)
        assert_true(out[i] > out[i - 1] && out[i] - out[i - 1] < 0.001F);
    check_constant(out, 80, 200, plain_cue(PASSO_CUE_TICK));
    passo_player_destroy(player);
}

static void test_command_ring_full(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 2);
    struct passo_timeline *third = steady(3, RATE_HZ, 0, 10, 1);
    assert_int_equal(passo_player_level(player, 1.0F), PASSO_OK);
    assert_int_equal(passo_player_level(player, 1.0F), PASSO_OK);
    assert_int_equal(passo_player_level(player, 1.0F), PASSO_ERR_FULL);
    assert_int_equal(passo_player_play(player, third), PASSO_ERR_FULL);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, 0), PASSO_ERR_FULL);
    assert_int_equal(passo_player_withdraw(player), PASSO_ERR_FULL);
    assert_int_equal(passo_player_stop(player, 0), PASSO_ERR_FULL);
    assert_int_equal(passo_player_hush(player), PASSO_ERR_FULL);
    run(player, NULL, 1);
    assert_int_equal(passo_player_play(player, third), PASSO_OK);
    run(player, NULL, 1);
    expect(player, PASSO_NOTICE_BEGAN, 3, 1);
    passo_player_destroy(player);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_clicks_on_their_frames),
        cmocka_unit_test(test_every_kind_of_event),
        cmocka_unit_test(test_queue_of_four),
        cmocka_unit_test(test_late_hand_over),
        cmocka_unit_test(test_fraction_of_a_start),
        cmocka_unit_test(test_withdraw),
        cmocka_unit_test(test_stop_at_a_frame),
        cmocka_unit_test(test_stop_at_once_and_with_nothing),
        cmocka_unit_test(test_cues),
        cmocka_unit_test(test_level),
        cmocka_unit_test(test_command_ring_full),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
