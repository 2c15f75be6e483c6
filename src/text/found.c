/* What the lines leave open and something else gives: the meter, a list of tempi, and the file that
 * has the notes, which a written passage does without. */
#include "text/found.h"
#include "text/notation.h"
#include "text/rows.h"
#include "text/scan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define VALUE_TEXT_MAX 256 /* a meter with its groups is the longest */

static const struct passo_line *line_of(const struct passo_lines *lines, enum setting_id id)
{
    return rows_line_of(lines, setting_at(id));
}

static const struct passo_line *notes_line(const struct passo_lines *lines)
{
    return tune_line(line_of(lines, SETTING_notes), line_of(lines, SETTING_notes_from));
}

const struct passo_line *found_file_line(const struct passo_lines *lines)
{
    const struct passo_line *line = notes_line(lines);
    return line && line == line_of(lines, SETTING_notes_from) ? line : NULL;
}

/* The notes on one line; NULL if there are none or ABC has no way to write them. */
static char *write_notes(const struct passo_setup *setup)
{
    char *text = NULL;
    size_t bytes = 0;
    if (!setup->notes.notes)
        return NULL;
    FILE *to = open_memstream(&text, &bytes);
    PASSO_BUG_ON(!to);
    const bool good = passo_abc_write(&setup->notes, &setup->passage, setup->intonation.key, to);
    PASSO_BUG_ON(fclose(to) != 0);
    if (good)
        return text;
    free(text);
    return NULL;
}

/* The whole path of the file with notes that cannot be said in its place; NULL if they can. */
static char *write_path(const struct passo_lines *lines, const struct passo_setup *setup)
{
    char path[PASSO_PATH_BYTES];
    const struct passo_line *line = found_file_line(lines);
    if (!line || found_in_place(lines, setup))
        return NULL;
    tune_path(line, path);
    return realpath(path, NULL);
}

bool found_in_place(const struct passo_lines *lines, const struct passo_setup *setup)
{
    char *notes = found_file_line(lines) ? write_notes(setup) : NULL;
    const bool said = notes != NULL;
    free(notes);
    return said;
}

bool found_yields(const struct passo_lines *lines, const struct passo_setup *setup,
                  const struct passo_setting *setting)
{
    const struct passo_line *counts = notes_line(lines);
    const enum setting_id id = setting_id_of(setting->key);
    if (!counts || (id != SETTING_notes && id != SETTING_notes_from && id != SETTING_notes_part &&
                    id != SETTING_notes_bar))
        return false;
    if (!found_file_line(lines))
        return id == SETTING_notes_from || id == SETTING_notes_part;
    return found_in_place(lines, setup) ? id != SETTING_notes : id == SETTING_notes;
}

/* A length or a beat unit, if there are words for it. */
static void write_value(struct passo_ratio value, char out[VALUE_TEXT_MAX])
{
    struct passo_ratio back;
    if (passo_note_value_read(passo_note_value_write(value, out, VALUE_TEXT_MAX), &back))
        out[0] = '\0';
}

static void write_target(const struct passo_setup *setup, char out[VALUE_TEXT_MAX])
{
    const int32_t mbpm = setup->rule.target_mbpm;
    write_value(setup->passage.beat, out);
    if (mbpm && *out)
        passo_tempo_write(mbpm, setup->passage.beat, out, VALUE_TEXT_MAX);
    else if (mbpm)
        passo_bpm_write(mbpm, out, VALUE_TEXT_MAX);
    else
        out[0] = '\0';
}

/* What the notes gave: of a passage without notes what is usual holds. */
static void write_given(const struct passo_setup *setup, enum setting_id id,
                        char out[VALUE_TEXT_MAX])
{
    const struct passo_passage *passage = &setup->passage;
    if (id == SETTING_meter)
        passo_meter_write(&passage->meter, out, VALUE_TEXT_MAX);
    else if (id == SETTING_bars)
        snprintf(out, VALUE_TEXT_MAX, "%d-%d", (int)passage->first_bar,
                 (int)(passage->first_bar + passage->bars - 1));
    else if (id == SETTING_pickup && passage->pickup.num)
        write_value(passage->pickup, out);
}

static void write_found(const struct passo_lines *lines, const struct passo_setup *setup,
                        enum setting_id id, char out[VALUE_TEXT_MAX])
{
    out[0] = '\0';
    if (id == SETTING_beat)
        write_value(setup->passage.beat, out);
    else if (id == SETTING_target)
        write_target(setup, out);
    else if (id == SETTING_start && setup->rule.start_mbpm)
        passo_bpm_write(setup->rule.start_mbpm, out, VALUE_TEXT_MAX);
    else if (id == SETTING_transposition && setup->intonation.transposition)
        snprintf(out, VALUE_TEXT_MAX, "%d", setup->intonation.transposition);
    else if (notes_line(lines))
        write_given(setup, id, out);
}

char *passo_setup_found(const struct passo_lines *lines, const struct passo_setup *setup,
                        const char *key)
{
    char text[VALUE_TEXT_MAX];
    const enum setting_id id = setting_id_of(key);
    if (id == SETTING_notes && found_file_line(lines))
        return write_notes(setup);
    if (id == SETTING_notes_from)
        return write_path(lines, setup);
    if (line_of(lines, id))
        return NULL;
    write_found(lines, setup, id, text);
    return *text ? scan_copy(text) : NULL;
}
