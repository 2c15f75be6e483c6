/* What sharing the minutes is good for: thirty days of a simulated player under three ways of
 * sharing them, over 200 seeds. The player is invented: tests/engine/thirty_days.h says how.
 *   bench_thirty_days
 * Two lines, as the table of run.sh has them; readiness is the tempo at which four of five passes
 * are clean, over the target. Then the same of other players, and of one whose true levels are
 * known: how much of it is the model, and how much what is seen of it. Exit status 1 unless
 * water-filling leaves the lowest passage higher than both others do, by more than two standard
 * errors. */
#include "../engine/thirty_days.h"

#include <stdio.h>

enum { SEEDS = 200 };

struct margins {
    struct thirty_margin over[THIRTY_WAYS]; /* of water-filling; over itself nothing */
};

static struct margins compare(const struct thirty_model *model)
{
    static double lowest[THIRTY_WAYS][SEEDS];
    struct margins margins;
    for (int way = 0; way < THIRTY_WAYS; way++) {
        for (int seed = 0; seed < SEEDS; seed++)
            lowest[way][seed] = thirty_lowest((uint64_t)seed + 1, (enum thirty_way)way, model);
        margins.over[way] = thirty_compare(lowest[THIRTY_WATER], lowest[way], SEEDS);
    }
    return margins;
}

static bool row(const char *name, const struct thirty_margin *margin)
{
    const bool met = margin->margin > 2 * margin->se;
    printf(
        "| lowest of five passages after 30 days, mean of %d | over %s | %.1f %% | %s | %s: %.1f "
        "%% (margin %.4f in ln, standard error %.4f; higher in %d) | %.3f |\n",
        SEEDS, name, 100 * exp(margin->mean[0]), met ? "met" : "MISSED", name,
        100 * exp(margin->mean[1]), margin->margin, margin->se, margin->higher,
        exp(margin->margin));
    return met;
}

static void note(const char *what, const struct thirty_model *model)
{
    const struct margins margins = compare(model);
    printf("(%s: over equal minutes %+.4f, standard error %.4f; over worst first %+.4f, %.4f)\n",
           what, margins.over[THIRTY_EQUAL].margin, margins.over[THIRTY_EQUAL].se,
           margins.over[THIRTY_WORST].margin, margins.over[THIRTY_WORST].se);
}

int main(void)
{
    const struct thirty_model known = {thirty_usual.massed, thirty_usual.night_share,
                                       thirty_usual.night, true};
    const struct thirty_model tireless = {1, thirty_usual.night_share, thirty_usual.night, false};
    const struct thirty_model keeps = {1, 0, 0, false};
    const struct thirty_model forgets = {0.85, 0.2, 0.01, false};
    const struct margins margins = compare(&thirty_usual);
    bool met = row("equal minutes", &margins.over[THIRTY_EQUAL]);
    met &= row("worst first", &margins.over[THIRTY_WORST]);
    note("true levels known", &known);
    note("massed practice as good as spread", &tireless);
    note("that, and nothing forgotten", &keeps);
    note("more forgotten, massed practice worse", &forgets);
    return met ? EXIT_SUCCESS : EXIT_FAILURE;
}
