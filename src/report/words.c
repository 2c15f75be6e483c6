/* The sentences that the drawings of a report share. Pure. */
#include <stdio.h>
#include "report/report.h"

const char *passo_report_share_words(const struct passo_report_passage *passage, char *out,
                                     size_t bytes)
{
    uint32_t marked = passage->clean + passage->missed;
    if (marked == 0) {
        snprintf(out, bytes, "no pass was marked");
        return out;
    }
    static const char *const said[] = {
        [PASSO_SHARE_FINE] = "",
        [PASSO_SHARE_TOO_FAST] = ": under 60 %, so a slower start may serve better",
        [PASSO_SHARE_TOO_CAREFUL] = ": over 95 %, so it may go up sooner",
        [PASSO_SHARE_FEW] = "; too few passes to go by",
    };
    snprintf(out, bytes, "%.0f %% of the passes clean%s", 100.0 * passage->clean / marked,
             said[passage->share]);
    return out;
}
