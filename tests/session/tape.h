/* A tape: an output of simulated time that keeps what it renders, and what it is expected to hold,
 * laid down click by click from the rules of the design. A test says before it how long it is,
 * TAPE_S seconds. */
#ifndef TESTS_SESSION_TAPE_H
#define TESTS_SESSION_TAPE_H

#include <cmocka.h>
#include <stdlib.h>
#include <string.h>
#include "output/output.h"
#include "sound/kit.h"

enum { RATE_HZ = 48000, TAPE_FRAMES = TAPE_S * RATE_HZ, BLOCK = 480 };
static const float level = 0.25f; /* 50 % of a fader that goes with the square */

/* An output of simulated time that keeps what it renders. */
static struct {
    struct passo_output output;
    struct passo_player *player;
    float *frame;
    int64_t frames;
    int64_t late_at; /* here the device tells that frames were late; 0: nowhere */
} tape;

static float *expected;
static struct passo_kit kit;

static inline int64_t frame_ns(int64_t frame)
{
    return (frame * 1000000000 + RATE_HZ - 1) / RATE_HZ;
}

static inline enum passo_error tape_open(const struct passo_output_ask *ask,
                                         struct passo_output **out, char *out_fault,
                                         size_t fault_bytes)
{
    (void)ask, (void)out_fault, (void)fault_bytes;
    *out = &tape.output;
    return PASSO_OK;
}

static inline enum passo_error tape_start(struct passo_output *output, struct passo_player *player)
{
    (void)output;
    tape.player = player;
    return PASSO_OK;
}

static inline void tape_stop(struct passo_output *output)
{
    (void)output;
}

static inline uint32_t tape_rate(const struct passo_output *output)
{
    (void)output;
    return RATE_HZ;
}

static inline int64_t tape_now(const struct passo_output *output)
{
    (void)output;
    return frame_ns(tape.frames);
}

static inline bool tape_alive(struct passo_output *output)
{
    (void)output;
    return true;
}

static inline void tape_advance(struct passo_output *output, int64_t until_ns)
{
    (void)output;
    int64_t until = (until_ns * RATE_HZ + 999999999) / 1000000000; /* a press is not missed */
    while (tape.frames < until) {
        int64_t count = until - tape.frames < BLOCK ? until - tape.frames : BLOCK;
        assert_true(tape.frames + count <= TAPE_FRAMES);
        passo_player_render(tape.player, tape.frame + tape.frames, (size_t)count,
                            frame_ns(tape.frames));
        tape.frames += count;
        if (tape.late_at && tape.frames >= tape.late_at) {
            passo_player_late(tape.player);
            tape.late_at = 0;
        }
    }
}

static const struct passo_output_ops tape_ops = {.name = "tape",
                                                 .open = tape_open,
                                                 .start = tape_start,
                                                 .stop = tape_stop,
                                                 .close = tape_stop,
                                                 .rate_hz = tape_rate,
                                                 .now_ns = tape_now,
                                                 .alive = tape_alive,
                                                 .advance = tape_advance};

static inline void tape_begin(void)
{
    memset(&tape, 0, sizeof tape);
    tape.output.ops = &tape_ops;
    tape.frame = calloc(TAPE_FRAMES, sizeof *tape.frame);
    expected = calloc(TAPE_FRAMES, sizeof *expected);
    passo_kit_init(&kit, PASSO_TIMBRE_RIM, RATE_HZ);
}

static inline void tape_end(void)
{
    passo_kit_deinit(&kit);
    free(expected);
    free(tape.frame);
}

static inline void lay(const struct passo_sample *sample, int64_t at)
{
    for (size_t i = 0; i < sample->frames; i++)
        expected[at + (int64_t)i] += level * sample->frame[i];
}

static inline void expect_tape(void)
{
    int64_t wrong = 0;
    int64_t first = -1;
    for (int64_t i = 0; i < tape.frames; i++) {
        float off = tape.frame[i] - expected[i];
        if (off > 1e-5f || off < -1e-5f) {
            wrong++;
            if (first < 0)
                first = i;
        }
    }
    if (wrong)
        print_error("%lld frames differ, the first at %.4f s: %g, not %g\n", (long long)wrong,
                    (double)first / RATE_HZ, (double)tape.frame[first], (double)expected[first]);
    assert_int_equal(wrong, 0);
}

#endif
