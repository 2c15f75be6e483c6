/* The page that a teacher is shown: a head, the passages side by side if there are several, then
 * each passage on a sheet of its own: where it stands in a sentence, the curve of its sessions, and
 * what lies under it (days, rungs, bars, figures). One file, no script, nothing loaded. Main
 * thread. */
#include "report/report.h"

#include <string.h>
#include "report/page_part.h"
#include "report/page_sheet.h"
#include "report/page_words.h"
#include "text/notation.h"

const char *page_player(const struct passo_report *report)
{
    const char *player = report->passages ? report->passage[0]->player : "";
    for (size_t i = 1; i < report->passages; i++)
        if (strcmp(report->passage[i]->player, player))
            return "";
    return player;
}

static void put_top(struct page *page, const struct passo_report *report)
{
    char period[WORDS_BYTES];
    page_put(page, "<header>\n<div class=\"top\">");
    if (page_player(report)[0]) {
        page_put(page, "<p>");
        page_name(page, page_player(report), PAGE_NAME_MOST, "");
        page_put(page, "</p>");
    }
    page_put(page, "<h1>Practice</h1><p>%s</p></div>\n<div class=\"end\"></div>\n</header>\n",
             words_period(report, period, sizeof period));
}

static void put_title(struct page *page, const struct passo_report *report,
                      const struct passo_report_passage *passage)
{
    bool names_player = !page_player(report)[0] && passage->player[0];
    page_put(page, "<h2>");
    page_name(page, passage->title, PAGE_TITLE_MOST, "Passage without a title");
    page_put(page, "</h2>\n");
    if (!passage->piece[0] && !names_player)
        return;
    page_put(page, "<p class=\"piece\">");
    if (passage->piece[0])
        page_name(page, passage->piece, PAGE_TITLE_MOST, "");
    if (passage->piece[0] && names_player)
        page_put(page, " · ");
    if (names_player)
        page_name(page, passage->player, PAGE_NAME_MOST, "");
    page_put(page, "</p>\n");
}

/* As a part has it over the first line: the tempo on the left; the bars on the right. */
static void put_sign_on(struct page *page, const struct passo_report_passage *passage)
{
    char tempo[WORDS_BYTES];
    page_put(page, "<p class=\"sign-on\"><b>");
    if (passage->target_mbpm > 0)
        page_put(page, "target %s",
                 passo_tempo_write(passage->target_mbpm, passage->beat, tempo, sizeof tempo));
    else
        page_put(page, "%s beats, no target known",
                 passo_note_value_write(passage->beat, tempo, sizeof tempo));
    page_put(page, "</b>");
    if (passage->bars[0]) {
        page_put(page, "<span>bars ");
        page_text(page, passage->bars, PAGE_NAME_MOST);
        page_put(page, "</span>");
    }
    page_put(page, "</p>\n");
}

static void put_stand(struct page *page, const struct passo_report *report,
                      const struct passo_report_passage *passage)
{
    char said[8 * WORDS_BYTES] = "";
    char one[2 * WORDS_BYTES];
    words_sentence(said, sizeof said, passo_report_secure_words(passage, one, sizeof one));
    words_sentence(said, sizeof said, passo_report_outlook_words(passage, one, sizeof one));
    words_sentence(said, sizeof said, passo_report_share_words(passage, one, sizeof one));
    words_sentence(said, sizeof said, passo_report_due_words(report, passage, one, sizeof one));
    page_put(page, "<p class=\"stand\">");
    page_text(page, said, sizeof said);
    page_put(page, "</p>\n");
}

static void put_facts(struct page *page, const struct passo_report_passage *passage)
{
    char said[4 * WORDS_BYTES] = "";
    char one[WORDS_BYTES];
    words_add(said, sizeof said, "%s", words_count(passage->passes, "pass", "es", one, sizeof one));
    words_add(said, sizeof said, " on %s", words_count(passage->days, "day", "s", one, sizeof one));
    words_add(said, sizeof said, "; %s of playing", words_time(passage->play_ns, one, sizeof one));
    words_add(said, sizeof said, ", %s of rest.", words_time(passage->rest_ns, one, sizeof one));
    if (passage->best_clean_mbpm > 0)
        words_add(said, sizeof said, " Best clean %s",
                  passo_bpm_write(passage->best_clean_mbpm, one, sizeof one));
    if (passage->best_clean_mbpm > 0 && passage->target_mbpm > 0)
        words_add(said, sizeof said, ", %d %% of the target",
                  page_of_target(passage, passage->best_clean_mbpm / 1000.0));
    if (passage->best_clean_mbpm > 0 && passage->best_won_mbpm > 0)
        words_add(said, sizeof said, "; best won %s",
                  passo_bpm_write(passage->best_won_mbpm, one, sizeof one));
    page_put(page, "<p class=\"facts\">%s%s</p>\n", said, passage->best_clean_mbpm > 0 ? "." : "");
}

static void put_passage(struct page *page, const struct passo_report *report, size_t at)
{
    const struct passo_report_passage *passage = report->passage[at];
    bool first = at == 0 && report->passages == 1;
    page_put(page, "<article class=\"passage%s\" id=\"p%zu\">\n", first ? " first" : "", at + 1);
    put_title(page, report, passage);
    if (!passage->passes) {
        page_put(page, "<p>No practice is recorded in this time.</p>\n</article>\n");
        return;
    }
    put_sign_on(page, passage);
    put_stand(page, report, passage);
    put_facts(page, passage);
    page_curve(page, report, passage);
    page_put(page, "<div class=\"pair\">\n<div>\n");
    page_days(page, passage);
    page_put(page, "</div>\n<div>\n");
    page_rungs(page, passage);
    page_bars(page, passage);
    page_put(page, "</div>\n</div>\n");
    page_tables(page, passage);
    page_put(page, "</article>\n");
}

void passo_report_page(const struct passo_report *report, FILE *to)
{
    struct page page = {.to = to};
    const char *of = report->passages == 1 ? report->passage[0]->title : page_player(report);
    page_head(&page, PAGE_REPORT, "Practice", of);
    put_top(&page, report);
    if (!report->passages)
        page_put(&page, "<p class=\"stand\">No practice is recorded in this time.</p>\n");
    if (report->passages > 1)
        page_overview(&page, report);
    for (size_t i = 0; i < report->passages; i++)
        put_passage(&page, report, i);
    page_foot(&page, report->today,
              report->passages
                  ? "Secure: where four of five passes would be clean, as the marks say; "
                    "one counts half as much as one a week later. Due: by the first "
                    "pass of a day that is nearly at tempo. "
                  : "");
}
