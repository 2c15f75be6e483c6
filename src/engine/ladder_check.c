/* Whether every part of a rule can be played; the first fault is put into one sentence that names
 * the part, its value and what would do. Tempos and steps are ladder_settle.c's. Runs on the
 * control side, once a climb. */
#include "engine/ladder_priv.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define WINDOW_MAX         32
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

bool ladder_playable(int64_t mbpm)
{
    return mbpm >= PASSO_TEMPO_MIN_MBPM && mbpm <= PASSO_TEMPO_MAX_MBPM;
}

enum passo_error ladder_check_tempo(const char *part, int32_t mbpm, struct ladder_fault *fault)
{
    char tempo[LADDER_THOUSANDTHS_BYTES];
    if (ladder_playable(mbpm))
        return PASSO_OK;
    return ladder_fault(fault,
                        "`%s`: %s bpm is outside 5 to 1000 bpm; a tempo between them would do",
                        part, ladder_thousandths(mbpm, tempo));
}

enum passo_error ladder_check_share(const char *part, int32_t permille, int32_t most,
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
    if (rule->raise_of && rule->raise_coins)
        return ladder_fault(fault, "`raise` counts coins or the last passes, not both; 5 coins, or "
                                   "3 clean of 4, would do");
    if ((unsigned)rule->drop_counts >= PASSO_DROP_COUNTS_COUNT)
        return ladder_fault(fault, "`drop` counts misses in an unknown way (%d)",
                            (int)rule->drop_counts);
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
    enum passo_error error = ladder_check_share(part, permille, SHARE_MAX_PERMILLE, fault);
    if (error || ladder_playable(((int64_t)target_mbpm * permille + 500) / 1000))
        return error;
    return ladder_fault(fault, "`%s`: %s %% of the target is outside 5 to 1000 bpm", part,
                        ladder_thousandths(permille * 100, share));
}

static enum passo_error check_extras(const struct passo_rule *rule, struct ladder_fault *fault)
{
    enum passo_error error = PASSO_OK;
    if (rule->anchor_permille)
        error = check_extra_share("anchor", rule->anchor_permille, ladder_full_mbpm(rule), fault);
    if (!error && rule->over_passes)
        error = check_extra_share("over", rule->over_permille, rule->target_mbpm, fault);
    if (!error && rule->put_away_passes && rule->put_away_permille)
        error = check_extra_share("finish", rule->put_away_permille, ladder_full_mbpm(rule), fault);
    if (!error && rule->resume_permille)
        error = ladder_check_share("resume", rule->resume_permille, 1000, fault);
    if (!error && rule->close_clean && rule->close_thins)
        error = ladder_fault(fault,
                             "`close` asks for %u clean or thins out, not both; one of them "
                             "would do",
                             rule->close_clean);
    return error;
}

static enum passo_error check_ends(const struct passo_rule *rule, struct ladder_fault *fault)
{
    if (rule->tired_misses && (rule->tired_of < 1 || rule->tired_of > WINDOW_MAX))
        return ladder_fault(fault, "`tired = %u misses of %u`; the last 1 to %d passes would do",
                            rule->tired_misses, rule->tired_of, WINDOW_MAX);
    if (rule->tired_misses > rule->tired_of)
        return ladder_fault(fault, "`tired = %u misses of %u` can never be met; %u of %u would do",
                            rule->tired_misses, rule->tired_of, rule->tired_of, rule->tired_misses);
    if (rule->tired_played_ms < 0)
        return ladder_fault(fault, "`tired` after less than no playing; 15 min would do");
    if (rule->stop_ms < 0 || rule->stage_ms < 0)
        return ladder_fault(fault, "`stop` after less than no time; 20 min would do");
    return PASSO_OK;
}

static bool rest_in_range(int32_t rest_ms)
{
    return rest_ms >= 0 && rest_ms <= REST_MAX_MS;
}

static enum passo_error check_rest(const struct passo_rule *rule, struct ladder_fault *fault)
{
    char least[LADDER_THOUSANDTHS_BYTES];
    char most[LADDER_THOUSANDTHS_BYTES];
    if (rule->rest_permille < 0 || rule->rest_permille > SHARE_MAX_PERMILLE)
        return ladder_fault(fault, "`rest`: the share of the playing is outside 0 to 100");
    if (!rest_in_range(rule->rest_fixed_ms) || !rest_in_range(rule->rest_least_ms) ||
        !rest_in_range(rule->rest_most_ms))
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
    enum passo_error error = ladder_settle(rule, fault);
    if (!error)
        error = check_raise_and_drop(rule, fault);
    if (!error)
        error = check_moves(rule, fault);
    if (!error)
        error = check_extras(rule, fault);
    if (!error)
        error = check_ends(rule, fault);
    return error ? error : check_rest(rule, fault);
}
