/* Simulated time: frames and nanoseconds agree to the frame, every due frame is reached by an
 * advance to its time, an idle day is one step, and notices come as from any other output. */
#include "sound/help.h"

#include "output/output.h"
#include "sound/frames.h"

static const struct passo_output_ops *const ops = &passo_output_simulated;

static struct passo_output *open_at(uint32_t rate_hz)
{
    struct passo_output *output = NULL;
    char fault[64];
    const struct passo_output_ask ask = {.rate_hz = rate_hz};
    assert_int_equal(ops->open(&ask, &output, fault, sizeof fault), PASSO_OK);
    assert_int_equal(ops->rate_hz(output), rate_hz ? rate_hz : 48000);
    assert_int_equal(ops->now_ns(output), 0);
    assert_true(ops->alive(output));
    return output;
}

/* From due frame to due frame, as a script does it: no frame is missed, none is early. */
static void walk_at(uint32_t rate_hz)
{
    struct passo_output *output = open_at(rate_hz);
    struct passo_player *player = plain_player(rate_hz, 5, 64);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    int64_t period = 20000 + 7;
    assert_int_equal(passo_player_play(player, steady(1, rate_hz, 1001, period, 40)), PASSO_OK);
    ops->advance(output, 0); /* hands the command over */
    expect_none(player);
    for (int beat = 0; beat < 40; beat++) {
        int64_t due = passo_player_next_due(player);
        assert_int_equal(due, 1001 + beat * period);
        int64_t at_ns = passo_frames_to_ns(due, rate_hz);
        ops->advance(output, at_ns - 1);
        expect_none(player);
        ops->advance(output, at_ns);
        if (beat == 0)
            expect(player, PASSO_NOTICE_BEGAN, 1, due);
        struct passo_notice notice = expect(player, PASSO_NOTICE_BEAT, 1, due);
        assert_in_range(notice.heard_ns, at_ns, at_ns + 1);
        assert_int_equal(passo_player_heard_frame(player, at_ns), due);
        /* also by the stamp of this later block, and those before it */
        for (int64_t past = due; past > 0; past -= period)
            assert_int_equal(passo_player_heard_frame(player, passo_frames_to_ns(past, rate_hz)),
                             past);
        assert_int_equal(passo_player_heard_frame(player, notice.heard_ns), due);
    }
    ops->stop(output);
    ops->close(output);
    passo_player_destroy(player);
}

static void test_every_due_frame_is_reached(void **state)
{
    (void)state;
    walk_at(8000);
    walk_at(44100);
    walk_at(48000);
    walk_at(96000);
    walk_at(384000);
}

/* The times of frames, whichever block they fell in: rounded up to a nanosecond, and back. */
static void test_clock_over_a_day(void **state)
{
    (void)state;
    struct passo_output *output = open_at(44100);
    struct passo_player *player = plain_player(44100, 5, 64);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    int64_t now_ns = 0;
    for (int i = 0; i < 2000; i++) {
        now_ns += INT64_C(43200000000) + i * 7919; /* about a day in all */
        ops->advance(output, now_ns);
        assert_int_equal(ops->now_ns(output), now_ns);
        int64_t frame = passo_ns_to_frames(now_ns, 44100);
        assert_int_equal(passo_player_heard_frame(player, now_ns), frame);
        assert_int_equal(passo_player_rendered(player), frame + 1);
    }
    ops->close(output);
    passo_player_destroy(player);
}

/* Time does not run backwards, goes on while stopped, and the player then goes on from its own
 * next frame. */
static void test_stop_and_start(void **state)
{
    (void)state;
    struct passo_output *output = open_at(8000);
    struct passo_player *player = plain_player(8000, 5, 64);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    ops->advance(output, INT64_C(1000000000));
    ops->advance(output, 5);
    assert_int_equal(ops->now_ns(output), INT64_C(1000000000));
    assert_int_equal(passo_player_rendered(player), 8001);
    ops->stop(output);
    ops->stop(output);
    ops->advance(output, INT64_C(3000000000));
    assert_int_equal(passo_player_rendered(player), 8001);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    ops->advance(output, INT64_C(4000000000));
    assert_int_equal(passo_player_rendered(player), 8001 + 8000);
    assert_int_equal(passo_player_heard_frame(player, INT64_C(4000000000)), 8001 + 8000 - 1);
    ops->close(output);
    passo_player_destroy(player);
}

static void test_close_null(void **state)
{
    (void)state;
    ops->close(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_due_frame_is_reached),
        cmocka_unit_test(test_clock_over_a_day),
        cmocka_unit_test(test_stop_and_start),
        cmocka_unit_test(test_close_null),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
