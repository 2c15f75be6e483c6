/* Sentences for musicians: what is played and how, which climb and which stage of it this is, how
 * far a rung is won. What a mark did is told by words_move.c and words_end.c, the result by
 * words_result.c. Owns nothing. Thread: the main thread. */
#include "session/words_priv.h"

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
    beat_place(passage, begin, from, sizeof from);
    beat_place(passage, last_beat(passage, loop->to), to, sizeof to);
    const bool one = strcmp(from, to) == 0;
    snprintf(out, bytes, "%s%s%s", from, one ? "" : "-", one ? "" : to);
    return out;
}

const char *passo_words_length(const struct passo_loop *loop, char *out, size_t bytes)
{
    static const char *const which[] = {"first ", "last ", "second ", "seam"};
    const char *the = "";
    for (size_t i = 0; i < sizeof which / sizeof which[0]; i++)
        if (strncmp(loop->name, which[i], strlen(which[i])) == 0)
            the = "the ";
    const bool whole = strcmp(loop->name, "whole") == 0;
    snprintf(out, bytes, "%s%s", the, whole ? "the whole passage" : loop->name);
    return out;
}

/* How it is played, from octave and caption: "octave down, tongued"; a caption without end is cut
 * so that all that is said of a pass has room. */
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
    char all[PASSO_TEXT_MAX + 40];
    const char *comma = octave[0] && variant->caption[0] ? ", " : "";
    snprintf(all, sizeof all, "%s%s%s", octave, comma, variant->caption);
    passo_text_clean(all, out, bytes);
}

const char *words_clicks(uint8_t thin)
{
    switch ((enum passo_thin)thin) {
    case PASSO_THIN_HALVES:
        return "a click each half bar";
    case PASSO_THIN_BARS:
        return "one click a bar";
    case PASSO_THIN_TWO_BARS:
        return "one click in two bars";
    case PASSO_THIN_COUNT_IN:
        return "no click after the count-in";
    case PASSO_THIN_NONE:
    case PASSO_THIN_COUNT:
        break;
    }
    return "all clicks";
}

/* What kind of pass it is, where it is not one of the climbing; "" else. */
static void part_words(const struct passo_passage *passage, const struct passo_plan *plan,
                       char *out, size_t bytes)
{
    static const char *const parts[PASSO_PART_COUNT] = {
        [PASSO_PART_COLD] = "first try, cold", [PASSO_PART_ANCHOR] = "slow anchor",
        [PASSO_PART_OVER] = "past the target", [PASSO_PART_CLOSE] = "to close",
        [PASSO_PART_CONTEXT] = "in context",
    };
    const char *part = parts[plan->part] ? parts[plan->part] : "";
    /* With nothing around it, it is no context. */
    const struct passo_loop *context = &passage->context;
    const struct passo_loop *whole = &passage->loop[0];
    if (plan->part == PASSO_PART_CONTEXT && context->from.bar == whole->from.bar &&
        context->to.bar == whole->to.bar)
        part = "last run";
    /* After tiredness there is one, and its rest has a length of its own. */
    if (plan->part == PASSO_PART_EASY)
        part = plan->rest_ms > 0 ? "one easy pass" : "slow and easy, to put it away";
    const bool thin = plan->thin != PASSO_THIN_NONE;
    snprintf(out, bytes, "%s%s%s", part, thin ? ", " : "", thin ? words_clicks(plan->thin) : "");
}

const char *passo_words_what(const struct passo_passage *passage, const struct passo_plan *plan,
                             char *out, size_t bytes)
{
    const struct passo_loop *loop = passo_plan_loop(passage, plan);
    char bars[64];
    char part[64];
    char how[PASSO_TEXT_MAX];
    passo_words_bars(passage, loop, bars, sizeof bars);
    part_words(passage, plan, part, sizeof part);
    const struct passo_variant *variant = passo_plan_variant(passage, plan);
    variant_words(variant, how, sizeof how);
    /* "As written" says something only where there are other ways to play it. */
    if (passage->variants == 1)
        how[0] = '\0';
    else if (!how[0] || strcmp(how, "as written") == 0)
        snprintf(how, sizeof how, "%s", variant->name);
    bool named = plan->part != PASSO_PART_CONTEXT && strcmp(loop->name, "whole") != 0;
    snprintf(out, bytes, "%s %s%s%s%s%s%s%s", strchr(bars, '-') ? "bars" : "bar", bars,
             named ? " · " : "", named ? loop->name : "", how[0] ? " · " : "", how,
             part[0] ? " · " : "", part);
    return out;
}

const char *passo_words_stage(const struct passo_course *course, uint8_t stage, char *out,
                              size_t bytes)
{
    out[0] = '\0';
    if (course->stages > 1)
        snprintf(out, bytes, "stage %d of %zu, %s", stage + 1, course->stages,
                 course->stage[stage].name);
    return out;
}

const char *passo_words_pass(const struct passo_course *course, const struct passo_passage *passage,
                             const struct passo_plan *plan, char *out, size_t bytes)
{
    char tempo[PASSO_NAME_MAX + 24];
    char what[PASSO_WORDS_BYTES];
    char stage[PASSO_NAME_MAX + 32];
    passo_words_stage(course, plan->stage, stage, sizeof stage);
    /* A stage that is called as its loop is told by its number alone. */
    const bool twice =
        strcmp(course->stage[plan->stage].name, passo_plan_loop(passage, plan)->name) == 0;
    char *comma = strchr(stage, ',');
    if (twice && comma)
        *comma = '\0';
    snprintf(out, bytes, "%s · %s%s%s",
             passo_tempo_write(plan->mbpm, passage->beat, tempo, sizeof tempo),
             passo_words_what(passage, plan, what, sizeof what), stage[0] ? " · " : "", stage);
    return out;
}

/* As many names as there is room for. */
static void stages_words(const struct passo_course *course, char *out, size_t bytes)
{
    enum { ENOUGH_BYTES = 160 };
    size_t used = (size_t)snprintf(out, bytes, "%zu stages:", course->stages);
    size_t named = 0;
    while (named < course->stages && used < ENOUGH_BYTES && used < bytes) {
        used += (size_t)snprintf(out + used, bytes - used, "%s %s", named ? "," : "",
                                 course->stage[named].name);
        named++;
    }
    if (named < course->stages && used < bytes)
        snprintf(out + used, bytes - used, " and %zu more", course->stages - named);
}

static void lengths_words(const struct passo_stage *stage, const struct passo_passage *passage,
                          const struct passo_ladder *ladder, char *out, size_t bytes)
{
    char to[PASSO_NAME_MAX + 24];
    char first[PASSO_NAME_MAX + 20];
    char last[PASSO_NAME_MAX + 20];
    char opens[PASSO_NAME_MAX + 20];
    passo_tempo_write(ladder->rule.target_mbpm, passage->beat, to, sizeof to);
    passo_words_length(&passage->loop[stage->length[0]], first, sizeof first);
    passo_words_length(&passage->loop[stage->length[ladder->rungs - 1]], last, sizeof last);
    passo_words_length(&passage->loop[stage->length[ladder->opening]], opens, sizeof opens);
    if (ladder->rungs == 1)
        snprintf(out, bytes, "at %s, %s", to, last);
    else
        snprintf(out, bytes, "at %s, from %s to %s in %u lengths%s%s", to, first, last,
                 ladder->rungs, ladder->opening ? ", opening with " : "",
                 ladder->opening ? opens : "");
}

const char *passo_words_ladder(const struct passo_course *course,
                               const struct passo_passage *passage,
                               const struct passo_course_state *state, char *out, size_t bytes)
{
    const struct passo_ladder *ladder = &state->ladder;
    const struct passo_rule *rule = &ladder->rule;
    char from[PASSO_NAME_MAX + 24];
    char to[PASSO_NAME_MAX + 24];
    char opens[PASSO_NAME_MAX + 40] = "";
    char within[16];
    passo_tempo_write(rule->target_mbpm, passage->beat, to, sizeof to);
    passo_tempo_write(ladder->rung_mbpm[ladder->opening], passage->beat, from, sizeof from);
    if (ladder->opening)
        snprintf(opens, sizeof opens, ", opening at %s", from);
    passo_tempo_write(ladder->rung_mbpm[0], passage->beat, from, sizeof from);
    if (rule->climbs == PASSO_CLIMBS_LENGTH)
        lengths_words(&course->stage[state->stage], passage, ladder, out, bytes);
    else if (rule->climbs == PASSO_CLIMBS_CHECK)
        snprintf(out, bytes, "once at %s", to);
    else if (rule->climbs == PASSO_CLIMBS_BLOCK)
        snprintf(out, bytes, "at %s", to);
    else if (ladder->rungs == 1)
        snprintf(out, bytes, "at %s, the only rung", to);
    else if (rule->climbs == PASSO_CLIMBS_MIXED)
        snprintf(out, bytes, "%u tempi from %s to %s, in drawn order%s", ladder->rungs, from, to,
                 opens);
    else if (rule->climbs == PASSO_CLIMBS_EDGE)
        snprintf(out, bytes, "looking for the edge from %s up to %s, to within %s%s", from, to,
                 passo_bpm_write(rule->edge_within_mbpm, within, sizeof within), opens);
    else
        snprintf(out, bytes, "from %s to %s in %u rungs%s", from, to, ladder->rungs, opens);
    if (ladder->highest + 1 < ladder->rungs) {
        size_t used = strlen(out);
        passo_tempo_write(ladder->rung_mbpm[ladder->highest], passage->beat, to, sizeof to);
        snprintf(out + used, bytes - used, ", today no higher than %s", to);
    }
    return out;
}

const char *passo_words_climb(const struct passo_course *course,
                              const struct passo_passage *passage,
                              const struct passo_course_state *state, char *out, size_t bytes)
{
    if (course->stages > 1)
        stages_words(course, out, bytes);
    else
        passo_words_ladder(course, passage, state, out, bytes);
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

int words_put_away(const struct passo_ladder_state *state)
{
    int rungs = 0;
    for (size_t i = 0; i < PASSO_RUNGS_MAX / 64; i++)
        rungs += __builtin_popcountll(state->put_away[i]);
    return rungs;
}

/* Between which tempi the edge must lie, as far as is known. */
static void edge_words(const struct passo_ladder *ladder, const struct passo_ladder_state *state,
                       char *out, size_t bytes)
{
    char clean[16] = "";
    char miss[16] = "";
    if (state->edge_clean >= 0)
        passo_bpm_write(ladder->rung_mbpm[state->edge_clean], clean, sizeof clean);
    if (state->edge_miss < ladder->rungs)
        passo_bpm_write(ladder->rung_mbpm[state->edge_miss], miss, sizeof miss);
    if (clean[0] && miss[0])
        snprintf(out, bytes, "edge between %s and %s", clean, miss);
    else if (clean[0] || miss[0])
        snprintf(out, bytes, "edge %s %s", clean[0] ? "at least" : "under",
                 clean[0] ? clean : miss);
    else
        snprintf(out, bytes, "looking for the edge");
}

const char *passo_words_count(const struct passo_ladder *ladder,
                              const struct passo_ladder_state *state, char *out, size_t bytes)
{
    const struct passo_rule *rule = &ladder->rule;
    uint8_t cleans = passo_cleans_now(ladder, state);
    const bool thins = rule->close_thins && state->outcome == PASSO_OUTCOME_WON;
    if (passo_rule_is_once(rule))
        out[0] = '\0';
    else if (state->part == PASSO_PART_CLOSE && thins)
        snprintf(out, bytes, "%s", words_clicks(state->thin));
    else if (state->part == PASSO_PART_CLOSE)
        snprintf(out, bytes, "%d more clean to close", state->close_left);
    else if (state->part != PASSO_PART_CLIMB && state->part != PASSO_PART_ANCHOR)
        out[0] = '\0';
    else if (rule->climbs == PASSO_CLIMBS_EDGE)
        edge_words(ladder, state, out, bytes);
    else if (rule->climbs == PASSO_CLIMBS_MIXED)
        snprintf(out, bytes, "%d of %d tempi put away", words_put_away(state), ladder->rungs);
    else if (rule->raise_coins)
        snprintf(out, bytes, "%d of %d coins across", cleans, rule->raise_clean);
    else if (rule->raise_of)
        snprintf(out, bytes, "%d of %d clean in last %d", cleans, rule->raise_clean,
                 rule->raise_of);
    else
        snprintf(out, bytes, "%d of %d clean%s", cleans, rule->raise_clean,
                 rule->raise_clean > 1 ? " in a row" : "");
    return out;
}
