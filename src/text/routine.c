/* A routine file: its lines are collected, the common ones read, then each block in its order, then
 * what all of it takes is held against what is said. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/routine_priv.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SUFFIX       ".passo"
#define MIN_MS       INT64_C(60000)
#define ROUTINE_MS   (600 * MIN_MS)
#define VISIT_PASSES 6

static void begin(struct passo_routine_file *file, const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *base = slash ? slash + 1 : path;
    size_t length = strlen(base);
    size_t suffix = strlen(SUFFIX);
    char name[PASSO_PATH_BYTES];
    if (length > suffix && !strcmp(base + length - suffix, SUFFIX))
        length -= suffix;
    snprintf(name, sizeof name, "%.*s", (int)length, base);
    memset(file, 0, sizeof *file);
    passo_text_clean(name, file->name, sizeof file->name);
    passo_text_clean(name, file->title, sizeof file->title);
    passo_file_summary(path, file->summary, sizeof file->summary);
    file->visit_passes = VISIT_PASSES;
    file->rests = true;
    file->rest = passo_rule_default();
    file->routine.order = PASSO_ORDER_MIXED;
    file->routine.relative = true;
    file->routine.visit_ms = 3 * MIN_MS;
    file->routine.least_ms = 2 * MIN_MS;
    file->routine.most_ms = 8 * MIN_MS;
}

static void check_least(const struct routine_draft *draft, const struct passo_lines *common,
                        struct passo_faults *faults)
{
    const struct passo_line *least = routine_line_of(common, ROUTINE_least);
    const struct passo_line *most = routine_line_of(common, ROUTINE_most);
    if (draft->file->routine.least_ms > draft->file->routine.most_ms)
        lines_fault(faults, most ? most : least,
                    "the most for a passage is under the least (2 min if it is not said)");
}

/* That the minutes are enough for what is said to be in them. */
static void check_whole(const struct routine_draft *draft, const struct passo_lines *common,
                        const char *path, struct passo_faults *faults)
{
    const struct passo_routine_file *file = draft->file;
    const struct passo_line *whole = routine_line_of(common, ROUTINE_whole);
    char shown[PASSO_PATH_BYTES];
    char hint[192];
    char blocks[32];
    char both[32];
    const int64_t ms = passo_routine_ms(&file->routine);
    passo_span_write(ms, blocks, sizeof blocks);
    passo_span_write(ms + file->passages_ms, both, sizeof both);
    if (ms + file->passages_ms > ROUTINE_MS) {
        passo_fault(faults, "%s: all together this takes %s; a routine lasts at most 600 minutes",
                    passo_text_clean(path, shown, sizeof shown), both);
    } else if (file->whole_ms && ms + file->passages_ms > file->whole_ms) {
        if (file->passages_ms)
            snprintf(hint, sizeof hint, "the blocks take %s, with the passages %s", blocks, both);
        else
            snprintf(hint, sizeof hint, "the blocks take %s", blocks);
        lines_fault(faults, whole, hint);
    }
}

/* As it was written, for a visit's lines; whether it can be read is told of the blocks. */
static void take_reference(struct passo_routine_file *file, const struct passo_lines *tuning)
{
    for (size_t i = 0; i < tuning->lines; i++)
        if (setting_id_of(tuning->line[i].key) == SETTING_reference)
            passo_text_clean(tuning->line[i].value, file->reference_value,
                             sizeof file->reference_value);
}

void routine_file_read(const char *path, const struct routine_lines *lines,
                       struct passo_routine_file *out_file, struct passo_faults *faults)
{
    struct routine_draft draft = {.file = out_file};
    char shown[PASSO_PATH_BYTES];
    size_t before = faults->faults;
    begin(out_file, path);
    routine_own_read(&draft, &lines->common, faults);
    check_least(&draft, &lines->common, faults);
    take_reference(out_file, &lines->tuning);
    /* A visit with no limit of time may take all that its passage gets. */
    if (!out_file->routine.visit_ms)
        out_file->routine.visit_ms = out_file->routine.most_ms;
    out_file->routine.blocks = lines->blocks;
    for (size_t i = 0; i < lines->blocks; i++) {
        draft.block = &out_file->block[i];
        draft.planned = &out_file->routine.block[i];
        routine_block_read(&draft, lines, i, faults);
    }
    if (faults->faults == before && !lines->blocks)
        passo_fault(faults, "%s: there is no block here; a routine has [block NAME] for each",
                    passo_text_clean(path, shown, sizeof shown));
    if (faults->faults == before)
        check_whole(&draft, &lines->common, path, faults);
    faults_order(faults);
}

void passo_routine_read(const char *path, struct passo_routine_file *out_file,
                        struct passo_faults *faults)
{
    struct routine_lines *lines = passo_xcalloc(1, sizeof *lines);
    size_t before = faults->faults;
    memset(out_file, 0, sizeof *out_file);
    routine_lines_read(lines, path, faults);
    /* A file of which no line could be read has no blocks, and that is not told of it as well. */
    if (faults->faults == before || lines->blocks || lines->common.lines)
        routine_file_read(path, lines, out_file, faults);
    routine_lines_deinit(lines);
    free(lines);
}

bool passo_routine_is(const char *path)
{
    struct routine_lines *lines = passo_xcalloc(1, sizeof *lines);
    struct passo_faults faults = {0};
    routine_lines_read(lines, path, &faults);
    bool is = lines->blocks || lines->common.lines;
    passo_faults_deinit(&faults);
    routine_lines_deinit(lines);
    free(lines);
    return is;
}

void passo_routine_deinit(struct passo_routine_file *file)
{
    for (size_t i = 0; i < PASSO_BLOCKS_MAX; i++) {
        free(file->block[i].setup);
        file->block[i].setup = NULL;
    }
}
