/* What the tests of the sound room share: plain kits whose samples tell which sound they are, and
 * timelines written by hand. */
#ifndef PASSO_TEST_SOUND_HELP_H
#define PASSO_TEST_SOUND_HELP_H

#include "sound/player.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Value of a plain kit's samples: exact in binary, and so are sums of a few of them. Clicks are
 * 1/64 to 6/64, cues 8/64 and on. */
static inline float plain_click(enum passo_click click)
{
    return (float)(click + 1) / 64.0F;
}

static inline float plain_cue(enum passo_cue cue)
{
    return (float)(cue + 8) / 64.0F;
}

static inline struct passo_sample constant(float value, size_t frames)
{
    struct passo_sample sample = {malloc(frames * sizeof(float)), frames};
    for (size_t i = 0; i < frames; i++)
        sample.frame[i] = value;
    return sample;
}

/* Every sound is a constant of `frames` frames. */
static inline struct passo_kit plain_kit(uint32_t rate_hz, size_t frames)
{
    struct passo_kit kit = {.rate_hz = rate_hz};
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++)
        kit.click[i] = constant(plain_click((enum passo_click)i), frames);
    for (int i = 0; i < PASSO_CUE_COUNT; i++)
        kit.cue[i] = constant(plain_cue((enum passo_cue)i), frames);
    return kit;
}

static inline struct passo_player *plain_player(uint32_t rate_hz, size_t frames, size_t slots)
{
    struct passo_kit kit = plain_kit(rate_hz, frames);
    return passo_player_create(&kit, slots);
}

/* A timeline of `count` events, copied. */
static inline struct passo_timeline *timeline(uint64_t id, uint32_t rate_hz, int64_t start,
                                              const struct passo_event *events, size_t count)
{
    struct passo_timeline *made = calloc(1, sizeof *made + count * sizeof *events);
    made->id = id;
    made->rate_hz = rate_hz;
    made->start.frame = start;
    made->events = count;
    memcpy(made->event, events, count * sizeof *events);
    return made;
}

/* `clicks` clicks (bar, beat, beat, beat ...) `period` frames apart, then the end. */
static inline struct passo_timeline *steady(uint64_t id, uint32_t rate_hz, int64_t start,
                                            int64_t period, int clicks)
{
    struct passo_event event[64];
    int i;
    for (i = 0; i < clicks && i < 63; i++) {
        event[i] = (struct passo_event){
            .frame = i * period,
            .bar = 1 + i / 4,
            .kind = PASSO_EVENT_CLICK,
            .click = i % 4 ? PASSO_CLICK_BEAT : PASSO_CLICK_BAR,
            .beat = (uint8_t)(1 + i % 4),
            .of = 4,
        };
    }
    event[i] = (struct passo_event){.frame = i * period, .kind = PASSO_EVENT_END};
    return timeline(id, rate_hz, start, event, (size_t)i + 1);
}

/* The timeline with a tone from its first frame to its end, and the bare one freed. */
static inline struct passo_timeline *toned(struct passo_timeline *bare, float hz, float level)
{
    size_t last = bare->events - 1;
    struct passo_timeline *made =
        calloc(1, sizeof *made + (bare->events + 3) * sizeof bare->event[0]);
    *made = *bare;
    struct passo_tone *tone = (struct passo_tone *)(made->event + bare->events + 2);
    *tone = (struct passo_tone){.hz = hz, .level = level};
    made->tones = 1;
    made->tone = tone;
    made->events = bare->events + 2;
    made->event[0].kind = PASSO_EVENT_TONE_ON;
    memcpy(made->event + 1, bare->event, last * sizeof bare->event[0]);
    made->event[last + 1].frame = bare->event[last].frame;
    made->event[last + 1].kind = PASSO_EVENT_TONE_OFF;
    made->event[last + 2] = bare->event[last];
    free(bare);
    return made;
}

/* The oldest notice, which must be of this kind, pass and frame. */
static inline struct passo_notice expect(struct passo_player *player, enum passo_notice_kind kind,
                                         uint64_t id, int64_t frame)
{
    struct passo_notice notice;
    assert_true(passo_player_notice(player, &notice));
    assert_int_equal(notice.kind, kind);
    assert_int_equal(notice.id, id);
    assert_int_equal(notice.frame, frame);
    return notice;
}

static inline void expect_none(struct passo_player *player)
{
    struct passo_notice notice;
    assert_false(passo_player_notice(player, &notice));
}

#endif
