/* Painter of the notes, where a passage has them: in a row over the beats the names of the bar that
 * sounds or comes, the note of this moment in brackets; and, while the machine plays and the player
 * listens, and all through `passo hear`, their contour in the climb's column: a line for each note
 * at its height and as long as it lasts, bar by bar, the one that sounds a block. Thread: main. */
#include "view/paint.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"

#define NAME_BYTES      24
#define LABEL_COLS      5 /* of the highest and the lowest note's name */
#define HEADING_ROWS    2
#define BAR_COLS_LEAST  4
#define BAR_COLS_MOST   32
#define NOTE_COLS_LEAST 2

static const char *name_of(const struct passo_strip_note *note, char *out)
{
    return passo_pitch_write_short(note->pitch, !ink_is_wide(), out, NAME_BYTES);
}

/* The note that the eye is to be on: the one that sounds, else the next one, else the first. */
static size_t place_of(const struct passo_snapshot *now)
{
    if (now->note_now >= 0 && (size_t)now->note_now < now->strip.notes)
        return (size_t)now->note_now;
    if (!paint_sounds(now->phase) && !now->listening)
        return 0;
    size_t i = 0;
    while (i + 1 < now->strip.notes && now->strip.note[i].bar < now->bar)
        i++;
    return i;
}

/* --- names --- */

/* Columns of the names from note i on, up to the end of its bar. */
static int name_cols(const struct passo_snapshot *now, size_t i)
{
    char name[NAME_BYTES];
    int cols = 0;
    for (int32_t bar = now->strip.note[i].bar;
         i < now->strip.notes && now->strip.note[i].bar == bar; i++)
        cols += 2 + ink_width(name_of(&now->strip.note[i], name));
    return cols;
}

/* The first name that is shown: the bar's first, but later ones where the bar is too long for the
 * row, so that the note of this moment is always there. */
static size_t first_name(const struct passo_snapshot *now, size_t place, int room)
{
    size_t first = place;
    size_t at = place;
    int to_place = 0;
    char name[NAME_BYTES];
    while (first > 0 && now->strip.note[first - 1].bar == now->strip.note[place].bar)
        first--;
    if (name_cols(now, first) <= room)
        return first;
    while (at > first && to_place < room / 2)
        to_place += 2 + ink_width(name_of(&now->strip.note[--at], name));
    return at;
}

void paint_names(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    char text[NAME_BYTES + 4];
    char name[NAME_BYTES];
    if (now->strip.notes == 0)
        return;
    size_t place = place_of(now);
    int32_t bar = now->strip.note[place].bar;
    snprintf(text, sizeof text, "%d:", (int)bar);
    int x = ink_text(in, 0, 0, INK_PLAIN, text);
    for (size_t i = first_name(now, place, in.cols - x);
         i < now->strip.notes && now->strip.note[i].bar == bar; i++) {
        bool here = now->note_now == (int32_t)i;
        snprintf(text, sizeof text, here ? "[%s]" : " %s ", name_of(&now->strip.note[i], name));
        if (x + ink_width(text) > in.cols)
            break;
        x += ink_text(in, 0, x, here ? INK_STRONG : INK_PLAIN, text);
    }
}

/* --- the contour --- */

/* How the notes lie in the column: a page of some bars, the heights of the whole strip. */
struct ground {
    struct rect in; /* of the notes alone */
    const struct passo_snapshot *now;
    int lowest; /* steps of the staff */
    int highest;
    int32_t first_bar; /* of the page */
    int bars;
    int bar_cols;
    struct passo_ratio bar_length; /* the longest of the strip's bars */
};

static int row_of(const struct ground *ground, int step)
{
    int span = ground->highest - ground->lowest;
    int rows = ground->in.rows;
    if (span < rows) /* a row to a step, in the middle */
        return (rows - 1 + span) / 2 - (step - ground->lowest);
    return (rows - 1) - ((step - ground->lowest) * (rows - 1) + span / 2) / span;
}

static struct passo_ratio longer(struct passo_ratio a, struct passo_ratio b)
{
    return passo_ratio_cmp(a, b) < 0 ? b : a;
}

/* Bars as long as the latest end of a note in any of them; the shortest note gives the columns. */
static void measure(struct ground *ground)
{
    const struct passo_strip *strip = &ground->now->strip;
    struct passo_ratio shortest = strip->note[0].length;
    ground->bar_length = passo_ratio(1, 64);
    ground->lowest = ground->highest = passo_pitch_step(strip->note[0].pitch);
    for (size_t i = 0; i < strip->notes; i++) {
        const struct passo_strip_note *note = &strip->note[i];
        int step = passo_pitch_step(note->pitch);
        ground->lowest = step < ground->lowest ? step : ground->lowest;
        ground->highest = step > ground->highest ? step : ground->highest;
        bool crosses = i + 1 < strip->notes && strip->note[i + 1].bar > note->bar + 1;
        if (!crosses)
            ground->bar_length =
                longer(ground->bar_length, passo_ratio_add(note->at, note->length));
        if (passo_ratio_cmp(note->length, shortest) < 0)
            shortest = note->length;
    }
    struct passo_ratio notes = passo_ratio_div(ground->bar_length, shortest);
    int64_t wanted = NOTE_COLS_LEAST * (passo_ratio_floor(notes) + 1);
    wanted = wanted < BAR_COLS_LEAST ? BAR_COLS_LEAST : wanted;
    ground->bar_cols = wanted > BAR_COLS_MOST ? BAR_COLS_MOST : (int)wanted;
    if (ground->bar_cols > ground->in.cols)
        ground->bar_cols = ground->in.cols;
    ground->bars = ground->in.cols / ground->bar_cols;
}

static int column_of(const struct ground *ground, struct passo_ratio at)
{
    struct passo_ratio share = passo_ratio_div(at, ground->bar_length);
    return (int)passo_ratio_floor(passo_ratio_mul(share, passo_ratio(ground->bar_cols - 1, 1)));
}

static void paint_note(const struct ground *ground, size_t i)
{
    const struct passo_strip_note *note = &ground->now->strip.note[i];
    int bar = (int)(note->bar - ground->first_bar);
    bool here = ground->now->note_now == (int32_t)i;
    if (bar < 0 || bar >= ground->bars)
        return;
    int from = bar * ground->bar_cols + 1 + column_of(ground, note->at);
    int to =
        bar * ground->bar_cols + 1 + column_of(ground, passo_ratio_add(note->at, note->length));
    int cols = to - from > 1 ? to - from : 1;
    if (from + cols > ground->in.cols)
        cols = ground->in.cols - from;
    ink_signs(ground->in, row_of(ground, passo_pitch_step(note->pitch)), from,
              here ? INK_BEAT : INK_PLAIN, here ? SIGN_FULL : SIGN_LINE, cols);
}

static void paint_bar_lines(const struct ground *ground)
{
    const struct passo_strip *strip = &ground->now->strip;
    int32_t last = strip->note[strip->notes - 1].bar;
    char number[16];
    for (int i = 0; i < ground->bars && ground->first_bar + i <= last; i++) {
        for (int y = 0; y < ground->in.rows; y++)
            ink_signs(ground->in, y, i * ground->bar_cols, INK_FAINT, SIGN_AXIS, 1);
        snprintf(number, sizeof number, "%d", (int)ground->first_bar + i);
        ink_text((struct rect){ground->in.y - 1, ground->in.x, 1, ground->in.cols}, 0,
                 i * ground->bar_cols, INK_PLAIN, number);
    }
}

/* The names of the highest and the lowest note stand at their heights. */
static void paint_labels(struct rect labels, const struct ground *ground)
{
    const struct passo_strip *strip = &ground->now->strip;
    char name[NAME_BYTES];
    for (size_t i = strip->notes; i-- > 0;) {
        int step = passo_pitch_step(strip->note[i].pitch);
        if (step == ground->highest || step == ground->lowest)
            ink_text(labels, row_of(ground, step), 0, INK_PLAIN, name_of(&strip->note[i], name));
    }
}

bool paint_hears(const struct passo_snapshot *now)
{
    return now->strip.notes > 0 && (now->listening || keys_of_hear(keys_place(now)));
}

void paint_contour(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    char name[NAME_BYTES];
    char text[NAME_BYTES + 16];
    size_t place = place_of(now);
    struct ground ground = {.now = now,
                            .in = {in.y + HEADING_ROWS, in.x + LABEL_COLS, in.rows - HEADING_ROWS,
                                   in.cols - LABEL_COLS}};
    const char *what = now->listening ? "listen" : paint_sounds(now->phase) ? "play" : "notes";
    snprintf(text, sizeof text, "%s%s%s", what, now->note_now < 0 ? "" : ": ",
             now->note_now < 0 ? "" : name_of(&now->strip.note[place], name));
    ink_text(in, 0, 0, INK_STRONG, text);
    if (ground.in.rows < 3 || ground.in.cols < BAR_COLS_LEAST)
        return;
    measure(&ground);
    int32_t from = now->strip.note[0].bar;
    ground.first_bar = from + (now->strip.note[place].bar - from) / ground.bars * ground.bars;
    paint_bar_lines(&ground);
    for (size_t i = 0; i < now->strip.notes; i++)
        paint_note(&ground, i);
    paint_labels((struct rect){ground.in.y, in.x, ground.in.rows, LABEL_COLS}, &ground);
}
