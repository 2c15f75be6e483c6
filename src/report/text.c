/* The report as lines of text: head, then of several passages the overview, then each passage:
 * where it stands in sentences, its curve, its days, its tempi, where it breaks. Runs on the main
 * thread.
 */
#include "report/text_priv.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include "report/report_words.h"
#include "text/notation.h"

const char *text_name(const struct passo_report *report, const struct passo_report_passage *passage,
                      char out[TEXT_NAME_BYTES])
{
    const char *title = passage->title[0] ? passage->title : "a passage without a title";
    bool several = false;
    for (size_t i = 1; i < report->passages; i++)
        several = several || strcmp(report->passage[i]->player, report->passage[0]->player) != 0;
    if (several && passage->player[0])
        snprintf(out, TEXT_NAME_BYTES, "%.64s: %.400s", passage->player, title);
    else
        snprintf(out, TEXT_NAME_BYTES, "%.400s", title);
    return out;
}

static const char *day_words(int32_t day, char *out, size_t bytes)
{
    snprintf(out, bytes, "%d %s %d", day % 100, report_month_name(day), day / 10000);
    return out;
}

const char *text_period(const struct passo_report *report, char *out, size_t bytes)
{
    char from[32];
    char to[32];
    int32_t last = report->to_day ? report->to_day : report->today;
    day_words(last, to, sizeof to);
    if (report->from_day == 0)
        snprintf(out, bytes, "up to %s", to);
    else if (report->from_day == last)
        snprintf(out, bytes, "on %s", to);
    else if (report->from_day / 10000 == last / 10000)
        snprintf(out, bytes, "from %d %s to %s", report->from_day % 100,
                 report_month_name(report->from_day), to);
    else
        snprintf(out, bytes, "from %s to %s", day_words(report->from_day, from, sizeof from), to);
    return out;
}

int64_t text_minutes(int64_t ns)
{
    int64_t minutes = (ns + 30000000000) / 60000000000;
    return minutes == 0 && ns > 0 ? 1 : minutes;
}

const char *text_bpm(int32_t mbpm, char out[24])
{
    return passo_bpm_write((mbpm + 50) / 100 * 100, out, 24);
}

/* "The run up to the trio · Marrowby march · bars 33-36 · target quarter = 132" */
static void head(struct text_pen *pen, const struct passo_report *report,
                 const struct passo_report_passage *passage)
{
    char name[TEXT_NAME_BYTES];
    char tempo[96];
    char bars[96] = "";
    char target[128] = "";
    const char *dot = pen->utf8 ? " ·" : ",";
    if (passage->target_mbpm)
        snprintf(target, sizeof target, "%s target %s", dot,
                 passo_tempo_write(passage->target_mbpm, passage->beat, tempo, sizeof tempo));
    if (passage->bars[0])
        snprintf(bars, sizeof bars, "%s bar%s %s", dot, strchr(passage->bars, '-') ? "s" : "",
                 passage->bars);
    text_say(pen, "%s%s %.400s%s%s", text_name(report, passage, name), passage->piece[0] ? dot : "",
             passage->piece, bars, target);
}

/* "Secure at quarter = 116 (most likely 110 to 121)" */
static void secure_sentence(const struct passo_report_passage *passage, char *out, size_t bytes)
{
    const struct passo_secure *secure = &passage->secure;
    char tempo[96];
    char likely[64] = "";
    passo_tempo_write((int32_t)lround(secure->bpm) * 1000, passage->beat, tempo, sizeof tempo);
    if (secure->passes < PASSO_SECURE_FEW_PASSES)
        snprintf(likely, sizeof likely, " (a rough guess from few passes)");
    else if (lround(secure->low_bpm) != lround(secure->high_bpm))
        snprintf(likely, sizeof likely, " (most likely %ld to %ld)", lround(secure->low_bpm),
                 lround(secure->high_bpm));
    switch (secure->kind) {
    case PASSO_SECURE_UNKNOWN:
    case PASSO_SECURE_KIND_COUNT:
        snprintf(out, bytes, "Not enough passes yet to say where it is secure");
        break;
    case PASSO_SECURE_FITTED:
        snprintf(out, bytes, "Secure at %s%s", tempo, likely);
        break;
    case PASSO_SECURE_AT_LEAST:
        snprintf(out, bytes, "Secure at %s at least, the fastest that was played", tempo);
        break;
    case PASSO_SECURE_UNDER:
        snprintf(out, bytes, "Not yet secure at %s, the slowest that was played", tempo);
        break;
    }
}

static void standing(struct text_pen *pen, const struct passo_report *report,
                     const struct passo_report_passage *passage)
{
    char secure[192];
    char best[64];
    char target[64] = "";
    char words[192];
    char due[96];
    char share[128];
    char bpm[24];
    secure_sentence(passage, secure, sizeof secure);
    if (passage->target_mbpm)
        snprintf(target, sizeof target, "; target %s",
                 passo_bpm_write(passage->target_mbpm, bpm, sizeof bpm));
    if (passage->best_clean_mbpm)
        snprintf(best, sizeof best, "best clean %s",
                 passo_bpm_write(passage->best_clean_mbpm, bpm, sizeof bpm));
    else
        snprintf(best, sizeof best, "no clean pass of the whole yet");
    text_say(pen, "%s; %s%s. %s", secure, best, target,
             passo_report_outlook_words(passage, words, sizeof words));
    passo_report_share_words(passage, share, sizeof share);
    share[0] = (char)toupper((unsigned char)share[0]);
    /* What is due is told from all days alone, and of the present. */
    if (report->from_day || report->to_day) {
        text_say(pen, "%s.", share);
        return;
    }
    passo_report_due_words(report, passage, due, sizeof due);
    due[0] = (char)toupper((unsigned char)due[0]);
    text_say(pen, "%s. %s.", share, due);
}

/* First tries and time. */
static void sums(struct text_pen *pen, const struct passo_report_passage *passage)
{
    size_t clean = 0;
    size_t tried = 0;
    for (size_t i = 0; i < passage->days; i++) {
        tried += passage->day[i].first_mbpm != 0;
        clean += passage->day[i].first_mbpm && passage->day[i].first_try == PASSO_MARK_CLEAN;
    }
    if (tried)
        text_say(pen, "First try of the day: clean on %zu of %zu day%s.", clean, tried,
                 tried == 1 ? "" : "s");
    text_say(pen, "Time: %lld min played and %lld min rested, %u pass%s on %zu day%s.",
             (long long)text_minutes(passage->play_ns), (long long)text_minutes(passage->rest_ns),
             passage->passes, passage->passes == 1 ? "" : "es", passage->days,
             passage->days == 1 ? "" : "s");
}

static void draw_passage(struct text_pen *pen, const struct passo_report *report,
                         const struct passo_report_passage *passage)
{
    head(pen, report, passage);
    if (passage->passes == 0) {
        text_say(pen, "No practice of it is recorded%s.",
                 report->from_day || report->to_day ? " in this time" : " yet");
        return;
    }
    standing(pen, report, passage);
    text_curve(pen, report, passage);
    text_days(pen, report, passage);
    text_rungs(pen, passage);
    text_bars(pen, passage);
    text_end_line(pen);
    sums(pen, passage);
}

/* What the words stand on, once a report. */
static void notes(struct text_pen *pen, bool period)
{
    text_end_line(pen);
    text_say(pen,
             "Secure: a tempo at which four of five passes would be clean, as the marks %s "
             "say; a pass counts half as much as one a week later. The outlook goes by the "
             "last six weeks. %sClean shares are of the passes that show how well it goes: cold "
             "tries, the climb and its end, runs in context, visits.",
             period ? "of this time" : "so far",
             period ? "" : "Due goes by the first pass of a day at 95 % of the target or faster. ");
}

void passo_report_text(const struct passo_report *report, const struct passo_report_style *style,
                       FILE *to)
{
    struct text_pen pen = text_pen(style, to);
    char period[96];
    bool any = false;
    for (size_t i = 0; i < report->passages; i++)
        any = any || report->passage[i]->passes;
    if (report->passages == 0) {
        bool all = !report->from_day && !report->to_day;
        text_say(&pen,
                 all ? "No practice is recorded yet. To begin: passo climb NAME; passo list "
                       "shows the names."
                     : "No practice is recorded %s.",
                 text_period(report, period, sizeof period));
        return;
    }
    text_say(&pen, "Practice %s%s%.64s", text_period(report, period, sizeof period),
             report->passage[0]->player[0] ? ": " : "", report->passage[0]->player);
    if (report->passages > 1 && any)
        text_overview(&pen, report);
    for (size_t i = 0; i < report->passages; i++) {
        char rule[1024] = "";
        text_repeat(&pen, SIGN_RULE, pen.columns, rule, sizeof rule);
        text_put(&pen, rule, pen.columns);
        text_end_line(&pen);
        draw_passage(&pen, report, report->passage[i]);
    }
    if (any)
        notes(&pen, report->from_day || report->to_day);
}
