/* `passo hear`: the notes of a passage, played by the machine. It is a block of the conductor, with
 * one turn: nobody is asked how it went, and nothing is kept. Runs on the main thread. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/hear_parts.h"
#include "command/turn.h"
#include "text/notation.h"
#include "text/routine.h"

enum {
    TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_RUN | PASSO_TAKES_FILE | PASSO_TAKES_HEAR,
    USUAL_ROUNDS = 4,
    BETWEEN_MS = 2000,
    OCTAVES_MOST = 4
};

/* The loop and the variant that were named, moved by octaves, as the only turn. */
static void set_turn(struct passo_setup *setup, struct turn_named named, int octaves)
{
    struct passo_passage *passage = &setup->passage;
    struct passo_variant way = passage->variant[named.variant > 0 ? named.variant : 0];
    const int octave = way.octave + octaves;
    way.octave = (int8_t)(octave < -OCTAVES_MOST  ? -OCTAVES_MOST
                          : octave > OCTAVES_MOST ? OCTAVES_MOST
                                                  : octave);
    const bool written = named.variant <= 0 && octaves == 0;
    /* "As written" is not said of what is moved by an octave. */
    if (octaves && named.variant <= 0)
        way.caption[0] = '\0';
    if (octaves)
        snprintf(way.name, sizeof way.name, "%d octave%s %s", abs(octaves),
                 abs(octaves) == 1 ? "" : "s", octaves < 0 ? "down" : "up");
    passage->variants = written ? 1 : 2;
    passage->variant[1] = way;
    passo_course_single(&setup->course, passage, &setup->rule);
    setup->course.stage[0].turns = 1;
    setup->course.stage[0].turn[0] =
        (struct passo_turn){(uint8_t)(named.loop > 0 ? named.loop : 0), written ? 0 : 1};
}

static void set_rule(struct passo_setup *setup, int32_t mbpm, uint16_t passes)
{
    struct passo_rule rule = passo_rule_default();
    rule.climbs = PASSO_CLIMBS_BLOCK;
    rule.target_mbpm = mbpm;
    rule.start_mbpm = mbpm;
    rule.stop_passes = passes;
    rule.stop_ms = 0;
    rule.rest_permille = 0;
    rule.rest_fixed_ms = BETWEEN_MS;
    setup->rule = rule;
}

static void tell_no_notes(struct hear *hear)
{
    char shown[PASSO_TEXT_MAX];
    const char *title = hear->setup->passage.title;
    passo_fault(&hear->options->faults,
                "%s has no notes to hear; write them into its file as notes = ..., in ABC, or name "
                "a file with notes-from = march.mid (or .musicxml)",
                title[0] ? passo_text_clean(title, shown, sizeof shown) : "the passage");
}

/* The keys through which it is heard: in the passage's own mode. */
static void set_keys(struct hear *hear)
{
    struct passo_options *options = hear->options;
    struct passo_faults *faults = &options->faults;
    const struct passo_intonation *intonation = &hear->setup->intonation;
    const enum passo_mode mode = intonation->key.mode;
    char other[64];
    char shown[64];
    char own[PASSO_NAME_MAX];
    if (!hear_keys_read(options->keys, mode, &hear->cycle))
        passo_fault(faults,
                    "--keys %s: fourths, fifths, \"chromatic up\" or \"chromatic down\" would do, "
                    "or a list: \"F, B-flat\"",
                    passo_text_clean(options->keys, shown, sizeof shown));
    else if (!intonation->keyed)
        passo_fault(faults, "--keys needs to know in which key the passage stands: say it, as in "
                            "--key \"B-flat major\"");
    else if (hear_keys_other(options->keys, mode, other, sizeof other))
        passo_fault(faults,
                    "--keys %s: the passage is in %s, and stays %s in every key: \"F, B-flat\" "
                    "would do",
                    passo_text_clean(other, shown, sizeof shown),
                    passo_key_write(intonation->key, own, sizeof own),
                    mode == PASSO_MODE_MINOR ? "minor" : "major");
}

/* Makes the setup what is heard. Faults are added. */
static void settle(struct hear *hear)
{
    struct passo_options *options = hear->options;
    struct passo_setup *setup = hear->setup;
    struct passo_faults *faults = &options->faults;
    const struct turn_named named = turn_find(&setup->passage, options->only, faults);
    int32_t mbpm = setup->rule.target_mbpm;
    if (options->tempo)
        mbpm = turn_tempo(options->tempo, setup, faults);
    if (setup->notes.notes == 0)
        tell_no_notes(hear);
    if (options->keys)
        set_keys(hear);
    if (faults->faults)
        return;
    const uint32_t usual = options->alternate ? USUAL_ROUNDS : 1;
    set_rule(setup, mbpm, (uint16_t)(options->times ? options->times : usual));
    set_turn(setup, named, options->octave);
    setup->intonation.hear = options->alternate ? PASSO_HEAR_EVERY_PASS : PASSO_HEAR_OFF;
    setup->intonation.starts &= options->alternate;
}

static bool prepare(struct hear *hear)
{
    struct passo_options *options = hear->options;
    struct passo_faults *faults = &options->faults;
    char fault[512];
    const bool well = faults->faults == 0;
    if (well && !options->operand && options->lines.lines == 0)
        passo_fault(faults, "a passage is wanted: passo hear march");
    passo_setup_resolve(&options->lines, faults->faults == 0, hear->setup, faults);
    passo_operand_title(options, hear->setup);
    passo_staging_sounds(hear->setup, faults);
    if (!faults->faults)
        settle(hear);
    if (!faults->faults &&
        passo_course_check(&hear->setup->course, fault, sizeof fault) != PASSO_OK)
        passo_fault(faults, "%s", fault);
    return !passo_faults_told(faults);
}

static enum passo_exit run(struct hear *hear)
{
    char fault[512];
    struct passo_climb_result result;
    enum passo_error error;
    struct passo_staging *staging = &hear->staging;
    const enum passo_exit ended = passo_staging_raise(staging, hear->options);
    if (ended != PASSO_EXIT_DONE)
        return ended;
    staging->run.setup = hear->setup;
    staging->run.unrecorded = true;
    staging->run.plays = !hear->options->alternate;
    if (hear->cycle.kind != PASSO_CYCLE_NONE)
        error = hear_keys_run(hear, fault, sizeof fault);
    else
        error = passo_climb_run(&staging->run, &result, fault, sizeof fault);
    passo_staging_close(staging, NULL, 0);
    if (error == PASSO_OK)
        return PASSO_EXIT_DONE;
    passo_tell(fault);
    return error == PASSO_ERR_DEVICE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
}

enum passo_exit passo_command_hear(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    struct hear hear = {.options = &options};
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        hear.setup = passo_xcalloc(1, sizeof *hear.setup);
        ended = prepare(&hear) ? run(&hear) : PASSO_EXIT_USAGE;
        free(hear.setup);
    }
    passo_options_deinit(&options);
    return ended;
}
