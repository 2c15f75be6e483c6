/* Texts in quotes: how a file says what a bare line cannot: `title = "a ;b"`, `"a:b" = 1-2`; and
 * lines longer than inih takes. Inside src/text/ only. Thread: any but the audio thread. */
#ifndef PASSO_TEXT_QUOTE_H
#define PASSO_TEXT_QUOTE_H

#include <stdbool.h>
#include <stddef.h>

/* Reads a line `KEY = VALUE` whose key or value (or both) stands in quotes; free both. Within
 * quotes
 * \" is a quote, \\ a backslash and \xHH any byte but 0; a comment may follow. False, and nothing
 * set, of any other line: also of one whose quotes are part of the text (`"Run" and "Fall"`). */
bool quote_read(const char *line, size_t length, char **out_key, char **out_value);

/* Likewise of any line `KEY = VALUE`, with quotes or without: what is longer than inih's buffer, as
 * the notes of a passage are. False of one without a key and its sign. */
bool quote_read_long(const char *line, size_t length, char **out_key, char **out_value);

enum quote_as { QUOTE_AS_KEY, QUOTE_AS_VALUE };
/* Whether a text reads back as what it is without quotes. */
bool quote_bare(const char *text, enum quote_as as);
/* The text in quotes, with nothing in it that a terminal obeys; free it. */
char *quote_write(const char *text);

#endif
