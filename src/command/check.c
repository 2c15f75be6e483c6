/* `passo check`: the last look before a performance. Runs on the main thread. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/check_parts.h"
#include "command/logbook.h"
#include "text/notation.h"

enum {
    TAKES = PASSO_TAKES_RUN | PASSO_TAKES_CLIMB | PASSO_TAKES_LOG | PASSO_TAKES_CHECK |
            PASSO_TAKES_WORDS
};

enum { AT_LEAST = 85, AT_MOST = 100 };

static void read_at(struct check *check)
{
    int share = AT_MOST;
    int end = 0;
    char shown[64];
    const char *at = check->options->at;
    const bool read = !at || (sscanf(at, "%3d %%%n", &share, &end) == 1 && end && !at[end]) ||
                      (sscanf(at, "%3d%n", &share, &end) == 1 && !at[end]);
    check->at_permille = 10 * share;
    if (!read || share < AT_LEAST || share > AT_MOST)
        passo_fault(&check->options->faults,
                    "--at %s: a share of the target from %d %% to %d %% would do",
                    passo_text_clean(at, shown, sizeof shown), AT_LEAST, AT_MOST);
}

static void read_quiet(struct check *check)
{
    static const char *const names[CHECK_QUIET_COUNT] = {
        [CHECK_OCTAVE_DOWN] = "octave down", [CHECK_SOFT] = "soft", [CHECK_FINGERS] = "fingers"};
    char shown[64];
    const char *quiet = check->options->quiet;
    for (int i = CHECK_OCTAVE_DOWN; quiet && i < CHECK_QUIET_COUNT; i++)
        if (!strcmp(quiet, names[i]))
            check->quiet = (enum check_quiet)i;
    if (quiet && check->quiet == CHECK_ALOUD)
        passo_fault(&check->options->faults,
                    "--quiet %s: \"octave down\", soft or fingers would do",
                    passo_text_clean(quiet, shown, sizeof shown));
}

/* PASSO_EXIT_DONE, or how to end: told, or faults are there. */
static enum passo_exit prepare(struct check *check, struct passo_log *log)
{
    struct passo_options *options = check->options;
    spots_read(&check->spots, options->word, options->words, check->today, &options->faults);
    if (options->faults.faults)
        return PASSO_EXIT_USAGE;
    enum passo_error error =
        spots_practice_read(&check->spots, log, check->staging.player, check->today);
    if (error == PASSO_ERR_FILE && options->list)
        return PASSO_EXIT_MACHINE;
    if (error != PASSO_OK && error != PASSO_ERR_FILE) /* told; what is played waits */
        return PASSO_EXIT_USAGE;
    if (check->spots.count == 0) {
        passo_fault(&options->faults,
                    "there is no passage to look at: name some, or file them with passo add");
        return PASSO_EXIT_USAGE;
    }
    check_order(check);
    return PASSO_EXIT_DONE;
}

static enum passo_exit list(struct check *check)
{
    struct passo_log *log = NULL;
    enum passo_exit ended = PASSO_EXIT_DONE;
    if (!check->options->no_log &&
        !passo_logbook_open(check->options, PASSO_LOG_LOOK, &log, &ended))
        return ended;
    ended = prepare(check, log);
    if (ended == PASSO_EXIT_DONE)
        check_list_print(check);
    passo_log_close(log);
    return ended;
}

static enum passo_exit play(struct check *check)
{
    enum passo_exit ended = PASSO_EXIT_DONE;
    struct passo_keeping *keeping = &check->staging.keeping;
    if (!passo_keeping_open(keeping, check->options, &ended))
        return ended;
    ended = prepare(check, keeping->log);
    if (ended == PASSO_EXIT_DONE)
        return check_run(check);
    passo_keeping_close(keeping);
    return ended;
}

enum passo_exit passo_command_check(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    struct check check = {.options = &options};
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    options.keeps = true;
    passo_staging_check(&options);
    read_at(&check);
    read_quiet(&check);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        check.today = options.lines.today_yyyymmdd;
        check.setup = passo_xcalloc(1, sizeof *check.setup);
        passo_text_clean(options.player, check.staging.player, sizeof check.staging.player);
        ended = options.list ? list(&check) : play(&check);
        passo_faults_told(&options.faults);
        free(check.item);
        free(check.left_out);
        free(check.setup);
        spots_free(&check.spots);
        passo_lines_deinit(&check.lines);
    }
    passo_options_deinit(&options);
    return ended;
}
