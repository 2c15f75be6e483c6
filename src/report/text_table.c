/* A table is filled first, so that its columns can be measured; then it is made to fit: the columns
 * move together, the widest that may is made narrower, and when none may, a column is left out.
 * Runs on the main thread. */
#include "report/text_table.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { GAP_WIDE = 2, GAP_NARROW = 1 };

/* What a cell begins with that runs on to the end of the page. */
#define RUNS_ON '\v'

struct text_table text_table(const struct text_column *column, size_t columns)
{
    PASSO_BUG_ON(columns > TEXT_COLUMNS_MAX);
    return (struct text_table){.column = column, .columns = columns};
}

size_t text_table_row(struct text_table *table)
{
    size_t cells = (table->rows + 1) * table->columns;
    table->cell = passo_xrealloc(table->cell, cells * sizeof *table->cell);
    for (size_t i = table->rows * table->columns; i < cells; i++)
        table->cell[i] = NULL;
    return table->rows++;
}

static void set(struct text_table *table, size_t column, const char *words)
{
    char **cell = &table->cell[(table->rows - 1) * table->columns + column];
    free(*cell);
    *cell = strdup(words);
    PASSO_BUG_ON(!*cell);
}

void text_table_set(struct text_table *table, size_t column, const char *format, ...)
{
    char words[1024];
    va_list rest;
    va_start(rest, format);
    vsnprintf(words, sizeof words, format, rest);
    va_end(rest);
    set(table, column, words);
}

void text_table_run_on(struct text_table *table, size_t column, const char *words)
{
    char marked[256];
    snprintf(marked, sizeof marked, "%c%s", RUNS_ON, words);
    set(table, column, marked);
}

static const char *words_of(const struct text_table *table, size_t row, size_t column)
{
    const char *words = table->cell[row * table->columns + column];
    return words ? words : "";
}

static void measure(const struct text_table *table, const struct text_pen *pen,
                    int width[TEXT_COLUMNS_MAX])
{
    memset(width, 0, TEXT_COLUMNS_MAX * sizeof *width);
    for (size_t i = 0; i < table->columns; i++) {
        for (size_t row = 0; row < table->rows; row++) {
            const char *words = words_of(table, row, i);
            int columns = *words == RUNS_ON ? 0 : text_columns(pen, words);
            width[i] = columns > width[i] ? columns : width[i];
        }
        /* A column with nothing in it is not there, whatever its head. */
        int head = width[i] ? (int)strlen(table->column[i].head) : 0;
        width[i] = head > width[i] ? head : width[i];
    }
}

static int total(const int *width, size_t columns, int gap)
{
    int sum = -gap;
    for (size_t i = 0; i < columns; i++)
        sum += width[i] ? width[i] + gap : 0;
    return sum;
}

/* One step toward fitting; false if there is none. When a column goes, the others have the room
 * that they wish for again. */
static bool squeeze(const struct text_table *table, int *width, int *wish)
{
    size_t widest = table->columns;
    size_t first = table->columns;
    for (size_t i = 0; i < table->columns; i++) {
        const struct text_column *column = &table->column[i];
        if (column->least && width[i] > column->least &&
            (widest == table->columns || width[i] > width[widest]))
            widest = i;
        if (width[i] && column->drop &&
            (first == table->columns || column->drop > table->column[first].drop))
            first = i;
    }
    if (widest < table->columns) {
        width[widest]--;
    } else if (first < table->columns) {
        wish[first] = 0;
        memcpy(width, wish, table->columns * sizeof *width);
    }
    return widest < table->columns || first < table->columns;
}

static void draw_cell(struct text_pen *pen, const char *words, int width, bool right)
{
    int columns = text_columns(pen, words);
    columns = columns < width ? columns : width;
    if (right)
        text_blanks(pen, width - columns);
    text_put(pen, words, width);
    if (!right)
        text_blanks(pen, width - columns);
}

static void draw_row(const struct text_table *table, struct text_pen *pen, const int *width,
                     int gap, size_t row)
{
    for (size_t i = 0; i < table->columns; i++) {
        const char *words = row == SIZE_MAX ? table->column[i].head : words_of(table, row, i);
        bool runs_on = *words == RUNS_ON;
        if (width[i] == 0 && !runs_on)
            continue;
        text_blanks(pen, pen->at ? gap : 0);
        if (runs_on) {
            text_put(pen, words + 1, pen->columns - pen->at);
            break;
        }
        draw_cell(pen, words, width[i], table->column[i].right);
    }
    text_end_line(pen);
}

/* Makes it fit the page; returns the gap between columns. */
static int fit(const struct text_table *table, const struct text_pen *pen,
               int width[TEXT_COLUMNS_MAX])
{
    int wish[TEXT_COLUMNS_MAX];
    measure(table, pen, wish);
    memcpy(width, wish, sizeof wish);
    if (total(width, table->columns, GAP_WIDE) <= pen->columns)
        return GAP_WIDE;
    while (total(width, table->columns, GAP_NARROW) > pen->columns && squeeze(table, width, wish))
        ;
    return GAP_NARROW;
}

void text_table_draw(struct text_table *table, struct text_pen *pen)
{
    int width[TEXT_COLUMNS_MAX];
    bool heads = false;
    int gap = fit(table, pen, width);
    for (size_t i = 0; i < table->columns; i++)
        heads = heads || table->column[i].head[0];
    if (heads && table->rows)
        draw_row(table, pen, width, gap, SIZE_MAX);
    for (size_t row = 0; row < table->rows; row++)
        draw_row(table, pen, width, gap, row);
    for (size_t i = 0; i < table->rows * table->columns; i++)
        free(table->cell[i]);
    free(table->cell);
    table->cell = NULL;
}
