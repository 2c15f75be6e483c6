/* Properties that hold for every rule and every stream of marks: drawn rules, drawn events. A
 * failure names the round; the rounds are seeded, so it comes again. */
#include "engine/ladder_play.h"

#include <passo/random.h>

#define ROUNDS 4000
#define EVENTS 160

static struct passo_random dice;
static struct passo_ladder ladder;
static struct passo_ladder_event events[EVENTS];

static int32_t between(int32_t low, int32_t high)
{
    return low + (int32_t)passo_random_below(&dice, (uint32_t)(high - low + 1));
}

static bool one_in(uint32_t n)
{
    return passo_random_below(&dice, n) == 0;
}

static void draw_steps(struct passo_rule *rule)
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

static void draw_moves(struct passo_rule *rule)
{
    rule->raise_clean = (uint8_t)between(1, 4);
    rule->raise_of = one_in(2) ? 0 : (uint8_t)between(rule->raise_clean, 6);
    rule->drop = (enum passo_drop)between(0, PASSO_DROP_COUNT - 1);
    rule->drop_rungs = (uint16_t)between(1, 4);
    rule->drop_misses = (uint8_t)between(1, 4);
    rule->drop_counts = one_in(2) ? PASSO_DROP_COUNTS_HERE : PASSO_DROP_COUNTS_IN_A_ROW;
    rule->miss = (enum passo_miss)between(0, PASSO_MISS_COUNT - 1);
    rule->lifts = (uint8_t)between(1, 4);
    for (int i = 0; i < rule->lifts; i++)
        do
            rule->lift[i] = (int8_t)(i ? between(-3, 3) : between(1, 4));
        while (!rule->lift[i]);
    rule->turn = (enum passo_turning)between(0, PASSO_TURN_COUNT - 1);
    rule->unmarked = (enum passo_unmarked)between(0, PASSO_UNMARKED_COUNT - 1);
}

static void draw_course(struct passo_rule *rule)
{
    rule->cold = one_in(3);
    rule->anchor_permille = one_in(3) ? between(500, 1000) : 0;
    rule->over_passes = (uint8_t)(one_in(2) ? between(1, 3) : 0);
    rule->over_permille = between(1010, 1200);
    rule->close_clean = (uint8_t)(one_in(2) ? between(1, 3) : 0);
    rule->finish_passes = (uint8_t)between(0, 2);
    rule->plateau_drops = (uint8_t)between(0, 3);
    rule->tired_of = (uint8_t)between(4, 12);
    rule->tired_misses = one_in(2) ? 0 : (uint8_t)between(3, rule->tired_of);
    rule->stop_ms = one_in(2) ? 0 : between(100000, 2000000);
    rule->stop_passes = (uint16_t)(one_in(2) ? 0 : between(5, 120));
    rule->stop_misses = (uint16_t)(one_in(2) ? 0 : between(3, 8));
}

static void draw_rule(struct passo_rule *rule)
{
    *rule = passo_rule_default();
    draw_steps(rule);
    draw_moves(rule);
    draw_course(rule);
}

static enum passo_mark draw_mark(void)
{
    if (one_in(12))
        return one_in(2) ? PASSO_MARK_NONE : PASSO_MARK_VOID;
    return one_in(4) ? PASSO_MARK_MISS : PASSO_MARK_CLEAN;
}

/* Mostly what the plan says, now and then a hand, a pass played elsewhere, or the end. */
static struct passo_ladder_event draw_event(const struct passo_plan *plan, int64_t elapsed_ms)
{
    struct passo_ladder_event event = {
        .type = PASSO_LADDER_PASS,
        .mark = draw_mark(),
        .part = plan->part,
        .rung = plan->rung,
        .turn = plan->turn,
        .elapsed_ms = elapsed_ms,
    };
    if (one_in(25))
        event.type = (enum passo_event_type)between(PASSO_LADDER_EASIER, PASSO_LADDER_TURN);
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

static void check_rungs(void)
{
    const int64_t target = ladder.rule.target_mbpm;
    assert_int_equal(ladder.rung_mbpm[ladder.rungs - 1], target);
    for (int i = 1; i < ladder.rungs; i++) {
        assert_true(ladder.rung_mbpm[i] > ladder.rung_mbpm[i - 1]);
        if (i + 1 < ladder.rungs)
            assert_true(ladder.rung_mbpm[i] * INT64_C(100) < target * 99);
    }
    assert_in_range(ladder.rule.start_mbpm - ladder.rung_mbpm[0] + 5, 0, 10);
}

/* Never under the floor or over the top, over and anchor passes excepted. */
static void check_plan(const struct passo_ladder_state *state)
{
    const struct passo_plan plan = passo_ladder_next(&ladder, state);
    const int32_t target = ladder.rule.target_mbpm;
    assert_true(state->rung < ladder.rungs);
    assert_true(state->turn < ladder.turns);
    assert_true(plan.turn < ladder.turns);
    if (plan.part == PASSO_PART_OVER)
        assert_true(plan.mbpm > target);
    else if (plan.part == PASSO_PART_ANCHOR)
        assert_true(plan.mbpm <= target);
    else
        assert_in_range(plan.mbpm, ladder.rung_mbpm[0], target);
    if (plan.part == PASSO_PART_CLIMB)
        assert_int_equal(plan.mbpm, ladder.rung_mbpm[state->rung]);
    if (plan.part == PASSO_PART_CONTEXT)
        assert_int_equal(plan.mbpm, passo_ladder_best_mbpm(&ladder, state));
    assert_int_equal(plan.rest_ms, plan.part == PASSO_PART_EASY ? 90000 : 0);
}

static void check_outcome(const struct passo_ladder_state *state)
{
    const bool climbing = state->part == PASSO_PART_COLD || state->part == PASSO_PART_CLIMB ||
                          state->part == PASSO_PART_ANCHOR;
    assert_int_equal(climbing, state->outcome == PASSO_OUTCOME_OPEN);
    if (state->outcome == PASSO_OUTCOME_WON)
        assert_int_equal(state->best_rung, ladder.rungs - 1);
    if (state->part == PASSO_PART_OVER || state->part == PASSO_PART_CLOSE)
        assert_int_equal(state->outcome, PASSO_OUTCOME_WON);
    if (state->part == PASSO_PART_EASY)
        assert_int_equal(state->outcome, PASSO_OUTCOME_TIRED);
    assert_true(state->assumed_run <= 6);
    assert_true(state->unmarked_run <= 3);
}

static void check_clear(const struct passo_ladder_state *state)
{
    static const uint8_t none[PASSO_TURNS_MAX];
    assert_int_equal(state->cleans + state->misses + state->window_marks, 0);
    assert_memory_equal(state->misses_here, none, sizeof none);
}

/* What one event may do. */
static void check_step(const struct passo_ladder_state *before,
                       const struct passo_ladder_state *after,
                       const struct passo_ladder_event *event,
                       const struct passo_decision *decision)
{
    assert_int_equal(decision->from_mbpm, passo_ladder_next(&ladder, before).mbpm);
    assert_int_equal(decision->to_mbpm, passo_ladder_next(&ladder, after).mbpm);
    assert_int_equal(after->passes, before->passes + decision->counted);
    assert_true(after->best_rung >= before->best_rung);
    assert_true(after->best_clean_rung >= before->best_clean_rung);
    if (decision->counted) {
        assert_int_equal(before->part, PASSO_PART_CLIMB);
        assert_int_equal(event->rung, before->rung);
        assert_int_equal(event->turn, before->turn);
        assert_true(decision->move != PASSO_MOVE_NONE);
    }
    if (decision->counted && decision->move != PASSO_MOVE_TIRED && after->rung != before->rung)
        check_clear(after);
    if (before->part == PASSO_PART_DONE)
        assert_memory_equal(before, after, sizeof *after);
    if (decision->reason != PASSO_REASON_VOID && decision->reason != PASSO_REASON_ELSEWHERE &&
        decision->reason != PASSO_REASON_UNMARKED)
        return;
    struct passo_ladder_state same;
    memcpy(&same, after, sizeof same);
    same.unmarked_run = before->unmarked_run;
    same.assumed_run = before->assumed_run;
    assert_memory_equal(before, &same, sizeof same);
}

static void check_replay(size_t count, const struct passo_ladder_state *state,
                         const struct passo_decision *last)
{
    struct passo_ladder_state again;
    struct passo_decision again_last;
    memset(&again, 0xa5, sizeof again); /* whatever was there before */
    passo_ladder_replay(&ladder, events, count, &again, &again_last);
    assert_memory_equal(&again, state, sizeof again);
    assert_int_equal(again_last.move, last->move);
    assert_int_equal(again_last.reason, last->reason);
    assert_int_equal(again_last.to_mbpm, last->to_mbpm);
}

static void play_round(size_t *outcomes)
{
    static struct passo_ladder_state before;
    static struct passo_ladder_state state;
    struct passo_decision last = {0};
    int64_t elapsed_ms = 0;
    passo_ladder_begin(&ladder, &state);
    for (size_t i = 0; i < EVENTS; i++) {
        const struct passo_decision undone = last;
        const struct passo_plan plan = passo_ladder_next(&ladder, &state);
        elapsed_ms += between(0, 20000);
        events[i] = draw_event(&plan, elapsed_ms);
        memcpy(&before, &state, sizeof before);
        last = passo_ladder_apply(&ladder, &state, &events[i]);
        check_plan(&state);
        check_outcome(&state);
        check_step(&before, &state, &events[i], &last);
        if (one_in(16)) {
            check_replay(i + 1, &state, &last);
            check_replay(i, &before, &undone); /* undo */
        }
        if (plan.part == PASSO_PART_DONE && one_in(4))
            break;
    }
    outcomes[state.outcome]++;
}

static void any_rule_and_any_marks(void **unused)
{
    (void)unused;
    size_t outcomes[PASSO_OUTCOME_COUNT] = {0};
    size_t played = 0;
    for (int round = 0; round < ROUNDS; round++) {
        struct passo_rule rule;
        char fault[256];
        passo_random_seed(&dice, (uint64_t)round);
        draw_rule(&rule);
        if (passo_ladder_init(&ladder, &rule, (size_t)between(1, 5), fault, sizeof fault)) {
            assert_true(strlen(fault) > 10);
            continue;
        }
        check_rungs();
        play_round(outcomes);
        played++;
    }
    /* the rules drawn are rules, and the rounds end in every way there is */
    assert_true(played > ROUNDS * 9 / 10);
    for (int i = 0; i < PASSO_OUTCOME_COUNT; i++)
        if (!outcomes[i])
            fail_msg("no round ended '%s'", passo_outcome_name((enum passo_outcome)i));
}

/* Without stops and with lifts that only go up, one who plays only clean passes wins, in no more
 * passes than the rule asks for. */
static void clean_passes_always_win(void **unused)
{
    (void)unused;
    struct passo_ladder_state state;
    for (int round = 0; round < 200; round++) {
        struct passo_rule rule;
        passo_random_seed(&dice, 1000 + (uint64_t)round);
        draw_rule(&rule);
        rule.tired_misses = 0;
        rule.stop_ms = 0;
        rule.stop_passes = 0;
        for (int i = 0; i < rule.lifts; i++)
            rule.lift[i] = (int8_t)(rule.lift[i] < 0 ? -rule.lift[i] : rule.lift[i]);
        if (passo_ladder_init(&ladder, &rule, (size_t)between(1, 5), NULL, 0))
            continue;
        size_t most = (size_t)ladder.rungs * ladder.turns * (rule.raise_clean + 1u);
        size_t played = 0;
        passo_ladder_begin(&ladder, &state);
        for (; state.outcome == PASSO_OUTCOME_OPEN && played < 3 * most + 3; played++) {
            const struct passo_plan plan = passo_ladder_next(&ladder, &state);
            const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                                     .mark = PASSO_MARK_CLEAN,
                                                     .part = plan.part,
                                                     .rung = plan.rung,
                                                     .turn = plan.turn};
            (void)passo_ladder_apply(&ladder, &state, &event);
        }
        assert_int_equal(state.outcome, PASSO_OUTCOME_WON);
        assert_true(state.passes <= most);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_rule_and_any_marks),
        cmocka_unit_test(clean_passes_always_win),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
