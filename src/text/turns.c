/* The turns of each stage: which loops it climbs, in which variants, or the lengths of its chain.
 * A stage that says nothing takes the player's own loops, then those of the passage's chain, then
 * the whole passage. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#define NAMES_MAX PASSO_LOOPS_MAX

/* Indices of loops or of variants, each once. */
struct picks {
    uint8_t index[NAMES_MAX];
    size_t count;
};

static void pick(struct picks *picks, size_t index)
{
    for (size_t i = 0; i < picks->count; i++)
        if (picks->index[i] == index)
            return;
    picks->index[picks->count++] = (uint8_t)index;
}

static const char *loop_name(const struct draft *draft, size_t index)
{
    return index ? draft->setup->passage.loop[index].name : "whole";
}

static const char *variant_name(const struct draft *draft, size_t index)
{
    return index ? draft->setup->passage.variant[index].name : "as written";
}

typedef const char *name_of(const struct draft *draft, size_t index);

static const char *unknown_name(struct draft *draft, const char *word, const char *kind,
                                name_of *name, size_t count)
{
    char shown[LINES_QUOTE_MAX];
    const char *nearest = NULL;
    size_t best = SIZE_MAX;
    for (size_t i = 0; i < count; i++)
        if (passo_word_nearer(word, name(draft, i), &best))
            nearest = name(draft, i);
    lines_quote(word, shown);
    if (nearest)
        snprintf(draft->hint, sizeof draft->hint, "there is no %s called %s; did you mean %s?",
                 kind, *shown ? shown : "\"\"", nearest);
    else
        snprintf(draft->hint, sizeof draft->hint, "there is no %s called %s; %s would do", kind,
                 *shown ? shown : "\"\"", name(draft, count > 1 ? 1 : 0));
    return draft->hint;
}

/* The names of a list, parted by commas. NULL, or what would do. */
static const char *pick_names(struct draft *draft, const char *value, bool loops,
                              struct picks *picks)
{
    const struct passo_passage *passage = &draft->setup->passage;
    name_of *name = loops ? loop_name : variant_name;
    size_t count = loops ? passage->loops : passage->variants;
    char word[2 * PASSO_NAME_MAX]; /* longer than any name */
    for (const char *at = value; scan_part(&at, ',', word, sizeof word);) {
        size_t i = 0;
        while (i < count && strcasecmp(name(draft, i), word))
            i++;
        if (i == count && loops && draft->seam_is_whole && !strcasecmp(word, "seam"))
            i = 0;
        if (i == count)
            return unknown_name(draft, word, loops ? "loop" : "variant", name, count);
        pick(picks, i);
    }
    return NULL;
}

static void pick_chain(const struct chain *chain, struct picks *picks)
{
    for (size_t i = 0; i < chain->loops; i++)
        pick(picks, chain->loop[i]);
}

/* What a stage plays that says nothing of loops. */
static void pick_usual_loops(const struct draft *draft, struct picks *picks)
{
    for (size_t i = 1; i < draft->own_loops; i++)
        pick(picks, i);
    pick_chain(&draft->chain, picks);
    if (!picks->count)
        pick(picks, 0);
}

static void pick_usual_variants(const struct draft *draft, struct picks *picks)
{
    for (size_t i = 1; i < draft->setup->passage.variants; i++)
        pick(picks, i);
    if (!picks->count)
        pick(picks, 0);
}

static const struct passo_line *own_line(const struct stage_lines *own, enum setting_id id)
{
    return own ? own->line[id] : NULL;
}

/* The line of a setting that a stage goes by. */
static const struct passo_line *line_of(const struct draft *draft, const struct stage_lines *own,
                                        enum setting_id id)
{
    const struct passo_line *line = own_line(own, id);
    return line ? line : draft->line[id];
}

static bool fault_at(struct draft *draft, const struct passo_line *line, const char *fault)
{
    if (fault && line)
        lines_fault(draft->faults, line, fault);
    return fault;
}

/* The lengths of a stage that climbs by length. False after a fault. */
static bool set_lengths(struct draft *draft, const struct stage_lines *own,
                        struct passo_stage *stage)
{
    const struct passo_line *line = line_of(draft, own, SETTING_climbs);
    const struct chain *chain = own_line(own, SETTING_chain) ? &own->chain : &draft->chain;
    const char *fault = NULL;
    if (!chain->loops)
        fault =
            "lengths are those of a chain: chain = backward by 1 bar would do, under [loops] or "
            "in the stage";
    else if (!chain->grows)
        fault = "lengths grow: a chain forward or backward would do, chain = backward by 1 bar";
    if (fault_at(draft, line, fault))
        return false;
    if (fault_at(draft, own_line(own, SETTING_loop),
                 own_line(own, SETTING_loop)
                     ? "where lengths are climbed, the loops are the chain's; leave this out"
                     : NULL))
        return false;
    memcpy(stage->length, chain->loop, chain->loops);
    stage->rule.lengths = (uint16_t)chain->loops;
    return true;
}

static bool pick_loops(struct draft *draft, const struct stage_lines *own,
                       struct passo_stage *stage, struct picks *loops)
{
    const struct passo_line *named = own_line(own, SETTING_loop);
    const struct passo_line *chain = own_line(own, SETTING_chain);
    if (stage->rule.climbs == PASSO_CLIMBS_LENGTH) {
        pick(loops, 0);
        return set_lengths(draft, own, stage);
    }
    if (named && fault_at(draft, named, pick_names(draft, named->value, true, loops)))
        return false;
    if (chain)
        pick_chain(&own->chain, loops);
    if (!named && !chain)
        pick_usual_loops(draft, loops);
    return true;
}

/* The line that makes a stage's turns too many: the last that names or makes loops. */
static const struct passo_line *line_of_turns(const struct draft *draft,
                                              const struct stage_lines *own)
{
    const struct passo_line *line = own_line(own, SETTING_chain);
    if (!line)
        line = own_line(own, SETTING_loop);
    if (!line)
        line = draft->line[SETTING_chain];
    return line ? line : draft->loop_line[draft->own_loops - 1];
}

static void make_turns(struct draft *draft, const struct stage_lines *own,
                       struct passo_stage *stage)
{
    const struct passo_line *named = own_line(own, SETTING_variant);
    struct picks loops = {.count = 0};
    struct picks variants = {.count = 0};
    if (!pick_loops(draft, own, stage, &loops))
        return;
    if (named && fault_at(draft, named, pick_names(draft, named->value, false, &variants)))
        return;
    if (!named)
        pick_usual_variants(draft, &variants);
    if (loops.count * variants.count > PASSO_TURNS_MAX) {
        const struct passo_line *line = line_of_turns(draft, own);
        passo_fault(draft->faults,
                    "%s%s%zu loops in %zu variants are more than %d turns; leave some out",
                    line ? line->origin : "", line ? ": " : "", loops.count, variants.count,
                    PASSO_TURNS_MAX);
        return;
    }
    for (size_t i = 0; i < loops.count; i++)
        for (size_t j = 0; j < variants.count; j++)
            stage->turn[stage->turns++] = (struct passo_turn){loops.index[i], variants.index[j]};
}

void turns_join(struct draft *draft)
{
    struct passo_course *course = &draft->setup->course;
    bool made = true;
    for (size_t i = 0; i < draft->stages; i++) {
        struct stage_lines *own = &draft->stage_lines[i];
        const struct passo_line *line = own->line[SETTING_chain];
        if (line && *line->value &&
            fault_at(draft, line, chain_make(draft, line->value, &own->chain)))
            made = false;
    }
    for (size_t i = 0; made && i < course->stages; i++)
        make_turns(draft, draft->stages ? &draft->stage_lines[i] : NULL, &course->stage[i]);
}
