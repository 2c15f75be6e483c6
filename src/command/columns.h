/* Text in columns of a terminal. Thread: the main thread. */
#ifndef PASSO_COMMAND_COLUMNS_H
#define PASSO_COMMAND_COLUMNS_H

/* Columns that a text takes once it is made safe to show. */
int columns_of(const char *text);
/* Prints the text so, at most `most` columns of it (three points stand for the rest), then blanks
 * up to `width`. */
void columns_print(const char *text, int most, int width);

#endif
