/* Sentences for musicians. Every move has its reason in words; a miss is information and is never
 * scolded. */
#include "session/words.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"

static const char *beat_place(const struct passo_passage *passage, struct passo_place place,
                              char *out, size_t bytes)
{
    int64_t beat = passo_ratio_floor(passo_ratio_div(place.at, passage->beat)) + 1;
    snprintf(out, bytes, "%d.%d", place.bar, (int)beat);
    return out;
}

/* The last beat that is played before `to`. */
static struct passo_place last_beat(const struct passo_passage *passage, struct passo_place to)
{
    struct passo_ratio zero = {0, 1};
    if (to.at.num == 0) {
        to.bar--;
        to.at = passo_meter_length(passo_passage_meter(passage, to.bar));
    }
    to.at = passo_ratio_sub(to.at, passage->beat);
    if (passo_ratio_cmp(to.at, zero) < 0)
        to.at = zero;
    return to;
}

const char *passo_words_bars(const struct passo_passage *passage, const struct passo_loop *loop,
                             char *out, size_t bytes)
{
    char from[32];
    char to[32];
    struct passo_place begin = loop->from;
    /* A pickup belongs to the bar that it leads into: musicians say "33, with its pickup". */
    if (begin.bar == passage->first_bar - 1 && passage->pickup.num > 0)
        begin = (struct passo_place){passage->first_bar, {0, 1}};
    if (begin.at.num == 0 && loop->to.at.num == 0) {
        if (loop->to.bar - 1 == begin.bar)
            snprintf(out, bytes, "%d", begin.bar);
        else
            snprintf(out, bytes, "%d-%d", begin.bar, loop->to.bar - 1);
        return out;
    }
    snprintf(out, bytes, "%s-%s", beat_place(passage, begin, from, sizeof from),
             beat_place(passage, last_beat(passage, loop->to), to, sizeof to));
    return out;
}

const struct passo_loop *words_plan_loop(const struct passo_passage *passage,
                                         const struct passo_turn *turns,
                                         const struct passo_plan *plan)
{
    if (plan->part == PASSO_PART_CONTEXT)
        return &passage->context;
    return &passage->loop[plan->as_written ? 0 : turns[plan->turn].loop];
}

const struct passo_variant *words_plan_variant(const struct passo_passage *passage,
                                               const struct passo_turn *turns,
                                               const struct passo_plan *plan)
{
    return &passage->variant[plan->as_written ? 0 : turns[plan->turn].variant];
}

/* How it is played, from octave and caption: "octave down, tongued". */
static void variant_words(const struct passo_variant *variant, char *out, size_t bytes)
{
    static const char *const octaves[] = {"two octaves down", "octave down", "", "octave up",
                                          "two octaves up"};
    char octave[32] = "";
    if (variant->octave >= -2 && variant->octave <= 2)
        snprintf(octave, sizeof octave, "%s", octaves[variant->octave + 2]);
    else
        snprintf(octave, sizeof octave, "%d octaves %s",
                 variant->octave < 0 ? -variant->octave : variant->octave,
                 variant->octave < 0 ? "down" : "up");
    const char *comma = octave[0] && variant->caption[0] ? ", " : "";
    snprintf(out, bytes, "%s%s%s", octave, comma, variant->caption);
}

const char *passo_words_what(const struct passo_passage *passage, const struct passo_turn *turns,
                             const struct passo_plan *plan, char *out, size_t bytes)
{
    static const char *const parts[PASSO_PART_COUNT] = {
        [PASSO_PART_COLD] = "first try, cold", [PASSO_PART_ANCHOR] = "slow anchor",
        [PASSO_PART_OVER] = "past the target", [PASSO_PART_CLOSE] = "to close",
        [PASSO_PART_CONTEXT] = "in context",   [PASSO_PART_EASY] = "one easy pass",
    };
    const struct passo_loop *loop = words_plan_loop(passage, turns, plan);
    char bars[64];
    char how[PASSO_TEXT_MAX + 40];
    passo_words_bars(passage, loop, bars, sizeof bars);
    const struct passo_variant *variant = words_plan_variant(passage, turns, plan);
    variant_words(variant, how, sizeof how);
    /* "As written" says something only where there are other ways to play it. */
    if (passage->variants == 1)
        how[0] = '\0';
    else if (!how[0] || strcmp(how, "as written") == 0)
        snprintf(how, sizeof how, "%s", variant->name);
    bool named = plan->part != PASSO_PART_CONTEXT && strcmp(loop->name, "whole") != 0;
    const char *part = parts[plan->part];
    snprintf(out, bytes, "%s %s%s%s%s%s%s%s", strchr(bars, '-') ? "bars" : "bar", bars,
             named ? " · " : "", named ? loop->name : "", how[0] ? " · " : "", how,
             part ? " · " : "", part ? part : "");
    return out;
}

static void rule_words(const struct passo_ladder *ladder, char *out, size_t bytes)
{
    const struct passo_rule *rule = &ladder->rule;
    if (rule->raise_of)
        snprintf(out, bytes, "%d clean of %d", rule->raise_clean, rule->raise_of);
    else if (rule->raise_clean == 1)
        snprintf(out, bytes, "one clean pass");
    else
        snprintf(out, bytes, "%d clean in a row", rule->raise_clean);
}

uint8_t passo_cleans_now(const struct passo_ladder *ladder, const struct passo_ladder_state *state)
{
    if (!ladder->rule.raise_of)
        return state->cleans;
    uint32_t marks =
        state->window_marks < ladder->rule.raise_of ? state->window_marks : ladder->rule.raise_of;
    uint32_t mask = marks >= 32 ? UINT32_MAX : (UINT32_C(1) << marks) - 1;
    return (uint8_t)__builtin_popcount(state->window & mask);
}

/* A clean pass that is not enough yet: how many more. */
static void clean_words(const struct passo_ladder *ladder, const struct passo_ladder_state *state,
                        const char *tempo, char *out, size_t bytes)
{
    const struct passo_rule *rule = &ladder->rule;
    int more = rule->raise_clean - passo_cleans_now(ladder, state);
    if (more <= 1)
        snprintf(out, bytes, "Clean. One more clean pass wins %s.", tempo);
    else
        snprintf(out, bytes, "Clean. %d more%s win %s.", more, rule->raise_of ? "" : " in a row",
                 tempo);
}

const char *passo_words_move(const struct passo_ladder *ladder,
                             const struct passo_ladder_state *state, struct passo_ratio beat,
                             enum passo_part part, const struct passo_decision *decision, char *out,
                             size_t bytes)
{
    static const char *const uncounted[PASSO_PART_COUNT] = {
        [PASSO_PART_COLD] = "The first try is noted. Now the work.",
        [PASSO_PART_ANCHOR] = "The slow one is played.",
        [PASSO_PART_OVER] = "Played past the target; it spoils nothing.",
        [PASSO_PART_CLOSE] = "Played at the target.",
        [PASSO_PART_CONTEXT] = "Played in context.",
        [PASSO_PART_EASY] = "That is enough for today.",
    };
    char tempo[PASSO_NAME_MAX + 24];
    char rule[40];
    /* The rung, also while an anchor pass at its own tempo comes between. */
    passo_tempo_write(ladder->rung_mbpm[state->rung], beat, tempo, sizeof tempo);
    rule_words(ladder, rule, sizeof rule);
    switch (decision->reason) {
    case PASSO_REASON_NONE:
        out[0] = '\0';
        break;
    case PASSO_REASON_RUNG_WON:
        snprintf(out, bytes, "Raised to %s: %s.", tempo, rule);
        break;
    case PASSO_REASON_LIFT_BACK:
        snprintf(out, bytes, "Won; one back to %s, as the ladder goes up and back.", tempo);
        break;
    case PASSO_REASON_LIFT_CLAMPED:
        snprintf(out, bytes, "Won; stays at %s, the lowest rung.", tempo);
        break;
    case PASSO_REASON_NEXT_TURN:
        snprintf(out, bytes, "Now the next one, at %s.", tempo);
        break;
    case PASSO_REASON_CLEAN:
        clean_words(ladder, state, tempo, out, bytes);
        break;
    case PASSO_REASON_MISS:
        snprintf(out, bytes, "A miss. Again at %s.", tempo);
        break;
    case PASSO_REASON_FIRST_TURN:
        snprintf(out, bytes, "A miss. The round begins again at %s.", tempo);
        break;
    case PASSO_REASON_DROP:
        snprintf(out, bytes, "Down to %s: %d %s%s.", tempo, ladder->rule.drop_misses,
                 ladder->rule.drop_misses == 1 ? "miss" : "misses",
                 ladder->rule.drop_counts       ? " here"
                 : ladder->rule.drop_misses > 1 ? " in a row"
                                                : "");
        break;
    case PASSO_REASON_DROP_AT_BOTTOM:
        snprintf(out, bytes, "Stays at %s, the lowest rung.", tempo);
        break;
    case PASSO_REASON_UNMARKED:
        snprintf(out, bytes, "Not marked: played, changes nothing.");
        break;
    case PASSO_REASON_VOID:
        snprintf(out, bytes, "Void: it does not count.");
        break;
    case PASSO_REASON_ELSEWHERE:
        snprintf(out, bytes, "Noted; the ladder had moved meanwhile and stands at %s.", tempo);
        break;
    case PASSO_REASON_UNCOUNTED:
        snprintf(out, bytes, "%s", uncounted[part] ? uncounted[part] : "");
        break;
    case PASSO_REASON_TARGET_WON:
        snprintf(out, bytes, "The target is won: %s.", rule);
        break;
    case PASSO_REASON_NEXT_CLIMB:
        snprintf(out, bytes, "This way is won. The next way begins at %s.", tempo);
        break;
    case PASSO_REASON_NEXT_STAGE:
        snprintf(out, bytes, "This stage is won. The next begins at %s.", tempo);
        break;
    case PASSO_REASON_CEILING:
        snprintf(out, bytes, "Won; %s is the ceiling for today: round again.", tempo);
        break;
    case PASSO_REASON_PUT_AWAY:
        snprintf(out, bytes, "Clean: that tempo is put away. Now %s.", tempo);
        break;
    case PASSO_REASON_STAYS_IN:
        snprintf(out, bytes, "A miss: that tempo comes again. Now %s.", tempo);
        break;
    case PASSO_REASON_EDGE_UP:
        snprintf(out, bytes, "Clean: up to %s.", tempo);
        break;
    case PASSO_REASON_EDGE_HALF:
        snprintf(out, bytes, "Half way between the clean and the missed: %s.", tempo);
        break;
    case PASSO_REASON_EDGE_FOUND:
        snprintf(out, bytes, "The edge is found.");
        break;
    case PASSO_REASON_THINNER:
        snprintf(out, bytes, "Clean: fewer clicks now.");
        break;
    case PASSO_REASON_FULLER:
        snprintf(out, bytes, "A miss: more clicks again.");
        break;
    case PASSO_REASON_PLATEAU:
        snprintf(out, bytes, "%d drops from one rung: that is the ceiling for today.",
                 ladder->rule.plateau_drops);
        break;
    case PASSO_REASON_TIRED:
        snprintf(out, bytes, "%d misses in the last %d: a long rest, one easy pass, then enough.",
                 ladder->rule.tired_misses, ladder->rule.tired_of);
        break;
    case PASSO_REASON_TIME:
        snprintf(out, bytes, "The time is up.");
        break;
    case PASSO_REASON_PASSES:
        snprintf(out, bytes, "Those were the %d passes.", ladder->rule.stop_passes);
        break;
    case PASSO_REASON_MISSES:
        snprintf(out, bytes, "%d misses in a row: enough for now.", ladder->rule.stop_misses);
        break;
    case PASSO_REASON_QUIT:
        snprintf(out, bytes, "Finished by the player.");
        break;
    case PASSO_REASON_BY_HAND:
        snprintf(out, bytes, "%s by hand: %s.",
                 decision->move == PASSO_MOVE_EASIER   ? "Easier"
                 : decision->move == PASSO_MOVE_HARDER ? "Harder"
                                                       : "Changed",
                 tempo);
        break;
    case PASSO_REASON_COUNT:
        PASSO_BUG_ON(decision->reason == PASSO_REASON_COUNT);
    }
    return out;
}

const char *passo_words_count(const struct passo_ladder *ladder,
                              const struct passo_ladder_state *state, char *out, size_t bytes)
{
    const struct passo_rule *rule = &ladder->rule;
    uint8_t cleans = passo_cleans_now(ladder, state);
    if (state->part != PASSO_PART_CLIMB)
        out[0] = '\0';
    else if (rule->raise_of)
        snprintf(out, bytes, "%d of %d clean, the last %d count", cleans, rule->raise_clean,
                 rule->raise_of);
    else
        snprintf(out, bytes, "%d of %d clean%s", cleans, rule->raise_clean,
                 rule->raise_clean > 1 ? " in a row" : "");
    return out;
}

const char *passo_words_result(const struct passo_ladder *ladder,
                               const struct passo_ladder_state *state, struct passo_ratio beat,
                               uint32_t passes, bool marks_ran_out, char *out, size_t bytes)
{
    static const char *const ends[PASSO_OUTCOME_COUNT] = {
        [PASSO_OUTCOME_OPEN] = "Ended",
        [PASSO_OUTCOME_WON] = "Won",
        [PASSO_OUTCOME_PLATEAU] = "The ceiling for today is reached",
        [PASSO_OUTCOME_EDGE] = "The edge is found",
        [PASSO_OUTCOME_TIRED] = "Tired: enough for today",
        [PASSO_OUTCOME_TIME] = "The time is up",
        [PASSO_OUTCOME_PASSES] = "All the passes are played",
        [PASSO_OUTCOME_MISSES] = "Enough for now",
        [PASSO_OUTCOME_QUIT] = "Finished by the player",
    };
    char best[PASSO_NAME_MAX + 24];
    const char *end = marks_ran_out && state->outcome == PASSO_OUTCOME_QUIT ? "The marks ran out"
                                                                            : ends[state->outcome];
    passo_tempo_write(passo_ladder_best_mbpm(ladder, state), beat, best, sizeof best);
    if (state->outcome == PASSO_OUTCOME_WON)
        snprintf(out, bytes, "%s: %s after %u passes.", end, best, passes);
    else if (state->best_rung >= 0)
        snprintf(out, bytes, "%s. Best tempo won: %s, after %u %s.", end, best, passes,
                 passes == 1 ? "pass" : "passes");
    else
        snprintf(out, bytes, "%s. No rung is won yet; %u %s played.", end, passes,
                 passes == 1 ? "pass was" : "passes were");
    return out;
}
