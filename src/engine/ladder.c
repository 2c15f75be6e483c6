/* The ladder's course: which kind of pass is next and what an event does to it. A climb runs
 * [cold] -> climb (with anchors between) -> over -> close -> context -> done; a counted mark of
 * the climbing goes to ladder_climb.c. State is a plain value and passo_ladder_apply() the one
 * function that changes it, so replay, undo and resume are the same thing. Pure; any thread. */
#include "engine/ladder_priv.h"

#include <string.h>

#define EASY_REST_MS   90000
#define UNMARKED_PAUSE 3
#define ASSUMED_HOLD   6

enum passo_error passo_ladder_init(struct passo_ladder *out_ladder, const struct passo_rule *rule,
                                   size_t turns, char *out_fault, size_t fault_bytes)
{
    struct ladder_fault fault = {out_fault, fault_bytes};
    if (out_fault && fault_bytes)
        out_fault[0] = '\0';
    memset(out_ladder, 0, sizeof *out_ladder);
    out_ladder->rule = *rule;
    enum passo_error error = ladder_check(&out_ladder->rule, turns, &fault);
    if (error)
        return error;
    out_ladder->turns = (uint8_t)turns;
    return ladder_rungs(out_ladder, &fault);
}

void passo_ladder_begin(const struct passo_ladder *ladder, struct passo_ladder_state *out_state)
{
    /* Padding too: two states of the same events are equal byte for byte. */
    memset(out_state, 0, sizeof *out_state);
    out_state->part = ladder->rule.cold ? PASSO_PART_COLD : PASSO_PART_CLIMB;
    out_state->best_rung = -1;
    out_state->best_clean_rung = -1;
    out_state->over_left = ladder->rule.over_passes;
    out_state->close_left = ladder->rule.close_clean;
    out_state->outcome = PASSO_OUTCOME_OPEN;
}

int32_t passo_ladder_best_mbpm(const struct passo_ladder *ladder,
                               const struct passo_ladder_state *state)
{
    return ladder->rung_mbpm[state->best_rung < 0 ? 0 : state->best_rung];
}

static void plan_tempo(const struct passo_ladder *ladder, const struct passo_ladder_state *state,
                       struct passo_plan *plan)
{
    const struct passo_rule *rule = &ladder->rule;
    const uint16_t top = (uint16_t)(ladder->rungs - 1);
    switch (plan->part) {
    case PASSO_PART_COLD:
    case PASSO_PART_CLOSE:
        plan->rung = top;
        plan->mbpm = rule->target_mbpm;
        return;
    case PASSO_PART_ANCHOR:
        plan->mbpm = passo_tempo_share(rule->target_mbpm, rule->anchor_permille);
        return;
    case PASSO_PART_OVER:
        plan->rung = top;
        plan->mbpm = passo_tempo_share(rule->target_mbpm, rule->over_permille);
        return;
    case PASSO_PART_CONTEXT:
        plan->rung = (uint16_t)(state->best_rung < 0 ? 0 : state->best_rung);
        plan->mbpm = ladder->rung_mbpm[plan->rung];
        return;
    case PASSO_PART_CLIMB:
    case PASSO_PART_EASY:
    case PASSO_PART_DONE:
    case PASSO_PART_COUNT:
        plan->mbpm = ladder->rung_mbpm[state->rung];
        return;
    }
}

struct passo_plan passo_ladder_next(const struct passo_ladder *ladder,
                                    const struct passo_ladder_state *state)
{
    const bool waits = ladder->rule.unmarked == PASSO_UNMARKED_WAIT && state->unmarked_run;
    struct passo_plan plan = {
        .part = state->part,
        .rung = state->rung,
        .turn = state->part == PASSO_PART_ANCHOR ? state->anchor_turn : state->turn,
        .as_written = state->part == PASSO_PART_COLD || state->part == PASSO_PART_CONTEXT,
        .rest_ms = state->part == PASSO_PART_EASY ? EASY_REST_MS : 0,
    };
    if (plan.part != PASSO_PART_DONE) {
        plan.wait = waits || state->assumed_run >= ASSUMED_HOLD;
        plan.pause = state->unmarked_run >= UNMARKED_PAUSE;
    }
    plan_tempo(ladder, state, &plan);
    return plan;
}

/* Takes an unmarked pass as the rule says; false when it stays unmarked. */
static bool assume(const struct passo_rule *rule, struct passo_ladder_state *state,
                   enum passo_mark *mark)
{
    if (rule->unmarked == PASSO_UNMARKED_MISS) {
        *mark = PASSO_MARK_MISS;
        return true;
    }
    if (rule->unmarked != PASSO_UNMARKED_CLEAN || state->assumed_run >= ASSUMED_HOLD)
        return false;
    *mark = PASSO_MARK_CLEAN;
    state->assumed_run++;
    return true;
}

/* Over and close end early when the time is up; the climb stays won. */
static void uncounted_past_target(const struct passo_ladder *ladder,
                                  struct passo_ladder_state *state,
                                  const struct passo_ladder_event *event, enum passo_mark mark)
{
    if (state->part == PASSO_PART_OVER)
        state->over_left--;
    else if (mark == PASSO_MARK_CLEAN)
        state->close_left--;
    if (ladder_time_up(&ladder->rule, event))
        ladder_finish(ladder, state);
    else
        ladder_past_target(ladder, state);
}

/* A pass that never moves the ladder (11): only the course goes on. */
static void uncounted(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      const struct passo_ladder_event *event, enum passo_mark mark,
                      struct passo_decision *decision)
{
    decision->reason = PASSO_REASON_UNCOUNTED;
    switch (state->part) {
    case PASSO_PART_COLD:
        state->part = PASSO_PART_CLIMB;
        return;
    case PASSO_PART_ANCHOR:
        state->part = state->resume;
        if (ladder_time_up(&ladder->rule, event)) {
            state->outcome = PASSO_OUTCOME_TIME;
            ladder_finish(ladder, state);
            decision->move = PASSO_MOVE_STOPPED;
            decision->reason = PASSO_REASON_TIME;
        }
        return;
    case PASSO_PART_OVER:
    case PASSO_PART_CLOSE:
        uncounted_past_target(ladder, state, event, mark);
        return;
    case PASSO_PART_CONTEXT:
        if (--state->finish_left == 0)
            state->part = PASSO_PART_DONE;
        return;
    case PASSO_PART_EASY:
        state->part = PASSO_PART_DONE;
        return;
    case PASSO_PART_CLIMB:
    case PASSO_PART_DONE:
    case PASSO_PART_COUNT:
        return;
    }
}

static bool played_here(const struct passo_ladder_state *state,
                        const struct passo_ladder_event *event)
{
    if (event->part != state->part)
        return false;
    return state->part != PASSO_PART_CLIMB ||
           (event->rung == state->rung && event->turn == state->turn);
}

/* A mark by key shows that the player is there; an unmarked pass is counted until the pause, which
 * is said once. Anchors are not marked. */
static void note_presence(struct passo_ladder_state *state, const struct passo_ladder_event *event,
                          enum passo_mark mark)
{
    if (event->mark != PASSO_MARK_NONE) {
        state->unmarked_run = 0;
        state->assumed_run = 0;
    } else if (mark == PASSO_MARK_NONE && event->part != PASSO_PART_ANCHOR) {
        state->unmarked_run++;
    }
}

static void pass(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, struct passo_decision *decision)
{
    const bool here = played_here(state, event);
    enum passo_mark mark = event->mark;
    if (state->unmarked_run >= UNMARKED_PAUSE)
        state->unmarked_run = 0;
    if (mark == PASSO_MARK_NONE && here && event->part != PASSO_PART_ANCHOR)
        decision->assumed = assume(&ladder->rule, state, &mark);
    note_presence(state, event, mark);
    decision->cleans = state->cleans;
    const bool asks = state->part == PASSO_PART_CLIMB || state->part == PASSO_PART_CLOSE;
    if (mark == PASSO_MARK_VOID)
        decision->reason = PASSO_REASON_VOID;
    else if (mark == PASSO_MARK_NONE && (asks || !here))
        decision->reason = PASSO_REASON_UNMARKED;
    else if (!here)
        decision->reason = PASSO_REASON_ELSEWHERE;
    else if (state->part == PASSO_PART_CLIMB)
        ladder_climb(ladder, state, event, mark == PASSO_MARK_CLEAN, decision);
    else
        uncounted(ladder, state, event, mark, decision);
}

static bool climbing(const struct passo_ladder_state *state)
{
    return state->part == PASSO_PART_CLIMB || state->part == PASSO_PART_ANCHOR;
}

/* One rung by hand; at an end nothing moves and nothing is cleared (12). */
static void by_hand(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                    bool harder, struct passo_decision *decision)
{
    decision->reason = PASSO_REASON_BY_HAND;
    decision->move = PASSO_MOVE_HELD;
    if (state->rung == (harder ? ladder->rungs - 1 : 0))
        return;
    state->rung = (uint16_t)(harder ? state->rung + 1 : state->rung - 1);
    ladder_clear_rung(ladder, state);
    decision->move = harder ? PASSO_MOVE_HARDER : PASSO_MOVE_EASIER;
}

static void turn_by_hand(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                         struct passo_decision *decision)
{
    decision->reason = PASSO_REASON_BY_HAND;
    decision->move = PASSO_MOVE_HELD;
    if (ladder->turns == 1)
        return;
    state->turn = (uint8_t)((state->turn + 1) % ladder->turns);
    ladder_clear_turn(state);
}

static void hand(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, struct passo_decision *decision)
{
    if (!climbing(state))
        return;
    decision->cleans = state->cleans;
    state->unmarked_run = 0;
    state->assumed_run = 0;
    if (event->type == PASSO_LADDER_TURN)
        turn_by_hand(ladder, state, decision);
    else
        by_hand(ladder, state, event->type == PASSO_LADDER_HARDER, decision);
}

static void quit(struct passo_ladder_state *state, struct passo_decision *decision)
{
    state->part = PASSO_PART_DONE;
    if (state->outcome != PASSO_OUTCOME_WON)
        state->outcome = PASSO_OUTCOME_QUIT;
    decision->move = PASSO_MOVE_STOPPED;
    decision->reason = PASSO_REASON_QUIT;
}

struct passo_decision passo_ladder_apply(const struct passo_ladder *ladder,
                                         struct passo_ladder_state *state,
                                         const struct passo_ladder_event *event)
{
    struct passo_decision decision = {.from_mbpm = passo_ladder_next(ladder, state).mbpm};
    if (state->part != PASSO_PART_DONE) {
        switch (event->type) {
        case PASSO_LADDER_PASS:
            pass(ladder, state, event, &decision);
            break;
        case PASSO_LADDER_EASIER:
        case PASSO_LADDER_HARDER:
        case PASSO_LADDER_TURN:
            hand(ladder, state, event, &decision);
            break;
        case PASSO_LADDER_QUIT:
            quit(state, &decision);
            break;
        case PASSO_LADDER_EVENT_COUNT:
            break;
        }
    }
    decision.to_mbpm = passo_ladder_next(ladder, state).mbpm;
    return decision;
}

void passo_ladder_replay(const struct passo_ladder *ladder, const struct passo_ladder_event *event,
                         size_t events, struct passo_ladder_state *out_state,
                         struct passo_decision *out_last)
{
    struct passo_decision last = {0};
    passo_ladder_begin(ladder, out_state);
    for (size_t i = 0; i < events; i++)
        last = passo_ladder_apply(ladder, out_state, &event[i]);
    if (out_last)
        *out_last = last;
}
