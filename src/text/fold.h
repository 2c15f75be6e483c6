/* Text for terminals: its columns, and what becomes of it where there is no UTF-8. Thread: any. */
#ifndef PASSO_TEXT_FOLD_H
#define PASSO_TEXT_FOLD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* True if the locale's characters are UTF-8. Takes LC_CTYPE from the environment. */
bool passo_locale_is_utf8(void);
/* The next character of UTF-8 text that is not at its end; moves on. A broken byte counts as one
 * character, U+FFFD. */
uint32_t passo_text_next(const char **at);
/* UTF-8 to ASCII that reads well: "33-36 · octave" becomes "33-36, octave", accents go, a flat
 * sign becomes "-flat"; what has no likeness becomes '?'. Cut to bytes; returns out. */
const char *passo_text_ascii(const char *text, char *out, size_t bytes);
/* The bytes of clean UTF-8 that fit `most` columns of a terminal, and how many columns they take: a
 * letter may take two, an accent none. Goes by the locale's character set. */
size_t passo_text_fitting(const char *text, int most, int *out_columns);

#endif
