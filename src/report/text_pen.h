/* Text in the columns of a terminal, as UTF-8 or as ASCII. A private header of the room. Thread:
 * the main thread. */
#ifndef PASSO_REPORT_TEXT_PEN_H
#define PASSO_REPORT_TEXT_PEN_H

#include "report/report.h"

/* Signs of the drawings: each one column wide. */
enum text_sign {
    SIGN_CLEAN,
    SIGN_MISS,
    SIGN_UNMARKED,
    SIGN_TARGET, /* the line of the target, and across it */
    SIGN_AT_TARGET,
    SIGN_AXIS, /* the upright line beside a curve */
    SIGN_FULL, /* of a bar */
    SIGN_REST,
    SIGN_DOT, /* of a scale */
    SIGN_SECURE,
    SIGN_BEST,
    SIGN_RULE,
    SIGN_COUNT
};

struct text_pen {
    FILE *to;
    bool utf8;
    int columns; /* of the page */
    int at;      /* columns written of this line, with the blanks that wait */
    int blanks;  /* they wait: no line ends with one */
};

struct text_pen text_pen(const struct passo_report_style *style, FILE *to);
const char *text_sign(const struct text_pen *pen, enum text_sign sign);
/* Columns that a text takes once it is made safe (and ASCII). */
int text_columns(const struct text_pen *pen, const char *text);
/* At most `most` columns of the text; three points stand for the rest. */
void text_put(struct text_pen *pen, const char *text, int most);
void text_blanks(struct text_pen *pen, int blanks);
void text_end_line(struct text_pen *pen);
/* Sentences, folded at blanks and ended. */
void text_say(struct text_pen *pen, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* `count` signs one behind the other, behind what is in `out`. */
void text_repeat(const struct text_pen *pen, enum text_sign sign, int count, char *out,
                 size_t bytes);

#endif
