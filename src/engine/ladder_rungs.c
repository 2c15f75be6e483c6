/* The rungs between start and target (fine print 1), laid in one stretch, or in two where the climb
 * opens above its start: up to the opening, and from there on. Everything is integer arithmetic on
 * thousandths of a beat per minute; `5 %` keeps the exact decimal expansion, so that rung k is
 * start x 1.05^k and never a rounded rung times 1.05. Only `8 rungs` needs roots and uses long
 * double; the tests compare it with exact integers. Runs on the control side, once a climb. */
#include "engine/ladder_priv.h"

#include <math.h>

#define LEAST_RISE_MBPM 2000

/* A percent step moves at least 5 mbpm (0.1 % of the slowest tempo), so at least every second
 * one gives a new hundredth. */
#define GROUPS_MAX (2 * PASSO_RUNGS_MAX + 8)

static const int32_t graded_scale_bpm[] = {
    40, 42,  44,  46,  48,  50,  52,  54,  56,  58,  60,  63,  66,  69,  72,  76,  80,  84,  88, 92,
    96, 100, 104, 108, 112, 116, 120, 126, 132, 138, 144, 152, 160, 168, 176, 184, 192, 200, 208};

/* A decimal in groups of three digits, lowest first, of which the lowest `point` are behind the
 * decimal point. */
struct decimal {
    uint32_t group[GROUPS_MAX];
    size_t groups;
    size_t point;
};

/* What is being laid: steps begin at `from` and end below `until`. */
struct stretch {
    struct passo_ladder *ladder;
    int32_t from;
    int32_t until;
};

static int64_t to_hundredth(int64_t mbpm)
{
    return (mbpm + 5) / 10 * 10;
}

/* Adds a rung; false when there is no more room before the target. Two steps that round to the
 * same hundredth are one rung; one within 1 % under the end is left out, but never the start. */
static bool add(struct stretch *stretch, int64_t mbpm)
{
    struct passo_ladder *ladder = stretch->ladder;
    const int64_t until = stretch->until;
    if (mbpm >= until)
        return true;
    if (ladder->rungs && (mbpm <= ladder->rung_mbpm[ladder->rungs - 1] || mbpm * 100 >= until * 99))
        return true;
    if (ladder->rungs + 1 >= PASSO_RUNGS_MAX)
        return false;
    ladder->rung_mbpm[ladder->rungs++] = (int32_t)mbpm;
    return true;
}

static bool add_bpm(struct stretch *stretch)
{
    const int32_t step = stretch->ladder->rule.step_mbpm;
    for (int64_t mbpm = stretch->from; mbpm < stretch->until; mbpm += step)
        if (!add(stretch, mbpm))
            return false;
    return true;
}

static void decimal_grow(struct decimal *value, uint32_t factor_permille)
{
    uint32_t carry = 0;
    for (size_t i = 0; i < value->groups; i++) {
        uint32_t product = value->group[i] * factor_permille + carry;
        value->group[i] = product % 1000;
        carry = product / 1000;
    }
    for (; carry; carry /= 1000)
        value->group[value->groups++] = carry % 1000;
    value->point++;
}

static int64_t decimal_floor(const struct decimal *value)
{
    int64_t whole = 0;
    for (size_t i = value->groups; i > value->point; i--)
        whole = whole * 1000 + value->group[i - 1];
    return whole;
}

/* Half up to a hundredth needs no more than the whole thousandths: a hundredth's half is 5. */
static bool add_percent(struct stretch *stretch)
{
    const uint32_t factor = 1000 + (uint32_t)stretch->ladder->rule.step_permille;
    struct decimal value = {.groups = 0};
    for (uint32_t rest = (uint32_t)stretch->from; rest; rest /= 1000)
        value.group[value.groups++] = rest % 1000;
    for (;;) {
        int64_t mbpm = to_hundredth(decimal_floor(&value));
        if (mbpm >= stretch->until)
            return true;
        if (!add(stretch, mbpm))
            return false;
        decimal_grow(&value, factor);
    }
}

static bool add_points(struct stretch *stretch)
{
    const struct passo_rule *rule = &stretch->ladder->rule;
    const int64_t step = (int64_t)rule->step_permille * ladder_full_mbpm(rule); /* in 1/1000 mbpm */
    for (int64_t k = 0;; k++) {
        int64_t mbpm = to_hundredth(((int64_t)stretch->from * 1000 + k * step) / 1000);
        if (mbpm >= stretch->until)
            return true;
        if (!add(stretch, mbpm))
            return false;
    }
}

static bool add_ratios(struct stretch *stretch)
{
    /* Far above the error of powl and far under what tells two tempos apart: a root that is
     * exactly half a hundredth must not round down. */
    const long double nudge = 1e-9L;
    const struct passo_rule *rule = &stretch->ladder->rule;
    const long double ratio = (long double)rule->target_mbpm / (long double)rule->start_mbpm;
    for (int32_t k = 0; k + 1 < rule->step_rungs; k++) {
        long double share = (long double)k / (long double)(rule->step_rungs - 1);
        long double mbpm = (long double)rule->start_mbpm * powl(ratio, share);
        if (!add(stretch, (int64_t)floorl(mbpm / 10 + 0.5L + nudge) * 10))
            return false;
    }
    return true;
}

static bool add_marks(struct stretch *stretch)
{
    const size_t marks = sizeof graded_scale_bpm / sizeof *graded_scale_bpm;
    bool room = add(stretch, stretch->from);
    for (size_t i = 0; i < marks && room; i++)
        room = add(stretch, graded_scale_bpm[i] * INT64_C(1000));
    return room;
}

static bool add_rest(struct stretch *stretch)
{
    const struct passo_rule *rule = &stretch->ladder->rule;
    for (int64_t mbpm = stretch->from; mbpm < stretch->until;) {
        if (!add(stretch, mbpm))
            return false;
        int64_t rise = (rule->target_mbpm - mbpm) * rule->step_permille / 1000000 * 1000;
        mbpm += rise > LEAST_RISE_MBPM ? rise : LEAST_RISE_MBPM;
    }
    return true;
}

static bool add_list(struct stretch *stretch)
{
    bool room = true;
    for (size_t i = 0; i < stretch->ladder->rule.list_count && room; i++)
        room = add(stretch, stretch->ladder->rule.list_mbpm[i]);
    return room;
}

static bool lay_tempos(struct passo_ladder *ladder)
{
    static bool (*const adds[PASSO_STEPS_COUNT])(struct stretch *) = {
        [PASSO_STEPS_BPM] = add_bpm,       [PASSO_STEPS_PERCENT] = add_percent,
        [PASSO_STEPS_POINTS] = add_points, [PASSO_STEPS_RUNGS] = add_ratios,
        [PASSO_STEPS_MARKS] = add_marks,   [PASSO_STEPS_REST] = add_rest,
        [PASSO_STEPS_LIST] = add_list,
    };
    const struct passo_rule *rule = &ladder->rule;
    bool (*const lay)(struct stretch *) = adds[rule->steps];
    const int32_t opening = ladder_goes_on(rule) ? ladder_opening_mbpm(rule) : rule->start_mbpm;
    struct stretch below = {ladder, rule->start_mbpm, opening};
    struct stretch on = {ladder, opening, rule->target_mbpm};
    return (below.from == below.until || lay(&below)) && (on.from == on.until || lay(&on));
}

static bool lay_rungs(struct passo_ladder *ladder)
{
    switch (ladder->rule.climbs) {
    case PASSO_CLIMBS_LENGTH:
        while (ladder->rungs + 1 < ladder->rule.lengths)
            ladder->rung_mbpm[ladder->rungs++] = ladder->rule.target_mbpm;
        return true;
    case PASSO_CLIMBS_EDGE:
        return ladder_edge_rungs(ladder);
    case PASSO_CLIMBS_CHECK:
        if (ladder->rule.start_mbpm < ladder->rule.target_mbpm)
            ladder->rung_mbpm[ladder->rungs++] = ladder->rule.start_mbpm;
        return true;
    case PASSO_CLIMBS_BLOCK:
        return true;
    case PASSO_CLIMBS_TEMPO:
    case PASSO_CLIMBS_MIXED:
    case PASSO_CLIMBS_COUNT:
        break;
    }
    return lay_tempos(ladder);
}

enum passo_error ladder_rungs(struct passo_ladder *ladder, struct ladder_fault *fault)
{
    const struct passo_rule *rule = &ladder->rule;
    if (!lay_rungs(ladder)) {
        char start[LADDER_THOUSANDTHS_BYTES];
        char target[LADDER_THOUSANDTHS_BYTES];
        return ladder_fault(fault, "`steps` make more than %d rungs from %s to %s bpm; %s would do",
                            PASSO_RUNGS_MAX, ladder_thousandths(rule->start_mbpm, start),
                            ladder_thousandths(rule->target_mbpm, target),
                            rule->climbs == PASSO_CLIMBS_EDGE ? "a wider edge" : "wider steps");
    }
    ladder->rung_mbpm[ladder->rungs++] = rule->target_mbpm;
    return PASSO_OK;
}
