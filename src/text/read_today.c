/* Readers of what the rungs are and of what depends on the day: climbs, resume, ceiling. */
#include "text/reading.h"
#include "text/scan.h"
#include "text/settings.h"

#include <string.h>

#define PART_MAX    96
#define NO_DAY      0
#define RUNGS_BELOW 100

const char *read_climbs(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    int64_t within = 4000;
    if (scan_match(value, "tempo", NULL))
        rule->climbs = PASSO_CLIMBS_TEMPO;
    else if (scan_match(value, "length", NULL))
        rule->climbs = PASSO_CLIMBS_LENGTH;
    else if (scan_match(value, "mixed", NULL))
        rule->climbs = PASSO_CLIMBS_MIXED;
    else if (scan_match(value, "edge", NULL) || scan_match(value, "edge within ~ bpm", &within))
        rule->climbs = PASSO_CLIMBS_EDGE;
    else
        return "a climb goes by tempo, length (of a chain), mixed, edge, or edge within 4 bpm";
    if (!reading_fits(within, 1, PASSO_TEMPO_MAX_MBPM))
        return "an edge is found to more than 0 and at most 1000 bpm: edge within 4 bpm";
    rule->edge_within_mbpm = (int32_t)within;
    return NULL;
}

const char *read_resume(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    int64_t number = 0;
    bool share = scan_match(value, "%", &number);
    bool rungs = !share && scan_match(value, "# rung|rungs below", &number);
    if (share   ? !reading_fits(number, 1, 1000)
        : rungs ? !reading_fits(number, 1, RUNGS_BELOW)
                : !scan_match(value, "start", NULL))
        return "the next day opens at 85 % (of its best clean tempo), 1 rung below (it), or start";
    rule->resume_permille = share ? (int32_t)number : 0;
    rule->resume_rungs = (uint8_t)(rungs ? number : 0);
    return NULL;
}

/* Monday is 1, Sunday 7 (Zeller's congruence, a year that begins with March). */
static int day_of_week(int year, int month, int day)
{
    int y = month < 3 ? year - 1 : year;
    int m = month < 3 ? month + 12 : month;
    int from_saturday = (day + 13 * (m + 1) / 5 + y + y / 4 - y / 100 + y / 400) % 7;
    return (from_saturday + 5) % 7 + 1;
}

/* Skips a day's name: 1 to 7, or NO_DAY if there is none. */
static int scan_day_of_week(const char **at)
{
    static const char *const name[7][3] = {
        {"Mon", "Monday", "Mondays"},       {"Tue", "Tuesday", "Tuesdays"},
        {"Wed", "Wednesday", "Wednesdays"}, {"Thu", "Thursday", "Thursdays"},
        {"Fri", "Friday", "Fridays"},       {"Sat", "Saturday", "Saturdays"},
        {"Sun", "Sunday", "Sundays"},
    };
    for (int day = 0; day < 7; day++)
        for (size_t i = 0; i < 3; i++)
            if (scan_word(at, name[day][i]))
                return day + 1;
    return NO_DAY;
}

static bool day_exists(int64_t year, int64_t month, int64_t day)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return reading_fits(year, 1900, 9999) && reading_fits(month, 1, 12) &&
           reading_fits(day, 1, days[month - 1] + (month == 2 && leap));
}

/* Skips "2026-12-01": the date as one number, NO_DAY if there is none, -1 if it does not exist. */
static int32_t scan_date(const char **at)
{
    int64_t part[3] = {0, 0, 0};
    const char *from = *at + strspn(*at, " \t");
    if (strspn(from, "0123456789") != 4 || from[4] != '-')
        return NO_DAY;
    for (size_t i = 0; i < 3; i++) {
        bool whole = false;
        if ((i && !scan_char(&from, '-')) || !scan_number(&from, &part[i], &whole) || !whole)
            return -1;
        part[i] /= 1000;
    }
    if (!day_exists(part[0], part[1], part[2]))
        return -1;
    *at = from;
    return (int32_t)(part[0] * 10000 + part[1] * 100 + part[2]);
}

/* Whether a part of a ceiling is for today: 2 by its date, 1 by its day of the week, 0 on every
 * day, -1 not. Skips the day. -2 if there is no such day. */
static int scan_whether_today(const char **at, int32_t today)
{
    int32_t date = scan_date(at);
    if (date == -1)
        return -2;
    if (date != NO_DAY)
        return date == today ? 2 : -1;
    int day = scan_day_of_week(at);
    if (day == NO_DAY)
        return 0;
    return today && day == day_of_week(today / 10000, today / 100 % 100, today % 100) ? 1 : -1;
}

const char *read_ceiling(const char *value, struct draft *draft)
{
    static const char how[] =
        "a ceiling is a tempo, 80, or one by day, Tue 80, Thu 84, or 2026-12-01 80, or none";
    char part[PART_MAX];
    int nearest = -1;
    draft->rule->ceiling_mbpm = 0;
    if (scan_match(value, "none", NULL))
        return NULL;
    for (const char *at = value; scan_part(&at, ',', part, sizeof part);) {
        const char *tempo = part;
        int32_t mbpm = 0;
        int today = scan_whether_today(&tempo, draft->today_yyyymmdd);
        if (today == -2)
            return "there is no such day; a date is written 2026-12-01";
        if (scan_end(&tempo))
            return how;
        const char *fault = reading_tempo(tempo, draft, &mbpm);
        if (fault)
            return *tempo >= '0' && *tempo <= '9' ? fault : how;
        if (today > nearest) {
            nearest = today;
            draft->rule->ceiling_mbpm = mbpm;
        }
    }
    return NULL;
}
