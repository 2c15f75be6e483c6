/* Where it breaks: the passage as a strip of bars, and on each the misses that fell there, as a
 * column with its number. Where bars are too many for a cell each, neighbours share one. Main
 * thread. */
#include "report/page_part.h"

#include <math.h>
#include <string.h>
#include "report/page_words.h"

#define CELLS_MOST  32
#define STRIP_WIDTH 328.0
#define STRIP_LEFT  4.0
#define CELL_MOST   40.0
#define CELL_NUMBER 22.0 /* room for a bar's number */
#define COLUMN_TOP  12.0
#define COLUMN_MOST 30.0
#define STRIP_LINE  46.0
#define STRIP_HIGH  60.0

struct strip {
    int64_t from; /* bar */
    int64_t bars; /* in a cell */
    size_t cells;
    double cell_width;
    uint32_t misses[CELLS_MOST];
    uint32_t most;
};

/* The first and last of "33-36": what the player calls the passage. False of anything else. */
static bool read_bars(const char *bars, int64_t *out_from, int64_t *out_to)
{
    int from = 0;
    int to = 0;
    int used = 0;
    if (sscanf(bars, "%9d-%9d%n", &from, &to, &used) != 2 || bars[used] || to < from)
        return false;
    *out_from = from;
    *out_to = to;
    return true;
}

static struct strip strip_of(const struct passo_report_passage *passage)
{
    struct strip strip = {0};
    int64_t from = passage->bar[0].bar;
    int64_t to = passage->bar[passage->bars_missed - 1].bar;
    int64_t first = 0;
    int64_t last = 0;
    if (read_bars(passage->bars, &first, &last)) {
        from = first < from ? first : from;
        to = last > to ? last : to;
    }
    strip.from = from;
    strip.bars = (to - from) / CELLS_MOST + 1;
    strip.cells = (size_t)((to - from) / strip.bars + 1);
    strip.cell_width = fmin(CELL_MOST, (STRIP_WIDTH - 2 * STRIP_LEFT) / (double)strip.cells);
    for (size_t i = 0; i < passage->bars_missed; i++) {
        uint32_t *misses = &strip.misses[(passage->bar[i].bar - from) / strip.bars];
        *misses += passage->bar[i].misses;
        strip.most = *misses > strip.most ? *misses : strip.most;
    }
    return strip;
}

static void put_cell(struct page *page, const struct strip *strip, size_t cell, size_t every)
{
    char number[32];
    double x = STRIP_LEFT + strip->cell_width * (double)cell;
    double middle = x + strip->cell_width / 2;
    double high = COLUMN_MOST * strip->misses[cell] / strip->most;
    double wide = fmin(11, strip->cell_width * 0.55);
    svg_line(page, "bar", x, STRIP_LINE - 5, x, STRIP_LINE + 5);
    if (strip->misses[cell]) {
        svg_box(page, "ful", middle - wide / 2, STRIP_LINE - high, wide, high);
        snprintf(number, sizeof number, "%u", (unsigned)strip->misses[cell]);
        svg_text(page, "m b", middle, STRIP_LINE - high - 3, number);
    }
    if (cell % every == 0) {
        snprintf(number, sizeof number, "%lld",
                 (long long)(strip->from + (int64_t)cell * strip->bars));
        svg_text(page, "m n", middle, STRIP_HIGH - 3, number);
    }
}

static void say_bars(const struct passo_report_passage *passage, char *out, size_t bytes)
{
    char count[WORDS_BYTES];
    words_add(out, bytes, "Misses by bar: ");
    for (size_t i = 0; i < passage->bars_missed; i++)
        words_add(out, bytes, "%sbar %d %s", i ? ", " : "", (int)passage->bar[i].bar,
                  words_count(passage->bar[i].misses, "miss", "es", count, sizeof count));
    words_add(out, bytes, ".");
}

static void put_strip(struct page *page, const struct strip *strip)
{
    double right = STRIP_LEFT + strip->cell_width * (double)strip->cells;
    size_t every = (size_t)ceil(CELL_NUMBER / strip->cell_width);
    svg_line(page, "bar", STRIP_LEFT, STRIP_LINE, right, STRIP_LINE);
    for (size_t i = 0; i < strip->cells; i++)
        put_cell(page, strip, i, every);
    svg_line(page, "bar", right - 4, STRIP_LINE - 5, right - 4, STRIP_LINE + 5);
    svg_line(page, "fin", right - 1, STRIP_LINE - 5, right - 1, STRIP_LINE + 5);
}

void page_bars(struct page *page, const struct passo_report_passage *passage)
{
    char said[4 * WORDS_BYTES] = "";
    page_put(page, "<figure>\n<figcaption><h3>Where it breaks</h3>\n");
    if (!passage->bars_missed) {
        page_put(page, "<p>No miss was placed in a bar.</p></figcaption>\n</figure>\n");
        return;
    }
    struct strip strip = strip_of(passage);
    say_bars(passage, said, sizeof said);
    if (strip.bars == 1)
        page_put(page, "<p>Misses that were placed, by bar.</p></figcaption>\n");
    else
        page_put(page, "<p>Misses that were placed, in steps of %lld bars.</p></figcaption>\n",
                 (long long)strip.bars);
    svg_open(page, "bars", STRIP_WIDTH, STRIP_HIGH, "Misses by bar", said);
    put_strip(page, &strip);
    svg_close(page);
    page_put(page, "</figure>\n");
}
