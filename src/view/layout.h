/* Where everything stands at a given window size. Pure. Thread: any. */
#ifndef PASSO_VIEW_LAYOUT_H
#define PASSO_VIEW_LAYOUT_H

#include "view/ink.h"

#define LAYOUT_LEAST_ROWS 10
#define LAYOUT_LEAST_COLS 40

/* The regions of the screen. Each is painted by one function, when what it shows has changed. */
enum region {
    REGION_TITLE,
    REGION_TEMPO, /* beat unit and big figures */
    REGION_NAMES, /* the names of the notes, where they are known */
    REGION_PULSE, /* the beats and the bar; the rest; a word where neither is */
    REGION_WHAT,  /* what is played, and the mark it has */
    REGION_CLIMB, /* count, ladder and curve, or a day's list; one row of words where there is no
                     room */
    REGION_NEXT,  /* the last move, and what comes next */
    REGION_NOTICE,
    REGION_TIMES,
    REGION_KEYS,
    REGION_COUNT
};

struct layout {
    bool too_small;
    struct rect window;
    struct rect region[REGION_COUNT]; /* rows == 0: not shown at this size */
};

enum layout_shape {
    LAYOUT_CLIMB,  /* what sounds now, and beside or below it the climb or the day */
    LAYOUT_STEADY, /* no ladder, no marks, no rest */
    LAYOUT_LISTING /* a day's list alone, in REGION_CLIMB, and what comes next */
};

/* notes: there are notes to show. */
struct layout layout_for(int rows, int cols, enum layout_shape shape, bool notes);

#endif
