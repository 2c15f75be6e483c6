/* Readers of the lines that only a routine has, each alone. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/reading.h"
#include "text/routine_priv.h"
#include "text/scan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MIN_MS       60000
#define LEAST_MS     6000 /* of a block, a visit, a passage */
#define BLOCK_MIN    120
#define ROUTINE_MIN  600
#define PASSES_MAX   100
#define EACH_DAY_MAX PASSO_KEYS_MAX

/* "5", "2.5", "5 min", "90 s": a bare number is minutes. */
static bool read_time(const char *value, int64_t *out_ms)
{
    int64_t milli = 0;
    if (scan_match(value, "@", out_ms))
        return true;
    if (!scan_match(value, "~", &milli))
        return false;
    *out_ms = milli * (MIN_MS / 1000);
    return true;
}

static bool read_within(const char *value, int64_t least_ms, int64_t most_min, int64_t *out_ms)
{
    int64_t ms = 0;
    if (!read_time(value, &ms) || !reading_fits(ms, least_ms, most_min * MIN_MS))
        return false;
    *out_ms = ms;
    return true;
}

static bool read_yes(const char *value, bool *out_yes)
{
    *out_yes = scan_match(value, "yes", NULL);
    return *out_yes || scan_match(value, "no", NULL);
}

const char *routine_read_title(const char *value, struct routine_draft *draft)
{
    passo_text_clean(value, draft->file->title, PASSO_TEXT_MAX);
    return NULL;
}

const char *routine_read_whole(const char *value, struct routine_draft *draft)
{
    return read_within(value, MIN_MS, ROUTINE_MIN, &draft->file->whole_ms)
               ? NULL
               : "a routine lasts 1 to 600 minutes: 45";
}

const char *routine_read_passages(const char *value, struct routine_draft *draft)
{
    return read_within(value, MIN_MS, ROUTINE_MIN, &draft->file->passages_ms)
               ? NULL
               : "passages have 1 to 600 minutes: 12; of none, leave the line out";
}

const char *routine_read_order(const char *value, struct routine_draft *draft)
{
    bool blocked = scan_match(value, "blocked", NULL);
    if (!blocked && !scan_match(value, "mixed", NULL))
        return "visits of one passage are mixed (spread over the routine) or blocked (one after "
               "the other)";
    draft->file->routine.order = blocked ? PASSO_ORDER_BLOCKED : PASSO_ORDER_MIXED;
    return NULL;
}

const char *routine_read_visit(const char *value, struct routine_draft *draft)
{
    struct passo_routine_file *file = draft->file;
    char part[64];
    int64_t passes = 0;
    int64_t ms = 0;
    for (const char *at = value; scan_part(&at, ',', part, sizeof part);) {
        int64_t number = 0;
        bool counted = scan_match(part, "# passes|pass", &number);
        if (counted && !passes && reading_fits(number, 1, PASSES_MAX))
            passes = number;
        else if (counted || ms || !read_within(part, LEAST_MS, BLOCK_MIN, &ms))
            return "a visit has at most so many passes (up to 100) or minutes (up to 120): 6 "
                   "passes, 3 min, or one of "
                   "the two";
    }
    file->visit_passes = (uint16_t)passes;
    file->routine.visit_ms = ms;
    return NULL;
}

const char *routine_read_least(const char *value, struct routine_draft *draft)
{
    return read_within(value, LEAST_MS, BLOCK_MIN, &draft->file->routine.least_ms)
               ? NULL
               : "the least for a passage is 0.1 to 120 minutes: 2 min";
}

const char *routine_read_most(const char *value, struct routine_draft *draft)
{
    return read_within(value, LEAST_MS, BLOCK_MIN, &draft->file->routine.most_ms)
               ? NULL
               : "the most for a passage is 0.1 to 120 minutes: 8 min";
}

const char *routine_read_relative(const char *value, struct routine_draft *draft)
{
    return read_yes(value, &draft->file->routine.relative)
               ? NULL
               : "whether a passage comes up with its relative key is yes or no";
}

/* The line of a passage's ladder, read as there. */
const char *routine_read_rest(const char *value, struct routine_draft *draft)
{
    struct passo_routine_file *file = draft->file;
    struct draft *passage = passo_xcalloc(1, sizeof *passage);
    passage->rule = &file->rest;
    const char *fault = setting_reader_at(SETTING_rest)(value, passage);
    free(passage);
    if (fault)
        return fault;
    if (strlen(value) >= sizeof file->rest_value)
        return "a rest is said in at most 95 bytes: as played, at least 6 s, at most 60 s";
    strcpy(file->rest_value, value);
    file->rest_said = true;
    return NULL;
}

const char *routine_read_offer_rests(const char *value, struct routine_draft *draft)
{
    return read_yes(value, &draft->file->rests) ? NULL : "whether rests are offered is yes or no";
}

const char *routine_read_caption(const char *value, struct routine_draft *draft)
{
    passo_text_clean(value, draft->block->caption, PASSO_TEXT_MAX);
    return NULL;
}

const char *routine_read_minutes(const char *value, struct routine_draft *draft)
{
    return read_within(value, LEAST_MS, BLOCK_MIN, &draft->planned->ms)
               ? NULL
               : "a block lasts 0.1 to 120 minutes: 5";
}

const char *routine_read_passes(const char *value, struct routine_draft *draft)
{
    int64_t passes = 0;
    if ((!scan_match(value, "#", &passes) && !scan_match(value, "# passes|pass", &passes)) ||
        !reading_fits(passes, 1, PASSES_MAX))
        return "each key of a block has 1 to 100 passes: 2";
    draft->planned->passes = (uint16_t)passes;
    return NULL;
}

/* "fourths", "circle of fourths, minor". */
static bool read_cycle(const char *value, struct passo_cycle *out_cycle)
{
    static const char *const kinds[][3] = {
        [PASSO_CYCLE_FOURTHS] = {"fourths", "circle of fourths", "in fourths"},
        [PASSO_CYCLE_FIFTHS] = {"fifths", "circle of fifths", "in fifths"},
        [PASSO_CYCLE_CHROMATIC_UP] = {"chromatic up", "chromatically up", "chromatic"},
        [PASSO_CYCLE_CHROMATIC_DOWN] = {"chromatic down", "chromatically down", "down"},
    };
    static const char *const modes[] = {"", " , major", " , minor", " major", " minor"};
    char pattern[64];
    for (size_t kind = PASSO_CYCLE_FOURTHS; kind <= PASSO_CYCLE_CHROMATIC_DOWN; kind++)
        for (size_t i = 0; i < 3; i++)
            for (size_t mode = 0; mode < sizeof modes / sizeof *modes; mode++) {
                snprintf(pattern, sizeof pattern, "%s%s", kinds[kind][i], modes[mode]);
                if (!scan_match(value, pattern, NULL))
                    continue;
                out_cycle->kind = (enum passo_cycle_kind)kind;
                out_cycle->mode =
                    strstr(modes[mode], "minor") ? PASSO_MODE_MINOR : PASSO_MODE_MAJOR;
                return true;
            }
    return false;
}

/* Whether a part of a list begins with the letter by which some call B. */
static bool says_h(const char *value)
{
    char part[64];
    for (const char *at = value; scan_part(&at, ',', part, sizeof part);)
        if ((*part == 'H' || *part == 'h') && (!part[1] || strchr(" -#b", part[1])))
            return true;
    return false;
}

/* Where a key comes twice nobody could say how far the keys have come. */
static bool comes_twice(const struct passo_cycle *cycle)
{
    for (size_t i = 0; i < cycle->listed; i++)
        for (size_t k = 0; k < i; k++)
            if (cycle->list[i].tonic == cycle->list[k].tonic &&
                cycle->list[i].mode == cycle->list[k].mode)
                return true;
    return false;
}

const char *routine_read_keys(const char *value, struct routine_draft *draft)
{
    struct passo_cycle *cycle = &draft->planned->cycle;
    bool whole = false;
    if (read_cycle(value, cycle))
        return NULL;
    size_t count = passo_keys_read(value, cycle->list, PASSO_KEYS_MAX, &whole);
    cycle->listed = (uint8_t)count;
    cycle->kind = count && whole ? PASSO_CYCLE_LIST : PASSO_CYCLE_NONE;
    if (cycle->kind == PASSO_CYCLE_LIST)
        return comes_twice(cycle) ? "a key comes twice; each once would do" : NULL;
    if (count == PASSO_KEYS_MAX)
        return "a list has at most 24 keys";
    if (says_h(value))
        return "there is no key of H here: B is B natural, and B-flat is said in full";
    return "keys are fourths, fifths, chromatic up or chromatic down (also fourths, minor), or a "
           "list: B-flat, E-flat, F minor";
}

const char *routine_read_each_day(const char *value, struct routine_draft *draft)
{
    int64_t keys = 0;
    if ((!scan_match(value, "#", &keys) && !scan_match(value, "# keys|key", &keys)) ||
        !reading_fits(keys, 1, EACH_DAY_MAX))
        return "so many keys a day are a number: 3";
    draft->planned->keys_a_day = (uint8_t)keys;
    return NULL;
}

const char *const routine_sound[PASSO_SOUND_COUNT] = {
    [PASSO_SOUND_PULSE] = "pulse",
    [PASSO_SOUND_DRONE] = "drone",
    [PASSO_SOUND_PULSE_AND_DRONE] = "pulse and drone",
};

const char *routine_read_sound(const char *value, struct routine_draft *draft)
{
    for (size_t i = 0; i < PASSO_SOUND_COUNT; i++)
        if (scan_match(value, routine_sound[i], NULL)) {
            draft->block->sound = (enum passo_block_sound)i;
            return NULL;
        }
    return "what sounds is pulse, drone, or pulse and drone";
}

const char *routine_read_free(const char *value, struct routine_draft *draft)
{
    return read_yes(value, &draft->free) ? NULL : "a free block is said with yes or no";
}

/* The tempo is one of the lines that a passage's readers read. */
const char *routine_read_tempo(const char *value, struct routine_draft *draft)
{
    (void)value;
    (void)draft;
    return NULL;
}

void routine_own_read(struct routine_draft *draft, const struct passo_lines *lines,
                      struct passo_faults *faults)
{
    for (size_t i = 0; i < lines->lines; i++) {
        const struct passo_line *line = &lines->line[i];
        enum routine_id id = routine_id_of(line->section, line->key);
        const struct passo_setting *setting = routine_setting_at(id);
        const char *fault = NULL;
        if (*line->value) {
            fault = routine_reader_at(id)(line->value, draft);
        } else {
            snprintf(draft->hint, sizeof draft->hint, "nothing is said; say %s, or leave it out",
                     setting->value);
            fault = draft->hint;
        }
        if (fault)
            lines_fault(faults, line, fault);
    }
}
