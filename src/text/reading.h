/* Readings that say what would do when they fail. Inside src/text/ only. */
#ifndef PASSO_TEXT_READING_H
#define PASSO_TEXT_READING_H

#include "text/notation.h"
#include "text/settings.h"

/* As passo_meter_read(); NULL, or static text that says what a meter would be. */
const char *reading_meter(const char *text, struct passo_meter *out_meter);
/* As passo_tempo_read(), noting the unit that the tempo carries. NULL, or what would do. */
const char *reading_tempo(const char *text, struct draft *draft, int32_t *out_mbpm);
/* Reads "WHAT below TEMPO": cuts WHAT out of the text ("" if there is no room for it) and reads
 * the tempo; without "below" all of the text is WHAT and the tempo is 0. NULL, or what would do. */
const char *reading_below(const char *text, struct draft *draft, char *out_what, size_t bytes,
                          int32_t *out_mbpm);
/* Whether number is in least to most. */
bool reading_fits(int64_t number, int64_t least, int64_t most);

#endif
