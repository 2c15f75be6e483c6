/* Where the visits of one passage stand, after its first. What is mixed lies apart: at further
 * matches of its own, then after stops that are nobody's, so that the two of its visits that lie
 * nearest are as far from each other as these stops allow; when none is left, at ends of blocks.
 * How far stops are apart is counted in minutes of the blocks. Pure; any thread. */
#include "engine/today_priv.h"

#include <stdlib.h>

static bool is_at(const struct today_work *work, size_t entry, size_t stop)
{
    for (size_t i = 0; i < work->visits; i++) {
        if (work->visit[i].entry == entry && work->visit[i].stop == stop)
            return true;
    }
    return false;
}

/* From the nearest visit of the entry. */
static int64_t distance_ms(const struct today_work *work, size_t entry, size_t stop)
{
    int64_t least_ms = INT64_MAX;
    for (size_t i = 0; i < work->visits; i++) {
        if (work->visit[i].entry != entry)
            continue;
        const int64_t apart_ms =
            llabs(work->stop[work->visit[i].stop].until_ms - work->stop[stop].until_ms);
        if (apart_ms < least_ms)
            least_ms = apart_ms;
    }
    return least_ms;
}

static void add(struct today_work *work, size_t entry, size_t stop, enum passo_place_why why)
{
    work->visit[work->visits++] = (struct today_visit){.entry = entry, .stop = stop, .why = why};
    if (stop != TODAY_NOBODY)
        work->stop[stop].visits++;
}

/* Why the entry could come again after this stop; SPREAD: it is no place of its own. */
static enum passo_place_why again(const struct today_work *work, size_t entry, size_t stop)
{
    const struct today_entry *of = &work->entry[entry];
    const struct today_stop *at = &work->stop[stop];
    const enum passo_key_match match = today_match(work, of, at);
    if (is_at(work, entry, stop))
        return PASSO_PLACE_SPREAD;
    if (match != PASSO_KEY_APART && at->holder == TODAY_NOBODY && (at->visits == 0 || at->last))
        return today_why(match);
    return at->last && of->tagged[at->block] ? PASSO_PLACE_TAG : PASSO_PLACE_SPREAD;
}

/* At further places of its own, the farthest first. Returns how many visits are left over. */
static size_t add_matches(struct today_work *work, size_t entry, size_t left)
{
    for (; left > 0; left--) {
        size_t best = TODAY_NOBODY;
        int64_t best_ms = 0;
        for (size_t i = 0; i < work->stops; i++) {
            if (again(work, entry, i) == PASSO_PLACE_SPREAD)
                continue;
            const int64_t apart_ms = distance_ms(work, entry, i);
            if (best == TODAY_NOBODY || apart_ms > best_ms) {
                best = i;
                best_ms = apart_ms;
            }
        }
        if (best == TODAY_NOBODY)
            break;
        const enum passo_place_why why = again(work, entry, best);
        if (why != PASSO_PLACE_TAG)
            work->stop[best].holder = entry;
        add(work, entry, best, why);
    }
    return left;
}

/* How many free stops there are, counted from one end, each at least so far from the one before and
 * from the entry's own; the first `most` of them go to out_stop. */
static size_t free_apart(const struct today_work *work, size_t entry, int64_t apart_ms, bool back,
                         size_t *out_stop, size_t most)
{
    size_t found = 0;
    for (size_t i = 0; i < work->stops && found < most; i++) {
        const size_t at = back ? work->stops - 1 - i : i;
        const struct today_stop *stop = &work->stop[at];
        if (!stop->open || stop->visits > 0 || distance_ms(work, entry, at) < apart_ms)
            continue;
        if (found > 0 &&
            llabs(stop->until_ms - work->stop[out_stop[found - 1]].until_ms) < apart_ms)
            continue;
        out_stop[found++] = at;
    }
    return found;
}

/* After stops that are nobody's: the greatest distance that leaves enough of them is found by
 * halving. Returns how many visits are left over. */
static size_t add_spread(struct today_work *work, size_t entry, size_t left)
{
    size_t stop[PASSO_VISITS_MAX];
    const bool back = work->entry[entry].draw % 2 == 1;
    int64_t low_ms = 0;
    int64_t high_ms = work->stop[work->stops - 1].until_ms;
    while (low_ms < high_ms) {
        const int64_t middle_ms = high_ms - (high_ms - low_ms) / 2;
        if (free_apart(work, entry, middle_ms, back, stop, left) == left)
            low_ms = middle_ms;
        else
            high_ms = middle_ms - 1;
    }
    const size_t found = free_apart(work, entry, low_ms, back, stop, left);
    for (size_t i = 0; i < found; i++)
        add(work, entry, stop[i], PASSO_PLACE_SPREAD);
    return left - found;
}

static size_t visits_at(const struct today_work *work, size_t entry, size_t stop)
{
    size_t visits = 0;
    for (size_t i = 0; i < work->visits; i++)
        visits += work->visit[i].entry == entry && work->visit[i].stop == stop;
    return visits;
}

/* No stop is free: at the end of a block with the fewest of its own, then the fewest. */
static void add_at_ends(struct today_work *work, size_t entry, size_t left)
{
    for (; left > 0; left--) {
        size_t best = TODAY_NOBODY;
        size_t best_own = 0;
        for (size_t i = 0; i < work->stops; i++) {
            if (!work->stop[i].last || !work->stop[i].open)
                continue;
            const size_t own = visits_at(work, entry, i);
            const struct today_stop *than = best == TODAY_NOBODY ? NULL : &work->stop[best];
            if (!than || own < best_own ||
                (own == best_own && work->stop[i].visits < than->visits)) {
                best = i;
                best_own = own;
            }
        }
        add(work, entry, best, PASSO_PLACE_SPREAD);
    }
}

/* The entries whose visits are chosen next: those with most of them. */
static size_t most_left(const struct today_work *work, const size_t *left)
{
    size_t best = TODAY_NOBODY;
    for (size_t i = 0; i < work->entries; i++) {
        if (left[i] == 0)
            continue;
        if (best == TODAY_NOBODY || left[i] > left[best] ||
            (left[i] == left[best] && work->entry[i].draw < work->entry[best].draw))
            best = i;
    }
    return best;
}

void today_make_visits(struct today_work *work)
{
    size_t *left = passo_xcalloc(work->entries + 1, sizeof *left);
    const bool apart = work->stops > 0 && work->routine->order == PASSO_ORDER_MIXED;
    for (size_t i = 0; i < work->entries; i++) {
        const struct today_entry *entry = &work->entry[i];
        if (!entry->placed)
            continue;
        const size_t together = apart ? 1 : entry->part.visits;
        for (size_t k = 0; k < together; k++)
            work->visit[work->visits++] =
                (struct today_visit){.entry = i, .stop = entry->stop, .why = entry->why};
        left[i] = entry->part.visits - together;
    }
    for (size_t i; (i = most_left(work, left)) != TODAY_NOBODY; left[i] = 0) {
        const size_t unmatched = add_matches(work, i, left[i]);
        const size_t crowded = unmatched > 0 ? add_spread(work, i, unmatched) : 0;
        add_at_ends(work, i, crowded);
    }
    free(left);
}
