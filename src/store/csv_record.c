/* Finds the records of a CSV in a window that slides over the file. A record is looked for from its
 * first byte until its line end is in the window; only then are its cells taken apart, into
 * another place, so that a record that turns out bad can be begun again at its second line. Runs on
 * the main thread. */
#include "store/csv_record.h"

#include <errno.h>
#include <passo/error.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "store/csv_read.h"

enum { WINDOW_BYTES = 2 * PASSO_CSV_RECORD_MAX + 16 };

enum scan { SCAN_WHOLE, SCAN_MORE, SCAN_OPEN, SCAN_STRAY };

void csv_records_init(struct csv_records *records, int file)
{
    *records =
        (struct csv_records){.file = file, .buffer = passo_xcalloc(WINDOW_BYTES, 1), .line = 1};
}

void csv_records_deinit(struct csv_records *records)
{
    free(records->buffer);
    records->buffer = NULL;
}

bool csv_records_rewind(struct csv_records *records)
{
    records->from = 0;
    records->to = 0;
    records->at_end = false;
    records->line = 1;
    return lseek(records->file, 0, SEEK_SET) == 0;
}

/* Reads on, as much as the window has room for. False: errno says why. */
static bool fill(struct csv_records *records)
{
    records->to -= records->from;
    memmove(records->buffer, records->buffer + records->from, records->to);
    records->from = 0;
    ssize_t got;
    do {
        got = read(records->file, records->buffer + records->to, WINDOW_BYTES - records->to);
    } while (got < 0 && errno == EINTR);
    if (got < 0)
        return false;
    records->at_end = got == 0;
    records->to += (size_t)got;
    return true;
}

/* Bytes of the line end at text: 0 if there is none, or -1 if that shows only with more text. */
static int line_end(const char *text, const char *to, bool at_end)
{
    if (text == to || (*text != '\r' && *text != '\n'))
        return 0;
    if (*text == '\n')
        return 1;
    if (text + 1 == to)
        return at_end ? 1 : -1;
    return text[1] == '\n' ? 2 : 1;
}

/* Steps over the inside of a quoted cell, its closing quote included; NULL if it does not close. */
static const char *skip_quoted(const char *at, const char *to, struct csv_record *record)
{
    for (; at < to; at++) {
        if (*at == '"') {
            if (at + 1 == to || at[1] != '"')
                return at + 1;
            at++;
        } else if (*at == '\n' || (*at == '\r' && (at + 1 == to || at[1] != '\n'))) {
            record->lines++;
            if (!record->first_line)
                record->first_line = (size_t)(at + 1 - record->text);
        }
    }
    return NULL;
}

/* Looks for the end of the record that begins at record->text; *out_next is where the next one
 * begins. A quote counts only at the beginning of a cell. */
static enum scan scan(struct csv_record *record, const char *to, bool at_end, const char **out_next)
{
    const char *at = record->text;
    record->lines = 1;
    record->first_line = 0;
    for (;;) {
        if (at < to && *at == '"') {
            at = skip_quoted(at + 1, to, record);
            if (!at)
                return at_end ? SCAN_OPEN : SCAN_MORE;
            if (at == to && !at_end) /* it may be the first of two */
                return SCAN_MORE;
            if (at < to && *at != ',' && *at != '\r' && *at != '\n')
                return SCAN_STRAY;
        }
        while (at < to && *at != ',' && *at != '\r' && *at != '\n')
            at++;
        if (at < to && *at == ',') {
            at++;
            continue;
        }
        int end = line_end(at, to, at_end);
        if (end < 0 || (at == to && !at_end))
            return SCAN_MORE;
        record->bytes = (size_t)(at - record->text);
        record->ended = end > 0;
        *out_next = at + end;
        if (!record->first_line)
            record->first_line = (size_t)(*out_next - record->text);
        return SCAN_WHOLE;
    }
}

/* Passes over the line on which the window begins. */
static bool skip_line(struct csv_records *records)
{
    records->line++;
    for (;;) {
        const char *to = records->buffer + records->to;
        const char *at = records->buffer + records->from;
        while (at < to && *at != '\r' && *at != '\n')
            at++;
        int end = line_end(at, to, records->at_end);
        records->from = (size_t)(at - records->buffer);
        if (end > 0) {
            records->from += (size_t)end;
            return true;
        }
        if (records->at_end)
            return true;
        if (!fill(records))
            return false;
    }
}

static enum csv_record_kind pass_over(struct csv_records *records, enum csv_record_kind kind)
{
    return skip_line(records) ? kind : CSV_RECORD_UNREAD;
}

enum csv_record_kind csv_records_next(struct csv_records *records, struct csv_record *out_record)
{
    const char *next = NULL;
    for (;;) {
        *out_record =
            (struct csv_record){.text = records->buffer + records->from, .line = records->line};
        enum scan found = scan(out_record, records->buffer + records->to, records->at_end, &next);
        if (found == SCAN_STRAY)
            return pass_over(records, CSV_RECORD_QUOTING);
        if (found == SCAN_OPEN)
            return pass_over(records, CSV_RECORD_TORN);
        if (found == SCAN_WHOLE)
            break;
        if (records->to - records->from > PASSO_CSV_RECORD_MAX + 2)
            return pass_over(records, CSV_RECORD_TOO_LONG);
        if (!fill(records))
            return CSV_RECORD_UNREAD;
    }
    if (!out_record->ended && out_record->bytes == 0)
        return CSV_RECORD_END;
    if (out_record->bytes > PASSO_CSV_RECORD_MAX)
        return pass_over(records, CSV_RECORD_TOO_LONG);
    records->from = (size_t)(next - records->buffer);
    records->line += out_record->lines;
    return CSV_RECORD_ROW;
}

void csv_records_retry(struct csv_records *records, const struct csv_record *record)
{
    records->from = (size_t)(record->text - records->buffer) + record->first_line;
    records->line = record->line + 1;
}

size_t csv_record_cells(const struct csv_record *record, char *scratch,
                        const char *out_cell[CSV_CELLS_MAX])
{
    const char *at = record->text;
    const char *to = record->text + record->bytes;
    for (size_t cells = 0;; at++) {
        if (cells < CSV_CELLS_MAX)
            out_cell[cells] = scratch;
        cells++;
        if (at < to && *at == '"') {
            for (at++; *at != '"' || (at + 1 < to && at[1] == '"'); at++) {
                at += *at == '"';
                *scratch++ = *at;
            }
            at++;
        }
        while (at < to && *at != ',')
            *scratch++ = *at++;
        *scratch++ = '\0';
        if (at == to)
            return cells;
    }
}
