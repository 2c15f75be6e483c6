/* A counted mark of the climbing: counters, what it wins, and the move. The order of work is the
 * fine print's: first the mark is worked in, then a won climb is won, then the stops by rank (9;
 * ladder_stops.c), and only then raise and drop, or the moves of ladder_mixed.c and ladder_edge.c.
 * Pure; any thread. */
#include "engine/ladder_priv.h"

#include <string.h>

void ladder_decide(struct passo_decision *decision, enum passo_move move, enum passo_reason reason)
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
    state->coins = 0;
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
    memset(state->misses_row_here, 0, sizeof state->misses_row_here);
}

static void count_clean(struct passo_ladder_state *state)
{
    count_up(&state->cleans);
    count_up(&state->coins);
    state->misses = 0;
    state->misses_row_here[state->turn] = 0;
    state->misses_run = 0;
    state->stage_misses_run = 0;
    if (state->rung > state->best_clean_rung)
        state->best_clean_rung = state->rung;
}

static void count_miss(struct passo_ladder_state *state)
{
    state->cleans = 0;
    count_up(&state->misses);
    count_up(&state->misses_here[state->turn]);
    count_up(&state->misses_row_here[state->turn]);
    if (state->coins)
        state->coins--;
    state->misses_run++;
    state->stage_misses_run++;
}

void ladder_count(struct passo_ladder_state *state, bool clean)
{
    state->passes++;
    state->stage_passes++;
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
    if (rule->raise_coins)
        return state->coins >= rule->raise_clean;
    if (rule->raise_of)
        return bits_of_last(state->window, rule->raise_of) >= rule->raise_clean;
    return state->cleans >= rule->raise_clean;
}

/* The misses that the drop rule counts. */
static uint8_t *drop_counter(const struct passo_rule *rule, struct passo_ladder_state *state)
{
    switch (rule->drop_counts) {
    case PASSO_DROP_COUNTS_HERE:
        return &state->misses_here[state->turn];
    case PASSO_DROP_COUNTS_IN_A_ROW_HERE:
        return &state->misses_row_here[state->turn];
    case PASSO_DROP_COUNTS_IN_A_ROW:
    case PASSO_DROP_COUNTS_COUNT:
        break;
    }
    return &state->misses;
}

static bool drop_met(const struct passo_rule *rule, struct passo_ladder_state *state)
{
    return rule->drop != PASSO_DROP_HOLD && *drop_counter(rule, state) >= rule->drop_misses;
}

static bool plateau_met(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    return rule->plateau_drops && state->rung > 0 &&
           state->drops_from[state->rung] + 1 >= rule->plateau_drops;
}

/* Over and close are skipped, not the finish, when a limit is reached as well. */
static void win_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      const struct passo_ladder_event *event, struct passo_decision *decision)
{
    const bool skips = ladder_skips(&ladder->rule, state, event);
    const uint8_t turn = state->turn;
    ladder_clear_rung(ladder, state);
    state->turn = turn;
    state->outcome = PASSO_OUTCOME_WON;
    if (skips)
        ladder_finish(ladder, state);
    else
        ladder_past_target(ladder, state);
    ladder_decide(decision, PASSO_MOVE_WON, PASSO_REASON_TARGET_WON);
}

static void next_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state)
{
    ladder_clear_rung(ladder, state);
    state->turn = (uint8_t)((state->turn + 1) % ladder->turns);
    state->rung = ladder->opening;
    state->wins = 0;
    memset(state->drops_from, 0, sizeof state->drops_from);
}

/* Round again: the ceiling's rung, or under `whole climb` the next turn's climb. */
static void win_ceiling(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                        struct passo_decision *decision)
{
    if (ladder->rule.turn == PASSO_TURN_WHOLE_CLIMB && ladder->turns > 1)
        next_climb(ladder, state);
    else
        ladder_clear_rung(ladder, state);
    ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_CEILING);
}

static void win_rung(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                     struct passo_decision *decision)
{
    if (state->rung + 1 == ladder->rungs) {
        next_climb(ladder, state);
        ladder_decide(decision, PASSO_MOVE_WON, PASSO_REASON_NEXT_CLIMB);
        return;
    }
    if (state->rung == ladder->highest) {
        win_ceiling(ladder, state, decision);
        return;
    }
    const int8_t lift = ladder->rule.lift[state->wins % ladder->rule.lifts];
    const int from = state->rung;
    int to = from + lift;
    to = to < 0 ? 0 : to > ladder->highest ? ladder->highest : to;
    state->wins++;
    state->rung = (uint16_t)to;
    ladder_clear_rung(ladder, state);
    if (to > from)
        ladder_decide(decision, PASSO_MOVE_RAISED, PASSO_REASON_RUNG_WON);
    else if (to < from)
        ladder_decide(decision, PASSO_MOVE_DROPPED, PASSO_REASON_LIFT_BACK);
    else
        ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_LIFT_CLAMPED);
}

/* The rung stays: which turn is next (4, 5). */
static void stay(const struct passo_ladder *ladder, struct passo_ladder_state *state, bool clean,
                 bool met, struct passo_decision *decision)
{
    const struct passo_rule *rule = &ladder->rule;
    const bool round = ladder->turns > 1 && rule->turn != PASSO_TURN_WHOLE_CLIMB;
    const bool every_pass = rule->turn == PASSO_TURN_EVERY_PASS;
    ladder_decide(decision, PASSO_MOVE_HELD, clean ? PASSO_REASON_CLEAN : PASSO_REASON_MISS);
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
        *drop_counter(rule, state) = 0;
        stay(ladder, state, false, false, decision);
        ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_DROP_AT_BOTTOM);
        return;
    }
    count_up(&state->drops_from[state->rung]);
    if (rule->drop == PASSO_DROP_TO_START || rule->drop_rungs > state->rung)
        state->rung = 0;
    else
        state->rung = (uint16_t)(state->rung - rule->drop_rungs);
    state->wins = 0;
    ladder_clear_rung(ladder, state);
    ladder_decide(decision, PASSO_MOVE_DROPPED, PASSO_REASON_DROP);
}

/* What a mark came to. */
struct verdict {
    bool clean;
    bool met;   /* this turn has met the raise rule */
    bool won;   /* with it the rung is won */
    bool drops; /* the drop rule is met */
};

static struct verdict judge(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                            bool clean)
{
    const struct passo_rule *rule = &ladder->rule;
    const bool met = clean && raise_met(rule, state);
    const bool last_turn = state->turn + 1 == ladder->turns;
    return (struct verdict){
        .clean = clean,
        .met = met,
        .won = met && (last_turn || rule->turn == PASSO_TURN_WHOLE_CLIMB),
        .drops = !clean && drop_met(rule, state),
    };
}

/* What a won rung, or a miss, leaves behind. */
static void note(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct verdict *verdict)
{
    if (verdict->won && state->rung > state->best_rung)
        state->best_rung = state->rung;
    if (ladder->rule.climbs == PASSO_CLIMBS_MIXED && verdict->won)
        ladder_mixed_put_away(state);
    if (ladder->rule.climbs == PASSO_CLIMBS_EDGE && (verdict->won || !verdict->clean))
        ladder_edge_note(state, verdict->won);
}

static bool climb_won(const struct passo_ladder *ladder, const struct passo_ladder_state *state,
                      const struct verdict *verdict)
{
    if (!verdict->won || state->turn + 1 != ladder->turns)
        return false;
    if (ladder->rule.climbs == PASSO_CLIMBS_MIXED)
        return ladder->highest + 1 == ladder->rungs && ladder_mixed_all_away(ladder, state);
    return state->rung + 1 == ladder->rungs;
}

static enum passo_outcome today(const struct passo_ladder *ladder,
                                const struct passo_ladder_state *state,
                                const struct verdict *verdict)
{
    if (verdict->drops && plateau_met(&ladder->rule, state))
        return PASSO_OUTCOME_PLATEAU;
    if (ladder->rule.climbs == PASSO_CLIMBS_EDGE && ladder_edge_found(ladder, state))
        return PASSO_OUTCOME_EDGE;
    return PASSO_OUTCOME_OPEN;
}

static void move(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct verdict *verdict, struct passo_decision *decision)
{
    const enum passo_climbs climbs = ladder->rule.climbs;
    const bool resolved = verdict->won || !verdict->clean;
    const int32_t played_mbpm = ladder->rung_mbpm[state->rung];
    const int32_t anchor_mbpm =
        passo_tempo_share(ladder_full_mbpm(&ladder->rule), ladder->rule.anchor_permille);
    state->anchor_turn = state->turn;
    if (climbs == PASSO_CLIMBS_MIXED && resolved)
        ladder_mixed_move(ladder, state, verdict->clean, decision);
    else if (climbs == PASSO_CLIMBS_EDGE && resolved)
        ladder_edge_move(ladder, state, decision);
    else if (verdict->won)
        win_rung(ladder, state, decision);
    else if (verdict->drops)
        drop(ladder, state, decision);
    else
        stay(ladder, state, verdict->clean, verdict->met, decision);
    /* An anchor is a slow pass: it is none where the climb itself is slower. */
    if (anchor_mbpm && anchor_mbpm <= played_mbpm) {
        state->resume = PASSO_PART_CLIMB;
        state->part = PASSO_PART_ANCHOR;
    }
}

/* A stage that leads on is no end of the climb: there the climb's own limits come before its win.
 */
void ladder_climb(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                  const struct passo_ladder_event *event, bool clean,
                  struct passo_decision *decision)
{
    const struct passo_rule *rule = &ladder->rule;
    ladder_count(state, clean);
    decision->counted = true;
    decision->cleans = state->cleans;
    const struct verdict verdict = judge(ladder, state, clean);
    note(ladder, state, &verdict);
    if (climb_won(ladder, state, &verdict) &&
        !(rule->leads_on && ladder_is_up(rule, state, event))) {
        win_climb(ladder, state, event, decision);
        return;
    }
    if (!ladder_stop(ladder, state, event, today(ladder, state, &verdict), decision))
        move(ladder, state, &verdict, decision);
}
