/* What the timeline's parts share: timeline.c lays the pass out, timeline_clicks.c decides what is
 * counted in a bar and which of its clicks are silent, timeline_melody.c lays the notes out.
 * Thread: any but the audio thread. */
#ifndef PASSO_ENGINE_TIMELINE_PRIV_H
#define PASSO_ENGINE_TIMELINE_PRIV_H

#include <passo/random.h>
#include <passo/timeline.h>

#include "warp_priv.h"

/* The counted beats of one printed bar. */
struct counted_bar {
    int32_t bar;
    const struct passo_meter *meter;
    bool equal; /* all beats last equally long */
    size_t beats;
    struct passo_beat beat[PASSO_METER_BEATS_MAX];
};

/* One click that may sound in a bar. */
struct bar_click {
    struct passo_ratio at; /* from the bar line, in whole notes */
    size_t beat;           /* from 0: the beat that it is, or divides */
    bool between;          /* it is not on a counted beat */
    enum passo_click click;
};

#define BAR_CLICKS_MAX (6 * PASSO_METER_BEATS_MAX)

/* Which bars of the body are silent: full bars are numbered from 0. */
struct silent_bars {
    const struct passo_pulse *pulse;
    bool none;
    struct passo_random random; /* of drawn bars, as are the two counts: what is still to come */
    uint32_t bars_left;
    uint32_t silent_left;
};

void timeline_count_bar(const struct passo_pass_shape *shape, int32_t bar,
                        struct counted_bar *out_counted);
/* The beat (from 0) in which an offset of the bar lies. */
size_t timeline_beat_at(const struct counted_bar *counted, struct passo_ratio at);
/* The clicks of a whole bar in order, heard or not. Returns how many. */
size_t timeline_bar_clicks(const struct passo_pass_shape *shape, const struct counted_bar *counted,
                           struct bar_click out_clicks[BAR_CLICKS_MAX]);
/* How far the pass is thinned; a pass without clicks keeps those of the count-in alone. */
enum passo_thin timeline_thin(const struct passo_pass_shape *shape);
/* Silenced by its strength, thinning or place. full_bar as in silent_bars, negative before. */
bool timeline_is_silent(const struct passo_pass_shape *shape, const struct counted_bar *counted,
                        const struct bar_click *click, int32_t full_bar);
void timeline_silent_bars_init(struct silent_bars *out_bars, const struct passo_pass_shape *shape,
                               int32_t full_bars);
/* Asked once for each bar of the body, in order. */
bool timeline_bar_is_silent(struct silent_bars *bars, int32_t full_bar);

/* Where a pass stands, for its notes. Score places are whole notes from the bar line of from.bar.
 */
struct melody_ground {
    const struct passo_pass_shape *shape;
    const struct warp *warp;
    struct passo_place from;
    struct passo_ratio to_score;
    struct passo_ratio body;    /* positions from the pass's start: where the body begins, */
    struct passo_ratio landing; /* it ends */
    struct passo_ratio end;     /* and all ends */
    struct passo_tempo tempo;
    struct passo_instant origin; /* the pass's start, frame 0 with its fraction */
    uint32_t rate_hz;
};

/* Events sorted by frame, and the tones that they name, counted from first_tone on. */
struct melody_events {
    struct passo_event *event;
    size_t events;
    struct passo_tone *tone;
    size_t tones;
};

/* The notes of the shape's melody in this pass. The arrays are malloc()ed; the caller frees them.
 */
void timeline_melody(const struct melody_ground *ground, size_t first_tone,
                     struct melody_events *out_events);
/* Weaves them into the timeline's events (at one frame before them, but behind a drone's beginning)
 * and puts drones and tones behind all events, in one block of memory. Frees what they are in. */
struct passo_timeline *timeline_with_tones(struct passo_timeline *timeline,
                                           const struct passo_tone *drone, size_t drones,
                                           struct melody_events *melody);

#endif
