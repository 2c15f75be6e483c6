/* Painter of the climb: which stage of it this is and how far this rung is won, the ladder with a
 * row to each rung (or a row to several, in a low window), and on the same rows the curve: every
 * pass of this stage a sign at its tempo, newest on the right. Where lengths are climbed, rungs and
 * passes stand by their number. Passes that never move the ladder are squares. Of a day whose
 * blocks have no ladder the list stands here. Thread: main. */
#include "view/paint.h"

#include <stdio.h>
#include <string.h>
#include "text/notation.h"
#include "view/day_words.h"

#define DOT             " \u00b7 "
#define STEP_ROWS_MAX   3
#define LIST_ROWS_LEAST 6 /* a day's list below a low ladder */

/* How the ladder lies in its rows. Row 0 is on top. */
struct ground {
    struct rect in;
    const struct passo_ladder *ladder;
    int top;    /* row of the target: 0, or 1 below the row for passes over it */
    int bottom; /* row of the start */
    int rows;   /* all, with the row under the start, if passes may be slower */
    int label_cols;
    int axis; /* column */
};

enum sign paint_mark_sign(enum passo_mark mark, enum passo_part part)
{
    bool aside = part != PASSO_PART_CLIMB;
    switch (mark) {
    case PASSO_MARK_CLEAN:
        return aside ? SIGN_ASIDE_CLEAN : SIGN_CLEAN;
    case PASSO_MARK_MISS:
        return aside ? SIGN_ASIDE_MISS : SIGN_MISS;
    case PASSO_MARK_VOID:
        return SIGN_VOID;
    case PASSO_MARK_NONE:
    case PASSO_MARK_COUNT:
        break;
    }
    return aside ? SIGN_ASIDE_OTHER : SIGN_UNMARKED;
}

enum ink paint_mark_ink(enum passo_mark mark)
{
    if (mark == PASSO_MARK_CLEAN)
        return INK_CLEAN;
    return mark == PASSO_MARK_MISS ? INK_MISS : INK_PLAIN;
}

static bool is_length(const struct passo_ladder *ladder)
{
    return ladder->rule.climbs == PASSO_CLIMBS_LENGTH;
}

/* A rung's name beside the axis: its tempo, or which length it is. */
static const char *rung_label(const struct passo_ladder *ladder, int rung, char *out, size_t bytes)
{
    if (!is_length(ladder))
        return passo_bpm_write(ladder->rung_mbpm[rung], out, bytes);
    snprintf(out, bytes, "%d", rung + 1);
    return out;
}

/* Drawn tempi are won in any order, else all up to the best. */
static bool is_won(const struct passo_snapshot *now, int rung)
{
    if (now->ladder->rule.climbs == PASSO_CLIMBS_MIXED)
        return now->put_away[rung / 64] >> (rung % 64) & 1;
    return rung <= now->best_rung;
}

static int row_of_rung(const struct ground *ground, int rung)
{
    int last = ground->ladder->rungs - 1;
    if (last == 0)
        return ground->bottom;
    return ground->bottom - ((ground->bottom - ground->top) * rung + last / 2) / last;
}

/* Between two rungs by their tempi; beyond the ends on the row set aside for that. */
static int row_of_tempo(const struct ground *ground, int32_t mbpm)
{
    const struct passo_ladder *ladder = ground->ladder;
    int last = ladder->rungs - 1;
    if (mbpm > ladder->rung_mbpm[last])
        return ground->top > 0 ? ground->top - 1 : 0;
    if (mbpm < ladder->rung_mbpm[0])
        return ground->bottom < ground->rows - 1 ? ground->bottom + 1 : ground->bottom;
    int rung = 0;
    while (rung < last && ladder->rung_mbpm[rung + 1] <= mbpm)
        rung++;
    int row = row_of_rung(ground, rung);
    if (rung == last || ladder->rung_mbpm[rung] == mbpm)
        return row;
    int32_t under = mbpm - ladder->rung_mbpm[rung];
    int32_t step = ladder->rung_mbpm[rung + 1] - ladder->rung_mbpm[rung];
    return 2 * (int64_t)under < step ? row : row_of_rung(ground, rung + 1);
}

static struct ground lay_out(struct rect in, const struct passo_snapshot *now)
{
    struct ground ground = {.in = in, .ladder = now->ladder};
    const struct passo_rule *rule = &now->ladder->rule;
    bool over = rule->over_passes > 0;
    bool under = rule->anchor_permille > 0 || rule->put_away_passes > 0;
    char label[16];
    for (int i = 0; i < now->ladder->rungs; i++) {
        int cols = (int)strlen(rung_label(now->ladder, i, label, sizeof label));
        if (cols > ground.label_cols)
            ground.label_cols = cols;
    }
    ground.axis = 2 + ground.label_cols + 1 + 4;
    ground.top = over ? 1 : 0;
    int room = in.rows - 1 - ground.top - (under ? 1 : 0);
    int steps = now->ladder->rungs - 1;
    int used = room;
    if (steps > 0 && steps <= room)
        used = steps * (room / steps < STEP_ROWS_MAX ? room / steps : STEP_ROWS_MAX);
    ground.bottom = ground.top + (steps > 0 ? used : 0);
    ground.rows = ground.bottom + 1 + (under ? 1 : 0);
    return ground;
}

static void paint_rung(const struct ground *ground, const struct passo_snapshot *now, int rung)
{
    char text[24];
    int y = row_of_rung(ground, rung);
    bool here = rung == now->rung;
    rung_label(ground->ladder, rung, text, sizeof text);
    enum ink ink = here ? INK_STRONG : INK_PLAIN;
    int x = 2 + ground->label_cols - (int)strlen(text);
    ink_clear((struct rect){ground->in.y + y, ground->in.x, 1, ground->axis});
    if (is_won(now, rung))
        ink_signs(ground->in, y, ground->axis, INK_PLAIN, SIGN_AXIS_WON, 1);
    ink_text(ground->in, y, x, ink, text);
    if (!here)
        return;
    ink_signs(ground->in, y, 0, INK_BEAT, SIGN_HERE, 1);
    snprintf(text, sizeof text, "%d/%d", now->cleans, now->cleans_needed);
    if (now->cleans_needed > 0)
        ink_text(ground->in, y, ground->axis - 4, INK_STRONG, text);
}

static void paint_rungs(const struct ground *ground, const struct passo_snapshot *now)
{
    int target = ground->ladder->rungs - 1;
    for (int y = 0; y < ground->rows; y++)
        ink_signs(ground->in, y, ground->axis, INK_PLAIN, SIGN_AXIS, 1);
    int y = row_of_rung(ground, target);
    for (int x = ground->axis + 2; x < ground->in.cols; x += 2)
        ink_signs(ground->in, y, x, INK_PLAIN, SIGN_DASH, 1);
    /* where rungs share a row, the highest gives its name, but the one we stand on goes first */
    for (int rung = 0; rung <= target; rung++)
        paint_rung(ground, now, rung);
    if (now->rung <= target)
        paint_rung(ground, now, now->rung);
}

static int row_of_point(const struct ground *ground, const struct passo_snapshot *now,
                        const struct passo_curve_point *point)
{
    if (is_length(ground->ladder) && point->stage == now->stage && point->part == PASSO_PART_CLIMB)
        return row_of_rung(ground, point->rung);
    return row_of_tempo(ground, point->mbpm);
}

/* The first point that is shown: of this stage (the rungs of another say nothing of it), and no
 * more than there is room for. */
static size_t first_point(const struct passo_snapshot *now, size_t shown)
{
    size_t first = now->points;
    while (first > 0 && now->curve[first - 1].stage == now->stage && now->points - first < shown)
        first--;
    return first;
}

static void paint_curve(const struct ground *ground, const struct passo_snapshot *now)
{
    int from = ground->axis + 2;
    int room = ground->in.cols - from;
    int pitch = room >= 40 ? 2 : 1;
    size_t first = first_point(now, (size_t)(room > 0 ? room / pitch : 0));
    int target_row = row_of_rung(ground, ground->ladder->rungs - 1);
    const char *name = is_length(ground->ladder) ? " whole" : " target";
    int label_from = ground->in.cols - ink_width(name);
    bool free = label_from > from;
    for (size_t i = first; i < now->points; i++) {
        const struct passo_curve_point *point = &now->curve[i];
        int y = row_of_point(ground, now, point);
        int x = from + (int)(i - first) * pitch;
        ink_signs(ground->in, y, x, paint_mark_ink(point->mark),
                  paint_mark_sign(point->mark, point->part), 1);
        free = free && (y != target_row || x < label_from);
    }
    /* once passes reach the target there, its line needs no name */
    if (free)
        ink_text(ground->in, target_row, label_from, INK_PLAIN, name);
}

/* Where there is one row: the same in words; the target is left out where it finds no room. */
static void paint_climb_in_words(struct rect in, const struct passo_snapshot *now)
{
    char text[PASSO_WORDS_BYTES + 64];
    char stage[24] = "";
    char rung[32] = "";
    char target[32] = "";
    char bpm[16];
    int rungs = now->ladder->rungs;
    passo_bpm_write(now->ladder->rung_mbpm[rungs - 1], bpm, sizeof bpm);
    if (now->stages > 1)
        snprintf(stage, sizeof stage, "stage %d/%d \u00b7 ", now->stage + 1, now->stages);
    if (now->cleans_needed > 0)
        snprintf(rung, sizeof rung, "%s %d of %d \u00b7 ",
                 is_length(now->ladder) ? "length" : "rung", now->rung + 1, rungs);
    snprintf(target, sizeof target, "target %s \u00b7 ", bpm);
    for (int with_target = 1; with_target >= 0; with_target--) {
        int used = snprintf(text, sizeof text, "%s%s%s", stage, rung, with_target ? target : "");
        if (now->cleans_needed > 0)
            snprintf(text + used, sizeof text - (size_t)used, "clean %d/%d", now->cleans,
                     now->cleans_needed);
        else
            snprintf(text + used, sizeof text - (size_t)used, "%s", now->count);
        if (ink_width(text) <= in.cols)
            break;
    }
    /* of a spot of a check nothing is counted */
    size_t bytes = strlen(text);
    if (bytes >= strlen(DOT) && strcmp(text + bytes - strlen(DOT), DOT) == 0)
        text[bytes - strlen(DOT)] = '\0';
    ink_wrap(in, INK_PLAIN, text);
}

/* "Stage 2/4: second half", and how far its rung is won. Returns the rows used: one at least, two
 * of a climb with stages, and one more where the count is long, so that the ladder keeps its place.
 */
static int paint_heading(struct rect in, const struct passo_snapshot *now)
{
    char stage[PASSO_NAME_MAX + 24];
    int rows = 0;
    if (now->stages > 1) {
        snprintf(stage, sizeof stage, "stage %d/%d: %s", now->stage + 1, now->stages,
                 now->stage_name);
        ink_wrap((struct rect){in.y, in.x, 1, in.cols}, INK_STRONG, stage);
        rows++;
    }
    int needed = ink_rows(in.cols, now->count);
    struct rect count = {in.y + rows, in.x, needed > 1 && in.rows >= 10 ? 2 : 1, in.cols};
    ink_wrap(count, INK_STRONG, now->count);
    return rows + count.rows;
}

/* A visit's ladder may be low, and that of a spot is: then there is room to see the day as well. */
static void paint_list_below(struct rect in, int y, const struct passo_snapshot *now)
{
    struct rect list = {in.y + y, in.x, in.rows - y, in.cols};
    if (now->day != NULL && list.rows >= LIST_ROWS_LEAST)
        paint_list(list, now->day);
}

void paint_climb(struct rect in, const struct picture *picture)
{
    const struct passo_snapshot *now = picture->now;
    if (paint_hears(now) && in.rows >= 4) {
        paint_contour(in, picture);
        return;
    }
    if (day_lists(now)) {
        if (now->day->listing)
            paint_listing(in, now->day);
        else
            paint_list(in, now->day);
        return;
    }
    if (now->ladder == NULL || now->ladder->rungs == 0 || keys_of_hear(keys_place(now)))
        return;
    if (in.rows < 4) {
        paint_climb_in_words(in, now);
        return;
    }
    int heading = paint_heading(in, now);
    struct ground ground =
        lay_out((struct rect){in.y + heading, in.x, in.rows - heading, in.cols}, now);
    paint_rungs(&ground, now);
    paint_curve(&ground, now);
    paint_list_below(in, heading + ground.rows + 1, now);
}
