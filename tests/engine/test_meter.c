/* Meter: usual groups, beat units and counted beats. The groupings and units are common practice;
 * trade.md section 2-3 (a) 3 and 4 lists the meters. */
#include "time_tools.h"

static const struct passo_ratio groups_unit = {0, 1};

/* "B0 b1/4": strength and offset of each counted beat. */
static const char *counted(const struct passo_meter *meter, struct passo_ratio unit)
{
    static char text[PASSO_METER_BEATS_MAX * 16];
    static const char letter[] = {
        [PASSO_CLICK_BAR] = 'B', [PASSO_CLICK_GROUP] = 'G', [PASSO_CLICK_BEAT] = 'b'};
    struct passo_beat beat[PASSO_METER_BEATS_MAX];
    size_t beats = passo_meter_beats(meter, unit, beat);
    size_t used = 0;
    for (size_t i = 0; i < beats; i++) {
        int more = snprintf(text + used, sizeof text - used, "%s%c%" PRId64 "/%" PRId64,
                            i ? " " : "", letter[beat[i].click], beat[i].at.num, beat[i].at.den);
        assert_true(more > 0 && (size_t)more < sizeof text - used);
        used += (size_t)more;
    }
    return text;
}

static void check_counted(struct passo_meter meter, struct passo_ratio unit, const char *expected)
{
    assert_string_equal(counted(&meter, unit), expected);
}

static void test_usual_groups(void **state)
{
    (void)state;
    static const struct {
        uint8_t count, unit, groups;
    } row[] = {
        {2, 4, 2},   {3, 4, 3},   {4, 4, 4},   {2, 2, 2},  {3, 2, 3},  {4, 2, 4},
        {3, 8, 3},   {6, 8, 2},   {9, 8, 3},   {12, 8, 4}, {15, 8, 5}, {6, 16, 2},
        {9, 16, 3},  {12, 16, 4}, {15, 16, 5}, {6, 32, 2}, {6, 4, 2},  {9, 4, 3},
        {12, 4, 12}, {6, 2, 6},   {6, 64, 6},  {5, 8, 5},  {7, 8, 7},  {8, 8, 8},
        {10, 8, 10}, {11, 8, 11}, {5, 4, 5},   {7, 4, 7},  {1, 1, 1},  {64, 64, 64},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct passo_meter meter = meter_of(row[i].count, row[i].unit);
        assert_int_equal(meter.groups, row[i].groups);
        unsigned sum = 0;
        for (size_t g = 0; g < meter.groups; g++)
            sum += meter.group[g];
        assert_int_equal(sum, row[i].count);
        assert_int_equal(
            passo_ratio_cmp(passo_meter_length(&meter), ratio(row[i].count, row[i].unit)), 0);
    }
}

static void test_beat_units(void **state)
{
    (void)state;
    static const struct {
        uint8_t count, unit;
        struct passo_ratio beat;
    } row[] = {
        {4, 4, {1, 4}}, {3, 4, {1, 4}},  {2, 2, {1, 2}}, {6, 8, {3, 8}}, {9, 8, {3, 8}},
        {6, 4, {3, 4}}, {12, 8, {3, 8}}, {7, 8, {1, 8}}, {3, 8, {1, 8}}, {6, 16, {3, 16}},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct passo_meter meter = meter_of(row[i].count, row[i].unit);
        assert_int_equal(passo_ratio_cmp(passo_meter_beat_unit(&meter), row[i].beat), 0);
    }
    struct passo_meter asymmetric = groups_of(8, 3, 2, 2, 3);
    assert_int_equal(passo_ratio_cmp(passo_meter_beat_unit(&asymmetric), ratio(1, 8)), 0);
    struct passo_meter in_one = groups_of(8, 1, 3);
    assert_int_equal(passo_ratio_cmp(passo_meter_beat_unit(&in_one), ratio(3, 8)), 0);
}

static void test_counting(void **state)
{
    (void)state;
    struct passo_meter common = meter_of(4, 4);
    check_counted(common, ratio(1, 4), "B0/1 b1/4 b1/2 b3/4");
    check_counted(common, groups_unit, "B0/1 b1/4 b1/2 b3/4");
    check_counted(common, ratio(1, 2), "B0/1 b1/2");
    check_counted(common, ratio(1, 8), "B0/1 b1/8 G1/4 b3/8 G1/2 b5/8 G3/4 b7/8");
    check_counted(common, ratio(1, 1), "B0/1");
    struct passo_meter waltz = meter_of(3, 4);
    check_counted(waltz, ratio(3, 4), "B0/1");
    check_counted(waltz, ratio(1, 2), "B0/1 b1/4 b1/2"); /* does not fit: the groups */
    struct passo_meter six = meter_of(6, 8);
    check_counted(six, ratio(1, 8), "B0/1 b1/8 b1/4 G3/8 b1/2 b5/8");
    check_counted(six, ratio(3, 8), "B0/1 b3/8");
    check_counted(six, ratio(3, 4), "B0/1");
    struct passo_meter nine = meter_of(9, 8);
    check_counted(nine, groups_unit, "B0/1 b3/8 b3/4");
    check_counted(nine, ratio(1, 8), "B0/1 b1/8 b1/4 G3/8 b1/2 b5/8 G3/4 b7/8 b1/1");
}

static void test_asymmetric_counting(void **state)
{
    (void)state;
    struct passo_meter seven = groups_of(8, 3, 2, 2, 3);
    check_counted(seven, ratio(1, 8), "B0/1 b1/8 G1/4 b3/8 G1/2 b5/8 b3/4");
    check_counted(seven, groups_unit, "B0/1 b1/4 b1/2");
    check_counted(seven, ratio(1, 4), "B0/1 b1/4 b1/2"); /* fits neither way */
    struct passo_beat beat[PASSO_METER_BEATS_MAX];
    assert_int_equal(passo_meter_beats(&seven, groups_unit, beat), 3);
    assert_int_equal(passo_ratio_cmp(beat[2].length, ratio(3, 8)), 0);
    struct passo_meter five = groups_of(4, 2, 2, 3);
    check_counted(five, ratio(1, 4), "B0/1 b1/4 G1/2 b3/4 b1/1");
    struct passo_meter tied = groups_of(8, 1, 5); /* 5/8 in one */
    check_counted(tied, ratio(5, 8), "B0/1");
    /* 3+3+2 in quarters: counted from the bar's start; only a beat on a group's start is GROUP */
    struct passo_meter eight = groups_of(8, 3, 3, 3, 2);
    check_counted(eight, ratio(1, 4), "B0/1 b1/4 b1/2 G3/4");
}

static void test_units_that_cannot_be_counted(void **state)
{
    (void)state;
    struct passo_meter common = meter_of(4, 4);
    const char *groups = "B0/1 b1/4 b1/2 b3/4";
    check_counted(common, ratio(1, 256), groups); /* 256 beats: too many */
    check_counted(common, ratio(1, INT64_MAX), groups);
    check_counted(common, ratio(INT64_MAX, 1), groups);
    check_counted(common, ratio(-1, 4), groups);
    check_counted(common, (struct passo_ratio){0, 0}, groups);
    check_counted(common, ratio(1, 7), "B0/1 b1/7 b2/7 b3/7 b4/7 b5/7 b6/7"); /* seven in a bar */
    struct passo_beat beat[PASSO_METER_BEATS_MAX];
    assert_int_equal(passo_meter_beats(&common, ratio(1, 128), beat), PASSO_METER_BEATS_MAX);
    struct passo_meter longest = meter_of(64, 1);
    assert_int_equal(passo_meter_beats(&longest, ratio(1, 2), beat), PASSO_METER_BEATS_MAX);
}

/* Any meter, any unit: beats fill the bar without gap, and only the first is BAR. */
static void test_beats_fill_the_bar(void **state)
{
    (void)state;
    uint64_t seed = 11;
    for (int i = 0; i < 20000; i++) {
        uint8_t group[PASSO_METER_COUNT_MAX];
        size_t groups = (size_t)random_between(&seed, 1, 8);
        for (size_t g = 0; g < groups; g++)
            group[g] = (uint8_t)random_between(&seed, 1, 8);
        struct passo_meter meter;
        int64_t unit = 1 << random_between(&seed, 0, 6);
        assert_int_equal(passo_meter_init_groups(&meter, group, groups, unit), PASSO_OK);
        struct passo_ratio counted_unit =
            passo_ratio(random_between(&seed, 0, 9), random_between(&seed, 1, 64));
        struct passo_beat beat[PASSO_METER_BEATS_MAX];
        size_t beats = passo_meter_beats(&meter, counted_unit, beat);
        assert_in_range(beats, 1, PASSO_METER_BEATS_MAX);
        struct passo_ratio at = {0, 1};
        for (size_t k = 0; k < beats; k++) {
            assert_int_equal(passo_ratio_cmp(beat[k].at, at), 0);
            assert_int_equal(beat[k].click == PASSO_CLICK_BAR, k == 0);
            at = passo_ratio_add(at, beat[k].length);
        }
        assert_int_equal(passo_ratio_cmp(at, passo_meter_length(&meter)), 0);
    }
}

static void test_what_is_the_same(void **state)
{
    (void)state;
    static const uint8_t short_first[] = {2, 2, 3};
    static const uint8_t long_first[] = {3, 2, 2};
    struct passo_meter four;
    struct passo_meter other;
    assert_int_equal(passo_meter_init(&four, 4, 4), PASSO_OK);
    assert_int_equal(passo_meter_init(&other, 4, 4), PASSO_OK);
    other.group[4] = 9; /* behind the groups: it says nothing */
    assert_true(passo_meter_same(&four, &other));
    assert_int_equal(passo_meter_init(&other, 4, 2), PASSO_OK);
    assert_false(passo_meter_same(&four, &other));
    assert_int_equal(passo_meter_init(&other, 5, 4), PASSO_OK);
    assert_false(passo_meter_same(&four, &other) || passo_meter_same(&other, &four));
    assert_int_equal(passo_meter_init_groups(&four, short_first, 3, 8), PASSO_OK);
    assert_int_equal(passo_meter_init_groups(&other, long_first, 3, 8), PASSO_OK);
    assert_false(passo_meter_same(&four, &other));
    assert_int_equal(passo_meter_init_groups(&other, short_first, 2, 8), PASSO_OK);
    assert_false(passo_meter_same(&four, &other));
}

static void test_what_is_no_meter(void **state)
{
    (void)state;
    struct passo_meter meter;
    assert_int_equal(passo_meter_init(&meter, 0, 4), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init(&meter, 65, 4), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init(&meter, -4, 4), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init(&meter, INT64_MAX, 4), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init(&meter, 4, 0), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init(&meter, 4, 3), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init(&meter, 4, 128), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init(&meter, 4, -4), PASSO_ERR_RANGE);
    const uint8_t empty_group[] = {2, 0, 3};
    assert_int_equal(passo_meter_init_groups(&meter, empty_group, 3, 8), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init_groups(&meter, empty_group, 0, 8), PASSO_ERR_RANGE);
    const uint8_t too_many[] = {60, 5};
    assert_int_equal(passo_meter_init_groups(&meter, too_many, 2, 8), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init_groups(&meter, too_many, 1, 12), PASSO_ERR_RANGE);
    assert_int_equal(passo_meter_init_groups(&meter, too_many, 65, 8), PASSO_ERR_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_usual_groups),
        cmocka_unit_test(test_beat_units),
        cmocka_unit_test(test_counting),
        cmocka_unit_test(test_asymmetric_counting),
        cmocka_unit_test(test_units_that_cannot_be_counted),
        cmocka_unit_test(test_beats_fill_the_bar),
        cmocka_unit_test(test_what_is_the_same),
        cmocka_unit_test(test_what_is_no_meter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
