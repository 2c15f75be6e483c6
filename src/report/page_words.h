/* How the pages say days, times, counts and tempi, and the short sentences that only they need.
 * Each returns out. Inside src/report/ only. Thread: any. Pure. */
#ifndef PASSO_REPORT_PAGE_WORDS_H
#define PASSO_REPORT_PAGE_WORDS_H

#include "report/report.h"

#define WORDS_BYTES 256

enum day_style {
    DAY_SHORT, /* "24 Nov" */
    DAY_WEEK,  /* "Tue 24 Nov" */
    DAY_LONG,  /* "24 November 2026" */
    DAY_VOICE, /* "Tuesday 24 November 2026" */
    DAY_MONTH, /* "Nov", of January "2027" */
};
const char *words_day(int32_t day, enum day_style style, char *out, size_t bytes);
/* "Mon"; static. */
const char *words_weekday(int32_t day);
/* "18:40", as the clock of the place showed. */
const char *words_clock(int64_t time_ns, int32_t offset_s, char *out, size_t bytes);
/* "1 h 52 min", "12 min", "under a minute", "no time". */
const char *words_time(int64_t ns, char *out, size_t bytes);
/* "1 pass", "12 passes": the plural is the word and `more`. */
const char *words_count(uint64_t count, const char *word, const char *more, char *out,
                        size_t bytes);
/* "116": a tempo that was worked out, to a whole beat. */
int words_whole(double bpm);
/* "24 November 2026", or of what is reported "1 to 24 November 2026". */
const char *words_period(const struct passo_report *report, char *out, size_t bytes);
/* Appends; what does not fit is left out. */
__attribute__((format(printf, 3, 4))) void words_add(char *out, size_t bytes, const char *format,
                                                     ...);
/* Appends a sentence: with a capital, and with a full stop. Nothing of an empty one. */
void words_sentence(char *out, size_t bytes, const char *said);
/* How a climb ended: "won", "plateau" ...; "" where there is nothing to say; static. */
const char *words_ended(enum passo_move move);

/* Other kinds of passes than those of the climb. */
struct pass_kind {
    char letter[2];
    const char *words;
};
/* NULL: a pass of the climb. */
const struct pass_kind *words_kind(const struct passo_report_pass *pass);
#define PASS_KINDS 8
const struct pass_kind *words_kind_at(size_t kind);

#endif
