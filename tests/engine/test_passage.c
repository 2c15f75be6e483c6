/* Passage: meters by printed bar, lengths, what is always there, turns, and faulty input. */
#include "time_tools.h"

static const struct passo_ratio none = {0, 1};

/* trade.md session 4: 7/8 as 2+2+3, ten bars, bar 5 in 3/4. */
static struct passo_passage session_4(void)
{
    struct passo_passage passage = {.meter = groups_of(8, 3, 2, 2, 3),
                                    .beat = {1, 8},
                                    .first_bar = 1,
                                    .bars = 10,
                                    .changes = 2};
    passage.change[0] = (struct passo_meter_change){5, meter_of(3, 4)};
    passage.change[1] = (struct passo_meter_change){6, passage.meter};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    return passage;
}

static void test_meter_by_bar(void **state)
{
    (void)state;
    struct passo_passage passage = session_4();
    static const int32_t sevens[] = {-4, 0, 1, 4, 6, 10, 11, 99};
    for (size_t i = 0; i < sizeof sevens / sizeof sevens[0]; i++)
        assert_int_equal(passo_passage_meter(&passage, sevens[i])->count, 7);
    assert_int_equal(passo_passage_meter(&passage, 5)->count, 3);
    /* a change in the last bar holds for the bars after it, one in the first for those before */
    passage.bars = 5;
    assert_int_equal(passo_passage_meter(&passage, 9)->count, 3);
    passage.first_bar = 5;
    assert_int_equal(passo_passage_meter(&passage, 2)->count, 3);
}

static void test_lengths(void **state)
{
    (void)state;
    struct passo_passage passage = session_4();
    const struct passo_loop *whole = &passage.loop[0];
    /* trade.md session 4: 69 eighths */
    assert_int_equal(
        passo_ratio_cmp(passo_passage_length(&passage, whole->from, whole->to), ratio(69, 8)), 0);
    struct passo_place middle = {5, ratio(1, 4)};
    assert_int_equal(
        passo_ratio_cmp(passo_passage_length(&passage, whole->from, middle), ratio(30, 8)), 0);
    assert_int_equal(
        passo_ratio_cmp(passo_passage_length(&passage, middle, whole->to), ratio(39, 8)), 0);
    assert_int_equal(passo_passage_length(&passage, whole->to, whole->from).num, 0);
    assert_int_equal(passo_passage_length(&passage, middle, middle).num, 0);
    assert_int_equal(passo_passage_length(&passage, middle, (struct passo_place){5, none}).num, 0);
    /* a place left at its zero value is the bar's start */
    struct passo_place start = {.bar = 6};
    assert_int_equal(passo_ratio_cmp(passo_passage_length(&passage, middle, start), ratio(1, 2)),
                     0);
}

static void check_place(struct passo_place place, int32_t bar, struct passo_ratio at)
{
    assert_int_equal(place.bar, bar);
    assert_int_equal(passo_ratio_cmp(place.at, at), 0);
}

static void test_what_is_always_there(void **state)
{
    (void)state;
    struct passo_passage passage = {
        .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 33, .bars = 4};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    assert_int_equal(passage.loops, 1);
    assert_string_equal(passage.loop[0].name, "whole");
    check_place(passage.loop[0].from, 33, none);
    check_place(passage.loop[0].to, 37, none);
    assert_int_equal(passage.variants, 1);
    assert_string_equal(passage.variant[0].name, "as written");
    assert_int_equal(passage.variant[0].octave, 0);
    assert_memory_equal(&passage.context, &passage.loop[0], sizeof passage.context);
}

static void test_pickup_lies_in_the_bar_before(void **state)
{
    (void)state;
    struct passo_passage passage = {
        .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 1, .bars = 8, .pickup = {3, 8}};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    check_place(passage.loop[0].from, 0, ratio(5, 8));
    check_place(passage.loop[0].to, 9, none);
    assert_int_equal(
        passo_ratio_cmp(passo_passage_length(&passage, passage.loop[0].from, passage.loop[0].to),
                        ratio(67, 8)),
        0);
}

static void test_own_context_is_kept(void **state)
{
    (void)state;
    struct passo_passage passage = {
        .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 33, .bars = 4};
    passage.context = loop_of(29, none, 41, none);
    struct passo_loop context = passage.context;
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    assert_memory_equal(&passage.context, &context, sizeof context);
}

static void test_turns(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 8);
    struct passo_turn turn[PASSO_TURNS_MAX];
    assert_int_equal(passo_passage_turns(&passage, turn), 1);
    assert_int_equal(turn[0].loop, 0);
    assert_int_equal(turn[0].variant, 0);
    passage.variants = 3;
    assert_int_equal(passo_passage_turns(&passage, turn), 2);
    assert_int_equal(turn[0].loop, 0);
    assert_int_equal(turn[0].variant, 1);
    assert_int_equal(turn[1].variant, 2);
    passage.loops = 3; /* loops outside, variants inside */
    assert_int_equal(passo_passage_turns(&passage, turn), 4);
    static const struct passo_turn expected[] = {{1, 1}, {1, 2}, {2, 1}, {2, 2}};
    assert_memory_equal(turn, expected, sizeof expected);
    passage.variants = 1;
    assert_int_equal(passo_passage_turns(&passage, turn), 2);
    assert_int_equal(turn[1].loop, 2);
    assert_int_equal(turn[1].variant, 0);
    passage.loops = PASSO_LOOPS_MAX;
    passage.variants = PASSO_VARIANTS_MAX;
    assert_int_equal(passo_passage_turns(&passage, turn), PASSO_TURNS_MAX);
}

/* What each call breaks of a good passage must be refused. */
static void break_bars(struct passo_passage *p)
{
    p->bars = 0;
}

static void break_many_bars(struct passo_passage *p)
{
    p->bars = PASSO_BARS_MAX + 1;
}

static void break_bar_number(struct passo_passage *p)
{
    p->first_bar = INT32_MAX;
}

static void break_pickup(struct passo_passage *p)
{
    p->pickup = ratio(1, 1);
}

static void break_pickup_sign(struct passo_passage *p)
{
    p->pickup = ratio(-1, 4);
}

static void break_beat(struct passo_passage *p)
{
    p->beat = ratio(1, PASSO_BEAT_TERM_MAX + 1);
}

static void break_no_beat(struct passo_passage *p)
{
    p->beat = none;
}

static void break_backward(struct passo_passage *p)
{
    p->loop[1] = loop_of(3, none, 2, none);
}

static void break_empty(struct passo_passage *p)
{
    p->loop[1] = loop_of(3, none, 3, none);
}

static void break_far(struct passo_passage *p)
{
    p->loop[1] = loop_of(1, none, INT32_MAX, none);
}

static void break_outside_its_bar(struct passo_passage *p)
{
    p->loop[1] = loop_of(1, ratio(5, 4), 3, none);
}

static void break_before_its_bar(struct passo_passage *p)
{
    p->loop[1] = loop_of(1, ratio(-1, 4), 3, none);
}

static void break_fine(struct passo_passage *p)
{
    p->loop[1] = loop_of(1, ratio(1, 257), 3, none);
}

static void break_context(struct passo_passage *p)
{
    p->context = loop_of(3, none, 1, none);
}

static void test_faulty_passages_are_refused(void **state)
{
    (void)state;
    void (*const fault[])(struct passo_passage *) = {
        break_bars, break_many_bars, break_bar_number,      break_pickup,        break_pickup_sign,
        break_beat, break_no_beat,   break_backward,        break_empty,         break_far,
        break_fine, break_context,   break_outside_its_bar, break_before_its_bar};
    for (size_t i = 0; i < sizeof fault / sizeof fault[0]; i++) {
        struct passo_passage passage = {
            .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 1, .bars = 8, .loops = 2};
        passage.loop[1] = loop_of(1, ratio(1, 256), 3, ratio(4, 4));
        struct passo_passage good = passage;
        assert_int_equal(passo_passage_complete(&good), PASSO_OK);
        fault[i](&passage);
        assert_int_equal(passo_passage_complete(&passage), PASSO_ERR_RANGE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_meter_by_bar),
        cmocka_unit_test(test_lengths),
        cmocka_unit_test(test_what_is_always_there),
        cmocka_unit_test(test_pickup_lies_in_the_bar_before),
        cmocka_unit_test(test_own_context_is_kept),
        cmocka_unit_test(test_turns),
        cmocka_unit_test(test_faulty_passages_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
