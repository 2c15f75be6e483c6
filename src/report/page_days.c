/* Day by day: the best clean tempo (dots) and the secure tempo (a line in its band) over the
 * calendar, and below it the time that was spent. A day without practice keeps its place; over more
 * than a week of them the line breaks. Where days are too many for a bar each, the time is by week.
 * Main thread. */
#include "report/page_part.h"

#include <math.h>
#include <string.h>
#include "report/page_staff.h"
#include "report/page_words.h"
#include "store/day.h"

#define DAYS_WIDTH  328.0
#define DAYS_LEFT   30.0
#define DAYS_RIGHT  56.0 /* room for what the lines are */
#define STAFF_TOP   10.0
#define STAFF_GAP   28.0
#define TIME_TOP    144.0
#define TIME_HEIGHT 34.0
#define DAYS_HEIGHT 195.0
#define ALONE_HALF  3.5 /* of the band of a day that no line joins */
#define BREAK_DAYS  7   /* more without practice break the line */
#define BAR_LEAST   3.0 /* a narrower day's time is added up by week */
#define BAR_MOST    12.0
#define DAY_MOST    24.0 /* two days do not stand at the two ends of the paper */

struct calendar {
    const struct passo_report_passage *passage;
    size_t first; /* day that is drawn */
    int64_t from; /* counted */
    int64_t span; /* days, both ends counted */
    double day_width;
    struct staff staff;
};

static double day_x(const struct calendar *calendar, int64_t count)
{
    return DAYS_LEFT + calendar->day_width * ((double)(count - calendar->from) + 0.5);
}

static int64_t count_of(const struct calendar *calendar, size_t day)
{
    return passo_day_count(calendar->passage->day[day].day);
}

static bool fitted(const struct passo_secure *secure)
{
    return secure->kind == PASSO_SECURE_FITTED && isfinite(secure->low_bpm) &&
           isfinite(secure->high_bpm);
}

static void widen(int32_t mbpm, int32_t *low, int32_t *high)
{
    if (mbpm <= 0)
        return;
    *low = mbpm < *low ? mbpm : *low;
    *high = mbpm > *high ? mbpm : *high;
}

static int32_t mbpm_of(double bpm)
{
    return isfinite(bpm) ? (int32_t)lround(1000 * fmax(0, fmin(bpm, 1000))) : 0;
}

/* False if there is no tempo to draw. */
static bool find_staff(struct calendar *calendar)
{
    int32_t low = INT32_MAX;
    int32_t high = 0;
    for (size_t i = calendar->first; i < calendar->passage->days; i++) {
        const struct passo_report_day *day = &calendar->passage->day[i];
        widen(day->best_clean_mbpm, &low, &high);
        if (day->secure.kind != PASSO_SECURE_UNKNOWN)
            widen(mbpm_of(day->secure.bpm), &low, &high);
        if (fitted(&day->secure)) {
            widen(mbpm_of(day->secure.low_bpm), &low, &high);
            widen(mbpm_of(day->secure.high_bpm), &low, &high);
        }
    }
    widen(calendar->passage->target_mbpm, &low, &high);
    calendar->staff = staff_over(low < high ? low : high, high, calendar->passage->target_mbpm,
                                 STAFF_TOP, STAFF_GAP);
    return high > 0;
}

static struct calendar calendar_of(const struct passo_report_passage *passage)
{
    struct calendar calendar = {.passage = passage};
    calendar.first = passage->days > PAGE_DAYS ? passage->days - PAGE_DAYS : 0;
    calendar.from = count_of(&calendar, calendar.first);
    calendar.span = count_of(&calendar, passage->days - 1) - calendar.from + 1;
    calendar.day_width =
        fmin(DAY_MOST, (DAYS_WIDTH - DAYS_LEFT - DAYS_RIGHT) / (double)calendar.span);
    return calendar;
}

/* The end of the run of days that the line joins, from `at`. */
static size_t run_end(const struct calendar *calendar, size_t at)
{
    size_t end = at + 1;
    while (end < calendar->passage->days && fitted(&calendar->passage->day[end].secure) &&
           count_of(calendar, end) - count_of(calendar, end - 1) <= BREAK_DAYS)
        end++;
    return end;
}

static void put_point(struct page *page, const struct calendar *calendar, const char *with,
                      size_t day, double bpm)
{
    page_put(page, "%s%s %s", with, px(day_x(calendar, count_of(calendar, day))).text,
             px(staff_y(&calendar->staff, bpm)).text);
}

/* Days from `at` to `end` that are joined. */
static void put_run(struct page *page, const struct calendar *calendar, size_t at, size_t end)
{
    const struct passo_report_day *day = calendar->passage->day;
    svg_path_open(page, "band");
    for (size_t i = at; i < end; i++)
        put_point(page, calendar, i == at ? "M" : "L", i, day[i].secure.high_bpm);
    for (size_t i = end; i-- > at;)
        put_point(page, calendar, "L", i, day[i].secure.low_bpm);
    page_put(page, "z");
    svg_path_close(page);
    svg_path_open(page, "sec");
    for (size_t i = at; i < end; i++)
        put_point(page, calendar, i == at ? "M" : "L", i, day[i].secure.bpm);
    svg_path_close(page);
}

/* A day that stands alone. */
static void put_alone(struct page *page, const struct calendar *calendar, size_t at)
{
    const struct passo_secure *secure = &calendar->passage->day[at].secure;
    double x = day_x(calendar, count_of(calendar, at));
    double y = staff_y(&calendar->staff, secure->bpm);
    double high = staff_y(&calendar->staff, secure->high_bpm);
    svg_box(page, "band", x - ALONE_HALF, high, 2 * ALONE_HALF,
            staff_y(&calendar->staff, secure->low_bpm) - high);
    svg_line(page, "sec", x - ALONE_HALF, y, x + ALONE_HALF, y);
}

static void put_secure(struct page *page, const struct calendar *calendar)
{
    size_t end = 0;
    for (size_t i = calendar->first; i < calendar->passage->days; i = end) {
        end = i + 1;
        if (!fitted(&calendar->passage->day[i].secure))
            continue;
        end = run_end(calendar, i);
        if (end == i + 1)
            put_alone(page, calendar, i);
        else
            put_run(page, calendar, i, end);
    }
}

/* What is known of the secure tempo is a bound alone: an arrow up or down from it. */
static void put_bounds(struct page *page, const struct calendar *calendar)
{
    bool open = false;
    for (size_t i = calendar->first; i < calendar->passage->days; i++) {
        const struct passo_secure *secure = &calendar->passage->day[i].secure;
        if (secure->kind != PASSO_SECURE_AT_LEAST && secure->kind != PASSO_SECURE_UNDER)
            continue;
        double up = secure->kind == PASSO_SECURE_AT_LEAST ? -1 : 1;
        double x = day_x(calendar, count_of(calendar, i));
        double y = staff_y(&calendar->staff, mbpm_of(secure->bpm) / 1000.0);
        if (!open)
            svg_path_open(page, "sec");
        open = true;
        page_put(page, "M%s %sv%sm-2.5 %sl2.5 %s 2.5 %s", px(x).text, px(y).text, px(9 * up).text,
                 px(-3 * up).text, px(3 * up).text, px(-3 * up).text);
    }
    if (open)
        svg_path_close(page);
}

static void put_best(struct page *page, const struct calendar *calendar)
{
    bool open = false;
    for (size_t i = calendar->first; i < calendar->passage->days; i++) {
        int32_t best = calendar->passage->day[i].best_clean_mbpm;
        if (best <= 0)
            continue;
        if (!open)
            svg_path_open(page, calendar->day_width < 5 ? "cs" : "cl");
        open = true;
        svg_dot(page, day_x(calendar, count_of(calendar, i)),
                staff_y(&calendar->staff, best / 1000.0));
    }
    if (open)
        svg_path_close(page);
}

/* Names the lines at their right end, each under the one above it. */
static void put_names(struct page *page, const struct calendar *calendar, double right)
{
    const struct passo_report_passage *passage = calendar->passage;
    const struct passo_report_day *last = &passage->day[passage->days - 1];
    struct {
        const char *name;
        double bpm;
    } line[] = {{"target", passage->target_mbpm / 1000.0},
                {"best clean", last->best_clean_mbpm / 1000.0},
                {"secure", last->secure.kind == PASSO_SECURE_UNKNOWN ? 0 : last->secure.bpm}};
    double above = 0;
    for (size_t step = 0; step < 3; step++) {
        size_t top = 0;
        for (size_t i = 1; i < 3; i++)
            top = line[i].bpm > line[top].bpm ? i : top;
        if (line[top].bpm <= 0)
            return;
        double y = fmax(staff_y(&calendar->staff, line[top].bpm) + 3, above + 11);
        svg_text(page, "i", right + 6, y, line[top].name);
        above = y;
        line[top].bpm = 0;
    }
}

static int64_t bar_days(const struct calendar *calendar)
{
    return calendar->day_width < BAR_LEAST ? 7 : 1;
}

struct spent {
    int64_t play_ns;
    int64_t rest_ns;
};

/* The time of the days from `at` that share a bar; *at moves behind them. */
static struct spent take_bar(const struct calendar *calendar, size_t *at)
{
    const struct passo_report_passage *passage = calendar->passage;
    int64_t days = bar_days(calendar);
    int64_t bar = (count_of(calendar, *at) - calendar->from) / days;
    struct spent spent = {0, 0};
    for (; *at < passage->days && (count_of(calendar, *at) - calendar->from) / days == bar; ++*at) {
        spent.play_ns += passage->day[*at].play_ns;
        spent.rest_ns += passage->day[*at].rest_ns;
    }
    return spent;
}

/* The time of the `days` days from day number `from` of the calendar, of which the last may be
 * over. */
static void put_spent(struct page *page, const struct calendar *calendar, int64_t from,
                      struct spent spent, double height_of_ns)
{
    int64_t end =
        from + bar_days(calendar) < calendar->span ? from + bar_days(calendar) : calendar->span;
    double room = calendar->day_width * (double)(end - from);
    double width = fmin(BAR_MOST, room * 0.72);
    double x = DAYS_LEFT + calendar->day_width * (double)from + (room - width) / 2;
    double play = height_of_ns * (double)spent.play_ns;
    double rest = height_of_ns * (double)spent.rest_ns;
    double bottom = TIME_TOP + TIME_HEIGHT;
    svg_box(page, "ful", x, bottom - play, width, play);
    if (spent.rest_ns > 0)
        svg_box(page, "open", x, bottom - play - rest, width, rest);
}

static void put_time(struct page *page, const struct calendar *calendar, double right)
{
    int64_t days = bar_days(calendar);
    double bottom = TIME_TOP + TIME_HEIGHT;
    int64_t most = 1;
    char words[WORDS_BYTES];
    for (size_t i = calendar->first; i < calendar->passage->days;) {
        struct spent spent = take_bar(calendar, &i);
        most = spent.play_ns + spent.rest_ns > most ? spent.play_ns + spent.rest_ns : most;
    }
    for (size_t i = calendar->first; i < calendar->passage->days;) {
        int64_t bar = (count_of(calendar, i) - calendar->from) / days;
        put_spent(page, calendar, bar * days, take_bar(calendar, &i), TIME_HEIGHT / (double)most);
    }
    svg_line(page, "bar", DAYS_LEFT, bottom, right, bottom);
    svg_text(page, "n", right + 6, TIME_TOP + 7, words_time(most, words, sizeof words));
    svg_text(page, "n", right + 6, TIME_TOP + 18, days == 1 ? "in a day" : "in a week");
}

/* Days from one date to the next on the axis, at most five of them; 0: by months. */
static int64_t date_step(const struct calendar *calendar)
{
    static const int64_t steps[] = {1, 2, 4, 7, 14, 28};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        if (calendar->span <= 4 * steps[i] + 1 && calendar->day_width * (double)steps[i] >= 42)
            return steps[i];
    return 0;
}

/* Months from one to the next: even parts of a year, or whole years. */
static int64_t month_step(const struct calendar *calendar)
{
    int64_t months = (calendar->span + 149) / 150;
    while (months < 12 && 12 % months)
        months++;
    return months > 12 ? (months + 11) / 12 * 12 : months;
}

static void put_date(struct page *page, const struct calendar *calendar, int64_t count,
                     enum day_style style)
{
    char date[WORDS_BYTES];
    double x = day_x(calendar, count);
    svg_line(page, "bar", x, TIME_TOP + TIME_HEIGHT, x, TIME_TOP + TIME_HEIGHT + 3);
    svg_text(page, "m n", x, DAYS_HEIGHT - 5,
             words_day(passo_day_of(count), style, date, sizeof date));
}

static void put_dates(struct page *page, const struct calendar *calendar)
{
    int64_t step = date_step(calendar);
    if (step) {
        for (int64_t at = 0; at < calendar->span; at += step)
            put_date(page, calendar, calendar->from + at, DAY_SHORT);
        return;
    }
    int64_t months = month_step(calendar);
    for (int64_t at = 0; at < calendar->span; at++) {
        int32_t day = passo_day_of(calendar->from + at);
        int64_t month = (int64_t)(day / 10000) * 12 + day / 100 % 100 - 1;
        if (day % 100 == 1 && month % months == 0)
            put_date(page, calendar, calendar->from + at, DAY_MONTH);
    }
}

static void say_days(const struct calendar *calendar, char *out, size_t bytes)
{
    const struct passo_report_passage *passage = calendar->passage;
    char count[WORDS_BYTES];
    char day[WORDS_BYTES];
    char secure[WORDS_BYTES];
    char time[WORDS_BYTES];
    out[0] = '\0';
    words_add(out, bytes, "%s with practice since %s",
              words_count(passage->days - calendar->first, "day", "s", count, sizeof count),
              words_day(passage->day[calendar->first].day, DAY_LONG, day, sizeof day));
    words_add(out, bytes, ", %s played; on the last of them %s.",
              words_time(passage->play_ns, time, sizeof time),
              passo_report_secure_words(passage, secure, sizeof secure));
}

void page_days(struct page *page, const struct passo_report_passage *passage)
{
    char said[2 * WORDS_BYTES];
    if (!passage->days)
        return;
    struct calendar calendar = calendar_of(passage);
    double right = DAYS_WIDTH - DAYS_RIGHT;
    bool tempi = find_staff(&calendar);
    say_days(&calendar, said, sizeof said);
    page_put(page,
             "<figure>\n<figcaption><h3>Day by day</h3>\n<p>Best clean, secure in the band "
             "where it most likely lies; below, playing filled, rest open.</p></figcaption>\n");
    svg_open(page, "days", DAYS_WIDTH, DAYS_HEIGHT, "Tempo and time day by day", said);
    if (tempi) {
        staff_draw(page, &calendar.staff, DAYS_LEFT, right, 1);
        if (passage->target_mbpm > 0)
            staff_target(page, &calendar.staff, passage->target_mbpm, DAYS_LEFT, right);
        put_secure(page, &calendar);
        put_bounds(page, &calendar);
        put_best(page, &calendar);
        put_names(page, &calendar, right);
    }
    put_time(page, &calendar, right);
    put_dates(page, &calendar);
    svg_close(page);
    page_put(page, "</figure>\n");
}
