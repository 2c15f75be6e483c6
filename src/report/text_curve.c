/* The curve of the latest sessions: a column a pass, a line a tempo. The lines are evenly apart and
 * stand on the target, so that it is exact; a pass stands on the line nearest to it. Sessions are
 * taken from the last backward for as long as there is room. Runs on the main thread. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "report/report_words.h"
#include "report/text_priv.h"
#include "text/notation.h"

enum { LINES_MOST = 14, LABEL = 6, GAP = 2, WIDTH_MOST = 200, SESSIONS_MOST = 40 };

/* One session as it is drawn: its passes from `first`, at the column `at`. */
struct shown {
    const struct passo_report_session *session;
    size_t first; /* index of a pass */
    int at;
    int wide;
};

struct curve {
    const struct passo_report_passage *passage;
    struct shown shown[SESSIONS_MOST]; /* the last session first */
    size_t sessions;
    int wide;       /* of all */
    int32_t anchor; /* a tempo that a line stands on */
    int32_t step;   /* from line to line */
    int above;      /* lines over the anchor */
    int lines;
    const char *cell[LINES_MOST + 4][WIDTH_MOST];
    char letters[PASSO_PART_COUNT + PASSO_EXTRA_COUNT][4]; /* kinds that were drawn; "" not */
    bool unmarked;
};

/* Letters of the passes that are not the climb's own. */
static const struct {
    enum passo_part part;
    enum passo_extra extra;
    char clean[2];
    char miss[2];
    const char *words;
} kinds[] = {
    {PASSO_PART_COLD, PASSO_EXTRA_NONE, "c", "C", "cold try"},
    {PASSO_PART_ANCHOR, PASSO_EXTRA_NONE, "a", "A", "anchor"},
    {PASSO_PART_OVER, PASSO_EXTRA_NONE, "o", "O", "over the target"},
    {PASSO_PART_CLOSE, PASSO_EXTRA_NONE, "t", "T", "to close at the target"},
    {PASSO_PART_CONTEXT, PASSO_EXTRA_NONE, "r", "R", "run in context"},
    {PASSO_PART_EASY, PASSO_EXTRA_NONE, "e", "E", "easy"},
    {PASSO_PART_COUNT, PASSO_EXTRA_VISIT, "v", "V", "visit"},
    {PASSO_PART_COUNT, PASSO_EXTRA_CHECK, "k", "K", "check"},
};
enum { KINDS = sizeof kinds / sizeof kinds[0] };

static bool is_drawn(const struct passo_report_pass *pass)
{
    return pass->mark != PASSO_MARK_VOID && pass->mbpm > 0;
}

/* Takes a session before those that are there; false if there is no room. */
static bool take_session(struct curve *curve, const struct passo_report *report,
                         const struct passo_report_session *session, int room)
{
    const struct passo_report_passage *passage = curve->passage;
    char date[24];
    int least = (int)strlen(report_day_short(session->day, report->today, date, sizeof date));
    int passes = 0;
    int gap = curve->sessions ? GAP : 0;
    size_t first = session->first + session->passes;
    room -= curve->wide + gap;
    /* The last session is shown for as much as there is room, the others whole. */
    while (first > session->first && (passes < room || curve->sessions))
        passes += is_drawn(&passage->pass[--first]);
    if (passes == 0)
        return true;
    int wide = passes > least ? passes : least;
    if (wide > room || curve->sessions == SESSIONS_MOST)
        return false;
    curve->shown[curve->sessions++] =
        (struct shown){.session = session, .first = first, .wide = wide};
    curve->wide += wide + gap;
    return true;
}

static void choose(struct curve *curve, const struct passo_report *report, int room)
{
    const struct passo_report_passage *passage = curve->passage;
    for (size_t i = passage->sessions; i > 0; i--) {
        if (!take_session(curve, report, &passage->session[i - 1], room))
            break;
    }
    int at = 0;
    for (size_t i = curve->sessions; i > 0; i--) {
        curve->shown[i - 1].at = at;
        at += curve->shown[i - 1].wide + GAP;
    }
}

static int32_t common_divisor(int32_t a, int32_t b)
{
    while (b) {
        int32_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* Lines of this step; false if they are too many. */
static bool rule_by(struct curve *curve, int32_t step, int32_t low, int32_t high)
{
    double above = fmax(0, round((double)(high - curve->anchor) / step));
    double below = fmax(0, round((double)(curve->anchor - low) / step));
    bool fits = above + 1 + below <= LINES_MOST;
    curve->step = step;
    curve->lines = fits ? (int)(above + 1 + below) : LINES_MOST;
    curve->above = above < curve->lines ? (int)above : curve->lines - 1;
    return fits;
}

/* Where the lines are: on every tempo if the ladder is even and they are few, else as few whole
 * beats apart as the room allows. */
static void rule(struct curve *curve)
{
    static const int32_t steps[] = {1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80};
    int32_t low = INT32_MAX;
    int32_t high = 0;
    int32_t even = 0;
    for (size_t i = 0; i < curve->sessions; i++) {
        const struct passo_report_session *session = curve->shown[i].session;
        for (size_t j = curve->shown[i].first; j < session->first + session->passes; j++) {
            const struct passo_report_pass *pass = &curve->passage->pass[j];
            low = is_drawn(pass) && pass->mbpm < low ? pass->mbpm : low;
            high = is_drawn(pass) && pass->mbpm > high ? pass->mbpm : high;
        }
    }
    curve->anchor = curve->passage->target_mbpm ? curve->passage->target_mbpm : high;
    for (size_t i = 0; i < curve->passage->pass_count; i++)
        even = common_divisor(even, abs(curve->anchor - curve->passage->pass[i].mbpm));
    bool fits = even >= 1000 && rule_by(curve, even, low, high);
    for (size_t i = 0; i < sizeof steps / sizeof steps[0] && !fits; i++)
        fits = rule_by(curve, steps[i] * 1000, low, high);
}

static int line_of(const struct curve *curve, int32_t mbpm)
{
    int line = curve->above + (int)round((double)(curve->anchor - mbpm) / curve->step);
    if (line < 0)
        return 0;
    return line < curve->lines ? line : curve->lines - 1;
}

/* The sign of a pass; keeps in mind what the legend is to say. */
static const char *sign_of(struct curve *curve, const struct text_pen *pen,
                           const struct passo_report_pass *pass)
{
    bool miss = pass->mark == PASSO_MARK_MISS;
    if (pass->mark == PASSO_MARK_NONE) {
        curve->unmarked = true;
        return text_sign(pen, SIGN_UNMARKED);
    }
    for (size_t i = 0; i < KINDS; i++) {
        bool same = kinds[i].extra ? kinds[i].extra == pass->extra
                                   : !pass->extra && kinds[i].part == pass->part;
        if (!same)
            continue;
        strcpy(curve->letters[i], kinds[i].clean);
        return miss ? kinds[i].miss : kinds[i].clean;
    }
    return text_sign(pen, miss ? SIGN_MISS : SIGN_CLEAN);
}

static void place(struct curve *curve, const struct text_pen *pen)
{
    for (size_t i = 0; i < curve->sessions; i++) {
        const struct passo_report_session *session = curve->shown[i].session;
        int at = curve->shown[i].at;
        for (size_t j = curve->shown[i].first; j < session->first + session->passes; j++) {
            const struct passo_report_pass *pass = &curve->passage->pass[j];
            if (is_drawn(pass))
                curve->cell[line_of(curve, pass->mbpm)][at++] = sign_of(curve, pen, pass);
        }
    }
}

static void draw_line(const struct curve *curve, struct text_pen *pen, int line)
{
    char bpm[24];
    bool target = curve->passage->target_mbpm && line == curve->above;
    text_bpm(curve->anchor + (curve->above - line) * curve->step, bpm);
    text_blanks(pen, LABEL - text_columns(pen, bpm));
    text_put(pen, bpm, LABEL);
    text_blanks(pen, 1);
    text_put(pen, text_sign(pen, target ? SIGN_AT_TARGET : SIGN_AXIS), 1);
    for (int at = 0; at < curve->wide; at++) {
        if (curve->cell[line][at])
            text_put(pen, curve->cell[line][at], 1);
        else if (target)
            text_put(pen, text_sign(pen, SIGN_TARGET), 1);
        else
            text_blanks(pen, 1);
    }
    if (target)
        text_put(pen, " target", pen->columns - pen->at);
    text_end_line(pen);
}

static void draw_dates(const struct curve *curve, const struct passo_report *report,
                       struct text_pen *pen)
{
    char date[24];
    text_blanks(pen, LABEL + 2);
    for (size_t i = curve->sessions; i > 0; i--) {
        const struct shown *shown = &curve->shown[i - 1];
        text_blanks(pen, LABEL + 2 + shown->at - pen->at);
        text_put(pen, report_day_short(shown->session->day, report->today, date, sizeof date),
                 shown->wide);
    }
    text_end_line(pen);
}

static void draw_legend(const struct curve *curve, struct text_pen *pen)
{
    char words[512];
    bool letters = false;
    snprintf(words, sizeof words, "%s clean, %s miss", text_sign(pen, SIGN_CLEAN),
             text_sign(pen, SIGN_MISS));
    if (curve->unmarked)
        snprintf(words + strlen(words), sizeof words - strlen(words), ", %s not marked",
                 text_sign(pen, SIGN_UNMARKED));
    for (size_t i = 0; i < KINDS; i++) {
        if (!curve->letters[i][0])
            continue;
        snprintf(words + strlen(words), sizeof words - strlen(words), "%s %s %s",
                 letters ? "," : ";", curve->letters[i], kinds[i].words);
        letters = true;
    }
    text_say(pen, "%s%s.", words, letters ? " (a capital letter: missed)" : "");
}

void text_curve(struct text_pen *pen, const struct passo_report *report,
                const struct passo_report_passage *passage)
{
    static const struct curve empty;
    struct curve curve = empty;
    char unit[64];
    curve.passage = passage;
    choose(&curve, report, pen->columns - LABEL - 2 - (int)strlen(" target"));
    if (curve.sessions == 0)
        return;
    rule(&curve);
    place(&curve, pen);
    text_end_line(pen);
    text_say(pen, "The latest passes, a column each; the tempo of the %s:",
             passo_note_value_write(passage->beat, unit, sizeof unit));
    for (int line = 0; line < curve.lines; line++)
        draw_line(&curve, pen, line);
    draw_dates(&curve, report, pen);
    draw_legend(&curve, pen);
}
