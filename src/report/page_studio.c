/* The table for a teacher of many: one row a player and passage, in the order of the report and
 * never sorted by how well it goes. It says whether it happened, on which days, how the first tries
 * went, how near the target is, and where it breaks. Main thread. */
#include "report/report.h"

#include <math.h>
#include <string.h>
#include "report/page_part.h"
#include "report/page_sheet.h"
#include "report/page_words.h"
#include "report/report_words.h"
#include "store/day.h"
#include "text/notation.h"

#define TREND_WIDTH  72.0
#define TREND_HIGH   15.0
#define TREND_LOW    40 /* hundredths of the target at the foot of the small curve */
#define TREND_TOP    110
#define TREND_DAYS   60 /* the latest that it holds */
#define BREAKS_NAMED 3

/* Monday to Sunday of one week at most: the weekdays; else how many days and how far apart. */
static void put_when(struct page *page, const struct passo_report_passage *passage)
{
    int64_t gap = 0;
    for (size_t i = 1; i < passage->days; i++) {
        int64_t apart =
            passo_day_count(passage->day[i].day) - passo_day_count(passage->day[i - 1].day);
        gap = apart > gap ? apart : gap;
    }
    page_put(page, "<td data-label=\"Practised on\"><span>");
    bool week = passage->days && passo_day_count(passage->day[passage->days - 1].day) -
                                         passo_day_count(passage->day[0].day) <
                                     7;
    if (week)
        for (size_t i = 0; i < passage->days; i++)
            page_put(page, "%s%s", i ? " " : "", words_weekday(passage->day[i].day));
    else
        page_put(page, "%zu days, at most %lld apart", passage->days, (long long)gap);
    page_put(page, "</span></td>");
}

/* Of the days whose first pass was marked, how many began clean. */
static void put_first_tries(struct page *page, const struct passo_report_passage *passage)
{
    size_t clean = 0;
    size_t tried = 0;
    for (size_t i = 0; i < passage->days; i++) {
        clean += passage->day[i].first_try == PASSO_MARK_CLEAN;
        tried += passage->day[i].first_try == PASSO_MARK_CLEAN ||
                 passage->day[i].first_try == PASSO_MARK_MISS;
    }
    page_put(page, "<td data-label=\"First try clean\"><span>");
    if (tried)
        page_put(page, "%zu of %zu day%s", clean, tried, tried == 1 ? "" : "s");
    else
        page_put(page, "not marked");
    page_put(page, "</span></td>");
}

static double trend_x(const struct passo_report_passage *passage, size_t first, size_t day)
{
    double from = (double)passo_day_count(passage->day[first].day);
    double span = (double)passo_day_count(passage->day[passage->days - 1].day) - from;
    double at = (double)passo_day_count(passage->day[day].day) - from;
    return 4 + (TREND_WIDTH - 14) * (span > 0 ? at / span : 0);
}

/* Best clean by day against the target line, true to the calendar. */
static void put_trend(struct page *page, const struct passo_report_passage *passage,
                      const char *said)
{
    size_t first = passage->days > TREND_DAYS ? passage->days - TREND_DAYS : 0;
    double scale = (TREND_HIGH - 6) / (TREND_TOP - TREND_LOW);
    double target = 3 + scale * (TREND_TOP - 100);
    bool open = false;
    svg_open(page, "trend", TREND_WIDTH, TREND_HIGH, "Best clean by day", said);
    svg_line(page, "tg2", 0, target, TREND_WIDTH, target);
    for (size_t i = first; i < passage->days; i++) {
        int percent = page_of_target(passage, passage->day[i].best_clean_mbpm / 1000.0);
        if (percent <= 0)
            continue;
        if (!open)
            svg_path_open(page, "cs");
        open = true;
        svg_dot(page, trend_x(passage, first, i),
                3 + scale * (TREND_TOP - fmax(TREND_LOW, fmin(TREND_TOP, percent))));
    }
    if (open)
        svg_path_close(page);
    svg_close(page);
}

static void put_level(struct page *page, const struct passo_report_passage *passage)
{
    char tempo[WORDS_BYTES];
    char said[WORDS_BYTES];
    bool reached = passage->best_clean_mbpm > 0;
    page_put(page, "<td data-label=\"Best clean\"><span>%s</span></td>",
             reached
                 ? passo_tempo_write(passage->best_clean_mbpm, passage->beat, tempo, sizeof tempo)
                 : "none yet");
    page_put(page, "<td data-label=\"Level\"><span class=\"near\">");
    if (passage->target_mbpm <= 0) {
        page_put(page, "no target known</span></td>");
        return;
    }
    int percent = page_of_target(passage, passage->best_clean_mbpm / 1000.0);
    snprintf(said, sizeof said, "On the last day %d %% of the target.",
             page_of_target(passage, passage->day[passage->days - 1].best_clean_mbpm / 1000.0));
    if (reached)
        page_put(page, "%d %% of %s", percent,
                 passo_bpm_write(passage->target_mbpm, tempo, sizeof tempo));
    else
        page_put(page, "– of %s", passo_bpm_write(passage->target_mbpm, tempo, sizeof tempo));
    page_put(page, " ");
    put_trend(page, passage, said);
    page_put(page, "</span></td>");
}

static void put_share(struct page *page, const struct passo_report_passage *passage)
{
    static const char *const said[] = {
        [PASSO_SHARE_FINE] = "",
        [PASSO_SHARE_TOO_FAST] = ", perhaps too fast",
        [PASSO_SHARE_TOO_CAREFUL] = ", perhaps too careful",
        [PASSO_SHARE_FEW] = ", of few passes",
    };
    uint32_t marked = passage->clean + passage->missed;
    char share[16];
    page_put(page, "<td data-label=\"Clean\"><span>");
    if (marked)
        page_put(page, "%s%s", report_share_write(passage->clean, marked, share),
                 said[passage->share]);
    else
        page_put(page, "not marked");
    page_put(page, "</span></td>");
}

/* How many bars have so many misses at least. */
static size_t count_bars(const struct passo_report_passage *passage, uint32_t least)
{
    size_t bars = 0;
    for (size_t i = 0; i < passage->bars_missed; i++)
        bars += passage->bar[i].misses >= least;
    return bars;
}

/* The bars where most misses fell, BREAKS_NAMED at most, in the order of the music. */
static void put_breaks(struct page *page, const struct passo_report_passage *passage)
{
    uint32_t least = 0; /* what a bar is named for; 0: more bars than are named have the most */
    const char *between = "";
    for (size_t i = 0; i < passage->bars_missed; i++) {
        uint32_t misses = passage->bar[i].misses;
        if (count_bars(passage, misses) <= BREAKS_NAMED && (!least || misses < least))
            least = misses;
    }
    page_put(page, "<td data-label=\"Where it breaks\"><span>");
    for (size_t i = 0; least && i < passage->bars_missed; i++) {
        if (passage->bar[i].misses < least)
            continue;
        page_put(page, "%sbar %d (%u)", between, (int)passage->bar[i].bar,
                 (unsigned)passage->bar[i].misses);
        between = ", ";
    }
    if (!least)
        page_put(page, "%s", passage->bars_missed ? "all over" : "not placed");
    page_put(page, "</span></td>");
}

static void put_row(struct page *page, const struct passo_report *report, size_t at)
{
    const struct passo_report_passage *passage = report->passage[at];
    bool again = at && !strcmp(report->passage[at - 1]->player, passage->player);
    page_put(page, "<tr%s><th scope=\"row\"><span%s>", again ? "" : " class=\"new\"",
             again ? " class=\"again\"" : "");
    page_name(page, passage->player, PAGE_NAME_MOST, "no name");
    page_put(page, "</span></th><td data-label=\"Passage\"><span>");
    page_name(page, passage->title, PAGE_NAME_MOST, "without a title");
    page_put(page, "</span></td>");
    if (!passage->passes) {
        page_put(page, "<td colspan=\"7\" data-label=\"\"><span>no practice recorded</span></td>"
                       "</tr>\n");
        return;
    }
    put_when(page, passage);
    put_first_tries(page, passage);
    put_level(page, passage);
    put_share(page, passage);
    put_breaks(page, passage);
    page_put(page, "<td data-label=\"Minutes\" class=\"r\"><span>%d</span></td></tr>\n",
             words_whole((double)passage->play_ns / 60e9));
}

static size_t count_players(const struct passo_report *report)
{
    size_t players = 0;
    for (size_t i = 0; i < report->passages; i++)
        players += !i || strcmp(report->passage[i - 1]->player, report->passage[i]->player);
    return players;
}

static void put_heads(struct page *page)
{
    static const char *const heads[] = {"Player",     "Passage", "Practised on", "First try clean",
                                        "Best clean", "Level",   "Clean",        "Where it breaks"};
    page_put(page, "<thead><tr>");
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        page_put(page, "<th scope=\"col\">%s</th>", heads[i]);
    page_put(page, "<th scope=\"col\" class=\"r\">Minutes</th></tr></thead>\n");
}

void passo_studio_page(const struct passo_report *report, FILE *to)
{
    struct page page = {.to = to};
    char words[WORDS_BYTES];
    page_head(&page, PAGE_STUDIO, "Practice of the studio", "");
    page_put(&page, "<header>\n<div class=\"top\"><p>%s</p><h1>Practice of the studio</h1>",
             words_count(count_players(report), "player", "s", words, sizeof words));
    page_put(&page, "<p>%s</p></div>\n<div class=\"end\"></div>\n</header>\n",
             words_period(report, words, sizeof words));
    if (report->passages) {
        page_put(&page, "<table class=\"studio\">\n");
        put_heads(&page);
        page_put(&page, "<tbody>\n");
        for (size_t i = 0; i < report->passages; i++)
            put_row(&page, report, i);
        page_put(&page, "</tbody>\n</table>\n");
    } else {
        page_put(&page, "<p class=\"stand\">No practice is recorded in this time.</p>\n");
    }
    page_foot(
        &page, report->today,
        "Level: the best clean tempo of the whole passage at pitch, in percent of its target, "
        "and day by day. Clean: of the marked passes; under 60 % perhaps too fast, over 95 % "
        "perhaps too careful. ");
}
