/* Where notes lie: bars and whole notes, one made of the other, and the first note of a loop. */
#include "notes_tools.h"

static const struct passo_ratio none = {0, 1};

/* trade.md session 4: 7/8 as 2+2+3, ten bars, bar 5 in 3/4: 69 eighths. */
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

static void places_are_counted_from_the_first_full_bar(void **unused)
{
    (void)unused;
    const struct passo_passage passage = session_4();
    static const struct {
        int32_t bar;
        struct passo_ratio at;
        int64_t eighths;
    } places[] = {
        {1, {0, 1}, 0},  {1, {3, 8}, 3},    {2, {0, 1}, 7},    {5, {0, 1}, 28},  {5, {1, 4}, 30},
        {6, {0, 1}, 34}, {10, {0, 1}, 62},  {11, {0, 1}, 69},  {13, {1, 8}, 84}, {0, {0, 1}, -7},
        {0, {5, 8}, -2}, {-3, {0, 1}, -28}, {-3, {3, 4}, -22},
    };
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        const struct passo_place place = {places[i].bar, places[i].at};
        const struct passo_ratio at = ratio(places[i].eighths, 8);
        is_ratio(passo_notes_at(&passage, place), at);
        const struct passo_place back = passo_notes_place(&passage, at);
        assert_int_equal(back.bar, place.bar);
        is_ratio(back.at, place.at);
    }
    /* a place left at its zero value is the bar's start, a bar's end the next one's */
    is_ratio(passo_notes_at(&passage, (struct passo_place){.bar = 6}), ratio(34, 8));
    is_ratio(passo_notes_at(&passage, (struct passo_place){5, {3, 4}}), ratio(34, 8));
}

/* A passage out of the middle of a piece may list changes that lie before it. */
static void earlier_changes_hold_from_the_first_bar(void **unused)
{
    (void)unused;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 20, 4);
    passage.change[passage.changes++] = (struct passo_meter_change){9, meter_of(2, 4)};
    passage.change[passage.changes++] = (struct passo_meter_change){17, meter_of(3, 4)};
    for (int32_t bar = 16; bar < 26; bar++) {
        const struct passo_ratio at = ratio((bar - 20) * 3, 4);
        is_ratio(passo_notes_at(&passage, (struct passo_place){bar, none}), at);
        const struct passo_place back = passo_notes_place(&passage, at);
        assert_int_equal(back.bar, bar);
        is_ratio(back.at, none);
    }
}

static void a_pickup_lies_before_the_line(void **unused)
{
    (void)unused;
    struct passo_passage passage = {
        .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 33, .bars = 8, .pickup = {3, 8}};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    is_ratio(passo_notes_at(&passage, passage.loop[0].from), ratio(-3, 8));
    is_ratio(passo_notes_at(&passage, passage.loop[0].to), ratio(8, 1));
    const struct passo_place place = passo_notes_place(&passage, ratio(-3, 8));
    assert_int_equal(place.bar, 32);
    is_ratio(place.at, ratio(5, 8));
}

/* Bar after bar, each as long as its meter says. */
static struct passo_ratio walked(const struct passo_passage *passage, struct passo_place place)
{
    struct passo_ratio at = place.at;
    for (int32_t bar = passage->first_bar; bar < place.bar; bar++)
        at = passo_ratio_add(at, passo_meter_length(passo_passage_meter(passage, bar)));
    for (int32_t bar = place.bar; bar < passage->first_bar; bar++)
        at = passo_ratio_sub(at, passo_meter_length(passo_passage_meter(passage, bar)));
    return at;
}

static struct passo_place draw_place(uint64_t *seed, const struct passo_passage *passage)
{
    struct passo_place place = {.bar = passage->first_bar +
                                       (int32_t)random_between(seed, -20, passage->bars + 20)};
    const struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, place.bar));
    place.at = passo_ratio_mul(bar, ratio(random_between(seed, 0, 47), 48));
    return place;
}

static void drawn_places_are_found_again(void **unused)
{
    (void)unused;
    uint64_t seed = 6;
    for (int i = 0; i < 3000; i++) {
        struct passo_passage passage;
        draw_passage(&seed, &passage);
        const struct passo_place a = draw_place(&seed, &passage);
        const struct passo_place b = draw_place(&seed, &passage);
        const struct passo_ratio at = passo_notes_at(&passage, a);
        is_ratio(at, walked(&passage, a));
        const struct passo_place back = passo_notes_place(&passage, at);
        assert_int_equal(back.bar, a.bar);
        is_ratio(back.at, a.at);
        /* they are as far apart as the passage says */
        const struct passo_ratio apart = passo_ratio_sub(passo_notes_at(&passage, b), at);
        is_ratio(passo_passage_length(&passage, a, b), apart.num > 0 ? apart : none);
    }
}

static void far_places_are_found(void **unused)
{
    (void)unused;
    struct passo_passage passage = passage_of(meter_of(3, 4), ratio(1, 4), 1, PASSO_BARS_MAX);
    passage.changes = PASSO_CHANGES_MAX;
    for (size_t i = 0; i < PASSO_CHANGES_MAX; i++)
        passage.change[i] =
            (struct passo_meter_change){(int32_t)(20 * i) + 1, meter_of(i % 2 ? 4 : 3, 4)};
    /* 63 changes of twenty bars, 3/4 and 4/4 in turn, then 739 bars of 4/4 */
    const struct passo_ratio end = ratio((32 * 3 + 31 * 4) * 20 + 739 * 4, 4);
    const struct passo_place last = passo_notes_place(&passage, end);
    assert_int_equal(last.bar, 1260 + 739 + 1);
    is_ratio(last.at, none);
    is_ratio(passo_notes_at(&passage, last), end);
}

static void the_first_note_of_a_loop_may_be_under_way(void **unused)
{
    (void)unused;
    struct passo_passage passage = {
        .meter = meter_of(3, 4), .beat = {1, 4}, .first_bar = 9, .bars = 4, .pickup = {1, 8}};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_notes notes;
    /* the pickup; bars 9 and 10 with a note over the line; bar 11 rests; bar 12 */
    notes_of(&notes, ratio(-1, 8), "1/8 1/4 1/4 1/2 1/4 1/4 r3/4 r1/4 1/2");
    const struct {
        struct passo_loop loop;
        int first;
    } loops[] = {
        {passage.loop[0], 0},
        {loop_of(9, none, 10, none), 1},
        {loop_of(9, ratio(1, 8), 9, ratio(1, 2)), 1},
        {loop_of(9, ratio(1, 4), 9, ratio(1, 2)), 2},
        {loop_of(10, none, 11, none), 3}, /* it is under way there */
        {loop_of(10, ratio(1, 8), 10, ratio(1, 4)), 3},
        {loop_of(10, ratio(1, 4), 10, ratio(1, 2)), 4}, /* note 3 has just ended */
        {loop_of(11, none, 12, none), -1},
        {loop_of(11, none, 12, ratio(1, 8)), -1},
        {loop_of(11, none, 12, ratio(1, 4)), 6}, /* it lands on that one */
        {loop_of(11, none, 13, none), 6},
        {loop_of(13, none, 14, none), -1},
    };
    for (size_t i = 0; i < sizeof loops / sizeof *loops; i++) {
        const struct passo_note *first = passo_notes_first(&notes, &passage, &loops[i].loop);
        assert_int_equal(first ? first - notes.note : -1, loops[i].first);
    }
    notes.notes = 0;
    assert_null(passo_notes_first(&notes, &passage, &passage.loop[0]));
}

/* Of a note from the third beat to the end of the fifth, by hand. */
static void what_is_played_from_here_to_there(void **unused)
{
    (void)unused;
    const struct passo_note note = {.at = {1, 2}, .length = {3, 4}};
    const struct {
        struct passo_ratio from, to;
        bool played, if_it_lands;
    } cases[] = {
        {{0, 1}, {1, 4}, false, false}, {{0, 1}, {1, 2}, false, true},
        {{0, 1}, {3, 4}, true, true},   {{1, 2}, {2, 1}, true, true},
        {{1, 1}, {2, 1}, true, true},   {{5, 4}, {2, 1}, false, false},
        {{3, 2}, {2, 1}, false, false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_int_equal(passo_notes_is_played(&note, cases[i].from, cases[i].to, false),
                         cases[i].played);
        assert_int_equal(passo_notes_is_played(&note, cases[i].from, cases[i].to, true),
                         cases[i].if_it_lands);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(places_are_counted_from_the_first_full_bar),
        cmocka_unit_test(earlier_changes_hold_from_the_first_bar),
        cmocka_unit_test(a_pickup_lies_before_the_line),
        cmocka_unit_test(drawn_places_are_found_again),
        cmocka_unit_test(far_places_are_found),
        cmocka_unit_test(the_first_note_of_a_loop_may_be_under_way),
        cmocka_unit_test(what_is_played_from_here_to_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
