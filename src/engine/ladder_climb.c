/* A counted mark of the climbing: counters, what it wins, which stop it fires, and the move. The
 * order of work is the fine print's: first the mark is worked in, then a won climb is won, then
 * the stops by rank (9), and only then raise and drop. Pure; any thread. */
#include "engine/ladder_priv.h"

#include <string.h>

static void decide(struct passo_decision *decision, enum passo_move move, enum passo_reason reason)
{
    decision->move = move;
    decision->reason = reason;
}

static void count_up(uint8_t *counter)
{
    if (*counter < UINT8_MAX)
        ++*counter;
}

static unsigned bits_of_last(uint32_t marks, unsigned last)
{
    return (unsigned)__builtin_popcount(last < 32 ? marks & ((UINT32_C(1) << last) - 1) : marks);
}

void ladder_clear_turn(struct passo_ladder_state *state)
{
    state->cleans = 0;
    state->misses = 0;
    state->window = 0;
    state->window_marks = 0;
}

static void first_turn(const struct passo_ladder *ladder, struct passo_ladder_state *state)
{
    if (ladder->rule.turn != PASSO_TURN_WHOLE_CLIMB)
        state->turn = 0;
    ladder_clear_turn(state);
}

void ladder_clear_rung(const struct passo_ladder *ladder, struct passo_ladder_state *state)
{
    first_turn(ladder, state);
    memset(state->misses_here, 0, sizeof state->misses_here);
}

void ladder_finish(const struct passo_ladder *ladder, struct passo_ladder_state *state)
{
    state->finish_left = ladder->rule.finish_passes;
    state->part = state->finish_left ? PASSO_PART_CONTEXT : PASSO_PART_DONE;
}

void ladder_past_target(const struct passo_ladder *ladder, struct passo_ladder_state *state)
{
    if (state->over_left)
        state->part = PASSO_PART_OVER;
    else if (state->close_left)
        state->part = PASSO_PART_CLOSE;
    else
        ladder_finish(ladder, state);
}

bool ladder_time_up(const struct passo_rule *rule, const struct passo_ladder_event *event)
{
    return rule->stop_ms && event->elapsed_ms >= rule->stop_ms;
}

static bool passes_up(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    return rule->stop_passes && state->passes >= rule->stop_passes;
}

static void count_clean(struct passo_ladder_state *state)
{
    count_up(&state->cleans);
    state->misses = 0;
    state->misses_run = 0;
    if (state->rung > state->best_clean_rung)
        state->best_clean_rung = state->rung;
}

static void count_miss(struct passo_ladder_state *state)
{
    state->cleans = 0;
    count_up(&state->misses);
    count_up(&state->misses_here[state->turn]);
    state->misses_run++;
}

static void count(struct passo_ladder_state *state, bool clean)
{
    state->passes++;
    state->window = state->window << 1 | (clean ? 1u : 0u);
    state->recent = state->recent << 1 | (clean ? 0u : 1u);
    if (state->window_marks < 32)
        state->window_marks++;
    if (state->recent_marks < 32)
        state->recent_marks++;
    if (clean)
        count_clean(state);
    else
        count_miss(state);
}

static bool raise_met(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    if (rule->raise_of)
        return bits_of_last(state->window, rule->raise_of) >= rule->raise_clean;
    return state->cleans >= rule->raise_clean;
}

static bool drop_met(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    uint8_t misses = rule->drop_counts ? state->misses_here[state->turn] : state->misses;
    return rule->drop != PASSO_DROP_HOLD && misses >= rule->drop_misses;
}

static bool plateau_met(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    return rule->plateau_drops && state->rung > 0 &&
           state->drops_from[state->rung] + 1 >= rule->plateau_drops;
}

static bool tired(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    return rule->tired_misses && bits_of_last(state->recent, rule->tired_of) >= rule->tired_misses;
}

/* The stops, highest rank first (9). True when one of them ended the climbing. */
static bool stop(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, bool drops,
                 struct passo_decision *decision)
{
    const struct passo_rule *rule = &ladder->rule;
    if (tired(rule, state)) {
        state->outcome = PASSO_OUTCOME_TIRED;
        state->part = PASSO_PART_EASY;
        state->rung = (uint16_t)(state->best_clean_rung > 2 ? state->best_clean_rung - 2 : 0);
        decide(decision, PASSO_MOVE_TIRED, PASSO_REASON_TIRED);
    } else if (ladder_time_up(rule, event)) {
        state->outcome = PASSO_OUTCOME_TIME;
        ladder_finish(ladder, state);
        decide(decision, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
    } else if (drops && plateau_met(rule, state)) {
        state->outcome = PASSO_OUTCOME_PLATEAU;
        ladder_finish(ladder, state);
        decide(decision, PASSO_MOVE_PLATEAU, PASSO_REASON_PLATEAU);
    } else if (passes_up(rule, state)) {
        state->outcome = PASSO_OUTCOME_PASSES;
        ladder_finish(ladder, state);
        decide(decision, PASSO_MOVE_STOPPED, PASSO_REASON_PASSES);
    } else if (rule->stop_misses && state->misses_run >= rule->stop_misses) {
        state->outcome = PASSO_OUTCOME_MISSES;
        state->part = PASSO_PART_DONE;
        decide(decision, PASSO_MOVE_STOPPED, PASSO_REASON_MISSES);
    }
    return state->outcome != PASSO_OUTCOME_OPEN;
}

/* Over and close are skipped, not the finish, when the time or the passes are up as well. */
static void win_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      const struct passo_ladder_event *event, struct passo_decision *decision)
{
    const bool up = ladder_time_up(&ladder->rule, event) || passes_up(&ladder->rule, state);
    const uint8_t turn = state->turn;
    ladder_clear_rung(ladder, state);
    state->turn = turn;
    state->outcome = PASSO_OUTCOME_WON;
    if (up)
        ladder_finish(ladder, state);
    else
        ladder_past_target(ladder, state);
    decide(decision, PASSO_MOVE_WON, PASSO_REASON_TARGET_WON);
}

static void next_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                       struct passo_decision *decision)
{
    ladder_clear_rung(ladder, state);
    state->turn++;
    state->rung = 0;
    state->wins = 0;
    memset(state->drops_from, 0, sizeof state->drops_from);
    decide(decision, PASSO_MOVE_WON, PASSO_REASON_NEXT_CLIMB);
}

static void win_rung(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                     struct passo_decision *decision)
{
    const int top = ladder->rungs - 1;
    if (state->rung == top) {
        next_climb(ladder, state, decision);
        return;
    }
    const int8_t lift = ladder->rule.lift[state->wins % ladder->rule.lifts];
    const int from = state->rung;
    int to = from + lift;
    to = to < 0 ? 0 : to > top ? top : to;
    state->wins++;
    state->rung = (uint16_t)to;
    ladder_clear_rung(ladder, state);
    if (to > from)
        decide(decision, PASSO_MOVE_RAISED, PASSO_REASON_RUNG_WON);
    else if (to < from)
        decide(decision, PASSO_MOVE_DROPPED, PASSO_REASON_LIFT_BACK);
    else
        decide(decision, PASSO_MOVE_HELD, PASSO_REASON_LIFT_CLAMPED);
}

/* The rung stays: which turn is next (4, 5). */
static void stay(const struct passo_ladder *ladder, struct passo_ladder_state *state, bool clean,
                 bool met, struct passo_decision *decision)
{
    const struct passo_rule *rule = &ladder->rule;
    const bool round = ladder->turns > 1 && rule->turn != PASSO_TURN_WHOLE_CLIMB;
    const bool every_pass = rule->turn == PASSO_TURN_EVERY_PASS;
    decide(decision, PASSO_MOVE_HELD, clean ? PASSO_REASON_CLEAN : PASSO_REASON_MISS);
    if (!clean && rule->miss == PASSO_MISS_FIRST_TURN) {
        first_turn(ladder, state);
        if (round)
            decision->reason = PASSO_REASON_FIRST_TURN;
    } else if (round && (met || every_pass)) {
        state->turn = (uint8_t)((state->turn + 1) % ladder->turns);
        if (!every_pass)
            ladder_clear_turn(state);
        if (clean)
            decision->reason = PASSO_REASON_NEXT_TURN;
    }
}

static void drop(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 struct passo_decision *decision)
{
    const struct passo_rule *rule = &ladder->rule;
    if (state->rung == 0) {
        if (rule->drop_counts)
            state->misses_here[state->turn] = 0;
        else
            state->misses = 0;
        stay(ladder, state, false, false, decision);
        decide(decision, PASSO_MOVE_HELD, PASSO_REASON_DROP_AT_BOTTOM);
        return;
    }
    count_up(&state->drops_from[state->rung]);
    if (rule->drop == PASSO_DROP_TO_START || rule->drop_rungs > state->rung)
        state->rung = 0;
    else
        state->rung = (uint16_t)(state->rung - rule->drop_rungs);
    state->wins = 0;
    ladder_clear_rung(ladder, state);
    decide(decision, PASSO_MOVE_DROPPED, PASSO_REASON_DROP);
}

void ladder_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                  const struct passo_ladder_event *event, bool clean,
                  struct passo_decision *decision)
{
    const struct passo_rule *rule = &ladder->rule;
    count(state, clean);
    decision->counted = true;
    decision->cleans = state->cleans;
    const bool met = clean && raise_met(rule, state);
    const bool last_turn = state->turn + 1 == ladder->turns;
    const bool won = met && (last_turn || rule->turn == PASSO_TURN_WHOLE_CLIMB);
    const bool drops = !clean && drop_met(rule, state);
    if (won && state->rung > state->best_rung)
        state->best_rung = state->rung;
    if (won && last_turn && state->rung + 1 == ladder->rungs) {
        win_climb(ladder, state, event, decision);
        return;
    }
    if (stop(ladder, state, event, drops, decision))
        return;
    state->anchor_turn = state->turn;
    if (won)
        win_rung(ladder, state, decision);
    else if (drops)
        drop(ladder, state, decision);
    else
        stay(ladder, state, clean, met, decision);
    if (rule->anchor_permille) {
        state->resume = PASSO_PART_CLIMB;
        state->part = PASSO_PART_ANCHOR;
    }
}
