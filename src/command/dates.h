/* Days as a player says them. Thread: any. */
#ifndef PASSO_COMMAND_DATES_H
#define PASSO_COMMAND_DATES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The local day, by the clock: 20261125. */
int32_t passo_today(void);
/* Reads "2026-11-25", "today", "yesterday", "14 days ago"; with out_wall_ns (may be NULL) also
 * "2026-11-25 18:30", the local time, which is noon where none is said. */
bool passo_date_read(const char *text, int32_t today, int32_t *out_day, int64_t *out_wall_ns);
/* "24 November", with the year if it is not this one's. Returns out. */
const char *passo_date_words(int32_t day, int32_t today, char *out, size_t bytes);

#endif
