/* The painters: each shows one region of a snapshot in its rectangle, which is blank when it is
 * called. They keep nothing. Thread: main. */
#ifndef PASSO_VIEW_PAINT_H
#define PASSO_VIEW_PAINT_H

#include "session/view.h"
#include "view/ink.h"
#include "view/keys.h"

/* What is painted: the snapshot, and how long this rest was when it began. */
struct picture {
    const struct passo_snapshot *now;
    int64_t rest_whole_ms;
    bool bare; /* no row for a notice: the title's row shows it */
};

void paint_title(struct rect in, const struct picture *picture);
void paint_tempo(struct rect in, const struct picture *picture);
void paint_pulse(struct rect in, const struct picture *picture);
void paint_names(struct rect in, const struct picture *picture);
void paint_what(struct rect in, const struct picture *picture);
void paint_climb(struct rect in, const struct picture *picture);
void paint_next(struct rect in, const struct picture *picture);
void paint_notice(struct rect in, const struct picture *picture);
void paint_times(struct rect in, const struct picture *picture);
void paint_keys(struct rect in, const struct picture *picture);

/* A day's list: in the climb's column, or in one row as the place in the day and what comes after.
 */
void paint_list(struct rect in, const struct passo_day_show *day);
/* A day's list over the whole width, with what each stands there for. */
void paint_listing(struct rect in, const struct passo_day_show *day);

/* The contour of the notes, in the climb's column while the machine plays; and whether it does. */
void paint_contour(struct rect in, const struct picture *picture);
bool paint_hears(const struct passo_snapshot *now);

/* The help overlay, over the whole window. */
void paint_help(struct rect in, enum key_place place);

/* True while the pulse sounds. */
bool paint_sounds(enum passo_phase phase);
/* Whole seconds of rest to come, rounded up; -1: until a key. */
int paint_rest_seconds(const struct passo_snapshot *snapshot);
/* The shape and the ink of a pass's mark. */
enum sign paint_mark_sign(enum passo_mark mark, enum passo_part part);
enum ink paint_mark_ink(enum passo_mark mark);

#endif
