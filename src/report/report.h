/* What a teacher is shown: the passes of a log gathered by passage, and drawn as lines of text or
 * as one page. Rows go in, then it is settled, then it is drawn; nothing here reads a file or a
 * clock. Texts come from anywhere: the drawings make them safe. Thread: the main thread. */
#ifndef PASSO_REPORT_REPORT_H
#define PASSO_REPORT_REPORT_H

#include <passo/standing.h>
#include <stdio.h>
#include "store/row.h"

struct passo_report_pass {
    int32_t mbpm;
    enum passo_mark mark;
    enum passo_part part; /* COUNT: see extra */
    enum passo_extra extra;
    enum passo_move move;
};

/* One climb. */
struct passo_report_session {
    int64_t began_ns;
    int32_t offset_s;
    int32_t day;
    size_t first; /* index of its first pass */
    size_t passes;
    int64_t play_ns;
    enum passo_move ended;
};

struct passo_report_day {
    int32_t day;
    uint32_t passes; /* of every part but void */
    uint32_t clean;  /* of those that show how well it goes: cold, climb, over, close, context, */
    uint32_t missed; /* visit */
    int64_t play_ns;
    int64_t rest_ns;
    enum passo_mark first_try; /* of the day's first pass of those */
    int32_t first_mbpm;
    enum passo_held held;
    int32_t best_clean_mbpm;    /* whole passage or context, at pitch; 0: none */
    int32_t best_won_mbpm;      /* 0: none */
    struct passo_secure secure; /* as it was known that evening */
    enum passo_move ended;
};

struct passo_report_rung {
    int32_t mbpm;
    uint32_t clean;
    uint32_t missed;
};

struct passo_report_bar {
    int32_t bar;
    uint32_t misses;
};

/* Whether the tempo suits: teachers point these out (trade practice, a judgement). */
enum passo_report_share {
    PASSO_SHARE_FINE,
    PASSO_SHARE_TOO_FAST,    /* under 60 % clean */
    PASSO_SHARE_TOO_CAREFUL, /* over 95 % clean */
    PASSO_SHARE_FEW          /* under 8 passes: nothing is said */
};

/* Rungs: the tempi of so many last days with practice, and no more than so many. */
#define PASSO_REPORT_RUNG_DAYS 28
#define PASSO_REPORT_RUNGS_MAX 24
/* The outlook goes by the days so far back from the last: what was long ago says little of it. */
#define PASSO_REPORT_OUTLOOK_DAYS 42

/* One player's passage. Every tempo is in its beat unit, that of its latest pass. */
struct passo_report_passage {
    char *player;
    char *title;
    char *piece;
    char bars[64];
    struct passo_ratio beat;
    int32_t target_mbpm; /* 0: unknown */
    uint32_t passes;     /* 0: no practice is recorded */
    uint32_t clean;
    uint32_t missed;
    int64_t play_ns;
    int64_t rest_ns;
    int32_t best_clean_mbpm;
    int32_t best_won_mbpm;
    enum passo_report_share share;
    struct passo_secure secure;
    struct passo_outlook outlook; /* of the secure tempo, toward the target */
    int spacing_days;
    bool due;                       /* on the report's day */
    struct passo_report_pass *pass; /* in the order of the log */
    size_t pass_count;
    struct passo_report_session *session;
    size_t sessions;
    struct passo_report_day *day; /* with practice, ascending */
    size_t days;
    struct passo_report_rung *rung; /* tempi that were played, ascending */
    size_t rungs;
    bool rungs_merged;            /* tempi that lie near were taken together, as the one of them
                                     that was played most */
    struct passo_report_bar *bar; /* where misses fell, ascending */
    size_t bars_missed;
};

struct passo_report {
    int32_t today;
    int32_t from_day; /* 0: from the first pass */
    int32_t to_day;   /* 0: to today */
    bool latest_only; /* of every passage only the secure tempo of its last day is worked out, of no
                         day before; nor an outlook. Set before it is settled */
    struct passo_report_passage **passage;
    size_t passages;
    struct passo_report_index *index; /* private */
};

/* Begins an empty report. */
struct passo_report *passo_report_begin(int32_t today, int32_t from_day, int32_t to_day);
/* Makes a place for a player's passage before there are rows, in the order that is wished for. */
void passo_report_expect(struct passo_report *report, const char *player, const char *title,
                         const char *piece);
/* Takes a row, in the order of the log. One of a day outside the period is passed over. */
void passo_report_take(void *report, const struct passo_row *row);
/* Works everything out. Call once, after the last row. */
void passo_report_settle(struct passo_report *report);
void passo_report_free(struct passo_report *report);

/* How text is drawn. */
struct passo_report_style {
    bool utf8;   /* else ASCII alone */
    int columns; /* 40 to 200 */
};

/* The sentences that both drawings share; each returns out. */
/* "secure at 116, most likely 110 to 121", "not enough passes to say where it is secure"; without
 * the beat unit. */
const char *passo_report_secure_words(const struct passo_report_passage *passage, char *out,
                                      size_t bytes);
/* "About 2 weeks to the target if it goes on like this; it may be 9 days or 4 weeks." */
const char *passo_report_outlook_words(const struct passo_report_passage *passage, char *out,
                                       size_t bytes);
/* "72 % of the passes clean", with what a teacher would say of it. */
const char *passo_report_share_words(const struct passo_report_passage *passage, char *out,
                                     size_t bytes);
/* "due today", "due again on Friday". */
const char *passo_report_due_words(const struct passo_report *report,
                                   const struct passo_report_passage *passage, char *out,
                                   size_t bytes);

/* Each passage with its curve, days, rungs and bars; several also side by side. */
void passo_report_text(const struct passo_report *report, const struct passo_report_style *style,
                       FILE *to);
/* The same as one HTML page that needs nothing but itself. */
void passo_report_page(const struct passo_report *report, FILE *to);
/* One line a player and passage, in the order of the report, for the teacher of many. */
void passo_studio_text(const struct passo_report *report, const struct passo_report_style *style,
                       FILE *to);
void passo_studio_page(const struct passo_report *report, FILE *to);

#endif
