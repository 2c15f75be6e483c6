/* The clicks of a bar: how it is counted, where its clicks lie, and which of them stay silent so
 * that the player keeps the pulse. Thread: any but the audio thread. */
#include <passo/error.h>

#include "timeline_priv.h"

#define SUBDIVIDE_MAX 6
#define SWING_MAX     9
#define MUTE_OF_MAX   64
#define PERMILLE      1000

static const struct passo_ratio nothing = {0, 1};
static const struct passo_ratio half = {1, 2};

bool passo_event_is_beat(const struct passo_event *event)
{
    const bool click = event->kind == PASSO_EVENT_CLICK || event->kind == PASSO_EVENT_SILENT_CLICK;
    return click && event->click != PASSO_CLICK_SUB;
}

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

void timeline_count_bar(const struct passo_pass_shape *shape, int32_t bar,
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

size_t timeline_beat_at(const struct counted_bar *counted, struct passo_ratio at)
{
    size_t i = counted->beats - 1;
    while (i > 0 && passo_ratio_cmp(counted->beat[i].at, at) > 0)
        i--;
    return i;
}

/* --- where the clicks lie --- */

/* The share of a pair of clicks that its first one takes. */
static struct passo_ratio long_share(const struct passo_pulse *pulse)
{
    int64_t swing_long = pulse->swing_long;
    int64_t swing_short = pulse->swing_short;
    PASSO_BUG_ON(swing_long > SWING_MAX || swing_short > SWING_MAX);
    return swing_long && swing_short ? passo_ratio(swing_long, swing_long + swing_short) : half;
}

/* Offset of click k of n in a beat. Swing divides each pair of clicks long:short. */
static struct passo_ratio click_offset(const struct passo_pulse *pulse, struct passo_ratio beat,
                                       int64_t k, int64_t n)
{
    struct passo_ratio first = long_share(pulse);
    if (n % 2 || k % 2 == 0)
        return passo_ratio_mul(beat, passo_ratio(k, n));
    struct passo_ratio pair = passo_ratio_mul(beat, passo_ratio(2, n));
    return passo_ratio_mul(pair, passo_ratio_add(passo_ratio(k / 2, 1), first));
}

size_t timeline_bar_clicks(const struct passo_pass_shape *shape, const struct counted_bar *counted,
                           struct bar_click out_clicks[BAR_CLICKS_MAX])
{
    /* Unequal beats: the meter's own notes, straight; else as many as were asked for. */
    static const struct passo_pulse straight = {.subdivide = 0};
    bool off_beat = shape->pulse->place == PASSO_PLACE_OFF_BEAT;
    uint8_t asked = off_beat ? 2 : clicks_per_beat(shape);
    bool own_notes = asked > 1 && !counted->equal && !off_beat;
    const struct passo_pulse *pulse = counted->equal ? shape->pulse : &straight;
    size_t clicks = 0;
    for (size_t i = 0; i < counted->beats; i++) {
        const struct passo_beat *beat = &counted->beat[i];
        struct passo_ratio notes =
            passo_ratio_mul(beat->length, passo_ratio(counted->meter->unit, 1));
        int64_t n = own_notes ? notes.num : asked;
        for (int64_t k = 0; k < n; k++)
            out_clicks[clicks++] = (struct bar_click){
                .at = passo_ratio_add(beat->at, click_offset(pulse, beat->length, k, n)),
                .beat = i,
                .between = k > 0,
                .click = k && !off_beat ? PASSO_CLICK_SUB : beat->click,
            };
    }
    return clicks;
}

/* --- which of them are silent --- */

enum passo_thin timeline_thin(const struct passo_pass_shape *shape)
{
    PASSO_BUG_ON(shape->thin >= PASSO_THIN_COUNT || shape->pulse->thin >= PASSO_THIN_COUNT);
    if (shape->no_clicks)
        return PASSO_THIN_COUNT_IN;
    return shape->thin > shape->pulse->thin ? shape->thin : shape->pulse->thin;
}

static bool is_back_beat(const struct passo_pass_shape *shape, const struct counted_bar *counted)
{
    return shape->pulse->place == PASSO_PLACE_BACK_BEAT && counted->beats % 2 == 0;
}

static bool silent_by_place(const struct passo_pass_shape *shape, const struct counted_bar *counted,
                            const struct bar_click *click)
{
    switch (shape->pulse->place) {
    case PASSO_PLACE_ON_BEAT:
        return false;
    case PASSO_PLACE_OFF_BEAT:
        return !click->between;
    case PASSO_PLACE_BACK_BEAT:
        return is_back_beat(shape, counted) && click->beat % 2 == 0;
    case PASSO_PLACE_COUNT:
        break;
    }
    passo_bug("no such place", __FILE__, __LINE__);
}

static bool silent_by_thinning(const struct passo_pass_shape *shape,
                               const struct counted_bar *counted, const struct bar_click *click,
                               int32_t full_bar)
{
    enum passo_thin thin = timeline_thin(shape);
    bool off_beat = shape->pulse->place == PASSO_PLACE_OFF_BEAT;
    if (thin != PASSO_THIN_NONE && click->between && !off_beat)
        return true;
    /* The first beat that may be left: of a back beat the second. */
    size_t first = is_back_beat(shape, counted);
    switch (thin) {
    case PASSO_THIN_NONE:
        return false;
    case PASSO_THIN_HALVES:
        return counted->beats % 2 ? click->beat != 0 : click->beat % 2 != first;
    case PASSO_THIN_BARS:
        return click->beat != first;
    case PASSO_THIN_TWO_BARS:
        return click->beat != first || full_bar % 2 != 0;
    case PASSO_THIN_COUNT_IN:
    case PASSO_THIN_COUNT:
        break;
    }
    return true;
}

bool timeline_is_silent(const struct passo_pass_shape *shape, const struct counted_bar *counted,
                        const struct bar_click *click, int32_t full_bar)
{
    return (shape->pulse->silent & (1u << click->click)) ||
           silent_by_place(shape, counted, click) ||
           silent_by_thinning(shape, counted, click, full_bar);
}

/* --- silent bars --- */

void timeline_silent_bars_init(struct silent_bars *out_bars, const struct passo_pass_shape *shape,
                               int32_t full_bars)
{
    const struct passo_pulse *pulse = shape->pulse;
    PASSO_BUG_ON(pulse->mute_of > MUTE_OF_MAX || pulse->mute_permille > PERMILLE);
    PASSO_BUG_ON(pulse->mute_of && pulse->mute_bars >= pulse->mute_of);
    uint32_t bars = full_bars > 0 ? (uint32_t)full_bars : 0;
    *out_bars = (struct silent_bars){
        .pulse = pulse,
        .none = shape->all_bars,
        .bars_left = bars,
        .silent_left = (bars * pulse->mute_permille + PERMILLE / 2) / PERMILLE,
    };
    passo_random_seed(&out_bars->random, shape->seed);
}

bool timeline_bar_is_silent(struct silent_bars *bars, int32_t full_bar)
{
    const struct passo_pulse *pulse = bars->pulse;
    if (bars->none || full_bar < 0)
        return false;
    if (pulse->mute_of)
        return full_bar % pulse->mute_of >= pulse->mute_of - pulse->mute_bars;
    if (!bars->silent_left)
        return false;
    /* So many of the bars that are left, each as likely: the share is kept exactly. */
    bool silent = passo_random_below(&bars->random, bars->bars_left) < bars->silent_left;
    bars->bars_left--;
    bars->silent_left -= silent;
    return silent;
}
