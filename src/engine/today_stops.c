/* The stops of a day: the keys of each block in order, and how long each of them takes. A cycle
 * that is gone through whole begins at a drawn place, one that is carried goes on where it was
 * left. Pure; any thread. */
#include "engine/today_priv.h"

#define BLOCKS_WITH_END 3 /* of fewer the last is no end */

size_t today_keys(const struct passo_block *block)
{
    const size_t all = passo_cycle_length(&block->cycle);
    if (all == 0)
        return 1;
    return block->keys_a_day > 0 && block->keys_a_day < all ? block->keys_a_day : all;
}

/* Some of its keys today, the next ones tomorrow. */
static bool carries(const struct passo_block *block)
{
    return today_keys(block) < passo_cycle_length(&block->cycle);
}

static int64_t block_ms(const struct passo_block *block)
{
    return block->ms > 0 ? block->ms : (int64_t)today_keys(block) * block->passes * block->pass_ms;
}

int64_t passo_routine_ms(const struct passo_routine *routine)
{
    int64_t ms = 0;
    for (size_t i = 0; i < routine->blocks; i++)
        ms += block_ms(&routine->block[i]);
    return ms;
}

void passo_routine_stretch(struct passo_routine *routine, int64_t to_ms, int64_t of_ms)
{
    PASSO_BUG_ON(to_ms < 0 || of_ms <= 0);
    for (size_t i = 0; i < routine->blocks; i++) {
        struct passo_block *block = &routine->block[i];
        const int64_t least_ms = (int64_t)today_keys(block) * TODAY_SECOND_MS;
        if (block->ms <= 0)
            continue;
        block->ms = (2 * block->ms * to_ms + of_ms) / (2 * of_ms);
        if (block->ms < least_ms)
            block->ms = least_ms;
    }
}

static bool cycle_fits(const struct passo_cycle *cycle)
{
    if (cycle->kind < 0 || cycle->kind >= PASSO_CYCLE_COUNT || cycle->mode < 0 ||
        cycle->mode >= PASSO_MODE_COUNT)
        return false;
    if (cycle->kind != PASSO_CYCLE_LIST)
        return true;
    for (size_t i = 0; i < cycle->listed && i < PASSO_KEYS_MAX; i++) {
        const struct passo_key key = cycle->list[i];
        if (key.tonic < -PASSO_TONIC_MAX || key.tonic > PASSO_TONIC_MAX ||
            key.mode >= PASSO_MODE_COUNT)
            return false;
    }
    return cycle->listed > 0 && cycle->listed <= PASSO_KEYS_MAX;
}

static bool block_fits(const struct passo_block *block)
{
    return cycle_fits(&block->cycle) && block->ms >= 0 && block->ms <= TODAY_LONGEST_MS &&
           block->pass_ms >= 0 && block->pass_ms <= TODAY_LONGEST_MS &&
           block_ms(block) >= (int64_t)today_keys(block);
}

bool today_routine_fits(const struct passo_routine *routine)
{
    if (routine->blocks > PASSO_BLOCKS_MAX || routine->order < 0 ||
        routine->order >= PASSO_ORDER_COUNT || routine->visit_ms < TODAY_SECOND_MS ||
        routine->least_ms < 0 || routine->most_ms > TODAY_LONGEST_MS ||
        routine->visit_ms > TODAY_LONGEST_MS || today_least_s(routine) > today_most_s(routine))
        return false;
    for (size_t i = 0; i < routine->blocks; i++) {
        if (!block_fits(&routine->block[i]))
            return false;
    }
    return true;
}

/* The start of a block that is not drawn; -1: it is. */
static int64_t known_start(const struct passo_today_ask *ask, size_t block)
{
    const struct passo_block *of = &ask->routine->block[block];
    const size_t length = passo_cycle_length(&of->cycle);
    if (length == 0)
        return 0;
    if (carries(of))
        return ask->carried && ask->carried[block] >= 0 ? ask->carried[block] % (int64_t)length
                                                        : -1;
    return ask->start_place ? ask->start_place[block] : -1;
}

void today_draw_starts(struct today_work *work)
{
    for (size_t i = 0; i < work->routine->blocks; i++) {
        const size_t length = passo_cycle_length(&work->routine->block[i].cycle);
        const int64_t known = known_start(work->ask, i);
        size_t starts = 0;
        for (size_t place = 0; place < length && known < 0; place++) {
            const bool last =
                length > 1 && work->ask->last_start && work->ask->last_start[i] == (int32_t)place;
            if (last)
                continue;
            const size_t to = passo_random_below(&work->random, (uint32_t)starts + 1);
            work->start[i][starts++] = work->start[i][to];
            work->start[i][to] = (uint8_t)place;
        }
        if (starts == 0)
            work->start[i][starts++] = (uint8_t)(known < 0 ? 0 : known);
        work->starts[i] = starts;
    }
}

static uint16_t passes_of(const struct passo_block *block, int64_t ms)
{
    if (block->pass_ms == 0)
        return 0;
    if (block->passes > 0)
        return block->passes;
    const int64_t passes = ms / block->pass_ms;
    if (passes > UINT16_MAX)
        return UINT16_MAX;
    return passes > 0 ? (uint16_t)passes : 1;
}

/* There is always a place for everyone: the end, if nothing else. */
static void open_stops(struct today_work *work)
{
    const size_t blocks = work->routine->blocks;
    bool any = false;
    for (size_t i = 0; i < work->stops; i++) {
        struct today_stop *stop = &work->stop[i];
        const int64_t whole_ms = work->stop[work->stops - 1].until_ms;
        stop->warm = stop->until_ms >= PASSO_WARM_UP_MS || 3 * stop->until_ms >= whole_ms;
        const bool end = blocks >= BLOCKS_WITH_END && stop->block + 1 == blocks;
        stop->open = stop->warm && !end;
        any |= stop->open;
    }
    if (!any && work->stops > 0)
        work->stop[work->stops - 1].open = true;
}

/* Every cycle takes its next start with each attempt: after as many attempts as the longest has
 * keys, each block has begun everywhere. */
void today_lay_stops(struct today_work *work, size_t attempt)
{
    int64_t until_ms = 0;
    work->stops = 0;
    for (size_t i = 0; i < work->routine->blocks; i++) {
        const struct passo_block *block = &work->routine->block[i];
        const size_t keys = today_keys(block);
        const size_t length = passo_cycle_length(&block->cycle);
        const size_t start = work->start[i][attempt % work->starts[i]];
        const int64_t ms = block_ms(block);
        for (size_t k = 0; k < keys; k++) {
            struct today_stop *stop = &work->stop[work->stops++];
            *stop = (struct today_stop){.block = i,
                                        .keyed = length > 0,
                                        .last = k + 1 == keys,
                                        .number = (uint8_t)(k + 1),
                                        .of = (uint8_t)keys,
                                        .draw = (uint32_t)(passo_random_next(&work->random) >> 32),
                                        .holder = TODAY_NOBODY};
            stop->ms = ms * (int64_t)(k + 1) / (int64_t)keys - ms * (int64_t)k / (int64_t)keys;
            stop->passes = passes_of(block, stop->ms);
            stop->until_ms = until_ms += stop->ms;
            if (length > 0) {
                stop->place = (start + k) % length;
                stop->key = passo_cycle_key(&block->cycle, stop->place);
            }
        }
    }
    open_stops(work);
}
