/* The pieces of a report's page, one function a drawing. Inside src/report/ only. Thread: the main
 * thread. */
#ifndef PASSO_REPORT_PAGE_PART_H
#define PASSO_REPORT_PAGE_PART_H

#include "report/page_ink.h"
#include "report/report.h"

#define PAGE_SESSIONS 12  /* drawn one by one, the latest */
#define PAGE_PASSES   60  /* of one session, the latest */
#define PAGE_DAYS     400 /* drawn in one picture, the latest */
#define PAGE_ROWS     60  /* of a table, the latest */

/* Every passage's way to its target on one scale, and its time. */
void page_overview(struct page *page, const struct passo_report *report);
/* Tempo over passes, one staff a session. */
void page_curve(struct page *page, const struct passo_report *report,
                const struct passo_report_passage *passage);
/* Best clean and secure tempo over the calendar, and the time below it. */
void page_days(struct page *page, const struct passo_report_passage *passage);
/* Clean share at each tempo. */
void page_rungs(struct page *page, const struct passo_report_passage *passage);
/* Misses by bar. */
void page_bars(struct page *page, const struct passo_report_passage *passage);
/* All of it in figures. */
void page_tables(struct page *page, const struct passo_report_passage *passage);

/* The player of all passages; "" if they are several, or unnamed. */
const char *page_player(const struct passo_report *report);
/* Whether a pass is drawn: not a void one, and it has a tempo. */
bool page_shows(const struct passo_report_pass *pass);
/* The first of the session's passes that is shown, PAGE_PASSES at most from its end. */
size_t page_first_pass(const struct passo_report_passage *passage,
                       const struct passo_report_session *session);
/* A part of what is reached of the target, in hundredths; 0 without a target. */
int page_of_target(const struct passo_report_passage *passage, double bpm);

#endif
