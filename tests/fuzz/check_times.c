/* Passes of a setup: how long they last agrees with the timeline, and the timeline's events are in
 * order. Long passes are timed but not built, so that no input takes long. */
#include "fuzz.h"

#define CLICKS_MAX     6000 /* of one timeline that is built */
#define CLICKS_ALL_MAX 20000
#define LOOPS_TIMED    12
static const uint32_t rate_hz = 48000;

/* No fewer than it has in the body. */
static int64_t clicks_at_most(const struct passo_setup *setup, const struct passo_loop *loop)
{
    const struct passo_passage *passage = &setup->passage;
    int64_t most = passage->meter.count;
    for (size_t i = 0; i < passage->changes; i++) {
        if (passage->change[i].meter.count > most)
            most = passage->change[i].meter.count;
    }
    if (setup->pulse.count.den)
        most = PASSO_METER_BEATS_MAX;
    const int64_t bars = (int64_t)loop->to.bar - loop->from.bar + 2;
    return bars * most * (setup->pulse.subdivide ? setup->pulse.subdivide : 1);
}

static void check_event(const struct passo_event *event, const struct passo_event *before,
                        size_t seen[PASSO_EVENT_KIND_COUNT])
{
    FUZZ_CHECK(event->kind < PASSO_EVENT_KIND_COUNT && event->click < PASSO_CLICK_COUNT_OF);
    FUZZ_CHECK(!before || before->frame <= event->frame);
    FUZZ_CHECK(event->frame >= 0);
    seen[event->kind]++;
    switch ((enum passo_event_kind)event->kind) {
    case PASSO_EVENT_CLICK:
    case PASSO_EVENT_SILENT_CLICK:
        FUZZ_CHECK(event->beat >= 1 && event->beat <= event->of);
        break;
    case PASSO_EVENT_BODY:
        FUZZ_CHECK(!seen[PASSO_EVENT_LAND] && !seen[PASSO_EVENT_END]);
        break;
    case PASSO_EVENT_LAND:
        FUZZ_CHECK(seen[PASSO_EVENT_BODY] == 1 && !seen[PASSO_EVENT_END]);
        break;
    case PASSO_EVENT_END:
        FUZZ_CHECK(seen[PASSO_EVENT_LAND] == 1);
        break;
    case PASSO_EVENT_TONE_ON:
    case PASSO_EVENT_TONE_OFF:
    case PASSO_EVENT_KIND_COUNT:
        FUZZ_CHECK(false);
    }
}

/* Even changes of tempo are exact to 2^-28 of a whole note, each; the rest is rounding. */
static void check_near(int64_t ns, int64_t other_ns, const struct passo_pass_shape *shape)
{
    const struct passo_tempo tempo = {shape->mbpm, shape->passage->beat};
    const struct passo_ratio grain = passo_ratio(1 + (int64_t)shape->passage->writtens, 1 << 28);
    const int64_t apart = ns > other_ns ? ns - other_ns : other_ns - ns;
    if (apart > 2 + passo_tempo_ns(grain, tempo))
        fprintf(stderr, "%lld ns are not %lld ns\n", (long long)ns, (long long)other_ns);
    FUZZ_CHECK(apart <= 2 + passo_tempo_ns(grain, tempo));
}

static size_t check_timeline(const struct passo_pass_shape *shape)
{
    static const struct passo_instant start = {1000, 12345};
    size_t seen[PASSO_EVENT_KIND_COUNT] = {0};
    const struct passo_pass_times times = passo_pass_times(shape);
    struct passo_timeline *timeline = passo_timeline_build(shape, 1, start, rate_hz);
    for (size_t i = 0; i < timeline->events; i++)
        check_event(&timeline->event[i], i ? &timeline->event[i - 1] : NULL, seen);
    FUZZ_CHECK(seen[PASSO_EVENT_BODY] == 1 && seen[PASSO_EVENT_END] == 1);
    FUZZ_CHECK(timeline->event[timeline->events - 1].kind == PASSO_EVENT_END);
    FUZZ_CHECK(passo_instant_cmp(timeline->start, timeline->body) < 0);
    FUZZ_CHECK(passo_instant_cmp(timeline->body, timeline->landing) < 0);
    FUZZ_CHECK(passo_instant_cmp(timeline->landing, timeline->end) < 0);
    check_near(passo_instant_ns(passo_instant_sub(timeline->body, timeline->start), rate_hz),
               times.count_in_ns, shape);
    check_near(passo_instant_ns(passo_instant_sub(timeline->end, timeline->body), rate_hz),
               times.played_ns, shape);
    const size_t events = timeline->events;
    free(timeline);
    return events;
}

static void check_span(const struct passo_pass_shape *shape)
{
    const struct passo_tempo tempo = {shape->mbpm, shape->passage->beat};
    const struct passo_ratio none = {0, 1};
    const struct passo_pass_span span = passo_pass_span(shape);
    const struct passo_pass_times times = passo_pass_times(shape);
    FUZZ_CHECK(passo_ratio_cmp(span.count_in, none) > 0);
    FUZZ_CHECK(passo_ratio_cmp(span.body, none) > 0);
    FUZZ_CHECK(passo_ratio_cmp(span.landing, none) > 0);
    FUZZ_CHECK(passo_tempo_ns(span.count_in, tempo) == times.count_in_ns);
    FUZZ_CHECK(times.played_ns > 0);
}

static void check_loop(const struct passo_setup *setup, const struct passo_loop *loop, int32_t mbpm,
                       size_t *clicks)
{
    const struct passo_pass_shape shape = {
        .passage = &setup->passage, .loop = loop, .pulse = &setup->pulse, .mbpm = mbpm, .seed = 7};
    check_span(&shape);
    if (*clicks < CLICKS_ALL_MAX && clicks_at_most(setup, loop) <= CLICKS_MAX)
        *clicks += check_timeline(&shape);
}

void fuzz_check_loops(const struct passo_setup *setup, int32_t slowest_mbpm, int32_t fastest_mbpm)
{
    const struct passo_passage *passage = &setup->passage;
    size_t clicks = 0;
    check_loop(setup, &passage->context, slowest_mbpm, &clicks);
    check_loop(setup, &passage->context, fastest_mbpm, &clicks);
    /* The first and the last ones: chains are behind the player's own. */
    for (size_t i = 0; i < passage->loops; i++) {
        if (i >= LOOPS_TIMED / 2 && i + LOOPS_TIMED / 2 < passage->loops)
            continue;
        check_loop(setup, &passage->loop[i], slowest_mbpm, &clicks);
        check_loop(setup, &passage->loop[i], fastest_mbpm, &clicks);
    }
}

void fuzz_check_plan(const struct passo_setup *setup, const struct passo_plan *plan)
{
    const struct passo_pass_shape shape = {.passage = &setup->passage,
                                           .loop = passo_plan_loop(&setup->passage, plan),
                                           .pulse = &setup->pulse,
                                           .mbpm = plan->mbpm,
                                           .thin = (enum passo_thin)plan->thin,
                                           .all_bars = plan->rung % 2 == 0,
                                           .seed = plan->rung};
    check_span(&shape);
    if (clicks_at_most(setup, shape.loop) <= CLICKS_MAX)
        check_timeline(&shape);
}
