/* The curve: the latest sessions one by one, each a measure of one long line on the same five
 * lines, so that they wrap as music does: many to a line on paper, one or two on a telephone. The
 * target is the double line. A clean pass is a filled dot, a miss an open ring with a bar; passes
 * that are not of the climb lie off its line, are smaller unless all are, and carry a letter where
 * there is room for one. Main thread. */
#include "report/page_part.h"

#include <math.h>
#include <string.h>
#include "report/page_staff.h"
#include "report/page_words.h"
#include "text/notation.h"

#define MEASURE_LEFT      29.0
#define MEASURE_RIGHT     9.0
#define MEASURE_LEAST     128.0 /* room for the day, and for how it ended */
#define MEASURE_HALF      345.0 /* two on a line of paper */
#define MEASURE_THIRD     230.0 /* three */
#define STEP_MOST         12.0  /* from pass to pass */
#define STEP_CROWDED      6.5   /* nearer ones are drawn smaller */
#define STEP_LETTERS      8.0   /* from letter to letter, at least */
#define LINES_OF_MEASURES 4     /* that a sheet of paper has room for */
#define LINE_WIDTH        690.0
#define STAFF_TOP         22.0
#define STAFF_GAP         17.0
#define STAFF_GAP_TIGHT   12.0 /* of many sessions */

/* What all measures of a passage share. */
struct system {
    const struct passo_report *report;
    const struct passo_report_passage *passage;
    size_t first; /* session */
    struct staff staff;
    double measure_most;
};

struct measure {
    const struct passo_report_session *session;
    size_t first; /* pass */
    size_t end;
    size_t shown;
    double step;
    double width;
};

bool page_shows(const struct passo_report_pass *pass)
{
    return pass->mark != PASSO_MARK_VOID && pass->mbpm > 0;
}

size_t page_first_pass(const struct passo_report_passage *passage,
                       const struct passo_report_session *session)
{
    size_t at = session->first + session->passes;
    for (size_t shown = 0; at > session->first && shown < PAGE_PASSES; at--)
        shown += page_shows(&passage->pass[at - 1]);
    return at;
}

int page_of_target(const struct passo_report_passage *passage, double bpm)
{
    return passage->target_mbpm > 0 ? words_whole(100000 * bpm / passage->target_mbpm) : 0;
}

static struct measure measure_of(const struct system *system, size_t session)
{
    const struct passo_report_passage *passage = system->passage;
    struct measure measure = {.session = &passage->session[session]};
    measure.first = page_first_pass(passage, measure.session);
    measure.end = measure.session->first + measure.session->passes;
    for (size_t i = measure.first; i < measure.end; i++)
        measure.shown += page_shows(&passage->pass[i]);
    double room = system->measure_most - MEASURE_LEFT - MEASURE_RIGHT;
    measure.step = measure.shown ? fmin(STEP_MOST, room / (double)measure.shown) : 0;
    measure.width =
        fmax(MEASURE_LEAST, MEASURE_LEFT + MEASURE_RIGHT + measure.step * (double)measure.shown);
    return measure;
}

/* Lines of measures that the sessions fill on paper, if none is wider than `most`. */
static int lines_needed(struct system *system, double most)
{
    int lines = 1;
    double used = 0;
    system->measure_most = most;
    for (size_t i = system->first; i < system->passage->sessions; i++) {
        double width = measure_of(system, i).width;
        lines += used > 0 && used + width > LINE_WIDTH;
        used = used > 0 && used + width > LINE_WIDTH ? width : used + width;
    }
    return lines;
}

static void find_staff(struct system *system)
{
    const struct passo_report_passage *passage = system->passage;
    int32_t low = passage->target_mbpm > 0 ? passage->target_mbpm : INT32_MAX;
    int32_t high = passage->target_mbpm;
    for (size_t s = system->first; s < passage->sessions; s++) {
        const struct passo_report_session *session = &passage->session[s];
        for (size_t i = page_first_pass(passage, session); i < session->first + session->passes;
             i++) {
            if (!page_shows(&passage->pass[i]))
                continue;
            low = passage->pass[i].mbpm < low ? passage->pass[i].mbpm : low;
            high = passage->pass[i].mbpm > high ? passage->pass[i].mbpm : high;
        }
    }
    bool many = passage->sessions - system->first > 6;
    system->staff = staff_over(low < high ? low : high, high, passage->target_mbpm, STAFF_TOP,
                               many ? STAFF_GAP_TIGHT : STAFF_GAP);
}

static double pass_x(const struct measure *measure, size_t shown)
{
    return MEASURE_LEFT + measure->step * ((double)shown + 0.5);
}

enum stroke { STROKE_LINE, STROKE_CLEAN, STROKE_MISS, STROKE_NONE, STROKES };

static bool belongs(const struct passo_report_pass *pass, enum stroke stroke, bool small)
{
    if (!page_shows(pass) || small != (words_kind(pass) != NULL))
        return false;
    return stroke == STROKE_LINE || (stroke == STROKE_CLEAN && pass->mark == PASSO_MARK_CLEAN) ||
           (stroke == STROKE_MISS && pass->mark == PASSO_MARK_MISS) ||
           (stroke == STROKE_NONE && pass->mark == PASSO_MARK_NONE);
}

/* All marks of one shape of a measure, as one path; nothing where there are none. */
static void put_stroke(struct page *page, const struct system *system,
                       const struct measure *measure, enum stroke stroke, bool small)
{
    static const char *const kinds[STROKES][3] = {
        {"go", "go", "go"}, {"cl", "cs", "ct"}, {"ms", "ms", "mt"}, {"un", "un", "un"}};
    static const double radius[3] = {3, 2, 1.6};
    size_t size = measure->step < STEP_CROWDED ? 2 : small;
    bool open = false;
    size_t shown = 0;
    for (size_t i = measure->first; i < measure->end; i++) {
        const struct passo_report_pass *pass = &system->passage->pass[i];
        double x = pass_x(measure, shown);
        double y = staff_y(&system->staff, pass->mbpm / 1000.0);
        shown += page_shows(pass);
        if (!belongs(pass, stroke, small))
            continue;
        if (!open)
            svg_path_open(page, kinds[stroke][size]);
        if (stroke == STROKE_LINE)
            page_put(page, "%s%s %s", open ? "L" : "M", px(x).text, px(y).text);
        else if (stroke == STROKE_CLEAN)
            svg_dot(page, x, y);
        else if (stroke == STROKE_MISS)
            svg_miss(page, x, y, radius[size]);
        else
            svg_dash(page, x, y, radius[size]);
        open = true;
    }
    if (open)
        svg_path_close(page);
}

static void put_letters(struct page *page, const struct system *system,
                        const struct measure *measure)
{
    double last = -STEP_LETTERS;
    size_t shown = 0;
    for (size_t i = measure->first; i < measure->end; i++) {
        const struct passo_report_pass *pass = &system->passage->pass[i];
        const struct pass_kind *kind = words_kind(pass);
        double x = pass_x(measure, shown);
        shown += page_shows(pass);
        if (!kind || !page_shows(pass) || x - last < STEP_LETTERS)
            continue;
        double y = staff_y(&system->staff, pass->mbpm / 1000.0);
        svg_text(page, "m i n", x, y < STAFF_TOP + 15 ? y + 11 : y - 5.5, kind->letter);
        last = x;
    }
}

/* "20 passes from 84 to 132: 16 clean, 4 missed; won." */
static void say_measure(const struct system *system, const struct measure *measure, char *out,
                        size_t bytes)
{
    int32_t low = INT32_MAX;
    int32_t high = 0;
    size_t clean = 0;
    size_t missed = 0;
    char tempo[WORDS_BYTES];
    for (size_t i = measure->first; i < measure->end; i++) {
        const struct passo_report_pass *pass = &system->passage->pass[i];
        if (!page_shows(pass))
            continue;
        low = pass->mbpm < low ? pass->mbpm : low;
        high = pass->mbpm > high ? pass->mbpm : high;
        clean += pass->mark == PASSO_MARK_CLEAN;
        missed += pass->mark == PASSO_MARK_MISS;
    }
    words_count(measure->shown, "pass", "es", out, bytes);
    if (measure->shown)
        words_add(out, bytes, " from %s", passo_bpm_write(low, tempo, sizeof tempo));
    if (high > low)
        words_add(out, bytes, " to %s", passo_bpm_write(high, tempo, sizeof tempo));
    words_add(out, bytes, ": %zu clean, %zu missed%s%s.", clean, missed,
              words_ended(measure->session->ended)[0] ? "; " : "",
              words_ended(measure->session->ended));
}

/* Of a session of today's year "Tue 24 Nov"; of a second one on a day its hour. */
static void name_measure(const struct system *system, size_t at, char *out, size_t bytes)
{
    const struct passo_report_session *session = &system->passage->session[at];
    int year = (int)(session->day / 10000);
    bool this_year = year == (int)(system->report->today / 10000);
    if (at > system->first && session[-1].day == session->day) {
        words_clock(session->began_ns, session->offset_s, out, bytes);
        return;
    }
    words_day(session->day, this_year ? DAY_WEEK : DAY_SHORT, out, bytes);
    if (!this_year)
        words_add(out, bytes, " %d", year);
}

static void put_frame(struct page *page, const struct system *system, const struct measure *measure,
                      bool last)
{
    const struct staff *staff = &system->staff;
    double bottom = staff->top + 4 * staff->gap;
    double right = measure->width - (last ? 3 : 0.5);
    staff_draw(page, staff, MEASURE_LEFT - 5, measure->width, 2);
    if (system->passage->target_mbpm > 0)
        staff_target(page, staff, system->passage->target_mbpm, MEASURE_LEFT - 5, right);
    svg_line(page, "bar", right, staff->top, right, bottom);
    if (last)
        svg_line(page, "fin", measure->width, staff->top, measure->width, bottom);
}

static void put_measure(struct page *page, const struct system *system, size_t at)
{
    struct measure measure = measure_of(system, at);
    const struct passo_report_session *session = measure.session;
    char name[WORDS_BYTES];
    char title[WORDS_BYTES];
    char said[WORDS_BYTES];
    char day[WORDS_BYTES];
    bool last = at + 1 == system->passage->sessions;
    name_measure(system, at, name, sizeof name);
    say_measure(system, &measure, said, sizeof said);
    snprintf(title, sizeof title, "Session of %s",
             words_day(session->day, DAY_VOICE, day, sizeof day));
    double height = STAFF_TOP + 4 * system->staff.gap + 7;
    svg_open(page, "ses", measure.width, height, title, said);
    svg_text(page, "h", MEASURE_LEFT - 5, 9, name);
    svg_text(page, "e i", measure.width - 4, 9, words_ended(session->ended));
    put_frame(page, system, &measure, last);
    put_stroke(page, system, &measure, STROKE_LINE, false);
    for (int small = 0; small < 2; small++)
        for (enum stroke stroke = STROKE_CLEAN; stroke < STROKES; stroke++)
            put_stroke(page, system, &measure, stroke, small);
    put_letters(page, system, &measure);
    svg_close(page);
}

static void put_sign(struct page *page, enum stroke stroke, const char *words)
{
    page_put(page, "<li>");
    svg_sign_open(page, 12, 10);
    svg_path_open(page, stroke == STROKE_CLEAN ? "cl" : stroke == STROKE_MISS ? "ms" : "un");
    if (stroke == STROKE_CLEAN)
        svg_dot(page, 6, 5);
    else if (stroke == STROKE_MISS)
        svg_miss(page, 6, 5, 3);
    else
        svg_dash(page, 6, 5, 3);
    svg_path_close(page);
    svg_close(page);
    page_put(page, "%s</li>\n", words);
}

static bool occurs(const struct system *system, const struct pass_kind *kind, bool unmarked)
{
    for (size_t s = system->first; s < system->passage->sessions; s++) {
        const struct passo_report_session *session = &system->passage->session[s];
        for (size_t i = page_first_pass(system->passage, session);
             i < session->first + session->passes; i++) {
            const struct passo_report_pass *pass = &system->passage->pass[i];
            if (page_shows(pass) &&
                (unmarked ? pass->mark == PASSO_MARK_NONE : words_kind(pass) == kind))
                return true;
        }
    }
    return false;
}

/* What the shapes and letters mean, of those that occur. */
static void put_signs(struct page *page, const struct system *system)
{
    page_put(page, "<ul class=\"signs\">\n");
    put_sign(page, STROKE_CLEAN, "clean");
    put_sign(page, STROKE_MISS, "miss");
    if (occurs(system, NULL, true))
        put_sign(page, STROKE_NONE, "unmarked");
    if (system->passage->target_mbpm > 0) {
        page_put(page, "<li>");
        svg_sign_open(page, 16, 10);
        svg_line(page, "tg", 0, 7, 16, 7);
        svg_line(page, "tg2", 0, 3.8, 16, 3.8);
        svg_close(page);
        page_put(page, "target</li>\n");
    }
    for (size_t i = 0; i < PASS_KINDS; i++)
        if (occurs(system, words_kind_at(i), false))
            page_put(page, "<li><i>%s</i> %s</li>\n", words_kind_at(i)->letter,
                     words_kind_at(i)->words);
    page_put(page, "</ul>\n");
}

/* Whether a session has more passes than are drawn. */
static bool is_cut(const struct system *system)
{
    const struct passo_report_passage *passage = system->passage;
    for (size_t s = system->first; s < passage->sessions; s++) {
        const struct passo_report_session *session = &passage->session[s];
        for (size_t i = page_first_pass(passage, session); i-- > session->first;)
            if (page_shows(&passage->pass[i]))
                return true;
    }
    return false;
}

void page_curve(struct page *page, const struct passo_report *report,
                const struct passo_report_passage *passage)
{
    struct system system = {.report = report, .passage = passage};
    char count[WORDS_BYTES];
    if (!passage->sessions)
        return;
    system.first = passage->sessions > PAGE_SESSIONS ? passage->sessions - PAGE_SESSIONS : 0;
    find_staff(&system);
    if (lines_needed(&system, MEASURE_HALF) > LINES_OF_MEASURES)
        system.measure_most = MEASURE_THIRD;
    page_put(page, "<figure>\n<figcaption><h3>Session by session</h3>\n");
    if (system.first)
        page_put(page, "<p>The latest %d of %s.</p>\n", PAGE_SESSIONS,
                 words_count(passage->sessions, "session", "s", count, sizeof count));
    if (is_cut(&system))
        page_put(page, "<p>Of a longer session the latest %d passes.</p>\n", PAGE_PASSES);
    put_signs(page, &system);
    page_put(page, "</figcaption>\n<div class=\"system\">\n");
    for (size_t i = system.first; i < passage->sessions; i++)
        put_measure(page, &system, i);
    page_put(page, "</div>\n</figure>\n");
}
