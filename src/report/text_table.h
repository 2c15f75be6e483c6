/* Tables that fit the page: columns are as wide as what is in them, then narrower, then left out. A
 * private header of the room. Thread: the main thread. */
#ifndef PASSO_REPORT_TEXT_TABLE_H
#define PASSO_REPORT_TEXT_TABLE_H

#include "report/text_pen.h"

struct text_column {
    const char *head;
    int least; /* it is not made narrower than this; 0: than what is in it */
    int drop;  /* left out where there is no room, the greatest first; 0: never */
    bool right;
};

enum { TEXT_COLUMNS_MAX = 12 };

struct text_table {
    const struct text_column *column;
    size_t columns;
    char **cell; /* rows x columns; NULL: empty */
    size_t rows;
};

struct text_table text_table(const struct text_column *column, size_t columns);
/* A further row; returns its number. */
size_t text_table_row(struct text_table *table);
/* Puts words into a column of the last row. */
void text_table_set(struct text_table *table, size_t column, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* Puts words there that run on to the end of the page: nothing else of the row follows. */
void text_table_run_on(struct text_table *table, size_t column, const char *words);
/* Writes the table, with its heads if they are any, and frees what it holds. */
void text_table_draw(struct text_table *table, struct text_pen *pen);

#endif
