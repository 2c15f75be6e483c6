/* The order of the day. Visits follow the stops; after one stop that of its key comes first, the
 * others in drawn order, and no two of one passage follow one another where that can be. Without
 * blocks all visits are mixed by the same means. Pure; any thread. */
#include "engine/today_priv.h"

#include <stdlib.h>

/* The visits of one passage after one stop. */
struct run {
    const struct today_visit *visit; /* the first of them */
    size_t visits;
    size_t left;
    uint32_t draw;
};

static int by_stop(const void *a, const void *b)
{
    const struct today_visit *one = a;
    const struct today_visit *other = b;
    if (one->stop != other->stop)
        return one->stop < other->stop ? -1 : 1;
    if (one->entry != other->entry)
        return one->entry < other->entry ? -1 : 1;
    return (int)one->why - (int)other->why;
}

/* The passage whose key the stop is stands right after it. */
static struct run *of_the_key(struct run *run, size_t runs)
{
    for (size_t i = 0; i < runs; i++) {
        if (run[i].visit->why <= PASSO_PLACE_RELATIVE)
            return &run[i];
    }
    return NULL;
}

/* The next visit of a passage is due after its share of the whole: (2 j + 1) / (2 visits). */
static bool comes_before(const struct run *one, const struct run *other)
{
    const size_t one_due = (2 * (one->visits - one->left) + 1) * other->visits;
    const size_t other_due = (2 * (other->visits - other->left) + 1) * one->visits;
    return one_due != other_due ? one_due < other_due : one->draw < other->draw;
}

/* Not the last one's, if another has any; one that has more left than all others together must come
 * now, or two of its visits would meet later. */
static struct run *next_mixed(struct run *run, size_t runs, size_t left, const struct run *last)
{
    struct run *best = NULL;
    for (size_t i = 0; i < runs; i++) {
        if (run[i].left == 0 || &run[i] == last)
            continue;
        if (2 * run[i].left > left)
            return &run[i];
        if (!best || comes_before(&run[i], best))
            best = &run[i];
    }
    for (size_t i = 0; i < runs && !best; i++)
        best = run[i].left > 0 ? &run[i] : NULL;
    return best;
}

/* All of one passage, then all of the next. */
static struct run *next_blocked(struct run *run, size_t runs)
{
    struct run *best = NULL;
    for (size_t i = 0; i < runs; i++) {
        if (run[i].left == 0)
            continue;
        if (run[i].left < run[i].visits)
            return &run[i];
        if (!best || run[i].draw < best->draw)
            best = &run[i];
    }
    return best;
}

/* Arranges the visits of one stop, which go by entries. run has room for one of each. */
static void arrange_stop(const struct today_work *work, const struct today_visit *from,
                         size_t visits, struct run *run, struct today_visit *out_visit)
{
    const bool blocked = work->routine->order == PASSO_ORDER_BLOCKED;
    struct run *next = NULL;
    size_t runs = 0;
    for (size_t i = 0; i < visits; i++) {
        if (i == 0 || from[i].entry != from[i - 1].entry)
            run[runs++] = (struct run){.visit = &from[i], .draw = work->entry[from[i].entry].draw};
        run[runs - 1].visits++;
        run[runs - 1].left++;
    }
    for (size_t i = 0; i < visits; i++) {
        struct run *const last = next;
        next = i == 0 ? of_the_key(run, runs) : NULL;
        if (!next)
            next = blocked ? next_blocked(run, runs) : next_mixed(run, runs, visits - i, last);
        out_visit[i] = next->visit[next->visits - next->left];
        next->left--;
    }
}

/* Numbers the visits of each passage, and parts its time among them in whole seconds. */
static void number(struct today_work *work)
{
    uint8_t *numbers = passo_xcalloc(work->entries + 1, sizeof *numbers);
    for (size_t i = 0; i < work->visits; i++) {
        struct today_visit *visit = &work->visit[i];
        const struct passo_today_part *part = &work->entry[visit->entry].part;
        const int64_t seconds = part->ms / TODAY_SECOND_MS;
        const int64_t before = numbers[visit->entry]++;
        visit->number = numbers[visit->entry];
        visit->ms = (seconds * visit->number / part->visits - seconds * before / part->visits) *
                    TODAY_SECOND_MS;
    }
    free(numbers);
}

void today_arrange(struct today_work *work)
{
    struct today_visit *sorted = passo_xcalloc(work->visits + 1, sizeof *sorted);
    struct run *run = passo_xcalloc(work->visits + 1, sizeof *run);
    for (size_t i = 0; i < work->visits; i++)
        sorted[i] = work->visit[i];
    qsort(sorted, work->visits, sizeof *sorted, by_stop);
    for (size_t i = 0, to; i < work->visits; i = to) {
        for (to = i + 1; to < work->visits && sorted[to].stop == sorted[i].stop; to++)
            ;
        arrange_stop(work, &sorted[i], to - i, run, &work->visit[i]);
    }
    number(work);
    free(run);
    free(sorted);
}
