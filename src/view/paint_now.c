/* Painters of what is heard now: the tempo in big figures (where there is none, of a free block and
 * before an item of a day, what is played in big letters), and below them the beats of the bar and
 * its number, or the rest that runs, or one word. The beat that sounds is a block that stands on
 * its place in the bar, the others are low lines: shape first, brightness and hue added. Only this
 * block moves while the pulse sounds. Thread: main. */
#include "view/paint.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"
#include "view/day_words.h"
#include "view/figures.h"

#define FIGURES_ROWS_MAX 28
#define BEAT_COLS_MAX    7
#define BREATHE_S        3
#define LONG_REST_S      100 /* from here on, minutes and seconds */
#define DOT              " \u00b7 "

bool paint_sounds(enum passo_phase phase)
{
    return phase == PASSO_PHASE_COUNT_IN || phase == PASSO_PHASE_PLAYING ||
           phase == PASSO_PHASE_LANDING;
}

int paint_rest_seconds(const struct passo_snapshot *snapshot)
{
    if (snapshot->rest_left_ms < 0)
        return -1;
    return (int)((snapshot->rest_left_ms + 999) / 1000);
}

static bool shows_best(const struct passo_snapshot *now)
{
    return now->phase == PASSO_PHASE_OVER && now->ladder != NULL && now->best_rung >= 0 &&
           now->best_rung < now->ladder->rungs;
}

static const char *tempo_lead(const struct passo_snapshot *now)
{
    if (shows_best(now) && now->ladder->rule.climbs == PASSO_CLIMBS_LENGTH)
        return "won at: ";
    if (shows_best(now) && now->outcome == PASSO_OUTCOME_EDGE)
        return "the edge: ";
    if (shows_best(now))
        return "best tempo won: ";
    return now->phase == PASSO_PHASE_REST && !now->steady ? "next: " : "";
}

/* The words in big letters: all of them, else what stands behind the dot (a key), else what stands
 * before it or before a colon. False, and nothing is drawn, where none of these fits. */
static bool paint_caption(struct rect in, const char *words)
{
    const char *dot = strstr(words, DOT);
    const char *colon = strstr(words, ": ");
    char before_dot[PASSO_WORDS_BYTES];
    char before_colon[PASSO_WORDS_BYTES];
    snprintf(before_dot, sizeof before_dot, "%.*s", dot == NULL ? 0 : (int)(dot - words), words);
    snprintf(before_colon, sizeof before_colon, "%.*s", colon == NULL ? 0 : (int)(colon - words),
             words);
    const char *choice[] = {words, dot == NULL ? "" : dot + strlen(DOT), before_dot, before_colon};
    for (size_t i = 0; i < sizeof choice / sizeof choice[0]; i++)
        if (figures_words(in, FIGURES_ROWS_MAX, INK_STRONG, choice[i]))
            return true;
    return false;
}

/* Of a free block there is no tempo, and before an item of a day it matters more what comes than
 * how fast: the tempo stands above it in small. False: the figures have room. */
static bool paint_what_comes(struct rect in, const struct passo_snapshot *now)
{
    struct rect words = {in.y + 1, in.x, in.rows - 1, in.cols};
    bool between = keys_place(now) == KEYS_BETWEEN;
    char number[16];
    char next[PASSO_WORDS_BYTES] = "next:";
    if (keys_place(now) == KEYS_END)
        return true;
    if (now->mbpm != 0 && (!between || !paint_caption(words, day_what(now))))
        return false;
    if (now->mbpm == 0)
        paint_caption(words, day_what(now));
    else
        snprintf(next, sizeof next, "next: %s = %s", now->beat_name,
                 passo_bpm_write(now->mbpm, number, sizeof number));
    if (between)
        ink_text(in, 0, 0, INK_STRONG, next);
    return true;
}

void paint_tempo(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    if (paint_what_comes(in, now))
        return;
    char unit[PASSO_WORDS_BYTES];
    char number[16];
    int32_t mbpm = shows_best(now) ? now->ladder->rung_mbpm[now->best_rung] : now->mbpm;
    passo_bpm_write(mbpm, number, sizeof number);
    struct rect figures = {in.y + 1, in.x, in.rows - 1, in.cols};
    int rows = figures_rows(figures, FIGURES_ROWS_MAX, number);
    /* spare rows above and below alike; the unit stands right over its figures */
    int top = (figures.rows - rows) / 2;
    snprintf(unit, sizeof unit, "%s%s =", tempo_lead(now), now->beat_name);
    ink_text(in, top, 0, INK_STRONG, unit);
    figures.y += top;
    figures.rows = rows;
    figures_draw(figures, FIGURES_ROWS_MAX, INK_STRONG, number);
}

/* --- the beats --- */

struct row_of_beats {
    int beats;
    int current; /* from 0 */
    int cols;    /* of a beat's cell */
    int gap;
};

/* Cells as wide as the room lets them; cols 0: not even one column each. A bar of one beat is shown
 * as two places that take turns, as a hand goes down and up. */
static struct row_of_beats beats_for(const struct passo_snapshot *now, int room)
{
    struct row_of_beats row = {now->beats_of_bar, now->beat_of_bar - 1, 0, 1};
    if (row.beats == 1) {
        row.beats = 2;
        row.current = now->beat_of_bar ? (int)(now->beat_serial % 2) : -1;
    }
    if (row.beats == 0)
        return row;
    row.cols = (room + row.gap) / row.beats - row.gap;
    if (row.cols < 1) {
        row.gap = 0;
        row.cols = room / row.beats;
    }
    int cols_max = room >= 60 ? 2 * BEAT_COLS_MAX : BEAT_COLS_MAX;
    if (row.cols > cols_max)
        row.cols = cols_max;
    return row;
}

/* Rows of the block: the bar's first beat stands highest. */
static int block_rows(enum passo_click click, int rows)
{
    if (click == PASSO_CLICK_BAR || click == PASSO_CLICK_COUNT_BAR || rows == 1)
        return rows;
    return click == PASSO_CLICK_GROUP ? rows - rows / 6 : rows - (rows + 2) / 3;
}

static void paint_block(struct rect in, int x, int cols, const struct passo_snapshot *now)
{
    bool counting = now->phase == PASSO_PHASE_COUNT_IN;
    int height = block_rows(now->click, in.rows);
    for (int y = in.rows - height; y < in.rows; y++)
        ink_signs(in, y, x, INK_BEAT, counting ? SIGN_SHADE : SIGN_FULL, cols);
}

static void paint_number(struct rect in, int x, int cols, int number, bool current)
{
    char text[8];
    int digits = snprintf(text, sizeof text, "%d", number);
    if (digits + (current ? 2 : 0) > cols)
        return;
    ink_text(in, in.rows - 2, x + (cols - digits) / 2, current ? INK_BEAT_NUMBER : INK_PLAIN, text);
}

static void paint_beats(struct rect in, const struct passo_snapshot *now)
{
    struct row_of_beats row = beats_for(now, in.cols);
    char text[32];
    if (row.cols == 0) {
        snprintf(text, sizeof text, "beat %d of %d", now->beat_of_bar, now->beats_of_bar);
        ink_text(in, in.rows - 1, 0, INK_STRONG, now->beat_of_bar > 0 ? text : "");
        return;
    }
    for (int i = 0; i < row.beats; i++) {
        int x = i * (row.cols + row.gap);
        bool current = i == row.current;
        if (current)
            paint_block(in, x, row.cols, now);
        else
            ink_signs(in, in.rows - 1, x, INK_PLAIN, SIGN_LINE, row.cols);
        if (now->beats_of_bar > 1)
            paint_number(in, x, row.cols, i + 1, current);
    }
}

/* One row: "1 [2] 3 4". */
static void paint_beats_in_words(struct rect in, const struct passo_snapshot *now)
{
    char text[32];
    int x = 0;
    if (now->beats_of_bar * 3 > in.cols) {
        snprintf(text, sizeof text, "beat [%d] of %d", now->beat_of_bar, now->beats_of_bar);
        ink_text(in, 0, 0, INK_STRONG, now->beat_of_bar > 0 ? text : "");
        return;
    }
    for (int i = 1; i <= now->beats_of_bar; i++) {
        bool current = i == now->beat_of_bar;
        snprintf(text, sizeof text, current ? "[%d]" : " %d ", i);
        x += ink_text(in, 0, x, current ? INK_BEAT_NUMBER : INK_PLAIN, text);
    }
}

static void paint_bar(struct rect in, const struct passo_snapshot *now)
{
    char number[16];
    bool counting = now->phase == PASSO_PHASE_COUNT_IN || now->listening;
    if (now->phase == PASSO_PHASE_COUNT_IN || now->bar <= 0) {
        if (counting)
            ink_text(in, in.rows - 1, 0, INK_STRONG, "count-in");
        return;
    }
    snprintf(number, sizeof number, "%d", now->bar);
    ink_text(in, in.rows - 1, 0, INK_PLAIN, "bar");
    if (now->phase == PASSO_PHASE_LANDING && in.rows > 1)
        ink_text(in, in.rows - 2, 0, INK_STRONG, "land");
    else if (now->listening && in.rows > 1)
        ink_text(in, in.rows - 2, 0, INK_STRONG, "hear");
    struct rect figures = {in.y, in.x + 5, in.rows, in.cols - 5};
    figures_draw(figures, in.rows, INK_STRONG, number);
}

/* Room for two figures at least, so that it changes only at bar 100 and bar 1000. */
static int bar_cols_for(int32_t bar, int rows)
{
    int digits = bar >= 1000 ? 4 : bar >= 100 ? 3 : 2;
    int digit_cols = rows >= 7 ? 11 : rows >= 5 ? 8 : rows >= 3 ? 5 : 1;
    return 5 + digits * digit_cols;
}

static void paint_beats_and_bar(struct rect in, const struct passo_snapshot *now)
{
    if (in.rows > 3)
        in.rows--; /* the row of the rest's bar */
    int bar_cols = bar_cols_for(now->bar, in.rows);
    struct rect beats = {in.y, in.x, in.rows, in.cols - bar_cols - 1};
    struct rect bar = {in.y, in.x + in.cols - bar_cols, in.rows, bar_cols};
    if (in.rows > 1)
        paint_beats(beats, now);
    else
        paint_beats_in_words(beats, now);
    paint_bar(bar, now);
}

/* --- the rest, and words --- */

static void paint_rest(struct rect in, const struct picture *picture)
{
    char text[48];
    int left_s = paint_rest_seconds(picture->now);
    bool breathe = left_s >= 0 && left_s <= BREATHE_S;
    bool bar = in.rows > 3 && left_s >= 0;
    struct rect words = {in.y, in.x, bar ? in.rows - 1 : in.rows, in.cols};
    bool small = words.rows < 3;
    if (breathe)
        snprintf(text, sizeof text, small ? "Breathe" : "BREATHE");
    else if (left_s < 0)
        snprintf(text, sizeof text, small ? "Rest" : "REST");
    else if (left_s >= LONG_REST_S)
        snprintf(text, sizeof text, small ? "Rest %d:%02d" : "REST %d:%02d", left_s / 60,
                 left_s % 60);
    else
        snprintf(text, sizeof text, small ? "Rest %d s" : "REST %d", left_s);
    int used = figures_draw(words, words.rows, INK_STRONG, text);
    if (!small && left_s >= 0 && left_s < LONG_REST_S && !breathe)
        ink_text(words, words.rows - 1, used + 1, INK_STRONG, "s");
    int64_t whole_s = (picture->rest_whole_ms + 999) / 1000;
    if (bar && whole_s > 0) {
        int full = (int)(in.cols * left_s / whole_s);
        ink_signs(in, in.rows - 1, 0, INK_BEAT, SIGN_LOWER, full);
        ink_signs(in, in.rows - 1, full, INK_PLAIN, SIGN_LINE, in.cols - full);
    }
}

static const char *word_for(const struct passo_snapshot *now)
{
    if (paint_sounds(now->phase))
        return "PLAY";
    if (now->phase == PASSO_PHASE_LEAD)
        return "READY";
    if (now->phase == PASSO_PHASE_PAUSED)
        return "PAUSED";
    return now->outcome == PASSO_OUTCOME_WON ? "WON" : "DONE";
}

void paint_pulse(struct rect in, const struct picture *picture)
{
    bool free = picture->now->mbpm == 0; /* no beat to show */
    bool beats = paint_sounds(picture->now->phase) || picture->now->listening;
    if (beats && !free)
        paint_beats_and_bar(in, picture->now);
    else if (picture->now->phase == PASSO_PHASE_REST)
        paint_rest(in, picture);
    else
        figures_draw(in, in.rows, INK_STRONG, word_for(picture->now));
}
