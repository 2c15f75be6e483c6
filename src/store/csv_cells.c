/* Cells are read to the last byte or not at all: what only begins like a number is none. No float
 * and no locale takes part. Pure. */
#include "store/csv_cells.h"

#include <stdio.h>
#include <string.h>
#include "store/day.h"

enum { DIGITS_MAX = 18 };

const char *csv_text(const char *cell)
{
    bool ours = cell[0] == '\'' && cell[1] && strchr("=+-@\t\r\n'", cell[1]);
    return ours ? cell + 1 : cell;
}

static bool is_digit(char sign)
{
    return sign >= '0' && sign <= '9';
}

bool csv_decimal(const char *cell, int digits, int64_t *out_number)
{
    bool negative = *cell == '-';
    int64_t number = 0;
    int used = 0;
    const char *at = cell + negative;
    if (!is_digit(*at))
        return false;
    for (; is_digit(*at); at++) {
        used += used > 0 || *at != '0';
        if (used + digits > DIGITS_MAX)
            return false;
        number = number * 10 + (*at - '0');
    }
    bool point = *at == '.' && digits > 0;
    at += point;
    if (point && !is_digit(*at))
        return false;
    for (int i = 0; i < digits; i++)
        number = number * 10 + (point && is_digit(*at) ? *at++ - '0' : 0);
    if (point && is_digit(*at))
        number += *at >= '5';
    while (point && is_digit(*at))
        at++;
    *out_number = negative ? -number : number;
    return *at == '\0';
}

/* Exactly `digits` digits and the sign behind them. */
static bool read_digits(const char **at, int digits, char behind, int *out_number)
{
    int number = 0;
    for (int i = 0; i < digits; i++) {
        if (!is_digit((*at)[i]))
            return false;
        number = number * 10 + ((*at)[i] - '0');
    }
    *at += digits;
    if (behind && *(*at)++ != behind)
        return false;
    *out_number = number;
    return true;
}

/* "Z", "+01:00" or "+0100" to the end. */
static bool read_offset(const char *at, int32_t *out_offset_s)
{
    int hours = 0;
    int minutes = 0;
    *out_offset_s = 0;
    if (!strcmp(at, "Z"))
        return true;
    int sign = *at == '-' ? -1 : 1;
    if (*at != '+' && *at != '-')
        return false;
    at++;
    if (!read_digits(&at, 2, 0, &hours))
        return false;
    at += *at == ':';
    if (!read_digits(&at, 2, 0, &minutes) || *at || hours > 24 || minutes > 59)
        return false;
    *out_offset_s = sign * (hours * 60 + minutes) * 60;
    return true;
}

/* ".25", if there is one, in nanoseconds. */
static int64_t read_part_of_second(const char **at)
{
    int64_t ns = 0;
    int64_t unit = 100000000;
    if (**at != '.' || !is_digit((*at)[1]))
        return 0;
    for (++*at; is_digit(**at); ++*at, unit /= 10)
        ns += (**at - '0') * unit;
    return ns;
}

bool csv_time(const char *cell, int64_t *out_ns, int32_t *out_day, int32_t *out_offset_s)
{
    const char *at = cell;
    int year, month, day, hour, minute, second;
    if (!read_digits(&at, 4, '-', &year) || !read_digits(&at, 2, '-', &month) ||
        !read_digits(&at, 2, 0, &day) || (*at != 'T' && *at != ' '))
        return false;
    at++;
    /* A leap second may be written: 60. */
    if (!read_digits(&at, 2, ':', &hour) || !read_digits(&at, 2, ':', &minute) ||
        !read_digits(&at, 2, 0, &second) || hour > 23 || minute > 59 || second > 60)
        return false;
    int64_t part_ns = read_part_of_second(&at);
    *out_day = (year * 100 + month) * 100 + day;
    if (month > 12 || day > 31 || !passo_day_exists(*out_day) || year < 1678 || year > 2261 ||
        !read_offset(at, out_offset_s))
        return false;
    int64_t seconds = passo_day_count(*out_day) * 86400 + hour * 3600 + minute * 60 + second;
    *out_ns = (seconds - *out_offset_s) * 1000000000 + part_ns;
    return true;
}

const char *csv_shown(const char *cell, char *out, size_t bytes)
{
    size_t length = strlen(cell);
    if (length < bytes) {
        memcpy(out, cell, length + 1);
        return out;
    }
    length = bytes - sizeof "...";
    while (length > 0 && ((unsigned char)cell[length] & 0xC0) == 0x80)
        length--;
    snprintf(out, bytes, "%.*s...", (int)length, cell);
    return out;
}
