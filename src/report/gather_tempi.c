/* What was played by tempo, and the bars where it broke. Runs on the main thread. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "report/report_priv.h"

int gather_by_tempo(const void *a, const void *b)
{
    const struct passo_report_rung *one = a;
    const struct passo_report_rung *two = b;
    return one->mbpm < two->mbpm ? -1 : one->mbpm > two->mbpm;
}

/* Joins what is of one tempo; ascending. */
static size_t join_equal(struct passo_report_rung *rung, size_t rungs)
{
    size_t kept = 0;
    for (size_t i = 0; i < rungs; i++) {
        if (kept && rung[kept - 1].mbpm == rung[i].mbpm) {
            rung[kept - 1].clean += rung[i].clean;
            rung[kept - 1].missed += rung[i].missed;
        } else {
            rung[kept++] = rung[i];
        }
    }
    return kept;
}

size_t gather_merge(struct passo_report_rung *rung, size_t rungs, size_t most)
{
    while (rungs > most) {
        size_t nearest = 0;
        double least = INFINITY;
        for (size_t i = 0; i + 1 < rungs; i++) {
            double ratio = (double)rung[i + 1].mbpm / rung[i].mbpm;
            if (ratio < least) {
                least = ratio;
                nearest = i;
            }
        }
        struct passo_report_rung *low = &rung[nearest];
        struct passo_report_rung *high = &rung[nearest + 1];
        if (high->clean + high->missed >= low->clean + low->missed)
            low->mbpm = high->mbpm;
        low->clean += high->clean;
        low->missed += high->missed;
        memmove(high, high + 1, (rungs - nearest - 2) * sizeof *high);
        rungs--;
    }
    return rungs;
}

/* More tempi than any ladder has are taken to whole beats first. */
static size_t round_many(struct passo_report_rung *rung, size_t rungs)
{
    for (size_t i = 0; rungs > PASSO_RUNGS_MAX && i < rungs; i++)
        rung[i].mbpm = (rung[i].mbpm + 500) / 1000 * 1000 + (rung[i].mbpm < 500);
    return join_equal(rung, rungs);
}

void gather_rungs(struct gather_place *place)
{
    struct passo_report_passage *passage = &place->passage;
    size_t from =
        passage->days > PASSO_REPORT_RUNG_DAYS ? passage->days - PASSO_REPORT_RUNG_DAYS : 0;
    struct passo_report_rung *rung = passo_xcalloc(place->passes + 1, sizeof *rung);
    size_t rungs = 0;
    for (size_t i = 0; i < place->passes; i++) {
        const struct gather_pass *pass = &place->pass[i];
        bool clean = pass->mark == PASSO_MARK_CLEAN;
        bool missed = pass->mark == PASSO_MARK_MISS;
        if (pass->day >= from && pass->counts && (clean || missed) && pass->mbpm > 0)
            rung[rungs++] =
                (struct passo_report_rung){.mbpm = pass->mbpm, .clean = clean, .missed = missed};
    }
    qsort(rung, rungs, sizeof *rung, gather_by_tempo);
    rungs = round_many(rung, join_equal(rung, rungs));
    passage->rungs_merged = rungs > PASSO_REPORT_RUNGS_MAX;
    passage->rungs = gather_merge(rung, rungs, PASSO_REPORT_RUNGS_MAX);
    passage->rung = passo_xrealloc(rung, (passage->rungs + 1) * sizeof *rung);
}

static int by_bar(const void *a, const void *b)
{
    const struct passo_report_bar *one = a;
    const struct passo_report_bar *two = b;
    return one->bar < two->bar ? -1 : one->bar > two->bar;
}

void gather_bars(struct gather_place *place)
{
    struct passo_report_passage *passage = &place->passage;
    struct passo_report_bar *bar = passo_xcalloc(place->passes + 1, sizeof *bar);
    size_t missed = 0;
    size_t kept = 0;
    for (size_t i = 0; i < place->passes; i++) {
        if (place->pass[i].counts && place->pass[i].miss_bar != INT32_MIN)
            bar[missed++] = (struct passo_report_bar){.bar = place->pass[i].miss_bar, .misses = 1};
    }
    qsort(bar, missed, sizeof *bar, by_bar);
    for (size_t i = 0; i < missed; i++) {
        if (kept && bar[kept - 1].bar == bar[i].bar)
            bar[kept - 1].misses++;
        else
            bar[kept++] = bar[i];
    }
    passage->bars_missed = kept;
    passage->bar = passo_xrealloc(bar, (kept + 1) * sizeof *bar);
}
