/* The head of a page: what it may load (nothing), and its sheet. Inside src/report/ only. Thread:
 * the main thread. */
#ifndef PASSO_REPORT_PAGE_SHEET_H
#define PASSO_REPORT_PAGE_SHEET_H

#include "report/page_ink.h"

enum page_kind { PAGE_REPORT, PAGE_STUDIO };
/* From the doctype to the beginning of the body. `of` (from anywhere, may be "") follows the title.
 */
void page_head(struct page *page, enum page_kind kind, const char *title, const char *of);
/* What the words of the page mean (static, "" nothing), the words of care, the day, and the end. */
void page_foot(struct page *page, int32_t today, const char *notes);

#endif
