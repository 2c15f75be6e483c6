/* A plan's ladders. A stage may look back at what earlier ones gave, so the stages are shown as
 * they come when every pass is clean; one that is then not come to, because a limit ends the climb
 * before, is shown by its own rule. */
#include "command/plan_ladder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/plan_say.h"
#include "session/words.h"
#include "text/notation.h"

enum { RATE_HZ = 48000, PASSES_MAX = 100000, NS_A_MS = 1000000 };

struct times {
    int64_t count_in_ms;
    int64_t play_ms;
    int64_t rest_ms;
};

static struct passo_pass_shape shape_of(const struct passo_setup *setup,
                                        const struct passo_loop *loop, int32_t mbpm)
{
    return (struct passo_pass_shape){
        .passage = &setup->passage, .loop = loop, .pulse = &setup->pulse, .mbpm = mbpm};
}

static struct times times_of(const struct passo_pass_shape *shape, const struct passo_rule *rule)
{
    const struct passo_pass_times times = passo_pass_times(shape);
    const struct passo_instant played = passo_instant_from_ms(times.played_ns / NS_A_MS, RATE_HZ);
    return (struct times){
        .count_in_ms = times.count_in_ns / NS_A_MS,
        .play_ms = times.played_ns / NS_A_MS,
        .rest_ms = passo_instant_ns(passo_rule_rest(rule, played, RATE_HZ), RATE_HZ) / NS_A_MS};
}

/* Clicks of the count-in. They go by the entry alone: a bar of a long loop will do. */
static size_t counts_of(const struct passo_pass_shape *shape)
{
    size_t counts = 0;
    struct passo_loop entry = *shape->loop;
    struct passo_pass_shape head = *shape;
    head.loop = &entry;
    if (entry.to.bar > entry.from.bar + 1)
        entry.to = (struct passo_place){entry.from.bar + 1, {0, 1}};
    struct passo_timeline *timeline =
        passo_timeline_build(&head, 0, (struct passo_instant){0, 0}, RATE_HZ);
    for (size_t i = 0; i < timeline->events; i++) {
        if (timeline->event[i].kind == PASSO_EVENT_BODY)
            break;
        counts += timeline->event[i].kind == PASSO_EVENT_CLICK ||
                  timeline->event[i].kind == PASSO_EVENT_SILENT_CLICK;
    }
    free(timeline);
    return counts;
}

/* --- every pass clean --- */

static void keep_ladder(const struct passo_ladder *ladder, struct passo_ladder **kept)
{
    if (*kept)
        return;
    *kept = passo_xcalloc(1, sizeof **kept);
    **kept = *ladder;
}

static void keep_rest(const struct passo_course *course, struct plan_stages *stages)
{
    struct passo_ladder *ladder = passo_xcalloc(1, sizeof *ladder);
    for (size_t i = 0; i < course->stages; i++) {
        const struct passo_stage *stage = &course->stage[i];
        if (!stage->start.look && !stage->target.look &&
            passo_ladder_init(ladder, &stage->rule, stage->turns, NULL, 0) == PASSO_OK)
            keep_ladder(ladder, &stages->ladder[i]);
    }
    free(ladder);
}

void plan_stages_play(const struct passo_setup *setup, struct plan_stages *out_stages)
{
    const struct passo_course *course = &setup->course;
    struct passo_course_state *state = passo_xcalloc(1, sizeof *state);
    *out_stages = (struct plan_stages){.stages = course->stages};
    passo_course_begin(course, state);
    for (int64_t rest_ms = 0; out_stages->passes < PASSES_MAX; out_stages->passes++) {
        const struct passo_plan next = passo_course_next(course, state);
        if (next.part == PASSO_PART_DONE)
            break;
        keep_ladder(&state->ladder, &out_stages->ladder[state->stage]);
        const struct passo_pass_shape shape =
            shape_of(setup, passo_plan_loop(&setup->passage, &next), next.mbpm);
        const struct times times = times_of(&shape, &state->ladder.rule);
        out_stages->total_ms += rest_ms + times.count_in_ms + times.play_ms;
        out_stages->played_ms += times.play_ms;
        const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                                 .mark = PASSO_MARK_CLEAN,
                                                 .part = next.part,
                                                 .rung = next.rung,
                                                 .turn = next.turn,
                                                 .stage = next.stage,
                                                 .elapsed_ms = out_stages->total_ms,
                                                 .played_ms = out_stages->played_ms};
        passo_course_apply(course, state, &event);
        rest_ms = times.rest_ms;
        out_stages->ceiling = passo_course_ceiling_won(course, state);
        if (out_stages->ceiling && ++out_stages->passes)
            break;
    }
    out_stages->outcome = state->now.outcome;
    keep_rest(course, out_stages);
    free(state);
}

void plan_stages_deinit(struct plan_stages *stages)
{
    for (size_t i = 0; i < stages->stages; i++)
        free(stages->ladder[i]);
}

/* --- print --- */

static void print_head(const struct passo_setup *setup)
{
    const struct passo_passage *passage = &setup->passage;
    struct passo_course_state *state = passo_xcalloc(1, sizeof *state);
    char bars[64];
    char meter[64];
    char climb[PASSO_WORDS_BYTES];
    passo_course_begin(&setup->course, state);
    if (passage->title[0])
        plan_say("%s%s%s\n", passage->title, passage->piece[0] ? " · " : "", passage->piece);
    passo_words_bars(passage, &passage->loop[0], bars, sizeof bars);
    plan_tell("%s %s in %s, %s.", strchr(bars, '-') ? "Bars" : "Bar", bars,
              passo_meter_write(&passage->meter, meter, sizeof meter),
              passo_words_climb(&setup->course, passage, state, climb, sizeof climb));
    free(state);
}

static void print_stage_head(const struct passo_setup *setup, size_t index,
                             const struct passo_ladder *ladder)
{
    const struct passo_stage *stage = &setup->course.stage[index];
    char from[PASSO_NAME_MAX + 24] = "";
    char to[PASSO_NAME_MAX + 24];
    const bool looks = stage->start.look || stage->target.look;
    const int32_t target = ladder ? ladder->rule.target_mbpm : stage->rule.target_mbpm;
    const bool lengths = stage->rule.climbs == PASSO_CLIMBS_LENGTH;
    passo_tempo_write(target, setup->passage.beat, to, sizeof to);
    plan_say("\n");
    if (!ladder) {
        plan_tell("Stage %zu of %zu: %s, at most up to %s; its tempos look back at what the stages "
                  "before it give.",
                  index + 1, setup->course.stages, stage->name, to);
        return;
    }
    if (!lengths)
        passo_tempo_write(ladder->rung_mbpm[0], setup->passage.beat, from, sizeof from);
    plan_tell("Stage %zu of %zu: %s, %s%s%s%s in %u %s%s.", index + 1, setup->course.stages,
              stage->name, lengths ? "" : "from ", from, lengths ? "at " : " to ", to,
              ladder->rungs,
              lengths              ? "lengths"
              : ladder->rungs == 1 ? "rung"
                                   : "rungs",
              looks ? ", if every pass before it is clean" : "");
}

static void print_rungs(const struct passo_setup *setup, const struct passo_stage *stage,
                        const struct passo_ladder *ladder)
{
    const struct passo_passage *passage = &setup->passage;
    const bool lengths = stage->rule.climbs == PASSO_CLIMBS_LENGTH;
    const int step = ladder->edge_step ? ladder->edge_step : 1;
    const int32_t full = ladder->rule.full_mbpm ? ladder->rule.full_mbpm : ladder->rule.target_mbpm;
    char what[64];
    plan_say("\n rung %s  count-in           played     rest\n",
             lengths ? "              bars" : "   tempo  of target");
    for (int rung = 0; rung < ladder->rungs; rung += step) {
        const int32_t mbpm = ladder->rung_mbpm[rung];
        const struct passo_loop *loop =
            &passage->loop[lengths ? stage->length[rung] : stage->turn[0].loop];
        const struct passo_pass_shape shape = shape_of(setup, loop, mbpm);
        const struct times times = times_of(&shape, &ladder->rule);
        if (lengths)
            plan_say("%5d %18s", rung + 1, passo_words_bars(passage, loop, what, sizeof what));
        else
            plan_say("%5d %8s     %3d %%", rung + 1, passo_bpm_write(mbpm, what, sizeof what),
                     (int)(((int64_t)mbpm * 100 + full / 2) / full));
        plan_say("   %2zu in %5.1f s  %8.1f s %6.1f s\n", counts_of(&shape),
                 (double)times.count_in_ms / 1000, (double)times.play_ms / 1000,
                 (double)times.rest_ms / 1000);
    }
}

static void print_turns(const struct passo_setup *setup, const struct passo_stage *stage)
{
    static const char *const when[PASSO_TURN_COUNT] = {
        [PASSO_TURN_EVERY_RUNG] = "at every rung, one after the other",
        [PASSO_TURN_EVERY_PASS] = "changing with every pass",
        [PASSO_TURN_WHOLE_CLIMB] = "each climbs the whole ladder, then the next",
    };
    const bool lengths = stage->rule.climbs == PASSO_CLIMBS_LENGTH;
    char what[PASSO_WORDS_BYTES];
    if (lengths && stage->turns == 1)
        return;
    if (stage->turns > 1)
        plan_say("\nTurns, %s:\n", when[stage->rule.turn]);
    else
        plan_say("\nPlayed:\n");
    for (size_t i = 0; i < stage->turns; i++) {
        const struct passo_plan played = {.part = PASSO_PART_CLIMB,
                                          .loop = lengths ? stage->length[0] : stage->turn[i].loop,
                                          .variant = stage->turn[i].variant};
        plan_say("  %s%s\n", passo_words_what(&setup->passage, &played, what, sizeof what),
                 lengths ? ", and so on" : "");
    }
}

static void print_shortest(const struct plan_stages *stages)
{
    plan_say("\n");
    plan_tell("If every pass were clean: %u passes%s, %d min %02d s, of which %d min %02d s are "
              "played.",
              stages->passes, stages->ceiling ? " to today's ceiling" : "",
              (int)(stages->total_ms / 60000), (int)(stages->total_ms / 1000 % 60),
              (int)(stages->played_ms / 60000), (int)(stages->played_ms / 1000 % 60));
    if (stages->ceiling)
        plan_tell("The target is not for today: at the ceiling the climb goes round, until a stop "
                  "or you end it.");
    else if (stages->outcome != PASSO_OUTCOME_WON && stages->outcome != PASSO_OUTCOME_EDGE)
        plan_tell("Even so the target would not be reached: %s comes first.",
                  stages->outcome == PASSO_OUTCOME_TIME ? "the time" : "a stop");
}

void plan_stages_print(const struct passo_setup *setup, const char *opening,
                       const struct plan_stages *stages)
{
    print_head(setup);
    if (opening[0])
        plan_say("%s\n", opening);
    for (size_t i = 0; i < stages->stages; i++) {
        const struct passo_stage *stage = &setup->course.stage[i];
        if (stages->stages > 1)
            print_stage_head(setup, i, stages->ladder[i]);
        if (stages->ladder[i])
            print_rungs(setup, stage, stages->ladder[i]);
        print_turns(setup, stage);
    }
    print_shortest(stages);
    for (size_t i = 0; i < stages->stages; i++) {
        const char *advice = stages->ladder[i] ? passo_ladder_advice(stages->ladder[i]) : NULL;
        if (advice)
            plan_say("\n");
        if (advice && stages->stages > 1)
            plan_tell("Stage %s: %s", setup->course.stage[i].name, advice);
        else if (advice)
            plan_tell("%s", advice);
    }
}
