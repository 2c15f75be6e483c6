/* Makes start, target and steps ready: they are checked, and what the rule leaves open is settled
 * (a start as a share of the target, the ends of a list), as is what says nothing where the rungs
 * are lengths, drawn tempos or the search for an edge. Runs on the control side, once a climb. */
#include "engine/ladder_priv.h"

#define STEP_MAX_PERMILLE 1000
#define EDGE_LEAST_MBPM   100

static enum passo_error check_list(const struct passo_rule *rule, struct ladder_fault *fault)
{
    char one[LADDER_THOUSANDTHS_BYTES];
    char other[LADDER_THOUSANDTHS_BYTES];
    if (rule->list_count < 1 || rule->list_count > PASSO_RUNGS_MAX)
        return ladder_fault(fault, "`steps`: a list of %u tempos; 1 to %d would do",
                            (unsigned)rule->list_count, PASSO_RUNGS_MAX);
    for (size_t i = 0; i < rule->list_count; i++) {
        enum passo_error error = ladder_check_tempo("steps", rule->list_mbpm[i], fault);
        if (error)
            return error;
        if (i && rule->list_mbpm[i] <= rule->list_mbpm[i - 1])
            return ladder_fault(fault, "`steps`: %s comes after %s; a list that ascends would do",
                                ladder_thousandths(rule->list_mbpm[i], one),
                                ladder_thousandths(rule->list_mbpm[i - 1], other));
    }
    const int32_t last = rule->list_mbpm[rule->list_count - 1];
    if (rule->start_mbpm && rule->start_mbpm != rule->list_mbpm[0])
        return ladder_fault(
            fault, "`start` is %s, but the list of `steps` begins at %s; the same would do",
            ladder_thousandths(rule->start_mbpm, one),
            ladder_thousandths(rule->list_mbpm[0], other));
    if (rule->target_mbpm && rule->target_mbpm != last)
        return ladder_fault(
            fault, "`target` is %s, but the list of `steps` ends at %s; the same would do",
            ladder_thousandths(rule->target_mbpm, one), ladder_thousandths(last, other));
    return PASSO_OK;
}

static enum passo_error check_steps(const struct passo_rule *rule, struct ladder_fault *fault)
{
    switch (rule->steps) {
    case PASSO_STEPS_BPM: {
        char step[LADDER_THOUSANDTHS_BYTES];
        if (rule->step_mbpm >= 1)
            return PASSO_OK;
        return ladder_fault(fault, "`steps = %s bpm` does not climb; 4 bpm would do",
                            ladder_thousandths(rule->step_mbpm, step));
    }
    case PASSO_STEPS_PERCENT:
    case PASSO_STEPS_POINTS:
    case PASSO_STEPS_REST:
        return ladder_check_share("steps", rule->step_permille, STEP_MAX_PERMILLE, fault);
    case PASSO_STEPS_RUNGS:
        if (rule->step_rungs >= 2 && rule->step_rungs <= PASSO_RUNGS_MAX)
            return PASSO_OK;
        return ladder_fault(fault, "`steps = %d rungs`; 2 to %d rungs would do",
                            (int)rule->step_rungs, PASSO_RUNGS_MAX);
    case PASSO_STEPS_MARKS:
        return PASSO_OK;
    case PASSO_STEPS_LIST:
        return check_list(rule, fault);
    case PASSO_STEPS_COUNT:
        break;
    }
    return ladder_fault(fault, "`steps` of an unknown kind (%d)", (int)rule->steps);
}

int32_t ladder_full_mbpm(const struct passo_rule *rule)
{
    return rule->full_mbpm ? rule->full_mbpm : rule->target_mbpm;
}

/* The start of a rule that names a share: to a hundredth, half up, but neither too slow to play nor
 * above the target. */
static int32_t start_of_share(const struct passo_rule *rule)
{
    int64_t share = (int64_t)ladder_full_mbpm(rule) * rule->start_permille;
    int64_t mbpm = (share + 5000) / 10000 * 10;
    if (mbpm < PASSO_TEMPO_MIN_MBPM)
        mbpm = PASSO_TEMPO_MIN_MBPM;
    return mbpm < rule->target_mbpm ? (int32_t)mbpm : rule->target_mbpm;
}

enum passo_error ladder_settle_start(struct passo_rule *rule, struct ladder_fault *fault)
{
    enum passo_error error = PASSO_OK;
    if (!rule->start_mbpm) {
        error = ladder_check_share("start", rule->start_permille, 1000, fault);
        if (!error)
            rule->start_mbpm = start_of_share(rule);
    }
    if (!error)
        error = ladder_check_tempo("start", rule->start_mbpm, fault);
    if (error || rule->start_mbpm <= rule->target_mbpm)
        return error;
    char start[LADDER_THOUSANDTHS_BYTES];
    char target[LADDER_THOUSANDTHS_BYTES];
    return ladder_fault(
        fault, "`start` is %s, above the target %s; a start up to the target would do",
        ladder_thousandths(rule->start_mbpm, start), ladder_thousandths(rule->target_mbpm, target));
}

static enum passo_error settle_tempos(struct passo_rule *rule, struct ladder_fault *fault)
{
    enum passo_error error = check_steps(rule, fault);
    if (!error && rule->steps == PASSO_STEPS_LIST) {
        rule->start_mbpm = rule->list_mbpm[0];
        rule->target_mbpm = rule->list_mbpm[rule->list_count - 1];
        return PASSO_OK;
    }
    if (!error)
        error = ladder_check_tempo("target", rule->target_mbpm, fault);
    if (!error)
        error = ladder_check_tempo("target", ladder_full_mbpm(rule), fault);
    return error ? error : ladder_settle_start(rule, fault);
}

/* Every length is played at the target; the steps are not looked at. */
static enum passo_error settle_lengths(struct passo_rule *rule, struct ladder_fault *fault)
{
    if (rule->lengths < 1 || rule->lengths > PASSO_LOOPS_MAX)
        return ladder_fault(fault, "`climbs = length` over %u lengths; 1 to %d would do",
                            (unsigned)rule->lengths, PASSO_LOOPS_MAX);
    rule->start_mbpm = rule->target_mbpm;
    return ladder_check_tempo("target", rule->target_mbpm, fault);
}

static enum passo_error check_edge(const struct passo_rule *rule, struct ladder_fault *fault)
{
    char mbpm[LADDER_THOUSANDTHS_BYTES];
    if (rule->steps != PASSO_STEPS_BPM)
        return ladder_fault(fault, "`climbs = edge` goes up by beats a minute, not by such "
                                   "`steps`; 16 bpm would do");
    if (rule->step_mbpm > PASSO_TEMPO_MAX_MBPM)
        return ladder_fault(fault, "`steps = %s bpm` leap over every tempo; 16 bpm would do",
                            ladder_thousandths(rule->step_mbpm, mbpm));
    if (rule->edge_within_mbpm < EDGE_LEAST_MBPM || rule->edge_within_mbpm > PASSO_TEMPO_MAX_MBPM)
        return ladder_fault(fault,
                            "`climbs = edge` within %s bpm; 0.1 to 1000 bpm, such as 4, would do",
                            ladder_thousandths(rule->edge_within_mbpm, mbpm));
    return PASSO_OK;
}

void ladder_settle_round(struct passo_rule *rule)
{
    rule->raise_clean = 1;
    rule->raise_of = 0;
    rule->raise_coins = false;
    rule->drop = PASSO_DROP_HOLD;
    rule->miss = PASSO_MISS_AGAIN;
    rule->lift[0] = 1;
    rule->lifts = 1;
    rule->turn = PASSO_TURN_EVERY_RUNG;
}

static enum passo_error check_ceiling(const struct passo_rule *rule, struct ladder_fault *fault)
{
    char ceiling[LADDER_THOUSANDTHS_BYTES];
    char start[LADDER_THOUSANDTHS_BYTES];
    if (!rule->ceiling_mbpm)
        return PASSO_OK;
    enum passo_error error = ladder_check_tempo("ceiling", rule->ceiling_mbpm, fault);
    if (error || rule->ceiling_mbpm >= rule->start_mbpm)
        return error;
    ladder_thousandths(rule->ceiling_mbpm, ceiling);
    ladder_thousandths(rule->start_mbpm, start);
    if (rule->climbs == PASSO_CLIMBS_LENGTH)
        return ladder_fault(fault,
                            "`ceiling` is %s, under the target %s at which every length is "
                            "played; a ceiling from there up, or a lower target, would do",
                            ceiling, start);
    return ladder_fault(fault,
                        "`ceiling` is %s, under the start %s; a ceiling from the start up would do",
                        ceiling, start);
}

enum passo_error ladder_settle(struct passo_rule *rule, struct ladder_fault *fault)
{
    enum passo_error error = PASSO_OK;
    if ((unsigned)rule->climbs >= PASSO_CLIMBS_COUNT)
        return ladder_fault(fault, "`climbs` of an unknown kind (%d)", (int)rule->climbs);
    switch (rule->climbs) {
    case PASSO_CLIMBS_LENGTH:
        error = settle_lengths(rule, fault);
        break;
    case PASSO_CLIMBS_EDGE:
        error = check_edge(rule, fault);
        if (!error)
            error = settle_tempos(rule, fault);
        ladder_settle_round(rule);
        break;
    case PASSO_CLIMBS_MIXED:
        error = settle_tempos(rule, fault);
        ladder_settle_round(rule);
        break;
    case PASSO_CLIMBS_TEMPO:
        error = settle_tempos(rule, fault);
        break;
    case PASSO_CLIMBS_CHECK:
    case PASSO_CLIMBS_BLOCK:
        error = ladder_once_settle(rule, fault);
        break;
    case PASSO_CLIMBS_COUNT:
        break;
    }
    return error ? error : check_ceiling(rule, fault);
}
