/* What the player tells: notices that must not be lost, late frames, the ear's clock, what is due;
 * and the change of kit. */
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

/* Nobody reads: beats go, but every beginning and end comes through in the end, in order, though
 * the ring holds two. */
static void test_notices_that_must_not_be_lost(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 2);
    for (uint64_t i = 1; i <= 8; i++) {
        assert_int_equal(passo_player_play(player, steady(i, RATE_HZ, 0, 5, 20)), PASSO_OK);
        run(player, NULL, 100);
    }
    for (uint64_t i = 1; i <= 8; i++) {
        struct passo_notice notice;
        do {
            run(player, NULL, 1);
            assert_true(passo_player_notice(player, &notice));
        } while (notice.kind == PASSO_NOTICE_BEAT);
        assert_int_equal(notice.kind, PASSO_NOTICE_BEGAN);
        assert_int_equal(notice.id, i);
        do {
            run(player, NULL, 1);
            assert_true(passo_player_notice(player, &notice));
        } while (notice.kind == PASSO_NOTICE_BEAT);
        assert_int_equal(notice.kind, PASSO_NOTICE_ENDED);
        assert_int_equal(notice.id, i);
    }
    passo_player_destroy(player);
}

/* Without a reader the hand-over is refused in the end; nothing is lost or leaked. */
static void test_outstanding_timelines_are_bounded(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 2);
    uint64_t begun = 0;
    for (uint64_t i = 1; i <= 100; i++) {
        struct passo_timeline *next = steady(i, RATE_HZ, 0, 5, 3);
        if (passo_player_play(player, next) != PASSO_OK)
            free(next);
        else
            begun++;
        run(player, NULL, 50);
    }
    assert_in_range(begun, 8, 20);
    uint64_t ended = 0;
    struct passo_notice notice;
    for (int i = 0; i < 200; i++) {
        run(player, NULL, 1);
        if (passo_player_notice(player, &notice) && notice.kind == PASSO_NOTICE_ENDED)
            ended++;
    }
    assert_int_equal(ended, begun);
    passo_player_destroy(player);
}

static void test_late_frames_are_told_once(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 4);
    run(player, NULL, 10);
    passo_player_late(player);
    passo_player_late(player);
    run(player, NULL, 10);
    expect(player, PASSO_NOTICE_LATE, 0, 10);
    expect_none(player);
    passo_player_destroy(player);
}

/* The ear's clock: a frame's time leads back to the frame, before and after the stamp. */
static void test_heard_clock(void **state)
{
    (void)state;
    const uint32_t rate_hz = 44100;
    struct passo_player *player = plain_player(rate_hz, CLICK, 4);
    assert_int_equal(passo_player_heard_frame(player, 123456789), -1);
    passo_player_render(player, NULL, 1000, INT64_C(1700000000000000000));
    passo_player_render(player, NULL, 1000, INT64_C(1700000000000000000) + 22675737);
    for (int64_t frame = -500; frame < 5000; frame++) {
        int64_t ns = passo_player_heard_ns(player, frame);
        assert_int_equal(passo_player_heard_frame(player, ns), frame);
    }
    assert_int_equal(passo_player_heard_ns(player, 1000), INT64_C(1700000000000000000) + 22675737);
    assert_true(passo_player_heard_ns(player, INT64_MAX) > INT64_C(8000000000000000000));
    passo_player_destroy(player);
}

static void test_next_due(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, CLICK, 16);
    assert_int_equal(passo_player_next_due(player), INT64_MAX);
    assert_int_equal(passo_player_play(player, steady(1, RATE_HZ, 30, 40, 2)), PASSO_OK);
    assert_int_equal(passo_player_next_due(player), 0); /* an unread command */
    run(player, NULL, 1);
    assert_int_equal(passo_player_next_due(player), 30);
    run(player, NULL, 30);
    assert_int_equal(passo_player_next_due(player), 70);
    assert_int_equal(passo_player_stop(player, 60), PASSO_OK);
    run(player, NULL, 1);
    assert_int_equal(passo_player_next_due(player), 60);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, 50), PASSO_OK);
    run(player, NULL, 1);
    assert_int_equal(passo_player_next_due(player), 50);
    passo_player_destroy(player);
}

/* A device came back at another rate: frames from 0, level kept, nothing left of before. */
static void test_rekit(void **state)
{
    (void)state;
    struct passo_player *player = plain_player(RATE_HZ, 100, 16);
    float out[10];
    assert_int_equal(passo_player_level(player, 0.5F), PASSO_OK);
    for (uint64_t i = 1; i <= 3; i++)
        assert_int_equal(passo_player_play(player, steady(i, RATE_HZ, 0, 10, 2)), PASSO_OK);
    run(player, NULL, 25);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, 30), PASSO_OK);
    struct passo_kit kit = plain_kit(16000, CLICK);
    passo_player_rekit(player, &kit);
    assert_int_equal(kit.rate_hz, 0);
    assert_int_equal(passo_player_rate_hz(player), 16000);
    assert_int_equal(passo_player_rendered(player), 0);
    expect_none(player);
    for (uint64_t i = 4; i <= 7; i++)
        assert_int_equal(passo_player_play(player, steady(i, 16000, 0, 10, 1)), PASSO_OK);
    run(player, out, 10);
    check_constant(out, 0, 5, plain_click(PASSO_CLICK_BAR) / 2);
    check_constant(out, 5, 10, 0.0F);
    expect(player, PASSO_NOTICE_BEGAN, 4, 0);
    passo_player_destroy(player);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_notices_that_must_not_be_lost),
        cmocka_unit_test(test_outstanding_timelines_are_bounded),
        cmocka_unit_test(test_late_frames_are_told_once),
        cmocka_unit_test(test_heard_clock),
        cmocka_unit_test(test_next_due),
        cmocka_unit_test(test_rekit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
