/* The look of a written passage file: keys and values in columns, a few words of help behind each
 * row, folded in a column of their own so that a page is 80 wide. A later line of help is a comment
 * line of its own; the reader takes the blanks before it off. */
#include "text/rows.h"
#include "text/in_full.h"
#include "text/notation.h"
#include "text/notes_lines.h"
#include "text/quote.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define HELP_COLUMN   40
#define PAGE_WIDTH    80
#define NOTES_WIDTH   76 /* of their lines */
#define SECTION_SHOWN 64 /* bytes; page.c takes names of up to 40 */

/* Columns of a text whose characters have one each. */
static int columns(const char *text)
{
    int count = 0;
    for (; *text; text++)
        count += (*text & 0xC0) != 0x80;
    return count;
}

static int put_blanks(struct rows *rows, int from, int to)
{
    int gap = to > from ? to - from : 0;
    fprintf(rows->to, "%*s", gap, "");
    return from + gap;
}

/* Words behind `first`, from the page's column `column` on or, if the line is at `at` already, from
 * there; folded, every later line behind `mark` at the same column. */
static void put_folded(struct rows *rows, const char *first, const char *mark, const char *words,
                       int at, int column)
{
    int begun = column + columns(first);
    put_blanks(rows, at, column);
    fputs(first, rows->to);
    at = begun;
    while (*words) {
        size_t length = strcspn(words, " ");
        if (at > begun && at + 1 + (int)length > PAGE_WIDTH) {
            fprintf(rows->to, "\n%*s%s", column, "", mark);
            at = begun;
        }
        fprintf(rows->to, "%s%.*s", at > begun ? " " : "", (int)length, words);
        at += (at > begun) + (int)length;
        words += length + (words[length] == ' ');
    }
    fputc('\n', rows->to);
}

static char *written(const char *text, enum quote_as as)
{
    if (!quote_bare(text, as))
        return quote_write(text);
    char *copy = passo_xcalloc(strlen(text) + 1, 1);
    strcpy(copy, text);
    return copy;
}

static int key_width(const char *key)
{
    char *shown = written(key, QUOTE_AS_KEY);
    int width = columns(shown);
    free(shown);
    return width;
}

/* A stage is the same however its name is spaced and cased. */
static bool same_section(const char *a, const char *b)
{
    const char *one = setting_stage_name(a);
    const char *other = setting_stage_name(b);
    return one && other ? !strcasecmp(one, other) : !strcmp(a, b);
}

static void put_head(struct rows *rows, const char *section)
{
    char shown[SECTION_SHOWN];
    const char *stage = setting_stage_name(section);
    passo_text_clean(stage ? stage : section, shown, sizeof shown);
    fprintf(rows->to, "%s[%s%s]\n", rows->begun ? "\n" : "", stage ? "stage " : "", shown);
    rows->width = 0;
    rows->begun = true;
}

void rows_section(struct rows *rows, const char *section)
{
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    put_head(rows, section);
    /* With room for the # of a setting that nothing is said of. */
    for (size_t i = 0; i < count; i++)
        if (!strcmp(settings[i].section, section) && (int)strlen(settings[i].key) >= rows->width)
            rows->width = (int)strlen(settings[i].key) + 1;
}

static void put_row(struct rows *rows, const char *key, const char *value, const char *help)
{
    fputs(key, rows->to);
    int at = put_blanks(rows, columns(key), rows->width);
    fprintf(rows->to, " = %s", value);
    at += 3 + columns(value);
    if (!*help) {
        fputc('\n', rows->to);
        return;
    }
    if (at >= HELP_COLUMN) {
        fputc('\n', rows->to);
        at = 0;
    }
    put_folded(rows, "; ", "; ", help, at, HELP_COLUMN);
}

void rows_put(struct rows *rows, const char *key, const char *value, const char *help)
{
    char *shown_key = written(key, QUOTE_AS_KEY);
    char *shown = written(value, QUOTE_AS_VALUE);
    put_row(rows, shown_key, shown, help);
    free(shown);
    free(shown_key);
}

void rows_put_setting(struct rows *rows, const struct passo_setting *setting, const char *value)
{
    const int gap =
        rows->width > (int)strlen(setting->key) ? rows->width : (int)strlen(setting->key);
    const size_t most = NOTES_WIDTH - (size_t)gap - strlen(" = ");
    while (setting == setting_at(SETTING_notes) && strlen(value) > most) {
        const size_t length = notes_lines_break(value, most);
        if (!value[length + strspn(value + length, " \t")])
            break;
        char *part = passo_xcalloc(length + 1, 1);
        memcpy(part, value, length);
        rows_put(rows, setting->key, part, "");
        free(part);
        value += length + strspn(value + length, " \t");
    }
    rows_put(rows, setting->key, value, setting->help);
}

void rows_put_unsaid(struct rows *rows, const struct passo_setting *setting)
{
    char key[64];
    snprintf(key, sizeof key, "#%s", setting->key);
    put_row(rows, key, setting->value, setting->help);
}

void rows_note(struct rows *rows, const char *lead, const char *words)
{
    char first[64];
    char mark[64];
    snprintf(first, sizeof first, "# %s", lead);
    snprintf(mark, sizeof mark, "#%*s", columns(first) - 1, "");
    put_folded(rows, first, mark, words, 0, 0);
    rows->begun = true;
}

const struct passo_line *rows_line_of(const struct passo_lines *lines,
                                      const struct passo_setting *setting)
{
    const struct passo_line *counts = NULL;
    for (size_t i = 0; i < lines->lines; i++) {
        const struct passo_line *line = &lines->line[i];
        /* The target may stand under [ladder] too. */
        bool here = !strcmp(line->section, setting->section) ||
                    (setting == setting_at(SETTING_target) && !strcmp(line->section, "ladder"));
        if (here && passo_setting_find(line->key) == setting)
            counts = line;
    }
    return counts;
}

static bool same_name(const struct passo_line *a, const struct passo_line *b)
{
    return same_section(a->section, b->section) && !strcmp(a->key, b->key);
}

/* The last line of that name if line `at` is the first of them, else NULL. */
static const struct passo_line *last_named(const struct passo_lines *lines, size_t at)
{
    const struct passo_line *last = &lines->line[at];
    for (size_t i = 0; i < lines->lines; i++) {
        if (!same_name(&lines->line[i], &lines->line[at]))
            continue;
        if (i < at)
            return NULL;
        last = &lines->line[i];
    }
    return last;
}

/* Of a stage's line the common one that it yields to, or NULL. In the written file no line has a
 * higher rank, so that what yields is not to stand there. */
static const struct passo_line *stronger(const struct passo_lines *lines,
                                         const struct passo_line *own)
{
    const struct passo_setting *setting =
        setting_stage_name(own->section) ? passo_setting_find(own->key) : NULL;
    const struct passo_line *common = setting ? rows_line_of(lines, setting) : NULL;
    return common && setting_line_yields(own, common) ? common : NULL;
}

/* The lines of a section as they are to stand there, values of stronger ones in their place. */
static size_t collect(const struct passo_lines *lines, const char *section, enum passo_rank least,
                      struct passo_line *out_line)
{
    size_t stay = 0;
    size_t count = 0;
    for (size_t i = 0; i < lines->lines; i++)
        stay += same_section(lines->line[i].section, section) && !stronger(lines, &lines->line[i]);
    for (size_t i = 0; i < lines->lines; i++) {
        const struct passo_line *line =
            same_section(lines->line[i].section, section) ? last_named(lines, i) : NULL;
        const struct passo_line *common = line ? stronger(lines, line) : NULL;
        /* A stage with no line left still is one: then its lines say what the common ones do. */
        if (!line || line->rank < least || (common && stay))
            continue;
        out_line[count] = *line;
        out_line[count++].value = common ? common->value : line->value;
    }
    return count;
}

void rows_named_section(struct rows *rows, const struct passo_lines *lines, const char *section,
                        enum passo_rank least)
{
    struct passo_line *line = passo_xcalloc(lines->lines + 1, sizeof *line);
    size_t count = collect(lines, section, least, line);
    if (count)
        put_head(rows, section);
    for (size_t i = 0; i < count; i++) {
        int wide = key_width(line[i].key);
        rows->width = wide > rows->width ? wide : rows->width;
    }
    for (size_t i = 0; i < count; i++) {
        /* Where presets are written out all that holds is said; else what was said. */
        char *all = least == PASSO_RANK_PRESET ? in_full(&line[i]) : NULL;
        rows_put(rows, line[i].key, all ? all : line[i].value, "");
        free(all);
    }
    free(line);
}

void rows_other_sections(struct rows *rows, const struct passo_lines *lines, enum passo_rank least)
{
    for (size_t i = 0; i < lines->lines; i++) {
        const char *section = lines->line[i].section;
        size_t count = 0;
        size_t known = 0;
        size_t first = 0;
        const struct passo_setting *settings = passo_settings(&count);
        while (known < count && strcmp(settings[known].section, section))
            known++;
        while (!same_section(lines->line[first].section, section))
            first++;
        if (known == count && first == i)
            rows_named_section(rows, lines, section, least);
    }
}
