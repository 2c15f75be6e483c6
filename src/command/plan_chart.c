/* The small chart of a forecast: for each rung the chance of a clean pass as a bar, and how often
 * climbs that do not arrive stand before it at their end. */
#include <stdio.h>
#include "command/plan_ladder.h"
#include "command/plan_say.h"
#include "session/words.h"
#include "text/notation.h"

enum { LINES_MAX = 24, BAR_COLUMNS = 30 };

static void print_line(const struct passo_setup *setup, const struct passo_stage *stage,
                       const struct passo_ladder *ladder, const struct passo_skill *skill, int rung)
{
    const double clean = passo_skill_clean(skill, ladder->rung_mbpm[rung]);
    char what[64];
    if (stage->rule.climbs == PASSO_CLIMBS_LENGTH)
        passo_words_bars(&setup->passage, &setup->passage.loop[stage->length[rung]], what,
                         sizeof what);
    else
        passo_bpm_write(ladder->rung_mbpm[rung], what, sizeof what);
    plan_say("%5d %11.11s  %3.0f %% ", rung + 1, what, clean * 100);
    plan_say("%*s", BAR_COLUMNS + 2 - plan_bar(clean, BAR_COLUMNS), "");
}

static void print_stage(const struct passo_setup *setup, size_t index,
                        const struct passo_ladder *ladder, const struct passo_skill *skill,
                        const struct plan_outlook *outlook)
{
    const struct passo_stage *stage = &setup->course.stage[index];
    const int together = (ladder->rungs + LINES_MAX - 1) / LINES_MAX;
    char share[16];
    plan_say("\n rung %11s  a clean pass %*s  ends here\n",
             stage->rule.climbs == PASSO_CLIMBS_LENGTH ? "bars" : "tempo", BAR_COLUMNS - 5, "");
    for (int rung = 0; rung < ladder->rungs; rung += together) {
        uint32_t ends = 0;
        for (int i = rung; i < rung + together && i < ladder->rungs; i++)
            ends += outlook->ends_at[index][i];
        print_line(setup, stage, ladder, skill, rung);
        plan_say("%10s\n", plan_percent(ends, outlook->within.climbs, share));
    }
    if (together > 1)
        plan_say("Each line is of %d rungs.\n", together);
}

void plan_chart_print(const struct passo_setup *setup, const struct plan_stages *stages,
                      const struct passo_skill *skill, const struct plan_outlook *outlook)
{
    char share[16];
    for (size_t i = 0; i < stages->stages; i++) {
        const struct passo_stage *stage = &setup->course.stage[i];
        if (stages->stages > 1)
            plan_say("\nStage %s: %s of all end in it.\n", stage->name,
                     plan_percent(outlook->ends[i], outlook->within.climbs, share));
        /* Where a stage looks back its rungs are others in each climb. */
        if (!stage->start.look && !stage->target.look && stages->ladder[i])
            print_stage(setup, i, stages->ladder[i], skill, outlook);
    }
}
