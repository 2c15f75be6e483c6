/* Writes text so that no line is wider than the page and none ends with a blank. Texts come from
 * anywhere: each is made safe first, then ASCII if need be, and counted as a terminal counts (a
 * letter may take two columns, an accent none). Runs on the main thread. */
#include "report/text_pen.h"

#include <limits.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include "text/fold.h"
#include "text/notation.h"

enum { COLUMNS_LEAST = 40, COLUMNS_MOST = 200, SHOWN_MOST = 4096 };

static const char more[] = "...";

static const char *const signs[SIGN_COUNT][2] = {
    [SIGN_CLEAN] = {"*", "●"},  [SIGN_MISS] = {"x", "×"},      [SIGN_UNMARKED] = {".", "○"},
    [SIGN_TARGET] = {"-", "┄"}, [SIGN_AT_TARGET] = {"+", "┼"}, [SIGN_AXIS] = {"|", "│"},
    [SIGN_FULL] = {"#", "█"},   [SIGN_REST] = {".", "░"},      [SIGN_DOT] = {".", "·"},
    [SIGN_SECURE] = {"S", "◆"}, [SIGN_BEST] = {"B", "●"},      [SIGN_RULE] = {"-", "─"},
};

struct text_pen text_pen(const struct passo_report_style *style, FILE *to)
{
    int columns = style->columns;
    if (columns < COLUMNS_LEAST)
        columns = COLUMNS_LEAST;
    return (struct text_pen){
        .to = to, .utf8 = style->utf8, .columns = columns < COLUMNS_MOST ? columns : COLUMNS_MOST};
}

const char *text_sign(const struct text_pen *pen, enum text_sign sign)
{
    return signs[sign][pen->utf8];
}

/* What is shown of a text; more than a page of it never is. */
static void show(const struct text_pen *pen, const char *text, char out[SHOWN_MOST])
{
    char clean[SHOWN_MOST];
    passo_text_clean(text, clean, sizeof clean);
    if (pen->utf8)
        strcpy(out, clean);
    else
        passo_text_ascii(clean, out, SHOWN_MOST);
}

int text_columns(const struct text_pen *pen, const char *text)
{
    char shown[SHOWN_MOST];
    int columns;
    show(pen, text, shown);
    (void)passo_text_fitting(shown, INT_MAX - 2, &columns);
    return columns;
}

static void write_bytes(struct text_pen *pen, const char *text, size_t bytes, int columns)
{
    fprintf(pen->to, "%*s%.*s", pen->blanks, "", (int)bytes, text);
    pen->blanks = 0;
    pen->at += columns;
}

void text_put(struct text_pen *pen, const char *text, int most)
{
    char shown[SHOWN_MOST];
    int columns;
    show(pen, text, shown);
    size_t bytes = passo_text_fitting(shown, most, &columns);
    if (!shown[bytes]) {
        if (bytes)
            write_bytes(pen, shown, bytes, columns);
        return;
    }
    int left = most > (int)sizeof more - 1 ? most - (int)sizeof more + 1 : 0;
    bytes = passo_text_fitting(shown, left, &columns);
    write_bytes(pen, shown, bytes, columns);
    write_bytes(pen, more, (size_t)(most < 3 ? most : 3), most < 3 ? most : 3);
}

void text_blanks(struct text_pen *pen, int blanks)
{
    if (blanks <= 0)
        return;
    pen->blanks += blanks;
    pen->at += blanks;
}

void text_end_line(struct text_pen *pen)
{
    fputc('\n', pen->to);
    pen->at = 0;
    pen->blanks = 0;
}

/* One word; one that is wider than a line is broken. */
static void say_word(struct text_pen *pen, const char *word, size_t length)
{
    char copy[SHOWN_MOST];
    int columns;
    memcpy(copy, word, length);
    copy[length] = '\0';
    (void)passo_text_fitting(copy, INT_MAX - 2, &columns);
    if (pen->at && pen->at + 1 + columns > pen->columns)
        text_end_line(pen);
    else if (pen->at)
        text_blanks(pen, 1);
    for (const char *at = copy; *at;) {
        size_t bytes = passo_text_fitting(at, pen->columns - pen->at, &columns);
        write_bytes(pen, at, bytes, columns);
        at += bytes;
        if (*at)
            text_end_line(pen);
    }
}

void text_say(struct text_pen *pen, const char *format, ...)
{
    char said[SHOWN_MOST];
    char shown[SHOWN_MOST];
    va_list rest;
    va_start(rest, format);
    vsnprintf(said, sizeof said, format, rest);
    va_end(rest);
    show(pen, said, shown);
    for (const char *at = shown + strspn(shown, " "); *at; at += strspn(at, " ")) {
        size_t length = strcspn(at, " ");
        say_word(pen, at, length);
        at += length;
    }
    text_end_line(pen);
}

void text_repeat(const struct text_pen *pen, enum text_sign sign, int count, char *out,
                 size_t bytes)
{
    const char *one = text_sign(pen, sign);
    size_t length = strlen(out);
    for (int i = 0; i < count && length + strlen(one) < bytes; i++) {
        strcpy(out + length, one);
        length += strlen(one);
    }
}
