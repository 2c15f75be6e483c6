/* Rows are put together by hand, without stdio and the locale: an export writes millions of them.
 * Room for the whole of a row is made once; behind that nothing is checked, as no cell can be
 * longer than was reckoned with. Pure. */
#include "store/csv_line.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "store/day.h"

static const char header[] =
    "time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,"
    "marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s\r\n";

enum {
    NUMBER_BYTES = 24, /* 64 bits, a sign and a point */
    /* The cells of a row that are no texts of a player: a time, nine numbers, three words. */
    ROW_BYTES = 32 + 9 * NUMBER_BYTES + 3 * 16 + 22 + 32, /* and what tells the octave */
    CELL_BYTES = 4 /* two quotes, the apostrophe, the comma */
};

static char *make_room(struct csv_bytes *to, size_t bytes)
{
    if (to->room - to->used < bytes) {
        to->room = 2 * to->room + bytes;
        to->bytes = passo_xrealloc(to->bytes, to->room);
    }
    return to->bytes + to->used;
}

static void made(struct csv_bytes *to, const char *end)
{
    to->used = (size_t)(end - to->bytes);
}

/* A spreadsheet runs cells that begin so; a tab or a line end may hide such a beginning. */
static bool runs_as_formula(char first)
{
    return first == '=' || first == '+' || first == '-' || first == '@' || first == '\t' ||
           first == '\r' || first == '\n';
}

static bool needs_quotes(const char *text)
{
    if (*text == ' ' || *text == '\'' || runs_as_formula(*text))
        return true;
    for (; *text; text++) {
        if (*text == ',' || *text == '"' || *text == '\r' || *text == '\n')
            return true;
    }
    return false;
}

/* Puts a cell where there is room for twice its length and CELL_BYTES; returns where it ends. */
static char *put_cell(char *at, const char *text)
{
    if (!needs_quotes(text)) {
        while (*text)
            *at++ = *text++;
        return at;
    }
    *at++ = '"';
    /* An apostrophe that was there already is doubled, so that import can tell them apart. */
    if (*text == '\'' || runs_as_formula(*text))
        *at++ = '\'';
    for (; *text; text++) {
        if (*text == '"')
            *at++ = '"';
        *at++ = *text;
    }
    *at++ = '"';
    return at;
}

/* The variant's name, with words that tell its octave where the name does not. */
static char *put_variant(char *at, const struct passo_row *row)
{
    const char *words = passo_row_pitch_words(row);
    if (!words[0])
        return put_cell(at, row->variant);
    size_t bytes = strlen(row->variant) + strlen(words) + 1;
    char *name = passo_xcalloc(bytes, 1);
    snprintf(name, bytes, "%s%s", row->variant, words);
    at = put_cell(at, name);
    free(name);
    return at;
}

const char *passo_csv_cell(const char *text, char *out, size_t bytes)
{
    /* So much of the text as leaves room for it all, if every sign were a quote. */
    size_t most = bytes > CELL_BYTES ? (bytes - CELL_BYTES) / 2 : 0;
    size_t length = strlen(text);
    char *cut = passo_xcalloc(length + 1, 1);
    memcpy(cut, text, length < most ? length : most);
    PASSO_BUG_ON(bytes < CELL_BYTES);
    *put_cell(out, cut) = '\0';
    free(cut);
    return out;
}

static char *put_whole(char *at, int64_t number)
{
    char digit[NUMBER_BYTES];
    int digits = 0;
    uint64_t left = number < 0 ? 0 - (uint64_t)number : (uint64_t)number;
    if (number < 0)
        *at++ = '-';
    do {
        digit[digits++] = (char)('0' + left % 10);
        left /= 10;
    } while (left);
    while (digits)
        *at++ = digit[--digits];
    return at;
}

/* Exactly so many digits, with zeros before. */
static char *put_digits(char *at, int64_t number, int digits)
{
    for (int i = digits; i-- > 0; number /= 10)
        at[i] = (char)('0' + number % 10);
    return at + digits;
}

static char *put_decimal(char *at, int64_t number, int digits)
{
    int64_t unit = 1;
    for (int i = 0; i < digits; i++)
        unit *= 10;
    if (number < 0)
        *at++ = '-';
    number = number < 0 ? -number : number;
    at = put_whole(at, number / unit);
    *at++ = '.';
    return put_digits(at, number % unit, digits);
}

/* Thousandths as a decimal with no needless zeros: 92, 63.7. */
static char *put_thousandths(char *at, int64_t thousandths)
{
    at = put_decimal(at, thousandths, 3);
    while (at[-1] == '0')
        at--;
    return at - (at[-1] == '.');
}

static char *put_seconds(char *at, int64_t ns)
{
    return put_decimal(at, (ns + 500000) / 1000000, 3);
}

static int64_t floor_div(int64_t number, int64_t by)
{
    return number / by - (number % by < 0);
}

/* ISO 8601 with the offset: 2026-11-25T19:30:05+01:00. */
static char *put_time(char *at, const struct passo_row *row)
{
    int64_t seconds = floor_div(row->time_ns, 1000000000) + row->offset_s;
    int64_t of_day = seconds - floor_div(seconds, 86400) * 86400;
    int32_t day = passo_day_of(floor_div(seconds, 86400));
    int32_t offset_min = (row->offset_s < 0 ? -row->offset_s : row->offset_s) / 60;
    at = put_digits(at, day / 10000, 4);
    *at++ = '-';
    at = put_digits(at, day / 100 % 100, 2);
    *at++ = '-';
    at = put_digits(at, day % 100, 2);
    *at++ = 'T';
    at = put_digits(at, of_day / 3600, 2);
    *at++ = ':';
    at = put_digits(at, of_day / 60 % 60, 2);
    *at++ = ':';
    at = put_digits(at, of_day % 60, 2);
    *at++ = row->offset_s < 0 ? '-' : '+';
    at = put_digits(at, offset_min / 60, 2);
    *at++ = ':';
    return put_digits(at, offset_min % 60, 2);
}

static size_t row_bytes(const struct passo_row *row)
{
    const char *const text[] = {row->player, row->session, row->passage,   row->piece,    row->loop,
                                row->bars,   row->variant, row->beat_unit, row->marked_by};
    size_t bytes = ROW_BYTES;
    for (size_t i = 0; i < sizeof text / sizeof text[0]; i++)
        bytes += 2 * strlen(text[i]) + CELL_BYTES;
    return bytes;
}

/* Puts a comma behind a cell. */
static char *comma(char *at)
{
    *at = ',';
    return at + 1;
}

/* The cells that say what was played, up to the target. */
static char *put_played(char *at, const struct passo_row *row)
{
    at = comma(put_time(at, row));
    at = comma(put_cell(at, row->player));
    at = comma(put_cell(at, row->session));
    at = comma(put_cell(at, row->passage));
    at = comma(put_cell(at, row->piece));
    at = comma(put_whole(at, row->pass));
    at = comma(put_cell(at, passo_row_part_name(row)));
    at = comma(put_cell(at, row->loop));
    at = comma(put_cell(at, row->bars));
    at = comma(put_variant(at, row));
    at = comma(put_cell(at, row->beat_unit));
    at = comma(put_thousandths(at, row->tempo_mbpm));
    /* A file need not say the target; then there is none. */
    return comma(row->target_mbpm ? put_thousandths(at, row->target_mbpm) : at);
}

void csv_line_row(struct csv_bytes *to, const struct passo_row *row)
{
    char *at = put_played(make_room(to, row_bytes(row)), row);
    at = comma(put_cell(at, passo_mark_name(row->mark)));
    at = comma(put_cell(at, row->marked_by));
    at = comma(row->miss_bar == INT32_MIN ? at : put_whole(at, row->miss_bar));
    at = comma(put_whole(at, row->clean_in_a_row));
    at = comma(put_cell(at, passo_move_name(row->move)));
    at = comma(row->next_mbpm ? put_thousandths(at, row->next_mbpm) : at);
    at = comma(put_seconds(at, row->play_ns));
    at = comma(put_seconds(at, row->rest_ns));
    at = put_seconds(at, row->elapsed_ns);
    *at++ = '\r';
    *at++ = '\n';
    made(to, at);
}

void csv_line_header(struct csv_bytes *to)
{
    csv_line_text(to, header);
}

void csv_line_text(struct csv_bytes *to, const char *text)
{
    size_t bytes = strlen(text);
    memcpy(make_room(to, bytes), text, bytes);
    to->used += bytes;
}

void csv_line_cell(struct csv_bytes *to, const char *text, char behind)
{
    char *at = put_cell(make_room(to, 2 * strlen(text) + CELL_BYTES), text);
    *at++ = behind;
    made(to, at);
}

void csv_line_decimal(struct csv_bytes *to, int64_t number, int digits, char behind)
{
    char *at = make_room(to, NUMBER_BYTES + 1);
    at = digits ? put_decimal(at, number, digits) : put_whole(at, number);
    *at++ = behind;
    made(to, at);
}
