/* For the tests of a day's items: the cues that are sent and the passes that are built, on their
 * way to the player; and the two kinds of items. The test's link wraps both calls. */
#ifndef PASSO_TESTS_SESSION_ITEMS_HEARD_H
#define PASSO_TESTS_SESSION_ITEMS_HEARD_H

#include "items.h"

/* --- cues, as they are sent --- */

enum passo_error __real_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at);
enum passo_error __wrap_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at);

static size_t cues[PASSO_CUE_COUNT];

enum passo_error __wrap_passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                         int64_t at)
{
    cues[cue]++;
    return __real_passo_player_cue(player, cue, at);
}

/* --- passes, as they are built --- */

struct passo_timeline *__real_passo_timeline_build(const struct passo_pass_shape *shape,
                                                   uint64_t id, struct passo_instant start,
                                                   uint32_t rate_hz);
struct passo_timeline *__wrap_passo_timeline_build(const struct passo_pass_shape *shape,
                                                   uint64_t id, struct passo_instant start,
                                                   uint32_t rate_hz);

static uint64_t last_id;
static struct passo_tone last_tone;
static bool last_no_clicks;

struct passo_timeline *__wrap_passo_timeline_build(const struct passo_pass_shape *shape,
                                                   uint64_t id, struct passo_instant start,
                                                   uint32_t rate_hz)
{
    assert_true(id > last_id); /* also of a new climb on the same stream */
    last_id = id;
    last_tone = shape->drone[0];
    last_no_clicks = shape->no_clicks;
    return __real_passo_timeline_build(shape, id, start, rate_hz);
}

static inline struct stage *begin_day(void)
{
    memset(cues, 0, sizeof cues);
    last_id = 0;
    return stage_new();
}

/* --- items --- */

/* Four quarters at 60 and their landing: a pass is 4 s of count-in and 5 s of playing, its rest 6 s
 * by the least there is. */
static inline struct passo_setup *block(uint16_t passes)
{
    static const char *const options[] = {"title", "flow study", "bars", "1-1", "target",
                                          "60",    "volume",     "40 %", NULL};
    struct passo_setup *setup = stage_setup(options);
    stage_once(setup, PASSO_CLIMBS_BLOCK, 1000);
    setup->course.stage[0].rule.stop_passes = passes;
    return setup;
}

/* A visit with a small ladder. */
static inline struct passo_setup *visit(const char *stop)
{
    const char *const options[] = {"title",  "The run up to the trio",
                                   "bars",   "7-7",
                                   "target", "60",
                                   "start",  "50",
                                   "steps",  "5 bpm",
                                   "raise",  "1 clean in a row",
                                   "finish", "none",
                                   "stop",   stop,
                                   "volume", "40 %",
                                   NULL};
    return stage_setup(options);
}

#endif
