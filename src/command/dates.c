/* The clock is asked for the day in one place, and the time zone for the rest. */
#include "command/dates.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include "store/day.h"

int32_t passo_today(void)
{
    struct tm local;
    time_t now = time(NULL);
    localtime_r(&now, &local);
    return (local.tm_year + 1900) * 10000 + (local.tm_mon + 1) * 100 + local.tm_mday;
}

/* That local time, if its zone has it. */
static bool read_wall(int32_t day, int hour, int minute, int64_t *out_wall_ns)
{
    struct tm local = {.tm_year = day / 10000 - 1900,
                       .tm_mon = day / 100 % 100 - 1,
                       .tm_mday = day % 100,
                       .tm_hour = hour,
                       .tm_min = minute,
                       .tm_isdst = -1};
    time_t seconds = mktime(&local);
    *out_wall_ns = (int64_t)seconds * 1000000000;
    return hour <= 23 && minute <= 59 && local.tm_mday == day % 100;
}

/* Whether the text is all of the form that was scanned to `end`. */
static bool ends(const char *text, int end)
{
    return end > 0 && text[end] == '\0';
}

bool passo_date_read(const char *text, int32_t today, int32_t *out_day, int64_t *out_wall_ns)
{
    int year = 0, month = 0, of_month = 0, hour = 12, minute = 0, ago = 0, end = 0;
    int32_t day;
    if (!strcmp(text, "today")) {
        day = today;
    } else if (!strcmp(text, "yesterday")) {
        day = passo_day_of(passo_day_count(today) - 1);
    } else if (sscanf(text, "%5d days ago%n", &ago, &end) == 1 && ends(text, end) && ago >= 0) {
        day = passo_day_of(passo_day_count(today) - ago);
    } else {
        end = 0;
        if (sscanf(text, "%4d-%2d-%2d%n", &year, &month, &of_month, &end) != 3 || end != 10)
            return false;
        if (out_wall_ns && text[end])
            if (sscanf(text, "%*4d-%*2d-%*2d%*1[ T]%2d:%2d%n", &hour, &minute, &end) != 2)
                return false;
        day = (year * 100 + month) * 100 + of_month;
        if (!ends(text, end) || month < 1 || month > 12 || of_month < 1 || year < 1678 ||
            year > 2261 || !passo_day_exists(day))
            return false;
    }
    *out_day = day;
    return !out_wall_ns || read_wall(day, hour, minute, out_wall_ns);
}

const char *passo_date_words(int32_t day, int32_t today, char *out, size_t bytes)
{
    static const char *const months[] = {"January",   "February", "March",    "April",
                                         "May",       "June",     "July",     "August",
                                         "September", "October",  "November", "December"};
    int length = snprintf(out, bytes, "%d %s", day % 100, months[day / 100 % 100 - 1]);
    if (day / 10000 != today / 10000 && length > 0 && (size_t)length < bytes)
        snprintf(out + length, bytes - (size_t)length, " %d", day / 10000);
    return out;
}
