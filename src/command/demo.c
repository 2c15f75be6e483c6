/* `passo demo`: a climb of a shipped passage with a simulated player. Any key takes over; where
 * nobody watches, time is simulated too. */
#include <stdio.h>
#include <unistd.h>
#include "command/staging.h"

enum { TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_RUN | PASSO_TAKES_CLIMB };

static const char passage[] = "marrowby-march";

static enum passo_exit play(struct passo_options *options)
{
    struct passo_staging staging;
    struct passo_climb_result result;
    char fault[512];
    options->simulate = !options->marks;
    options->fast |= !isatty(STDOUT_FILENO);
    enum passo_exit ended = passo_staging_open(&staging, options);
    if (ended != PASSO_EXIT_DONE)
        return ended;
    staging.run.hand_takes_over = true;
    enum passo_error error = passo_climb_run(&staging.run, &result, fault, sizeof fault);
    bool kept = passo_staging_close(&staging, &result, error == PASSO_OK);
    if (error != PASSO_OK)
        passo_tell(fault);
    return error == PASSO_OK && kept ? PASSO_EXIT_DONE : PASSO_EXIT_MACHINE;
}

enum passo_exit passo_command_demo(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    char path[PASSO_PATH_BYTES];
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        if (passo_find("passages", passage, path))
            passo_lines_add_file(&options.lines, path, &options.faults);
        else
            passo_fault(&options.faults,
                        "the passage of the demo, %s, was not found: is passo "
                        "installed whole?",
                        passage);
        ended = play(&options);
    }
    passo_options_deinit(&options);
    return ended;
}
