/* Drawing of big figures in half cells. Three hand-drawn sizes are each scaled by 1 to 4, and the
 * largest that fits is taken; scaling keeps diagonals smooth by cutting and filling corners where
 * two like neighbours meet. Owns no state. Thread: main. */
#include "view/figures.h"

#include <ctype.h>
#include <stddef.h>
#include <string.h>
#include "text/fold.h"

#define LINES_MAX 8

struct size {
    const struct figure_font *font; /* NULL: nothing fits */
    int scale;
};

static int glyph_cols(const struct figure_font *font, char letter)
{
    const char *const *glyph = font->glyph(letter);
    return glyph == NULL ? -1 : (int)strlen(glyph[0]);
}

static int size_rows(struct size size)
{
    return size.font->pixel_rows * size.scale / 2;
}

/* Columns of the text, or -1 if the font lacks a letter. */
static int text_cols(struct size size, const char *text)
{
    int cols = 0;
    for (; *text != '\0'; text++) {
        int own = glyph_cols(size.font, *text);
        if (own < 0)
            return -1;
        cols += (own + (text[1] != '\0' ? size.font->gap : 0)) * size.scale;
    }
    return cols;
}

/* The first in the order of preference that fits; numerals come before the letters' font. */
static struct size choose(struct rect in, int max_rows, const char *text)
{
    static const struct size preferred[] = {
        {&figure_fonts[0], 4}, {&figure_fonts[0], 3}, {&figure_fonts[0], 2}, {&figure_fonts[1], 2},
        {&figure_fonts[0], 1}, {&figure_fonts[1], 1}, {&figure_fonts[2], 4}, {&figure_fonts[2], 3},
        {&figure_fonts[2], 2}, {&figure_fonts[2], 1},
    };
    if (max_rows > in.rows)
        max_rows = in.rows;
    for (size_t i = 0; i < sizeof preferred / sizeof preferred[0]; i++) {
        int cols = text_cols(preferred[i], text);
        if (size_rows(preferred[i]) <= max_rows && cols > 0 && cols <= in.cols)
            return preferred[i];
    }
    return (struct size){NULL, 0};
}

static bool lit(const char *const *glyph, int rows, int y, int x)
{
    return y >= 0 && y < rows && x >= 0 && x < (int)strlen(glyph[0]) && glyph[y][x] == '#';
}

/* The pixel at (y, x) of a scaled glyph. In the corner where the neighbours above (or below) and
 * beside agree and the opposite ones do not, it takes their side. */
static bool lit_scaled(const char *const *glyph, struct size size, int y, int x)
{
    int rows = size.font->pixel_rows;
    int n = size.scale;
    int row = y / n;
    int col = x / n;
    int down = 2 * (y % n) >= n ? 1 : -1;
    int right = 2 * (x % n) >= n ? 1 : -1;
    int from_edge = (down > 0 ? n - 1 - y % n : y % n) + (right > 0 ? n - 1 - x % n : x % n);
    bool own = lit(glyph, rows, row, col);
    bool vertical = lit(glyph, rows, row + down, col);
    bool beside = lit(glyph, rows, row, col + right);
    if (n == 1 || 2 * from_edge >= n || vertical != beside || vertical == own)
        return own;
    bool opposite = lit(glyph, rows, row - down, col) == vertical ||
                    lit(glyph, rows, row, col - right) == vertical;
    return opposite ? own : vertical;
}

static void draw_glyph(struct rect in, struct size size, int y, int x, enum ink ink, char letter)
{
    static const enum sign halves[4] = {SIGN_COUNT, SIGN_UPPER, SIGN_LOWER, SIGN_FULL};
    const char *const *glyph = size.font->glyph(letter);
    int rows = size_rows(size);
    int cols = glyph_cols(size.font, letter) * size.scale;
    for (int r = 0; r < rows; r++) {
        for (int c = 0; c < cols; c++) {
            int upper = lit_scaled(glyph, size, 2 * r, c);
            int lower = lit_scaled(glyph, size, 2 * r + 1, c);
            if (upper || lower)
                ink_signs(in, y + r, x + c, ink, halves[upper + 2 * lower], 1);
        }
    }
}

int figures_rows(struct rect in, int max_rows, const char *text)
{
    struct size size = choose(in, max_rows, text);
    return size.font == NULL ? 1 : size_rows(size);
}

static int draw_line(struct rect in, struct size size, int y, int x, enum ink ink, const char *text)
{
    for (const char *at = text; *at != '\0'; at++) {
        draw_glyph(in, size, y, x, ink, *at);
        x += (glyph_cols(size.font, *at) + size.font->gap) * size.scale;
    }
    return x - size.font->gap * size.scale;
}

int figures_draw(struct rect in, int max_rows, enum ink ink, const char *text)
{
    struct size size = choose(in, max_rows, text);
    if (size.font == NULL)
        return ink_text(in, in.rows - 1, 0, ink, text);
    return draw_line(in, size, in.rows - size_rows(size), 0, ink, text);
}

/* --- words --- */

/* Breaks capitals into lines that fit `cols`, by ending them there in place. Returns how many, 0 if
 * a word is too long, or has no glyphs, or they are more than LINES_MAX. */
static int break_lines(struct size size, int cols, char *text, const char *line[LINES_MAX])
{
    int lines = 0;
    while (*text != '\0') {
        char *fits = NULL;
        for (char *end = text + strcspn(text, " ");; end += 1 + strcspn(end + 1, " ")) {
            char kept = *end;
            *end = '\0';
            int own = text_cols(size, text);
            *end = kept;
            if (own < 0 || own > cols)
                break;
            fits = end;
            if (kept == '\0')
                break;
        }
        if (fits == NULL || lines == LINES_MAX)
            return 0;
        line[lines++] = text;
        text = *fits == '\0' ? fits : fits + 1;
        *fits = '\0';
    }
    return lines;
}

bool figures_words(struct rect in, int max_rows, enum ink ink, const char *text)
{
    char capitals[FIGURES_WORDS_MAX];
    char broken[FIGURES_WORDS_MAX];
    const char *line[LINES_MAX];
    if (strlen(text) >= sizeof capitals / 2) /* folding may make two letters of one */
        return false;
    passo_text_ascii(text, capitals, sizeof capitals);
    for (char *at = capitals; *at != '\0'; at++)
        *at = (char)toupper((unsigned char)*at);
    if (max_rows > in.rows)
        max_rows = in.rows;
    for (struct size size = {&figure_fonts[2], 4}; size.scale > 0; size.scale--) {
        memcpy(broken, capitals, sizeof broken);
        int lines = break_lines(size, in.cols, broken, line);
        int pitch = size_rows(size) + size.scale;
        int rows = lines * pitch - size.scale;
        if (lines == 0 || rows > max_rows)
            continue;
        for (int i = 0; i < lines; i++)
            draw_line(in, size, (in.rows - rows) / 2 + i * pitch, 0, ink, line[i]);
        return true;
    }
    return false;
}
