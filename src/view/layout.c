/* The arithmetic of the screen. Four shapes: two columns (what sounds now, and the climb) over
 * lines of words; one column where the window is narrow or low; the steady pulse, which gives its
 * room to the figures; a day's list, which has the window to itself. Every shape lists its rows
 * from top to bottom and hands spare rows to what is worth most. Thread: any. */
#include "view/layout.h"

#define TWO_COLUMNS_ROWS 20
#define TWO_COLUMNS_COLS 60
#define AIRY_ROWS        24 /* from here on, blank rows set things apart */
#define TALL_ROWS        40 /* from here on, the beats are twice as high */
#define WORDS_ROWS       6

static int at_most(int value, int limit)
{
    return value < limit ? value : limit;
}

/* Gives `rows` rows from *y on to a region. */
static void place(struct layout *layout, enum region region, int *y, int rows)
{
    struct rect *window = &layout->window;
    layout->region[region] = (struct rect){*y, window->x, rows, window->cols};
    *y += rows;
}

/* What sounds now on the left, the climb on the right, words below. The last row of the pulse is
 * blank but in a rest. */
static void two_columns(struct layout *layout, bool notes)
{
    struct rect window = layout->window;
    int blank = window.rows >= AIRY_ROWS ? 1 : 0;
    int pulse_rows = window.rows >= TALL_ROWS ? 8 : 4;
    int climb_cols = window.cols * 2 / 5;
    int y = 0;
    place(layout, REGION_TITLE, &y, 1);
    y += blank;
    int top = y;
    int bottom = window.rows - WORDS_ROWS - blank;
    int above = notes && !blank ? 1 : blank; /* the names take the blank row, if there is one */
    place(layout, REGION_TEMPO, &y, bottom - top - pulse_rows - 1 - blank - above);
    if (notes)
        place(layout, REGION_NAMES, &y, 1);
    else
        y += blank;
    place(layout, REGION_PULSE, &y, pulse_rows);
    place(layout, REGION_WHAT, &y, 1 + blank);
    for (enum region left = REGION_TEMPO; left <= REGION_WHAT; left++)
        layout->region[left].cols = window.cols - climb_cols - 2;
    layout->region[REGION_CLIMB] =
        (struct rect){top, window.x + window.cols - climb_cols, bottom - top, climb_cols};
    y = window.rows - WORDS_ROWS;
    place(layout, REGION_NEXT, &y, 3);
    place(layout, REGION_TIMES, &y, 1);
    place(layout, REGION_NOTICE, &y, 1);
    place(layout, REGION_KEYS, &y, 1);
}

/* Rows beyond the least go, in this order, to the regions that gain most. */
static void one_column(struct layout *layout, bool steady, bool notes)
{
    static const struct {
        enum region region;
        int rows;
        bool ladder_only;
    } wish[] = {
        {REGION_TEMPO, 4, false}, {REGION_PULSE, 1, false},  {REGION_WHAT, 1, true},
        {REGION_CLIMB, 1, true},  {REGION_NEXT, 1, false},   {REGION_KEYS, 1, false},
        {REGION_TITLE, 1, false}, {REGION_NOTICE, 1, false}, {REGION_TIMES, 1, false},
        {REGION_NEXT, 1, true},   {REGION_NEXT, 1, true},    {REGION_PULSE, 2, false},
        {REGION_NAMES, 1, true},  {REGION_TEMPO, 2, false},  {REGION_TEMPO, 2, false},
        {REGION_CLIMB, 5, true},
    };
    int rows[REGION_COUNT] = {0};
    int left = layout->window.rows;
    for (unsigned i = 0; i < sizeof wish / sizeof wish[0]; i++) {
        if (wish[i].rows > left || (steady && wish[i].ladder_only) ||
            (wish[i].region == REGION_NAMES && !notes))
            continue;
        rows[wish[i].region] += wish[i].rows;
        left -= wish[i].rows;
    }
    rows[steady ? REGION_TEMPO : REGION_CLIMB] += at_most(left, steady ? 28 : 20);
    left -= at_most(left, steady ? 28 : 20);
    int y = 0;
    for (enum region region = 0; region < REGION_KEYS; region++)
        place(layout, region, &y, rows[region]);
    y += left;
    place(layout, REGION_KEYS, &y, rows[REGION_KEYS]);
}

/* The figures get every row that the rest does not need. */
static void steady_pulse(struct layout *layout)
{
    struct rect window = layout->window;
    int blank = window.rows >= AIRY_ROWS ? 1 : 0;
    int pulse_rows = window.rows >= TALL_ROWS ? 7 : 3;
    int y = 0;
    place(layout, REGION_TITLE, &y, 1);
    place(layout, REGION_TEMPO, &y, window.rows - pulse_rows - 5 - blank);
    y += blank;
    place(layout, REGION_PULSE, &y, pulse_rows);
    place(layout, REGION_NEXT, &y, 1);
    place(layout, REGION_TIMES, &y, 1);
    place(layout, REGION_NOTICE, &y, 1);
    place(layout, REGION_KEYS, &y, 1);
}

/* The list gets every row that words do not need. Where rows are few, notices stand in the title's.
 */
static void listing(struct layout *layout)
{
    struct rect window = layout->window;
    int blank = window.rows >= AIRY_ROWS ? 1 : 0;
    int notice_rows = window.rows >= TWO_COLUMNS_ROWS ? 1 : 0;
    int next_rows = window.rows >= TWO_COLUMNS_ROWS ? 2 : 1;
    int y = 0;
    place(layout, REGION_TITLE, &y, 1);
    place(layout, REGION_CLIMB, &y, window.rows - 2 - next_rows - notice_rows - blank);
    place(layout, REGION_NEXT, &y, next_rows);
    place(layout, REGION_NOTICE, &y, notice_rows);
    y += blank;
    place(layout, REGION_KEYS, &y, 1);
}

struct layout layout_for(int rows, int cols, enum layout_shape shape, bool notes)
{
    struct layout layout = {.too_small = rows < LAYOUT_LEAST_ROWS || cols < LAYOUT_LEAST_COLS};
    int margin = cols >= 120 ? 3 : cols >= 72 ? 1 : 0;
    layout.window = (struct rect){0, margin, rows, cols - 2 * margin};
    if (layout.too_small)
        return layout;
    if (shape == LAYOUT_LISTING)
        listing(&layout);
    else if (rows < TWO_COLUMNS_ROWS || cols < TWO_COLUMNS_COLS)
        one_column(&layout, shape == LAYOUT_STEADY, notes);
    else if (shape == LAYOUT_STEADY)
        steady_pulse(&layout);
    else
        two_columns(&layout, notes);
    return layout;
}
