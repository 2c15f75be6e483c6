/* No two days running share an order of visits, unless there is no other. */
#include "engine/today_draw.h"

enum { DAYS = 30, ROUTINES = 300, VISITS = DRAW_PASSAGES_MAX * PASSO_VISITS_MAX };

struct order {
    const char *name[VISITS];
    size_t visits;
};

static void plan(const struct passo_today_ask *ask, struct passo_today *today,
                 struct order *out_order)
{
    memset(today, 0, sizeof *today);
    assert_int_equal(passo_today_plan(ask, today), PASSO_OK);
    out_order->visits = today_order(ask, today, out_order->name, VISITS);
}

static bool equal(const struct order *a, const struct order *b)
{
    return today_orders_equal(a->name, a->visits, b->name, b->visits);
}

/* Thirty days, each told of the one before: its order, where its cycles began, whose turn was
 * another's, and what is carried. */
static void test_thirty_days_running(void **state)
{
    (void)state;
    struct passo_random random;
    size_t days = 0;
    size_t same = 0;
    passo_random_seed(&random, 11);
    for (int r = 0; r < ROUTINES; r++) {
        struct today_drawn drawn;
        struct order order[2] = {0};
        int32_t last_start[PASSO_BLOCKS_MAX];
        int64_t carried[PASSO_BLOCKS_MAX];
        draw_today(&random, &drawn);
        for (size_t i = 0; i < PASSO_BLOCKS_MAX; i++)
            carried[i] = last_start[i] = -1;
        for (int64_t day = 0; day < DAYS; day++) {
            const struct order *last = &order[(day + 1) % 2];
            struct passo_today_ask ask = draw_ask(&drawn, 1000 * r + day);
            struct passo_today today;
            ask.last_start = last_start;
            ask.carried = carried;
            ask.last_order = last->name;
            ask.last_visits = last->visits;
            plan(&ask, &today, &order[day % 2]);
            if (day > 0 && order[day % 2].visits > 0) {
                days++;
                same += today.same_order;
                assert_int_equal(equal(&order[day % 2], last), today.same_order);
            }
            for (size_t i = 0; i < drawn.passages; i++)
                drawn.passage[i].owed = today.part[i].why == PASSO_GETS_TURN;
            for (size_t i = 0; i < today.items; i++) {
                const struct passo_today_item *item = &today.item[i];
                if (item->kind != PASSO_ITEM_BLOCK || !item->keyed || item->number > 1)
                    continue;
                const size_t keys = passo_cycle_length(&drawn.routine.block[item->block].cycle);
                if (keys > 1 && item->of == keys)
                    assert_true((int32_t)item->place != last_start[item->block]);
                if (item->of < keys && carried[item->block] >= 0)
                    assert_int_equal(item->place, carried[item->block] % (int64_t)keys);
                last_start[item->block] = (int32_t)item->place;
                carried[item->block] = (int64_t)item->place + item->of;
            }
            passo_today_free(&today);
        }
    }
    assert_true(days > ROUTINES * DAYS / 2);
    assert_true(same < days / 4); /* where one passage alone is visited, as a rule */
}

/* The same with nothing told. What one day shares with the day before, one of both says. */
static void test_thirty_days_of_which_nothing_is_known(void **state)
{
    (void)state;
    struct passo_random random;
    size_t told = 0;
    passo_random_seed(&random, 12);
    for (int r = 0; r < ROUTINES; r++) {
        struct today_drawn drawn;
        struct order order[2] = {0};
        bool before = false;
        draw_today(&random, &drawn);
        for (int64_t day = 0; day < DAYS; day++) {
            const struct passo_today_ask ask = draw_ask(&drawn, 1000 * r + day);
            struct passo_today today;
            plan(&ask, &today, &order[day % 2]);
            bool several = false;
            for (size_t i = 1; i < order[day % 2].visits; i++)
                several |= strcmp(order[day % 2].name[0], order[day % 2].name[i]) != 0;
            if (day > 0 && several && equal(&order[0], &order[1])) {
                assert_true(today.same_order || before);
                told++;
            }
            before = today.same_order;
            passo_today_free(&today);
        }
    }
    assert_true(told < (size_t)ROUTINES * DAYS / 20);
}

/* A small day: one block of keys, and blocks without. */
static void draw_small(struct passo_random *random, struct today_drawn *out_drawn)
{
    struct passo_routine *routine = &out_drawn->routine;
    memset(out_drawn, 0, sizeof *out_drawn);
    *routine =
        (struct passo_routine){.visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = MINUTE_MS};
    struct passo_block *keys = today_block(routine, "keys", "", PASSO_CYCLE_LIST, 5 * MINUTE_MS);
    keys->cycle.listed = (uint8_t)draw_between(random, 1, 5);
    for (uint8_t i = 0; i < keys->cycle.listed; i++)
        keys->cycle.list[i] = MAJOR((int8_t)(i - 2));
    if (passo_random_below(random, 2))
        today_block(routine, "end", "trill", PASSO_CYCLE_NONE, MINUTE_MS);
    out_drawn->passages = (size_t)draw_between(random, 1, 3);
    for (size_t i = 0; i < out_drawn->passages; i++) {
        draw_passage(random, i, &out_drawn->passage[i]);
        out_drawn->passage[i].due = true;
        out_drawn->passage[i].owed = false;
        out_drawn->passage[i].tags = passo_random_below(random, 2) ? "trill" : "";
        out_drawn->passage[i].keys = passo_random_below(random, 2);
        out_drawn->passage[i].key[0] = MAJOR((int8_t)draw_between(random, -2, 2));
    }
    out_drawn->passages_ms = (int64_t)out_drawn->passages * MINUTE_MS;
}

/* Where a plan's visits stand: at a key's place in its cycle, or after all of a block. */
struct seat {
    size_t block;
    size_t place; /* SIZE_MAX: after all of it */
    const char *name;
};

static size_t seats_of(const struct passo_today_ask *ask, const struct passo_today *today,
                       struct seat *out_seat)
{
    size_t seats = 0;
    const struct passo_today_item *block = NULL;
    for (size_t i = 0; i < today->items; i++) {
        const struct passo_today_item *item = &today->item[i];
        if (item->kind == PASSO_ITEM_BLOCK)
            block = item;
        else
            out_seat[seats++] = (struct seat){
                block->block, item->why <= PASSO_PLACE_RELATIVE ? block->place : SIZE_MAX,
                ask->passage[item->passage].name};
    }
    return seats;
}

/* When a seat's turn comes if the keys begin at `start`. */
static size_t turn_of(const struct seat *seat, size_t start, size_t keys)
{
    const size_t in_block = seat->place == SIZE_MAX ? keys : (seat->place + keys - start) % keys;
    return seat->block * 100 + in_block;
}

/* Whether the same seats give an order other than `last`: by any start, and any order among those
 * that stand at one block's end. Written without regard to how the planner looks for it. */
static bool another_is_possible(const struct seat *seat, size_t seats, size_t keys,
                                size_t last_start, const struct order *last)
{
    static const uint8_t permutation[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2},
                                              {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
    for (size_t start = 0; start < keys; start++) {
        if (keys > 1 && start == last_start)
            continue;
        for (size_t p = 0; p < 6; p++) {
            const char *name[3];
            size_t named = 0;
            bool ascends = true;
            size_t before = 0;
            for (size_t k = 0; k < 3; k++) {
                if (permutation[p][k] >= seats)
                    continue;
                const size_t turn = turn_of(&seat[permutation[p][k]], start, keys);
                ascends &= turn >= before;
                before = turn;
                name[named++] = seat[permutation[p][k]].name;
            }
            if (ascends && !today_orders_equal(name, named, last->name, last->visits))
                return true;
        }
    }
    return false;
}

/* Small days whose last order is one that the same day could have: same_order is said only where
 * trying everything finds no other. */
static void test_same_order_only_if_there_is_no_other(void **state)
{
    (void)state;
    struct passo_random random;
    size_t same = 0;
    passo_random_seed(&random, 13);
    for (int64_t day = 0; day < 5000; day++) {
        struct today_drawn drawn;
        struct passo_today today;
        struct order last;
        struct order order;
        struct seat seat[3];
        int32_t start[PASSO_BLOCKS_MAX];
        draw_small(&random, &drawn);
        struct passo_today_ask ask = draw_ask(&drawn, day);
        plan(&ask, &today, &last);
        today_starts(&ask, &today, start);
        passo_today_free(&today);
        ask.day = day + 1;
        ask.last_order = last.name;
        ask.last_visits = last.visits;
        ask.last_start = start;
        plan(&ask, &today, &order);
        const size_t keys = drawn.routine.block[0].cycle.listed;
        const size_t seats = seats_of(&ask, &today, seat);
        assert_true(seats >= 1 && seats <= 3);
        assert_int_equal(equal(&order, &last), today.same_order);
        if (today.same_order)
            assert_false(another_is_possible(seat, seats, keys, (size_t)start[0], &last));
        same += today.same_order;
        passo_today_free(&today);
    }
    assert_true(same > 500 && same < 4500);
}

/* Forced starts and places leave one order: it is told. */
static void test_a_forced_order_is_told(void **state)
{
    (void)state;
    struct passo_routine routine = {
        .visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = MINUTE_MS};
    today_block(&routine, "flow", "", PASSO_CYCLE_FIFTHS, 12 * MINUTE_MS);
    const struct passo_today_passage two[] = {
        {.name = "a", .tags = "", .key = {MAJOR(0)}, .keys = 1, .rate = 1, .due = true},
        {.name = "b", .tags = "", .key = {MAJOR(1)}, .keys = 1, .rate = 1, .due = true}};
    static const char *const last[] = {"a", "b"};
    int32_t start = 0;
    struct passo_today_ask ask = {.routine = &routine,
                                  .passage = two,
                                  .passages = 2,
                                  .passages_ms = 2 * MINUTE_MS,
                                  .start_place = &start,
                                  .last_order = last,
                                  .last_visits = 2};
    struct passo_today today;
    struct order order;
    plan(&ask, &today, &order);
    assert_true(today.same_order);
    passo_today_free(&today);
    /* of twelve starts one alone turns the two about: it is found on every day */
    start = -1;
    for (ask.day = 0; ask.day < 300; ask.day++) {
        plan(&ask, &today, &order);
        assert_false(today.same_order);
        assert_int_equal(today.item[0].place, 1);
        passo_today_free(&today);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_thirty_days_running),
        cmocka_unit_test(test_thirty_days_of_which_nothing_is_known),
        cmocka_unit_test(test_same_order_only_if_there_is_no_other),
        cmocka_unit_test(test_a_forced_order_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
