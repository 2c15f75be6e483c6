/* Writes a page to a stream. Every text from outside goes through page_text(), every length through
 * px(): there is no other way from a title to the markup, and no locale can put a comma into a
 * drawing. Faults of the stream stay in its error flag for the caller. Main thread. */
#include "report/page_ink.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include "text/notation.h"

#define LENGTH_MOST 100000.0

void page_put(struct page *page, const char *format, ...)
{
    va_list rest;
    va_start(rest, format);
    vfprintf(page->to, format, rest);
    va_end(rest);
}

/* The length of the character at `at`, which is well-formed UTF-8. */
static size_t character(const char *at)
{
    unsigned char first = (unsigned char)*at;
    if (first < 0x80)
        return 1;
    return first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
}

/* U+FDD0 to U+FDEF and the last two of every plane: HTML calls them errors. */
static bool no_character(const char *at, size_t length)
{
    const unsigned char *byte = (const unsigned char *)at;
    if (length == 3 && byte[0] == 0xEF)
        return (byte[1] == 0xB7 && byte[2] >= 0x90 && byte[2] <= 0xAF) ||
               (byte[1] == 0xBF && byte[2] >= 0xBE);
    return length == 4 && (byte[1] & 0x0F) == 0x0F && byte[2] == 0xBF && byte[3] >= 0xBE;
}

static void put_character(struct page *page, const char *at, size_t length)
{
    switch (*at) {
    case '<':
        fputs("&lt;", page->to);
        return;
    case '>':
        fputs("&gt;", page->to);
        return;
    case '&':
        fputs("&amp;", page->to);
        return;
    case '"':
        fputs("&quot;", page->to);
        return;
    case '\'':
        fputs("&#39;", page->to);
        return;
    }
    if (no_character(at, length))
        fputc('?', page->to);
    else
        fwrite(at, 1, length, page->to);
}

void page_text(struct page *page, const char *text, size_t most)
{
    size_t bytes = 4 * (most + 2); /* a text that is longer is cut anyway */
    char *clean = passo_xcalloc(bytes, 1);
    passo_text_clean(text, clean, bytes);
    size_t characters = 0;
    for (const char *at = clean; *at; at += character(at))
        characters++;
    size_t shown = characters > most ? most - 1 : characters;
    const char *at = clean;
    for (size_t i = 0; i < shown; i++) {
        size_t length = character(at);
        put_character(page, at, length);
        at += length;
    }
    if (characters > most)
        fputs("…", page->to);
    free(clean);
}

void page_name(struct page *page, const char *text, size_t most, const char *instead)
{
    fputs("<bdi>", page->to);
    page_text(page, text && text[strspn(text, " ")] ? text : instead, most);
    fputs("</bdi>", page->to);
}

struct page_length px(double length)
{
    struct page_length out;
    double kept = isfinite(length) ? fmax(-LENGTH_MOST, fmin(LENGTH_MOST, length)) : 0;
    long tenths = lround(kept * 10);
    long size = labs(tenths);
    const char *sign = tenths < 0 ? "-" : "";
    if (size % 10)
        snprintf(out.text, sizeof out.text, "%s%ld.%ld", sign, size / 10, size % 10);
    else
        snprintf(out.text, sizeof out.text, "%s%ld", sign, size / 10);
    return out;
}

void svg_open(struct page *page, const char *kind, double width, double height, const char *title,
              const char *said)
{
    unsigned id = ++page->ids;
    page_put(page,
             "<svg class=\"%s\" role=\"img\" aria-labelledby=\"t%u d%u\" viewBox=\"0 0 %s %s\" "
             "width=\"%s\" height=\"%s\"><title id=\"t%u\">",
             kind, id, id, px(width).text, px(height).text, px(width).text, px(height).text, id);
    page_text(page, title, PAGE_TITLE_MOST);
    page_put(page, "</title><desc id=\"d%u\">", id);
    page_text(page, said, 1000);
    page_put(page, "</desc>\n");
}

void svg_sign_open(struct page *page, double width, double height)
{
    page_put(page,
             "<svg class=\"sign\" aria-hidden=\"true\" viewBox=\"0 0 %s %s\" width=\"%s\" "
             "height=\"%s\">",
             px(width).text, px(height).text, px(width).text, px(height).text);
}

void svg_close(struct page *page)
{
    page_put(page, "</svg>\n");
}

void svg_line(struct page *page, const char *kind, double x1, double y1, double x2, double y2)
{
    page_put(page, "<path class=\"%s\" d=\"M%s %sL%s %s\"/>\n", kind, px(x1).text, px(y1).text,
             px(x2).text, px(y2).text);
}

void svg_box(struct page *page, const char *kind, double x, double y, double width, double height)
{
    page_put(page, "<rect class=\"%s\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n", kind,
             px(x).text, px(y).text, px(width).text, px(height).text);
}

void svg_text(struct page *page, const char *kind, double x, double y, const char *text)
{
    page_put(page, "<text class=\"%s\" x=\"%s\" y=\"%s\">", kind, px(x).text, px(y).text);
    page_text(page, text, PAGE_TITLE_MOST);
    page_put(page, "</text>\n");
}

void svg_path_open(struct page *page, const char *kind)
{
    page_put(page, "<path class=\"%s\" d=\"", kind);
}

void svg_path_close(struct page *page)
{
    page_put(page, "\"/>\n");
}

void svg_dot(struct page *page, double x, double y)
{
    page_put(page, "M%s %sh.01", px(x).text, px(y).text);
}

void svg_miss(struct page *page, double x, double y, double radius)
{
    double out = radius * 1.15; /* the bar stands out of the ring */
    struct page_length r = px(radius);
    struct page_length across = px(2 * radius);
    page_put(page, "M%s %sa%s %s 0 1 0 %s 0a%s %s 0 1 0-%s 0", px(x - radius).text, px(y).text,
             r.text, r.text, across.text, r.text, r.text, across.text);
    page_put(page, "M%s %sL%s %s", px(x - out).text, px(y + out).text, px(x + out).text,
             px(y - out).text);
}

void svg_dash(struct page *page, double x, double y, double half)
{
    page_put(page, "M%s %sh%s", px(x - half).text, px(y).text, px(2 * half).text);
}

void svg_diamond(struct page *page, double x, double y, double half)
{
    struct page_length h = px(half);
    page_put(page, "M%s %sl%s %s %s-%s-%s-%sz", px(x - half).text, px(y).text, h.text, h.text,
             h.text, h.text, h.text, h.text);
}
