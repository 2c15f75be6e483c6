/* What stands in one cell of the session CSV. A private header of the store. Thread: any. Pure. */
#ifndef PASSO_STORE_CSV_CELLS_H
#define PASSO_STORE_CSV_CELLS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The text that passo_csv_cell() made harmless; points into the cell. */
const char *csv_text(const char *cell);
/* "63.7" in units of 10^-digits, rounded half up (of a negative one away from 0); at most 18 digits
 * with those. */
bool csv_decimal(const char *cell, int digits, int64_t *out_number);
/* "2026-11-25T19:30:05+01:00", also with a blank for the T, a part of a second, Z; from the year
 * 1678 to 2261, which nanoseconds can hold. */
bool csv_time(const char *cell, int64_t *out_ns, int32_t *out_day, int32_t *out_offset_s);
/* The beginning of a cell for a sentence, cut at a character's edge. Returns out. */
const char *csv_shown(const char *cell, char *out, size_t bytes);

#endif
