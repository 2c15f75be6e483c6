/* The course: stages one after the other, each a ladder made ready when it begins, because a stage
 * may look back at what earlier ones gave. passo_course_apply() is the one function that changes
 * the state: it lets the stage's ladder work the event in and, when that has ended in a way that
 * leads on, begins the next stage. Pure; any thread. */
#include <passo/course.h>

#include "engine/ladder_priv.h"

#include <stdio.h>
#include <string.h>

/* --- what a stage looks back at --- */

/* The result that is looked at, of the stages before `stage`; 0 if none of them gave one. */
static int32_t result_looked_at(const struct passo_course_state *state, uint8_t stage,
                                enum passo_look look)
{
    int32_t found = 0;
    for (uint8_t i = 0; i < stage; i++) {
        const int32_t result = state->result_mbpm[i];
        const bool better = look == PASSO_LOOK_LOWER    ? result < found
                            : look == PASSO_LOOK_HIGHER ? result > found
                                                        : true;
        if (result && (!found || better))
            found = result;
    }
    return found;
}

static int32_t look_back(const struct passo_course_state *state, uint8_t stage,
                         struct passo_look_back back, int32_t least_mbpm, int32_t most_mbpm)
{
    const int64_t result = result_looked_at(state, stage, back.look);
    const int64_t mbpm = (result * back.permille + 5000) / 10000 * 10; /* to a hundredth, half up */
    return mbpm < least_mbpm ? least_mbpm : mbpm > most_mbpm ? most_mbpm : (int32_t)mbpm;
}

/* The stage's rule with the tempos that it looks back for, kept playable. */
static void settle(const struct passo_course *course, const struct passo_course_state *state,
                   uint8_t index, struct passo_rule *out_rule)
{
    const struct passo_stage *stage = &course->stage[index];
    *out_rule = stage->rule;
    if (stage->target.look)
        out_rule->target_mbpm =
            look_back(state, index, stage->target, PASSO_TEMPO_MIN_MBPM, stage->rule.target_mbpm);
    if (stage->start.look) {
        int32_t most = out_rule->target_mbpm;
        if (out_rule->ceiling_mbpm && out_rule->ceiling_mbpm < most)
            most = out_rule->ceiling_mbpm;
        out_rule->start_mbpm = look_back(state, index, stage->start, PASSO_TEMPO_MIN_MBPM, most);
    } else if (out_rule->start_mbpm > out_rule->target_mbpm) {
        out_rule->start_mbpm = out_rule->target_mbpm;
    }
}

/* --- from stage to stage --- */

/* What runs over the whole climb goes with it into the next stage. */
static void carry_over(const struct passo_ladder_state *from, struct passo_ladder_state *to)
{
    to->passes = from->passes;
    to->misses_run = from->misses_run;
    to->recent = from->recent;
    to->recent_marks = from->recent_marks;
    to->unmarked_run = from->unmarked_run;
    to->assumed_run = from->assumed_run;
    to->extended = from->extended;
}

static void enter(const struct passo_course *course, struct passo_course_state *state,
                  uint8_t index)
{
    struct passo_rule rule;
    settle(course, state, index, &rule);
    state->stage = index;
    PASSO_BUG_ON(passo_ladder_init(&state->ladder, &rule, course->stage[index].turns, NULL, 0) !=
                 PASSO_OK);
    passo_ladder_begin(&state->ladder, &state->now);
}

static void next_stage(const struct passo_course *course, struct passo_course_state *state,
                       int64_t elapsed_ms)
{
    const struct passo_ladder_state ended = state->now;
    if (!course->stage[state->stage].target.look)
        state->result_mbpm[state->stage] = passo_ladder_best_mbpm(&state->ladder, &state->now);
    enter(course, state, (uint8_t)(state->stage + 1));
    carry_over(&ended, &state->now);
    state->now.stage_from_ms = elapsed_ms;
}

static bool has_next(const struct passo_course *course, const struct passo_course_state *state)
{
    return state->stage + 1u < course->stages;
}

/* The stage's ladder is done: on to the next stage if it ended so. */
static void lead_on(const struct passo_course *course, struct passo_course_state *state,
                    const struct passo_ladder_event *event, struct passo_decision *decision)
{
    if (event->type == PASSO_LADDER_QUIT)
        state->now.outcome = PASSO_OUTCOME_QUIT;
    if (event->type == PASSO_LADDER_QUIT || !ladder_stage_is_over(&state->now))
        return;
    next_stage(course, state, event->elapsed_ms);
    if (decision->reason == PASSO_REASON_TARGET_WON)
        decision->reason = PASSO_REASON_NEXT_STAGE;
}

struct passo_decision passo_course_apply(const struct passo_course *course,
                                         struct passo_course_state *state,
                                         const struct passo_ladder_event *event)
{
    struct passo_ladder_event here = *event;
    if (event->type == PASSO_LADDER_PASS && event->stage != state->stage)
        here.part = PASSO_PART_COUNT; /* no part of this stage: played elsewhere */
    const bool was_done = state->now.part == PASSO_PART_DONE;
    const uint8_t stage = state->stage;
    if (event->type == PASSO_LADDER_TURN && state->ladder.turns == 1 && has_next(course, state) &&
        ladder_is_climbing(&state->now)) {
        struct passo_decision decision = {.move = PASSO_MOVE_HELD,
                                          .reason = PASSO_REASON_BY_HAND,
                                          .stage = state->stage,
                                          .cleans = state->now.cleans,
                                          .from_mbpm = passo_course_next(course, state).mbpm};
        next_stage(course, state, event->elapsed_ms);
        state->now.unmarked_run = 0;
        state->now.assumed_run = 0;
        decision.to_mbpm = passo_course_next(course, state).mbpm;
        return decision;
    }
    struct passo_decision decision = passo_ladder_apply(&state->ladder, &state->now, &here);
    if (!was_done && state->now.part == PASSO_PART_DONE && has_next(course, state)) {
        lead_on(course, state, event, &decision);
        decision.to_mbpm = passo_course_next(course, state).mbpm;
    }
    decision.stage = stage;
    return decision;
}

bool passo_course_ceiling_won(const struct passo_course *course,
                              const struct passo_course_state *state)
{
    const struct passo_ladder *ladder = &state->ladder;
    return !has_next(course, state) && ladder->highest + 1 < ladder->rungs &&
           state->now.best_rung >= (int32_t)ladder->highest;
}

void passo_course_begin(const struct passo_course *course, struct passo_course_state *out_state)
{
    /* Padding too: two states of the same events are equal byte for byte. */
    memset(out_state, 0, sizeof *out_state);
    enter(course, out_state, 0);
}

void passo_course_replay(const struct passo_course *course, const struct passo_ladder_event *event,
                         size_t events, struct passo_course_state *out_state,
                         struct passo_decision *out_last)
{
    struct passo_decision last = {0};
    passo_course_begin(course, out_state);
    for (size_t i = 0; i < events; i++)
        last = passo_course_apply(course, out_state, &event[i]);
    if (out_last)
        *out_last = last;
}

/* --- what is to be played --- */

struct passo_plan passo_course_next(const struct passo_course *course,
                                    const struct passo_course_state *state)
{
    struct passo_plan plan = passo_ladder_next(&state->ladder, &state->now);
    plan.stage = state->stage;
    passo_plan_place(course, &plan);
    return plan;
}

void passo_plan_place(const struct passo_course *course, struct passo_plan *plan)
{
    const struct passo_stage *stage = &course->stage[plan->stage];
    plan->loop = 0;
    plan->variant = 0;
    if (plan->part == PASSO_PART_CONTEXT) {
        plan->loop = PASSO_LOOP_CONTEXT;
    } else if (plan->part != PASSO_PART_COLD) {
        plan->variant = stage->turn[plan->turn].variant;
        plan->loop = stage->rule.climbs == PASSO_CLIMBS_LENGTH ? stage->length[plan->rung]
                                                               : stage->turn[plan->turn].loop;
    }
}

const struct passo_loop *passo_plan_loop(const struct passo_passage *passage,
                                         const struct passo_plan *plan)
{
    return plan->loop == PASSO_LOOP_CONTEXT ? &passage->context : &passage->loop[plan->loop];
}

const struct passo_variant *passo_plan_variant(const struct passo_passage *passage,
                                               const struct passo_plan *plan)
{
    return &passage->variant[plan->variant];
}
