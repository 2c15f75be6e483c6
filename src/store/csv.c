/* Rows are formatted whole into a growing buffer and written with write(2); what did not reach the
 * file stays in the buffer and goes out with the next row, so that a full disk loses nothing and
 * never cuts a row in two. Runs on the main thread, never on the audio thread. */
#include "store/csv.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static const char header[] =
    "time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,"
    "marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s\r\n";

struct passo_csv {
    int fd;
    char *waiting; /* bytes that are not yet in the file */
    size_t bytes;
};

/* A spreadsheet runs cells that begin so; a tab or a line end may hide such a beginning. */
static bool runs_as_formula(const char *text)
{
    return text[0] && strchr("=+-@\t\r\n", text[0]);
}

const char *passo_csv_cell(const char *text, char *out, size_t bytes)
{
    size_t used = 0;
    bool harmless = !runs_as_formula(text);
    bool quoted = !harmless || strpbrk(text, ",\"\r\n") || text[0] == ' ' || text[0] == '\'';
    if (quoted)
        out[used++] = '"';
    /* An apostrophe that was there already is doubled, so that import can tell them apart. */
    if (!harmless || text[0] == '\'')
        out[used++] = '\'';
    for (; *text && used + 4 < bytes; text++) {
        if (*text == '"')
            out[used++] = '"';
        out[used++] = *text;
    }
    if (quoted)
        out[used++] = '"';
    out[used] = '\0';
    return out;
}

/* Writes all that waits; what is left stays. */
static enum passo_error flush_waiting(struct passo_csv *csv)
{
    size_t done = 0;
    while (done < csv->bytes) {
        ssize_t wrote = write(csv->fd, csv->waiting + done, csv->bytes - done);
        if (wrote < 0 && errno == EINTR)
            continue;
        if (wrote <= 0)
            break;
        done += (size_t)wrote;
    }
    csv->bytes -= done;
    memmove(csv->waiting, csv->waiting + done, csv->bytes);
    return csv->bytes ? PASSO_ERR_FILE : PASSO_OK;
}

static void append(struct passo_csv *csv, const char *text, size_t bytes)
{
    csv->waiting = passo_xrealloc(csv->waiting, csv->bytes + bytes);
    memcpy(csv->waiting + csv->bytes, text, bytes);
    csv->bytes += bytes;
}

static void append_cell(struct passo_csv *csv, const char *text, const char *end)
{
    size_t room = 2 * strlen(text) + 8;
    char *cell = passo_xcalloc(room, 1);
    passo_csv_cell(text, cell, room);
    append(csv, cell, strlen(cell));
    append(csv, end, strlen(end));
    free(cell);
}

/* Thousandths as a decimal with no needless zeros: 92, 63.7. */
static void append_thousandths(struct passo_csv *csv, int64_t thousandths)
{
    char number[32];
    int length = snprintf(number, sizeof number, "%" PRId64 ".%03" PRId64, thousandths / 1000,
                          thousandths % 1000);
    while (number[length - 1] == '0')
        length--;
    if (number[length - 1] == '.')
        length--;
    append(csv, number, (size_t)length);
    append(csv, ",", 1);
}

static void append_seconds(struct passo_csv *csv, int64_t ns, const char *end)
{
    char number[40];
    int64_t ms = (ns + 500000) / 1000000;
    int length =
        snprintf(number, sizeof number, "%" PRId64 ".%03" PRId64 "%s", ms / 1000, ms % 1000, end);
    append(csv, number, (size_t)length);
}

static void append_number(struct passo_csv *csv, int64_t number)
{
    char text[24];
    int length = snprintf(text, sizeof text, "%" PRId64 ",", number);
    append(csv, text, (size_t)length);
}

/* ISO 8601 with the offset: 2026-11-25T19:30:05+01:00. */
static void append_time(struct passo_csv *csv, const struct passo_row *row)
{
    int64_t shifted_ns = row->time_ns + (int64_t)row->offset_s * 1000000000;
    time_t seconds = (time_t)(shifted_ns / 1000000000 - (shifted_ns % 1000000000 < 0));
    int offset_min = (row->offset_s < 0 ? -row->offset_s : row->offset_s) / 60;
    struct tm there;
    char text[48];
    gmtime_r(&seconds, &there);
    size_t length = strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S", &there);
    length += (size_t)snprintf(text + length, sizeof text - length, "%c%02d:%02d,",
                               row->offset_s < 0 ? '-' : '+', offset_min / 60, offset_min % 60);
    append(csv, text, length);
}

enum passo_error passo_csv_open(const char *path, bool force, struct passo_csv **out_csv,
                                char *out_fault, size_t fault_bytes)
{
    int fd;
    if (strcmp(path, "-") == 0) {
        fd = dup(STDOUT_FILENO);
    } else {
        int kind = force ? O_TRUNC : O_EXCL;
        /* A pipe that nobody reads is refused, not waited for. */
        fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC | O_NONBLOCK | kind, 0666);
        if (fd >= 0)
            fcntl(fd, F_SETFL, fcntl(fd, F_GETFL) & ~O_NONBLOCK);
    }
    const char *name = strcmp(path, "-") == 0 ? "standard output" : path;
    if (fd < 0) {
        bool exists = errno == EEXIST;
        snprintf(out_fault, fault_bytes,
                 exists ? "%s exists already: choose another name, or add "
                          "--force to write over it"
                        : "%s cannot be written: %s",
                 name, strerror(errno));
        return exists ? PASSO_ERR_EXISTS : PASSO_ERR_FILE;
    }
    struct passo_csv *csv = passo_xcalloc(1, sizeof *csv);
    csv->fd = fd;
    append(csv, header, sizeof header - 1);
    if (flush_waiting(csv) != PASSO_OK) {
        snprintf(out_fault, fault_bytes, "%s cannot be written: %s", name, strerror(errno));
        csv->bytes = 0;
        passo_csv_close(csv);
        return PASSO_ERR_FILE;
    }
    *out_csv = csv;
    return PASSO_OK;
}

enum passo_error passo_csv_write(struct passo_csv *csv, const struct passo_row *row)
{
    append_time(csv, row);
    append_cell(csv, row->player, ",");
    append_cell(csv, row->session, ",");
    append_cell(csv, row->passage, ",");
    append_cell(csv, row->piece, ",");
    append_number(csv, row->pass);
    append_cell(csv, passo_row_part_name(row), ",");
    append_cell(csv, row->loop, ",");
    append_cell(csv, row->bars, ",");
    append_cell(csv, row->variant, ",");
    append_cell(csv, row->beat_unit, ",");
    append_thousandths(csv, row->tempo_mbpm);
    append_thousandths(csv, row->target_mbpm);
    append_cell(csv, passo_mark_name(row->mark), ",");
    append_cell(csv, row->marked_by, ",");
    if (row->miss_bar == INT32_MIN)
        append(csv, ",", 1);
    else
        append_number(csv, row->miss_bar);
    append_number(csv, row->clean_in_a_row);
    append_cell(csv, passo_move_name(row->move), ",");
    if (row->next_mbpm)
        append_thousandths(csv, row->next_mbpm);
    else
        append(csv, ",", 1);
    append_seconds(csv, row->play_ns, ",");
    append_seconds(csv, row->rest_ns, ",");
    append_seconds(csv, row->elapsed_ns, "\r\n");
    return flush_waiting(csv);
}

enum passo_error passo_csv_close(struct passo_csv *csv)
{
    if (!csv)
        return PASSO_OK;
    enum passo_error error = flush_waiting(csv);
    if (close(csv->fd) != 0)
        error = PASSO_ERR_FILE;
    free(csv->waiting);
    free(csv);
    return error;
}
