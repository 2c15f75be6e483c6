/* `passo pulse`: a steady click. */
#include <stdio.h>
#include "command/stage.h"

enum { TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_RUN | PASSO_TAKES_TEMPO };

enum passo_exit passo_command_pulse(const struct passo_program_command *self, int argc,
                                    char **argv)
{
    struct passo_options options;
    struct passo_stage stage;
    char fault[512];
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        passo_lines_add_option(&options.lines, "target", options.tempo ? options.tempo : "80",
                               &options.faults);
        ended = passo_stage_open(&stage, &options);
        if (ended == PASSO_EXIT_DONE) {
            enum passo_error error =
                passo_pulse_run(&stage.run, options.limit_ms, fault, sizeof fault);
            passo_stage_close(&stage, "");
            if (error != PASSO_OK) {
                fprintf(stderr, "passo: %s\n", fault);
                ended = error == PASSO_ERR_DEVICE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
            }
        }
    }
    passo_options_deinit(&options);
    return ended;
}
