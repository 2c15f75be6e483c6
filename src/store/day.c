/* The Gregorian calendar, counted in whole days. March counts as the first month, so that the leap
 * day ends a year and the months before it have fixed lengths. Pure. */
#include "store/day.h"

#include <passo/error.h>

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

bool passo_day_exists(int32_t yyyymmdd)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    int year = yyyymmdd / 10000;
    int month = yyyymmdd / 100 % 100;
    int day = yyyymmdd % 100;
    if (year < 1 || year > 9999 || month < 1 || month > 12 || day < 1)
        return false;
    return day <= lengths[month - 1] + (month == 2 && is_leap(year));
}

int64_t passo_day_count(int32_t yyyymmdd)
{
    PASSO_BUG_ON(!passo_day_exists(yyyymmdd));
    int64_t year = yyyymmdd / 10000;
    int64_t month = (yyyymmdd / 100 % 100 + 9) % 12; /* from March */
    int64_t day = yyyymmdd % 100;
    if (month >= 10)
        year--;
    int64_t leaps = year / 4 - year / 100 + year / 400;
    /* 719469 days from 1 March of the year 0 to 1 January 1970, and one, as days count from 1. */
    return year * 365 + leaps + (month * 306 + 5) / 10 + day - 719469;
}

int32_t passo_day_of(int64_t count)
{
    /* Whole years before this day: at most one too many, as no year is shorter than 365 days. */
    int64_t from_march = count + 719468; /* days since 1 March of the year 0 */
    int64_t year = from_march / 365;
    while (year * 365 + year / 4 - year / 100 + year / 400 > from_march)
        year--;
    int64_t of_year = from_march - (year * 365 + year / 4 - year / 100 + year / 400);
    int64_t month = (of_year * 5 + 2) / 153; /* from March */
    int64_t day = of_year - (month * 306 + 5) / 10 + 1;
    if (month >= 10)
        year++;
    return (int32_t)((year * 100 + (month + 2) % 12 + 1) * 100 + day);
}
