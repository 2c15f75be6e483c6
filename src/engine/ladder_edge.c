/* The search for the edge: up a step with each clean pass (with several turns a clean round) until
 * a miss, then half way between the highest clean rung and the lowest miss, until no rung is left
 * between them. The rungs are a grid that halves the step so often that neighbours are near enough;
 * until the edge is found, edge_clean < rung < edge_miss. Pure; any thread. */
#include "engine/ladder_priv.h"

/* Neighbours are all kept, also close to the target: the edge is asked for to within so much. */
bool ladder_edge_rungs(struct passo_ladder *ladder)
{
    const struct passo_rule *rule = &ladder->rule;
    int64_t parts = 1;
    while (rule->step_mbpm > rule->edge_within_mbpm * parts)
        parts *= 2;
    ladder->edge_step = (uint16_t)parts;
    for (int64_t i = 0;; i++) {
        const int64_t sum = rule->start_mbpm * parts + i * rule->step_mbpm;
        const int64_t mbpm = (sum + 5 * parts) / (10 * parts) * 10;
        if (mbpm >= rule->target_mbpm)
            return true;
        if (ladder->rungs + 1 >= PASSO_RUNGS_MAX)
            return false;
        ladder->rung_mbpm[ladder->rungs++] = (int32_t)mbpm;
    }
}

void ladder_edge_note(struct passo_ladder_state *state, bool clean)
{
    if (clean)
        state->edge_clean = state->rung;
    else
        state->edge_miss = state->rung;
}

/* A ceiling that is clean is the edge as far as it can be looked for today. */
bool ladder_edge_found(const struct passo_ladder *ladder, const struct passo_ladder_state *state)
{
    return state->edge_miss - state->edge_clean <= 1 || state->edge_clean == ladder->highest;
}

void ladder_edge_move(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      struct passo_decision *decision)
{
    const int from = state->rung;
    ladder_clear_rung(ladder, state);
    if (state->edge_miss < ladder->rungs) {
        state->rung = (uint16_t)((state->edge_clean + state->edge_miss) / 2);
        ladder_decide(decision, state->rung > from ? PASSO_MOVE_RAISED : PASSO_MOVE_DROPPED,
                      PASSO_REASON_EDGE_HALF);
        return;
    }
    const int to = from + ladder->edge_step;
    state->rung = (uint16_t)(to < ladder->highest ? to : ladder->highest);
    ladder_decide(decision, PASSO_MOVE_RAISED, PASSO_REASON_EDGE_UP);
}

uint16_t ladder_edge_by_hand(const struct passo_ladder *ladder,
                             const struct passo_ladder_state *state, bool harder)
{
    const int to = harder ? state->rung + 1 : state->rung - 1;
    const bool between = to > state->edge_clean && to < state->edge_miss && to <= ladder->highest;
    return between ? (uint16_t)to : state->rung;
}
