/* What must hold of every day's plan, over thousands of drawn routines and passages. */
#include "engine/today_draw.h"

#include <math.h>

enum { DRAWN = 4000 };

static void plan(const struct passo_today_ask *ask, struct passo_today *today)
{
    memset(today, 0, sizeof *today);
    assert_int_equal(passo_today_plan(ask, today), PASSO_OK);
}

/* Calls `check` with DRAWN plans. */
static void for_drawn(uint64_t seed,
                      void (*check)(const struct passo_today_ask *, const struct passo_today *))
{
    struct passo_random random;
    passo_random_seed(&random, seed);
    for (int64_t day = 0; day < DRAWN; day++) {
        struct today_drawn drawn;
        draw_today(&random, &drawn);
        const struct passo_today_ask ask = draw_ask(&drawn, day);
        struct passo_today today;
        plan(&ask, &today);
        check(&ask, &today);
        passo_today_free(&today);
    }
}

static void check_minutes(const struct passo_today_ask *ask, const struct passo_today *today)
{
    const struct passo_routine *routine = ask->routine;
    int64_t sum_ms = 0;
    size_t visits = 0;
    bool wants_more = false; /* one at least has less than its most */
    for (size_t i = 0; i < ask->passages; i++) {
        const struct passo_today_part *part = &today->part[i];
        const bool visited = part->why <= PASSO_GETS_MOST;
        assert_true(visited == (part->ms > 0) && visited == (part->visits > 0));
        assert_true(!visited || (part->ms >= routine->least_ms && part->ms <= routine->most_ms));
        assert_true(part->visits <= PASSO_VISITS_MAX);
        assert_int_equal(part->visits, (part->ms + routine->visit_ms / 1000 * 1000 - 1) /
                                           (routine->visit_ms / 1000 * 1000));
        assert_true(fabs(part->after - (ask->passage[i].level +
                                        ask->passage[i].rate * (double)part->ms / 60000)) < 1e-9);
        if (part->why == PASSO_GETS_LEVEL)
            assert_true(fabs(part->after - today->level) <= ask->passage[i].rate / 60 + 1e-9);
        if (part->why == PASSO_GETS_LEAST)
            assert_true(part->after >= today->level - ask->passage[i].rate / 60 - 1e-9 ||
                        isinf(today->level));
        if (part->why == PASSO_GETS_MOST)
            assert_true(part->after <= today->level + 1e-9);
        wants_more |= part->why == PASSO_GETS_LEVEL || part->why == PASSO_GETS_LEAST;
        sum_ms += part->ms;
        visits += part->visits;
    }
    assert_true(sum_ms <= ask->passages_ms);
    assert_true(sum_ms == ask->passages_ms / 1000 * 1000 || !wants_more);
    assert_int_equal(sum_ms, today->visits_ms);
    for (size_t i = 0; i < today->items; i++) {
        if (today->item[i].kind == PASSO_ITEM_VISIT) {
            assert_true(today->item[i].ms <= routine->visit_ms);
            visits--;
        }
    }
    assert_int_equal(visits, 0);
}

static void test_minutes(void **state)
{
    (void)state;
    for_drawn(1, check_minutes);
}

/* Every visit once, numbered in the order of the day, all its passage's time among them. */
static void check_numbers(const struct passo_today_ask *ask, const struct passo_today *today)
{
    uint8_t number[DRAW_PASSAGES_MAX] = {0};
    int64_t ms[DRAW_PASSAGES_MAX] = {0};
    for (size_t i = 0; i < today->items; i++) {
        const struct passo_today_item *item = &today->item[i];
        if (item->kind != PASSO_ITEM_VISIT)
            continue;
        assert_int_equal(item->number, ++number[item->passage]);
        assert_int_equal(item->of, today->part[item->passage].visits);
        ms[item->passage] += item->ms;
    }
    for (size_t i = 0; i < ask->passages; i++) {
        assert_int_equal(number[i], today->part[i].visits);
        assert_int_equal(ms[i], today->part[i].ms);
    }
}

static void test_every_visit_once(void **state)
{
    (void)state;
    for_drawn(2, check_numbers);
}

/* Every block whole and in its place, its keys one after another round the cycle, and not one
 * millisecond of it lost. */
static void check_blocks(const struct passo_today_ask *ask, const struct passo_today *today)
{
    size_t at = 0;
    int64_t all_ms = 0;
    for (size_t b = 0; b < ask->routine->blocks; b++) {
        const struct passo_block *block = &ask->routine->block[b];
        const size_t length = passo_cycle_length(&block->cycle);
        const size_t today_of = block->keys_a_day && block->keys_a_day < length ? block->keys_a_day
                                : length                                        ? length
                                                                                : 1;
        size_t start = 0;
        int64_t ms = 0;
        for (size_t k = 0; k < today_of; k++, at++) {
            while (today->item[at].kind == PASSO_ITEM_VISIT)
                at++;
            const struct passo_today_item *item = &today->item[at];
            start = k == 0 ? item->place : start;
            assert_int_equal(item->block, b);
            assert_int_equal(item->number, k + 1);
            assert_int_equal(item->of, today_of);
            assert_int_equal(item->keyed, length > 0);
            if (length > 0) {
                const struct passo_key key = passo_cycle_key(&block->cycle, item->place);
                assert_int_equal(item->place, (start + k) % length);
                assert_int_equal(item->key.tonic, key.tonic);
                assert_int_equal(item->key.mode, key.mode);
            }
            assert_true(block->pass_ms == 0 ? item->passes == 0 : item->passes > 0);
            ms += item->ms;
        }
        assert_int_equal(ms, block->ms ? block->ms
                                       : (int64_t)today_of * block->passes * block->pass_ms);
        all_ms += ms;
    }
    for (; at < today->items; at++)
        assert_int_equal(today->item[at].kind, PASSO_ITEM_VISIT);
    assert_int_equal(today->blocks_ms, all_ms);
    assert_int_equal(passo_routine_ms(ask->routine), all_ms);
}

static void test_blocks_are_whole(void **state)
{
    (void)state;
    for_drawn(3, check_blocks);
}

/* What a visit says of its place is so: `after` is the block before it. */
static void check_why(const struct passo_today_ask *ask, const struct passo_today_item *item,
                      const struct passo_today_item *block)
{
    static const enum passo_key_match match[] = {[PASSO_PLACE_KEY] = PASSO_KEY_SAME,
                                                 [PASSO_PLACE_ENHARMONIC] = PASSO_KEY_ENHARMONIC,
                                                 [PASSO_PLACE_RELATIVE] = PASSO_KEY_RELATIVE};
    const struct passo_today_passage *passage = &ask->passage[item->passage];
    assert_true((item->why == PASSO_PLACE_FREE) == (block == NULL));
    if (item->why <= PASSO_PLACE_RELATIVE) {
        bool own = false;
        for (size_t i = 0; i < passage->keys; i++)
            own |=
                passage->key[i].tonic == item->key.tonic && passage->key[i].mode == item->key.mode;
        assert_true(own && block->keyed);
        assert_int_equal(item->after.tonic, block->key.tonic);
        assert_int_equal(item->after.mode, block->key.mode);
        assert_int_equal(passo_key_match(item->key, item->after), match[item->why]);
        assert_true(item->why != PASSO_PLACE_RELATIVE || ask->routine->relative);
    }
    if (item->why == PASSO_PLACE_TAG)
        assert_non_null(strstr(passage->tags, item->tag));
    if (item->why == PASSO_PLACE_TAG || item->why == PASSO_PLACE_SUITS)
        assert_int_equal(block->number, block->of);
}

/* After a key at most one visit, but at the end of a block, where its key's own comes first. */
static void check_places(const struct passo_today_ask *ask, const struct passo_today *today)
{
    const struct passo_today_item *block = NULL;
    size_t visits = 0;
    for (size_t i = 0; i < today->items; i++) {
        const struct passo_today_item *item = &today->item[i];
        if (item->kind == PASSO_ITEM_BLOCK) {
            block = item;
            visits = 0;
            continue;
        }
        check_why(ask, item, block);
        visits++;
        if (!block || ask->routine->order == PASSO_ORDER_BLOCKED)
            continue;
        assert_true(visits == 1 || block->number == block->of);
        assert_true(visits == 1 || item->why > PASSO_PLACE_RELATIVE);
    }
}

static void test_places(void **state)
{
    (void)state;
    for_drawn(4, check_places);
}

/* After which stops visits without a place of their own may stand: the warm-up is over, and it is
 * not the last of three blocks or more; the very last, if there is none. */
static void open_stops(const int64_t *until_ms, const size_t *block, size_t stops, size_t blocks,
                       bool *out_open)
{
    bool any = false;
    for (size_t i = 0; i < stops; i++) {
        out_open[i] = (until_ms[i] >= 5 * MINUTE_MS || 3 * until_ms[i] >= until_ms[stops - 1]) &&
                      (blocks < 3 || block[i] + 1 < blocks);
        any |= out_open[i];
    }
    if (stops > 0 && !any)
        out_open[stops - 1] = true;
}

/* The stop after which each item stands, and which of the stops are open. */
static void lay_stops(const struct passo_today_ask *ask, const struct passo_today *today,
                      size_t *out_after, bool *out_open)
{
    static int64_t until_ms[PASSO_BLOCKS_MAX * PASSO_KEYS_MAX];
    static size_t block[PASSO_BLOCKS_MAX * PASSO_KEYS_MAX];
    size_t stops = 0;
    for (size_t i = 0; i < today->items; i++) {
        const struct passo_today_item *item = &today->item[i];
        if (item->kind == PASSO_ITEM_BLOCK) {
            until_ms[stops] = (stops ? until_ms[stops - 1] : 0) + item->ms;
            block[stops++] = item->block;
        }
        out_after[i] = stops - 1;
    }
    open_stops(until_ms, block, stops, ask->routine->blocks, out_open);
}

/* Mixed, with at least as many open stops as visits: no two visits of one passage follow one
 * another. Without blocks the same, unless one has more visits than all others and one. Blocked:
 * all visits of one passage follow one another. */
static void check_spread(const struct passo_today_ask *ask, const struct passo_today *today)
{
    size_t stops = 0;
    size_t visits = 0;
    size_t changes = 0;
    size_t visited = 0;
    size_t neighbours = 0;
    size_t most = 0;
    size_t last = SIZE_MAX;
    static bool open[PASSO_BLOCKS_MAX * PASSO_KEYS_MAX];
    size_t *after = passo_xcalloc(today->items + 1, sizeof *after);
    lay_stops(ask, today, after, open);
    for (size_t i = 0; i < today->items; i++) {
        const struct passo_today_item *item = &today->item[i];
        const bool visit = item->kind == PASSO_ITEM_VISIT;
        stops += !visit && open[after[i]];
        /* Nobody is sent to a hard spot cold, or at the end, but where it has its own place. */
        const bool drawn = item->why == PASSO_PLACE_SUITS && item->drawn;
        if (visit && (drawn || item->why == PASSO_PLACE_SPREAD))
            assert_true(open[after[i]] || ask->routine->order == PASSO_ORDER_BLOCKED);
        visits += visit;
        neighbours += visit && i > 0 && today->item[i - 1].kind == PASSO_ITEM_VISIT &&
                      today->item[i - 1].passage == item->passage;
        changes += visit && item->passage != last;
        last = visit ? item->passage : last;
    }
    free(after);
    for (size_t i = 0; i < ask->passages; i++) {
        visited += today->part[i].visits > 0;
        most = today->part[i].visits > most ? today->part[i].visits : most;
    }
    if (ask->routine->order == PASSO_ORDER_BLOCKED)
        assert_int_equal(changes, visited);
    else if (stops >= visits || (stops == 0 && 2 * most <= visits + 1))
        assert_int_equal(neighbours, 0);
}

static void test_spread(void **state)
{
    (void)state;
    for_drawn(5, check_spread);
}

static bool needier(const struct passo_today_passage *a, const struct passo_today_passage *b)
{
    return a->owed != b->owed ? a->owed : a->level < b->level;
}

/* Nobody is left out for want of minutes who needs them more than one who is visited; whose turn it
 * is not, whose key is held by one who is visited. */
static void check_who(const struct passo_today_ask *ask, const struct passo_today *today)
{
    for (size_t i = 0; i < ask->passages; i++) {
        const struct passo_today_part *part = &today->part[i];
        assert_true(ask->passage[i].due == (part->why != PASSO_GETS_NOT_DUE));
        if (part->why == PASSO_GETS_TURN) {
            assert_true(part->other != i && today->part[part->other].visits > 0);
            assert_false(needier(&ask->passage[i], &ask->passage[part->other]));
        }
        for (size_t k = 0; k < ask->passages && part->why == PASSO_GETS_TIME; k++)
            assert_true(today->part[k].visits == 0 || !needier(&ask->passage[i], &ask->passage[k]));
    }
}

static void test_who_is_visited(void **state)
{
    (void)state;
    for_drawn(6, check_who);
}

/* The same day is planned the same, in whatever order the passages are given. */
static void test_order_of_passages_says_nothing(void **state)
{
    (void)state;
    struct passo_random random;
    passo_random_seed(&random, 7);
    for (int64_t day = 0; day < DRAWN; day++) {
        struct today_drawn drawn;
        struct today_drawn shuffled;
        size_t from[DRAW_PASSAGES_MAX];
        struct passo_today one;
        struct passo_today other;
        draw_today(&random, &drawn);
        shuffled = drawn;
        for (size_t i = 0; i < drawn.passages; i++) {
            const size_t to = passo_random_below(&random, (uint32_t)i + 1);
            from[i] = from[to];
            from[to] = i;
        }
        for (size_t i = 0; i < drawn.passages; i++)
            shuffled.passage[i] = drawn.passage[from[i]];
        const struct passo_today_ask ask = draw_ask(&drawn, day);
        const struct passo_today_ask again = draw_ask(&shuffled, day);
        plan(&ask, &one);
        plan(&again, &other);
        assert_int_equal(one.items, other.items);
        for (size_t i = 0; i < one.items; i++) {
            assert_int_equal(one.item[i].kind, other.item[i].kind);
            assert_int_equal(one.item[i].ms, other.item[i].ms);
            assert_int_equal(one.item[i].place, other.item[i].place);
            assert_int_equal(one.item[i].why, other.item[i].why);
            if (one.item[i].kind == PASSO_ITEM_VISIT)
                assert_int_equal(one.item[i].passage, from[other.item[i].passage]);
        }
        for (size_t i = 0; i < drawn.passages; i++) {
            assert_int_equal(other.part[i].ms, one.part[from[i]].ms);
            assert_int_equal(other.part[i].why, one.part[from[i]].why);
        }
        passo_today_free(&one);
        passo_today_free(&other);
    }
}

/* One passage alone, of which nothing but its first place matches: no choice of stops lies further
 * apart than the planner's. Every choice is tried. */
static int64_t nearest_ms(const int64_t *at, size_t stops, uint32_t chosen)
{
    int64_t least_ms = INT64_MAX;
    int64_t last_ms = -1;
    for (size_t i = 0; i < stops; i++) {
        if (!(chosen >> i & 1))
            continue;
        if (last_ms >= 0 && at[i] - last_ms < least_ms)
            least_ms = at[i] - last_ms;
        last_ms = at[i];
    }
    return least_ms;
}

static void test_no_choice_lies_further_apart(void **state)
{
    (void)state;
    struct passo_random random;
    passo_random_seed(&random, 8);
    for (int64_t day = 0; day < 2000; day++) {
        struct passo_routine routine = {
            .visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = 8 * MINUTE_MS};
        const size_t stops = (size_t)draw_between(&random, 2, 10);
        const size_t first = passo_random_below(&random, (uint32_t)stops);
        int64_t at[10];
        uint32_t chosen = 0;
        for (size_t i = 0; i < stops; i++) {
            const int64_t ms = draw_between(&random, 1, 20) * 10000;
            today_block(&routine, "x", i == first ? "own" : "", PASSO_CYCLE_NONE, ms);
            at[i] = (i ? at[i - 1] : 0) + ms;
        }
        bool is_open[10];
        size_t block[10];
        for (size_t i = 0; i < stops; i++)
            block[i] = i;
        open_stops(at, block, stops, stops, is_open);
        uint32_t open = 1u << first;
        for (size_t i = 0; i < stops; i++)
            open |= (uint32_t)is_open[i] << i;
        const int places = __builtin_popcount(open);
        const int visits = (int)draw_between(&random, 1, places > 8 ? 8 : places);
        const struct passo_today_passage one = {.name = "p", .tags = "own", .rate = 1, .due = true};
        const struct passo_today_ask ask = {.routine = &routine,
                                            .passage = &one,
                                            .passages = 1,
                                            .passages_ms = (int64_t)visits * MINUTE_MS,
                                            .day = day};
        struct passo_today today;
        plan(&ask, &today);
        for (size_t i = 0, stop = 0; i < today.items; i++) {
            if (today.item[i].kind == PASSO_ITEM_BLOCK)
                stop = today.item[i].block;
            else
                chosen |= 1u << stop;
        }
        assert_int_equal(__builtin_popcount(chosen), visits);
        assert_true(chosen >> first & 1);
        assert_false(chosen & ~open);
        const int64_t got_ms = nearest_ms(at, stops, chosen);
        for (uint32_t other = 0; other < 1u << stops; other++) {
            if ((other >> first & 1) && !(other & ~open) && __builtin_popcount(other) == visits)
                assert_true(nearest_ms(at, stops, other) <= got_ms);
        }
        passo_today_free(&today);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_minutes),
        cmocka_unit_test(test_every_visit_once),
        cmocka_unit_test(test_blocks_are_whole),
        cmocka_unit_test(test_places),
        cmocka_unit_test(test_spread),
        cmocka_unit_test(test_who_is_visited),
        cmocka_unit_test(test_order_of_passages_says_nothing),
        cmocka_unit_test(test_no_choice_lies_further_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
