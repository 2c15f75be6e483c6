/* Painter of the help overlay: the keys that have a use here, and what the signs of the curve, or
 * of the day's list, mean. Thread: main. */
#include "view/paint.h"

#define KEYS_COLS   33
#define ROOMY_ROWS  20
#define ROOMY_COLS  58
#define BRIEF_COLS  18
#define LEGEND_ROWS 2

struct legend {
    enum sign sign;
    const char *words;
};

static void paint_legend_row(struct rect in, int y, const struct legend *legend, size_t count)
{
    int x = 0;
    for (size_t i = 0; i < count; i++) {
        ink_signs(in, y, x, INK_STRONG, legend[i].sign, 1);
        x += 2;
        x += ink_text(in, y, x, INK_PLAIN, legend[i].words) + 2;
    }
}

static void paint_legend(struct rect in, int y, enum key_place place)
{
    static const struct legend counted[] = {
        {SIGN_CLEAN, "clean"},
        {SIGN_MISS, "miss"},
        {SIGN_UNMARKED, "unmarked"},
        {SIGN_VOID, "void"},
    };
    static const struct legend aside[] = {
        {SIGN_ASIDE_CLEAN, "not counted, clean"},
        {SIGN_ASIDE_MISS, "miss"},
        {SIGN_ASIDE_OTHER, "unmarked"},
    };
    static const struct legend listed[] = {
        {SIGN_DONE, "done"},
        {SIGN_HERE, "now, or next"},
        {SIGN_VISIT, "a visit"},
        {SIGN_LEFT_OUT, "left out"},
    };
    if (place == KEYS_CLIMB || place == KEYS_VISIT) {
        paint_legend_row(in, y, counted, sizeof counted / sizeof counted[0]);
        paint_legend_row(in, y + 1, aside, sizeof aside / sizeof aside[0]);
    } else if (place != KEYS_STEADY && !keys_of_hear(place)) {
        paint_legend_row(in, y, listed, sizeof listed / sizeof listed[0]);
    }
}

/* Where the rows just do, nothing is set apart. */
static void paint_all_keys(struct rect in, enum key_place place)
{
    struct key_use use[KEY_ROWS_MAX];
    size_t count = keys_of(place, use);
    int blank = (int)count + LEGEND_ROWS + 4 <= in.rows ? 1 : 0;
    int y = 1 + blank;
    for (size_t i = 0; i < count; i++, y++) {
        ink_text(in, y, 0, INK_STRONG, use[i].row->help.keys);
        ink_text(in, y, KEYS_COLS, INK_PLAIN, use[i].words);
    }
    if (blank) {
        ink_text(in, y, 0, INK_STRONG, "Ctrl-C");
        ink_text(in, y++, KEYS_COLS, INK_PLAIN, use[count - 1].words);
    }
    paint_legend(in, y + blank, place);
}

/* One key and a word or two each, in two columns. */
static void paint_keys_in_brief(struct rect in, enum key_place place)
{
    struct key_use use[KEY_ROWS_MAX];
    size_t count = keys_of(place, use);
    int y = 1;
    int x = 0;
    for (size_t i = 0; i < count; i++) {
        ink_text(in, y, x, INK_STRONG, use[i].row->footer_key);
        ink_text(in, y, x + 6, INK_PLAIN, use[i].footer_word);
        y++;
        if (y == in.rows) {
            y = 1;
            x += BRIEF_COLS;
        }
    }
}

void paint_help(struct rect in, enum key_place place)
{
    ink_text(in, 0, 0, INK_STRONG, "Keys");
    ink_text_right(in, 0, INK_PLAIN, "any key closes this help");
    if (in.rows >= ROOMY_ROWS && in.cols >= ROOMY_COLS)
        paint_all_keys(in, place);
    else
        paint_keys_in_brief(in, place);
}
