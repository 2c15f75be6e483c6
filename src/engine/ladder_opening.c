/* Where a climb opens and how high it may go: the next day a little lower, less after missed days,
 * and never over the teacher's ceiling. Runs on the control side, once a climb. */
#include "engine/ladder_priv.h"

#define MISSED_DAY_PERMILLE 50
#define LEAST_PERMILLE      600

static int64_t share_permille(const struct passo_rule *rule)
{
    const int64_t asked = rule->resume_permille;
    const int64_t least = asked < LEAST_PERMILLE ? asked : LEAST_PERMILLE;
    const int64_t share = asked - (int64_t)rule->past_missed * MISSED_DAY_PERMILLE;
    return share > least ? share : least;
}

int32_t ladder_opening_mbpm(const struct passo_rule *rule)
{
    if (rule->past_mbpm <= 0 || !rule->resume_permille)
        return rule->start_mbpm;
    int64_t mbpm = (rule->past_mbpm * share_permille(rule) + 500000) / 1000000 * 1000;
    if (rule->ceiling_mbpm && mbpm > rule->ceiling_mbpm)
        mbpm = rule->ceiling_mbpm;
    if (mbpm > rule->target_mbpm)
        mbpm = rule->target_mbpm;
    return mbpm > rule->start_mbpm ? (int32_t)mbpm : rule->start_mbpm;
}

bool ladder_goes_on(const struct passo_rule *rule)
{
    return rule->climbs == PASSO_CLIMBS_TEMPO && rule->steps != PASSO_STEPS_RUNGS &&
           rule->steps != PASSO_STEPS_LIST;
}

/* The highest rung at or under a tempo; the first if all lie above. */
static int at_or_under(const struct passo_ladder *ladder, int32_t mbpm)
{
    int rung = ladder->rungs - 1;
    while (rung > 0 && ladder->rung_mbpm[rung] > mbpm)
        rung--;
    return rung;
}

/* An opening that the target took in, being within 1 % of it, is the target. */
static int opening_rung(const struct passo_ladder *ladder)
{
    const struct passo_rule *rule = &ladder->rule;
    if (rule->past_mbpm <= 0 || (!rule->resume_permille && !rule->resume_rungs))
        return 0;
    if (!rule->resume_permille)
        return at_or_under(ladder, rule->past_mbpm) - rule->resume_rungs;
    const int32_t mbpm = ladder_opening_mbpm(rule);
    if (mbpm == rule->start_mbpm)
        return 0;
    const int rung = at_or_under(ladder, mbpm);
    return ladder_goes_on(rule) && ladder->rung_mbpm[rung] < mbpm ? rung + 1 : rung;
}

static int opening_length(const struct passo_rule *rule)
{
    if (!rule->past_length)
        return 0;
    if (rule->resume_permille)
        return (int)((rule->past_length * share_permille(rule) + 500) / 1000) - 1;
    return rule->resume_rungs ? rule->past_length - 1 - rule->resume_rungs : 0;
}

void ladder_open(struct passo_ladder *ladder)
{
    const struct passo_rule *rule = &ladder->rule;
    ladder->highest = (uint16_t)(rule->ceiling_mbpm ? at_or_under(ladder, rule->ceiling_mbpm)
                                                    : ladder->rungs - 1);
    int opening = rule->climbs == PASSO_CLIMBS_LENGTH ? opening_length(rule) : opening_rung(ladder);
    if (opening > ladder->highest || rule->climbs == PASSO_CLIMBS_CHECK)
        opening = ladder->highest;
    ladder->opening = (uint16_t)(opening > 0 ? opening : 0);
}
