/* Small words that the drawings share. A private header of the room. Thread: any. */
#ifndef PASSO_REPORT_REPORT_WORDS_H
#define PASSO_REPORT_REPORT_WORDS_H

#include <stddef.h>
#include <stdint.h>

/* "Monday"; static. */
const char *report_day_name(int32_t day);
/* "November"; static. */
const char *report_month_name(int32_t day);
/* "24 Nov", with the year if it is not that of today. Returns out. */
const char *report_day_short(int32_t day, int32_t today, char *out, size_t bytes);
/* "72 %": 100 only if all are clean, 0 only if none is. Returns out. */
const char *report_share_write(uint32_t clean, uint32_t marked, char out[16]);

#endif
