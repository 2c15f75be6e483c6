/* Where the visits of a day stand: by key, by words, and where there is a choice, the nearest key,
 * the emptier block, the farther stop. What is drawn is looked at over many days. */
#include "engine/today_tools.h"

enum { TEXT = 2048, MANY = 60 };

static void plan(const struct passo_today_ask *ask, struct passo_today *today, char text[TEXT])
{
    memset(today, 0, sizeof *today);
    assert_int_equal(passo_today_plan(ask, today), PASSO_OK);
    today_write(ask, today, text, TEXT);
}

static struct passo_routine a_minute_each(void)
{
    return (struct passo_routine){
        .relative = true, .visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = MINUTE_MS};
}

static struct passo_today_passage passage(const char *name, const char *tags)
{
    return (struct passo_today_passage){.name = name, .tags = tags, .rate = 1, .due = true};
}

/* Its own key before its twin, its twin before its relative. */
static void test_the_nearest_key_is_taken(void **state)
{
    (void)state;
    struct passo_routine routine = a_minute_each();
    struct passo_block *block = today_block(&routine, "keys", "", PASSO_CYCLE_LIST, 600000);
    block->cycle.listed = 3;
    block->cycle.list[0] = MAJOR(1);  /* G major, the relative of E minor */
    block->cycle.list[1] = MINOR(-8); /* F-flat minor, its twin */
    block->cycle.list[2] = MINOR(4);
    struct passo_today_passage one = passage("x", "");
    one.keys = 1;
    one.key[0] = MINOR(4);
    struct passo_today_ask ask = {
        .routine = &routine, .passage = &one, .passages = 1, .passages_ms = MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    for (ask.day = 0; ask.day < MANY; ask.day++) {
        plan(&ask, &today, text);
        assert_non_null(strstr(text, "E [x k]"));
        passo_today_free(&today);
    }
    block->cycle.listed = 2;
    for (ask.day = 0; ask.day < MANY; ask.day++) {
        plan(&ask, &today, text);
        assert_non_null(strstr(text, "Fb [x e]"));
        passo_today_free(&today);
    }
}

/* One takes the only place of another only if that can stand nowhere else: the one with two
 * keys moves to its other. */
static void test_who_can_move_moves(void **state)
{
    (void)state;
    struct passo_routine routine = {
        .visit_ms = 2 * MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = 2 * MINUTE_MS};
    struct passo_block *block =
        today_block(&routine, "Scales", "", PASSO_CYCLE_LIST, 4 * MINUTE_MS);
    block->cycle.list[0] = MAJOR(1);
    block->cycle.list[1] = MAJOR(-2);
    block->cycle.listed = 2;
    struct passo_today_passage two[] = {{.name = "either",
                                         .tags = "",
                                         .key = {MAJOR(1), MAJOR(-2)},
                                         .keys = 2,
                                         .level = -1,
                                         .rate = 1,
                                         .due = true},
                                        {.name = "only",
                                         .tags = "",
                                         .key = {MAJOR(1)},
                                         .keys = 1,
                                         .level = 0,
                                         .rate = 1,
                                         .due = true}};
    struct passo_today_ask ask = {
        .routine = &routine, .passage = two, .passages = 2, .passages_ms = 2 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    for (ask.day = 0; ask.day < 40; ask.day++) {
        plan(&ask, &today, text);
        assert_non_null(strstr(text, "G [only k]"));
        assert_non_null(strstr(text, "Bb [either k]"));
        passo_today_free(&today);
    }
    two[0].key[1] = MINOR(-5); /* never comes up */
    plan(&ask, &today, text);
    assert_int_equal(today.part[1].why, PASSO_GETS_TURN);
    assert_int_equal(today.part[1].other, 0);
    assert_non_null(strstr(text, "G [either k]"));
    /* With two whole visits to give, it stands elsewhere. */
    routine.visit_ms = MINUTE_MS;
    passo_today_free(&today);
    plan(&ask, &today, text);
    assert_int_equal(today.part[1].visits, 1);
    assert_null(strstr(text, "[only k]"));
    passo_today_free(&today);
}

/* Tags whole, names whole or a word of them; case does not matter; what matches nothing goes where
 * most words are shared. */
static void test_words(void **state)
{
    (void)state;
    struct passo_routine routine = {
        .visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = MINUTE_MS};
    today_block(&routine, "Long tones", "soft,  Low Register", PASSO_CYCLE_NONE, MINUTE_MS);
    today_block(&routine, "Lip slurs", "flexibility", PASSO_CYCLE_NONE, MINUTE_MS);
    today_block(&routine, "Tonguing", "double tongue", PASSO_CYCLE_NONE, MINUTE_MS);
    static const struct {
        const char *tags;
        const char *expected;
    } cases[] = {
        {"low register", "Long tones [x t] Lip slurs Tonguing"},
        {"register", "Long tones [x s] Lip slurs Tonguing"},
        {"FLEXIBILITY", "Long tones Lip slurs [x t] Tonguing"},
        {"lip slurs", "Long tones Lip slurs [x t] Tonguing"},
        {"loud, slurs", "Long tones Lip slurs [x t] Tonguing"},
        {"double", "Long tones Lip slurs Tonguing [x s]"},
        {" double tongue ,high", "Long tones Lip slurs Tonguing [x t]"},
        {"long, tongue, double", "Long tones [x t] Lip slurs Tonguing"},
        {"the low tongue, double", "Long tones Lip slurs Tonguing [x s]"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct passo_today_passage one = {
            .name = "x", .tags = cases[i].tags, .level = 0, .rate = 1, .due = true};
        struct passo_today today;
        char text[TEXT];
        const struct passo_today_ask ask = {.routine = &routine,
                                            .passage = &one,
                                            .passages = 1,
                                            .passages_ms = MINUTE_MS,
                                            .day = (int64_t)i};
        plan(&ask, &today, text);
        assert_string_equal(text, cases[i].expected);
        passo_today_free(&today);
    }
}

/* Three visits of one passage among six blocks, the first after the first block: the others lie as
 * far off as can be, but not after the last block, which is there to end on. */
static void test_visits_are_spread(void **state)
{
    (void)state;
    struct passo_routine routine = {
        .visit_ms = MINUTE_MS, .least_ms = MINUTE_MS, .most_ms = 3 * MINUTE_MS};
    static const char *const names[] = {"a", "b", "c", "d", "e", "f"};
    for (size_t i = 0; i < 6; i++)
        today_block(&routine, names[i], i == 0 ? "trill" : "", PASSO_CYCLE_NONE, MINUTE_MS);
    const struct passo_today_passage one = {
        .name = "x", .tags = "trill", .level = 0, .rate = 1, .due = true};
    struct passo_today_ask ask = {
        .routine = &routine, .passage = &one, .passages = 1, .passages_ms = 3 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    plan(&ask, &today, text);
    assert_string_equal(text, "a [x t] b c [x d] d e [x d] f");
    assert_int_equal(today.item[1].number, 1);
    assert_int_equal(today.item[4].number, 2);
    assert_int_equal(today.item[7].of, 3);
    passo_today_free(&today);
    /* a further place of its own comes before any other stop */
    snprintf(routine.block[3].tags, sizeof routine.block[3].tags, "trill");
    ask.passages_ms = 2 * MINUTE_MS;
    plan(&ask, &today, text);
    assert_string_equal(text, "a [x t] b c d [x t] e f");
    passo_today_free(&today);
    routine.order = PASSO_ORDER_BLOCKED;
    plan(&ask, &today, text);
    assert_true(strcmp(text, "a [x t] [x t] b c d e f") == 0 ||
                strcmp(text, "a b c d [x t] [x t] e f") == 0);
    passo_today_free(&today);
}

/* Blocks that match alike, and those that match nothing, take as many visits each. */
static void test_the_emptier_block_is_taken(void **state)
{
    (void)state;
    struct passo_routine routine = a_minute_each();
    today_block(&routine, "one", "trill", PASSO_CYCLE_NONE, 60000);
    today_block(&routine, "two", "trill", PASSO_CYCLE_NONE, 60000);
    struct passo_today_passage two[] = {passage("x", "trill"), passage("y", "trill")};
    struct passo_today_ask ask = {
        .routine = &routine, .passage = two, .passages = 2, .passages_ms = 2 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    for (ask.day = 0; ask.day < 2 * MANY; ask.day++) {
        two[0].tags = two[1].tags = ask.day < MANY ? "trill" : "";
        plan(&ask, &today, text);
        assert_int_equal(today.item[0].kind, PASSO_ITEM_BLOCK);
        assert_int_equal(today.item[1].kind, PASSO_ITEM_VISIT);
        assert_int_equal(today.item[2].kind, PASSO_ITEM_BLOCK);
        assert_int_equal(today.item[3].kind, PASSO_ITEM_VISIT);
        assert_int_equal(today.item[1].why, ask.day < MANY ? PASSO_PLACE_TAG : PASSO_PLACE_SUITS);
        passo_today_free(&today);
    }
}

/* One that moved on from its key leaves no visit behind: the block of keys has two, the other
 * three, and what suits neither goes to the former. */
static void test_who_moves_leaves_nothing_behind(void **state)
{
    (void)state;
    struct passo_routine routine = a_minute_each();
    struct passo_block *block = today_block(&routine, "keys", "", PASSO_CYCLE_LIST, 600000);
    block->cycle.listed = 2;
    block->cycle.list[0] = MAJOR(1);
    block->cycle.list[1] = MAJOR(-2);
    today_block(&routine, "end", "trill", PASSO_CYCLE_NONE, 60000);
    struct passo_today_passage six[] = {passage("either", ""), passage("only", ""),
                                        passage("s", "trill"), passage("t", "trill"),
                                        passage("u", "trill"), passage("x", "")};
    six[0].keys = 2;
    six[0].key[0] = MAJOR(1);
    six[0].key[1] = MAJOR(-2);
    six[0].level = -1;
    six[1].keys = 1;
    six[1].key[0] = MAJOR(1);
    struct passo_today_ask ask = {
        .routine = &routine, .passage = six, .passages = 6, .passages_ms = 6 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    for (ask.day = 0; ask.day < MANY; ask.day++) {
        plan(&ask, &today, text);
        assert_non_null(strstr(text, "[x s] end"));
        passo_today_free(&today);
    }
}

/* Of three places of its own, the two that lie together are never both taken. */
static void test_the_farther_place_is_taken(void **state)
{
    (void)state;
    struct passo_routine routine = a_minute_each();
    static const char *const tags[] = {"trill", "trill", "", "", "trill"};
    static const char *const names[] = {"a", "b", "c", "d", "e"};
    routine.most_ms = 2 * MINUTE_MS;
    for (size_t i = 0; i < 5; i++)
        today_block(&routine, names[i], tags[i], PASSO_CYCLE_NONE, 60000);
    const struct passo_today_passage one = passage("x", "trill");
    struct passo_today_ask ask = {
        .routine = &routine, .passage = &one, .passages = 1, .passages_ms = 2 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    size_t from_the_first = 0;
    for (ask.day = 0; ask.day < MANY; ask.day++) {
        plan(&ask, &today, text);
        assert_non_null(strstr(text, "e [x t]"));
        from_the_first += strstr(text, "a [x t]") != NULL;
        passo_today_free(&today);
    }
    assert_true(from_the_first > 0);
}

/* More visits than stops: every block's end has as many, and eight is the most. */
static void test_what_is_left_goes_to_all_ends(void **state)
{
    (void)state;
    struct passo_routine routine = a_minute_each();
    routine.most_ms = 20 * MINUTE_MS;
    today_block(&routine, "a", "", PASSO_CYCLE_NONE, 60000);
    today_block(&routine, "b", "", PASSO_CYCLE_NONE, 60000);
    const struct passo_today_passage one = passage("x", "");
    const struct passo_today_ask ask = {
        .routine = &routine, .passage = &one, .passages = 1, .passages_ms = 20 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    plan(&ask, &today, text);
    assert_int_equal(today.part[0].visits, PASSO_VISITS_MAX);
    assert_int_equal(today.part[0].ms, PASSO_VISITS_MAX * MINUTE_MS);
    assert_int_equal(today.item[5].kind, PASSO_ITEM_BLOCK); /* after a and four visits */
    passo_today_free(&today);
}

/* No least said: who stands far above the level is visited all the same, for a second. */
static void test_the_least_is_a_second(void **state)
{
    (void)state;
    struct passo_routine routine = a_minute_each();
    routine.least_ms = 0;
    routine.most_ms = 3 * MINUTE_MS;
    struct passo_today_passage two[] = {passage("low", ""), passage("high", "")};
    two[0].level = -100;
    const struct passo_today_ask ask = {
        .routine = &routine, .passage = two, .passages = 2, .passages_ms = 2 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    plan(&ask, &today, text);
    assert_int_equal(today.part[0].ms, 119000);
    assert_int_equal(today.part[1].ms, 1000);
    assert_int_equal(today.part[1].why, PASSO_GETS_LEAST);
    passo_today_free(&today);
}

/* Without blocks, two visits of one have the four others between them. */
static void test_visits_without_blocks_lie_apart(void **state)
{
    (void)state;
    struct passo_routine routine = a_minute_each();
    routine.most_ms = 2 * MINUTE_MS;
    struct passo_today_passage five[] = {passage("twice", ""), passage("p", ""), passage("q", ""),
                                         passage("r", ""), passage("s", "")};
    five[0].level = -100;
    struct passo_today_ask ask = {
        .routine = &routine, .passage = five, .passages = 5, .passages_ms = 6 * MINUTE_MS};
    struct passo_today today;
    char text[TEXT];
    for (ask.day = 0; ask.day < MANY; ask.day++) {
        plan(&ask, &today, text);
        assert_int_equal(today.items, 6);
        assert_int_equal(today.item[0].passage, 0);
        assert_int_equal(today.item[5].passage, 0);
        passo_today_free(&today);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_nearest_key_is_taken),
        cmocka_unit_test(test_who_can_move_moves),
        cmocka_unit_test(test_words),
        cmocka_unit_test(test_visits_are_spread),
        cmocka_unit_test(test_the_emptier_block_is_taken),
        cmocka_unit_test(test_who_moves_leaves_nothing_behind),
        cmocka_unit_test(test_the_farther_place_is_taken),
        cmocka_unit_test(test_what_is_left_goes_to_all_ends),
        cmocka_unit_test(test_the_least_is_a_second),
        cmocka_unit_test(test_visits_without_blocks_lie_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
