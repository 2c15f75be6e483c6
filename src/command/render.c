/* `passo render`: a practice track, a pulse, a drone or a routine as a sound file. Runs on the main
 * thread. */
#include <stdlib.h>
#include <string.h>
#include "command/render_parts.h"
#include "sound/wave.h"
#include "text/notation.h"

enum { TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_WORDS | PASSO_TAKES_RENDER };

static bool says(const struct passo_lines *lines, const char *key)
{
    for (size_t i = 0; i < lines->lines; i++)
        if (strcmp(lines->line[i].key, key) == 0)
            return true;
    return false;
}

/* The operands: what is rendered, and where to. */
static void read_words(struct render *render)
{
    struct passo_options *options = render->options;
    struct passo_faults *faults = &options->faults;
    char shown[128];
    const bool in_place = options->pulse || options->routine;
    const size_t most = in_place ? 1 : 2;
    render->out = options->words ? options->word[options->words - 1] : "";
    if (options->words == 0)
        passo_fault(faults, "a file to write is wanted: passo render march march.wav");
    else if (options->words > most)
        passo_fault(faults, "%s: %s", passo_text_clean(options->word[most], shown, sizeof shown),
                    in_place ? "a pulse or a routine stands in place of a passage: only the file "
                               "to write is wanted"
                             : "one passage, and one file to write");
    if (options->words == 2 && !in_place) {
        options->operand = options->word[0];
        passo_operand_read(options, 0);
    }
}

static enum render_what what_of(struct passo_options *options)
{
    if (options->pulse && options->routine)
        passo_fault(&options->faults, "--pulse and --routine exclude each other");
    if (options->routine)
        return RENDER_ROUTINE;
    if (options->pulse)
        return RENDER_PULSE;
    const bool drone = options->words < 2 && says(&options->lines, "drone");
    return drone && !says(&options->lines, "target") ? RENDER_DRONE : RENDER_TRACK;
}

/* What is asked of one kind of file and makes no sense for another. */
static void check(struct render *render)
{
    struct passo_options *options = render->options;
    const char *track = options->passes  ? "passes"
                        : options->only  ? "only"
                        : options->tempo ? "tempo"
                                         : NULL;
    if (render->what == RENDER_TRACK && options->limit_ms)
        passo_fault(&options->faults,
                    "--minutes goes with a pulse, a drone or a routine; a climb is as long as its "
                    "passes");
    if (render->what != RENDER_TRACK && track)
        passo_fault(&options->faults, "--%s goes with a passage", track);
    if (render->what == RENDER_ROUTINE && options->lines.lines)
        passo_fault(&options->faults,
                    "--%s does not go with a routine; its file says how each block is played",
                    options->lines.line[0].key);
}

/* A drone that nobody would hear is a slip. */
static void check_drone(struct render *render)
{
    struct passo_tone tone[PASSO_DRONES_MAX] = {{0}};
    if (passo_intonation_drone(&render->setup->intonation, 0, tone) == 0)
        passo_fault(&render->options->faults,
                    "--drone none: there would be nothing to hear; a note "
                    "does, as \"B-flat 2\", or root with --key");
    else if ((double)tone[0].hz > PASSO_WAVE_TOP_SHARE * render->rate_hz)
        passo_fault(&render->options->faults,
                    "--drone: %.0f Hz is too high for %u frames a second (--rate)",
                    (double)tone[0].hz, (unsigned)render->rate_hz);
}

/* A pulse's tempo stands where a climb has its target; a drone has none that is heard. */
static bool steady_ready(struct render *render)
{
    struct passo_options *options = render->options;
    struct passo_ratio beat;
    char shown[64];
    int32_t mbpm;
    const char *tempo = render->what == RENDER_PULSE ? options->pulse : "60";
    if (passo_tempo_read(tempo, &mbpm, &beat) != PASSO_OK)
        passo_fault(&options->faults,
                    "--pulse %s: a tempo is 5 to 1000 beats a minute, as 96 or \"dotted quarter = "
                    "63.7\"",
                    passo_text_clean(tempo, shown, sizeof shown));
    else
        passo_lines_add_option(&options->lines, "target", tempo, &options->faults);
    passo_setup_resolve(&options->lines, false, render->setup, &options->faults);
    passo_staging_sounds(render->setup, &options->faults);
    if (render->what == RENDER_DRONE && options->faults.faults == 0)
        check_drone(render);
    return options->faults.faults == 0;
}

static bool ready(struct render *render)
{
    switch (render->what) {
    case RENDER_TRACK:
        return render_track_ready(render);
    case RENDER_ROUTINE:
        return render_routine_ready(render);
    case RENDER_PULSE:
    case RENDER_DRONE:
        break;
    }
    return steady_ready(render);
}

enum passo_exit passo_command_render(const struct passo_program_command *self, int argc,
                                     char **argv)
{
    struct passo_options options;
    struct render render = {.options = &options};
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        render.setup = passo_xcalloc(1, sizeof *render.setup);
        render.what = what_of(&options);
        read_words(&render);
        check(&render);
        if (options.words)
            render_ask(&render);
        /* The faults of a passage are told together with these; a routine is not even looked for.
         */
        const bool all_well = options.faults.faults == 0 || render.what != RENDER_ROUTINE;
        ended = PASSO_EXIT_USAGE;
        if (all_well && ready(&render) && !options.faults.faults)
            ended = render_write(&render);
        passo_faults_told(&options.faults);
        render_routine_free(&render);
        free(render.sheet.row);
        free(render.marks);
        free(render.setup);
    }
    passo_options_deinit(&options);
    return ended;
}
