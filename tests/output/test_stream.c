/* PortAudio's callback, called as PortAudio calls it, without a device: channels, the time at which
 * frames are heard, lost frames, the fade and the gate that shuts it off from the player; and, in
 * the trap, that nothing forbidden is called. */
#include "sound/help.h"

#include "output/stream.h"
#include "sound/trap.h"

#define RATE_HZ 48000

static struct stream stream;
static float out[3000 * 2];

static void init(int channels)
{
    memset(&stream, 0, sizeof stream);
    stream.player = plain_player(RATE_HZ, 100000, 64);
    stream.rate_hz = RATE_HZ;
    stream.channels = channels;
    stream.latency_s = 0.040;
    stream.fade_left = RATE_HZ * STREAM_FADE_MS / 1000;
    atomic_init(&stream.gate, GATE_OPEN);
}

static void call(unsigned long frames, double now_s, double dac_s, PaStreamCallbackFlags flags)
{
    PaStreamCallbackTimeInfo time = {.currentTime = now_s, .outputBufferDacTime = dac_s};
    trap_begin();
    int answer = passo_stream_callback(NULL, out, frames, &time, flags, &stream);
    trap_end();
    assert_int_equal(answer, paContinue);
}

static void test_one_and_two_channels(void **state)
{
    (void)state;
    for (int channels = 1; channels <= 2; channels++) {
        init(channels);
        assert_int_equal(passo_player_cue(stream.player, PASSO_CUE_TICK, 1500), PASSO_OK);
        call(3000, 10.0, 10.02, 0); /* longer than the stream's own buffer */
        for (int i = 0; i < 3000 * channels; i++)
            assert_true(out[i] == (i < 1500 * channels ? 0.0F : plain_cue(PASSO_CUE_TICK)));
        assert_int_equal(passo_player_rendered(stream.player), 3000);
        passo_player_destroy(stream.player);
    }
}

/* The ear's time: from the host's stamp when it is sane, else by the stream's latency. The clock
 * itself is a double of seconds since 1970: good to about a microsecond. */
static void check_heard(double now_s, double dac_s, double wanted_s)
{
    init(2);
    call(480, now_s, dac_s, 0);
    call(480, now_s + 0.01, dac_s + 0.01, 0);
    double heard_s = (double)passo_player_heard_ns(stream.player, 480) / 1e9;
    assert_true(heard_s - wanted_s - 0.01 < 2e-6 && heard_s - wanted_s - 0.01 > -2e-6);
    passo_player_destroy(stream.player);
}

static void test_when_it_is_heard(void **state)
{
    (void)state;
    check_heard(1795591035.5, 1795591035.5373, 1795591035.5373);
    check_heard(100.0, 0.0, 100.040);   /* the host left it empty */
    check_heard(100.0, 99.9, 100.040);  /* in the past */
    check_heard(100.0, 103.0, 100.040); /* far off */
}

static void test_lost_frames_are_told(void **state)
{
    (void)state;
    init(2);
    call(100, 1.0, 1.0, 0);
    call(100, 1.1, 1.1, paOutputUnderflow);
    expect(stream.player, PASSO_NOTICE_LATE, 0, 100);
    expect_none(stream.player);
    passo_player_destroy(stream.player);
}

/* Asked to fade: a straight line to 0 within 5 ms, over a block's border, then silence; and the
 * player stands still, its pass and its commands untouched, for the next output. */
static void test_fade_and_gate(void **state)
{
    (void)state;
    init(1);
    assert_int_equal(passo_player_cue(stream.player, PASSO_CUE_TICK, 0), PASSO_OK);
    call(100, 1.0, 1.0, 0);
    float before = out[99];
    assert_true(before > 0.1F);
    atomic_store(&stream.gate, GATE_FADING);
    call(150, 1.0, 1.0, 0);
    assert_int_equal(atomic_load(&stream.gate), GATE_FADING);
    for (int i = 0; i < 150; i++) {
        assert_true(before - out[i] <= plain_cue(PASSO_CUE_TICK) / 240 * 1.001F);
        before = out[i];
    }
    call(150, 1.0, 1.0, 0);
    assert_int_equal(atomic_load(&stream.gate), GATE_SHUT);
    assert_true(out[89] > 0.0F && out[90] == 0.0F && out[149] == 0.0F);
    assert_int_equal(passo_player_rendered(stream.player), 400);
    passo_stream_shut(&stream);
    call(150, 1.0, 1.0, paOutputUnderflow);
    assert_int_equal(passo_player_rendered(stream.player), 400);
    for (int i = 0; i < 150; i++)
        assert_true(out[i] == 0.0F);
    expect_none(stream.player);
    assert_int_equal(atomic_load(&stream.blocks), 4);
    passo_player_destroy(stream.player);
}

static void *call_on(void *argument)
{
    atomic_bool *wanted = argument;
    PaStreamCallbackTimeInfo time = {.currentTime = 1.0, .outputBufferDacTime = 1.0};
    while (atomic_load(wanted))
        (void)passo_stream_callback(NULL, out, 64, &time, 0, &stream);
    return NULL;
}

/* A second thread calls back all the time: once shut, the player is nobody's. For TSan. */
static void test_shut_against_a_running_callback(void **state)
{
    (void)state;
    init(2);
    atomic_bool wanted = true;
    pthread_t thread;
    assert_int_equal(pthread_create(&thread, NULL, call_on, &wanted), 0);
    for (int turn = 0; turn < 300; turn++) {
        unsigned before = atomic_load(&stream.blocks);
        atomic_store(&stream.gate, GATE_OPEN);
        while (atomic_load(&stream.blocks) == before)
            sched_yield();
        passo_stream_shut(&stream);
        int64_t rendered = passo_player_rendered(stream.player);
        passo_player_render(stream.player, NULL, 10, 0); /* another output's turn */
        assert_int_equal(passo_player_rendered(stream.player), rendered + 10);
    }
    atomic_store(&wanted, false);
    pthread_join(thread, NULL);
    passo_player_destroy(stream.player);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_and_two_channels),
        cmocka_unit_test(test_when_it_is_heard),
        cmocka_unit_test(test_lost_frames_are_told),
        cmocka_unit_test(test_fade_and_gate),
        cmocka_unit_test(test_shut_against_a_running_callback),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
