/* Draws rules and events of every kind, for the ladder's properties. The dice are seeded by the
 * test. */
#ifndef PASSO_TESTS_LADDER_DRAW_H
#define PASSO_TESTS_LADDER_DRAW_H

#include <passo/ladder.h>
#include <passo/random.h>

static struct passo_random dice;

static inline int32_t between(int32_t low, int32_t high)
{
    return low + (int32_t)passo_random_below(&dice, (uint32_t)(high - low + 1));
}

static inline bool one_in(uint32_t n)
{
    return passo_random_below(&dice, n) == 0;
}

static inline void draw_steps(struct passo_rule *rule)
{
    rule->target_mbpm = between(40000, 300000);
    rule->start_mbpm = one_in(4) ? 0 : between(rule->target_mbpm / 3, rule->target_mbpm);
    rule->start_permille = between(300, 1000);
    rule->steps = (enum passo_steps)between(0, PASSO_STEPS_COUNT - 1);
    rule->step_mbpm = between(500, 20000);
    rule->step_permille = between(10, 400);
    rule->step_rungs = between(2, 40);
    if (rule->steps != PASSO_STEPS_LIST)
        return;
    rule->list_count = (uint16_t)between(1, 12);
    int32_t mbpm = between(30000, 60000);
    for (int i = 0; i < rule->list_count; i++, mbpm += between(1, 15000))
        rule->list_mbpm[i] = mbpm;
    rule->start_mbpm = 0;
    rule->target_mbpm = 0;
}

/* A ceiling from the start up; of lengths from the target up. */
static inline void draw_ceiling(struct passo_rule *rule)
{
    const bool list = rule->steps == PASSO_STEPS_LIST;
    const int32_t target = list ? rule->list_mbpm[rule->list_count - 1] : rule->target_mbpm;
    int32_t start = list ? rule->list_mbpm[0] : rule->start_mbpm;
    if (!start)
        start = (int32_t)((int64_t)target * rule->start_permille / 1000) + 10;
    if (rule->climbs == PASSO_CLIMBS_LENGTH || start > target)
        start = target;
    rule->ceiling_mbpm = between(start, target + target / 10);
}

static inline void draw_climbs(struct passo_rule *rule)
{
    if (one_in(2))
        rule->climbs = (enum passo_climbs)between(0, PASSO_CLIMBS_COUNT - 1);
    rule->seed = passo_random_next(&dice);
    rule->lengths = (uint16_t)between(1, 12);
    rule->edge_within_mbpm = between(500, 6000);
    if (rule->climbs == PASSO_CLIMBS_LENGTH || rule->climbs == PASSO_CLIMBS_EDGE) {
        rule->steps = PASSO_STEPS_BPM;
        if (!rule->target_mbpm)
            rule->target_mbpm = 120000;
    }
    if (one_in(4))
        draw_ceiling(rule);
    rule->resume_permille = one_in(4) ? 0 : between(500, 1000);
    rule->resume_rungs = (uint8_t)between(0, 3);
    rule->past_mbpm = one_in(2) ? 0 : between(20000, 350000);
    rule->past_length = (uint16_t)between(0, 15);
    rule->past_missed = (uint16_t)between(0, 9);
}

static inline void draw_moves(struct passo_rule *rule)
{
    rule->raise_clean = (uint8_t)between(1, 4);
    rule->raise_of = one_in(2) ? 0 : (uint8_t)between(rule->raise_clean, 6);
    rule->raise_coins = !rule->raise_of && one_in(3);
    rule->drop = (enum passo_drop)between(0, PASSO_DROP_COUNT - 1);
    rule->drop_rungs = (uint16_t)between(1, 4);
    rule->drop_misses = (uint8_t)between(1, 4);
    rule->drop_counts = (enum passo_drop_counts)between(0, PASSO_DROP_COUNTS_COUNT - 1);
    rule->miss = (enum passo_miss)between(0, PASSO_MISS_COUNT - 1);
    rule->lifts = (uint8_t)between(1, 4);
    for (int i = 0; i < rule->lifts; i++)
        do
            rule->lift[i] = (int8_t)(i ? between(-3, 3) : between(1, 4));
        while (!rule->lift[i]);
    rule->turn = (enum passo_turning)between(0, PASSO_TURN_COUNT - 1);
    rule->unmarked = (enum passo_unmarked)between(0, PASSO_UNMARKED_COUNT - 1);
}

static inline void draw_course(struct passo_rule *rule)
{
    rule->cold = one_in(3);
    rule->anchor_permille = one_in(3) ? between(500, 1000) : 0;
    rule->over_passes = (uint8_t)(one_in(2) ? between(1, 3) : 0);
    rule->over_permille = between(1010, 1200);
    rule->close_clean = (uint8_t)(one_in(2) ? between(1, 3) : 0);
    rule->close_thins = !rule->close_clean && one_in(2);
    rule->finish_passes = (uint8_t)between(0, 2);
    rule->put_away_passes = (uint8_t)between(0, 2);
    rule->put_away_permille = one_in(2) ? 0 : between(300, 1000);
    rule->plateau_clean = (uint8_t)between(0, 2);
    rule->plateau_drops = (uint8_t)between(0, 3);
    rule->tired_of = (uint8_t)between(4, 12);
    rule->tired_misses = one_in(2) ? 0 : (uint8_t)between(3, rule->tired_of);
    rule->stop_ms = one_in(2) ? 0 : between(100000, 2000000);
    rule->stop_passes = (uint16_t)(one_in(2) ? 0 : between(5, 120));
    rule->stop_misses = (uint16_t)(one_in(2) ? 0 : between(3, 8));
}

static inline void draw_stage(struct passo_rule *rule)
{
    rule->leads_on = one_in(2);
    rule->tired_played_ms = one_in(3) ? between(50000, 1000000) : 0;
    rule->stage_ms = one_in(3) ? between(50000, 1000000) : 0;
    rule->stage_passes = (uint16_t)(one_in(3) ? between(5, 60) : 0);
    rule->stage_misses = (uint16_t)(one_in(3) ? between(3, 6) : 0);
}

static inline void draw_rule(struct passo_rule *rule)
{
    *rule = passo_rule_default();
    draw_steps(rule);
    draw_climbs(rule);
    draw_moves(rule);
    draw_course(rule);
    draw_stage(rule);
}

static inline enum passo_mark draw_mark(void)
{
    if (one_in(12))
        return one_in(2) ? PASSO_MARK_NONE : PASSO_MARK_VOID;
    return one_in(4) ? PASSO_MARK_MISS : PASSO_MARK_CLEAN;
}

/* Mostly what the plan says, now and then a hand, a pass played elsewhere, or the end. */
static inline struct passo_ladder_event draw_event(const struct passo_plan *plan,
                                                   int64_t elapsed_ms)
{
    struct passo_ladder_event event = {
        .type = PASSO_LADDER_PASS,
        .mark = draw_mark(),
        .part = plan->part,
        .rung = plan->rung,
        .turn = plan->turn,
        .elapsed_ms = elapsed_ms,
        .played_ms = elapsed_ms / 2,
    };
    if (one_in(25))
        event.type = (enum passo_event_type)between(PASSO_LADDER_EASIER, PASSO_LADDER_TURN);
    else if (one_in(40))
        event.type = PASSO_LADDER_EXTEND;
    else if (one_in(400))
        event.type = PASSO_LADDER_QUIT;
    else if (one_in(30))
        event.rung = (uint16_t)between(0, UINT16_MAX);
    else if (one_in(30))
        event.turn = (uint8_t)between(0, UINT8_MAX);
    else if (one_in(30))
        event.part = (enum passo_part)between(0, PASSO_PART_COUNT - 1);
    return event;
}

#endif
