/* Makes a rule ready: every part is checked, the first fault is put into one sentence that names
 * the part, its value and what would do, and what the rule leaves open is settled (a start as a
 * share of the target, the ends of a list). Runs on the control side, once a climb. */
#include "engine/ladder_priv.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define WINDOW_MAX         32
#define STEP_MAX_PERMILLE  1000
#define SHARE_MAX_PERMILLE 100000
#define REST_MAX_MS        3600000

enum passo_error ladder_fault(struct ladder_fault *fault, const char *format, ...)
{
    if (fault->text && fault->bytes) {
        va_list values;
        va_start(values, format);
        vsnprintf(fault->text, fault->bytes, format, values);
        va_end(values);
    }
    return PASSO_ERR_RANGE;
}

const char *ladder_thousandths(int32_t value, char out[LADDER_THOUSANDTHS_BYTES])
{
    const bool below = value < 0;
    const int64_t size = below ? -(int64_t)value : value;
    snprintf(out, LADDER_THOUSANDTHS_BYTES, "%s%d.%03d", below ? "-" : "", (int)(size / 1000),
             (int)(size % 1000));
    size_t end = strlen(out);
    while (out[end - 1] == '0')
        out[--end] = '\0';
    if (out[end - 1] == '.')
        out[--end] = '\0';
    return out;
}

static bool playable(int64_t mbpm)
{
    return mbpm >= PASSO_TEMPO_MIN_MBPM && mbpm <= PASSO_TEMPO_MAX_MBPM;
}

static enum passo_error check_tempo(const char *part, int32_t mbpm, struct ladder_fault *fault)
{
    char tempo[LADDER_THOUSANDTHS_BYTES];
    if (playable(mbpm))
        return PASSO_OK;
    return ladder_fault(fault,
                        "`%s`: %s bpm is outside 5 to 1000 bpm; a tempo between them would do",
                        part, ladder_thousandths(mbpm, tempo));
}

static enum passo_error check_list(const struct passo_rule *rule, struct ladder_fault *fault)
{
    char one[LADDER_THOUSANDTHS_BYTES];
    char other[LADDER_THOUSANDTHS_BYTES];
    if (rule->list_count < 1 || rule->list_count > PASSO_RUNGS_MAX)
        return ladder_fault(fault, "`steps`: a list of %u tempos; 1 to %d would do",
                            (unsigned)rule->list_count, PASSO_RUNGS_MAX);
    for (size_t i = 0; i < rule->list_count; i++) {
        enum passo_error error = check_tempo("steps", rule->list_mbpm[i], fault);
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

static enum passo_error check_share(const char *part, int32_t permille, int32_t most,
                                    struct ladder_fault *fault)
{
    if (permille >= 1 && permille <= most)
        return PASSO_OK;
    char share[LADDER_THOUSANDTHS_BYTES];
    return ladder_fault(
        fault, "`%s`: a share of %s %% is outside 0.1 to %d %%", part,
        ladder_thousandths(permille < INT32_MAX / 100 ? permille * 100 : INT32_MAX, share),
        (int)(most / 10));
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
        return check_share("steps", rule->step_permille, STEP_MAX_PERMILLE, fault);
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

/* The start of a rule that names a share: to a hundredth, half up, but neither too slow to play nor
 * above the target. */
static int32_t start_of_share(const struct passo_rule *rule)
{
    int64_t share = (int64_t)rule->target_mbpm * rule->start_permille;
    int64_t mbpm = (share + 5000) / 10000 * 10;
    if (mbpm < PASSO_TEMPO_MIN_MBPM)
        mbpm = PASSO_TEMPO_MIN_MBPM;
    return mbpm < rule->target_mbpm ? (int32_t)mbpm : rule->target_mbpm;
}

static enum passo_error settle_ends(struct passo_rule *rule, struct ladder_fault *fault)
{
    if (rule->steps == PASSO_STEPS_LIST) {
        rule->start_mbpm = rule->list_mbpm[0];
        rule->target_mbpm = rule->list_mbpm[rule->list_count - 1];
        return PASSO_OK;
    }
    enum passo_error error = check_tempo("target", rule->target_mbpm, fault);
    if (!error && !rule->start_mbpm) {
        error = check_share("start", rule->start_permille, 1000, fault);
        if (!error)
            rule->start_mbpm = start_of_share(rule);
    }
    if (!error)
        error = check_tempo("start", rule->start_mbpm, fault);
    if (error || rule->start_mbpm <= rule->target_mbpm)
        return error;
    char start[LADDER_THOUSANDTHS_BYTES];
    char target[LADDER_THOUSANDTHS_BYTES];
    return ladder_fault(
        fault, "`start` is %s, above the target %s; a start up to the target would do",
        ladder_thousandths(rule->start_mbpm, start), ladder_thousandths(rule->target_mbpm, target));
}

static enum passo_error check_raise_and_drop(const struct passo_rule *rule,
                                             struct ladder_fault *fault)
{
    if (rule->raise_clean < 1)
        return ladder_fault(fault,
                            "`raise = 0 clean` never asks for a pass; 1 clean or more would do");
    if (rule->raise_of > WINDOW_MAX)
        return ladder_fault(fault, "`raise = %u clean of %u`; a window up to %d would do",
                            rule->raise_clean, rule->raise_of, WINDOW_MAX);
    if (rule->raise_of && rule->raise_of < rule->raise_clean)
        return ladder_fault(fault, "`raise = %u clean of %u` can never be met; %u of %u would do",
                            rule->raise_clean, rule->raise_of, rule->raise_of, rule->raise_clean);
    if ((unsigned)rule->drop >= PASSO_DROP_COUNT)
        return ladder_fault(fault, "`drop` of an unknown kind (%d)", (int)rule->drop);
    if (rule->drop == PASSO_DROP_RUNGS && rule->drop_rungs < 1)
        return ladder_fault(fault, "`drop = 0 rungs` does not drop; 1 rung, or `hold`, would do");
    if (rule->drop != PASSO_DROP_HOLD && rule->drop_misses < 1)
        return ladder_fault(fault, "`drop` after 0 misses; after 1 miss or more would do");
    return PASSO_OK;
}

static enum passo_error check_moves(const struct passo_rule *rule, struct ladder_fault *fault)
{
    if (rule->lifts < 1 || rule->lifts > PASSO_LIFT_MAX)
        return ladder_fault(fault, "`lift` has %u moves; 1 to %d would do", rule->lifts,
                            PASSO_LIFT_MAX);
    for (size_t i = 0; i < rule->lifts; i++)
        if (!rule->lift[i])
            return ladder_fault(fault, "`lift`: a move by 0 rungs; 1 up or -1 back would do");
    if ((unsigned)rule->miss >= PASSO_MISS_COUNT)
        return ladder_fault(fault, "`miss` of an unknown kind (%d)", (int)rule->miss);
    if ((unsigned)rule->turn >= PASSO_TURN_COUNT)
        return ladder_fault(fault, "`turn` of an unknown kind (%d)", (int)rule->turn);
    if ((unsigned)rule->unmarked >= PASSO_UNMARKED_COUNT)
        return ladder_fault(fault, "`unmarked` of an unknown kind (%d)", (int)rule->unmarked);
    return PASSO_OK;
}

static enum passo_error check_extra_share(const char *part, int32_t permille, int32_t target_mbpm,
                                          struct ladder_fault *fault)
{
    char share[LADDER_THOUSANDTHS_BYTES];
    enum passo_error error = check_share(part, permille, SHARE_MAX_PERMILLE, fault);
    if (error || playable(((int64_t)target_mbpm * permille + 500) / 1000))
        return error;
    return ladder_fault(fault, "`%s`: %s %% of the target is outside 5 to 1000 bpm", part,
                        ladder_thousandths(permille * 100, share));
}

static enum passo_error check_extras(const struct passo_rule *rule, struct ladder_fault *fault)
{
    enum passo_error error = PASSO_OK;
    if (rule->anchor_permille)
        error = check_extra_share("anchor", rule->anchor_permille, rule->target_mbpm, fault);
    if (!error && rule->over_passes)
        error = check_extra_share("over", rule->over_permille, rule->target_mbpm, fault);
    return error;
}

static enum passo_error check_ends(const struct passo_rule *rule, struct ladder_fault *fault)
{
    char least[LADDER_THOUSANDTHS_BYTES];
    char most[LADDER_THOUSANDTHS_BYTES];
    if (rule->tired_misses && (rule->tired_of < 1 || rule->tired_of > WINDOW_MAX))
        return ladder_fault(fault, "`tired = %u misses of %u`; the last 1 to %d passes would do",
                            rule->tired_misses, rule->tired_of, WINDOW_MAX);
    if (rule->tired_misses > rule->tired_of)
        return ladder_fault(fault, "`tired = %u misses of %u` can never be met; %u of %u would do",
                            rule->tired_misses, rule->tired_of, rule->tired_of, rule->tired_misses);
    if (rule->stop_ms < 0)
        return ladder_fault(fault, "`stop` after less than no time; 20 min would do");
    if (rule->rest_permille < 0 || rule->rest_permille > SHARE_MAX_PERMILLE)
        return ladder_fault(fault, "`rest`: the share of the playing is outside 0 to 100");
    if (rule->rest_fixed_ms < 0 || rule->rest_fixed_ms > REST_MAX_MS || rule->rest_least_ms < 0 ||
        rule->rest_least_ms > REST_MAX_MS || rule->rest_most_ms < 0 ||
        rule->rest_most_ms > REST_MAX_MS)
        return ladder_fault(fault, "`rest` is outside 0 to 3600 s");
    if (rule->rest_most_ms && rule->rest_most_ms < rule->rest_least_ms)
        return ladder_fault(
            fault, "`rest`: at least %s s is more than at most %s s; a longer `at most` would do",
            ladder_thousandths(rule->rest_least_ms, least),
            ladder_thousandths(rule->rest_most_ms, most));
    return PASSO_OK;
}

enum passo_error ladder_check(struct passo_rule *rule, size_t turns, struct ladder_fault *fault)
{
    if (turns < 1 || turns > PASSO_TURNS_MAX)
        return ladder_fault(fault, "%zu turns; 1 to %d would do", turns, PASSO_TURNS_MAX);
    enum passo_error error = check_steps(rule, fault);
    if (!error)
        error = settle_ends(rule, fault);
    if (!error)
        error = check_raise_and_drop(rule, fault);
    if (!error)
        error = check_moves(rule, fault);
    if (!error)
        error = check_extras(rule, fault);
    return error ? error : check_ends(rule, fault);
}
