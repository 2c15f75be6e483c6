/* The day's plan by hand: session 10 of the trade page to the letter, and what each rule of the
 * header does in a small routine. */
#include "engine/today_tools.h"

#include <math.h>

enum { TEXT = 2048, DB = 5 }; /* D-flat's place in the circle of fourths from C */

/* "Flow study in fourths starting today on D-flat, then chromatic. Extra 15 min, visits <= 3"
 * (trade page, session 10). */
static void set_session(struct passo_routine *routine)
{
    memset(routine, 0, sizeof *routine);
    routine->relative = true;
    routine->visit_ms = 3 * MINUTE_MS;
    routine->least_ms = 2 * MINUTE_MS;
    routine->most_ms = 3 * MINUTE_MS;
    today_block(routine, "Flow study", "slur", PASSO_CYCLE_FOURTHS, 12 * MINUTE_MS);
    today_block(routine, "Chromatic", "", PASSO_CYCLE_NONE, 4 * MINUTE_MS);
}

/* The session's passages and their levels. */
static struct passo_today_passage six[] = {
    {.name = "P1", .tags = "", .key = {{-4, 0}}, .keys = 1, .level = 84},
    {.name = "P2", .tags = "", .key = {{-1, 1}}, .keys = 1, .level = 71},
    {.name = "P3", .tags = "", .key = {{2, 0}}, .keys = 1, .level = 90},
    {.name = "P4", .tags = "", .key = {{7, 1}}, .keys = 1, .level = 78},
    {.name = "P5", .tags = "low, chromatic", .level = 80},
    {.name = "P6", .tags = "", .key = {{-7, 0}}, .keys = 1, .level = 88},
};
#define SIX (sizeof six / sizeof *six)

static int set_six(void **state)
{
    (void)state;
    for (size_t i = 0; i < SIX; i++) {
        six[i].level = six[i].level > 1 ? log(six[i].level / 100) : six[i].level;
        six[i].rate = PASSO_RATE_PRIOR;
        six[i].due = true;
        six[i].owed = false;
    }
    return 0;
}

static void plan(const struct passo_today_ask *ask, struct passo_today *today, char text[TEXT])
{
    memset(today, 0, sizeof *today);
    assert_int_equal(passo_today_plan(ask, today), PASSO_OK);
    today_write(ask, today, text, TEXT);
}

static void test_session_10(void **state)
{
    (void)state;
    struct passo_routine routine;
    struct passo_today today;
    char text[TEXT];
    set_session(&routine);
    const int32_t start[] = {DB, -1};
    struct passo_today_ask ask = {.routine = &routine,
                                  .passage = six,
                                  .passages = SIX,
                                  .passages_ms = 15 * MINUTE_MS,
                                  .start_place = start,
                                  .day = 20000};
    plan(&ask, &today, text);
    assert_string_equal(text, "Db Gb B [P6 e] E [P4 r] A D [P3 k] G C F Bb Eb Ab [P2 r] "
                              "Chromatic [P5 t]");
    assert_int_equal(today.part[0].why, PASSO_GETS_TURN);
    assert_int_equal(today.part[0].other, 1);
    assert_int_equal(today.part[0].visits, 0);
    for (size_t i = 1; i < SIX; i++) {
        assert_int_equal(today.part[i].ms, 3 * MINUTE_MS);
        assert_int_equal(today.part[i].why, PASSO_GETS_MOST);
    }
    assert_int_equal(today.visits_ms, 15 * MINUTE_MS);
    assert_int_equal(today.blocks_ms, 16 * MINUTE_MS);
    assert_string_equal(today.item[today.items - 1].tag, "chromatic");
    passo_today_free(&today);
}

/* "P1 owed, first in its key tomorrow. Tomorrow starts on another key; visit order must differ." */
static void test_session_10_tomorrow(void **state)
{
    (void)state;
    struct passo_routine routine;
    struct passo_today today;
    char text[TEXT];
    static const char *const last[] = {"P6", "P4", "P3", "P2", "P5"};
    const int32_t last_start[] = {DB, 0};
    set_session(&routine);
    six[0].owed = true;
    for (int64_t day = 0; day < 200; day++) {
        const struct passo_today_ask ask = {.routine = &routine,
                                            .passage = six,
                                            .passages = SIX,
                                            .passages_ms = 15 * MINUTE_MS,
                                            .day = day,
                                            .last_start = last_start,
                                            .last_order = last,
                                            .last_visits = 5};
        plan(&ask, &today, text);
        assert_non_null(strstr(text, "Ab [P1 k]"));
        assert_null(strstr(text, "[P2"));
        assert_int_equal(today.part[1].why, PASSO_GETS_TURN);
        assert_int_equal(today.part[1].other, 0);
        assert_true(today.item[0].keyed && today.item[0].place != DB);
        assert_false(today.same_order);
        passo_today_free(&today);
    }
    /* the day after that, P1 is no longer owed and P2 is: the same order would be possible */
    set_six(NULL);
    for (int64_t day = 0; day < 200; day++) {
        const struct passo_today_ask ask = {.routine = &routine,
                                            .passage = six,
                                            .passages = SIX,
                                            .passages_ms = 15 * MINUTE_MS,
                                            .day = day,
                                            .last_order = last,
                                            .last_visits = 5};
        const char *order[8];
        plan(&ask, &today, text);
        assert_false(today_orders_equal(order, today_order(&ask, &today, order, 8), last, 5));
        passo_today_free(&today);
    }
}

/* Eighteen minutes are enough for six: the one whose key is another's comes in at a block's end.
 * Sixteen are not: what is left is under the least. */
static void test_left_minutes_admit_the_other(void **state)
{
    (void)state;
    struct passo_routine routine;
    struct passo_today today;
    char text[TEXT];
    set_session(&routine);
    struct passo_today_ask ask = {
        .routine = &routine, .passage = six, .passages = SIX, .passages_ms = 18 * MINUTE_MS};
    plan(&ask, &today, text);
    assert_non_null(strstr(text, "[P1 s]"));
    assert_int_equal(today.part[0].ms, 3 * MINUTE_MS);
    assert_int_equal(today.visits_ms, 18 * MINUTE_MS);
    passo_today_free(&today);
    ask.passages_ms = 16 * MINUTE_MS;
    plan(&ask, &today, text);
    assert_int_equal(today.part[0].why, PASSO_GETS_TURN);
    assert_int_equal(today.visits_ms, 15 * MINUTE_MS);
    passo_today_free(&today);
}

/* Too few minutes: the neediest get the least or more, by need; nobody gets less. */
static void test_few_minutes_go_to_the_neediest(void **state)
{
    (void)state;
    struct passo_routine routine;
    struct passo_today today;
    char text[TEXT];
    set_session(&routine);
    six[2].due = false;
    struct passo_today_ask ask = {
        .routine = &routine, .passage = six, .passages = SIX, .passages_ms = 4 * MINUTE_MS + 30500};
    plan(&ask, &today, text);
    assert_int_equal(today.part[1].ms, 150000);        /* 71 % */
    assert_int_equal(today.part[3].ms, 2 * MINUTE_MS); /* 78 % */
    assert_int_equal(today.part[1].why, PASSO_GETS_LEVEL);
    assert_int_equal(today.part[3].why, PASSO_GETS_LEAST);
    assert_int_equal(today.part[2].why, PASSO_GETS_NOT_DUE);
    assert_int_equal(today.part[4].why, PASSO_GETS_TIME);
    assert_int_equal(today.part[5].why, PASSO_GETS_TIME);
    assert_true(today.part[1].after > six[1].level);
    assert_true(fabs(today.part[1].after - (six[1].level + 2.5 * PASSO_RATE_PRIOR)) < 1e-12);
    assert_true(today.part[4].after == six[4].level);
    assert_true(fabs(today.level - today.part[1].after) < 1e-9);
    passo_today_free(&today);
    ask.passages_ms = 0;
    plan(&ask, &today, text);
    assert_null(strchr(text, '['));
    assert_int_equal(today.items, 13);
    passo_today_free(&today);
}

/* Boyd and Vandenberghe's example in the numbers of references.md 3.4, through the whole plan:
 * levels 60 80 85 96, total 100, rates 1 -> level 105.25, minutes 45.25 25.25 20.25 9.25. */
static void test_water_is_filled(void **state)
{
    (void)state;
    struct passo_routine routine = {
        .visit_ms = 60 * MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = 60 * MINUTE_MS};
    struct passo_today_passage four[] = {
        {.name = "a", .tags = "", .level = 60, .rate = 1, .due = true},
        {.name = "b", .tags = "", .level = 80, .rate = 1, .due = true},
        {.name = "c", .tags = "", .level = 85, .rate = 1, .due = true},
        {.name = "d", .tags = "", .level = 96, .rate = 1, .due = true}};
    static const int64_t expected_ms[] = {2715000, 1515000, 1215000, 555000};
    struct passo_today today;
    char text[TEXT];
    const struct passo_today_ask ask = {
        .routine = &routine, .passage = four, .passages = 4, .passages_ms = 100 * MINUTE_MS};
    plan(&ask, &today, text);
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(today.part[i].ms, expected_ms[i]);
        assert_int_equal(today.part[i].why, PASSO_GETS_LEVEL);
        assert_true(fabs(today.part[i].after - (105.25)) < 1e-9);
    }
    assert_true(fabs(today.level - (105.25)) < 1e-9);
    passo_today_free(&today);
}

static void test_relative_keys_when_asked(void **state)
{
    (void)state;
    struct passo_routine routine;
    struct passo_today today;
    char text[TEXT];
    set_session(&routine);
    routine.relative = false;
    const struct passo_today_ask ask = {
        .routine = &routine, .passage = six, .passages = SIX, .passages_ms = 18 * MINUTE_MS};
    plan(&ask, &today, text);
    assert_non_null(strstr(text, "Ab [P1 k]"));
    assert_non_null(strstr(text, "[P2 s]"));
    assert_non_null(strstr(text, "[P4 s]"));
    passo_today_free(&today);
}

/* Without blocks the visits are mixed: A has four of eight. */
static void test_without_blocks(void **state)
{
    (void)state;
    struct passo_routine routine = {
        .visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = 4 * MINUTE_MS};
    const struct passo_today_passage three[] = {
        {.name = "A", .tags = "", .level = -10, .rate = 1, .due = true},
        {.name = "B", .tags = "", .level = 0, .rate = 1, .due = true},
        {.name = "C", .tags = "", .level = 0, .rate = 1, .due = true}};
    struct passo_today_ask ask = {
        .routine = &routine, .passage = three, .passages = 3, .passages_ms = 8 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    for (ask.day = 0; ask.day < 50; ask.day++) {
        plan(&ask, &today, text);
        assert_int_equal(today.items, 8);
        assert_int_equal(today.part[0].visits, 4);
        for (size_t i = 1; i < today.items; i++)
            assert_true(today.item[i].passage != today.item[i - 1].passage);
        assert_int_equal(today.item[0].why, PASSO_PLACE_FREE);
        passo_today_free(&today);
    }
    routine.order = PASSO_ORDER_BLOCKED;
    plan(&ask, &today, text);
    size_t changes = 0;
    for (size_t i = 1; i < today.items; i++)
        changes += today.item[i].passage != today.item[i - 1].passage;
    assert_int_equal(changes, 2);
    passo_today_free(&today);
}

/* Keys of a block that carries: the next three each day. */
static void test_keys_are_carried(void **state)
{
    (void)state;
    struct passo_routine routine = {
        .visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = MINUTE_MS};
    today_block(&routine, "Scales", "", PASSO_CYCLE_FOURTHS, 100000)->keys_a_day = 3;
    int64_t carried = 10;
    const struct passo_today_ask ask = {.routine = &routine, .carried = &carried, .day = 3};
    struct passo_today today;
    char text[TEXT];
    plan(&ask, &today, text);
    assert_string_equal(text, "D G C");
    assert_int_equal(today.item[0].ms + today.item[1].ms + today.item[2].ms, 100000);
    assert_int_equal(today.item[1].ms, 33333);
    assert_int_equal(today.item[1].passes, 1);
    passo_today_free(&today);
    carried = 3 * 8 * 12 + 3;
    plan(&ask, &today, text);
    assert_string_equal(text, "Eb Ab Db");
    passo_today_free(&today);
}

static void test_how_long_blocks_take(void **state)
{
    (void)state;
    struct passo_routine routine = {0};
    today_block(&routine, "Free", "", PASSO_CYCLE_NONE, 90000)->pass_ms = 0;
    struct passo_block *scales = today_block(&routine, "Scales", "", PASSO_CYCLE_FIFTHS, 0);
    scales->passes = 2;
    today_block(&routine, "Flow", "", PASSO_CYCLE_FOURTHS, 600000)->keys_a_day = 4;
    assert_int_equal(passo_routine_ms(&routine), 90000 + 12 * 2 * 20000 + 600000);
    scales->keys_a_day = 5;
    assert_int_equal(passo_routine_ms(&routine), 90000 + 5 * 2 * 20000 + 600000);
    passo_routine_stretch(&routine, 3, 2);
    assert_int_equal(routine.block[0].ms, 135000);
    assert_int_equal(routine.block[1].ms, 0);
    assert_int_equal(routine.block[2].ms, 900000);
    passo_routine_stretch(&routine, 2, 3);
    assert_int_equal(routine.block[0].ms, 90000);
    assert_int_equal(routine.block[2].ms, 600000);
    passo_routine_stretch(&routine, 667, 1000);
    assert_int_equal(routine.block[0].ms, 60030);
    passo_routine_stretch(&routine, 0, 1);
    assert_int_equal(routine.block[0].ms, 1000); /* a second a key stays */
    assert_int_equal(routine.block[2].ms, 4000);
}

static void test_faults(void **state)
{
    (void)state;
    struct passo_routine routine;
    struct passo_today today = {0};
    set_session(&routine);
    const struct passo_routine good = routine;
    struct passo_today_ask ask = {
        .routine = &routine, .passage = six, .passages = SIX, .passages_ms = 15 * MINUTE_MS};
#define REFUSED(fault)                                                                             \
    do {                                                                                           \
        fault;                                                                                     \
        assert_int_equal(passo_today_plan(&ask, &today), PASSO_ERR_RANGE);                         \
        assert_null(today.item);                                                                   \
        passo_today_free(&today);                                                                  \
        routine = good;                                                                            \
    } while (0)
    REFUSED(routine.block[1].ms = 0);
    REFUSED(routine.block[1].ms = -1);
    REFUSED(routine.block[0].ms = 11); /* twelve keys */
    REFUSED(routine.block[0].cycle.kind = PASSO_CYCLE_LIST);
    REFUSED(routine.least_ms = 4 * MINUTE_MS);
    REFUSED(routine.visit_ms = 0);
    REFUSED(routine.blocks = PASSO_BLOCKS_MAX + 1);
    REFUSED(routine.order = PASSO_ORDER_COUNT);
    struct passo_today_passage bad = six[0];
    ask.passage = &bad;
    ask.passages = 1;
    REFUSED(bad.rate = 0);
    bad = six[0];
    REFUSED(bad.level = NAN);
    bad = six[0];
    REFUSED(bad.keys = PASSO_PASSAGE_KEYS_MAX + 1);
    bad = six[0];
    REFUSED(bad.key[0].tonic = PASSO_TONIC_MAX + 1);
    bad = six[0];
    REFUSED(ask.passages_ms = -1);
    ask.passages_ms = 15 * MINUTE_MS;
    const int32_t start[] = {12, -1};
    REFUSED(ask.start_place = start);
    ask.start_place = NULL;
    const int64_t carried[] = {-2, 0};
    REFUSED(ask.carried = carried);
    ask.carried = NULL;
    assert_int_equal(passo_today_plan(&ask, &today), PASSO_OK);
    passo_today_free(&today);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(test_session_10, set_six),
        cmocka_unit_test_setup(test_session_10_tomorrow, set_six),
        cmocka_unit_test_setup(test_left_minutes_admit_the_other, set_six),
        cmocka_unit_test_setup(test_few_minutes_go_to_the_neediest, set_six),
        cmocka_unit_test(test_water_is_filled),
        cmocka_unit_test_setup(test_relative_keys_when_asked, set_six),
        cmocka_unit_test(test_without_blocks),
        cmocka_unit_test(test_keys_are_carried),
        cmocka_unit_test(test_how_long_blocks_take),
        cmocka_unit_test_setup(test_faults, set_six),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
