/* The table for the teacher of many: a row a player and passage, in the report's order and no
 * other; nobody is ranked. What a teacher would look for is said in words. Runs on the main thread.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "report/report_words.h"
#include "report/text_priv.h"
#include "report/text_table.h"
#include "store/day.h"

enum { PLAYER, PASSAGE, DAYS, FIRST, BEST, LEVEL, SHARE, BREAKS, MIN, REMARK, COLUMNS };
enum { WIDE_PAGE = 118 /* columns with room for weekdays and whole words */, DAYS_A_WEEK = 7 };

/* So many days has the period, if it has a beginning; else 0. */
static int64_t days_of(const struct passo_report *report)
{
    int32_t last = report->to_day ? report->to_day : report->today;
    return report->from_day ? passo_day_count(last) - passo_day_count(report->from_day) + 1 : 0;
}

/* "Mon Tue Thu", or "5 of 7". */
static void days_words(const struct passo_report *report,
                       const struct passo_report_passage *passage, bool weekdays, char *out,
                       size_t bytes)
{
    int64_t all = days_of(report);
    out[0] = '\0';
    if (!weekdays || all == 0 || all > DAYS_A_WEEK) {
        snprintf(out, bytes, "%zu", passage->days);
        if (all)
            snprintf(out, bytes, "%zu of %lld", passage->days, (long long)all);
        return;
    }
    for (size_t i = 0; i < passage->days; i++)
        snprintf(out + strlen(out), bytes - strlen(out), "%s%.3s", i ? " " : "",
                 report_day_name(passage->day[i].day));
}

/* Clean first tries: "2 of 5". */
static void first_words(const struct passo_report_passage *passage, char *out, size_t bytes)
{
    size_t tried = 0;
    size_t clean = 0;
    for (size_t i = 0; i < passage->days; i++) {
        tried += passage->day[i].first_mbpm != 0;
        clean += passage->day[i].first_mbpm && passage->day[i].first_try == PASSO_MARK_CLEAN;
    }
    if (tried)
        snprintf(out, bytes, "%zu of %zu", clean, tried);
    else
        snprintf(out, bytes, "-");
}

/* What a teacher would say of the share; a question, as it is a judgement. */
static const char *remark(const struct passo_report_passage *passage, bool wide)
{
    switch (passage->share) {
    case PASSO_SHARE_FINE:
    case PASSO_SHARE_FEW:
        break;
    case PASSO_SHARE_TOO_FAST:
        return wide ? "perhaps too fast" : "too fast?";
    case PASSO_SHARE_TOO_CAREFUL:
        return wide ? "perhaps too careful" : "too careful?";
    }
    return "";
}

/* The bar with the most misses; the first of several. */
static void breaks_words(const struct passo_report_passage *passage, char *out, size_t bytes)
{
    const struct passo_report_bar *most = NULL;
    for (size_t i = 0; i < passage->bars_missed; i++) {
        if (!most || passage->bar[i].misses > most->misses)
            most = &passage->bar[i];
    }
    if (most)
        snprintf(out, bytes, "bar %d", most->bar);
    else
        snprintf(out, bytes, "-");
}

static void fill_row(struct text_table *table, const struct passo_report *report,
                     const struct passo_report_passage *passage, bool wide)
{
    char words[64];
    uint32_t marked = passage->clean + passage->missed;
    text_table_row(table);
    text_table_set(table, PLAYER, "%.200s", passage->player[0] ? passage->player : "(own)");
    text_table_set(table, PASSAGE, "%.200s",
                   passage->title[0] ? passage->title : "without a title");
    if (passage->passes == 0) {
        text_table_run_on(table, DAYS, "no practice recorded");
        return;
    }
    days_words(report, passage, wide, words, sizeof words);
    text_table_set(table, DAYS, "%s", words);
    first_words(passage, words, sizeof words);
    text_table_set(table, FIRST, "%s", words);
    text_table_set(table, BEST, "%s",
                   passage->best_clean_mbpm ? text_bpm(passage->best_clean_mbpm, words) : "-");
    if (passage->best_clean_mbpm && passage->target_mbpm)
        text_table_set(table, LEVEL, "%ld %%",
                       lround(100.0 * passage->best_clean_mbpm / passage->target_mbpm));
    text_table_set(table, SHARE, "%s",
                   marked ? report_share_write(passage->clean, marked, words) : "-");
    text_table_set(table, REMARK, "%s", remark(passage, wide));
    breaks_words(passage, words, sizeof words);
    text_table_set(table, BREAKS, "%s", words);
    text_table_set(table, MIN, "%lld", (long long)text_minutes(passage->play_ns));
}

void passo_studio_text(const struct passo_report *report, const struct passo_report_style *style,
                       FILE *to)
{
    static const struct text_column columns[COLUMNS] = {
        [PLAYER] = {"PLAYER", 6, 0, false}, [PASSAGE] = {"PASSAGE", 10, 0, false},
        [DAYS] = {"DAYS", 0, 1, false},     [FIRST] = {"FIRST", 0, 5, false},
        [BEST] = {"BEST", 0, 4, true},      [LEVEL] = {"LEVEL", 0, 3, true},
        [SHARE] = {"CLEAN", 0, 0, true},    [BREAKS] = {"BREAKS", 0, 6, false},
        [MIN] = {"MIN", 0, 2, true},        [REMARK] = {"", 0, 0, false},
    };
    struct text_pen pen = text_pen(style, to);
    struct text_table table = text_table(columns, COLUMNS);
    char period[96];
    text_period(report, period, sizeof period);
    if (report->passages == 0) {
        text_say(&pen, "No practice of players is recorded %s.", period);
        return;
    }
    text_say(&pen, "Practice %s", period);
    text_end_line(&pen);
    for (size_t i = 0; i < report->passages; i++)
        fill_row(&table, report, report->passage[i], pen.columns >= WIDE_PAGE);
    text_table_draw(&table, &pen);
    text_end_line(&pen);
    text_say(&pen, "First: the first pass of each day, how often it was clean. Best: the fastest "
                   "clean pass of the whole passage at pitch; level: that in percent of its "
                   "target. Clean: of the marked passes; under 60 %% perhaps too fast, over 95 %% "
                   "perhaps too careful. Breaks: the bar with the most misses.");
}
