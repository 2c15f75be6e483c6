/* A passage that goes elsewhere takes its notes along: what a file of their own gave is said in the
 * lines, and in the text of the passage's file, in place of the line that named it. */
#include "text/found.h"
#include "text/lines.h"
#include "text/notation.h"
#include "text/rows.h"

#include <stdlib.h>
#include <string.h>

/* What such a file may have given. */
static const enum setting_id given[] = {SETTING_meter,  SETTING_bars,  SETTING_pickup,
                                        SETTING_target, SETTING_notes, SETTING_transposition};
#define GIVEN (sizeof given / sizeof *given)

/* False, and nothing to free, if there is no such file, or, with a fault, if its notes cannot be
 * written. */
static bool collect(const struct passo_lines *lines, const struct passo_setup *setup,
                    char *out_value[GIVEN], struct passo_faults *faults)
{
    const struct passo_line *line = found_file_line(lines);
    if (!line)
        return false;
    if (!found_in_place(lines, setup)) {
        lines_fault(faults, line,
                    "these notes have lengths that cannot be written on a line, so that they "
                    "cannot be taken along; a file from a notation program would do");
        return false;
    }
    for (size_t i = 0; i < GIVEN; i++)
        out_value[i] = passo_setup_found(lines, setup, setting_at(given[i])->key);
    return true;
}

static bool names_file(const struct passo_line *line)
{
    const enum setting_id id = setting_id_of(line->key);
    return !strcmp(line->section, "passage") &&
           (id == SETTING_notes_from || id == SETTING_notes_part || id == SETTING_notes_bar);
}

void passo_lines_take_notes_in(struct passo_lines *lines, const struct passo_setup *setup,
                               struct passo_faults *faults)
{
    char *value[GIVEN];
    if (!collect(lines, setup, value, faults))
        return;
    passo_lines_drop(lines, names_file);
    for (size_t i = 0; i < GIVEN; i++) {
        if (value[i])
            passo_lines_add_option(lines, setting_at(given[i])->key, value[i], faults);
        free(value[i]);
    }
}

/* The number of the line in its file; 0: it is an option's. */
static long number_of(const struct passo_line *line)
{
    static const char word[] = ", line ";
    const char *number = NULL;
    for (const char *at = line ? strstr(line->origin, word) : NULL; at; at = strstr(at + 1, word))
        number = at + strlen(word);
    return number ? strtol(number, NULL, 10) : 0;
}

/* What stands in place of the line, and of those that went with it. */
static void put_given(const struct passo_lines *lines, char *value[GIVEN], FILE *to)
{
    struct rows rows = {.to = to};
    char shown[LINES_QUOTE_MAX];
    fprintf(to, "# The notes of %s:\n", lines_quote(found_file_line(lines)->value, shown));
    for (size_t i = 0; i < GIVEN; i++)
        if (value[i])
            rows_put(&rows, setting_at(given[i])->key, value[i], "");
}

static void put_text(const struct passo_lines *lines, char *value[GIVEN], const char *text,
                     FILE *to)
{
    const long from = number_of(found_file_line(lines));
    const long bar = number_of(rows_line_of(lines, setting_at(SETTING_notes_bar)));
    const long part = number_of(rows_line_of(lines, setting_at(SETTING_notes_part)));
    for (long line = 1; *text; line++) {
        const size_t length = strcspn(text, "\n");
        const size_t whole = length + (text[length] == '\n');
        if (line == from)
            put_given(lines, value, to);
        else if (line != bar && line != part)
            fwrite(text, 1, whole, to);
        text += whole;
    }
}

char *passo_file_take_notes_in(const char *path, const struct passo_lines *lines,
                               const struct passo_setup *setup, size_t *out_bytes,
                               struct passo_faults *faults)
{
    char *value[GIVEN];
    char *text = NULL;
    if (!collect(lines, setup, value, faults))
        return NULL;
    size_t bytes = 0;
    char *whole = page_load(path, &bytes, faults);
    if (whole) {
        FILE *to = open_memstream(&text, out_bytes);
        PASSO_BUG_ON(!to);
        put_text(lines, value, whole, to);
        PASSO_BUG_ON(fclose(to) != 0);
    }
    free(whole);
    for (size_t i = 0; i < GIVEN; i++)
        free(value[i]);
    return text;
}
