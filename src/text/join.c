/* What depends on several lines: the beat unit that every tempo must agree on, where meter changes
 * and the pickup lie, and the places of loops and context. It runs when all lines are read. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/settings.h"

#include <stdio.h>
#include <string.h>

#define VALUE_TEXT_MAX 64

static void fault_unit(struct draft *draft, enum setting_id first, enum setting_id other)
{
    char hint[192];
    char one[VALUE_TEXT_MAX];
    char two[VALUE_TEXT_MAX];
    snprintf(
        hint, sizeof hint, "this counts in %s, but %s (%s) in %s; all tempi have one beat unit",
        passo_note_value_write(draft->unit[other], one, sizeof one), draft->line[first]->key,
        draft->line[first]->origin, passo_note_value_write(draft->unit[first], two, sizeof two));
    lines_fault(draft->faults, draft->line[other], hint);
    draft->bad[other] = true;
}

bool join_unit(struct draft *draft, const struct passo_line *line, struct passo_ratio unit)
{
    char hint[192];
    char one[VALUE_TEXT_MAX];
    char two[VALUE_TEXT_MAX];
    struct passo_ratio beat = draft->setup->passage.beat;
    if (!unit.den || !passo_ratio_cmp(unit, beat))
        return true;
    snprintf(hint, sizeof hint,
             "this counts in %s, but the passage in %s; all tempi have one beat unit",
             passo_note_value_write(unit, one, sizeof one),
             passo_note_value_write(beat, two, sizeof two));
    lines_fault(draft->faults, line, hint);
    return false;
}

/* A ceiling is of the passage; it does not say how the passage is counted. */
static void join_ceiling(struct draft *draft)
{
    char hint[192];
    char one[VALUE_TEXT_MAX];
    const struct passo_ratio unit = draft->unit[SETTING_ceiling];
    const struct passo_ratio beat = draft->setup->passage.beat;
    if (!unit.den || draft->bad[SETTING_ceiling] || !passo_ratio_cmp(unit, beat))
        return;
    snprintf(hint, sizeof hint, "the passage counts in %s; all tempi have one beat unit",
             passo_note_value_write(beat, one, sizeof one));
    lines_fault(draft->faults, draft->line[SETTING_ceiling], hint);
    draft->bad[SETTING_ceiling] = true;
}

/* The unit that `beat` says or that a tempo carries; else that of the score's tempo, or the meter's
 * usual one. */
static void join_beat(struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    enum setting_id first = SETTING_COUNT;
    for (size_t i = 0; i < SETTING_COUNT; i++) {
        if (!draft->unit[i].den || draft->bad[i] || i == SETTING_ceiling)
            continue;
        if (first == SETTING_COUNT)
            first = (enum setting_id)i;
        else if (passo_ratio_cmp(draft->unit[first], draft->unit[i]))
            fault_unit(draft, first, (enum setting_id)i);
    }
    if (first != SETTING_COUNT)
        passage->beat = draft->unit[first];
    else if (draft->tune.tempo.mbpm)
        passage->beat = draft->tune.tempo.beat;
    else
        passage->beat = passo_meter_beat_unit(&passage->meter);
    join_ceiling(draft);
}

/* The score's tempo, where no target is said. */
static void join_tempo(struct draft *draft)
{
    const struct passo_score_tempo *tempo = &draft->tune.tempo;
    if (tempo->mbpm)
        draft->rule->target_mbpm =
            passo_tempo_in_beat(tempo->mbpm, tempo->beat, draft->setup->passage.beat);
}

static void check_changes(struct draft *draft)
{
    const struct passo_passage *passage = &draft->setup->passage;
    int32_t first = passage->first_bar;
    int32_t last = first + passage->bars - 1;
    for (size_t i = 0; i < passage->changes; i++) {
        int32_t bar = passage->change[i].bar;
        if (bar > first && bar <= last)
            continue;
        if (bar == first)
            snprintf(draft->hint, sizeof draft->hint,
                     "this is the first bar; its meter is said by meter = ...");
        else
            snprintf(draft->hint, sizeof draft->hint, "the passage has bars %d to %d", (int)first,
                     (int)last);
        lines_fault(draft->faults, draft->change_line[i], draft->hint);
        draft->bad_meters = true;
    }
}

static void join_pickup(struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    if (draft->pickup_beats)
        passage->pickup = passo_ratio_mul(passage->beat, passo_ratio(draft->pickup_beats, 1));
    if (passo_ratio_cmp(passage->pickup, passo_meter_length(&passage->meter)) < 0)
        return;
    lines_fault(draft->faults, draft->line[SETTING_pickup], "a pickup is shorter than a bar");
    draft->bad[SETTING_pickup] = true;
    passage->pickup = (struct passo_ratio){0, 1};
}

static void join_loops(struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    for (size_t i = 1; i < passage->loops; i++) {
        const char *fault = range_place(draft, &draft->loop[i], true, &passage->loop[i]);
        if (fault)
            lines_fault(draft->faults, draft->loop_line[i], fault);
    }
}

struct passo_place passage_beginning(const struct passo_passage *passage)
{
    if (!passage->pickup.num)
        return (struct passo_place){passage->first_bar, {0, 1}};
    struct passo_ratio bar = passo_meter_length(&passage->meter);
    return (struct passo_place){passage->first_bar - 1, passo_ratio_sub(bar, passage->pickup)};
}

/* So many bars before, though never before bar 1 of the part. */
static void place_context_bars(struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    int32_t from = passage->first_bar - draft->context_before;
    if (from < 1)
        from = passage->first_bar < 1 ? passage->first_bar : 1;
    passage->context.from = (struct passo_place){from, {0, 1}};
    passage->context.to =
        (struct passo_place){passage->first_bar + passage->bars + draft->context_after, {0, 1}};
}

static const char *check_context(struct draft *draft)
{
    const struct passo_passage *passage = &draft->setup->passage;
    int32_t last = passage->first_bar + passage->bars - 1;
    struct passo_place from = passage->context.from;
    struct passo_place to = passage->context.to;
    bool around = from.bar < passage->first_bar || (from.bar == passage->first_bar && !from.at.num);
    around = around && to.bar > last;
    if (around && passage->first_bar - from.bar < PASSO_BARS_MAX && to.bar - last < PASSO_BARS_MAX)
        return NULL;
    snprintf(draft->hint, sizeof draft->hint,
             around ? "a context is at most 2000 bars longer than the passage"
                    : "a context goes around the passage, bars %d to %d",
             (int)passage->first_bar, (int)last);
    return draft->hint;
}

static void join_context(struct draft *draft)
{
    struct passo_passage *passage = &draft->setup->passage;
    const char *fault = NULL;
    strcpy(passage->context.name, "context");
    if (draft->context_bars)
        place_context_bars(draft);
    else
        fault = range_place(draft, &draft->context, false, &passage->context);
    if (!fault)
        fault = check_context(draft);
    if (fault)
        lines_fault(draft->faults, draft->line[SETTING_context], fault);
    /* A context that begins with the passage begins with its pickup. */
    else if (passage->context.from.bar == passage->first_bar)
        passage->context.from = passage_beginning(passage);
}

static void join_chain(struct draft *draft)
{
    const struct passo_line *line = draft->line[SETTING_chain];
    if (!line || draft->bad[SETTING_chain])
        return;
    const char *fault = chain_make(draft, line->value, &draft->chain);
    if (!fault)
        return;
    lines_fault(draft->faults, line, fault);
    draft->bad[SETTING_chain] = true;
}

void join_passage(struct draft *draft)
{
    join_beat(draft);
    join_tempo(draft);
    draft->own_loops = draft->setup->passage.loops;
    /* Places counted in a wrong meter would be faults that are none. */
    if (draft->bad[SETTING_meter] || draft->bad[SETTING_beat] || draft->bad[SETTING_bars])
        return;
    check_changes(draft);
    if (draft->bad_meters)
        return;
    if (!draft->bad[SETTING_pickup])
        join_pickup(draft);
    shape_join(draft);
    join_loops(draft);
    if (draft->line[SETTING_context] && !draft->bad[SETTING_context])
        join_context(draft);
    chain_prepare(draft);
    join_chain(draft);
    draft->joined = !draft->bad[SETTING_chain];
}
