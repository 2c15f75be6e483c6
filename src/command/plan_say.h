/* How `passo plan` puts words on paper: as they are, or in ASCII where the locale is not UTF-8.
 * Thread: the main thread. */
#ifndef PASSO_COMMAND_PLAN_SAY_H
#define PASSO_COMMAND_PLAN_SAY_H

#include <stdint.h>

enum { PLAN_WIDTH = 79 };

/* printf(), of at most 1 KiB. */
void plan_say(const char *format, ...) __attribute__((format(printf, 1, 2)));
/* A paragraph, folded at blanks to PLAN_WIDTH. */
void plan_tell(const char *format, ...) __attribute__((format(printf, 1, 2)));
/* A bar of `share` (0 to 1) of `columns`; returns how many columns it took. */
int plan_bar(double share, int columns);
/* "62 %"; what is not quite none or all is "under 1 %" and "over 99 %". Returns out. */
const char *plan_percent(uint32_t part, uint32_t whole, char out[16]);

#endif
