/* Sentences for musicians: what is played, how far a rung is won, what came of the climb. */
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

const char *passo_words_what(const struct passo_passage *passage, const struct passo_plan *plan,
                             char *out, size_t bytes)
{
    static const char *const parts[PASSO_PART_COUNT] = {
        [PASSO_PART_COLD] = "first try, cold", [PASSO_PART_ANCHOR] = "slow anchor",
        [PASSO_PART_OVER] = "past the target", [PASSO_PART_CLOSE] = "to close",
        [PASSO_PART_CONTEXT] = "in context",   [PASSO_PART_EASY] = "one easy pass",
    };
    const struct passo_loop *loop = passo_plan_loop(passage, plan);
    char bars[64];
    char how[PASSO_TEXT_MAX + 40];
    passo_words_bars(passage, loop, bars, sizeof bars);
    const struct passo_variant *variant = passo_plan_variant(passage, plan);
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

static void stages_words(const struct passo_course *course, char *out, size_t bytes)
{
    size_t used = (size_t)snprintf(out, bytes, "%zu stages:", course->stages);
    for (size_t i = 0; i < course->stages && used < bytes; i++)
        used += (size_t)snprintf(out + used, bytes - used, "%s %s", i ? "," : "",
                                 course->stage[i].name);
}

const char *passo_words_climb(const struct passo_course *course,
                              const struct passo_passage *passage,
                              const struct passo_course_state *state, char *out, size_t bytes)
{
    const struct passo_ladder *ladder = &state->ladder;
    const struct passo_stage *stage = &course->stage[state->stage];
    char from[PASSO_NAME_MAX + 24];
    char to[PASSO_NAME_MAX + 24];
    char opens[PASSO_NAME_MAX + 40] = "";
    passo_tempo_write(ladder->rule.target_mbpm, passage->beat, to, sizeof to);
    passo_tempo_write(ladder->rung_mbpm[ladder->opening], passage->beat, from, sizeof from);
    if (ladder->opening)
        snprintf(opens, sizeof opens, ", opening at %s", from);
    passo_tempo_write(ladder->rung_mbpm[0], passage->beat, from, sizeof from);
    if (course->stages > 1)
        stages_words(course, out, bytes);
    else if (stage->rule.climbs == PASSO_CLIMBS_LENGTH)
        snprintf(out, bytes, "at %s, from %s to %s in %u lengths", to,
                 passage->loop[stage->length[ladder->opening]].name,
                 passage->loop[stage->length[ladder->rungs - 1]].name, ladder->rungs);
    else
        snprintf(out, bytes, "from %s to %s in %u rungs%s", from, to, ladder->rungs, opens);
    return out;
}

uint8_t passo_cleans_now(const struct passo_ladder *ladder, const struct passo_ladder_state *state)
{
    if (ladder->rule.raise_coins)
        return state->coins;
    if (!ladder->rule.raise_of)
        return state->cleans;
    uint32_t marks =
        state->window_marks < ladder->rule.raise_of ? state->window_marks : ladder->rule.raise_of;
    uint32_t mask = marks >= 32 ? UINT32_MAX : (UINT32_C(1) << marks) - 1;
    return (uint8_t)__builtin_popcount(state->window & mask);
}

static int put_away(const struct passo_ladder_state *state)
{
    int rungs = 0;
    for (size_t i = 0; i < PASSO_RUNGS_MAX / 64; i++)
        rungs += __builtin_popcountll(state->put_away[i]);
    return rungs;
}

const char *passo_words_count(const struct passo_ladder *ladder,
                              const struct passo_ladder_state *state, char *out, size_t bytes)
{
    const struct passo_rule *rule = &ladder->rule;
    uint8_t cleans = passo_cleans_now(ladder, state);
    if (state->part != PASSO_PART_CLIMB || rule->climbs == PASSO_CLIMBS_EDGE)
        out[0] = '\0';
    else if (rule->climbs == PASSO_CLIMBS_MIXED)
        snprintf(out, bytes, "%d of %d tempi put away", put_away(state), ladder->rungs);
    else if (rule->raise_coins)
        snprintf(out, bytes, "%d of %d coins across", cleans, rule->raise_clean);
    else if (rule->raise_of)
        snprintf(out, bytes, "%d of %d clean, the last %d count", cleans, rule->raise_clean,
                 rule->raise_of);
    else
        snprintf(out, bytes, "%d of %d clean%s", cleans, rule->raise_clean,
                 rule->raise_clean > 1 ? " in a row" : "");
    return out;
}

/* The best that was won: a tempo, or how much of the passage. */
static const char *best_words(const struct passo_course *course,
                              const struct passo_passage *passage,
                              const struct passo_course_state *state, char *out, size_t bytes)
{
    const struct passo_stage *stage = &course->stage[state->stage];
    if (stage->rule.climbs == PASSO_CLIMBS_LENGTH && state->now.best_rung >= 0)
        snprintf(out, bytes, "%s", passage->loop[stage->length[state->now.best_rung]].name);
    else
        passo_tempo_write(passo_ladder_best_mbpm(&state->ladder, &state->now), passage->beat, out,
                          bytes);
    return out;
}

const char *passo_words_result(const struct passo_course *course,
                               const struct passo_passage *passage,
                               const struct passo_course_state *state, uint32_t passes,
                               bool marks_ran_out, char *out, size_t bytes)
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
    const struct passo_stage *stage = &course->stage[state->stage];
    const bool length = stage->rule.climbs == PASSO_CLIMBS_LENGTH;
    char best[PASSO_NAME_MAX + 24];
    char where[PASSO_NAME_MAX + 16] = "";
    const char *end = marks_ran_out && state->now.outcome == PASSO_OUTCOME_QUIT
                          ? "The marks ran out"
                          : ends[state->now.outcome];
    best_words(course, passage, state, best, sizeof best);
    if (course->stages > 1 && state->now.outcome != PASSO_OUTCOME_WON)
        snprintf(where, sizeof where, " in %s", stage->name);
    if (state->now.outcome == PASSO_OUTCOME_WON)
        snprintf(out, bytes, "%s: %s after %u passes.", end, best, passes);
    else if (state->now.best_rung >= 0)
        snprintf(out, bytes, "%s. Best %s won%s: %s, after %u %s.", end,
                 length ? "length" : "tempo", where, best, passes, passes == 1 ? "pass" : "passes");
    else
        snprintf(out, bytes, "%s. No rung is won yet%s; %u %s played.", end, where, passes,
                 passes == 1 ? "pass was" : "passes were");
    return out;
}
