/* Climbs that do not climb. A check touches a passage once more before a performance: one pass at
 * the target, after a miss one slower, never a third. A block of a routine is played so many times
 * or so long, and nobody asks how it went. Neither moves a rung that anybody has won, and no hand
 * moves them. Pure; any thread. */
#include "engine/ladder_priv.h"

bool passo_rule_is_once(const struct passo_rule *rule)
{
    return rule->climbs == PASSO_CLIMBS_CHECK || rule->climbs == PASSO_CLIMBS_BLOCK;
}

/* What goes around a climbing, and what ends one early. */
static void silence(struct passo_rule *rule)
{
    ladder_settle_round(rule);
    rule->unmarked = PASSO_UNMARKED_HOLD;
    rule->ceiling_mbpm = 0;
    rule->cold = false;
    rule->anchor_permille = 0;
    rule->over_passes = 0;
    rule->close_clean = 0;
    rule->close_thins = false;
    rule->finish_passes = 0;
    rule->put_away_passes = 0;
    rule->plateau_drops = 0;
    rule->plateau_clean = 0;
    rule->tired_misses = 0;
    rule->tired_played_ms = 0;
    rule->stop_misses = 0;
    rule->stage_ms = 0;
    rule->stage_passes = 0;
    rule->stage_misses = 0;
    rule->leads_on = false;
    rule->resume_permille = 0;
    rule->resume_rungs = 0;
    rule->past_mbpm = 0;
    if (rule->climbs == PASSO_CLIMBS_CHECK)
        rule->stop_passes = 0;
}

enum passo_error ladder_once_settle(struct passo_rule *rule, struct ladder_fault *fault)
{
    silence(rule);
    enum passo_error error = ladder_check_tempo("target", rule->target_mbpm, fault);
    if (!error)
        error = ladder_check_tempo("target", ladder_full_mbpm(rule), fault);
    if (rule->climbs == PASSO_CLIMBS_BLOCK)
        rule->start_mbpm = rule->target_mbpm;
    return error ? error : ladder_settle_start(rule, fault);
}

static void end(struct passo_ladder_state *state, enum passo_outcome outcome)
{
    state->part = PASSO_PART_DONE;
    state->outcome = outcome;
}

/* The first pass was missed: one more, slower, if there is time for it. */
static void once_more(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      const struct passo_ladder_event *event, struct passo_decision *decision)
{
    if (ladder_is_up(&ladder->rule, state, event)) {
        end(state, PASSO_OUTCOME_MISSES);
        ladder_decide(decision, PASSO_MOVE_STOPPED, PASSO_REASON_TIME);
        return;
    }
    state->rung = 0;
    ladder_clear_rung(ladder, state);
    ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_ONCE_MORE);
}

/* The one mark that a check counts before its last is the first miss. */
static void check(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                  const struct passo_ladder_event *event, struct passo_decision *decision)
{
    const bool first = state->passes == 0;
    const bool clean = event->mark == PASSO_MARK_CLEAN;
    if (event->mark == PASSO_MARK_VOID) {
        decision->reason = PASSO_REASON_VOID;
        (void)ladder_stop_time(ladder, state, event, decision);
        return;
    }
    if (event->mark != PASSO_MARK_NONE) {
        ladder_count(state, clean);
        decision->counted = true;
        decision->cleans = state->cleans;
    }
    if (first && event->mark == PASSO_MARK_MISS) {
        once_more(ladder, state, event, decision);
        return;
    }
    if (first && clean)
        state->best_rung = state->rung;
    end(state, !first ? PASSO_OUTCOME_MISSES : clean ? PASSO_OUTCOME_WON : PASSO_OUTCOME_DONE);
    decision->reason = PASSO_REASON_TOUCHED;
}

static void block(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                  const struct passo_ladder_event *event, struct passo_decision *decision)
{
    const bool whole = event->mark != PASSO_MARK_VOID;
    state->passes += whole;
    state->stage_passes += whole;
    const bool up = ladder_is_up(&ladder->rule, state, event);
    decision->reason = whole || up ? PASSO_REASON_PLAYED : PASSO_REASON_VOID;
    if (up)
        end(state, PASSO_OUTCOME_DONE);
}

void ladder_once(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, struct passo_decision *decision)
{
    if (!ladder_is_here(state, event))
        decision->reason = PASSO_REASON_ELSEWHERE;
    else if (ladder->rule.climbs == PASSO_CLIMBS_CHECK)
        check(ladder, state, event, decision);
    else
        block(ladder, state, event, decision);
}
