/* What the pages are written with: markup of our own, texts from outside made harmless, lengths
 * without a locale, and the few shapes that the drawings are made of. Inside src/report/ only.
 * Thread: the main thread. */
#ifndef PASSO_REPORT_PAGE_INK_H
#define PASSO_REPORT_PAGE_INK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#define PAGE_TITLE_MOST 140 /* characters of a title; longer ones end in an ellipsis */
#define PAGE_NAME_MOST  60  /* ... where it stands in a row */

struct page {
    FILE *to;
    unsigned ids; /* given out so far */
};

/* Markup, and words that are ours: never a text from outside. */
__attribute__((format(printf, 2, 3))) void page_put(struct page *page, const char *format, ...);
/* A text from anywhere as text: cleaned, cut after so many characters, escaped for element and
 * attribute alike. */
void page_text(struct page *page, const char *text, size_t most);
/* The same, set apart from the writing direction around it; `instead` if it is empty. */
void page_name(struct page *page, const char *text, size_t most, const char *instead);

/* A length to a tenth, as short as it can be: "12", "3.5". */
struct page_length {
    char text[32];
};
struct page_length px(double length);

/* Begins a drawing with its text alternative: a title and one sentence, both from anywhere. */
void svg_open(struct page *page, const char *kind, double width, double height, const char *title,
              const char *said);
void svg_close(struct page *page);
void svg_line(struct page *page, const char *kind, double x1, double y1, double x2, double y2);
void svg_box(struct page *page, const char *kind, double x, double y, double width, double height);
/* `kind` may name "e" (ends at x) or "m" (its middle is at x). */
void svg_text(struct page *page, const char *kind, double x, double y, const char *text);
/* Parts of the d of a path, so that many marks are one element. A dot is drawn by the round ends of
 * a stroke; a miss is an open ring with a bar through it; a dash is no mark at all. */
void svg_path_open(struct page *page, const char *kind);
void svg_path_close(struct page *page);
void svg_dot(struct page *page, double x, double y);
void svg_miss(struct page *page, double x, double y, double radius);
void svg_dash(struct page *page, double x, double y, double half);
void svg_diamond(struct page *page, double x, double y, double half);
/* A small drawing that only stands beside its own words, and is hidden from a reading voice. */
void svg_sign_open(struct page *page, double width, double height);

#endif
