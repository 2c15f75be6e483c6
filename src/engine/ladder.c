/* The ladder's course: which kind of pass is next and what an event does to it. A climb runs
 * [cold] -> climb (with anchors between) -> over -> close -> context -> put away -> done; a counted
 * mark of the climbing goes to ladder_climb.c, any other pass to ladder_around.c; a check or a
 * block, which do not climb, to ladder_once.c. State is a plain
 * value and passo_ladder_apply() the one function that changes it, so replay, undo and resume are
 * the same thing. Pure; any thread. */
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
    error = ladder_rungs(out_ladder, &fault);
    if (!error)
        ladder_open(out_ladder);
    return error;
}

void passo_ladder_begin(const struct passo_ladder *ladder, struct passo_ladder_state *out_state)
{
    /* Padding too: two states of the same events are equal byte for byte. */
    memset(out_state, 0, sizeof *out_state);
    out_state->part = ladder->rule.cold ? PASSO_PART_COLD : PASSO_PART_CLIMB;
    out_state->rung = ladder->opening;
    out_state->edge_clean = -1;
    out_state->edge_miss = ladder->rungs;
    out_state->best_rung = -1;
    out_state->best_clean_rung = -1;
    out_state->over_left = ladder->rule.over_passes;
    out_state->close_left = ladder->rule.close_thins ? 1 : ladder->rule.close_clean;
    out_state->thin = PASSO_THIN_NONE;
    out_state->outcome = PASSO_OUTCOME_OPEN;
    if (ladder->rule.climbs == PASSO_CLIMBS_MIXED)
        ladder_mixed_begin(ladder, out_state);
}

/* An edge that not even the start gave is the start, wherever the search opened. */
static uint16_t best_rung(const struct passo_ladder *ladder, const struct passo_ladder_state *state)
{
    if (state->best_rung >= 0)
        return (uint16_t)state->best_rung;
    return state->outcome == PASSO_OUTCOME_EDGE ? 0 : ladder->opening;
}

int32_t passo_ladder_best_mbpm(const struct passo_ladder *ladder,
                               const struct passo_ladder_state *state)
{
    return ladder->rung_mbpm[best_rung(ladder, state)];
}

/* No higher than the teacher lets it be today. */
static int32_t today(const struct passo_rule *rule, int32_t mbpm)
{
    return rule->ceiling_mbpm && rule->ceiling_mbpm < mbpm ? rule->ceiling_mbpm : mbpm;
}

static int32_t share_today(const struct passo_rule *rule, int32_t permille)
{
    return today(rule, passo_tempo_share(ladder_full_mbpm(rule), permille));
}

/* The rung and the tempo of a pass; state->rung is that of a pass of the climbing. */
static void plan_tempo(const struct passo_ladder *ladder, const struct passo_ladder_state *state,
                       struct passo_plan *plan)
{
    const struct passo_rule *rule = &ladder->rule;
    const bool won = state->outcome == PASSO_OUTCOME_WON;
    const bool best = plan->part == PASSO_PART_CONTEXT || (plan->part == PASSO_PART_CLOSE && !won);
    if (best)
        plan->rung = best_rung(ladder, state);
    else if (plan->part == PASSO_PART_COLD || plan->part == PASSO_PART_OVER ||
             plan->part == PASSO_PART_CLOSE)
        plan->rung = ladder->highest;
    plan->mbpm = ladder->rung_mbpm[plan->rung];
    if (plan->part == PASSO_PART_COLD)
        plan->mbpm = today(rule, rule->target_mbpm);
    else if (plan->part == PASSO_PART_ANCHOR)
        plan->mbpm = share_today(rule, rule->anchor_permille);
    else if (plan->part == PASSO_PART_OVER)
        plan->mbpm = passo_tempo_share(rule->target_mbpm, rule->over_permille);
    else if (plan->part == PASSO_PART_EASY && state->outcome != PASSO_OUTCOME_TIRED)
        plan->mbpm = share_today(rule, rule->put_away_permille);
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
        .thin = state->part == PASSO_PART_CLOSE ? state->thin : PASSO_THIN_NONE,
    };
    if (plan.part == PASSO_PART_EASY && state->outcome == PASSO_OUTCOME_TIRED)
        plan.rest_ms = EASY_REST_MS;
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

bool ladder_is_here(const struct passo_ladder_state *state, const struct passo_ladder_event *event)
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

bool ladder_is_climbing(const struct passo_ladder_state *state)
{
    return state->part == PASSO_PART_CLIMB || state->part == PASSO_PART_ANCHOR;
}

static void pass(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, struct passo_decision *decision)
{
    if (passo_rule_is_once(&ladder->rule)) {
        ladder_once(ladder, state, event, decision);
        return;
    }
    const bool here = ladder_is_here(state, event);
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
        ladder_around(ladder, state, event, mark, decision);
    /* Time runs whatever the player says of a pass. */
    const bool nothing =
        decision->reason == PASSO_REASON_VOID || decision->reason == PASSO_REASON_UNMARKED;
    if (nothing && ladder_is_climbing(state))
        (void)ladder_stop_time(ladder, state, event, decision);
}

static uint16_t rung_by_hand(const struct passo_ladder *ladder,
                             const struct passo_ladder_state *state, bool harder)
{
    if (ladder->rule.climbs == PASSO_CLIMBS_MIXED)
        return ladder_mixed_by_hand(ladder, state, harder);
    if (ladder->rule.climbs == PASSO_CLIMBS_EDGE)
        return ladder_edge_by_hand(ladder, state, harder);
    if (state->rung == (harder ? ladder->highest : 0))
        return state->rung;
    return (uint16_t)(harder ? state->rung + 1 : state->rung - 1);
}

/* One rung by hand; at an end nothing moves and nothing is cleared (12). */
static void by_hand(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                    bool harder, struct passo_decision *decision)
{
    const uint16_t rung = rung_by_hand(ladder, state, harder);
    ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    if (rung == state->rung)
        return;
    state->rung = rung;
    ladder_clear_rung(ladder, state);
    decision->move = harder ? PASSO_MOVE_HARDER : PASSO_MOVE_EASIER;
}

static void turn_by_hand(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                         struct passo_decision *decision)
{
    ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_BY_HAND);
    if (ladder->turns == 1)
        return;
    state->turn = (uint8_t)((state->turn + 1) % ladder->turns);
    ladder_clear_turn(state);
}

static void hand(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, struct passo_decision *decision)
{
    if (!ladder_is_climbing(state) || passo_rule_is_once(&ladder->rule))
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
    ladder_decide(decision, PASSO_MOVE_STOPPED, PASSO_REASON_QUIT);
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
        case PASSO_LADDER_EXTEND:
            ladder_extend(ladder, state, &decision);
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
