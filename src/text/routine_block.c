/* A block: its own lines, then those of a passage, which are resolved as a passage's, and how long
 * one pass of it takes. */
#include "text/lines.h"
#include "text/routine_priv.h"
#include "text/notation.h"
#include "text/scan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RATE_HZ  48000
#define NS_A_MS  1000000
#define BLOCK_MS (120 * INT64_C(60000))

struct block_reading {
    struct routine_draft *draft;
    const struct routine_block_lines *lines;
    struct passo_faults *faults;
};

static void block_fault(const struct block_reading *reading, const char *what)
{
    passo_fault(reading->faults, "%s: [block %s]: %s", reading->lines->origin, reading->lines->name,
                what);
}

/* The fault of an own line that stands there. */
static void own_fault(const struct block_reading *reading, enum routine_id id, const char *hint)
{
    lines_fault(reading->faults, routine_line_of(&reading->lines->own, id), hint);
}

int64_t routine_block_ms(const struct passo_block *block)
{
    const struct passo_routine alone = {.block = {*block}, .blocks = 1};
    return passo_routine_ms(&alone);
}

/* Minutes or passes: one of the two, and of a free block the minutes. */
static void check_length(const struct block_reading *reading)
{
    bool minutes = routine_line_of(&reading->lines->own, ROUTINE_minutes);
    bool passes = routine_line_of(&reading->lines->own, ROUTINE_passes);
    bool free_block = reading->draft->free;
    if (passes && free_block)
        own_fault(reading, ROUTINE_passes, "a free block has no passes; say its minutes");
    else if (minutes && passes)
        own_fault(reading, ROUTINE_passes, "the minutes are said already; one of the two would do");
    else if (!minutes && !passes)
        block_fault(reading, free_block ? "say how long it lasts: minutes = 5"
                                        : "say how long it lasts: minutes = 5, or passes = 2");
}

static void check_keys(const struct block_reading *reading)
{
    const struct passo_lines *own = &reading->lines->own;
    const struct passo_block *block = reading->draft->planned;
    bool keys = routine_line_of(own, ROUTINE_keys);
    size_t length = passo_cycle_length(&block->cycle);
    if (block->keys_a_day && !keys)
        own_fault(reading, ROUTINE_each_day, "this block has no keys; say them: keys = fourths");
    else if (length && block->keys_a_day > length)
        own_fault(reading, ROUTINE_each_day, "there are fewer keys than that");
    if (reading->draft->block->sound != PASSO_SOUND_PULSE && !keys)
        own_fault(reading, ROUTINE_sound,
                  "a drone is the keynote, and this block has no keys; say them: keys = C");
}

/* A free block has a name and tags, and nothing that needs a pulse. */
static void check_free(const struct block_reading *reading)
{
    const struct passo_lines *taken = &reading->lines->taken;
    for (size_t i = 0; i < taken->lines; i++)
        if (strcmp(taken->line[i].key, setting_at(SETTING_tags)->key) != 0)
            lines_fault(reading->faults, &taken->line[i],
                        "a free block has no pulse; leave this line out, or `free = yes`");
    if (routine_line_of(&reading->lines->own, ROUTINE_sound))
        own_fault(reading, ROUTINE_sound, "under a free block nothing sounds; leave this line out");
}

static void add_line(struct passo_lines *lines, const struct passo_setting *setting,
                     const char *value, const char *origin)
{
    struct passo_line line = {.section = scan_copy(setting->section),
                              .key = scan_copy(setting->key),
                              .value = scan_copy(value),
                              .origin = scan_copy(origin),
                              .rank = PASSO_RANK_PRESET};
    lines_insert(lines, &line);
    free(line.section);
    free(line.key);
    free(line.value);
    free(line.origin);
}

static const struct passo_line *tempo_of(const struct passo_lines *taken)
{
    for (size_t i = 0; i < taken->lines; i++)
        if (setting_id_of(taken->line[i].key) == SETTING_target)
            return &taken->line[i];
    return NULL;
}

/* The block's lines as those of a passage: what is not said comes from the routine, and there is
 * one rung. */
static void collect(const struct block_reading *reading, struct passo_lines *out_lines)
{
    const struct passo_routine_file *file = reading->draft->file;
    const struct passo_lines *taken = &reading->lines->taken;
    const char *origin = reading->lines->origin;
    add_line(out_lines, setting_at(SETTING_title), reading->lines->name, origin);
    add_line(out_lines, setting_at(SETTING_finish), "none", origin);
    if (file->rest_said)
        add_line(out_lines, setting_at(SETTING_rest), file->rest_value, origin);
    for (size_t i = 0; i < taken->lines; i++)
        lines_insert(out_lines, &taken->line[i]);
}

/* One pass with its count-in and rest. */
static int64_t pass_ms(const struct passo_setup *setup)
{
    const struct passo_pass_shape shape = {.passage = &setup->passage,
                                           .loop = &setup->passage.loop[0],
                                           .pulse = &setup->pulse,
                                           .mbpm = setup->rule.target_mbpm};
    const struct passo_pass_times times = passo_pass_times(&shape);
    const struct passo_instant played = passo_instant_from_ms(times.played_ns / NS_A_MS, RATE_HZ);
    int64_t rest_ns = passo_instant_ns(passo_rule_rest(&setup->rule, played, RATE_HZ), RATE_HZ);
    return (times.count_in_ns + times.played_ns + rest_ns + NS_A_MS / 2) / NS_A_MS;
}

/* That a pass has room in the block, and the block in a day. */
static void check_time(const struct block_reading *reading)
{
    const struct passo_block *block = reading->draft->planned;
    char hint[128];
    char time[32];
    if (block->ms && block->pass_ms > block->ms) {
        snprintf(hint, sizeof hint, "one pass takes %s with count-in and rest, longer than this",
                 passo_span_write(block->pass_ms, time, sizeof time));
        own_fault(reading, ROUTINE_minutes, hint);
    } else if (block->passes && routine_block_ms(block) > BLOCK_MS) {
        snprintf(hint, sizeof hint, "this takes %s; a block lasts at most 120 minutes",
                 passo_span_write(routine_block_ms(block), time, sizeof time));
        own_fault(reading, ROUTINE_passes, hint);
    }
}

/* Resolves the passage's lines; whether there was no fault, be there room to tell it or not. */
static bool resolve(const struct block_reading *reading, struct passo_setup *setup)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    collect(reading, &lines);
    passo_setup_resolve(&lines, false, setup, &faults);
    for (size_t i = 0; i < faults.faults; i++)
        passo_fault(reading->faults, "%s", faults.fault[i]);
    bool good = faults.faults == 0;
    passo_faults_deinit(&faults);
    passo_lines_deinit(&lines);
    return good;
}

static void read_passage(const struct block_reading *reading)
{
    struct routine_draft *draft = reading->draft;
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    bool good = resolve(reading, setup);
    strcpy(draft->planned->tags, setup->passage.tags);
    if (draft->free) {
        free(setup);
        return;
    }
    draft->block->setup = setup;
    if (!good)
        return;
    /* There is one rung. */
    setup->rule.start_mbpm = setup->rule.target_mbpm;
    setup->course.stage[0].rule.start_mbpm = setup->rule.target_mbpm;
    draft->planned->pass_ms = pass_ms(setup);
    check_time(reading);
}

void routine_block_read(struct routine_draft *draft, const struct routine_lines *lines,
                        size_t block, struct passo_faults *faults)
{
    const struct block_reading reading = {
        .draft = draft, .lines = &lines->block[block], .faults = faults};
    size_t before = faults->faults;
    draft->free = false;
    strcpy(draft->planned->name, reading.lines->name);
    routine_own_read(draft, &reading.lines->own, faults);
    check_length(&reading);
    check_keys(&reading);
    if (draft->free)
        check_free(&reading);
    else if (!tempo_of(&reading.lines->taken))
        block_fault(&reading, "say its tempo: tempo = quarter = 60; or free = yes, for no pulse");
    /* What only follows from another fault is not told; but a line that cannot be read is. */
    if (draft->free && faults->faults != before)
        return;
    if (tempo_of(&reading.lines->taken) || draft->free)
        read_passage(&reading);
}
