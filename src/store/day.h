/* Calendar days as one number, 20261124 for 24 November 2026. Thread: any. Pure. */
#ifndef PASSO_STORE_DAY_H
#define PASSO_STORE_DAY_H

#include <stdbool.h>
#include <stdint.h>

/* Whether there is such a day, from the year 1 to 9999. */
bool passo_day_exists(int32_t yyyymmdd);
/* Days from 1 January 1970 to this day, which exists. */
int64_t passo_day_count(int32_t yyyymmdd);
/* The day so many days after it, in the years 1 to 9999. */
int32_t passo_day_of(int64_t count);

#endif
