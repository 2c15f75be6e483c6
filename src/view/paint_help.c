/* Painter of the help overlay: the key table, and what the signs of the curve mean. Thread: main.
 */
#include "view/paint.h"

#include "view/keys.h"

#define KEYS_COLS  33
#define ROOMY_ROWS 20
#define ROOMY_COLS 58
#define BRIEF_COLS 18

static void paint_legend(struct rect in, int y)
{
    static const struct {
        enum sign sign;
        const char *words;
    } legend[] = {
        {SIGN_CLEAN, "clean"},
        {SIGN_MISS, "miss"},
        {SIGN_UNMARKED, "unmarked"},
        {SIGN_VOID, "void"},
        {SIGN_ASIDE_CLEAN, "not counted, clean"},
        {SIGN_ASIDE_MISS, "miss"},
        {SIGN_ASIDE_OTHER, "unmarked"},
    };
    int x = 0;
    for (size_t i = 0; i < sizeof legend / sizeof legend[0]; i++) {
        ink_signs(in, y, x, INK_STRONG, legend[i].sign, 1);
        x += 2;
        x += ink_text(in, y, x, INK_PLAIN, legend[i].words) + 2;
        if (legend[i].sign == SIGN_VOID) {
            x = 0;
            y++;
        }
    }
}

static void paint_all_keys(struct rect in, bool steady)
{
    size_t count;
    const struct key_row *row = keys_rows(&count);
    int y = 2;
    for (size_t i = 0; i < count; i++) {
        const char *words = steady ? row[i].steady : row[i].help.words;
        if (words == NULL)
            continue;
        ink_text(in, y, 0, INK_STRONG, row[i].help.keys);
        ink_text(in, y, KEYS_COLS, INK_PLAIN, words);
        y++;
    }
    ink_text(in, y, 0, INK_STRONG, "Ctrl-C");
    ink_text(in, y, KEYS_COLS, INK_PLAIN, "finish");
    if (!steady)
        paint_legend(in, y + 2);
}

/* One key and one word each, in two columns. */
static void paint_keys_in_brief(struct rect in, bool steady)
{
    size_t count;
    const struct key_row *row = keys_rows(&count);
    int y = 1;
    int x = 0;
    for (size_t i = 0; i < count; i++) {
        if (steady && row[i].steady == NULL)
            continue;
        ink_text(in, y, x, INK_STRONG, row[i].footer_key);
        ink_text(in, y, x + 6, INK_PLAIN, row[i].footer_word);
        y++;
        if (y == in.rows) {
            y = 1;
            x += BRIEF_COLS;
        }
    }
}

void paint_help(struct rect in, bool steady)
{
    ink_text(in, 0, 0, INK_STRONG, "Keys");
    ink_text_right(in, 0, INK_PLAIN, "any key closes this help");
    if (in.rows >= ROOMY_ROWS && in.cols >= ROOMY_COLS)
        paint_all_keys(in, steady);
    else
        paint_keys_in_brief(in, steady);
}
