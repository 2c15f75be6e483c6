/* Painters of words: the title, what is played and how it is marked, the last move, what comes
 * next, notices, times and level, and the keys. Thread: main. */
#include "view/paint.h"

#include <stdio.h>
#include <string.h>
#include "view/day_words.h"

#define LEVEL_CELLS      10
#define MARK_COLS        18
#define PIECE_COLS_LEAST 11
#define MARK_SHORT_COLS  7
#define PLACE_COLS       56 /* from here on, the place in the day has its minutes */

static const char *part_words(enum passo_part part)
{
    switch (part) {
    case PASSO_PART_COLD:
        return "cold try";
    case PASSO_PART_ANCHOR:
        return "slow anchor";
    case PASSO_PART_OVER:
        return "over the target";
    case PASSO_PART_CLOSE:
        return "close";
    case PASSO_PART_CONTEXT:
        return "in context";
    case PASSO_PART_EASY:
        return "easy pass";
    case PASSO_PART_CLIMB:
    case PASSO_PART_DONE:
    case PASSO_PART_COUNT:
        break;
    }
    return NULL;
}

/* "in context · pass 7", or "" where no pass is played or comes. */
static void pass_words(const struct passo_snapshot *now, enum key_place place, char *out,
                       size_t bytes)
{
    const char *part = part_words(now->part);
    bool passes =
        place == KEYS_CLIMB || place == KEYS_VISIT || place == KEYS_BLOCK || keys_of_hear(place);
    out[0] = '\0';
    if (passes && now->phase != PASSO_PHASE_OVER)
        snprintf(out, bytes, "%s%spass %u", part == NULL ? "" : part,
                 part == NULL ? "" : " \u00b7 ", (unsigned)now->pass);
}

/* What stands on the right: the place in the day, as long as the title leaves room for it, and the
 * pass. */
static void place_and_pass(const struct passo_snapshot *now, int room, char *out, size_t bytes)
{
    enum key_place where = keys_place(now);
    bool listed = where == KEYS_BLOCK || where == KEYS_BETWEEN; /* the list has the minutes */
    char place[64];
    char pass[64];
    pass_words(now, where, pass, sizeof pass);
    snprintf(out, bytes, "%s", pass);
    if (where != KEYS_VISIT && !(listed && room >= PLACE_COLS))
        return;
    for (int brief = listed ? 1 : 0; brief <= 1; brief++) {
        day_place(now->day, brief || room < PLACE_COLS, place, sizeof place);
        snprintf(out, bytes, "%s%s%s", place, pass[0] == '\0' ? "" : " \u00b7 ", pass);
        if (ink_width(now->title) + 2 + ink_width(out) <= room)
            return;
    }
}

void paint_title(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    char right[136];
    if (picture->bare && now->notice[0] != '\0') {
        ink_wrap((struct rect){in.y, in.x, 1, in.cols}, INK_NOTICE, now->notice);
        return;
    }
    place_and_pass(now, in.cols, right, sizeof right);
    bool own = now->day == NULL || keys_place(now) == KEYS_VISIT;
    const char *title = own ? now->title : now->day->title;
    struct rect left = {in.y, in.x, 1, in.cols - ink_width(right) - 2};
    ink_wrap(left, INK_STRONG, title);
    int title_cols = ink_width(title);
    /* a piece of which there is not even a word to see is left out */
    if (own && now->piece[0] != '\0' && title_cols + PIECE_COLS_LEAST <= left.cols) {
        title_cols += ink_text(left, 0, title_cols, INK_PLAIN, " \u00b7 ");
        left.x += title_cols;
        left.cols -= title_cols;
        ink_wrap(left, INK_PLAIN, now->piece);
    }
    ink_text_right(in, 0, INK_PLAIN, right);
}

/* The mark of the pass whose window is open, so that a press is seen. */
static void paint_mark(struct rect in, const struct passo_snapshot *now)
{
    char text[32];
    bool this_pass = now->phase == PASSO_PHASE_PLAYING || now->phase == PASSO_PHASE_LANDING;
    const char *name = passo_mark_name(now->mark);
    snprintf(text, sizeof text, "%s: %s", this_pass ? "this pass" : "last pass", name);
    const char *words = in.cols >= MARK_COLS ? text : name;
    ink_signs(in, 0, 0, paint_mark_ink(now->mark), paint_mark_sign(now->mark, PASSO_PART_CLIMB), 1);
    ink_text(in, 0, 2, INK_STRONG, words);
}

void paint_what(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    bool marked = now->mark != PASSO_MARK_NONE && now->mark < PASSO_MARK_COUNT && !day_lists(now) &&
                  !keys_of_hear(keys_place(now));
    struct rect words = in;
    struct rect mark = {in.y + in.rows - 1, in.x, 1, in.cols};
    if (marked && in.rows > 1) {
        words.rows--;
    } else if (marked) {
        words.cols = in.cols - MARK_SHORT_COLS - 1;
        mark.x += words.cols + 1;
        mark.cols = MARK_SHORT_COLS;
    }
    ink_wrap(words, INK_STRONG, day_what(now));
    if (marked)
        paint_mark(mark, now);
}

/* What comes next takes the rows it needs, the last move the others; a row is kept for the move
 * also before there is one. */
void paint_next(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    struct rect next = in;
    int needed = ink_rows(in.cols, now->next);
    if (needed > in.rows)
        needed = in.rows;
    struct rect move = {in.y, in.x, in.rows - needed, in.cols};
    next.y += ink_wrap(move, INK_PLAIN, now->move);
    if (next.y == in.y && move.rows > 0)
        next.y++;
    next.rows = in.y + in.rows - next.y;
    ink_wrap(next, INK_STRONG, now->next);
}

void paint_notice(struct rect in, const struct picture *picture)
{
    if (picture->now->notice[0] == '\0')
        return;
    ink_text(in, 0, 0, INK_NOTICE, "!");
    struct rect words = {in.y, in.x + 2, 1, in.cols - 2};
    ink_wrap(words, INK_NOTICE, picture->now->notice);
}

/* "1:05", "1:02:40". */
static const char *clock_write(int64_t ms, char *out, size_t bytes)
{
    long long s = ms / 1000;
    if (s < 3600)
        snprintf(out, bytes, "%lld:%02lld", s / 60, s % 60);
    else
        snprintf(out, bytes, "%lld:%02lld:%02lld", s / 3600, s / 60 % 60, s % 60);
    return out;
}

static void paint_level(struct rect in, const struct passo_snapshot *now)
{
    char text[32];
    if (!now->sounding) {
        ink_text_right(in, 0, INK_STRONG, "no sound");
        return;
    }
    snprintf(text, sizeof text, "level %d %%", now->level_permille / 10);
    ink_text_right(in, 0, INK_PLAIN, text);
    if (!now->steady || in.cols < 56)
        return;
    int full = now->level_permille * LEVEL_CELLS / 1000;
    int x = in.cols - ink_width("level 100 %") - 1 - LEVEL_CELLS;
    ink_signs(in, 0, x, INK_PLAIN, SIGN_FULL, full);
    ink_signs(in, 0, x + full, INK_PLAIN, SIGN_LINE, LEVEL_CELLS - full);
}

void paint_times(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    char played[24], rested[24], elapsed[24], text[120];
    clock_write(now->played_ms, played, sizeof played);
    clock_write(now->rested_ms, rested, sizeof rested);
    clock_write(now->elapsed_ms, elapsed, sizeof elapsed);
    if (now->steady)
        snprintf(text, sizeof text, "%s", elapsed);
    else if (now->plays) /* who listens neither plays nor rests */
        snprintf(text, sizeof text, "elapsed %s", elapsed);
    else
        snprintf(text, sizeof text, "played %s \u00b7 rested %s%s%s", played, rested,
                 in.cols < 56 ? "" : " \u00b7 elapsed ", in.cols < 56 ? "" : elapsed);
    ink_text(in, 0, 0, INK_PLAIN, text);
    paint_level(in, now);
}

static int key_cols(const struct key_use *use)
{
    return ink_width(use->row->footer_key) + 1 + ink_width(use->footer_word);
}

/* As many entries as fit, the first ones first; help and finish always. */
void paint_keys(struct rect in, const struct picture *picture)
{
    struct key_use use[KEY_ROWS_MAX];
    size_t count = keys_of(keys_place(picture->now), use);
    int kept = 0;
    for (size_t i = count - 2; i < count; i++)
        kept += key_cols(&use[i]) + 2;
    int x = 0;
    for (size_t i = 0; i < count; i++) {
        int cols = key_cols(&use[i]);
        if (i < count - 2 && x + cols + 2 + kept > in.cols + 2)
            continue;
        ink_text(in, 0, x, INK_STRONG, use[i].row->footer_key);
        ink_text(in, 0, x + cols - ink_width(use[i].footer_word), INK_PLAIN, use[i].footer_word);
        x += cols + 2;
    }
}
