/* `passo climb`: the main job. */
#include <stdio.h>
#include "command/staging.h"

enum {
    TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_RUN | PASSO_TAKES_CLIMB | PASSO_TAKES_FILE |
            PASSO_TAKES_AFTER | PASSO_TAKES_LOG | PASSO_TAKES_PRACTICE
};

enum passo_exit passo_command_climb(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    struct passo_staging staging;
    struct passo_climb_result result;
    char fault[512];
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    options.keeps = true;
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        ended = passo_staging_open(&staging, &options);
        if (ended == PASSO_EXIT_DONE) {
            enum passo_error error = passo_climb_run(&staging.run, &result, fault, sizeof fault);
            bool kept = passo_staging_close(&staging, &result, error == PASSO_OK);
            if (error != PASSO_OK)
                passo_tell(fault);
            if (error == PASSO_OK)
                ended = result.outcome == PASSO_OUTCOME_WON ? PASSO_EXIT_DONE : PASSO_EXIT_UNWON;
            else
                ended = error == PASSO_ERR_DEVICE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
            if (!kept)
                ended = PASSO_EXIT_MACHINE;
        }
    }
    passo_options_deinit(&options);
    return ended;
}
