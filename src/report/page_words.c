/* Days, times, counts and tempi in words, for the pages. English months and weekdays whatever the
 * machine's language is: a page reads the same wherever it was made. Pure. */
#include "report/page_words.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "report/report_words.h"
#include "store/day.h"

const char *words_weekday(int32_t day)
{
    static const char *const names[] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};
    int64_t weekday = (passo_day_count(day) + 3) % 7; /* 1 January 1970 was a Thursday */
    return names[weekday < 0 ? weekday + 7 : weekday];
}

const char *words_day(int32_t day, enum day_style style, char *out, size_t bytes)
{
    int year = (int)(day / 10000);
    const char *month = report_month_name(day);
    int of_month = (int)(day % 100);
    switch (style) {
    case DAY_SHORT:
        snprintf(out, bytes, "%d %.3s", of_month, month);
        break;
    case DAY_WEEK:
        snprintf(out, bytes, "%s %d %.3s", words_weekday(day), of_month, month);
        break;
    case DAY_LONG:
        snprintf(out, bytes, "%d %s %d", of_month, month, year);
        break;
    case DAY_VOICE:
        snprintf(out, bytes, "%s %d %s %d", report_day_name(day), of_month, month, year);
        break;
    case DAY_MONTH:
        if (day / 100 % 100 == 1)
            snprintf(out, bytes, "%d", year);
        else
            snprintf(out, bytes, "%.3s", month);
        break;
    }
    return out;
}

const char *words_clock(int64_t time_ns, int32_t offset_s, char *out, size_t bytes)
{
    int64_t seconds = time_ns / 1000000000 - (time_ns % 1000000000 < 0) + offset_s;
    int64_t of_day = seconds % 86400 + (seconds % 86400 < 0 ? 86400 : 0);
    snprintf(out, bytes, "%d:%02d", (int)(of_day / 3600), (int)(of_day / 60 % 60));
    return out;
}

const char *words_time(int64_t ns, char *out, size_t bytes)
{
    int64_t minutes = (ns + 30000000000) / 60000000000;
    if (ns <= 0)
        snprintf(out, bytes, "no time");
    else if (minutes < 1)
        snprintf(out, bytes, "under a minute");
    else if (minutes < 60)
        snprintf(out, bytes, "%d min", (int)minutes);
    else if (minutes % 60 == 0)
        snprintf(out, bytes, "%lld h", (long long)(minutes / 60));
    else
        snprintf(out, bytes, "%lld h %d min", (long long)(minutes / 60), (int)(minutes % 60));
    return out;
}

const char *words_count(uint64_t count, const char *word, const char *more, char *out, size_t bytes)
{
    snprintf(out, bytes, "%llu %s%s", (unsigned long long)count, word, count == 1 ? "" : more);
    return out;
}

int words_whole(double bpm)
{
    return isfinite(bpm) ? (int)lround(fmax(0, fmin(bpm, 10000))) : 0;
}

static int32_t first_day(const struct passo_report *report)
{
    int32_t first = report->from_day;
    for (size_t i = 0; !report->from_day && i < report->passages; i++) {
        const struct passo_report_passage *passage = report->passage[i];
        if (passage->days && (!first || passage->day[0].day < first))
            first = passage->day[0].day;
    }
    return first;
}

const char *words_period(const struct passo_report *report, char *out, size_t bytes)
{
    int32_t from = first_day(report);
    int32_t to = report->to_day ? report->to_day : report->today;
    char day[WORDS_BYTES];
    out[0] = '\0';
    if (from && from / 100 == to / 100 && from != to)
        words_add(out, bytes, "%d to ", (int)(from % 100));
    else if (from && from / 10000 == to / 10000 && from != to)
        words_add(out, bytes, "%d %s to ", (int)(from % 100), report_month_name(from));
    else if (from && from != to)
        words_add(out, bytes, "%s to ", words_day(from, DAY_LONG, day, sizeof day));
    words_add(out, bytes, "%s", words_day(to, DAY_LONG, day, sizeof day));
    return out;
}

void words_add(char *out, size_t bytes, const char *format, ...)
{
    size_t used = strlen(out);
    va_list rest;
    va_start(rest, format);
    vsnprintf(out + used, bytes - used, format, rest);
    va_end(rest);
}

void words_sentence(char *out, size_t bytes, const char *said)
{
    size_t length = strlen(said);
    if (!length)
        return;
    words_add(out, bytes, "%s%c%s%s", out[0] ? " " : "", toupper((unsigned char)said[0]), said + 1,
              strchr(".!?", said[length - 1]) ? "" : ".");
}

const char *words_ended(enum passo_move move)
{
    switch (move) {
    case PASSO_MOVE_WON:
    case PASSO_MOVE_PLATEAU:
    case PASSO_MOVE_TIRED:
    case PASSO_MOVE_STOPPED:
        return passo_move_name(move);
    case PASSO_MOVE_NONE:
    case PASSO_MOVE_RAISED:
    case PASSO_MOVE_DROPPED:
    case PASSO_MOVE_HELD:
    case PASSO_MOVE_EASIER:
    case PASSO_MOVE_HARDER:
    case PASSO_MOVE_COUNT:
        break;
    }
    return "";
}

static const struct pass_kind kinds[PASS_KINDS] = {
    {"c", "cold first try"},  {"a", "slow anchor"}, {"o", "over the target"},
    {"t", "close at target"}, {"x", "in context"},  {"e", "easy"},
    {"v", "visit"},           {"k", "check"},
};

const struct pass_kind *words_kind_at(size_t kind)
{
    return &kinds[kind];
}

const struct pass_kind *words_kind(const struct passo_report_pass *pass)
{
    if (pass->extra != PASSO_EXTRA_NONE)
        return &kinds[pass->extra == PASSO_EXTRA_VISIT ? 6 : 7];
    switch (pass->part) {
    case PASSO_PART_COLD:
        return &kinds[0];
    case PASSO_PART_ANCHOR:
        return &kinds[1];
    case PASSO_PART_OVER:
        return &kinds[2];
    case PASSO_PART_CLOSE:
        return &kinds[3];
    case PASSO_PART_CONTEXT:
        return &kinds[4];
    case PASSO_PART_EASY:
        return &kinds[5];
    case PASSO_PART_CLIMB:
    case PASSO_PART_DONE:
    case PASSO_PART_COUNT:
        break;
    }
    return NULL;
}
