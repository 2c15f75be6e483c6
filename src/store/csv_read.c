/* Reads a session CSV twice through: first for the rows marked `changed`, which are few, then all
 * of it, handing over what no later row replaces. So nothing but those few is ever kept, however
 * long the file. A row that is bad is told and passed over; if its cells are not as many as the
 * header's and it spans lines, reading goes on at its second line, as a torn row in mid-file may
 * have opened a quote that it never closed. Runs on the main thread. */
#include "store/csv_read.h"

#include <stdio.h>
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "store/csv_changed.h"
#include "store/csv_columns.h"
#include "store/csv_record.h"

enum { SENTENCE_BYTES = 512, ASK_EVERY = 1024 /* records */ };

struct reading {
    const char *name;
    const struct passo_csv_taker *taker;
    struct csv_records records;
    struct csv_header header;
    struct csv_changed changed;
    bool looks_for_changed; /* the first time through */
    uint64_t faults;
    uint64_t handed_over;
    uint64_t asked;                 /* records since go_on() was */
    uint64_t torn;                  /* a line that is cut off, if nothing whole comes behind it */
    char torn_what[SENTENCE_BYTES]; /* the fault that it is, if something does */
    const char *cell[CSV_CELLS_MAX];
    char *scratch;
};

static const char *open_fault(int error)
{
    switch (error) {
    case ENOENT:
    case ENOTDIR:
        return "there is no such file";
    case EACCES:
    case EPERM:
        return "this file may not be read; look at its permissions";
    case ENXIO:
        return "this is a socket or a device; name an ordinary file";
    default:
        return strerror(error);
    }
}

static const char *kind_fault(const struct stat *about)
{
    if (S_ISDIR(about->st_mode))
        return "this is a folder; name a file in it";
    if (!S_ISREG(about->st_mode))
        return "this is a pipe or a device; name an ordinary file";
    return NULL;
}

/* Opened without waiting, so that a pipe that nobody writes to is a fault, not a halt. */
static int open_file(const char *path, const char *name, char *out_fault, size_t fault_bytes)
{
    struct stat about;
    int file = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    const char *fault = file < 0 || fstat(file, &about) ? open_fault(errno) : kind_fault(&about);
    if (!fault)
        return file;
    if (file >= 0)
        close(file);
    snprintf(out_fault, fault_bytes, "%s: %s", *name ? name : "\"\"", fault);
    return -1;
}

/* Tells of a row that is passed over; the second time through only, so that none is told twice. */
static void tell(struct reading *reading, uint64_t line, const char *what)
{
    char sentence[PASSO_CSV_RECORD_MAX / 8 + SENTENCE_BYTES];
    if (reading->looks_for_changed)
        return;
    reading->faults++;
    if (!reading->taker->fault || reading->faults > PASSO_CSV_FAULTS_MAX)
        return;
    snprintf(sentence, sizeof sentence, "%s, line %" PRIu64 ": %s%s", reading->name, line, what,
             reading->taker->whole ? "" : "; this row is passed over");
    reading->taker->fault(reading->taker->user, sentence);
}

static void tell_the_rest(struct reading *reading)
{
    char sentence[PASSO_CSV_RECORD_MAX / 8 + SENTENCE_BYTES];
    if (!reading->taker->fault || reading->faults <= PASSO_CSV_FAULTS_MAX)
        return;
    uint64_t more = reading->faults - PASSO_CSV_FAULTS_MAX;
    snprintf(sentence, sizeof sentence, "%s: %" PRIu64 " more %s %s", reading->name, more,
             more == 1 ? "row" : "rows",
             reading->taker->whole ? "cannot be taken"
             : more == 1           ? "is passed over"
                                   : "are passed over");
    reading->taker->fault(reading->taker->user, sentence);
}

/* Tells of a line that is cut off, or waits to see whether it is the last. */
static void tell_torn(struct reading *reading, uint64_t line, const char *what)
{
    if (!reading->taker->torn) {
        tell(reading, line, what);
    } else if (!reading->torn) {
        reading->torn = line;
        snprintf(reading->torn_what, sizeof reading->torn_what, "%s", what);
    }
}

/* Something whole stands behind what looked like a torn last line. */
static void tell_not_last(struct reading *reading)
{
    if (reading->torn)
        tell(reading, reading->torn, reading->torn_what);
    reading->torn = 0;
}

static const char *kind_words(enum csv_record_kind kind, const struct csv_record *record)
{
    switch (kind) {
    case CSV_RECORD_TORN:
        return "a quote is opened here and never closed";
    case CSV_RECORD_QUOTING:
        return "something stands behind a closing quote; a quote in a cell is doubled";
    case CSV_RECORD_TOO_LONG:
        return "this row is longer than 64 KiB";
    case CSV_RECORD_ROW:
        return memchr(record->text, 0, record->bytes) ? "a zero byte stands here" : NULL;
    case CSV_RECORD_END:
    case CSV_RECORD_UNREAD:
        break;
    }
    return NULL;
}

/* Whether the header stands here once more: files were joined. */
static bool is_header(struct reading *reading, size_t cells)
{
    char fault[SENTENCE_BYTES];
    struct csv_header header;
    if (cells > CSV_CELLS_MAX ||
        !csv_header_read(reading->cell, cells, &header, fault, sizeof fault))
        return false;
    reading->header = header;
    return true;
}

static void hand_over(struct reading *reading, const struct passo_row *row)
{
    if (csv_changed_replaces(&reading->changed, row))
        return;
    reading->handed_over++;
    const char *what = reading->taker->row(reading->taker->user, row);
    if (what)
        tell(reading, row->line, what);
}

/* A row with too few cells or too many. A short one may be what a torn quote swallowed. */
static void tell_cells(struct reading *reading, const struct csv_record *record, size_t cells)
{
    char what[SENTENCE_BYTES];
    bool few = cells < reading->header.cells;
    snprintf(what, sizeof what,
             few ? "torn, with %zu of %zu cells"
                 : "it has %zu cells where the header names %zu columns",
             cells, reading->header.cells);
    if (few && (!record->ended || reading->torn))
        tell_torn(reading, record->line, what);
    else
        tell(reading, record->line, what);
    csv_records_retry(&reading->records, record);
}

static void take_row(struct reading *reading, const struct csv_record *record)
{
    char what[SENTENCE_BYTES];
    struct passo_row row;
    size_t cells = csv_record_cells(record, reading->scratch, reading->cell);
    /* No row begins with a letter. */
    bool letter = (record->text[0] | 0x20) >= 'a' && (record->text[0] | 0x20) <= 'z';
    if (letter && is_header(reading, cells))
        return;
    if (cells != reading->header.cells) {
        tell_cells(reading, record, cells);
        return;
    }
    tell_not_last(reading);
    bool good = csv_row_read(&reading->header, reading->cell, &row, what, sizeof what);
    row.line = record->line;
    if (reading->taker->player)
        row.player = reading->taker->player;
    if (!good)
        tell(reading, record->line, what);
    else if (!reading->looks_for_changed)
        hand_over(reading, &row);
    else if (!strcmp(row.marked_by, "changed"))
        csv_changed_add(&reading->changed, &row);
}

/* The first time through most rows need not be taken apart. */
static bool may_matter(const struct reading *reading, const struct csv_record *record)
{
    if (record->bytes == 0)
        return false;
    return !reading->looks_for_changed || memmem(record->text, record->bytes, "changed", 7) ||
           memmem(record->text, record->bytes, "marked_by", 9);
}

static bool goes_on(struct reading *reading)
{
    const struct passo_csv_taker *taker = reading->taker;
    if (!taker->go_on || ++reading->asked < ASK_EVERY)
        return true;
    reading->asked = 0;
    return taker->go_on(taker->user, reading->handed_over);
}

/* PASSO_ERR_FILE: errno says why. */
static enum passo_error read_rows(struct reading *reading)
{
    struct csv_record record;
    while (goes_on(reading)) {
        enum csv_record_kind kind = csv_records_next(&reading->records, &record);
        if (kind == CSV_RECORD_END)
            return PASSO_OK;
        if (kind == CSV_RECORD_UNREAD)
            return PASSO_ERR_FILE;
        const char *what = kind_words(kind, &record);
        if (kind == CSV_RECORD_TORN)
            tell_torn(reading, record.line, what);
        else if (what)
            tell(reading, record.line, what);
        else if (may_matter(reading, &record))
            take_row(reading, &record);
    }
    return PASSO_ERR_STATE;
}

/* The header is the first record; a byte order mark before it is passed over. */
static enum passo_error read_header(struct reading *reading, char *out_what, size_t bytes)
{
    struct csv_record record;
    enum csv_record_kind kind = csv_records_next(&reading->records, &record);
    if (kind == CSV_RECORD_UNREAD)
        return PASSO_ERR_FILE; /* errno says why */
    if (kind == CSV_RECORD_END) {
        snprintf(out_what, bytes,
                 "this file is empty; a session CSV begins with a line that "
                 "names its columns");
        return PASSO_ERR_SYNTAX;
    }
    if (kind_words(kind, &record)) {
        snprintf(out_what, bytes,
                 "this is no session CSV; its first line names the columns: "
                 "time, session, passage, pass ...");
        return PASSO_ERR_SYNTAX;
    }
    if (record.bytes >= 3 && !memcmp(record.text, "\xEF\xBB\xBF", 3)) {
        record.text += 3;
        record.bytes -= 3;
    }
    size_t cells = csv_record_cells(&record, reading->scratch, reading->cell);
    if (cells > CSV_CELLS_MAX) {
        snprintf(out_what, bytes, "there are more than %d columns", CSV_CELLS_MAX);
        return PASSO_ERR_SYNTAX;
    }
    bool good = csv_header_read(reading->cell, cells, &reading->header, out_what, bytes);
    return good ? PASSO_OK : PASSO_ERR_SYNTAX;
}

/* Once through the file. */
static enum passo_error read_through(struct reading *reading, char *out_fault, size_t fault_bytes)
{
    char what[SENTENCE_BYTES];
    enum passo_error error = PASSO_ERR_FILE;
    reading->torn = 0;
    if (csv_records_rewind(&reading->records)) {
        error = read_header(reading, what, sizeof what);
        if (error == PASSO_OK)
            error = read_rows(reading);
    }
    if (error == PASSO_ERR_SYNTAX || error == PASSO_ERR_FILE)
        snprintf(out_fault, fault_bytes, "%s: %s", reading->name,
                 error == PASSO_ERR_SYNTAX ? what : strerror(errno));
    return error;
}

enum passo_error passo_csv_read(const char *path, const struct passo_csv_taker *taker,
                                char *out_fault, size_t fault_bytes)
{
    const char *name = taker->name ? taker->name : path;
    int file = open_file(path, name, out_fault, fault_bytes);
    if (file < 0)
        return PASSO_ERR_FILE;
    struct reading reading = {.name = name, .taker = taker, .looks_for_changed = true};
    csv_records_init(&reading.records, file);
    reading.scratch = passo_xcalloc(PASSO_CSV_RECORD_MAX + 1, 1);
    enum passo_error error = read_through(&reading, out_fault, fault_bytes);
    if (error == PASSO_OK) {
        reading.looks_for_changed = false;
        error = read_through(&reading, out_fault, fault_bytes);
        tell_the_rest(&reading);
        if (reading.torn)
            taker->torn(taker->user, reading.torn);
    }
    free(reading.scratch);
    csv_changed_deinit(&reading.changed);
    csv_records_deinit(&reading.records);
    close(file);
    return error;
}
