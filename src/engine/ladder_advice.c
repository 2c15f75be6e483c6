/* Traps: rules that are legal but surely not meant, each with one sentence. A trap is only named
 * where it follows from the rule alone, whatever the player plays. */
#include "engine/ladder_priv.h"

static bool drops_on_run(const struct passo_rule *rule)
{
    return rule->drop != PASSO_DROP_HOLD && rule->drop_counts == PASSO_DROP_COUNTS_IN_A_ROW;
}

/* `first turn` clears the misses in a row after each miss that moved nothing (5). */
static bool never_drops(const struct passo_rule *rule)
{
    return rule->miss == PASSO_MISS_FIRST_TURN && drops_on_run(rule) && rule->drop_misses > 1;
}

static bool tired_before_drop(const struct passo_rule *rule)
{
    return rule->tired_misses && drops_on_run(rule) && rule->tired_misses <= rule->drop_misses;
}

static bool stop_before_drop(const struct passo_rule *rule)
{
    const bool climb = rule->stop_misses && rule->stop_misses <= rule->drop_misses;
    const bool stage = rule->stage_misses && rule->stage_misses <= rule->drop_misses;
    return drops_on_run(rule) && (climb || stage);
}

/* Of two limits where the lower acts first. */
static bool too_late(int64_t limit, int64_t first)
{
    return limit && first && limit >= first;
}

static bool stage_stop_too_late(const struct passo_rule *rule)
{
    return too_late(rule->stage_ms, rule->stop_ms) ||
           too_late(rule->stage_passes, rule->stop_passes) ||
           too_late(rule->stage_misses, rule->stop_misses);
}

static bool stop_before_first_rung(const struct passo_rule *rule, uint32_t passes)
{
    return (rule->stop_passes && rule->stop_passes < passes) ||
           (rule->stage_passes && rule->stage_passes < passes);
}

/* Wins without a drop walk over (rung, place in the cycle); after that many they only repeat. */
static bool lift_never_arrives(const struct passo_ladder *ladder)
{
    const int top = ladder->rungs - 1;
    const size_t lifts = ladder->rule.lifts;
    int rung = ladder->opening;
    for (size_t win = 0; rung < top && win < lifts * ladder->rungs; win++) {
        rung += ladder->rule.lift[win % lifts];
        rung = rung < 0 ? 0 : rung;
    }
    return rung < top;
}

/* The fewest passes that can win one rung. */
static uint32_t rung_passes(const struct passo_ladder *ladder)
{
    const uint32_t cleans = ladder->rule.raise_clean;
    switch (ladder->rule.turn) {
    case PASSO_TURN_EVERY_RUNG:
        return cleans * ladder->turns;
    case PASSO_TURN_EVERY_PASS:
        return (cleans + ladder->turns - 1) / ladder->turns * ladder->turns;
    case PASSO_TURN_WHOLE_CLIMB:
    case PASSO_TURN_COUNT:
        break;
    }
    return cleans;
}

static const char *advice_of_tempos(const struct passo_rule *rule)
{
    if (rule->anchor_permille > 1000)
        return "`anchor` lies above the target; it is meant as a slow pass, such as 60 %";
    if (rule->over_passes && rule->over_permille <= 1000)
        return "`over` does not lie above the target; 105 % would";
    if (rule->put_away_passes && rule->put_away_permille > 1000)
        return "`finish` puts the passage away above the target; it is meant slow, such as 60 %";
    return NULL;
}

const char *passo_ladder_advice(const struct passo_ladder *ladder)
{
    const struct passo_rule *rule = &ladder->rule;
    if (passo_rule_is_once(rule))
        return NULL;
    if (never_drops(rule))
        return "with `miss = first turn` the misses in a row begin again at each miss, so this "
               "`drop` can never act; say `after 2 misses here`";
    if (lift_never_arrives(ladder))
        return "with this `lift` even a climb without a miss never reaches the target; let its "
               "moves add up to more than 0";
    if (stop_before_first_rung(rule, rung_passes(ladder)))
        return "this `stop` allows fewer passes than the first rung needs; allow more, or ask for "
               "fewer clean passes in `raise`";
    if (tired_before_drop(rule))
        return "`tired` ends the climb before so many misses in a row can make it drop; let `drop` "
               "act after fewer misses than `tired`";
    if (stop_before_drop(rule))
        return "`stop` ends the climb before so many misses in a row can make it drop; let `drop` "
               "act after fewer misses than `stop`";
    if (stage_stop_too_late(rule))
        return "this stage's `stop` is no shorter than that of the whole climb, so it can never "
               "act; make it shorter";
    if (rule->stop_ms && rule->tired_played_ms > rule->stop_ms)
        return "`tired` asks for more playing than the time that `stop` allows, so it can never "
               "act; let `stop` allow more";
    return advice_of_tempos(rule);
}
