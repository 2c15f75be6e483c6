/* Timeline: lays one pass out as events sorted by frame.
 *
 * The pass is walked once from left to right: count-in, body bar by bar, landing. Each event gets
 * its position as an exact length from the pass's start, and only then, on its own, its frame; no
 * frame is ever found from another frame. Events are written in the order of their positions, so
 * the array needs no sorting. Thread: any but the audio thread; it allocates. */
#include <passo/error.h>
#include <passo/timeline.h>

__extension__ typedef __int128 wide;

#define FIRST_CAPACITY 64
#define SUBDIVIDE_MAX  6
#define SWING_MAX      9

static const struct passo_ratio nothing = {0, 1};

/* The counted beats of one printed bar. */
struct counted_bar {
    int32_t bar;
    const struct passo_meter *meter;
    bool equal; /* all beats last equally long */
    size_t beats;
    struct passo_beat beat[PASSO_METER_BEATS_MAX];
};

struct builder {
    const struct passo_pass_shape *shape;
    struct passo_tempo tempo;
    struct passo_place from;
    struct passo_place to;
    struct passo_timeline *timeline;
    size_t capacity;
};

/* --- how the pass is counted --- */

static struct passo_ratio counted_unit(const struct passo_pass_shape *shape)
{
    const struct passo_pulse *pulse = shape->pulse;
    if (pulse->count_below_mbpm > 0 && shape->mbpm >= pulse->count_below_mbpm)
        return nothing;
    return pulse->count.den ? pulse->count : shape->passage->beat;
}

static uint8_t clicks_per_beat(const struct passo_pass_shape *shape)
{
    const struct passo_pulse *pulse = shape->pulse;
    PASSO_BUG_ON(pulse->subdivide > SUBDIVIDE_MAX);
    bool too_fast = pulse->subdivide_below_mbpm > 0 && shape->mbpm >= pulse->subdivide_below_mbpm;
    return pulse->subdivide < 2 || too_fast ? 1 : pulse->subdivide;
}

static void count_bar(const struct passo_pass_shape *shape, int32_t bar,
                      struct counted_bar *out_counted)
{
    out_counted->bar = bar;
    out_counted->meter = passo_passage_meter(shape->passage, bar);
    out_counted->beats =
        passo_meter_beats(out_counted->meter, counted_unit(shape), out_counted->beat);
    out_counted->equal = true;
    for (size_t i = 1; i < out_counted->beats; i++) {
        if (passo_ratio_cmp(out_counted->beat[i].length, out_counted->beat[0].length) != 0)
            out_counted->equal = false;
    }
}

/* The beat (from 0) in which an offset of the bar lies. */
static size_t beat_at(const struct counted_bar *counted, struct passo_ratio at)
{
    size_t i = counted->beats - 1;
    while (i > 0 && passo_ratio_cmp(counted->beat[i].at, at) > 0)
        i--;
    return i;
}

/* The same place, written as an offset under its bar's length. */
static struct passo_place settled(const struct passo_passage *passage, struct passo_place place)
{
    if (!place.at.den)
        place.at = nothing;
    struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, place.bar));
    if (passo_ratio_cmp(place.at, bar) >= 0) {
        place.bar++;
        place.at = passo_ratio_sub(place.at, bar);
    }
    return place;
}

/* --- lengths --- */

static int64_t count_in_bars(const struct passo_pass_shape *shape, struct passo_ratio bar)
{
    if (shape->pulse->count_in_bars)
        return shape->pulse->count_in_bars;
    /* bar / beat * 60000 / mbpm < 1.6 seconds, in integers */
    struct passo_ratio beat = shape->passage->beat;
    wide bar_lasts = (wide)bar.num * beat.den * 600000;
    wide limit = (wide)bar.den * beat.num * shape->mbpm * 16;
    return bar_lasts < limit ? 2 : 1;
}

static struct passo_ratio count_in_length(const struct passo_pass_shape *shape,
                                          struct passo_place from)
{
    if (shape->no_count_in)
        return nothing;
    struct passo_ratio bar = passo_meter_length(passo_passage_meter(shape->passage, from.bar));
    int64_t bars = count_in_bars(shape, bar);
    return passo_ratio_add(passo_ratio_mul(bar, passo_ratio(bars, 1)), from.at);
}

static struct passo_ratio landing_length(const struct passo_pass_shape *shape,
                                         struct passo_place to)
{
    if (shape->no_landing)
        return nothing;
    struct counted_bar counted;
    count_bar(shape, to.bar, &counted);
    const struct passo_beat *beat = &counted.beat[beat_at(&counted, to.at)];
    return passo_ratio_sub(passo_ratio_add(beat->at, beat->length), to.at);
}

struct passo_pass_span passo_pass_span(const struct passo_pass_shape *shape)
{
    struct passo_place from = settled(shape->passage, shape->loop->from);
    struct passo_place to = settled(shape->passage, shape->loop->to);
    return (struct passo_pass_span){
        .count_in = count_in_length(shape, from),
        .body = passo_passage_length(shape->passage, from, to),
        .landing = landing_length(shape, to),
    };
}

struct passo_pass_times passo_pass_times(const struct passo_pass_shape *shape)
{
    struct passo_pass_span span = passo_pass_span(shape);
    struct passo_tempo tempo = {shape->mbpm, shape->passage->beat};
    struct passo_ratio played = passo_ratio_add(span.body, span.landing);
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

static void add_click(struct builder *builder, struct passo_ratio position,
                      struct passo_event event, enum passo_click click)
{
    bool silent = builder->shape->pulse->silent & (1u << click);
    event.click = (uint8_t)click;
    event.kind = (uint8_t)(silent ? PASSO_EVENT_SILENT_CLICK : PASSO_EVENT_CLICK);
    add(builder, position, event);
}

static void add_count_in(struct builder *builder, struct passo_ratio length)
{
    struct counted_bar counted;
    count_bar(builder->shape, builder->from.bar, &counted);
    counted.bar = 0;
    struct passo_ratio bar = passo_meter_length(counted.meter);
    struct passo_ratio bar_start = nothing;
    while (passo_ratio_cmp(bar_start, length) < 0) {
        for (size_t i = 0; i < counted.beats; i++) {
            struct passo_ratio position = passo_ratio_add(bar_start, counted.beat[i].at);
            if (passo_ratio_cmp(position, length) >= 0)
                break;
            add_click(builder, position, event_in(&counted, i, PASSO_EVENT_CLICK),
                      i ? PASSO_CLICK_COUNT : PASSO_CLICK_COUNT_BAR);
        }
        bar_start = passo_ratio_add(bar_start, bar);
    }
}

/* Offset of click k of n in a beat. Swing divides each pair of clicks long:short. */
static struct passo_ratio click_offset(const struct passo_pulse *pulse, struct passo_ratio beat,
                                       int64_t k, int64_t n)
{
    int64_t swing_long = pulse->swing_long;
    int64_t swing_short = pulse->swing_short;
    PASSO_BUG_ON(swing_long > SWING_MAX || swing_short > SWING_MAX);
    if (n % 2 || !swing_long || !swing_short || k % 2 == 0)
        return passo_ratio_mul(beat, passo_ratio(k, n));
    struct passo_ratio pair = passo_ratio_mul(beat, passo_ratio(2, n));
    struct passo_ratio pairs =
        passo_ratio_add(passo_ratio(k / 2, 1), passo_ratio(swing_long, swing_long + swing_short));
    return passo_ratio_mul(pair, pairs);
}

static bool is_played(const struct builder *builder, int32_t bar, struct passo_ratio at)
{
    if (bar == builder->from.bar && passo_ratio_cmp(at, builder->from.at) < 0)
        return false;
    return bar < builder->to.bar || passo_ratio_cmp(at, builder->to.at) < 0;
}

static void add_bar(struct builder *builder, const struct counted_bar *counted,
                    struct passo_ratio bar_start)
{
    /* Unequal beats: the meter's own notes, straight; else as many as were asked for. */
    static const struct passo_pulse straight = {.subdivide = 0};
    uint8_t asked = clicks_per_beat(builder->shape);
    bool own_notes = asked > 1 && !counted->equal;
    const struct passo_pulse *pulse = own_notes ? &straight : builder->shape->pulse;
    for (size_t i = 0; i < counted->beats; i++) {
        const struct passo_beat *beat = &counted->beat[i];
        struct passo_ratio notes =
            passo_ratio_mul(beat->length, passo_ratio(counted->meter->unit, 1));
        int64_t clicks = own_notes ? notes.num : asked;
        for (int64_t k = 0; k < clicks; k++) {
            struct passo_ratio at =
                passo_ratio_add(beat->at, click_offset(pulse, beat->length, k, clicks));
            if (is_played(builder, counted->bar, at))
                add_click(builder, passo_ratio_add(bar_start, at),
                          event_in(counted, i, PASSO_EVENT_CLICK),
                          k ? PASSO_CLICK_SUB : beat->click);
        }
    }
}

static void add_body(struct builder *builder, struct passo_ratio entry)
{
    struct counted_bar counted;
    count_bar(builder->shape, builder->from.bar, &counted);
    add(builder, entry, event_in(&counted, beat_at(&counted, builder->from.at), PASSO_EVENT_BODY));
    struct passo_ratio bar_start = passo_ratio_sub(entry, builder->from.at);
    for (int32_t bar = builder->from.bar; bar <= builder->to.bar; bar++) {
        count_bar(builder->shape, bar, &counted);
        add_bar(builder, &counted, bar_start);
        bar_start = passo_ratio_add(bar_start, passo_meter_length(counted.meter));
    }
}

/* The landing, if there is one, and the end. */
static void add_close(struct builder *builder, struct passo_ratio landing, struct passo_ratio end)
{
    struct counted_bar counted;
    count_bar(builder->shape, builder->to.bar, &counted);
    size_t i = beat_at(&counted, builder->to.at);
    if (!builder->shape->no_landing) {
        bool between = passo_ratio_cmp(counted.beat[i].at, builder->to.at) != 0;
        add(builder, landing, event_in(&counted, i, PASSO_EVENT_LAND));
        add_click(builder, landing, event_in(&counted, i, PASSO_EVENT_CLICK),
                  between ? PASSO_CLICK_BEAT : counted.beat[i].click);
    }
    add(builder, end, event_in(&counted, i, PASSO_EVENT_END));
}

struct passo_timeline *passo_timeline_build(const struct passo_pass_shape *shape, uint64_t id,
                                            struct passo_instant start, uint32_t rate_hz)
{
    struct passo_pass_span span = passo_pass_span(shape);
    PASSO_BUG_ON(span.body.num <= 0);
    struct passo_ratio landing = passo_ratio_add(span.count_in, span.body);
    struct passo_ratio end = passo_ratio_add(landing, span.landing);
    struct passo_tempo tempo = {shape->mbpm, shape->passage->beat};
    struct builder builder = {.shape = shape,
                              .tempo = tempo,
                              .from = settled(shape->passage, shape->loop->from),
                              .to = settled(shape->passage, shape->loop->to),
                              .capacity = FIRST_CAPACITY};
    struct passo_timeline head = {
        .id = id,
        .rate_hz = rate_hz,
        .start = start,
        .body = passo_tempo_advance(start, span.count_in, tempo, rate_hz),
        .landing = passo_tempo_advance(start, landing, tempo, rate_hz),
        .end = passo_tempo_advance(start, end, tempo, rate_hz),
    };
    builder.timeline = passo_xcalloc(1, sizeof head + builder.capacity * sizeof head.event[0]);
    *builder.timeline = head;
    if (!shape->no_count_in)
        add_count_in(&builder, span.count_in);
    add_body(&builder, span.count_in);
    add_close(&builder, landing, end);
    return builder.timeline;
}
