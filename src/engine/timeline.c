/* Timeline: lays one pass out as events sorted by frame.
 *
 * The pass is walked once from left to right: count-in, body bar by bar, landing. Each event gets
 * its position as a length from the pass's start at the rung's tempo (the warp bends the score
 * where changes of time are written), and only then, on its own, its frame; no frame is ever found
 * from another frame. Events are written in the order of their positions, so the array needs no
 * sorting. What a fermata adds (a click at its start, beats of preparation) is woven in as the walk
 * comes by. Thread: any but the audio thread; it allocates. */
#include <passo/error.h>

#include "grain_priv.h"
#include "passage_priv.h"
#include "timeline_priv.h"
#include "warp_priv.h"

#include <math.h>

__extension__ typedef __int128 wide;

#define FIRST_CAPACITY 64

static const struct passo_ratio nothing = {0, 1};

/* A pass in the making. Score places are whole notes from the bar line of from.bar. */
struct builder {
    const struct passo_pass_shape *shape;
    struct passo_tempo tempo;
    struct passo_place from;
    struct passo_place to;
    struct passo_ratio to_score;
    struct passo_pass_span span;
    struct warp warp;
    size_t next_piece; /* of the warp: the first whose extra clicks are still to come */
    int32_t first_full_bar;
    struct silent_bars silent_bars;
    bool bar_is_silent; /* the bar being walked */
    struct passo_tone drone[PASSO_DRONES_MAX];
    size_t drones;
    struct passo_timeline *timeline;
    size_t capacity;
};

/* --- lengths --- */

static int64_t count_in_bars(const struct passo_pass_shape *shape, struct passo_ratio bar,
                             struct passo_ratio share)
{
    if (shape->pulse->count_in_bars)
        return shape->pulse->count_in_bars;
    /* bar / beat * 60000 / (mbpm * share) < 1.6 seconds, in integers */
    struct passo_ratio beat = shape->passage->beat;
    wide bar_lasts = (wide)bar.num * beat.den * 600000 * share.den;
    wide limit = (wide)bar.den * beat.num * shape->mbpm * 16 * share.num;
    return bar_lasts < limit ? 2 : 1;
}

static struct passo_ratio count_in_length(const struct builder *builder)
{
    const struct passo_pass_shape *shape = builder->shape;
    if (shape->no_count_in)
        return nothing;
    struct passo_ratio share = warp_share(&builder->warp, builder->from.at);
    struct passo_ratio bar =
        passo_meter_length(passo_passage_meter(shape->passage, builder->from.bar));
    int64_t bars = count_in_bars(shape, bar, share);
    struct passo_ratio notes =
        passo_ratio_add(passo_ratio_mul(bar, passo_ratio(bars, 1)), builder->from.at);
    return grain_div(notes, share);
}

static struct passo_ratio landing_length(const struct builder *builder)
{
    if (builder->shape->no_landing)
        return nothing;
    struct counted_bar counted;
    timeline_count_bar(builder->shape, builder->to.bar, &counted);
    const struct passo_beat *beat = &counted.beat[timeline_beat_at(&counted, builder->to.at)];
    struct passo_ratio notes =
        passo_ratio_sub(passo_ratio_add(beat->at, beat->length), builder->to.at);
    return grain_div(notes, warp_share(&builder->warp, builder->to_score));
}

static void set_out(struct builder *builder, const struct passo_pass_shape *shape)
{
    const struct passo_passage *passage = shape->passage;
    builder->shape = shape;
    builder->tempo = (struct passo_tempo){shape->mbpm, passage->beat};
    builder->from = passage_settled(passage, shape->loop->from);
    builder->to = passage_settled(passage, shape->loop->to);
    PASSO_BUG_ON(passage_place_cmp(builder->from, builder->to) >= 0);
    struct passo_place line = {builder->from.bar, nothing};
    builder->to_score = passo_passage_length(passage, line, builder->to);
    warp_init(&builder->warp, passage, builder->from);
    builder->span = (struct passo_pass_span){
        .count_in = count_in_length(builder),
        .body = warp_at(&builder->warp, builder->to_score),
        .landing = landing_length(builder),
    };
}

struct passo_pass_span passo_pass_span(const struct passo_pass_shape *shape)
{
    struct builder builder;
    set_out(&builder, shape);
    return builder.span;
}

struct passo_pass_times passo_pass_times(const struct passo_pass_shape *shape)
{
    struct passo_pass_span span = passo_pass_span(shape);
    struct passo_tempo tempo = {shape->mbpm, shape->passage->beat};
    struct passo_ratio played = grain_add(span.body, span.landing);
    return (struct passo_pass_times){.count_in_ns = passo_tempo_ns(span.count_in, tempo),
                                     .played_ns = passo_tempo_ns(played, tempo)};
}

/* --- events --- */

static void add(struct builder *builder, struct passo_ratio position, struct passo_event event)
{
    struct passo_timeline *timeline = builder->timeline;
    if (timeline->events == builder->capacity) {
        builder->capacity *= 2;
        timeline = passo_xrealloc(timeline,
                                  sizeof *timeline + builder->capacity * sizeof timeline->event[0]);
        builder->timeline = timeline;
    }
    struct passo_instant origin = {0, timeline->start.fraction};
    event.frame = passo_tempo_frame(origin, position, builder->tempo, timeline->rate_hz);
    timeline->event[timeline->events++] = event;
}

/* An event in beat i (from 0) of the bar. */
static struct passo_event event_in(const struct counted_bar *counted, size_t i,
                                   enum passo_event_kind kind)
{
    return (struct passo_event){.bar = counted->bar,
                                .kind = (uint8_t)kind,
                                .click = (uint8_t)counted->beat[i].click,
                                .beat = (uint8_t)(i + 1),
                                .of = (uint8_t)counted->beats};
}

static bool is_silent_strength(const struct builder *builder, enum passo_click click)
{
    return builder->shape->pulse->silent & (1u << click);
}

static void add_click(struct builder *builder, struct passo_ratio position,
                      struct passo_event event, enum passo_click click, bool silent)
{
    event.click = (uint8_t)click;
    event.kind = (uint8_t)(silent ? PASSO_EVENT_SILENT_CLICK : PASSO_EVENT_CLICK);
    add(builder, position, event);
}

/* --- the tone --- */

static struct passo_tone drone_of(const struct passo_pass_shape *shape, size_t i)
{
    struct passo_tone tone = shape->drone[i];
    PASSO_BUG_ON(!(tone.hz >= 0 && isfinite(tone.hz)));
    PASSO_BUG_ON(!(tone.level >= 0 && tone.level <= 1));
    if (tone.hz <= 0)
        return (struct passo_tone){0};
    if (tone.level <= 0)
        tone.level = PASSO_TONE_LEVEL;
    tone.layer = (uint8_t)(PASSO_LAYER_DRONE + i);
    tone.onset = PASSO_ONSET_SOFT;
    return tone;
}

static void add_drones(struct builder *builder, struct passo_ratio position,
                       enum passo_event_kind kind)
{
    for (size_t i = 0; i < builder->drones; i++)
        add(builder, position, (struct passo_event){.kind = (uint8_t)kind, .bar = (int32_t)i});
}

/* --- count-in --- */

static void add_count_in(struct builder *builder)
{
    struct counted_bar counted;
    timeline_count_bar(builder->shape, builder->from.bar, &counted);
    counted.bar = 0;
    struct passo_ratio share = warp_share(&builder->warp, builder->from.at);
    struct passo_ratio bar = passo_meter_length(counted.meter);
    struct passo_ratio bar_start = nothing;
    while (passo_ratio_cmp(grain_div(bar_start, share), builder->span.count_in) < 0) {
        for (size_t i = 0; i < counted.beats; i++) {
            struct passo_ratio at = passo_ratio_add(bar_start, counted.beat[i].at);
            struct passo_ratio position = grain_div(at, share);
            if (passo_ratio_cmp(position, builder->span.count_in) >= 0)
                break;
            enum passo_click click = i ? PASSO_CLICK_COUNT : PASSO_CLICK_COUNT_BAR;
            add_click(builder, position, event_in(&counted, i, PASSO_EVENT_CLICK), click,
                      is_silent_strength(builder, click));
        }
        bar_start = passo_ratio_add(bar_start, bar);
    }
}

/* From the pass's start, of a score place of the body. */
static struct passo_ratio position_of(const struct builder *builder, struct passo_ratio score)
{
    return grain_add(builder->span.count_in, warp_at(&builder->warp, score));
}

static void add_body_click(struct builder *builder, const struct counted_bar *counted,
                           const struct bar_click *click, struct passo_ratio score)
{
    bool silent =
        builder->bar_is_silent || warp_is_silent(&builder->warp, score) ||
        timeline_is_silent(builder->shape, counted, click, counted->bar - builder->first_full_bar);
    add_click(builder, position_of(builder, score),
              event_in(counted, click->beat, PASSO_EVENT_CLICK), click->click, silent);
}

/* --- what a fermata adds --- */

static void add_preparation(struct builder *builder, const struct warp_piece *piece)
{
    /* The fermata's last beat is the one before `place`, which may be the next bar's start. */
    bool bar_line = piece->place.at.num == 0;
    struct counted_bar counted;
    timeline_count_bar(builder->shape, piece->place.bar - bar_line, &counted);
    size_t last = bar_line ? counted.beats - 1 : timeline_beat_at(&counted, piece->place.at);
    if (!bar_line && passo_ratio_cmp(counted.beat[last].at, piece->place.at) == 0)
        last--;
    bool silent = is_silent_strength(builder, PASSO_CLICK_COUNT) ||
                  timeline_thin(builder->shape) == PASSO_THIN_COUNT_IN ||
                  warp_is_silent(&builder->warp, piece->from);
    struct passo_ratio beat = warp_preparation_beat(&builder->warp, piece);
    struct passo_ratio end = position_of(builder, piece->from);
    for (int64_t left = piece->beats; left > 0; left--) {
        struct passo_ratio before = grain_mul(beat, passo_ratio(left, 1));
        add_click(builder, grain_sub(end, before), event_in(&counted, last, PASSO_EVENT_CLICK),
                  PASSO_CLICK_COUNT, silent);
    }
}

/* A fermata that begins between clicks has a click at its start all the same. */
static void add_hold(struct builder *builder, const struct warp_piece *piece)
{
    struct counted_bar counted;
    timeline_count_bar(builder->shape, piece->place.bar, &counted);
    struct bar_click click = {.at = piece->place.at,
                              .beat = timeline_beat_at(&counted, piece->place.at),
                              .between = true,
                              .click = PASSO_CLICK_BEAT};
    add_body_click(builder, &counted, &click, piece->from);
}

/* Adds what fermatas bring up to the score place of the next click. */
static void weave(struct builder *builder, struct passo_ratio next)
{
    const struct warp *warp = &builder->warp;
    for (; builder->next_piece < warp->pieces; builder->next_piece++) {
        const struct warp_piece *piece = &warp->piece[builder->next_piece];
        int order = passo_ratio_cmp(piece->from, next);
        if (order > 0)
            break;
        if (piece->beats)
            add_preparation(builder, piece);
        /* What begins at the next click has that for its start; one before the entry had its own */
        if (piece->held && order < 0 && passo_ratio_cmp(piece->from, warp->entry) >= 0)
            add_hold(builder, piece);
    }
}

/* --- body and landing --- */

static bool is_played(const struct builder *builder, int32_t bar, struct passo_ratio at)
{
    if (bar == builder->from.bar && passo_ratio_cmp(at, builder->from.at) < 0)
        return false;
    return bar < builder->to.bar || passo_ratio_cmp(at, builder->to.at) < 0;
}

static void add_bar(struct builder *builder, const struct counted_bar *counted,
                    struct passo_ratio bar_start)
{
    struct bar_click click[BAR_CLICKS_MAX];
    size_t clicks = timeline_bar_clicks(builder->shape, counted, click);
    builder->bar_is_silent =
        timeline_bar_is_silent(&builder->silent_bars, counted->bar - builder->first_full_bar);
    for (size_t i = 0; i < clicks; i++) {
        if (!is_played(builder, counted->bar, click[i].at))
            continue;
        struct passo_ratio score = passo_ratio_add(bar_start, click[i].at);
        weave(builder, score);
        add_body_click(builder, counted, &click[i], score);
    }
}

static void add_body(struct builder *builder)
{
    struct counted_bar counted;
    timeline_count_bar(builder->shape, builder->from.bar, &counted);
    size_t entry_beat = timeline_beat_at(&counted, builder->from.at);
    add(builder, builder->span.count_in, event_in(&counted, entry_beat, PASSO_EVENT_BODY));
    builder->first_full_bar = builder->from.bar + (builder->from.at.num > 0);
    int32_t bars_end = builder->to.bar + (builder->to.at.num > 0);
    timeline_silent_bars_init(&builder->silent_bars, builder->shape,
                              bars_end - builder->first_full_bar);
    struct passo_ratio bar_start = nothing;
    for (int32_t bar = builder->from.bar; bar < bars_end; bar++) {
        timeline_count_bar(builder->shape, bar, &counted);
        add_bar(builder, &counted, bar_start);
        bar_start = passo_ratio_add(bar_start, passo_meter_length(counted.meter));
    }
    weave(builder, builder->to_score);
}

/* The landing, if there is one, and the end. */
static void add_close(struct builder *builder, struct passo_ratio landing, struct passo_ratio end)
{
    struct counted_bar counted;
    timeline_count_bar(builder->shape, builder->to.bar, &counted);
    size_t i = timeline_beat_at(&counted, builder->to.at);
    if (!builder->shape->no_landing) {
        bool between = passo_ratio_cmp(counted.beat[i].at, builder->to.at) != 0;
        enum passo_click click = between ? PASSO_CLICK_BEAT : counted.beat[i].click;
        bool silent = is_silent_strength(builder, click) ||
                      timeline_thin(builder->shape) == PASSO_THIN_COUNT_IN;
        add(builder, landing, event_in(&counted, i, PASSO_EVENT_LAND));
        add_click(builder, landing, event_in(&counted, i, PASSO_EVENT_CLICK), click, silent);
    }
    add_drones(builder, end, PASSO_EVENT_TONE_OFF);
    add(builder, end, event_in(&counted, i, PASSO_EVENT_END));
}

static void add_melody(struct builder *builder, struct passo_ratio landing, struct passo_ratio end,
                       struct melody_events *out_events)
{
    const struct melody_ground ground = {.shape = builder->shape,
                                         .warp = &builder->warp,
                                         .from = builder->from,
                                         .to_score = builder->to_score,
                                         .body = builder->span.count_in,
                                         .landing = landing,
                                         .end = end,
                                         .tempo = builder->tempo,
                                         .origin = {0, builder->timeline->start.fraction},
                                         .rate_hz = builder->timeline->rate_hz};
    timeline_melody(&ground, builder->drones, out_events);
}

struct passo_timeline *passo_timeline_build(const struct passo_pass_shape *shape, uint64_t id,
                                            struct passo_instant start, uint32_t rate_hz)
{
    struct builder builder = {.capacity = FIRST_CAPACITY};
    set_out(&builder, shape);
    struct passo_ratio landing = grain_add(builder.span.count_in, builder.span.body);
    struct passo_ratio end = grain_add(landing, builder.span.landing);
    struct passo_timeline head = {
        .id = id,
        .rate_hz = rate_hz,
        .start = start,
        .body = passo_tempo_advance(start, builder.span.count_in, builder.tempo, rate_hz),
        .landing = passo_tempo_advance(start, landing, builder.tempo, rate_hz),
        .end = passo_tempo_advance(start, end, builder.tempo, rate_hz),
    };
    builder.timeline = passo_xcalloc(1, sizeof head + builder.capacity * sizeof head.event[0]);
    *builder.timeline = head;
    for (size_t i = 0; i < PASSO_DRONES_MAX; i++) {
        struct passo_tone tone = drone_of(shape, i);
        if (tone.hz > 0)
            builder.drone[builder.drones++] = tone;
    }
    add_drones(&builder, nothing, PASSO_EVENT_TONE_ON);
    if (!shape->no_count_in)
        add_count_in(&builder);
    add_body(&builder);
    add_close(&builder, landing, end);
    struct melody_events melody = {0};
    if (shape->melody)
        add_melody(&builder, landing, end, &melody);
    return timeline_with_tones(builder.timeline, builder.drone, builder.drones, &melody);
}
