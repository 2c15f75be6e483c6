/* The ladder, seen from the side: a rung for each tempo that was played, the fastest on top, filled
 * as far as its passes were clean. Where tempi are many, those next to each other share a rung.
 * Main thread. */
#include "report/page_part.h"

#include "report/page_words.h"
#include "text/notation.h"

#define RUNGS_MOST  14
#define RUNGS_WIDTH 328.0
#define RAIL_LEFT   56.0
#define RAIL_RIGHT  262.0
#define RUNG_HEIGHT 13.0
#define RUNG_THICK  7.0
#define RUNGS_TOP   4.0

/* Tempi that share a rung. */
struct shelf {
    int32_t low_mbpm;
    int32_t high_mbpm;
    uint32_t clean;
    uint32_t missed;
};

/* Sorts the tempi onto shelves `width` thousandths of a beat a minute wide (0: one tempo each).
 * Returns how many, which is more than RUNGS_MOST if they do not fit. */
static size_t fill_shelves(const struct passo_report_passage *passage, int32_t width,
                           struct shelf *shelf)
{
    size_t shelves = 0;
    for (size_t i = 0; i < passage->rungs; i++) {
        const struct passo_report_rung *rung = &passage->rung[i];
        if (!rung->clean && !rung->missed)
            continue;
        bool joins = width && shelves && shelf[shelves - 1].low_mbpm / width == rung->mbpm / width;
        if (!joins) {
            if (shelves == RUNGS_MOST)
                return RUNGS_MOST + 1;
            shelf[shelves++] = (struct shelf){.low_mbpm = rung->mbpm};
        }
        shelf[shelves - 1].high_mbpm = rung->mbpm;
        shelf[shelves - 1].clean += rung->clean;
        shelf[shelves - 1].missed += rung->missed;
    }
    return shelves;
}

static size_t find_shelves(const struct passo_report_passage *passage, struct shelf *shelf)
{
    size_t shelves = fill_shelves(passage, 0, shelf);
    for (int32_t bpm = 4; shelves > RUNGS_MOST; bpm += bpm < 20 ? 2 : 10)
        shelves = fill_shelves(passage, bpm * 1000, shelf);
    return shelves;
}

static void name_shelf(const struct shelf *shelf, char *out, size_t bytes)
{
    if (shelf->low_mbpm == shelf->high_mbpm)
        passo_bpm_write(shelf->low_mbpm, out, bytes);
    else
        snprintf(out, bytes, "%d–%d", (int)(shelf->low_mbpm / 1000),
                 (int)((shelf->high_mbpm + 500) / 1000));
}

static void put_shelf(struct page *page, const struct passo_report_passage *passage,
                      const struct shelf *shelf, double y)
{
    char words[WORDS_BYTES];
    uint32_t all = shelf->clean + shelf->missed;
    double clean = (RAIL_RIGHT - RAIL_LEFT) * shelf->clean / all;
    bool target = passage->target_mbpm >= shelf->low_mbpm && passage->target_mbpm > 0 &&
                  passage->target_mbpm <= shelf->high_mbpm;
    name_shelf(shelf, words, sizeof words);
    svg_text(page, target ? "e b" : "e", RAIL_LEFT - 7, y + 3.4, words);
    svg_box(page, "open", RAIL_LEFT, y - RUNG_THICK / 2, RAIL_RIGHT - RAIL_LEFT, RUNG_THICK);
    if (shelf->clean)
        svg_box(page, "ful", RAIL_LEFT, y - RUNG_THICK / 2, clean, RUNG_THICK);
    snprintf(words, sizeof words, "%u of %u", (unsigned)shelf->clean, (unsigned)all);
    svg_text(page, "", RAIL_RIGHT + 8, y + 3.4, words);
}

static void say_shelves(const struct shelf *shelf, size_t shelves, char *out, size_t bytes)
{
    char name[WORDS_BYTES];
    words_add(out, bytes, "Clean passes by tempo: ");
    for (size_t i = shelves; i-- > 0;) {
        name_shelf(&shelf[i], name, sizeof name);
        words_add(out, bytes, "at %s %u of %u%s", name, (unsigned)shelf[i].clean,
                  (unsigned)(shelf[i].clean + shelf[i].missed), i ? ", " : ".");
    }
}

void page_rungs(struct page *page, const struct passo_report_passage *passage)
{
    struct shelf shelf[RUNGS_MOST];
    char said[4 * WORDS_BYTES] = "";
    size_t shelves = find_shelves(passage, shelf);
    page_put(page, "<figure>\n<figcaption><h3>Rung by rung</h3>\n");
    if (!shelves) {
        page_put(page, "<p>No pass was marked.</p></figcaption>\n</figure>\n");
        return;
    }
    double height = RUNGS_TOP * 2 + RUNG_HEIGHT * (double)shelves;
    say_shelves(shelf, shelves, said, sizeof said);
    page_put(page, "<p>Clean of all passes%s.</p></figcaption>\n",
             passage->target_mbpm > 0 ? "; the target is bold" : "");
    svg_open(page, "rungs", RUNGS_WIDTH, height, "Clean share rung by rung", said);
    svg_line(page, "bar", RAIL_LEFT, 0, RAIL_LEFT, height);
    svg_line(page, "bar", RAIL_RIGHT, 0, RAIL_RIGHT, height);
    for (size_t i = 0; i < shelves; i++)
        put_shelf(page, passage, &shelf[shelves - 1 - i],
                  RUNGS_TOP + RUNG_HEIGHT * ((double)i + 0.5));
    svg_close(page);
    page_put(page, "</figure>\n");
}
