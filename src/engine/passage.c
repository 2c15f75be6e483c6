/* Passage: bars as printed, the distance between two places, and what every passage has without
 * being told (the loop `whole`, the variant `as written`, a context). Thread: any; nothing
 * allocates. */
#include "passage_priv.h"

#define SIXTY_FOURTHS 64 /* in a whole note */

static const struct passo_ratio nothing = {0, 1};

const struct passo_meter *passo_passage_meter(const struct passo_passage *passage, int32_t bar)
{
    int32_t last_bar = passage->first_bar + passage->bars - 1;
    if (bar > last_bar)
        bar = last_bar;
    if (bar < passage->first_bar)
        bar = passage->first_bar;
    const struct passo_meter *meter = &passage->meter;
    for (size_t i = 0; i < passage->changes && passage->change[i].bar <= bar; i++)
        meter = &passage->change[i].meter;
    return meter;
}

static struct passo_ratio bar_length(const struct passo_passage *passage, int32_t bar)
{
    return passo_meter_length(passo_passage_meter(passage, bar));
}

static struct passo_ratio offset(struct passo_place place)
{
    return place.at.den ? place.at : nothing;
}

/* The bar after this one in which the meter may be another, or `end` if that comes first. */
static int32_t next_change(const struct passo_passage *passage, int32_t bar, int32_t end)
{
    for (size_t i = 0; i < passage->changes; i++) {
        if (passage->change[i].bar > bar)
            return passage->change[i].bar < end ? passage->change[i].bar : end;
    }
    return end;
}

struct passo_ratio passo_passage_length(const struct passo_passage *passage,
                                        struct passo_place from, struct passo_place to)
{
    struct passo_ratio length = passo_ratio_sub(offset(to), offset(from));
    for (int32_t bar = from.bar, next; bar < to.bar; bar = next) {
        next = next_change(passage, bar, to.bar);
        struct passo_ratio bars = {(int64_t)next - bar, 1};
        length = passo_ratio_add(length, passo_ratio_mul(bars, bar_length(passage, bar)));
    }
    return to.bar < from.bar || length.num < 0 ? nothing : length;
}

struct passo_place passage_settled(const struct passo_passage *passage, struct passo_place place)
{
    place.at = offset(place);
    struct passo_ratio bar = bar_length(passage, place.bar);
    if (passo_ratio_cmp(place.at, bar) >= 0) {
        place.bar++;
        place.at = passo_ratio_sub(place.at, bar);
    }
    return place;
}

int passage_place_cmp(struct passo_place a, struct passo_place b)
{
    if (a.bar != b.bar)
        return a.bar < b.bar ? -1 : 1;
    return passo_ratio_cmp(a.at, b.at);
}

bool passage_place_is_valid(const struct passo_passage *passage, struct passo_place place)
{
    struct passo_ratio at = offset(place);
    if (place.bar < passage->first_bar - PASSO_BARS_MAX ||
        place.bar > passage->first_bar + passage->bars + PASSO_BARS_MAX)
        return false;
    if (at.num < 0 || at.den < 1 || passo_ratio_cmp(at, bar_length(passage, place.bar)) > 0)
        return false;
    /* Fine places make fine denominators: this keeps every click within passo_tempo_frame(). */
    return at.den <= SIXTY_FOURTHS * PASSO_BEAT_TERM_MAX &&
           passo_ratio_mul(at, passo_ratio(SIXTY_FOURTHS, 1)).den <= PASSO_BEAT_TERM_MAX;
}

static bool loop_is_valid(const struct passo_passage *passage, const struct passo_loop *loop)
{
    return passage_place_is_valid(passage, loop->from) &&
           passage_place_is_valid(passage, loop->to) &&
           passo_passage_length(passage, loop->from, loop->to).num > 0;
}

static bool beat_is_valid(struct passo_ratio beat)
{
    return beat.num >= 1 && beat.num <= PASSO_BEAT_TERM_MAX && beat.den >= 1 &&
           beat.den <= PASSO_BEAT_TERM_MAX;
}

static bool bars_are_valid(const struct passo_passage *passage)
{
    return passage->bars >= 1 && passage->bars <= PASSO_BARS_MAX &&
           passage->first_bar >= -PASSO_BAR_MAX && passage->first_bar <= PASSO_BAR_MAX;
}

static bool pickup_is_valid(const struct passo_passage *passage)
{
    return passage->pickup.num >= 0 && passage->pickup.den >= 1 &&
           passage->pickup.den <= PASSO_BEAT_TERM_MAX &&
           passo_ratio_cmp(passage->pickup, bar_length(passage, passage->first_bar)) < 0;
}

static void set_whole(struct passo_passage *passage)
{
    struct passo_loop whole = {.name = "whole",
                               .from = {passage->first_bar, nothing},
                               .to = {passage->first_bar + passage->bars, nothing}};
    if (passage->pickup.num) {
        struct passo_ratio bar = bar_length(passage, passage->first_bar);
        whole.from.bar--;
        whole.from.at = passo_ratio_sub(bar, passage->pickup);
    }
    passage->loop[0] = whole;
    if (!passage->loops)
        passage->loops = 1;
}

enum passo_error passo_passage_complete(struct passo_passage *passage)
{
    if (!passage->pickup.den)
        passage->pickup = nothing;
    if (!bars_are_valid(passage) || !beat_is_valid(passage->beat) || !pickup_is_valid(passage))
        return PASSO_ERR_RANGE;
    set_whole(passage);
    passage->variant[0] = (struct passo_variant){.name = "as written", .caption = "as written"};
    if (!passage->variants)
        passage->variants = 1;
    if (!passage->context.name[0])
        passage->context = passage->loop[0];
    for (size_t i = 1; i < passage->loops; i++) {
        if (!loop_is_valid(passage, &passage->loop[i]))
            return PASSO_ERR_RANGE;
    }
    if (!loop_is_valid(passage, &passage->context) || !passage_writtens_are_valid(passage))
        return PASSO_ERR_RANGE;
    return PASSO_OK;
}

size_t passo_passage_turns(const struct passo_passage *passage,
                           struct passo_turn out_turns[PASSO_TURNS_MAX])
{
    size_t turns = 0;
    for (size_t loop = passage->loops > 1; loop < passage->loops; loop++) {
        for (size_t variant = passage->variants > 1;
             variant < passage->variants && turns < PASSO_TURNS_MAX; variant++)
            out_turns[turns++] = (struct passo_turn){(uint8_t)loop, (uint8_t)variant};
    }
    return turns;
}
