/* A plan's ladders. A stage may look back at what earlier ones gave, so the stages are shown as
 * they come when every pass is clean; one that is then not come to, because a limit ends the climb
 * before, is shown by its own rule. */
#include "command/plan_ladder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/plan_say.h"
#include "command/plan_times.h"
#include "session/words.h"
#include "text/notation.h"

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
        passo_timeline_build(&head, 0, (struct passo_instant){0, 0}, PLAN_RATE_HZ);
    for (size_t i = 0; i < timeline->events; i++) {
        if (timeline->event[i].kind == PASSO_EVENT_BODY)
            break;
        counts += timeline->event[i].kind == PASSO_EVENT_CLICK ||
                  timeline->event[i].kind == PASSO_EVENT_SILENT_CLICK;
    }
    free(timeline);
    return counts;
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

static double seconds(int64_t ns)
{
    return (double)(ns / PLAN_NS_A_MS) / 1000;
}

static void print_rungs(const struct passo_setup *setup, const struct passo_stage *stage,
                        const struct passo_ladder *ladder)
{
    const struct passo_passage *passage = &setup->passage;
    const bool lengths = stage->rule.climbs == PASSO_CLIMBS_LENGTH;
    const bool every = setup->intonation.hear == PASSO_HEAR_EVERY_PASS;
    const int step = ladder->edge_step ? ladder->edge_step : 1;
    struct plan_hearing hearing;
    const int32_t full = ladder->rule.full_mbpm ? ladder->rule.full_mbpm : ladder->rule.target_mbpm;
    char what[64];
    plan_hearing_init(&hearing, setup);
    plan_say("\n rung %s  count-in           played     rest\n",
             lengths ? "              bars" : "   tempo  of target");
    for (int rung = 0; rung < ladder->rungs; rung += step) {
        const int32_t mbpm = ladder->rung_mbpm[rung];
        const struct passo_plan next = {.part = PASSO_PART_CLIMB,
                                        .mbpm = mbpm,
                                        .loop = lengths ? stage->length[rung] : stage->turn[0].loop,
                                        .variant = stage->turn[0].variant};
        const struct passo_loop *loop = &passage->loop[next.loop];
        const struct passo_pass_shape shape = plan_shape(setup, loop, mbpm);
        const struct plan_times times = plan_times(&shape, &ladder->rule);
        const int64_t rest_ns = plan_rest_ns(
            times.rest_ns,
            plan_hearing_ns(&hearing, every && plan_hearing_is_due(&hearing, &next), &times),
            false);
        if (lengths)
            plan_say("%5d %18s", rung + 1, passo_words_bars(passage, loop, what, sizeof what));
        else
            plan_say("%5d %8s     %3d %%", rung + 1, passo_bpm_write(mbpm, what, sizeof what),
                     (int)(((int64_t)mbpm * 100 + full / 2) / full));
        plan_say("   %2zu in %5.1f s  %8.1f s %6.1f s\n", counts_of(&shape),
                 seconds(times.count_in_ns), seconds(times.play_ns), seconds(rest_ns));
    }
    plan_hearing_deinit(&hearing);
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

/* What the table does not show: when the machine plays, and that it takes its time. */
static void print_hearing(const struct passo_setup *setup)
{
    if (!setup->notes.notes || setup->intonation.hear == PASSO_HEAR_OFF)
        return;
    plan_say("\n");
    plan_tell(setup->intonation.hear == PASSO_HEAR_EVERY_PASS
                  ? "Before every pass you hear it; the rests are long enough for that."
                  : "Before each new rung you hear it first; the rest before it is then as long as "
                    "that takes, if that is longer.");
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
    print_hearing(setup);
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
