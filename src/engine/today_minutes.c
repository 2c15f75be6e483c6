/* The minutes of those that are set in: water-filling over the levels that are expected (budget.h),
 * then whole seconds by the largest remainders, so that not one is lost. Pure; any thread. */
#include "engine/today_priv.h"

#include <math.h>
#include <stdlib.h>

/* Bounds are drawn inwards to whole seconds; a passage that is visited gets one at least. */
int64_t today_least_s(const struct passo_routine *routine)
{
    const int64_t least = (routine->least_ms + TODAY_SECOND_MS - 1) / TODAY_SECOND_MS;
    return least > 0 ? least : 1;
}

int64_t today_visit_s(const struct passo_routine *routine)
{
    return routine->visit_ms / TODAY_SECOND_MS;
}

int64_t today_most_s(const struct passo_routine *routine)
{
    const int64_t most = routine->most_ms / TODAY_SECOND_MS;
    const int64_t visits = today_visit_s(routine) * PASSO_VISITS_MAX;
    return most < visits ? most : visits;
}

size_t today_room(const struct today_work *work)
{
    return (size_t)(work->ask->passages_ms / TODAY_SECOND_MS / today_least_s(work->routine));
}

/* A part of a second that was cut off. */
struct cut {
    double share;
    size_t at; /* of the shares; they go by need */
};

static int by_cut(const void *a, const void *b)
{
    const struct cut *one = a;
    const struct cut *other = b;
    if (one->share != other->share)
        return one->share > other->share ? -1 : 1;
    return one->at < other->at ? -1 : 1;
}

/* second[i]: whole, of the same sum; the shares are in seconds. One that is whole but for the
 * arithmetic is not cut. */
static void round_seconds(const struct passo_share *share, size_t shares, int64_t *second)
{
    struct cut *cut = passo_xcalloc(shares + 1, sizeof *cut);
    double sum = 0;
    int64_t whole = 0;
    for (size_t i = 0; i < shares; i++) {
        second[i] = (int64_t)floor(share[i].minutes + 1e-6);
        cut[i] = (struct cut){share[i].minutes - (double)second[i], i};
        sum += share[i].minutes;
        whole += second[i];
    }
    qsort(cut, shares, sizeof *cut, by_cut);
    for (size_t i = 0; i < shares && whole < (int64_t)floor(sum + 1e-3); i++, whole++)
        second[cut[i].at]++;
    free(cut);
}

static void set_part(struct today_entry *entry, const struct passo_share *share, int64_t seconds,
                     const struct passo_routine *routine)
{
    static const enum passo_part_why why[PASSO_SHARE_WHY_COUNT] = {
        [PASSO_SHARE_LEVEL] = PASSO_GETS_LEVEL,
        [PASSO_SHARE_LEAST] = PASSO_GETS_LEAST,
        [PASSO_SHARE_MOST] = PASSO_GETS_MOST};
    const int64_t visit = today_visit_s(routine);
    entry->part.ms = seconds * TODAY_SECOND_MS;
    entry->part.visits = (uint8_t)((seconds + visit - 1) / visit);
    entry->part.why = why[share->why];
    entry->part.after = entry->passage->level + entry->passage->rate * (double)seconds / 60;
}

/* Counted in seconds, which are whole numbers: the bounds of all together then add up without
 * rounding. */
enum passo_error today_share(struct today_work *work)
{
    struct passo_share *share = passo_xcalloc(work->placed + 1, sizeof *share);
    int64_t *second = passo_xcalloc(work->placed + 1, sizeof *second);
    const double all = (double)(work->ask->passages_ms / TODAY_SECOND_MS);
    size_t shares = 0;
    for (size_t i = 0; i < work->entries; i++) {
        const struct today_entry *entry = &work->entry[i];
        if (entry->placed)
            share[shares++] = (struct passo_share){.level = entry->passage->level,
                                                   .rate = entry->passage->rate / 60,
                                                   .least = (double)today_least_s(work->routine),
                                                   .most = (double)today_most_s(work->routine)};
    }
    enum passo_error error = passo_budget_share(share, shares, all, &work->level);
    if (!error)
        round_seconds(share, shares, second);
    for (size_t i = 0, at = 0; i < work->entries && !error; i++) {
        if (work->entry[i].placed) {
            set_part(&work->entry[i], &share[at], second[at], work->routine);
            at++;
        }
    }
    free(second);
    free(share);
    return error;
}
