/* One row of a file against the log: new, known, a correction, or something else. Two passes are
 * the same if they are written the same in the CSV, so what was exported is known again to the
 * byte, and what differs is named by its column. Runs on the main thread. */
#include "store/import_priv.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "store/csv_cells.h"
#include "store/csv_columns.h"
#include "store/csv_record.h"

enum side { IN_LOG, IN_FILE };

/* What may come to a pass after it was played; the rest is what was played. */
static bool may_change(enum csv_column column)
{
    return (column >= CSV_MARK && column <= CSV_NEXT_TEMPO) || column == CSV_REST ||
           column == CSV_ELAPSED;
}

/* Writes a pass as a row and takes it apart again. */
static void split(struct import_rows *rows, enum side side, const struct passo_row *row,
                  const char *out_cell[CSV_CELLS_MAX])
{
    struct csv_bytes *line = &rows->line[side];
    line->used = 0;
    csv_line_row(line, row);
    struct csv_record record = {.text = line->bytes, .bytes = line->used - 2};
    if (rows->scratch_bytes[side] < line->used) {
        rows->scratch_bytes[side] = 2 * line->used;
        rows->scratch[side] = passo_xrealloc(rows->scratch[side], rows->scratch_bytes[side]);
    }
    csv_record_cells(&record, rows->scratch[side], out_cell);
}

/* What is wrong with a row that differs from what is there. */
static const char *tell_difference(struct import_rows *rows, const struct import_climb *climb,
                                   const struct passo_row *row, enum csv_column column,
                                   const char *const cell[2])
{
    char session[64];
    char there[64];
    char here[64];
    const char *name = csv_column_name(column);
    csv_shown(row->session, session, sizeof session);
    csv_shown(*cell[IN_LOG] ? csv_text(cell[IN_LOG]) : "nothing", there, sizeof there);
    csv_shown(*cell[IN_FILE] ? csv_text(cell[IN_FILE]) : "nothing", here, sizeof here);
    snprintf(
        rows->what, sizeof rows->what,
        "pass %" PRIu32 " of session %s is %s %s%s %s; here %s is %s; %s", row->pass, session,
        climb->fresh ? "earlier in this file" : "in the log", column == CSV_TEMPO ? "at" : "with ",
        column == CSV_TEMPO ? "" : name, there, name, here,
        may_change(column) ? "to correct it, write changed under marked_by; else take this row out"
                           : "if it is another one, give its session another name; else take "
                             "this row out");
    return rows->what;
}

/* The pass as it holds with the file's mark over it. */
static const char *correct(struct import_rows *rows, const struct import_climb *climb,
                           const struct passo_row *row, bool completes)
{
    rows->rc = log_change_add(rows->log, &climb->log,
                              completes ? PASSO_LOG_CLOSED : PASSO_LOG_CHANGED, row, rows->now_s);
    rows->result->corrected += rows->rc == SQLITE_OK;
    return NULL;
}

/* A row of a pass that is there. */
static const char *compare(struct import_rows *rows, const struct import_climb *climb,
                           const struct passo_row *row, struct log_pass *known)
{
    const char *cell[2][CSV_CELLS_MAX];
    bool changed = !strcmp(row->marked_by, "changed");
    enum csv_column first = CSV_COLUMNS;
    known->row.player = row->player;
    known->row.session = row->session;
    known->row.passage = row->passage;
    known->row.piece = row->piece;
    split(rows, IN_LOG, &known->row, cell[IN_LOG]);
    split(rows, IN_FILE, row, cell[IN_FILE]);
    /* What was played weighs more than what came to it. */
    for (enum csv_column column = 0; column < CSV_COLUMNS; column++) {
        bool differs = strcmp(cell[IN_LOG][column], cell[IN_FILE][column]) != 0;
        if (differs && (first == CSV_COLUMNS || (may_change(first) && !may_change(column))))
            first = column;
    }
    /* A correction that the log has holds over the row that it corrected. */
    bool corrected = !changed && !strcmp(known->row.marked_by, "changed");
    if (known->closed && (first == CSV_COLUMNS || (corrected && may_change(first)))) {
        rows->result->known++;
        return NULL;
    }
    if (first == CSV_COLUMNS || (may_change(first) && (changed || !known->closed)))
        return correct(rows, climb, row, !known->closed && !changed);
    const char *const both[2] = {cell[IN_LOG][first], cell[IN_FILE][first]};
    return tell_difference(rows, climb, row, first, both);
}

/* Adds what is not there; *out_there if it is. A climb that the log had is looked at first. */
static int add(struct import_rows *rows, struct import_climb *climb, const struct passo_row *row,
               bool *out_there, struct log_pass *out_known)
{
    int rc = SQLITE_OK;
    *out_there = false;
    if (!climb->fresh)
        rc = log_pass_read(rows->log, &climb->log, row->pass, out_there, out_known);
    if (rc != SQLITE_OK || *out_there)
        return rc;
    rc = log_pass_add(rows->log, &climb->log, row, NULL);
    if (rc == SQLITE_CONSTRAINT_PRIMARYKEY)
        return log_pass_read(rows->log, &climb->log, row->pass, out_there, out_known);
    rows->result->added += rc == SQLITE_OK;
    return rc;
}

const char *import_row(struct import_rows *rows, const struct passo_row *row)
{
    struct import_climb *climb;
    struct log_pass known;
    bool there = false;
    if (rows->rc != SQLITE_OK)
        return NULL;
    rows->result->passes++;
    rows->result->nameless += !*row->player;
    rows->rc = import_climb_of(&rows->climbs, rows->log, row, &climb);
    if (rows->rc == SQLITE_OK)
        rows->rc = add(rows, climb, row, &there, &known);
    return rows->rc == SQLITE_OK && there ? compare(rows, climb, row, &known) : NULL;
}

void import_rows_deinit(struct import_rows *rows)
{
    for (int i = 0; i < 2; i++) {
        free(rows->line[i].bytes);
        free(rows->scratch[i]);
    }
}
