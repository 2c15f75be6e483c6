/* The layout at every window size from the least to a wall: regions lie in the window and never on
 * each other. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "view/layout.h"

static bool apart(struct rect a, struct rect b)
{
    return a.rows == 0 || b.rows == 0 || a.y + a.rows <= b.y || b.y + b.rows <= a.y ||
           a.x + a.cols <= b.x || b.x + b.cols <= a.x;
}

static void check(int rows, int cols, enum layout_shape shape, bool notes)
{
    struct layout layout = layout_for(rows, cols, shape, notes);
    assert_false(layout.too_small);
    for (int i = 0; i < REGION_COUNT; i++) {
        struct rect in = layout.region[i];
        assert_in_range(in.rows, 0, rows);
        if (in.rows == 0)
            continue;
        assert_in_range(in.y, 0, rows - in.rows);
        assert_in_range(in.x, 0, cols - 1);
        assert_in_range(in.cols, 20, cols - in.x);
        for (int k = 0; k < i; k++)
            assert_true(apart(in, layout.region[k]));
    }
    /* whatever the size: what comes next, and the keys */
    assert_in_range(layout.region[REGION_NEXT].rows, 1, rows);
    assert_int_equal(layout.region[REGION_KEYS].rows, 1);
    assert_int_equal(layout.region[REGION_CLIMB].rows == 0, shape == LAYOUT_STEADY);
    if (shape == LAYOUT_LISTING) {
        /* the list has the most of the window: seven rows of ten, all but seven of many */
        assert_in_range(layout.region[REGION_CLIMB].rows, rows < 20 ? rows - 3 : rows - 7, rows);
        return;
    }
    /* names where there are notes, and room: no size loses the tempo for them */
    assert_true(layout.region[REGION_NAMES].rows == 0 || (notes && shape == LAYOUT_CLIMB));
    assert_true(!notes || rows < 20 || cols < 60 || layout.region[REGION_NAMES].rows == 1);
    /* the tempo and the beat */
    assert_in_range(layout.region[REGION_TEMPO].rows, 4, rows);
    assert_in_range(layout.region[REGION_PULSE].rows, 1, rows);
}

static void test_every_size(void **state)
{
    (void)state;
    for (int rows = LAYOUT_LEAST_ROWS; rows <= 90; rows++)
        for (int cols = LAYOUT_LEAST_COLS; cols <= 300; cols++) {
            check(rows, cols, LAYOUT_CLIMB, false);
            check(rows, cols, LAYOUT_CLIMB, true);
            check(rows, cols, LAYOUT_STEADY, false);
            check(rows, cols, LAYOUT_LISTING, true);
        }
}

static void test_too_small(void **state)
{
    (void)state;
    assert_true(layout_for(9, 200, LAYOUT_CLIMB, false).too_small);
    assert_true(layout_for(50, 39, LAYOUT_CLIMB, false).too_small);
    assert_false(layout_for(10, 40, LAYOUT_CLIMB, false).too_small);
}

/* 80x24 has figures 7 rows high, of the 6 to 7 that trade.md asks for at 1.5 m. */
static void test_the_common_window_has_big_figures(void **state)
{
    (void)state;
    assert_int_equal(layout_for(24, 80, LAYOUT_CLIMB, false).region[REGION_TEMPO].rows, 1 + 7);
    assert_in_range(layout_for(50, 200, LAYOUT_CLIMB, false).region[REGION_TEMPO].rows, 15, 50);
    assert_in_range(layout_for(50, 200, LAYOUT_CLIMB, false).region[REGION_CLIMB].rows,
                    2 * layout_for(24, 80, LAYOUT_CLIMB, false).region[REGION_CLIMB].rows, 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_size),
        cmocka_unit_test(test_too_small),
        cmocka_unit_test(test_the_common_window_has_big_figures),
    };
    return cmocka_run_group_tests_name("view/layout", tests, NULL, NULL);
}
