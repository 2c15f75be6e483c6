/* What each region shows of a snapshot, field by field. A painter that comes to read another field
 * needs it here too. Owns no state. Thread: main. */
#include "view/same.h"

#include <string.h>
#include "view/keys.h"
#include "view/paint.h"

#define SAME(field)      (a->field == b->field)
#define SAME_TEXT(field) (strcmp(a->field, b->field) == 0)

typedef bool same_fn(const struct passo_snapshot *a, const struct passo_snapshot *b);

/* Which line, and what has become of the others. */
static bool same_day(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    if (a->day == NULL || b->day == NULL)
        return a->day == b->day;
    return SAME(day->serial) && SAME(day->line) && SAME(day->lines) && SAME(day->now) &&
           SAME(day->done_ms) && SAME(day->whole_ms) && SAME(day->block) && SAME_TEXT(day->title) &&
           keys_place(a) == keys_place(b);
}

static bool same_title(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME_TEXT(title) && SAME_TEXT(piece) && SAME(pass) && SAME(part) && SAME(phase) &&
           SAME_TEXT(notice) && same_day(a, b);
}

static bool same_tempo(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME(mbpm) && SAME_TEXT(beat_name) && SAME(phase) && SAME(best_rung) && SAME(ladder) &&
           SAME(stage) && SAME_TEXT(what) && same_day(a, b);
}

static bool same_names(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME(strip.serial) && SAME(strip.notes) && SAME(note_now) && SAME(listening) &&
           SAME(phase) && SAME(bar);
}

static bool same_pulse(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME(phase) && SAME(beat_serial) && SAME(bar) && SAME(beat_of_bar) &&
           SAME(beats_of_bar) && SAME(click) && SAME(outcome) && SAME(mbpm) && SAME(listening) &&
           same_day(a, b) && paint_rest_seconds(a) == paint_rest_seconds(b);
}

static bool same_what(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME_TEXT(what) && SAME(mark) && SAME(phase) && same_day(a, b);
}

static bool same_curve(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    if (a->points != b->points)
        return false;
    for (size_t i = 0; i < a->points; i++) {
        const struct passo_curve_point *one = &a->curve[i];
        const struct passo_curve_point *other = &b->curve[i];
        if (one->mbpm != other->mbpm || one->rung != other->rung || one->stage != other->stage ||
            one->mark != other->mark || one->part != other->part)
            return false;
    }
    return true;
}

static bool same_climb(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME(ladder) && SAME(stage) && SAME(rung) && SAME(best_rung) && SAME(cleans) &&
           SAME(cleans_needed) && SAME_TEXT(count) && SAME_TEXT(stage_name) &&
           memcmp(a->put_away, b->put_away, sizeof a->put_away) == 0 && same_curve(a, b) &&
           same_day(a, b) && paint_hears(a) == paint_hears(b) &&
           (!paint_hears(b) || same_names(a, b));
}

static bool same_next(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME_TEXT(move) && SAME_TEXT(next);
}

static bool same_notice(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return SAME_TEXT(notice);
}

/* While the pulse sounds nothing but the beat is to move: the times step every ten seconds. */
static bool same_times(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    int64_t step_ms = paint_sounds(b->phase) ? 10000 : 1000;
    return SAME(phase) && SAME(level_permille) && SAME(sounding) &&
           a->elapsed_ms / step_ms == b->elapsed_ms / step_ms;
}

static bool same_keys(const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    return keys_place(a) == keys_place(b);
}

bool same_region(enum region region, const struct passo_snapshot *a, const struct passo_snapshot *b)
{
    static same_fn *const same[REGION_COUNT] = {
        [REGION_TITLE] = same_title, [REGION_TEMPO] = same_tempo,   [REGION_PULSE] = same_pulse,
        [REGION_NAMES] = same_names, [REGION_WHAT] = same_what,     [REGION_CLIMB] = same_climb,
        [REGION_NEXT] = same_next,   [REGION_NOTICE] = same_notice, [REGION_TIMES] = same_times,
        [REGION_KEYS] = same_keys,
    };
    return same[region](a, b);
}
