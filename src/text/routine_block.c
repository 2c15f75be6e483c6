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
    const struct passo_lines *tuning; /* of all blocks */
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

static const struct passo_line *line_of(const struct passo_lines *lines, enum setting_id id)
{
    for (size_t i = 0; i < lines->lines; i++)
        if (setting_id_of(lines->line[i].key) == id)
            return &lines->line[i];
    return NULL;
}

/* Whether the drone's line names the keynote. */
static bool is_rooted(const struct passo_line *drone)
{
    return scan_match(drone->value, "root", NULL) ||
           scan_match(drone->value, "root and fifth", NULL);
}

/* What sounds without a key, if a drone does: a note that is named. */
static bool drones_note(const struct block_reading *reading)
{
    struct passo_pitch note;
    const struct passo_line *drone = line_of(&reading->lines->taken, SETTING_drone);
    if (!drone)
        drone = line_of(reading->tuning, SETTING_drone);
    return drone && passo_pitch_read(drone->value, &note) == PASSO_OK;
}

static void check_keys(const struct block_reading *reading)
{
    static const char no_keys[] =
        "a drone is the keynote, and this block has no keys; say them: keys = C";
    const struct passo_line *drone = line_of(&reading->lines->taken, SETTING_drone);
    const struct passo_lines *own = &reading->lines->own;
    const struct passo_block *block = reading->draft->planned;
    bool keys = routine_line_of(own, ROUTINE_keys);
    size_t length = passo_cycle_length(&block->cycle);
    if (block->keys_a_day && !keys)
        own_fault(reading, ROUTINE_each_day, "this block has no keys; say them: keys = fourths");
    else if (length && block->keys_a_day > length)
        own_fault(reading, ROUTINE_each_day, "there are fewer keys than that");
    if (drone && is_rooted(drone) && !keys)
        lines_fault(reading->faults, drone, no_keys);
    else if (reading->draft->block->sound != PASSO_SOUND_PULSE && !keys && !drones_note(reading))
        own_fault(reading, ROUTINE_sound, no_keys);
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
    return line_of(taken, SETTING_target);
}

/* The lines but a keynote as the drone where there is no key. */
static void insert(struct passo_lines *to, const struct passo_lines *lines, bool keyed)
{
    for (size_t i = 0; i < lines->lines; i++) {
        const bool drone = setting_id_of(lines->line[i].key) == SETTING_drone;
        if (!drone || keyed || !is_rooted(&lines->line[i]))
            lines_insert(to, &lines->line[i]);
    }
}

/* The block's lines as those of a passage: what is not said comes from the routine, and there is
 * one rung. */
static void collect(const struct block_reading *reading, struct passo_lines *out_lines)
{
    const struct passo_routine_file *file = reading->draft->file;
    const struct passo_cycle *cycle = &reading->draft->planned->cycle;
    const char *origin = reading->lines->origin;
    const bool keyed = passo_cycle_length(cycle) > 0;
    char key[PASSO_NAME_MAX];
    add_line(out_lines, setting_at(SETTING_title), reading->lines->name, origin);
    add_line(out_lines, setting_at(SETTING_finish), "none", origin);
    if (file->rest_said)
        add_line(out_lines, setting_at(SETTING_rest), file->rest_value, origin);
    if (keyed)
        add_line(out_lines, setting_at(SETTING_key),
                 passo_key_write(passo_cycle_key(cycle, 0), key, sizeof key), origin);
    insert(out_lines, reading->tuning, keyed);
    insert(out_lines, &reading->lines->taken, keyed);
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

/* What is wrong with a line of all blocks is told once. */
static void tell(struct passo_faults *faults, const char *fault)
{
    for (size_t i = 0; i < faults->faults; i++)
        if (!strcmp(faults->fault[i], fault))
            return;
    passo_fault(faults, "%s", fault);
}

/* Resolves the passage's lines; whether there was no fault, be there room to tell it or not. */
static bool resolve(const struct block_reading *reading, struct passo_setup *setup)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    collect(reading, &lines);
    passo_setup_resolve(&lines, false, setup, &faults);
    for (size_t i = 0; i < faults.faults; i++)
        tell(reading->faults, faults.fault[i]);
    bool good = faults.faults == 0;
    passo_faults_deinit(&faults);
    passo_lines_deinit(&lines);
    return good;
}

/* Whether a drone sounds is the block's `sound`, or said by naming one; which it is, the line
 * `drone`, or the keynote. The key changes from pass to pass, so that the passage has none. */
static void settle_drone(const struct block_reading *reading, struct passo_setup *setup)
{
    enum passo_drone *drone = &setup->intonation.drone;
    struct passo_routine_block *block = reading->draft->block;
    const bool said = line_of(&reading->lines->taken, SETTING_drone);
    if (said && !routine_line_of(&reading->lines->own, ROUTINE_sound))
        block->sound = *drone == PASSO_DRONE_NONE ? PASSO_SOUND_PULSE : PASSO_SOUND_PULSE_AND_DRONE;
    if (block->sound == PASSO_SOUND_PULSE)
        *drone = PASSO_DRONE_NONE;
    else if (*drone == PASSO_DRONE_NONE)
        *drone = PASSO_DRONE_ROOT;
    setup->passage.key[0] = '\0';
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
    settle_drone(reading, setup);
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
        .draft = draft, .lines = &lines->block[block], .tuning = &lines->tuning, .faults = faults};
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
