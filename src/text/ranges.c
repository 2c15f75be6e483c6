/* Places in the printed part: "33-36", "2.3-4.1". A beat is counted in the passage's beat unit,
 * and a range ends with the end of what it names last. */
#include "text/settings.h"

#include <stdio.h>
#include <string.h>

#define BAR_MAX 100000 /* of a printed number */

static bool read_whole(const char **at, int32_t *out_number)
{
    int32_t number = 0;
    if (**at < '0' || **at > '9')
        return false;
    for (; **at >= '0' && **at <= '9'; ++*at)
        if (number <= BAR_MAX)
            number = number * 10 + (**at - '0');
    *out_number = number;
    return number <= BAR_MAX;
}

static bool read_spot(const char **at, struct spot *out_spot)
{
    *out_spot = (struct spot){0};
    *at += strspn(*at, " \t");
    if (!read_whole(at, &out_spot->bar))
        return false;
    if (**at != '.')
        return true;
    ++*at;
    return read_whole(at, &out_spot->beat) && out_spot->beat >= 1;
}

const char *range_read(const char *text, struct range *out_range)
{
    static const char how[] = "bars are written 1-2, or with their beats 2.3-4.1";
    static const char dash[] = "\xE2\x80\x93"; /* the one that print has between numbers */
    const char *at = text;
    struct range range;
    if (!read_spot(&at, &range.from))
        return how;
    range.to = range.from;
    at += strspn(at, " \t");
    size_t sign = *at == '-' ? 1 : !strncmp(at, dash, sizeof dash - 1) ? sizeof dash - 1 : 0;
    if (sign) {
        at += sign;
        if (!read_spot(&at, &range.to))
            return how;
    }
    if (at[strspn(at, " \t")])
        return how;
    if (range.to.bar < range.from.bar ||
        (range.to.bar == range.from.bar && range.to.beat && range.to.beat < range.from.beat))
        return "the last bar comes before the first; turn them round";
    *out_range = range;
    return NULL;
}

/* Whether the bar has such a beat, and where it begins; a beat of 0 begins with the bar. */
static const char *place_beat(struct draft *draft, struct spot spot, struct passo_place *out_place)
{
    const struct passo_passage *passage = &draft->setup->passage;
    struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, spot.bar));
    int32_t before = spot.beat ? spot.beat - 1 : 0;
    struct passo_ratio at = passo_ratio_mul(passage->beat, passo_ratio(before, 1));
    *out_place = (struct passo_place){spot.bar, at};
    if (passo_ratio_cmp(at, bar) < 0)
        return NULL;
    struct passo_ratio beats = passo_ratio_div(bar, passage->beat);
    snprintf(draft->hint, sizeof draft->hint, "bar %d has no beat %d: %lld beats fill it",
             (int)spot.bar, (int)spot.beat,
             (long long)-passo_ratio_floor(passo_ratio(-beats.num, beats.den)));
    return draft->hint;
}

static const char *check_inside(struct draft *draft, const struct range *range,
                                struct passo_place from)
{
    const struct passo_passage *passage = &draft->setup->passage;
    int32_t first = passage->first_bar;
    int32_t last = first + passage->bars - 1;
    struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, first));
    bool in_pickup = range->from.bar == first - 1 && range->from.beat && passage->pickup.num &&
                     passo_ratio_cmp(from.at, passo_ratio_sub(bar, passage->pickup)) >= 0;
    if ((range->from.bar >= first || in_pickup) && range->to.bar <= last)
        return NULL;
    snprintf(draft->hint, sizeof draft->hint, "the passage has bars %d to %d", (int)first,
             (int)last);
    return draft->hint;
}

const char *range_place(struct draft *draft, const struct range *range, bool inside,
                        struct passo_loop *out_loop)
{
    const struct passo_passage *passage = &draft->setup->passage;
    struct passo_place from;
    struct passo_place to;
    const char *fault = place_beat(draft, range->from, &from);
    if (!fault)
        fault = place_beat(draft, range->to, &to);
    if (!fault && inside)
        fault = check_inside(draft, range, from);
    if (fault)
        return fault;
    struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, range->to.bar));
    struct passo_ratio end = passo_ratio_add(to.at, passage->beat);
    if (range->to.beat && passo_ratio_cmp(end, bar) < 0)
        out_loop->to = (struct passo_place){range->to.bar, end};
    else
        out_loop->to = (struct passo_place){range->to.bar + 1, {0, 1}};
    out_loop->from = from;
    return NULL;
}
