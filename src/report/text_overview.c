/* Several passages side by side: secure and best clean as shares of the target on one scale, so
 * that the gap of each can be seen, and the time that each was given. Runs on the main thread. */
#include <math.h>
#include <string.h>
#include "report/text_priv.h"
#include "report/text_table.h"

enum { NAME_LEAST = 12, TRACK_LEAST = 12, TRACK_MOST = 60, BESIDE = 48, TIME_WIDE = 24 };

struct scale {
    double low; /* percent of the target, at the left end */
    double high;
    int wide;
};

/* Percent of the target; 0: not known. */
static double secure_of(const struct passo_report_passage *passage)
{
    bool known = passage->secure.kind == PASSO_SECURE_FITTED ||
                 passage->secure.kind == PASSO_SECURE_AT_LEAST;
    return known && passage->target_mbpm ? 100000 * passage->secure.bpm / passage->target_mbpm : 0;
}

static double best_of(const struct passo_report_passage *passage)
{
    return passage->target_mbpm ? 100.0 * passage->best_clean_mbpm / passage->target_mbpm : 0;
}

static struct scale scale_of(const struct passo_report *report, const struct text_pen *pen)
{
    struct scale scale = {.low = 90, .high = 100, .wide = pen->columns - BESIDE};
    scale.wide = scale.wide < TRACK_LEAST ? TRACK_LEAST : scale.wide;
    scale.wide = scale.wide > TRACK_MOST ? TRACK_MOST : scale.wide;
    for (size_t i = 0; i < report->passages; i++) {
        double value[2] = {secure_of(report->passage[i]), best_of(report->passage[i])};
        for (int j = 0; j < 2; j++) {
            if (value[j] <= 0)
                continue;
            scale.low = fmin(scale.low, value[j]);
            scale.high = fmax(scale.high, value[j]);
        }
    }
    scale.low = floor(scale.low / 10) * 10;
    scale.high = fmin(ceil(scale.high / 10) * 10, 200);
    return scale;
}

static int column_of(const struct scale *scale, double percent)
{
    double share = (percent - scale->low) / (scale->high - scale->low);
    return (int)lround(fmin(fmax(share, 0), 1) * (scale->wide - 1));
}

static void track(const struct text_pen *pen, const struct scale *scale, double secure, double best,
                  char *out, size_t bytes)
{
    out[0] = '\0';
    for (int at = 0; at < scale->wide; at++) {
        enum text_sign sign = SIGN_DOT;
        if (at == column_of(scale, 100))
            sign = SIGN_AXIS;
        if (best > 0 && at == column_of(scale, best))
            sign = SIGN_BEST;
        if (secure > 0 && at == column_of(scale, secure))
            sign = SIGN_SECURE;
        text_repeat(pen, sign, 1, out, bytes);
    }
}

static void percent_cell(struct text_table *table, size_t column, double percent)
{
    if (percent > 0)
        text_table_set(table, column, "%ld %%", lround(percent));
    else
        text_table_set(table, column, "-");
}

static void draw_gaps(struct text_pen *pen, const struct passo_report *report)
{
    const struct scale scale = scale_of(report, pen);
    char ends[96];
    char words[1024];
    char name[TEXT_NAME_BYTES];
    char high[16];
    int left = snprintf(ends, sizeof ends, "%.0f %%", scale.low);
    int right = snprintf(high, sizeof high, "%.0f %%", scale.high);
    snprintf(ends + left, sizeof ends - (size_t)left, "%*s%s", scale.wide - left - right, "", high);
    const struct text_column columns[] = {{"", NAME_LEAST, 0, false},
                                          {ends, 0, 0, false},
                                          {"SECURE", 0, 0, true},
                                          {"BEST", 0, 1, true}};
    struct text_table table = text_table(columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < report->passages; i++) {
        const struct passo_report_passage *passage = report->passage[i];
        double secure = secure_of(passage);
        double best = best_of(passage);
        text_table_row(&table);
        text_table_set(&table, 0, "%s", text_name(report, passage, name));
        track(pen, &scale, secure, best, words, sizeof words);
        text_table_set(&table, 1, "%s", words);
        percent_cell(&table, 2, secure);
        percent_cell(&table, 3, best);
    }
    text_end_line(pen);
    text_say(pen,
             "How far from the target, in percent of it: %s secure, %s best clean, %s the "
             "target.",
             text_sign(pen, SIGN_SECURE), text_sign(pen, SIGN_BEST), text_sign(pen, SIGN_AXIS));
    text_table_draw(&table, pen);
}

static void draw_time(struct text_pen *pen, const struct passo_report *report)
{
    static const struct text_column columns[] = {
        {"", NAME_LEAST, 0, false}, {"", 0, 1, false}, {"", 0, 0, true}};
    struct text_table table = text_table(columns, sizeof columns / sizeof columns[0]);
    int64_t most = 1;
    char name[TEXT_NAME_BYTES];
    char bar[256];
    for (size_t i = 0; i < report->passages; i++)
        most = report->passage[i]->play_ns > most ? report->passage[i]->play_ns : most;
    for (size_t i = 0; i < report->passages; i++) {
        const struct passo_report_passage *passage = report->passage[i];
        bar[0] = '\0';
        text_repeat(pen, SIGN_FULL, (int)ceil(TIME_WIDE * (double)passage->play_ns / (double)most),
                    bar, sizeof bar);
        text_table_row(&table);
        text_table_set(&table, 0, "%s", text_name(report, passage, name));
        text_table_set(&table, 1, "%s", bar);
        text_table_set(&table, 2, "%lld min", (long long)text_minutes(passage->play_ns));
    }
    text_end_line(pen);
    text_say(pen, "Time spent playing:");
    text_table_draw(&table, pen);
}

void text_overview(struct text_pen *pen, const struct passo_report *report)
{
    draw_gaps(pen, report);
    draw_time(pen, report);
    text_end_line(pen);
}
