/* `passo pulse`: a steady click. */
#include <stdio.h>
#include <string.h>
#include "command/staging.h"
#include "text/notation.h"

#define USUAL_TEMPO "80"

enum { TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_RUN | PASSO_TAKES_TEMPO };

/* The pulse's tempo stands where a climb has its target; --target will do as well. */
static void add_tempo(struct passo_options *options)
{
    const char *tempo = options->tempo ? options->tempo : USUAL_TEMPO;
    for (size_t i = 0; i < options->lines.lines && !options->tempo; i++) {
        if (strcmp(options->lines.line[i].key, "target") == 0)
            return;
    }
    struct passo_ratio beat;
    char shown[64];
    int32_t mbpm;
    if (passo_tempo_read(tempo, &mbpm, &beat) != PASSO_OK) {
        passo_fault(&options->faults,
                    "--tempo %s: a tempo is 5 to 1000 beats a minute, as 96 or "
                    "\"dotted quarter = 63.7\"",
                    passo_text_clean(tempo, shown, sizeof shown));
        tempo = USUAL_TEMPO;
    }
    passo_lines_add_option(&options->lines, "target", tempo, &options->faults);
}

enum passo_exit passo_command_pulse(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    struct passo_staging staging;
    char fault[512];
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        add_tempo(&options);
        ended = passo_staging_open(&staging, &options);
        if (ended == PASSO_EXIT_DONE) {
            enum passo_error error =
                passo_pulse_run(&staging.run, options.limit_ms, fault, sizeof fault);
            passo_staging_close(&staging, NULL, 0);
            if (error != PASSO_OK) {
                passo_tell(fault);
                ended = error == PASSO_ERR_DEVICE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
            }
        }
    }
    passo_options_deinit(&options);
    return ended;
}
