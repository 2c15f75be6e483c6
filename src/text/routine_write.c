/* Writes a routine with all that holds: the settings tables drive it. The help stands in the first
 * block and is not said again; what a block may have beyond that and does not is told at the end.
 */
#include "text/in_full.h"
#include "text/notation.h"
#include "text/routine_priv.h"
#include "text/rows.h"

#include <stdlib.h>
#include <string.h>

#define VALUE_TEXT_MAX 96
#define WORDS_MAX      256

struct writing {
    struct rows rows;
    const struct passo_routine_file *file;
    const struct routine_lines *lines;
    bool own_told[ROUTINE_COUNT]; /* its help has been written */
    bool taken_told[SETTING_COUNT];
};

static int widest_key(void)
{
    size_t width = 0;
    for (size_t i = 0; i < ROUTINE_COUNT; i++) {
        size_t length = strlen(routine_setting_at((enum routine_id)i)->key);
        width = length > width ? length : width;
    }
    for (size_t id = 0; id < SETTING_COUNT; id++) {
        size_t length = strlen(setting_at((enum setting_id)id)->key);
        if (routine_tunes((enum setting_id)id) && length > width)
            width = length;
    }
    return (int)width + 1; /* with room for the # of what is not said */
}

static void put_head(struct writing *writing, const char *section, const char *name)
{
    fprintf(writing->rows.to, "%s[%s%s]\n", writing->rows.begun ? "\n" : "", section, name);
    writing->rows.width = widest_key();
    writing->rows.begun = true;
}

static void put_common(struct writing *writing, enum routine_id id)
{
    const struct passo_setting *setting = routine_setting_at(id);
    const struct passo_line *line = routine_line_of(&writing->lines->common, id);
    const char *value = line ? line->value : setting->usual;
    if (id == ROUTINE_title)
        value = writing->file->title;
    /* A rest that is said holds for visits too, where a passage has its own; so it is not said for
     * the player. */
    if (!*value || (id == ROUTINE_rest && !line))
        rows_put_unsaid(&writing->rows, setting);
    else
        rows_put(&writing->rows, setting->key, value, setting->help);
}

static void put_own(struct writing *writing, size_t block, enum routine_id id)
{
    const struct passo_setting *setting = routine_setting_at(id);
    const struct passo_line *line = routine_line_of(&writing->lines->block[block].own, id);
    const char *value = line ? line->value : setting->usual;
    bool free_block = !writing->file->block[block].setup;
    /* A drone that is named sounds, though nothing is said of the sound. */
    if (id == ROUTINE_sound && !line)
        value = routine_sound[writing->file->block[block].sound];
    if (id == ROUTINE_tempo || (free_block && id == ROUTINE_sound))
        return;
    if (*value)
        rows_put(&writing->rows, setting->key, value, writing->own_told[id] ? "" : setting->help);
    else if (!writing->own_told[id])
        rows_put_unsaid(&writing->rows, setting);
    writing->own_told[id] = true;
}

static const struct passo_line *taken_line(const struct passo_lines *taken, enum setting_id id)
{
    for (size_t i = 0; i < taken->lines; i++)
        if (strcmp(taken->line[i].section, "shape") != 0 && setting_id_of(taken->line[i].key) == id)
            return &taken->line[i];
    return NULL;
}

/* What holds where the block says nothing; "" if that is nothing, or need not be said. */
static const char *usual_of(const struct writing *writing, size_t block, enum setting_id id,
                            char out[VALUE_TEXT_MAX])
{
    const struct passo_setup *setup = writing->file->block[block].setup;
    struct passo_ratio unit;
    if (!setup || routine_tunes(id) || !strcmp(setting_at(id)->section, "pulse"))
        return "";
    if (id == SETTING_rest && writing->file->rest_said)
        return writing->file->rest_value;
    if (id == SETTING_beat)
        return passo_note_value_read(
                   passo_note_value_write(setup->passage.beat, out, VALUE_TEXT_MAX), &unit)
                   ? ""
                   : out;
    return setting_at(id)->usual;
}

static void put_taken(struct writing *writing, size_t block, enum setting_id id)
{
    char text[VALUE_TEXT_MAX];
    const struct passo_line *line = taken_line(&writing->lines->block[block].taken, id);
    const char *value = line ? line->value : usual_of(writing, block, id, text);
    bool tempo = id == SETTING_target;
    const struct passo_setting *setting =
        tempo ? routine_setting_at(ROUTINE_tempo) : setting_at(id);
    if (!*value)
        return;
    rows_put(&writing->rows, setting->key, value, writing->taken_told[id] ? "" : setting->help);
    writing->taken_told[id] = true;
}

static void put_shape(struct writing *writing, size_t block)
{
    const struct passo_lines *taken = &writing->lines->block[block].taken;
    for (size_t i = 0; i < taken->lines; i++) {
        if (strcmp(taken->line[i].section, "shape") != 0)
            continue;
        char *value = in_full(&taken->line[i]);
        size_t bytes = strlen(taken->line[i].key) + strlen(value) + sizeof " = ";
        char *both = passo_xcalloc(bytes, 1);
        snprintf(both, bytes, "%s = %s", taken->line[i].key, value);
        rows_put(&writing->rows, setting_at(SETTING_shape)->key, both, "");
        free(both);
        free(value);
    }
}

/* "6 min, 12 keys; one pass takes 28 s with count-in and rest" */
static void put_times(struct writing *writing, size_t block)
{
    const struct passo_block *planned = &writing->file->routine.block[block];
    size_t length = passo_cycle_length(&planned->cycle);
    size_t keys = planned->keys_a_day ? planned->keys_a_day : length;
    char time[32];
    char words[WORDS_MAX];
    snprintf(words, sizeof words, "%s",
             passo_span_write(routine_block_ms(planned), time, sizeof time));
    size_t used = strlen(words);
    if (keys)
        snprintf(words + used, sizeof words - used, ", %zu key%s", keys, keys == 1 ? "" : "s");
    used = strlen(words);
    if (planned->pass_ms)
        snprintf(words + used, sizeof words - used, "; one pass takes %s with count-in and rest",
                 passo_span_write(planned->pass_ms, time, sizeof time));
    rows_note(&writing->rows, "", words);
}

static void put_block(struct writing *writing, size_t block)
{
    char name[PASSO_NAME_MAX + 1];
    snprintf(name, sizeof name, " %s", writing->lines->block[block].name);
    put_head(writing, "block", name);
    put_times(writing, block);
    for (size_t id = 0; id < ROUTINE_COUNT; id++)
        if (!strcmp(routine_setting_at((enum routine_id)id)->section, "block"))
            put_own(writing, block, (enum routine_id)id);
    for (size_t id = 0; id < SETTING_COUNT; id++) {
        if (id == SETTING_shape)
            put_shape(writing, block);
        else if (id == SETTING_target || routine_takes((enum setting_id)id))
            put_taken(writing, block, (enum setting_id)id);
    }
}

/* What all of it takes. */
static void put_whole(struct writing *writing)
{
    const struct passo_routine_file *file = writing->file;
    int64_t blocks_ms = passo_routine_ms(&file->routine);
    int64_t left_ms = file->passages_ms ? file->passages_ms
                      : file->whole_ms  ? file->whole_ms - blocks_ms
                                        : 0;
    char blocks[32];
    char left[32];
    char words[WORDS_MAX];
    passo_span_write(blocks_ms, blocks, sizeof blocks);
    passo_span_write(left_ms, left, sizeof left);
    if (left_ms)
        snprintf(words, sizeof words, "the blocks take %s; for passages there are %s", blocks,
                 left);
    else
        snprintf(words, sizeof words, "the blocks take %s", blocks);
    rows_note(&writing->rows, "", words);
}

/* The lines that a block may have besides. */
static void put_more(struct writing *writing)
{
    char words[WORDS_MAX * 2] = "A block may also say ";
    for (size_t id = 0; id < SETTING_COUNT; id++) {
        size_t used = strlen(words);
        if (routine_takes((enum setting_id)id) &&
            (id == SETTING_shape || routine_tunes((enum setting_id)id) ||
             !strcmp(setting_at((enum setting_id)id)->section, "pulse")))
            snprintf(words + used, sizeof words - used, "%s, ",
                     setting_at((enum setting_id)id)->key);
    }
    size_t used = strlen(words);
    snprintf(words + used, sizeof words - used, "as a passage does: passo climb --help.");
    fputc('\n', writing->rows.to);
    rows_note(&writing->rows, "", words);
}

/* What all blocks are tuned to. */
static void put_tuning(struct writing *writing)
{
    for (size_t i = 0; i < SETTING_COUNT; i++) {
        const enum setting_id id = (enum setting_id)i;
        const struct passo_line *line = taken_line(&writing->lines->tuning, id);
        if (line)
            rows_put(&writing->rows, line->key, line->value, setting_at(id)->help);
        else if (routine_tunes(id))
            rows_put_unsaid(&writing->rows, setting_at(id));
        writing->taken_told[id] |= routine_tunes(id);
    }
}

static void write_all(struct writing *writing)
{
    put_head(writing, "routine", "");
    put_whole(writing);
    for (size_t id = 0; id < ROUTINE_COUNT; id++)
        if (!strcmp(routine_setting_at((enum routine_id)id)->section, "routine"))
            put_common(writing, (enum routine_id)id);
    put_tuning(writing);
    for (size_t block = 0; block < writing->lines->blocks; block++)
        put_block(writing, block);
    put_more(writing);
}

void passo_routine_write(const char *path, FILE *to, struct passo_faults *faults)
{
    struct passo_routine_file *file = passo_xcalloc(1, sizeof *file);
    struct routine_lines *lines = passo_xcalloc(1, sizeof *lines);
    size_t before = faults->faults;
    routine_lines_read(lines, path, faults);
    if (faults->faults == before)
        routine_file_read(path, lines, file, faults);
    if (faults->faults == before) {
        struct writing writing = {.rows = {.to = to}, .file = file, .lines = lines};
        if (passo_file_heading_write(path, to))
            fputc('\n', to);
        write_all(&writing);
    }
    passo_routine_deinit(file);
    routine_lines_deinit(lines);
    free(lines);
    free(file);
}
