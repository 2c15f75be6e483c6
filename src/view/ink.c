/* Drawing on curses' standard screen. Owns the choice between UTF-8 and ASCII and the attributes of
 * each ink. Hues are middle ones that keep a contrast of 3:1 and more on black and on white (WCAG
 * 2.2, 1.4.11: parts of graphics); words are written in the terminal's own colour. Curses compares
 * with what is on the terminal, so painting the same again sends nothing. Thread: main. */
#include "view/ink.h"

#include <curses.h>
#include <stdio.h>
#include <string.h>
#include <wchar.h>
#include "session/view.h"
#include "text/fold.h"

#define TEXT_BYTES (2 * PASSO_WORDS_BYTES)

static const struct {
    const char *utf8;
    const char *ascii;
} signs[SIGN_COUNT] = {
    [SIGN_FULL] = {"\u2588", "#"},
    [SIGN_UPPER] = {"\u2580", "\""},
    [SIGN_LOWER] = {"\u2584", "o"},
    [SIGN_SHADE] = {"\u2592", ":"},
    [SIGN_LINE] = {"\u2500", "-"},
    [SIGN_DASH] = {"\u00b7", "."},
    [SIGN_HERE] = {"\u25ba", ">"},
    [SIGN_AXIS] = {"\u2502", ":"},
    [SIGN_AXIS_WON] = {"\u258c", "#"},
    [SIGN_CLEAN] = {"\u25cf", "O"},
    [SIGN_MISS] = {"\u00d7", "X"},
    [SIGN_UNMARKED] = {"\u25cb", "."},
    [SIGN_VOID] = {"-", "-"},
    [SIGN_ASIDE_CLEAN] = {"\u25a0", "o"},
    [SIGN_ASIDE_MISS] = {"\u25a1", "x"},
    [SIGN_ASIDE_OTHER] = {"\u25ab", "'"},
    [SIGN_DONE] = {"\u221a", "+"},
    [SIGN_LEFT_OUT] = {"-", "-"},
    [SIGN_VISIT] = {"\u2514", "*"},
};

static bool wide;
static attr_t attributes[INK_COUNT];

static void hue(enum ink ink, short pair, short of_256, short of_8)
{
    init_pair(pair, COLORS >= 256 ? of_256 : of_8, -1);
    attributes[ink] |= COLOR_PAIR(pair);
}

void ink_init(bool utf8, bool colour)
{
    wide = utf8;
    attributes[INK_PLAIN] = A_NORMAL;
    attributes[INK_STRONG] = A_BOLD;
    attributes[INK_FAINT] = A_DIM;
    attributes[INK_BEAT] = A_BOLD;
    attributes[INK_BEAT_NUMBER] = A_BOLD | A_REVERSE;
    attributes[INK_CLEAN] = A_BOLD;
    attributes[INK_MISS] = A_BOLD;
    attributes[INK_NOTICE] = A_BOLD;
    if (!colour)
        return;
    start_color();
    use_default_colors();
    hue(INK_BEAT, 1, 136, COLOR_YELLOW);
    hue(INK_BEAT_NUMBER, 2, 136, COLOR_YELLOW);
    hue(INK_CLEAN, 3, 64, COLOR_GREEN);
    hue(INK_MISS, 4, 167, COLOR_RED);
}

bool ink_is_wide(void)
{
    return wide;
}

void ink_clear(struct rect in)
{
    for (int y = 0; y < in.rows; y++)
        mvhline(in.y + y, in.x, ' ' | A_NORMAL, in.cols);
}

/* One character of text: its bytes, and its columns (0: it joins the one before). */
static size_t next_character(const char *text, int *out_cols)
{
    wchar_t sign;
    mbstate_t state = {0};
    size_t bytes = mbrtowc(&sign, text, strlen(text), &state);
    if (bytes == 0 || bytes > strlen(text)) {
        *out_cols = -1;
        return 1;
    }
    *out_cols = wcwidth(sign);
    return bytes;
}

static int write_text(int y, int x, int cols, attr_t attribute, const char *text)
{
    int used = 0;
    attrset((int)attribute);
    for (size_t bytes; *text != '\0'; text += bytes) {
        int own;
        bytes = next_character(text, &own);
        if (own == 0) {
            /* joins the character before; after the last column curses would join the next row's */
            if (used > 0 && x + used < COLS)
                addnstr(text, (int)bytes);
            continue;
        }
        if (used + (own < 0 ? 1 : own) > cols)
            break;
        mvaddnstr(y, x + used, own < 0 ? "?" : text, own < 0 ? 1 : (int)bytes);
        used += own < 0 ? 1 : own;
    }
    attrset((int)A_NORMAL);
    return used;
}

static const char *legible(const char *text, char buffer[TEXT_BYTES])
{
    return wide ? text : passo_text_ascii(text, buffer, TEXT_BYTES);
}

int ink_text(struct rect in, int y, int x, enum ink ink, const char *text)
{
    char buffer[TEXT_BYTES];
    if (y < 0 || y >= in.rows || x < 0 || x >= in.cols)
        return 0;
    return write_text(in.y + y, in.x + x, in.cols - x, attributes[ink], legible(text, buffer));
}

int ink_width(const char *text)
{
    char buffer[TEXT_BYTES];
    int cols = 0;
    text = legible(text, buffer);
    for (size_t bytes; *text != '\0'; text += bytes) {
        int own;
        bytes = next_character(text, &own);
        cols += own < 0 ? 1 : own;
    }
    return cols;
}

void ink_text_right(struct rect in, int y, enum ink ink, const char *text)
{
    int x = in.cols - ink_width(text);
    ink_text(in, y, x > 0 ? x : 0, ink, text);
}

/* A blank at which a row may end: not beside an equals sign. */
static bool may_break(const char *text, size_t at)
{
    return text[at] == ' ' && text[at + 1] != '=' && (at == 0 || text[at - 1] != '=');
}

/* How many bytes of text go on a row of `cols`: all, or up to the last blank that fits, or, where
 * a word is longer than the row, as much of it as fits. */
static size_t row_bytes(const char *text, int cols)
{
    size_t at = 0;
    size_t blank = 0;
    int used = 0;
    while (text[at] != '\0') {
        int own;
        size_t bytes = next_character(text + at, &own);
        used += own < 0 ? 1 : own;
        if (used <= cols + 1 && may_break(text, at))
            blank = at;
        if (used > cols)
            return blank > 0 ? blank : at > 0 ? at : bytes;
        at += bytes;
    }
    return at;
}

static size_t after_blanks(const char *text, size_t at)
{
    while (text[at] == ' ')
        at++;
    return at;
}

int ink_rows(int cols, const char *text)
{
    char buffer[TEXT_BYTES];
    int rows = 0;
    text = legible(text, buffer);
    while (*text != '\0') {
        text += after_blanks(text, row_bytes(text, cols));
        rows++;
    }
    return rows;
}

int ink_wrap(struct rect in, enum ink ink, const char *text)
{
    static const char dots[] = " \u2026";
    char dots_buffer[TEXT_BYTES];
    char buffer[TEXT_BYTES];
    char row[TEXT_BYTES];
    int y = 0;
    text = legible(text, buffer);
    while (*text != '\0' && y < in.rows) {
        size_t bytes = row_bytes(text, in.cols);
        bool cut = y == in.rows - 1 && text[bytes] != '\0';
        if (cut)
            bytes = row_bytes(text, in.cols - ink_width(dots));
        snprintf(row, sizeof row, "%.*s%s", (int)bytes, text,
                 cut ? legible(dots, dots_buffer) : "");
        write_text(in.y + y, in.x, in.cols, attributes[ink], row);
        text += after_blanks(text, bytes);
        y++;
    }
    return y;
}

void ink_signs(struct rect in, int y, int x, enum ink ink, enum sign sign, int count)
{
    const char *drawn = wide ? signs[sign].utf8 : signs[sign].ascii;
    for (int i = 0; i < count && y >= 0 && y < in.rows; i++)
        if (x + i >= 0 && x + i < in.cols)
            write_text(in.y + y, in.x + x + i, 1, attributes[ink], drawn);
}
