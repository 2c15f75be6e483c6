/* Properties that hold for every rule and every stream of marks: drawn rules, drawn events. A
 * failure names the round; the rounds are seeded, so it comes again. */
#include "engine/ladder_draw.h"
#include "engine/ladder_play.h"

#define ROUNDS 4000
#define EVENTS 160

static struct passo_ladder ladder;
static struct passo_ladder_event events[EVENTS];

static void check_rungs(void)
{
    const int64_t target = ladder.rule.target_mbpm;
    const enum passo_climbs climbs = ladder.rule.climbs;
    assert_int_equal(ladder.rung_mbpm[ladder.rungs - 1], target);
    assert_true(ladder.opening <= ladder.highest);
    assert_true(ladder.highest < ladder.rungs);
    if (ladder.rule.ceiling_mbpm && ladder.highest)
        assert_true(ladder.rung_mbpm[ladder.highest] <= ladder.rule.ceiling_mbpm);
    for (int i = 1; i < ladder.rungs; i++) {
        if (climbs == PASSO_CLIMBS_LENGTH)
            assert_int_equal(ladder.rung_mbpm[i], target);
        else
            assert_true(ladder.rung_mbpm[i] > ladder.rung_mbpm[i - 1]);
        if (climbs == PASSO_CLIMBS_EDGE)
            assert_true(ladder.rung_mbpm[i] - ladder.rung_mbpm[i - 1] <=
                        ladder.rule.edge_within_mbpm + 10);
        else if (i + 1 < ladder.rungs && climbs != PASSO_CLIMBS_LENGTH)
            assert_true(ladder.rung_mbpm[i] * INT64_C(100) < target * 99);
    }
    assert_in_range(ladder.rule.start_mbpm - ladder.rung_mbpm[0] + 5, 0, 10);
}

/* Never under the floor or over the top, over, anchor and put away passes excepted; and but for a
 * start that is rounded up to a hundredth, never over the teacher's ceiling. */
static void check_plan(const struct passo_ladder_state *state)
{
    const struct passo_plan plan = passo_ladder_next(&ladder, state);
    const int32_t target = ladder.rule.target_mbpm;
    const bool tired = state->outcome == PASSO_OUTCOME_TIRED;
    const bool put_away = plan.part == PASSO_PART_EASY && !tired;
    assert_true(state->rung <= ladder.highest);
    assert_true(plan.rung <= ladder.highest);
    assert_true(state->turn < ladder.turns);
    assert_true(plan.turn < ladder.turns);
    if (plan.part == PASSO_PART_OVER)
        assert_true(plan.mbpm > target);
    else if (plan.part == PASSO_PART_ANCHOR || put_away)
        assert_true(plan.mbpm <= target);
    else
        assert_in_range(plan.mbpm, ladder.rung_mbpm[0], target);
    if (ladder.rule.ceiling_mbpm && ladder.rule.ceiling_mbpm < target)
        assert_true(plan.mbpm <= ladder.rule.ceiling_mbpm + 5);
    if (plan.part == PASSO_PART_CLIMB)
        assert_int_equal(plan.mbpm, ladder.rung_mbpm[state->rung]);
    if (plan.part == PASSO_PART_CONTEXT)
        assert_int_equal(plan.mbpm, passo_ladder_best_mbpm(&ladder, state));
    assert_int_equal(plan.rest_ms, plan.part == PASSO_PART_EASY && tired ? 90000 : 0);
    assert_true(plan.thin <= PASSO_THIN_COUNT_IN);
    if (plan.part != PASSO_PART_CLOSE || !ladder.rule.close_thins)
        assert_int_equal(plan.thin, PASSO_THIN_NONE);
}

static void check_search(const struct passo_ladder_state *state)
{
    if (ladder.rule.climbs == PASSO_CLIMBS_EDGE) {
        assert_true(state->edge_clean < state->rung);
        assert_true(state->rung < state->edge_miss);
        assert_int_equal(state->edge_clean, state->best_rung);
    }
    if (ladder.rule.climbs == PASSO_CLIMBS_MIXED)
        assert_false(state->put_away[state->rung / 64] >> (state->rung % 64) & 1);
    if (ladder.highest + 1 < ladder.rungs)
        assert_true(state->best_rung <= ladder.highest);
}

static void check_outcome(const struct passo_ladder_state *state)
{
    const bool climbing = state->part == PASSO_PART_COLD || state->part == PASSO_PART_CLIMB ||
                          state->part == PASSO_PART_ANCHOR;
    const bool stage_over = state->outcome == PASSO_OUTCOME_WON || state->stage_ended ||
                            state->outcome == PASSO_OUTCOME_PLATEAU ||
                            state->outcome == PASSO_OUTCOME_EDGE;
    const bool finish = state->part == PASSO_PART_CONTEXT || state->part == PASSO_PART_EASY;
    assert_int_equal(climbing, state->outcome == PASSO_OUTCOME_OPEN);
    if (climbing)
        check_search(state);
    if (state->outcome == PASSO_OUTCOME_WON)
        assert_int_equal(state->best_rung, ladder.rungs - 1);
    if (state->part == PASSO_PART_OVER)
        assert_int_equal(state->outcome, PASSO_OUTCOME_WON);
    if (state->part == PASSO_PART_CLOSE)
        assert_true(state->outcome == PASSO_OUTCOME_WON || state->outcome == PASSO_OUTCOME_PLATEAU);
    if (state->part == PASSO_PART_EASY)
        assert_int_equal(state->put_away_left == 0, state->outcome == PASSO_OUTCOME_TIRED);
    if (ladder.rule.leads_on && stage_over)
        assert_false(finish);
    if (state->outcome == PASSO_OUTCOME_MISSES)
        assert_int_equal(state->part, PASSO_PART_DONE);
    assert_true(state->assumed_run <= 6);
    assert_true(state->unmarked_run <= 3);
}

static void check_clear(const struct passo_ladder_state *state)
{
    static const uint8_t none[PASSO_TURNS_MAX];
    assert_int_equal(state->cleans + state->misses + state->window_marks + state->coins, 0);
    assert_memory_equal(state->misses_here, none, sizeof none);
    assert_memory_equal(state->misses_row_here, none, sizeof none);
}

/* No counted pass is played past a limit: what is still climbing has not reached any. */
static void check_limits(const struct passo_ladder_state *state)
{
    const struct passo_rule *rule = &ladder.rule;
    assert_int_equal(state->stage_passes, state->passes);
    assert_int_equal(state->stage_misses_run, state->misses_run);
    if (state->outcome != PASSO_OUTCOME_OPEN)
        return;
    const uint32_t more = state->extended * (uint32_t)PASSO_EXTEND_PASSES;
    assert_true(!rule->stop_passes || state->passes < rule->stop_passes + more);
    assert_true(!rule->stage_passes || state->passes < rule->stage_passes + more);
    assert_true(!rule->stop_misses || state->misses_run < rule->stop_misses);
    assert_true(!rule->stage_misses || state->misses_run < rule->stage_misses);
}

/* What one event may do. */
static void check_step(const struct passo_ladder_state *before,
                       const struct passo_ladder_state *after,
                       const struct passo_ladder_event *event,
                       const struct passo_decision *decision)
{
    assert_int_equal(decision->from_mbpm, passo_ladder_next(&ladder, before).mbpm);
    assert_int_equal(decision->to_mbpm, passo_ladder_next(&ladder, after).mbpm);
    const bool block = ladder.rule.climbs == PASSO_CLIMBS_BLOCK;
    assert_false(block && decision->counted);
    if (!block)
        assert_int_equal(after->passes, before->passes + decision->counted);
    assert_true(after->best_rung >= before->best_rung);
    assert_true(after->best_clean_rung >= before->best_clean_rung);
    if (decision->counted) {
        assert_int_equal(before->part, PASSO_PART_CLIMB);
        assert_int_equal(event->rung, before->rung);
        assert_int_equal(event->turn, before->turn);
        assert_int_equal(decision->move == PASSO_MOVE_NONE,
                         decision->reason == PASSO_REASON_TOUCHED);
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
        check_limits(&state);
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
        rule.ceiling_mbpm = 0;
        rule.tired_played_ms = 0;
        rule.stage_ms = 0;
        rule.stage_passes = 0;
        if (rule.climbs == PASSO_CLIMBS_BLOCK)
            rule.climbs = PASSO_CLIMBS_CHECK;
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
