/* UTF-8 as ASCII that reads well. A private header of the room. Thread: any. */
#ifndef PASSO_REPORT_TEXT_FOLD_H
#define PASSO_REPORT_TEXT_FOLD_H

#include <stddef.h>
#include <wchar.h>

/* The next character of clean UTF-8; moves on. */
wchar_t text_next(const char **at);
/* ASCII for clean UTF-8: letters lose their accents, what has no likeness becomes '?'. Cut to
 * bytes; returns out. */
const char *text_ascii(const char *text, char *out, size_t bytes);

#endif
