/* The look of a written passage file: keys and values in columns, a few words of help behind each
 * row, folded in a column of their own so that a page is 80 wide. A later line of help is a comment
 * line of its own; the reader takes the blanks before it off. */
#include "text/rows.h"
#include "text/notation.h"
#include "text/quote.h"

#include <stdlib.h>
#include <string.h>

#define HELP_COLUMN   40
#define PAGE_WIDTH    80
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

/* Of a section of settings the table's keys, with room for the # of one that nothing says; else the
 * player's own. */
static int section_width(const struct passo_lines *lines, const char *section)
{
    int width = 0;
    int longest = 0;
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    for (size_t i = 0; !setting_section_is_named(section) && i < count; i++)
        if (!strcmp(settings[i].section, section) && (int)strlen(settings[i].key) >= width)
            width = (int)strlen(settings[i].key) + 1;
    for (size_t i = 0; !width && i < lines->lines; i++) {
        int wide = strcmp(lines->line[i].section, section) ? 0 : key_width(lines->line[i].key);
        longest = wide > longest ? wide : longest;
    }
    return width ? width : longest;
}

void rows_section(struct rows *rows, const struct passo_lines *lines, const char *section)
{
    char shown[SECTION_SHOWN];
    fprintf(rows->to, "%s[%s]\n", rows->begun ? "\n" : "",
            passo_text_clean(section, shown, sizeof shown));
    rows->width = section_width(lines, section);
    rows->begun = true;
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
    /* A line with quotes may have any length; what help stands behind it counts too. */
    size_t bytes = strlen(shown_key) + (size_t)rows->width + 3 + strlen(shown);
    bool with_help = *help && rows->width + 3 + columns(shown) < HELP_COLUMN;
    if (bytes + (with_help ? PAGE_WIDTH : 0) > QUOTE_BARE_LINE_MAX && *shown != '"') {
        free(shown);
        shown = quote_write(value);
    }
    put_row(rows, shown_key, shown, help);
    free(shown);
    free(shown_key);
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
    return !strcmp(a->section, b->section) && !strcmp(a->key, b->key);
}

const struct passo_line *rows_last_named(const struct passo_lines *lines, size_t at)
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
