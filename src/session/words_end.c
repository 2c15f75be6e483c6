/* What a mark ended: a turn's climb, a stage, the climbing; and what the passes around the climbing
 * do. Owns nothing. Thread: the main thread. */
#include "session/words_priv.h"

#include <stdio.h>
#include "text/notation.h"

/* True if what ended is the stage alone, by a limit of its own. */
static bool stage_alone(const struct telling *telling)
{
    return telling->moved_on || telling->state->now.stage_ended;
}

static void won_words(const struct telling *telling)
{
    const struct passo_stage *was = &telling->course->stage[telling->decision->stage];
    if (telling->moved_on)
        snprintf(telling->out, telling->bytes, "Won: %s.", was->name);
    else if (was->rule.climbs == PASSO_CLIMBS_MIXED)
        snprintf(telling->out, telling->bytes, "Every tempo is won.");
    else if (was->rule.climbs == PASSO_CLIMBS_LENGTH)
        snprintf(telling->out, telling->bytes, "The longest is won, %s: %s.", telling->here,
                 telling->wins);
    else
        snprintf(telling->out, telling->bytes, "The target is won: %s.",
                 was->rule.climbs == PASSO_CLIMBS_EDGE ? "clean" : telling->wins);
}

/* The edge, where it is known: the result of a stage that another one follows, or the ladder's. */
static void edge_words(const struct telling *telling)
{
    char tempo[PASSO_NAME_MAX + 24] = "";
    const struct passo_course_state *state = telling->state;
    const int32_t mbpm = telling->moved_on ? state->result_mbpm[telling->decision->stage]
                                           : passo_ladder_best_mbpm(&state->ladder, &state->now);
    if (mbpm > 0)
        passo_tempo_write(mbpm, telling->passage->beat, tempo, sizeof tempo);
    snprintf(telling->out, telling->bytes, "The edge is found%s%s.", mbpm > 0 ? ": " : "", tempo);
}

static void plateau_words(const struct telling *telling)
{
    const struct passo_ladder_state *now = &telling->state->now;
    const int drops = telling->rule->plateau_drops;
    const int more = telling->moved_on || now->part != PASSO_PART_CLOSE ? 0 : now->close_left;
    char then[48] = "";
    if (more > 0)
        snprintf(then, sizeof then, " Now %d clean at the best tempo won.", more);
    snprintf(telling->out, telling->bytes, "%d %s from one %s: that is the ceiling for today.%s",
             drops, drops == 1 ? "drop" : "drops",
             telling->rule->climbs == PASSO_CLIMBS_LENGTH ? "length" : "rung", then);
}

/* By misses or by minutes: the misses say. */
static void tired_words(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    const uint32_t mask = rule->tired_of < 32 ? (UINT32_C(1) << rule->tired_of) - 1 : UINT32_MAX;
    const int misses = __builtin_popcount(telling->state->now.recent & mask);
    const long long s = rule->tired_played_ms / 1000;
    static const char then[] = "a long rest, one easy pass, then enough";
    if (rule->tired_misses && misses >= rule->tired_misses)
        snprintf(telling->out, telling->bytes, "%d misses in the last %d: %s.", rule->tired_misses,
                 rule->tired_of, then);
    else if (s % 60 == 0)
        snprintf(telling->out, telling->bytes, "%lld %s of playing: %s.", s / 60,
                 s == 60 ? "minute" : "minutes", then);
    else
        snprintf(telling->out, telling->bytes, "%lld seconds of playing: %s.", s, then);
}

static void limit_words(const struct telling *telling)
{
    const struct passo_rule *rule = telling->rule;
    const bool alone = stage_alone(telling);
    const int more = telling->state->now.extended * PASSO_EXTEND_PASSES;
    const int passes = more + (alone ? rule->stage_passes : rule->stop_passes);
    const int misses = alone ? rule->stage_misses : rule->stop_misses;
    if (telling->decision->reason == PASSO_REASON_TIME)
        snprintf(telling->out, telling->bytes, "The time%s is up.", alone ? " of this stage" : "");
    else if (telling->decision->reason == PASSO_REASON_PASSES && passes == 1)
        snprintf(telling->out, telling->bytes, "That was the one pass%s.",
                 alone ? " of this stage" : "");
    else if (telling->decision->reason == PASSO_REASON_PASSES)
        snprintf(telling->out, telling->bytes, "Those were the %d passes that count%s.", passes,
                 alone ? " of this stage" : "");
    else
        snprintf(telling->out, telling->bytes, "%d %s in a row: enough %s.", misses,
                 misses == 1 ? "miss" : "misses", alone ? "of this stage" : "for now");
}

bool words_tell_end(const struct telling *telling)
{
    switch ((int)telling->decision->reason) {
    case PASSO_REASON_TARGET_WON:
    case PASSO_REASON_NEXT_STAGE:
        won_words(telling);
        return true;
    case PASSO_REASON_NEXT_CLIMB:
        snprintf(telling->out, telling->bytes, "This way is won. The next way begins %s %s.",
                 telling->length ? "with" : "at", telling->here);
        return true;
    case PASSO_REASON_EDGE_FOUND:
        edge_words(telling);
        return true;
    case PASSO_REASON_PLATEAU:
        plateau_words(telling);
        return true;
    case PASSO_REASON_TIRED:
        tired_words(telling);
        return true;
    case PASSO_REASON_TIME:
    case PASSO_REASON_PASSES:
    case PASSO_REASON_MISSES:
        limit_words(telling);
        return true;
    case PASSO_REASON_TOUCHED:
        snprintf(telling->out, telling->bytes, "On to the next.");
        return true;
    case PASSO_REASON_ONCE_MORE:
        snprintf(telling->out, telling->bytes, "Missed: once more at %s, then on.", telling->here);
        return true;
    case PASSO_REASON_PLAYED:
        snprintf(telling->out, telling->bytes, "Played.");
        return true;
    case PASSO_REASON_QUIT:
        snprintf(telling->out, telling->bytes, "Finished by the player.");
        return true;
    }
    return false;
}

/* --- around the climbing --- */

/* A close asks for clean passes at the target, after a plateau at the best that was won. */
static void close_words(const struct telling *telling)
{
    const struct passo_ladder_state *now = &telling->state->now;
    const bool on = now->part == PASSO_PART_CLOSE;
    const bool below = now->outcome == PASSO_OUTCOME_PLATEAU;
    const char *where = below ? "best tempo won" : "target";
    if (telling->moved_on)
        snprintf(telling->out, telling->bytes, "The close is played.");
    else if (telling->rule->close_thins && !below)
        snprintf(telling->out, telling->bytes, "%s.",
                 on                ? "A miss: again with all clicks"
                 : now->close_left ? "Played at the target"
                                   : "Clean with no click after the count-in");
    else if (on)
        snprintf(telling->out, telling->bytes, "Played at the %s; %d clean still to come.", where,
                 now->close_left);
    else
        snprintf(telling->out, telling->bytes, "Played at the %s.", where);
}

static void uncounted_words(const struct telling *telling, enum passo_part part)
{
    static const char *const words[PASSO_PART_COUNT] = {
        [PASSO_PART_COLD] = "The first try is noted. Now the work.",
        [PASSO_PART_ANCHOR] = "The slow one is played.",
        [PASSO_PART_OVER] = "Played past the target; it spoils nothing.",
        [PASSO_PART_CONTEXT] = "The last run is played.",
    };
    if (part == PASSO_PART_CLOSE)
        close_words(telling);
    else if (part == PASSO_PART_EASY)
        snprintf(telling->out, telling->bytes, "%s",
                 telling->state->now.outcome == PASSO_OUTCOME_TIRED
                     ? "That is enough for today."
                     : "Played slowly, to put it away.");
    else
        snprintf(telling->out, telling->bytes, "%s",
                 words[part] ? words[part] : "Played; it does not count.");
}

bool words_tell_around(const struct telling *telling, enum passo_part part)
{
    switch ((int)telling->decision->reason) {
    case PASSO_REASON_UNCOUNTED:
        uncounted_words(telling, part);
        return true;
    case PASSO_REASON_THINNER:
        snprintf(telling->out, telling->bytes, "Clean: fewer clicks now, %s.",
                 words_clicks(telling->state->now.thin));
        return true;
    case PASSO_REASON_FULLER:
        snprintf(telling->out, telling->bytes, "A miss: more clicks again, %s.",
                 words_clicks(telling->state->now.thin));
        return true;
    }
    return false;
}
