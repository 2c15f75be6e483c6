/* The five lines that tempi are drawn on. Inside src/report/ only. Thread: the main thread. */
#ifndef PASSO_REPORT_PAGE_STAFF_H
#define PASSO_REPORT_PAGE_STAFF_H

#include "report/page_ink.h"

/* Five lines, a round number of beats a minute apart, that hold all tempi between two. */
struct staff {
    int32_t low_mbpm; /* of the first line */
    int32_t step_mbpm;
    double top; /* y of the fifth line */
    double gap; /* from line to line */
};
/* The target, if it is known (above 0), lies on a line: the fifth, unless something is faster. */
struct staff staff_over(int32_t low_mbpm, int32_t high_mbpm, int32_t target_mbpm, double top,
                        double gap);
double staff_y(const struct staff *staff, double bpm);
/* Its lines from x to x, with the numbers of every `every`th right before them. */
void staff_draw(struct page *page, const struct staff *staff, double from, double to, int every);
/* The target: the thin and the thick line that end a piece. */
void staff_target(struct page *page, const struct staff *staff, int32_t target_mbpm, double from,
                  double to);

#endif
