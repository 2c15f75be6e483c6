/* What is heard of a session, read off the timelines that the real conductor builds and hands to
 * the player, and the cues that it sends: the linker puts the functions below in the way of
 * passo_timeline_build() and passo_player_cue() (--wrap, tests/CMakeLists.txt), and they pass every
 * call on. Likewise the wall clock, so that a session has its day. */
#ifndef PASSO_TESTS_TRADE_HEARD_H
#define PASSO_TESTS_TRADE_HEARD_H

#include <time.h>

#include "stage_band.h"

/* One pass; its last count-in, if an earlier one was stopped. */
struct heard_pass {
    struct passo_timeline *timeline;
    unsigned count_ins; /* that began */
    unsigned taken;     /* presses that were taken as its mark, or took it back */
    unsigned cues;      /* bit (1 << enum passo_cue): sent since its first count-in began */
};

struct heard {
    struct passo_timeline *built; /* the last one: what begins next */
    struct heard_pass pass[BAND_ROWS + 1];
    uint32_t now; /* the pass that began last, 0 none */
    time_t wall_s;
};

static struct heard heard;

struct passo_timeline *__real_passo_timeline_build(const struct passo_pass_shape *shape,
                                                   uint64_t id, struct passo_instant start,
                                                   uint32_t rate_hz);
struct passo_timeline *__wrap_passo_timeline_build(const struct passo_pass_shape *shape,
                                                   uint64_t id, struct passo_instant start,
                                                   uint32_t rate_hz);
enum passo_error __real_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at);
enum passo_error __wrap_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at);
int __real_clock_gettime(clockid_t clock, struct timespec *out_time);
int __wrap_clock_gettime(clockid_t clock, struct timespec *out_time);

static struct passo_timeline *heard_copy(const struct passo_timeline *timeline)
{
    size_t bytes = sizeof *timeline + timeline->events * sizeof timeline->event[0];
    return memcpy(malloc(bytes), timeline, bytes);
}

struct passo_timeline *__wrap_passo_timeline_build(const struct passo_pass_shape *shape,
                                                   uint64_t id, struct passo_instant start,
                                                   uint32_t rate_hz)
{
    struct passo_timeline *timeline = __real_passo_timeline_build(shape, id, start, rate_hz);
    free(heard.built);
    heard.built = heard_copy(timeline);
    return timeline;
}

enum passo_error __wrap_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at)
{
    heard.pass[heard.now].cues |= 1u << cue;
    return __real_passo_player_cue(player, cue, at);
}

int __wrap_clock_gettime(clockid_t clock, struct timespec *out_time)
{
    if (clock != CLOCK_REALTIME)
        return __real_clock_gettime(clock, out_time);
    *out_time = (struct timespec){.tv_sec = heard.wall_s};
    return 0;
}

static void heard_clear(void)
{
    free(heard.built);
    for (size_t i = 0; i <= BAND_ROWS; i++)
        free(heard.pass[i].timeline);
    memset(&heard, 0, sizeof heard);
}

/* The count-in of a pass begins. */
static void heard_begin(uint32_t number)
{
    assert_true(number <= BAND_ROWS && heard.built);
    struct heard_pass *pass = &heard.pass[number];
    free(pass->timeline);
    pass->timeline = heard_copy(heard.built);
    pass->count_ins++;
    heard.now = number;
}

static bool heard_is_click(const struct passo_event *event)
{
    return event->kind == PASSO_EVENT_CLICK || event->kind == PASSO_EVENT_SILENT_CLICK;
}

/* The index of BODY: the count-in lies before it. */
static size_t heard_body(const struct passo_timeline *timeline)
{
    size_t body = 0;
    while (timeline->event[body].kind != PASSO_EVENT_BODY)
        body++;
    return body;
}

/* A beat of a bar, of the count-in's last if bar is 0; timeline->events if there is none. */
static size_t heard_find(const struct passo_timeline *timeline, int bar, int beat)
{
    size_t body = heard_body(timeline);
    if (bar == 0) {
        for (size_t i = body; i-- > 0;) {
            if (heard_is_click(&timeline->event[i]) && timeline->event[i].beat == beat)
                return i;
        }
        return timeline->events;
    }
    for (size_t i = body; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (heard_is_click(event) && event->bar == bar && event->beat == beat)
            return i;
    }
    return timeline->events;
}

/* Seconds from the first downbeat to an event. */
static double heard_s(const struct passo_timeline *timeline, size_t index)
{
    int64_t frame = timeline->start.frame + timeline->event[index].frame;
    return (double)(frame - timeline->body.frame) / timeline->rate_hz;
}

static double heard_between_s(struct passo_instant from, struct passo_instant to, uint32_t rate_hz)
{
    return (double)passo_instant_ns(passo_instant_sub(to, from), rate_hz) / 1e9;
}

/* Seconds of the simulated clock at a beat and its part (3.1), or -1. */
static double heard_beat_s(const struct passo_timeline *timeline, int bar, double beat)
{
    size_t at = heard_find(timeline, bar, (int)beat);
    size_t next = at + 1;
    while (next < timeline->events && !heard_is_click(&timeline->event[next]))
        next++;
    if (next >= timeline->events)
        return -1;
    double part = beat - (int)beat;
    double frame = (double)timeline->start.frame + (1 - part) * (double)timeline->event[at].frame +
                   part * (double)timeline->event[next].frame;
    return frame / timeline->rate_hz;
}

#endif
