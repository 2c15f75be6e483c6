/* A small reader of RFC 4180 records, one line each, cells unquoted in place. */
#include "csv.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define RECORD_BYTES 16384

/* Cuts the next cell off a record. NULL at the record's end. */
static char *next_cell(char **rest)
{
    char *in = *rest;
    if (in == NULL)
        return NULL;
    char *cell = in;
    char *out = in;
    bool quoted = *in == '"';
    if (quoted)
        in++;
    while (*in != '\0') {
        if (quoted && in[0] == '"' && in[1] == '"') {
            in++;
        } else if (quoted && *in == '"') {
            quoted = false;
            in++;
            continue;
        } else if (!quoted && (*in == ',' || *in == '\r' || *in == '\n')) {
            break;
        }
        *out++ = *in++;
    }
    *rest = *in == ',' ? in + 1 : NULL;
    *out = '\0';
    return cell;
}

/* The cell of that column, from 0; out_cells: how many cells the record has. */
static char *cell_of(char *record, int column, int *out_cells)
{
    char *rest = record;
    char *found = NULL;
    int cells = 0;
    for (char *cell = next_cell(&rest); cell != NULL; cell = next_cell(&rest), cells++) {
        if (cells == column)
            found = cell;
    }
    *out_cells = cells;
    return found;
}

static int column_of(char *header, const char *name, int *out_cells)
{
    char *rest = header;
    int found = -1;
    int cells = 0;
    for (char *cell = next_cell(&rest); cell != NULL; cell = next_cell(&rest), cells++) {
        if (strcmp(cell, name) == 0)
            found = cells;
    }
    *out_cells = cells;
    return found;
}

static int read_rows(FILE *file, const char *path, const char *name,
                     void (*take)(const char *cell, void *data), void *data)
{
    static char record[RECORD_BYTES];
    int wanted = 0;
    int column = fgets(record, sizeof record, file) != NULL ? column_of(record, name, &wanted) : -1;
    if (column < 0) {
        fprintf(stderr, "rig: %s: no column `%s`\n", path, name);
        return -1;
    }
    int rows = 0;
    while (fgets(record, sizeof record, file) != NULL) {
        bool ended = strchr(record, '\n') != NULL;
        int cells;
        const char *cell = cell_of(record, column, &cells);
        if (!ended || cells != wanted) {
            fprintf(stderr, "rig: %s: row %d is not whole (%d cells of %d)\n", path, rows + 1,
                    cells, wanted);
            return -1;
        }
        take(cell, data);
        rows++;
    }
    return rows;
}

int rig_csv_column(const char *path, const char *name, void (*take)(const char *cell, void *data),
                   void *data)
{
    FILE *file = fopen(path, "r");
    if (file == NULL) {
        perror(path);
        return -1;
    }
    int rows = read_rows(file, path, name, take, data);
    fclose(file);
    return rows;
}
