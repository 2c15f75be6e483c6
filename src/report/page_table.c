/* The drawings once more as tables, for those who cannot see them or want the figures. Folded on
 * the screen, left out on paper. Main thread. */
#include "report/page_part.h"

#include <stdio.h>
#include <string.h>
#include "report/page_words.h"
#include "text/notation.h"

#define COURSE_MOST 40 /* groups of passes that are told one by one */

/* Header cells from names set apart by '|'. */
static void put_heads(struct page *page, const char *caption, const char *names)
{
    page_put(page, "<table>\n<caption>%s</caption>\n<thead><tr>", caption);
    for (const char *at = names; *at;) {
        size_t length = strcspn(at, "|");
        page_put(page, "<th scope=\"col\">%.*s</th>", (int)length, at);
        at += length + (at[length] != '\0');
    }
    page_put(page, "</tr></thead>\n<tbody>\n");
}

static void put_tail(struct page *page)
{
    page_put(page, "</tbody>\n</table>\n");
}

static const char *bpm_or_none(int32_t mbpm, char *out, size_t bytes)
{
    if (mbpm <= 0)
        snprintf(out, bytes, "–");
    else
        passo_bpm_write(mbpm, out, bytes);
    return out;
}

/* "Tue 24 Nov", with the year if it is not that of the latest day. */
static const char *date_of(const struct passo_report_passage *passage, int32_t day, char *out,
                           size_t bytes)
{
    words_day(day, DAY_WEEK, out, bytes);
    if (day / 10000 != passage->day[passage->days - 1].day / 10000)
        words_add(out, bytes, " %d", (int)(day / 10000));
    return out;
}

static bool same(const struct passo_report_pass *a, const struct passo_report_pass *b)
{
    return a->mbpm == b->mbpm && a->mark == b->mark && words_kind(a) == words_kind(b);
}

/* "84 clean twice" is one group: "84 clean (2), 92 miss, anchor 79 clean". */
static void put_course(struct page *page, const struct passo_report_passage *passage,
                       const struct passo_report_session *session)
{
    char tempo[WORDS_BYTES];
    size_t end = session->first + session->passes;
    size_t groups = 0;
    for (size_t i = page_first_pass(passage, session); i < end; i++) {
        const struct passo_report_pass *pass = &passage->pass[i];
        if (!page_shows(pass))
            continue;
        size_t count = 1;
        while (i + 1 < end && same(pass, &passage->pass[i + 1])) {
            count++;
            i++;
        }
        if (groups++ == COURSE_MOST) {
            page_put(page, " …");
            return;
        }
        const struct pass_kind *kind = words_kind(pass);
        page_put(page, "%s%s%s%s %s", groups > 1 ? ", " : "", kind ? kind->words : "",
                 kind ? " " : "", passo_bpm_write(pass->mbpm, tempo, sizeof tempo),
                 passo_mark_name(pass->mark));
        if (count > 1)
            page_put(page, " (%zu)", count);
    }
}

static void put_sessions(struct page *page, const struct passo_report_passage *passage)
{
    char day[WORDS_BYTES];
    char clock[WORDS_BYTES];
    size_t first = passage->sessions > PAGE_SESSIONS ? passage->sessions - PAGE_SESSIONS : 0;
    if (!passage->sessions || !passage->days)
        return;
    put_heads(page, "Sessions, with their passes in order", "Began|Passes|Ended");
    for (size_t i = first; i < passage->sessions; i++) {
        const struct passo_report_session *session = &passage->session[i];
        page_put(page, "<tr><th scope=\"row\">%s<br>%s</th><td>",
                 date_of(passage, session->day, day, sizeof day),
                 words_clock(session->began_ns, session->offset_s, clock, sizeof clock));
        put_course(page, passage, session);
        page_put(page, "</td><td>%s</td></tr>\n", words_ended(session->ended));
    }
    put_tail(page);
}

static void put_first_try(struct page *page, const struct passo_report_day *day)
{
    char tempo[WORDS_BYTES];
    if (day->first_mbpm > 0 && day->first_try != PASSO_MARK_VOID)
        page_put(page, "<td>%s at %s</td>", passo_mark_name(day->first_try),
                 passo_bpm_write(day->first_mbpm, tempo, sizeof tempo));
    else
        page_put(page, "<td>–</td>");
}

static void put_secure(struct page *page, const struct passo_secure *secure)
{
    switch (secure->kind) {
    case PASSO_SECURE_FITTED:
        page_put(page, "<td>%d (%d–%d)</td>", words_whole(secure->bpm),
                 words_whole(secure->low_bpm), words_whole(secure->high_bpm));
        return;
    case PASSO_SECURE_AT_LEAST:
        page_put(page, "<td>at least %d</td>", words_whole(secure->bpm));
        return;
    case PASSO_SECURE_UNDER:
        page_put(page, "<td>under %d</td>", words_whole(secure->bpm));
        return;
    case PASSO_SECURE_UNKNOWN:
    case PASSO_SECURE_KIND_COUNT:
        break;
    }
    page_put(page, "<td>–</td>");
}

static void put_days(struct page *page, const struct passo_report_passage *passage)
{
    char text[WORDS_BYTES];
    char caption[WORDS_BYTES] = "Days";
    size_t first = passage->days > PAGE_ROWS ? passage->days - PAGE_ROWS : 0;
    if (!passage->days)
        return;
    if (first)
        words_add(caption, sizeof caption, ", the latest %d of %zu", PAGE_ROWS, passage->days);
    put_heads(page, caption, "Day|Clean|First try|Best clean|Secure|Minutes, and of rest");
    for (size_t i = first; i < passage->days; i++) {
        const struct passo_report_day *day = &passage->day[i];
        page_put(page, "<tr><th scope=\"row\">%s</th><td>%u of %u</td>",
                 date_of(passage, day->day, text, sizeof text), (unsigned)day->clean,
                 (unsigned)(day->clean + day->missed));
        put_first_try(page, day);
        page_put(page, "<td>%s</td>", bpm_or_none(day->best_clean_mbpm, text, sizeof text));
        put_secure(page, &day->secure);
        page_put(page, "<td>%d, %d</td></tr>\n", words_whole((double)day->play_ns / 60e9),
                 words_whole((double)day->rest_ns / 60e9));
    }
    put_tail(page);
}

static void put_rungs(struct page *page, const struct passo_report_passage *passage)
{
    char tempo[WORDS_BYTES];
    char caption[WORDS_BYTES] = "Tempi";
    size_t first = passage->rungs > PAGE_ROWS ? passage->rungs - PAGE_ROWS : 0;
    if (!passage->rungs)
        return;
    if (first)
        words_add(caption, sizeof caption, ", the fastest %d of %zu", PAGE_ROWS, passage->rungs);
    put_heads(page, caption, "Tempo|Clean|Missed");
    for (size_t i = first; i < passage->rungs; i++)
        page_put(page, "<tr><th scope=\"row\">%s</th><td>%u</td><td>%u</td></tr>\n",
                 passo_bpm_write(passage->rung[i].mbpm, tempo, sizeof tempo),
                 (unsigned)passage->rung[i].clean, (unsigned)passage->rung[i].missed);
    put_tail(page);
}

static void put_bars(struct page *page, const struct passo_report_passage *passage)
{
    char caption[WORDS_BYTES] = "Bars";
    size_t rows = passage->bars_missed > PAGE_ROWS ? PAGE_ROWS : passage->bars_missed;
    if (!rows)
        return;
    if (rows < passage->bars_missed)
        words_add(caption, sizeof caption, ", the first %d of %zu with a miss", PAGE_ROWS,
                  passage->bars_missed);
    put_heads(page, caption, "Bar|Misses");
    for (size_t i = 0; i < rows; i++)
        page_put(page, "<tr><th scope=\"row\">%d</th><td>%u</td></tr>\n", (int)passage->bar[i].bar,
                 (unsigned)passage->bar[i].misses);
    put_tail(page);
}

void page_tables(struct page *page, const struct passo_report_passage *passage)
{
    page_put(page, "<details>\n<summary>The same in figures</summary>\n");
    put_sessions(page, passage);
    put_days(page, passage);
    put_rungs(page, passage);
    put_bars(page, passage);
    page_put(page, "</details>\n");
}
