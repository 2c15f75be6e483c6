/* The times of a climb that is only planned: what a pass takes, and what its rest must have room
 * for. The numbers are the conductor's; tests/command/test_plan.c plays both. */
#include "command/plan_times.h"

#include <stdlib.h>

/* Before the count-in: the end of a hearing, the beginning of the starting note; and how long after
 * a pass nothing of that sounds, of a rest in which the time is told too. */
#define HEARD_BEFORE_NS (3500 * PLAN_NS_A_MS)
#define START_BEFORE_NS (2000 * PLAN_NS_A_MS)
#define CLEAR_NS        (1500 * PLAN_NS_A_MS)
#define TIME_TOLD_NS    (2500 * PLAN_NS_A_MS)

#define NS_A_SECOND (1000 * PLAN_NS_A_MS)

struct passo_pass_shape plan_shape(const struct passo_setup *setup, const struct passo_loop *loop,
                                   int32_t mbpm)
{
    return (struct passo_pass_shape){
        .passage = &setup->passage, .loop = loop, .pulse = &setup->pulse, .mbpm = mbpm};
}

/* Whole seconds apart, so that no product overflows. */
static struct passo_instant instant_of(int64_t ns)
{
    return (struct passo_instant){
        ns / NS_A_SECOND * PLAN_RATE_HZ + ns % NS_A_SECOND * PLAN_RATE_HZ / NS_A_SECOND, 0};
}

struct plan_times plan_times(const struct passo_pass_shape *shape, const struct passo_rule *rule)
{
    const struct passo_pass_times times = passo_pass_times(shape);
    const struct passo_instant rest =
        passo_rule_rest(rule, instant_of(times.played_ns), PLAN_RATE_HZ);
    return (struct plan_times){.count_in_ns = times.count_in_ns,
                               .play_ns = times.played_ns,
                               .rest_ns = passo_instant_ns(rest, PLAN_RATE_HZ)};
}

void plan_hearing_init(struct plan_hearing *out_hearing, const struct passo_setup *setup)
{
    *out_hearing = (struct plan_hearing){.setup = setup};
    if (setup->notes.notes)
        out_hearing->varied = passo_xcalloc(1, sizeof *out_hearing->varied);
}

void plan_hearing_deinit(struct plan_hearing *hearing)
{
    free(hearing->varied);
    free(hearing->played);
    *hearing = (struct plan_hearing){0};
}

/* An anchor is what was just played, and a run in context is the player's own. */
static bool counts(const struct passo_plan *plan)
{
    return plan->part != PASSO_PART_ANCHOR && plan->part != PASSO_PART_CONTEXT;
}

static struct plan_played played_of(const struct plan_hearing *hearing,
                                    const struct passo_plan *plan)
{
    const struct passo_passage *passage = &hearing->setup->passage;
    return (struct plan_played){.mbpm = plan->mbpm,
                                .loop = passo_plan_loop(passage, plan),
                                .variant = passo_plan_variant(passage, plan)};
}

bool plan_hearing_can(struct plan_hearing *hearing, const struct passo_plan *plan)
{
    const struct passo_passage *passage = &hearing->setup->passage;
    const struct plan_played next = played_of(hearing, plan);
    if (!hearing->varied)
        return false;
    if (hearing->varied_of != next.variant)
        passo_notes_vary(&hearing->setup->notes, passage, next.variant, hearing->varied);
    hearing->varied_of = next.variant;
    return passo_notes_first(hearing->varied, passage, next.loop) != NULL;
}

/* The first at its tempo since the climb came to it, or there in this loop and variant. */
static bool is_new(const struct plan_hearing *hearing, const struct passo_plan *plan)
{
    const struct plan_played next = played_of(hearing, plan);
    for (size_t i = hearing->passes; i-- > 0;) {
        const struct plan_played *played = &hearing->played[i];
        if (played->mbpm != next.mbpm)
            return true;
        if (played->loop == next.loop && played->variant == next.variant)
            return false;
    }
    return true;
}

bool plan_hearing_is_due(struct plan_hearing *hearing, const struct passo_plan *plan)
{
    const enum passo_hear hear = hearing->setup->intonation.hear;
    return hear != PASSO_HEAR_OFF && counts(plan) && plan_hearing_can(hearing, plan) &&
           (hear == PASSO_HEAR_EVERY_PASS || is_new(hearing, plan));
}

void plan_hearing_played(struct plan_hearing *hearing, const struct passo_plan *plan)
{
    const size_t passes = hearing->passes;
    if (hearing->setup->intonation.hear != PASSO_HEAR_NEW_RUNG || !counts(plan))
        return;
    /* Room grows in powers of two: the count alone tells when it is full. */
    if ((passes & (passes - 1)) == 0)
        hearing->played =
            passo_xrealloc(hearing->played, (passes ? passes * 2 : 1) * sizeof *hearing->played);
    hearing->played[hearing->passes++] = played_of(hearing, plan);
}

int64_t plan_hearing_ns(const struct plan_hearing *hearing, bool is_heard,
                        const struct plan_times *times)
{
    if (is_heard)
        return times->count_in_ns + times->play_ns + HEARD_BEFORE_NS;
    return passo_intonation_starts(&hearing->setup->intonation, hearing->setup->notes.notes > 0)
               ? START_BEFORE_NS
               : 0;
}

int64_t plan_rest_ns(int64_t ruled_ns, int64_t hearing_ns, bool tells_time)
{
    const int64_t clear_ns = tells_time ? TIME_TOLD_NS : CLEAR_NS;
    const int64_t least = hearing_ns ? clear_ns + hearing_ns : 0;
    return ruled_ns < least ? least : ruled_ns;
}
