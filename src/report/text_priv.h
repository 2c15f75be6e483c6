/* The pieces of the report in text. A private header of the room. Thread: the main thread. */
#ifndef PASSO_REPORT_TEXT_PRIV_H
#define PASSO_REPORT_TEXT_PRIV_H

#include "report/text_pen.h"

enum { TEXT_NAME_BYTES = 512 };

/* "The run up to the trio", with the player before it in a report of several. Returns out. */
const char *text_name(const struct passo_report *report, const struct passo_report_passage *passage,
                      char out[TEXT_NAME_BYTES]);
/* "from 9 November to 25 November 2026". Returns out. */
const char *text_period(const struct passo_report *report, char *out, size_t bytes);
/* Whole minutes, at least 1 where there is anything. */
int64_t text_minutes(int64_t ns);
/* A tempo where little room is: in tenths. Returns out. */
const char *text_bpm(int32_t mbpm, char out[24]);
/* The latest sessions pass by pass, with their legend. */
void text_curve(struct text_pen *pen, const struct passo_report *report,
                const struct passo_report_passage *passage);
/* The last days; clean share by tempo; where it breaks. */
void text_days(struct text_pen *pen, const struct passo_report *report,
               const struct passo_report_passage *passage);
void text_rungs(struct text_pen *pen, const struct passo_report_passage *passage);
void text_bars(struct text_pen *pen, const struct passo_report_passage *passage);
/* Several passages side by side: how far each is from its target, and the time. */
void text_overview(struct text_pen *pen, const struct passo_report *report);

#endif
