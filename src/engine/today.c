/* The day's plan: attempts at it, each with other starts and other draws, until the order of the
 * visits is not the last day's. Where nothing is known of the last day, odd and even days take the
 * first two passages by name in either order, so that two days running differ all the same.
 * Allocates while it plans; pure; any thread. */
#include "engine/today_priv.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int by_need(const void *a, const void *b)
{
    const struct passo_today_passage *one = ((const struct today_entry *)a)->passage;
    const struct passo_today_passage *other = ((const struct today_entry *)b)->passage;
    if (one->owed != other->owed)
        return one->owed ? -1 : 1;
    if (one->level < other->level || one->level > other->level)
        return one->level < other->level ? -1 : 1;
    return strcmp(one->name, other->name);
}

static bool passage_fits(const struct passo_today_passage *passage)
{
    if (passage->keys > PASSO_PASSAGE_KEYS_MAX || !isfinite(passage->level) ||
        !(passage->rate > 0) || !isfinite(1 / passage->rate) || !isfinite(passage->rate))
        return false;
    for (size_t i = 0; i < passage->keys; i++) {
        const struct passo_key key = passage->key[i];
        if (key.tonic < -PASSO_TONIC_MAX || key.tonic > PASSO_TONIC_MAX ||
            key.mode >= PASSO_MODE_COUNT)
            return false;
    }
    return true;
}

static bool ask_fits(const struct passo_today_ask *ask)
{
    if (!today_routine_fits(ask->routine) || ask->passages_ms < 0 ||
        ask->passages_ms > TODAY_LONGEST_MS)
        return false;
    for (size_t i = 0; i < ask->passages; i++) {
        if (!passage_fits(&ask->passage[i]))
            return false;
    }
    for (size_t i = 0; i < ask->routine->blocks; i++) {
        const size_t length = passo_cycle_length(&ask->routine->block[i].cycle);
        if (ask->carried && ask->carried[i] < -1)
            return false;
        if (ask->start_place && length > 0 &&
            (ask->start_place[i] < -1 || ask->start_place[i] >= (int32_t)length))
            return false;
    }
    return true;
}

static void seed(struct today_work *work, uint64_t attempt)
{
    uint64_t day = (uint64_t)work->ask->day;
    passo_random_seed(&work->random, passo_random_mix(&day) + attempt);
}

static struct today_work *begin(const struct passo_today_ask *ask)
{
    struct today_work *work = passo_xcalloc(1, sizeof *work);
    work->ask = ask;
    work->routine = ask->routine;
    work->entries = ask->passages;
    work->entry = passo_xcalloc(ask->passages + 1, sizeof *work->entry);
    work->visit = passo_xcalloc(ask->passages * PASSO_VISITS_MAX + 1, sizeof *work->visit);
    for (size_t i = 0; i < ask->passages; i++) {
        work->entry[i].passage = &ask->passage[i];
        work->entry[i].index = i;
    }
    qsort(work->entry, work->entries, sizeof *work->entry, by_need);
    today_learn_matches(work);
    seed(work, TODAY_ATTEMPTS); /* no attempt's own */
    today_draw_starts(work);
    return work;
}

static void end(struct today_work *work)
{
    free(work->visit);
    free(work->entry);
    free(work);
}

static enum passo_error attempt(struct today_work *work, size_t number)
{
    seed(work, number);
    work->placed = 0;
    work->visits = 0;
    today_lay_stops(work, number);
    today_place(work);
    const enum passo_error error = today_share(work);
    if (error)
        return error;
    today_place_suited(work);
    today_make_visits(work);
    today_arrange(work);
    return PASSO_OK;
}

static const char *visited(const struct today_work *work, size_t visit)
{
    return work->entry[work->visit[visit].entry].passage->name;
}

static bool is_last_order(const struct today_work *work)
{
    if (work->visits != work->ask->last_visits)
        return false;
    for (size_t i = 0; i < work->visits; i++) {
        if (strcmp(visited(work, i), work->ask->last_order[i]) != 0)
            return false;
    }
    return true;
}

/* The first name after `than` (NULL: of all). */
static const char *next_name(const struct today_work *work, const char *than)
{
    const char *next = NULL;
    for (size_t i = 0; i < work->visits; i++) {
        const char *name = visited(work, i);
        if ((!than || strcmp(name, than) > 0) && (!next || strcmp(name, next) < 0))
            next = name;
    }
    return next;
}

/* Which of the first two by name is visited first goes by the day. */
static bool is_in_turn(const struct today_work *work)
{
    const char *one = next_name(work, NULL);
    const char *other = next_name(work, one);
    const char *leads = work->ask->day % 2 == 0 ? one : other;
    for (size_t i = 0; i < work->visits && other; i++) {
        const char *name = visited(work, i);
        if (strcmp(name, one) == 0 || strcmp(name, other) == 0)
            return strcmp(name, leads) == 0;
    }
    return true;
}

static bool is_new_order(const struct today_work *work)
{
    if (work->visits == 0)
        return true;
    return work->ask->last_visits > 0 ? !is_last_order(work) : is_in_turn(work);
}

/* The attempt that is taken lies in the work. */
static enum passo_error find_order(struct today_work *work, bool *out_same)
{
    *out_same = false;
    for (size_t i = 0; i < TODAY_ATTEMPTS; i++) {
        const enum passo_error error = attempt(work, i);
        if (error || is_new_order(work))
            return error;
    }
    *out_same = true;
    return attempt(work, 0);
}

static struct passo_today_item block_item(const struct today_stop *stop)
{
    return (struct passo_today_item){.kind = PASSO_ITEM_BLOCK,
                                     .ms = stop->ms,
                                     .block = stop->block,
                                     .keyed = stop->keyed,
                                     .key = stop->key,
                                     .number = stop->number,
                                     .of = stop->of,
                                     .passes = stop->passes,
                                     .place = stop->place};
}

static struct passo_today_item visit_item(const struct today_work *work,
                                          const struct today_visit *visit)
{
    const struct today_entry *entry = &work->entry[visit->entry];
    struct passo_today_item item = {.kind = PASSO_ITEM_VISIT,
                                    .ms = visit->ms,
                                    .number = visit->number,
                                    .of = entry->part.visits,
                                    .passage = entry->index,
                                    .why = visit->why};
    if (visit->why == PASSO_PLACE_SUITS)
        item.drawn = entry->words[work->stop[visit->stop].block] == 0;
    if (visit->why <= PASSO_PLACE_RELATIVE) {
        item.keyed = true;
        item.key = today_matched_key(entry, &work->stop[visit->stop]);
        item.after = work->stop[visit->stop].key;
    }
    if (visit->why == PASSO_PLACE_TAG) {
        const struct passo_block *block = &work->routine->block[work->stop[visit->stop].block];
        size_t bytes;
        const char *tag = today_shared_tag(entry->passage->tags, block, &bytes);
        memcpy(item.tag, tag, bytes < sizeof item.tag ? bytes : sizeof item.tag - 1);
    }
    return item;
}

static void write_plan(const struct today_work *work, struct passo_today *out_today)
{
    size_t at = 0;
    out_today->item = passo_xcalloc(work->stops + work->visits + 1, sizeof *out_today->item);
    out_today->part = passo_xcalloc(work->entries + 1, sizeof *out_today->part);
    for (size_t i = 0; i < work->stops || at < work->visits; i++) {
        if (i < work->stops) {
            out_today->item[out_today->items++] = block_item(&work->stop[i]);
            out_today->blocks_ms += work->stop[i].ms;
        }
        for (; at < work->visits && (work->stops == 0 || work->visit[at].stop == i); at++) {
            out_today->item[out_today->items++] = visit_item(work, &work->visit[at]);
            out_today->visits_ms += work->visit[at].ms;
        }
    }
    out_today->level = INFINITY;
    for (size_t i = 0; i < work->entries; i++) {
        out_today->part[work->entry[i].index] = work->entry[i].part;
        if (work->entry[i].part.why == PASSO_GETS_LEVEL)
            out_today->level = work->level;
    }
}

enum passo_error passo_today_plan(const struct passo_today_ask *ask, struct passo_today *out_today)
{
    *out_today = (struct passo_today){0};
    if (!ask_fits(ask))
        return PASSO_ERR_RANGE;
    struct today_work *work = begin(ask);
    const enum passo_error error = find_order(work, &out_today->same_order);
    if (!error)
        write_plan(work, out_today);
    end(work);
    return error;
}

void passo_today_free(struct passo_today *today)
{
    free(today->item);
    free(today->part);
    *today = (struct passo_today){0};
}
