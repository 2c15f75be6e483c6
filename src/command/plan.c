/* `passo plan`: what a climb would be, in figures; no sound. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/after.h"
#include "command/options.h"
#include "session/words.h"
#include "text/notation.h"

enum {
    TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_FILE | PASSO_TAKES_AFTER,
    RATE_HZ = 48000,
    PASSES_MAX = 100000
};

struct plan {
    struct passo_setup setup;
    struct passo_course_state state; /* before the first pass */
};

struct times {
    int64_t count_in_ms;
    int64_t play_ms;
    int64_t rest_ms;
    size_t counts; /* clicks of the count-in */
};

static struct times times_of(const struct plan *plan, const struct passo_loop *loop, int32_t mbpm)
{
    const struct passo_setup *setup = &plan->setup;
    struct passo_pass_shape shape = {
        .passage = &setup->passage, .loop = loop, .pulse = &setup->pulse, .mbpm = mbpm};
    struct passo_timeline *timeline =
        passo_timeline_build(&shape, 0, (struct passo_instant){0, 0}, RATE_HZ);
    struct passo_instant played = passo_instant_sub(timeline->end, timeline->body);
    struct passo_instant rest = passo_rule_rest(&setup->rule, played, RATE_HZ);
    struct times times = {.count_in_ms = passo_instant_ns(timeline->body, RATE_HZ) / 1000000,
                          .play_ms = passo_instant_ns(played, RATE_HZ) / 1000000,
                          .rest_ms = passo_instant_ns(rest, RATE_HZ) / 1000000};
    for (size_t i = 0; i < timeline->events; i++)
        times.counts +=
            timeline->event[i].bar == 0 && (timeline->event[i].kind == PASSO_EVENT_CLICK ||
                                            timeline->event[i].kind == PASSO_EVENT_SILENT_CLICK);
    free(timeline);
    return times;
}

static void print_head(const struct plan *plan)
{
    const struct passo_passage *passage = &plan->setup.passage;
    char bars[64];
    char meter[64];
    char from[PASSO_NAME_MAX + 24];
    char to[PASSO_NAME_MAX + 24];
    if (passage->title[0])
        printf("%s%s%s\n", passage->title, passage->piece[0] ? " · " : "", passage->piece);
    passo_words_bars(passage, &passage->loop[0], bars, sizeof bars);
    printf("%s %s in %s, from %s to %s in %u rungs.\n", strchr(bars, '-') ? "Bars" : "Bar", bars,
           passo_meter_write(&passage->meter, meter, sizeof meter),
           passo_tempo_write(plan->state.ladder.rung_mbpm[0], passage->beat, from, sizeof from),
           passo_tempo_write(plan->state.ladder.rule.target_mbpm, passage->beat, to, sizeof to),
           plan->state.ladder.rungs);
}

static void print_rungs(const struct plan *plan)
{
    const struct passo_ladder *ladder = &plan->state.ladder;
    const struct passo_loop *loop =
        &plan->setup.passage.loop[plan->setup.course.stage[0].turn[0].loop];
    char bpm[24];
    printf("\n rung    tempo  of target  count-in           played     rest\n");
    for (int rung = 0; rung < ladder->rungs; rung++) {
        int32_t mbpm = ladder->rung_mbpm[rung];
        struct times times = times_of(plan, loop, mbpm);
        printf("%5d %8s     %3d %%   %2zu in %5.1f s  %8.1f s %6.1f s\n", rung + 1,
               passo_bpm_write(mbpm, bpm, sizeof bpm),
               (int)((int64_t)mbpm * 100 / ladder->rule.target_mbpm), times.counts,
               (double)times.count_in_ms / 1000, (double)times.play_ms / 1000,
               (double)times.rest_ms / 1000);
    }
}

static void print_turns(const struct plan *plan)
{
    static const char *const when[PASSO_TURN_COUNT] = {
        [PASSO_TURN_EVERY_RUNG] = "at every rung, one after the other",
        [PASSO_TURN_EVERY_PASS] = "changing with every pass",
        [PASSO_TURN_WHOLE_CLIMB] = "each climbs the whole ladder, then the next",
    };
    char what[PASSO_WORDS_BYTES];
    if (plan->setup.course.stage[0].turns > 1)
        printf("\nTurns, %s:\n", when[plan->state.ladder.rule.turn]);
    else
        printf("\nPlayed:\n");
    for (size_t i = 0; i < plan->setup.course.stage[0].turns; i++) {
        const struct passo_turn *turn = &plan->setup.course.stage[0].turn[i];
        struct passo_plan played = {
            .part = PASSO_PART_CLIMB, .loop = turn->loop, .variant = turn->variant};
        printf("  %s\n", passo_words_what(&plan->setup.passage, &played, what, sizeof what));
    }
}

/* The shortest way: every pass clean. */
static void print_shortest(const struct plan *plan)
{
    const struct passo_course *course = &plan->setup.course;
    struct passo_course_state state;
    int passes = 0;
    int64_t total_ms = 0;
    int64_t played_ms = 0;
    passo_course_begin(course, &state);
    for (;;) {
        struct passo_plan next = passo_course_next(course, &state);
        if (next.part == PASSO_PART_DONE || passes == PASSES_MAX)
            break;
        struct times times =
            times_of(plan, passo_plan_loop(&plan->setup.passage, &next), next.mbpm);
        total_ms += times.count_in_ms + times.play_ms;
        struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                           .mark = PASSO_MARK_CLEAN,
                                           .part = next.part,
                                           .rung = next.rung,
                                           .turn = next.turn,
                                           .stage = next.stage,
                                           .elapsed_ms = total_ms};
        passo_course_apply(course, &state, &event);
        total_ms += times.rest_ms;
        played_ms += times.play_ms;
        passes++;
    }
    printf("\nIf every pass were clean: %d passes, %d min %02d s, of which %d min %02d s are "
           "played.\n",
           passes, (int)(total_ms / 60000), (int)(total_ms / 1000 % 60), (int)(played_ms / 60000),
           (int)(played_ms / 1000 % 60));
    if (state.now.outcome != PASSO_OUTCOME_WON)
        printf("Even so the target would not be reached: %s comes first.\n",
               state.now.outcome == PASSO_OUTCOME_TIME ? "the time" : "a stop");
}

enum passo_exit passo_command_plan(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    struct plan *plan = passo_xcalloc(1, sizeof *plan);
    char words[PASSO_WORDS_BYTES] = "";
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        ended = PASSO_EXIT_USAGE;
        passo_setup_resolve(&options.lines, options.faults.faults == 0, &plan->setup,
                            &options.faults);
        const struct passo_after after = {
            .log = options.after, .player = "", .today = passo_today()};
        if (after.log && !options.faults.faults)
            passo_after_read(&after, &plan->setup, words, sizeof words, &options.faults);
        if (!passo_faults_told(&options.faults)) {
            passo_course_begin(&plan->setup.course, &plan->state);
            print_head(plan);
            if (words[0])
                printf("%s\n", words);
            print_rungs(plan);
            print_turns(plan);
            print_shortest(plan);
            const char *advice = passo_ladder_advice(&plan->state.ladder);
            if (advice)
                printf("\n%s\n", advice);
            ended = PASSO_EXIT_DONE;
        }
    }
    passo_options_deinit(&options);
    free(plan);
    return ended;
}
