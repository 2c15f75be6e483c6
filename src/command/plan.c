/* `passo plan`: what a climb would be, in figures and as a forecast; no sound. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/after.h"
#include "command/logbook.h"
#include "command/options.h"
#include "command/plan_curve.h"
#include "command/plan_ladder.h"
#include "command/plan_say.h"
#include "session/words.h"
#include "text/notation.h"

enum {
    TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_FILE | PASSO_TAKES_AFTER | PASSO_TAKES_PLAN |
            PASSO_TAKES_LOG
};

struct plan {
    struct passo_setup setup;
    struct passo_setup other;        /* of --against */
    struct passo_past_log log;       /* of --after; else empty */
    char opening[PASSO_WORDS_BYTES]; /* ... and what it says of today */
    struct plan_stages stages;
    struct plan_curve curve;
    struct plan_outlook outlook;
    struct plan_outlook other_outlook;
};

/* --- the same passage under another preset --- */

/* What a preset stands for is the ladder; where a climb starts belongs to the passage. */
static bool of_ladder(const struct passo_line *line)
{
    if (line->rank == PASSO_RANK_PRESET)
        return false;
    if (passo_line_of_stage(line))
        return true;
    return strcmp(line->section, "ladder") == 0 && strcmp(line->key, "start") != 0;
}

static bool is_chain(const struct passo_line *line)
{
    return strcmp(line->section, "loops") == 0 && strcmp(line->key, "chain") == 0;
}

static bool is_own_chain(const struct passo_line *line)
{
    return line->rank != PASSO_RANK_PRESET && is_chain(line);
}

static bool preset_has_chain(const struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++) {
        if (lines->line[i].rank == PASSO_RANK_PRESET && is_chain(&lines->line[i]))
            return true;
    }
    return false;
}

/* Reads the command line once more, with the other preset's ladder in place of its own. */
static void resolve_other(const char *preset, int argc, char **argv, struct passo_setup *out_other,
                          struct passo_faults *faults)
{
    struct passo_options options;
    passo_options_read(&options, TAKES, argc, argv);
    passo_lines_drop(&options.lines, of_ladder);
    passo_lines_add_preset(&options.lines, preset, &options.faults);
    if (preset_has_chain(&options.lines))
        passo_lines_drop(&options.lines, is_own_chain);
    passo_setup_resolve(&options.lines, true, out_other, &options.faults);
    for (size_t i = 0; i < options.faults.faults; i++) {
        const char *fault = options.faults.fault[i];
        const size_t origin =
            strncmp(fault, "--preset: ", strlen("--preset: ")) == 0 ? strlen("--preset: ") : 0;
        passo_fault(faults, "--against %s: %s", preset, fault + origin);
    }
    passo_options_deinit(&options);
}

/* --- earlier days --- */

/* From the CSV that is named, else from the log, where a passage without a title is not found. */
static bool looks_back(const struct plan *plan, const struct passo_options *options)
{
    return options->after || (!options->no_log && plan->setup.passage.title[0]);
}

/* False if there is a log that cannot be read. */
static bool open_after(struct plan *plan, struct passo_options *options, enum passo_exit *out_exit)
{
    struct passo_log *log = NULL;
    if (!options->after && !passo_logbook_open(options, PASSO_LOG_LOOK, &log, out_exit))
        return false;
    const struct passo_after after = {.log = options->after,
                                      .record = log,
                                      .player = options->player,
                                      .today = options->lines.today_yyyymmdd};
    passo_after_read(&after, &plan->setup, plan->opening, sizeof plan->opening, &plan->log,
                     &options->faults);
    passo_log_close(log);
    return true;
}

/* The other preset's climb opens by the same days. */
static void open_other(struct plan *plan, const char *preset, struct passo_faults *faults)
{
    struct passo_setup *other = &plan->other;
    char fault[256];
    passo_course_resume(&other->course, &other->passage, plan->log.past, plan->log.pasts,
                        plan->log.missed);
    if (passo_course_check(&other->course, fault, sizeof fault))
        passo_fault(faults, "--against %s: %s", preset, fault);
}

/* --- the forecast --- */

static int32_t highest_target(const struct passo_course *course)
{
    int32_t highest = 0;
    for (size_t i = 0; i < course->stages; i++) {
        if (course->stage[i].rule.target_mbpm > highest)
            highest = course->stage[i].rule.target_mbpm;
    }
    return highest;
}

static void print_forecast(const struct plan *plan, const struct passo_options *options)
{
    const struct plan_view view = {.setup = &plan->setup,
                                   .outlook = &plan->outlook,
                                   .other_setup = options->against ? &plan->other : NULL,
                                   .other = options->against ? &plan->other_outlook : NULL,
                                   .other_name = options->against};
    plan_say("\nWhat to expect, from %u climb%s by chance\n\n", (unsigned)options->runs,
             options->runs == 1 ? "" : "s");
    plan_tell("%s Each pass falls clean or not by chance, at the chance of its tempo. Nobody "
              "learns or tires within the climb, every variant and length is as hard as the "
              "others, and the marks are honest.",
              plan->curve.words);
    plan_say("\n");
    plan_outlook_print(&view);
    plan_chart_print(&plan->setup, &plan->stages, &plan->curve.skill, &plan->outlook);
}

static void forecast(struct plan *plan, const struct passo_options *options)
{
    struct plan_wish wish = {.setup = &plan->setup,
                             .skill = plan->curve.skill,
                             .seed = options->seed,
                             .climbs = (uint32_t)options->runs};
    plan_outlook_make(&wish, &plan->outlook);
    if (options->against) {
        wish.setup = &plan->other;
        plan_outlook_make(&wish, &plan->other_outlook);
    }
    print_forecast(plan, options);
}

/* Everything that may be at fault; true if nothing is. */
static bool prepare(struct plan *plan, struct passo_options *options, int argc, char **argv,
                    enum passo_exit *out_exit)
{
    struct passo_faults *faults = &options->faults;
    passo_setup_resolve(&options->lines, faults->faults == 0, &plan->setup, faults);
    passo_operand_title(options, &plan->setup);
    if (options->clean && faults->faults == 0)
        plan_curve_read(options->clean, plan->setup.passage.beat, &plan->curve, faults);
    bool back = faults->faults == 0 && looks_back(plan, options);
    *out_exit = PASSO_EXIT_USAGE;
    if (back && !open_after(plan, options, out_exit))
        return false;
    if (options->against && faults->faults == 0)
        resolve_other(options->against, argc, argv, &plan->other, faults);
    if (options->against && back && faults->faults == 0)
        open_other(plan, options->against, faults);
    return !passo_faults_told(faults);
}

enum passo_exit passo_command_plan(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    struct plan *plan = passo_xcalloc(1, sizeof *plan);
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        if (prepare(plan, &options, argc, argv, &ended)) {
            plan_stages_play(&plan->setup, &plan->stages);
            if (!options.clean && !plan_curve_fit(&plan->log, &plan->curve))
                plan_curve_assume(plan->stages.ladder[0]->rung_mbpm[0],
                                  highest_target(&plan->setup.course), plan->setup.passage.beat,
                                  &plan->curve);
            plan_stages_print(&plan->setup, plan->opening, &plan->stages);
            forecast(plan, &options);
            plan_stages_deinit(&plan->stages);
            ended = PASSO_EXIT_DONE;
        }
    }
    passo_past_deinit(&plan->log);
    passo_options_deinit(&options);
    free(plan);
    return ended;
}
