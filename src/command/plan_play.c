/* A course as it is if every pass is clean: its ladders, and how long it takes. */
#include "command/plan_ladder.h"
#include "command/plan_times.h"

#include <stdlib.h>

enum {
    PASSES_MAX = 100000,
    LAST_WORD_MS = 60000 /* the time is told once: when less than this or a fifth of it is left */
};

static void keep_ladder(const struct passo_ladder *ladder, struct passo_ladder **kept)
{
    if (*kept)
        return;
    *kept = passo_xcalloc(1, sizeof **kept);
    **kept = *ladder;
}

static void keep_rest(const struct passo_course *course, struct plan_stages *stages)
{
    struct passo_ladder *ladder = passo_xcalloc(1, sizeof *ladder);
    for (size_t i = 0; i < course->stages; i++) {
        const struct passo_stage *stage = &course->stage[i];
        if (!stage->start.look && !stage->target.look &&
            passo_ladder_init(ladder, &stage->rule, stage->turns, NULL, 0) == PASSO_OK)
            keep_ladder(ladder, &stages->ladder[i]);
    }
    free(ladder);
}

/* A walk through the course. */
struct walk {
    struct plan_hearing hearing;
    int64_t total_ns;
    int64_t played_ns;
    int64_t lead_ns; /* before the first count-in: no time of the climb's */
    int64_t rest_ns; /* that the rule gives to the pass before */
    bool time_told;
};

/* Whether the conductor tells in this rest that the time is nearly up. */
static bool tells_time(struct walk *walk, const struct passo_course_state *state,
                       const struct passo_plan *next)
{
    const int64_t stop_ms = passo_ladder_stop_ms(&state->ladder, &state->now);
    const int64_t last_ms = stop_ms / 5 < LAST_WORD_MS ? stop_ms / 5 : LAST_WORD_MS;
    const int64_t elapsed_ms = (walk->total_ns - walk->lead_ns) / PLAN_NS_A_MS;
    if (walk->time_told || walk->total_ns == 0 || stop_ms == 0 ||
        passo_rule_is_once(&state->ladder.rule) || next->part != PASSO_PART_CLIMB ||
        elapsed_ms < stop_ms - last_ms)
        return false;
    walk->time_told = true;
    return true;
}

/* One pass with what comes before it. */
static void walk_pass(struct walk *walk, const struct passo_setup *setup,
                      const struct passo_plan *next, const struct passo_course_state *state)
{
    const struct passo_pass_shape shape =
        plan_shape(setup, passo_plan_loop(&setup->passage, next), next->mbpm);
    const struct plan_times times = plan_times(&shape, &state->ladder.rule);
    const bool due = plan_hearing_is_due(&walk->hearing, next);
    const int64_t before_ns = plan_hearing_ns(&walk->hearing, due, &times);
    const bool tells = tells_time(walk, state, next);
    if (walk->total_ns == 0)
        walk->total_ns = walk->lead_ns = before_ns;
    else
        walk->total_ns += plan_rest_ns(walk->rest_ns, before_ns, tells);
    walk->total_ns += times.count_in_ns + times.play_ns;
    walk->played_ns += times.play_ns;
    walk->rest_ns = times.rest_ns;
    plan_hearing_played(&walk->hearing, next);
}

static void apply_clean(const struct walk *walk, const struct passo_course *course,
                        struct passo_course_state *state, const struct passo_plan *played)
{
    const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                             .mark = PASSO_MARK_CLEAN,
                                             .part = played->part,
                                             .rung = played->rung,
                                             .turn = played->turn,
                                             .stage = played->stage,
                                             .elapsed_ms =
                                                 (walk->total_ns - walk->lead_ns) / PLAN_NS_A_MS,
                                             .played_ms = walk->played_ns / PLAN_NS_A_MS};
    passo_course_apply(course, state, &event);
}

void plan_stages_play(const struct passo_setup *setup, struct plan_stages *out_stages)
{
    const struct passo_course *course = &setup->course;
    struct passo_course_state *state = passo_xcalloc(1, sizeof *state);
    struct walk walk = {0};
    *out_stages = (struct plan_stages){.stages = course->stages};
    plan_hearing_init(&walk.hearing, setup);
    passo_course_begin(course, state);
    while (!out_stages->ceiling && out_stages->passes < PASSES_MAX) {
        const struct passo_plan next = passo_course_next(course, state);
        if (next.part == PASSO_PART_DONE)
            break;
        keep_ladder(&state->ladder, &out_stages->ladder[state->stage]);
        walk_pass(&walk, setup, &next, state);
        apply_clean(&walk, course, state, &next);
        out_stages->passes++;
        out_stages->ceiling = passo_course_ceiling_won(course, state);
    }
    out_stages->total_ms = walk.total_ns / PLAN_NS_A_MS;
    out_stages->played_ms = walk.played_ns / PLAN_NS_A_MS;
    out_stages->outcome = state->now.outcome;
    keep_rest(course, out_stages);
    plan_hearing_deinit(&walk.hearing);
    free(state);
}

void plan_stages_deinit(struct plan_stages *stages)
{
    for (size_t i = 0; i < stages->stages; i++)
        free(stages->ladder[i]);
}
