/* What a day's snapshot says where a climb's would say something else. Texts are UTF-8 and return
 * out. Thread: any. */
#ifndef PASSO_VIEW_DAY_WORDS_H
#define PASSO_VIEW_DAY_WORDS_H

#include "session/view.h"

/* True while the day's list stands where a climb has its ladder. */
bool day_lists(const struct passo_snapshot *now);
/* What is played: of a block, and between items, the words of the day's line. */
const char *day_what(const struct passo_snapshot *now);
/* "12 of 45 min". */
const char *day_minutes(const struct passo_day_show *day, char *out, size_t bytes);
/* "visit 3 of 7 · 12 of 45 min", of others "6 of 19 · 12 of 45 min"; brief: "visit 3/7". "" when
 * the day is over. */
const char *day_place(const struct passo_day_show *day, bool brief, char *out, size_t bytes);
/* "3/19 · 12 of 45 min · then long tones": the day in a row, for beside what is played now. */
const char *day_in_a_row(const struct passo_day_show *day, char *out, size_t bytes);

#endif
