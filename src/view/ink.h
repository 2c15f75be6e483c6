/* Ink: what the painters draw with. Signs and words with an ASCII likeness, a few inks that mean
 * something, and text that stays inside its rectangle; painters know no curses. Thread: the main
 * thread. */
#ifndef PASSO_VIEW_INK_H
#define PASSO_VIEW_INK_H

#include <stdbool.h>

struct rect {
    int y, x, rows, cols;
};

/* Colour is only ever added to a shape or a word that says the same. */
enum ink {
    INK_PLAIN,
    INK_STRONG,
    INK_FAINT,
    INK_BEAT,        /* the beat that sounds */
    INK_BEAT_NUMBER, /* its number, cut out of it */
    INK_CLEAN,
    INK_MISS,
    INK_NOTICE,
    INK_COUNT
};

enum sign {
    SIGN_FULL,
    SIGN_UPPER, /* upper half of a cell */
    SIGN_LOWER,
    SIGN_SHADE,
    SIGN_LINE,
    SIGN_DASH,
    SIGN_HERE,
    SIGN_AXIS,
    SIGN_AXIS_WON,
    SIGN_CLEAN,
    SIGN_MISS,
    SIGN_UNMARKED,
    SIGN_VOID,
    SIGN_ASIDE_CLEAN, /* of passes that never move the ladder */
    SIGN_ASIDE_MISS,
    SIGN_ASIDE_OTHER,
    SIGN_DONE, /* of a day's list */
    SIGN_LEFT_OUT,
    SIGN_VISIT,
    SIGN_COUNT
};

/* Chooses signs and inks. After curses has begun. colour: the terminal has it and it is wanted. */
void ink_init(bool utf8, bool colour);
/* Whether signs are those of UTF-8, not their ASCII likeness. */
bool ink_is_wide(void);
/* Blanks a rectangle. */
void ink_clear(struct rect in);
/* Writes at (y, x) of the rectangle, cut at its edge; nothing outside its rows. Returns the columns
 * used. */
int ink_text(struct rect in, int y, int x, enum ink ink, const char *text);
/* The same, ending at the rectangle's right edge. */
void ink_text_right(struct rect in, int y, enum ink ink, const char *text);
/* Writes text over the rows of the rectangle, broken at blanks, but not beside an equals sign: a
 * tempo stays whole. What the last row cannot hold is cut after a word, and three dots say so.
 * Returns the rows used. */
int ink_wrap(struct rect in, enum ink ink, const char *text);
/* The rows that text would need at this width. */
int ink_rows(int cols, const char *text);
/* `count` signs side by side. */
void ink_signs(struct rect in, int y, int x, enum ink ink, enum sign sign, int count);
/* Columns that text would take. */
int ink_width(const char *text);

#endif
