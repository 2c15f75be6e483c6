/* What ends the climbing, and what comes after it: over and close, the passes in context, those put
 * away slowly. Each limit of the climb has a sister of the stage alone; where a stage follows, a
 * stage's end leaves the finish to the last one, and what ends the climb outranks what ends the
 * stage alone. Pure; any thread. */
#include "engine/ladder_priv.h"

static bool reached(int64_t value, int64_t limit)
{
    return limit && value >= limit;
}

/* What a hand has added to every limit that there is. */
static int64_t with_more_ms(int64_t limit_ms, const struct passo_ladder_state *state)
{
    return limit_ms ? limit_ms + (int64_t)state->extended * PASSO_EXTEND_MS : 0;
}

static int64_t with_more_passes(int64_t limit, const struct passo_ladder_state *state)
{
    return limit ? limit + (int64_t)state->extended * PASSO_EXTEND_PASSES : 0;
}

uint32_t passo_ladder_stop_passes(const struct passo_ladder *ladder,
                                  const struct passo_ladder_state *state)
{
    return (uint32_t)with_more_passes(ladder->rule.stop_passes, state);
}

int64_t passo_ladder_stop_ms(const struct passo_ladder *ladder,
                             const struct passo_ladder_state *state)
{
    return with_more_ms(ladder->rule.stop_ms, state);
}

bool passo_ladder_extends(const struct passo_ladder *ladder, const struct passo_ladder_state *state)
{
    const struct passo_rule *rule = &ladder->rule;
    const bool limited = rule->stop_ms || rule->stage_ms || rule->stop_passes || rule->stage_passes;
    return limited && (state->part == PASSO_PART_COLD || ladder_is_climbing(state));
}

void ladder_extend(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                   struct passo_decision *decision)
{
    if (!passo_ladder_extends(ladder, state) || state->extended == UINT16_MAX)
        return;
    state->extended++;
    state->unmarked_run = 0;
    state->assumed_run = 0;
    decision->cleans = state->cleans;
    ladder_decide(decision, PASSO_MOVE_HELD, PASSO_REASON_EXTENDED);
}

static bool tired(const struct passo_rule *rule, const struct passo_ladder_state *state,
                  const struct passo_ladder_event *event)
{
    const unsigned of = rule->tired_of;
    const uint32_t last = of < 32 ? state->recent & ((UINT32_C(1) << of) - 1) : state->recent;
    return reached(__builtin_popcount(last), rule->tired_misses) ||
           reached(event->played_ms, rule->tired_played_ms);
}

static bool time_up(const struct passo_rule *rule, const struct passo_ladder_state *state,
                    const struct passo_ladder_event *event)
{
    return reached(event->elapsed_ms, with_more_ms(rule->stop_ms, state));
}

static bool stage_time_up(const struct passo_rule *rule, const struct passo_ladder_state *state,
                          const struct passo_ladder_event *event)
{
    return reached(event->elapsed_ms - state->stage_from_ms, with_more_ms(rule->stage_ms, state));
}

static bool passes_up(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    return reached(state->passes, with_more_passes(rule->stop_passes, state));
}

static bool stage_passes_up(const struct passo_rule *rule, const struct passo_ladder_state *state)
{
    return reached(state->stage_passes, with_more_passes(rule->stage_passes, state));
}

bool ladder_is_up(const struct passo_rule *rule, const struct passo_ladder_state *state,
                  const struct passo_ladder_event *event)
{
    return tired(rule, state, event) || time_up(rule, state, event) || passes_up(rule, state) ||
           reached(state->misses_run, rule->stop_misses);
}

bool ladder_skips(const struct passo_rule *rule, const struct passo_ladder_state *state,
                  const struct passo_ladder_event *event)
{
    return ladder_is_up(rule, state, event) || stage_time_up(rule, state, event) ||
           stage_passes_up(rule, state);
}

void ladder_finish_on(struct passo_ladder_state *state)
{
    state->part = state->finish_left     ? PASSO_PART_CONTEXT
                  : state->put_away_left ? PASSO_PART_EASY
                                         : PASSO_PART_DONE;
}

bool ladder_stage_is_over(const struct passo_ladder_state *state)
{
    return state->outcome == PASSO_OUTCOME_WON || state->outcome == PASSO_OUTCOME_PLATEAU ||
           state->outcome == PASSO_OUTCOME_EDGE || state->stage_ended;
}

void ladder_finish(const struct passo_ladder *ladder, struct passo_ladder_state *state)
{
    const struct passo_rule *rule = &ladder->rule;
    const bool last = !(rule->leads_on && ladder_stage_is_over(state));
    state->finish_left = last ? rule->finish_passes : 0;
    state->put_away_left = last && rule->put_away_permille ? rule->put_away_passes : 0;
    ladder_finish_on(state);
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

static enum passo_outcome which(const struct passo_rule *rule,
                                const struct passo_ladder_state *state,
                                const struct passo_ladder_event *event, enum passo_outcome today,
                                bool *out_stage)
{
    const bool passes = passes_up(rule, state);
    const bool misses = reached(state->misses_run, rule->stop_misses);
    *out_stage = false;
    if (tired(rule, state, event))
        return PASSO_OUTCOME_TIRED;
    if (time_up(rule, state, event))
        return PASSO_OUTCOME_TIME;
    if (rule->leads_on && (passes || misses))
        return passes ? PASSO_OUTCOME_PASSES : PASSO_OUTCOME_MISSES;
    if ((*out_stage = stage_time_up(rule, state, event)))
        return PASSO_OUTCOME_TIME;
    if (today != PASSO_OUTCOME_OPEN)
        return today;
    if (passes || (*out_stage = stage_passes_up(rule, state)))
        return PASSO_OUTCOME_PASSES;
    if (misses || (*out_stage = reached(state->stage_misses_run, rule->stage_misses)))
        return PASSO_OUTCOME_MISSES;
    return PASSO_OUTCOME_OPEN;
}

/* The rungs stay as they were when a plateau or a limit is met: what follows is played at the best
 * tempo won. */
static void end(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                enum passo_outcome outcome, struct passo_decision *decision)
{
    static const struct {
        enum passo_move move;
        enum passo_reason reason;
    } words[PASSO_OUTCOME_COUNT] = {
        [PASSO_OUTCOME_PLATEAU] = {PASSO_MOVE_PLATEAU, PASSO_REASON_PLATEAU},
        [PASSO_OUTCOME_EDGE] = {PASSO_MOVE_STOPPED, PASSO_REASON_EDGE_FOUND},
        [PASSO_OUTCOME_TIRED] = {PASSO_MOVE_TIRED, PASSO_REASON_TIRED},
        [PASSO_OUTCOME_TIME] = {PASSO_MOVE_STOPPED, PASSO_REASON_TIME},
        [PASSO_OUTCOME_PASSES] = {PASSO_MOVE_STOPPED, PASSO_REASON_PASSES},
        [PASSO_OUTCOME_MISSES] = {PASSO_MOVE_STOPPED, PASSO_REASON_MISSES},
    };
    state->outcome = outcome;
    ladder_decide(decision, words[outcome].move, words[outcome].reason);
    if (outcome == PASSO_OUTCOME_TIRED) {
        state->part = PASSO_PART_EASY;
        state->rung = (uint16_t)(state->best_clean_rung > 2 ? state->best_clean_rung - 2 : 0);
    } else if (outcome == PASSO_OUTCOME_MISSES) {
        state->part = PASSO_PART_DONE;
    } else if (outcome == PASSO_OUTCOME_PLATEAU) {
        state->over_left = 0;
        state->close_left = ladder->rule.plateau_clean;
        ladder_past_target(ladder, state);
    } else {
        ladder_finish(ladder, state);
    }
}

bool ladder_stop(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                 const struct passo_ladder_event *event, enum passo_outcome today,
                 struct passo_decision *decision)
{
    bool stage;
    enum passo_outcome outcome = which(&ladder->rule, state, event, today, &stage);
    if (outcome == PASSO_OUTCOME_OPEN)
        return false;
    state->stage_ended = stage;
    end(ladder, state, outcome, decision);
    return true;
}

/* A climb that is past its target stays as it ended, unless a stage follows that the time no longer
 * allows. */
bool ladder_stop_time(const struct passo_ladder *ladder, struct passo_ladder_state *state,
                      const struct passo_ladder_event *event, struct passo_decision *decision)
{
    const struct passo_rule *rule = &ladder->rule;
    const bool climb = time_up(rule, state, event);
    const bool climbing = state->outcome == PASSO_OUTCOME_OPEN;
    if (!climb && !stage_time_up(rule, state, event))
        return false;
    if (climbing || (climb && rule->leads_on)) {
        state->stage_ended = !climb;
        end(ladder, state, PASSO_OUTCOME_TIME, decision);
    } else {
        ladder_finish(ladder, state);
    }
    return true;
}
