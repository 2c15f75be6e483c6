/* One table says for every column its name, whether a file must have it, how its cells read and
 * where they go; the sentences about a cell come from it too. Runs on the main thread. */
#include "store/csv_columns.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "store/csv_cells.h"

enum kind { TEXT, WHOLE, BAR, TEMPO, SECONDS, TIME, PART, MARK, MOVE, MARKED_BY };

#define AT(field) offsetof(struct passo_row, field)

static const struct column {
    const char *name;
    bool needed;
    enum kind kind;
    size_t field;
} columns[CSV_COLUMNS] = {
    [CSV_TIME] = {"time", true, TIME, AT(time_ns)},
    [CSV_PLAYER] = {"player", false, TEXT, AT(player)},
    [CSV_SESSION] = {"session", true, TEXT, AT(session)},
    [CSV_PASSAGE] = {"passage", true, TEXT, AT(passage)},
    [CSV_PIECE] = {"piece", false, TEXT, AT(piece)},
    [CSV_PASS] = {"pass", true, WHOLE, AT(pass)},
    [CSV_PART] = {"part", true, PART, AT(part)},
    [CSV_LOOP] = {"loop", true, TEXT, AT(loop)},
    [CSV_BARS] = {"bars", false, TEXT, AT(bars)},
    [CSV_VARIANT] = {"variant", true, TEXT, AT(variant)},
    [CSV_BEAT_UNIT] = {"beat_unit", true, TEXT, AT(beat_unit)},
    [CSV_TEMPO] = {"tempo", true, TEMPO, AT(tempo_mbpm)},
    [CSV_TARGET] = {"target", false, TEMPO, AT(target_mbpm)},
    [CSV_MARK] = {"mark", true, MARK, AT(mark)},
    [CSV_MARKED_BY] = {"marked_by", false, MARKED_BY, AT(marked_by)},
    [CSV_MISS_BAR] = {"miss_bar", false, BAR, AT(miss_bar)},
    [CSV_CLEANS] = {"clean_in_a_row", false, WHOLE, AT(clean_in_a_row)},
    [CSV_MOVE] = {"move", false, MOVE, AT(move)},
    [CSV_NEXT_TEMPO] = {"next_tempo", false, TEMPO, AT(next_mbpm)},
    [CSV_PLAY] = {"play_s", false, SECONDS, AT(play_ns)},
    [CSV_REST] = {"rest_s", false, SECONDS, AT(rest_ns)},
    [CSV_ELAPSED] = {"elapsed_s", false, SECONDS, AT(elapsed_ns)},
};

/* What would do, for the sentence about a cell. */
static const char *const wanted[] = {
    [TEXT] = "",
    [WHOLE] = "a whole number is wanted",
    [BAR] = "the number of a bar is wanted",
    [TEMPO] = "a tempo from 5 to 1000 is wanted, with a point: 63.7",
    [SECONDS] = "seconds are wanted, with a point: 12.346",
    [TIME] = "a time is written 2026-11-25T19:30:05+01:00",
    [PART] = "accepted are climb, cold, anchor, over, close, context, easy, visit and check",
    [MARK] = "accepted are clean, miss, void and unmarked",
    [MOVE] = ("accepted are raised, dropped, held, won, plateau, tired, stopped, easier, harder "
              "and nothing"),
    [MARKED_BY] = "accepted are key, assumed, changed and nothing",
};

bool csv_header_read(const char *const *cell, size_t cells, struct csv_header *out_header,
                     char *out_fault, size_t fault_bytes)
{
    size_t known = 0;
    out_header->cells = cells;
    for (size_t i = 0; i < CSV_COLUMNS; i++) {
        out_header->at[i] = -1;
        for (size_t j = 0; j < cells; j++) {
            if (strcasecmp(cell[j], columns[i].name))
                continue;
            if (out_header->at[i] >= 0) {
                snprintf(out_fault, fault_bytes, "two columns are named %s", columns[i].name);
                return false;
            }
            out_header->at[i] = (int)j;
            known++;
        }
    }
    for (size_t i = 0; i < CSV_COLUMNS; i++) {
        if (!columns[i].needed || out_header->at[i] >= 0)
            continue;
        if (known)
            snprintf(out_fault, fault_bytes, "there is no column named %s", columns[i].name);
        else
            snprintf(out_fault, fault_bytes,
                     cells == 1 && strchr(cell[0], ';')
                         ? "the columns are set apart by semicolons; save it with commas"
                         : "this is no session CSV; its first line names the columns: time, "
                           "session, passage, pass ...");
        return false;
    }
    return true;
}

static bool read_mark(const char *cell, struct passo_row *row)
{
    for (enum passo_mark mark = 0; mark < PASSO_MARK_COUNT; mark++) {
        row->mark = mark;
        if (!strcmp(cell, passo_mark_name(mark)))
            return true;
    }
    return false;
}

static bool read_move(const char *cell, struct passo_row *row)
{
    for (enum passo_move move = 0; move < PASSO_MOVE_COUNT; move++) {
        row->move = move;
        if (!strcmp(cell, passo_move_name(move)))
            return true;
    }
    return false;
}

static bool read_whole(const char *cell, int64_t least, int64_t most, void *field)
{
    int64_t number = 0;
    if (!csv_decimal(cell, 0, &number) || number < least || number > most)
        return false;
    if (least < 0)
        *(int32_t *)field = (int32_t)number;
    else
        *(uint32_t *)field = (uint32_t)number;
    return true;
}

static bool read_tempo(const char *cell, int32_t *field)
{
    int64_t mbpm = 0;
    if (!csv_decimal(cell, 3, &mbpm) || mbpm < PASSO_TEMPO_MIN_MBPM || mbpm > PASSO_TEMPO_MAX_MBPM)
        return false;
    *field = (int32_t)mbpm;
    return true;
}

static bool read_marked_by(const char *cell)
{
    return !strcmp(cell, "key") || !strcmp(cell, "assumed") || !strcmp(cell, "changed");
}

static bool read_cell(const struct column *column, const char *cell, struct passo_row *row)
{
    void *field = (char *)row + column->field;
    if (!*cell && !column->needed)
        return true;
    switch (column->kind) {
    case TEXT:
        *(const char **)field = csv_text(cell);
        return true;
    case WHOLE:
        return read_whole(cell, column->needed, UINT32_MAX, field);
    case BAR:
        return read_whole(cell, -PASSO_BAR_MAX, PASSO_BAR_MAX, field);
    case TEMPO:
        return read_tempo(cell, field);
    case SECONDS:
        return csv_decimal(cell, 9, field) && *(int64_t *)field >= 0;
    case TIME:
        return csv_time(cell, field, &row->day, &row->offset_s);
    case PART:
        return passo_row_part_read(row, cell);
    case MARK:
        return read_mark(cell, row);
    case MOVE:
        return read_move(cell, row);
    case MARKED_BY:
        row->marked_by = cell;
        return read_marked_by(cell);
    }
    return false;
}

bool csv_row_read(const struct csv_header *header, const char *const *cell,
                  struct passo_row *out_row, char *out_fault, size_t fault_bytes)
{
    char shown[64];
    *out_row = passo_row_empty();
    for (size_t i = 0; i < CSV_COLUMNS; i++) {
        if (header->at[i] < 0)
            continue;
        const char *text = cell[header->at[i]];
        if (read_cell(&columns[i], text, out_row))
            continue;
        snprintf(out_fault, fault_bytes, "%s is \"%s\"; %s", columns[i].name,
                 csv_shown(text, shown, sizeof shown), wanted[columns[i].kind]);
        return false;
    }
    /* The cells are the reader's own copy. */
    passo_row_pitch_read(out_row, (char *)(uintptr_t)out_row->variant);
    return true;
}

const char *csv_column_name(enum csv_column column)
{
    return columns[column].name;
}
