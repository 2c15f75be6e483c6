/* Big figures: numbers and a few words, large enough to read from a music stand. Thread: main. */
#ifndef PASSO_VIEW_FIGURES_H
#define PASSO_VIEW_FIGURES_H

#include "view/ink.h"

#define FIGURES_WORDS_MAX 64

/* A glyph as rows of '#' (ink) and '.', two rows to a cell; rows[0] == NULL: no such glyph. */
struct figure_font {
    int pixel_rows;
    int gap; /* columns between glyphs */
    const char *const *(*glyph)(char letter);
};

/* Three hands of one design, for 7, 5 and 3 rows of cells; the last has capitals
 * too. */
extern const struct figure_font figure_fonts[3];

/* Draws text as large as fits in the rectangle, at its left edge and bottom, in cells of at most
 * `max_rows`; as plain words where not even the smallest fits. Returns the columns used. */
int figures_draw(struct rect in, int max_rows, enum ink ink, const char *text);
/* Draws text in capitals over several rows, broken at blanks and as large as fits, in the middle of
 * the rectangle's height. False, and nothing is drawn, where it does not fit, is longer than
 * FIGURES_WORDS_MAX bytes or has a sign without a glyph. */
bool figures_words(struct rect in, int max_rows, enum ink ink, const char *text);
/* The rows that figures_draw would use. */
int figures_rows(struct rect in, int max_rows, const char *text);

#endif
