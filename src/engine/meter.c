/* Meter: a bar as groups of notes, and the beats that are counted in it. Lengths are compared as
 * products of 128 bits, so that any unit that a player can write is judged exactly. Thread: any;
 * nothing allocates. */
#include <passo/meter.h>

#include <string.h>

__extension__ typedef __int128 wide;

static bool unit_is_note_value(int64_t unit)
{
    return unit >= 1 && unit <= 64 && (unit & (unit - 1)) == 0;
}

/* Common practice: six, nine, twelve or fifteen short notes are felt in threes. */
static bool is_compound(int64_t count, int64_t unit)
{
    bool short_notes = unit == 8 || unit == 16 || unit == 32;
    if (count == 6 || count == 9)
        return short_notes || unit == 4;
    return (count == 12 || count == 15) && short_notes;
}

enum passo_error passo_meter_init(struct passo_meter *out_meter, int64_t count, int64_t unit)
{
    if (count < 1 || count > PASSO_METER_COUNT_MAX || !unit_is_note_value(unit))
        return PASSO_ERR_RANGE;
    uint8_t group[PASSO_METER_COUNT_MAX];
    uint8_t notes = is_compound(count, unit) ? 3 : 1;
    memset(group, notes, sizeof group);
    return passo_meter_init_groups(out_meter, group, (size_t)count / notes, unit);
}

enum passo_error passo_meter_init_groups(struct passo_meter *out_meter, const uint8_t *group,
                                         size_t groups, int64_t unit)
{
    if (groups < 1 || groups > PASSO_METER_COUNT_MAX || !unit_is_note_value(unit))
        return PASSO_ERR_RANGE;
    struct passo_meter meter = {.unit = (uint8_t)unit, .groups = (uint8_t)groups};
    unsigned count = 0;
    for (size_t i = 0; i < groups; i++) {
        if (group[i] < 1)
            return PASSO_ERR_RANGE;
        meter.group[i] = group[i];
        count += group[i];
    }
    if (count > PASSO_METER_COUNT_MAX)
        return PASSO_ERR_RANGE;
    meter.count = (uint8_t)count;
    *out_meter = meter;
    return PASSO_OK;
}

bool passo_meter_same(const struct passo_meter *a, const struct passo_meter *b)
{
    return a->count == b->count && a->unit == b->unit && a->groups == b->groups &&
           memcmp(a->group, b->group, a->groups) == 0;
}

struct passo_ratio passo_meter_length(const struct passo_meter *meter)
{
    return passo_ratio(meter->count, meter->unit);
}

struct passo_ratio passo_meter_beat_unit(const struct passo_meter *meter)
{
    for (size_t i = 1; i < meter->groups; i++) {
        if (meter->group[i] != meter->group[0])
            return passo_ratio(1, meter->unit);
    }
    return passo_ratio(meter->group[0], meter->unit);
}

/* How many times `unit` goes into `notes` notes of the meter; 0 if it does not go evenly. */
static wide times_even(const struct passo_meter *meter, uint8_t notes, struct passo_ratio unit)
{
    wide num = (wide)notes * unit.den;
    wide den = (wide)meter->unit * unit.num;
    return num % den == 0 ? num / den : 0;
}

/* How many beats of `unit` a bar holds, or 0 where the groups are to be counted. */
static size_t beats_of_unit(const struct passo_meter *meter, struct passo_ratio unit)
{
    if (unit.num <= 0 || unit.den <= 0)
        return 0;
    /* A unit that divides every group divides the bar, and counts the same from its start. */
    wide beats = times_even(meter, meter->count, unit);
    return beats <= PASSO_METER_BEATS_MAX ? (size_t)beats : 0;
}

static size_t count_groups(const struct passo_meter *meter, struct passo_beat *out_beats)
{
    unsigned notes = 0;
    for (size_t i = 0; i < meter->groups; i++) {
        out_beats[i].at = passo_ratio(notes, meter->unit);
        out_beats[i].length = passo_ratio(meter->group[i], meter->unit);
        out_beats[i].click = i ? PASSO_CLICK_BEAT : PASSO_CLICK_BAR;
        notes += meter->group[i];
    }
    return meter->groups;
}

/* Marks the beats that begin a later group, where some group holds more than one beat. */
static void mark_groups(const struct passo_meter *meter, struct passo_beat *beat, size_t beats)
{
    size_t begin[PASSO_METER_COUNT_MAX]; /* beat that begins the group, or `beats` */
    bool several = false;
    unsigned notes = 0;
    size_t next = 0;
    for (size_t i = 0; i < meter->groups; i++) {
        struct passo_ratio from = passo_ratio(notes, meter->unit);
        notes += meter->group[i];
        struct passo_ratio to = passo_ratio(notes, meter->unit);
        size_t first = next;
        while (next < beats && passo_ratio_cmp(beat[next].at, to) < 0)
            next++;
        several = several || next - first > 1;
        bool exact = first < next && passo_ratio_cmp(beat[first].at, from) == 0;
        begin[i] = exact ? first : beats;
    }
    for (size_t i = 1; several && i < meter->groups; i++) {
        if (begin[i] < beats)
            beat[begin[i]].click = PASSO_CLICK_GROUP;
    }
}

size_t passo_meter_beats(const struct passo_meter *meter, struct passo_ratio unit,
                         struct passo_beat out_beats[PASSO_METER_BEATS_MAX])
{
    size_t beats = beats_of_unit(meter, unit);
    if (!beats)
        return count_groups(meter, out_beats);
    /* A bar is at most 64 notes of 1/unit, so whole beats of it have small terms. */
    struct passo_ratio length = passo_ratio(meter->count, (int64_t)meter->unit * (int64_t)beats);
    for (size_t i = 0; i < beats; i++) {
        out_beats[i].at = passo_ratio_mul(length, passo_ratio((int64_t)i, 1));
        out_beats[i].length = length;
        out_beats[i].click = i ? PASSO_CLICK_BEAT : PASSO_CLICK_BAR;
    }
    mark_groups(meter, out_beats, beats);
    return beats;
}
