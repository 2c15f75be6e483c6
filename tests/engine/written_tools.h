/* What the tests of written changes share: one pass at 48 kHz from frame 0, read off at a quarter
 * of 24,000 frames. */
#ifndef PASSO_TESTS_WRITTEN_TOOLS_H
#define PASSO_TESTS_WRITTEN_TOOLS_H

#include "time_tools.h"

#define RATE_HZ 48000
#define QUARTER 24000

static const struct passo_ratio none = {0, 1};
static const struct passo_instant zero = {0, 0};

static inline struct passo_timeline *build(const struct passo_passage *passage,
                                           const struct passo_loop *loop, struct passo_pulse pulse,
                                           int32_t mbpm)
{
    struct passo_pass_shape shape = {
        .passage = passage, .loop = loop ? loop : &passage->loop[0], .pulse = &pulse, .mbpm = mbpm};
    return passo_timeline_build(&shape, 1, zero, RATE_HZ);
}

static inline void check_events(const struct passo_passage *passage, const struct passo_loop *loop,
                                struct passo_pulse pulse, const char *expected)
{
    char text[2048];
    struct passo_timeline *timeline = build(passage, loop, pulse, 120000);
    assert_string_equal(written(timeline, text, sizeof text), expected);
    free(timeline);
}

/* Frames from the body on; the end of the row is told by the number of events. */
static inline void check_frames(const struct passo_passage *passage, const struct passo_loop *loop,
                                struct passo_pulse pulse, const int64_t *frame, size_t frames)
{
    struct passo_timeline *timeline = build(passage, loop, pulse, 120000);
    size_t body = 0;
    while (timeline->event[body].kind != PASSO_EVENT_BODY)
        body++;
    int64_t start = timeline->event[body].frame;
    assert_int_equal(timeline->events - body, frames);
    for (size_t i = 0; i < frames; i++)
        assert_int_equal(timeline->event[body + i].frame - start, frame[i]);
    free(timeline);
}

static inline void complete(struct passo_passage *passage)
{
    assert_int_equal(passo_passage_complete(passage), PASSO_OK);
}

#endif
