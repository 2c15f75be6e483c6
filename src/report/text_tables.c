/* Tables of a passage: its last days, its tempi, its bars; and of several passages how far each is
 * from its target, on one scale. Runs on the main thread. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "report/report_words.h"
#include "report/text_priv.h"
#include "report/text_table.h"
#include "text/notation.h"

enum { DAYS_MOST = 14, BARS_MOST = 12, BAR_WIDE = 24, BAR_NARROW = 12, WIDE_PAGE = 60 };

static int bar_width(const struct text_pen *pen)
{
    return pen->columns >= WIDE_PAGE ? BAR_WIDE : BAR_NARROW;
}

static void secure_cell(const struct passo_secure *secure, char *out, size_t bytes)
{
    long bpm = lround(secure->bpm);
    switch (secure->kind) {
    case PASSO_SECURE_UNKNOWN:
    case PASSO_SECURE_KIND_COUNT:
        snprintf(out, bytes, "-");
        break;
    case PASSO_SECURE_FITTED:
        snprintf(out, bytes, "%ld (%ld to %ld)", bpm, lround(secure->low_bpm),
                 lround(secure->high_bpm));
        break;
    case PASSO_SECURE_AT_LEAST:
        snprintf(out, bytes, "%ld or more", bpm);
        break;
    case PASSO_SECURE_UNDER:
        snprintf(out, bytes, "under %ld", bpm);
        break;
    }
}

static const char *first_try(const struct passo_report_day *day)
{
    static const char *const words[PASSO_MARK_COUNT] = {[PASSO_MARK_NONE] = "no mark",
                                                        [PASSO_MARK_CLEAN] = "clean",
                                                        [PASSO_MARK_MISS] = "miss",
                                                        [PASSO_MARK_VOID] = ""};
    return day->first_mbpm ? words[day->first_try] : "";
}

static void day_row(struct text_table *table, const struct passo_report *report,
                    const struct passo_report_day *day)
{
    enum { DAY, FIRST, AT, BEST, SECURE, PASSES, CLEAN, MIN };
    char words[64];
    char bpm[24];
    text_table_row(table);
    text_table_set(table, DAY, "%.3s %s", report_day_name(day->day),
                   report_day_short(day->day, report->today, words, sizeof words));
    text_table_set(table, FIRST, "%s", first_try(day));
    if (day->first_mbpm)
        text_table_set(table, AT, "%s", text_bpm(day->first_mbpm, bpm));
    text_table_set(table, BEST, "%s",
                   day->best_clean_mbpm ? text_bpm(day->best_clean_mbpm, bpm) : "-");
    secure_cell(&day->secure, words, sizeof words);
    text_table_set(table, SECURE, "%s", words);
    text_table_set(table, PASSES, "%u", day->passes);
    if (day->clean + day->missed)
        text_table_set(table, CLEAN, "%s",
                       report_share_write(day->clean, day->clean + day->missed, words));
    text_table_set(table, MIN, "%lld", (long long)text_minutes(day->play_ns));
}

void text_days(struct text_pen *pen, const struct passo_report *report,
               const struct passo_report_passage *passage)
{
    static const struct text_column columns[] = {
        {"DAY", 0, 0, false},  {"FIRST TRY", 0, 4, false}, {"AT", 0, 5, true},
        {"BEST", 0, 1, true},  {"SECURE", 0, 0, false},    {"PASSES", 0, 6, true},
        {"CLEAN", 0, 3, true}, {"MIN", 0, 2, true},
    };
    struct text_table table = text_table(columns, sizeof columns / sizeof columns[0]);
    size_t from = passage->days > DAYS_MOST ? passage->days - DAYS_MOST : 0;
    text_end_line(pen);
    if (from)
        text_say(pen, "The last %d of %zu days with practice:", DAYS_MOST, passage->days);
    for (size_t i = from; i < passage->days; i++)
        day_row(&table, report, &passage->day[i]);
    text_table_draw(&table, pen);
}

void text_rungs(struct text_pen *pen, const struct passo_report_passage *passage)
{
    static const struct text_column columns[] = {
        {"", 0, 0, true}, {"", 0, 0, false}, {"", 0, 0, true}, {"", 0, 1, false}};
    struct text_table table = text_table(columns, sizeof columns / sizeof columns[0]);
    int width = bar_width(pen);
    char bar[256];
    char words[24];
    if (passage->rungs == 0)
        return;
    text_end_line(pen);
    text_say(pen, "Clean by tempo%s%s:",
             passage->days > PASSO_REPORT_RUNG_DAYS ? ", the last 28 days with practice" : "",
             passage->rungs_merged ? " (tempi that lie near are taken together)" : "");
    for (size_t i = passage->rungs; i > 0; i--) {
        const struct passo_report_rung *rung = &passage->rung[i - 1];
        uint32_t marked = rung->clean + rung->missed;
        int full = (int)lround((double)width * rung->clean / marked);
        bar[0] = '\0';
        text_repeat(pen, SIGN_FULL, full, bar, sizeof bar);
        text_repeat(pen, SIGN_REST, width - full, bar, sizeof bar);
        text_table_row(&table);
        text_table_set(&table, 0, "%s", text_bpm(rung->mbpm, words));
        text_table_set(&table, 1, "%s", bar);
        text_table_set(&table, 2, "%s", report_share_write(rung->clean, marked, words));
        text_table_set(&table, 3, "of %u pass%s", marked, marked == 1 ? "" : "es");
    }
    text_table_draw(&table, pen);
}

/* So many misses that a bar is among those that are shown. */
static uint32_t least_shown(const struct passo_report_passage *passage)
{
    for (uint32_t least = 1;; least++) {
        size_t shown = 0;
        for (size_t i = 0; i < passage->bars_missed; i++)
            shown += passage->bar[i].misses >= least;
        if (shown <= BARS_MOST)
            return least;
    }
}

void text_bars(struct text_pen *pen, const struct passo_report_passage *passage)
{
    static const struct text_column columns[] = {{"", 0, 0, true}, {"", 0, 0, false}};
    struct text_table table = text_table(columns, sizeof columns / sizeof columns[0]);
    uint32_t least = least_shown(passage);
    uint32_t most = 1;
    size_t shown = 0;
    char bar[256];
    for (size_t i = 0; i < passage->bars_missed; i++)
        most = passage->bar[i].misses > most ? passage->bar[i].misses : most;
    for (size_t i = 0; i < passage->bars_missed; i++) {
        uint32_t misses = passage->bar[i].misses;
        if (misses < least)
            continue;
        bar[0] = '\0';
        text_repeat(pen, SIGN_FULL, (int)ceil((double)bar_width(pen) * misses / most), bar,
                    sizeof bar);
        text_table_row(&table);
        text_table_set(&table, 0, "bar %d", passage->bar[i].bar);
        text_table_set(&table, 1, "%s %u", bar, misses);
        shown++;
    }
    if (passage->bars_missed) {
        text_end_line(pen);
        text_say(pen, "Where it breaks, as the misses that were pressed while playing say:");
        text_table_draw(&table, pen);
    }
    if (shown < passage->bars_missed)
        text_say(pen, "Fewer than %u in each of %zu more bars.", least,
                 passage->bars_missed - shown);
}
