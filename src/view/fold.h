/* Text for terminals that are not UTF-8. Thread: any. */
#ifndef PASSO_VIEW_FOLD_H
#define PASSO_VIEW_FOLD_H

#include <stdbool.h>
#include <stddef.h>

/* True if the locale's characters are UTF-8. Takes LC_CTYPE from the environment. */
bool fold_locale_is_utf8(void);
/* UTF-8 to ASCII that reads well: "33-36 · octave" becomes "33-36, octave", accents go, a flat
 * sign becomes "-flat"; what has no likeness becomes '?'. Cut to bytes; returns out. */
const char *fold_ascii(const char *text, char *out, size_t bytes);

#endif
