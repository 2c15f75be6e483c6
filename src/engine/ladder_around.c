/* The passes around the climbing, which never move the ladder (11): cold, anchor, over, close,
 * context and easy. What they do is to be played: each says which pass comes next. Pure; any
 * thread. */
#include "engine/ladder_priv.h"

/* A clean pass with no click after the count-in ends it. */
static void close_thinning(struct passo_ladder_state *state, bool clean,
                           struct passo_decision *decision)
{
    if (clean && state->thin == PASSO_THIN_COUNT_IN) {
        state->close_left = 0;
    } else if (clean) {
        state->thin++;
        ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_THINNER);
    } else if (state->thin > PASSO_THIN_NONE) {
        state->thin--;
        ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_FULLER);
    }
}

/* Over and close end early when the time is up. */
static void past_target(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                        const struct passo_ladder_event *event, bool clean,
                        struct passo_decision *decision)
{
    if (ladder_stop_time(ladder, state, event, decision))
        return;
    if (state->part == PASSO_PART_OVER)
        state->over_left--;
    else if (ladder->rule.close_thins && state->outcome == PASSO_OUTCOME_WON)
        close_thinning(state, clean, decision);
    else if (clean)
        state->close_left--;
    ladder_past_target(ladder, state);
}

void ladder_around(const struct passo_ladder *ladder, struct passo_ladder_state *state,
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
        (void)ladder_stop_time(ladder, state, event, decision);
        return;
    case PASSO_PART_OVER:
    case PASSO_PART_CLOSE:
        past_target(ladder, state, event, mark == PASSO_MARK_CLEAN, decision);
        return;
    case PASSO_PART_CONTEXT:
        state->finish_left--;
        ladder_finish_on(state);
        return;
    case PASSO_PART_EASY:
        if (state->put_away_left)
            state->put_away_left--;
        ladder_finish_on(state);
        return;
    case PASSO_PART_CLIMB:
    case PASSO_PART_DONE:
    case PASSO_PART_COUNT:
        return;
    }
}
