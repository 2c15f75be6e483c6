/* `passo today`: the routine, with the passages set in. Runs on the main thread. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "command/logbook.h"
#include "command/today_parts.h"
#include "text/notation.h"

enum {
    TAKES = PASSO_TAKES_RUN | PASSO_TAKES_CLIMB | PASSO_TAKES_LOG | PASSO_TAKES_TODAY |
            PASSO_TAKES_WORDS
};

/* The routine that ships for so many minutes. */
static const char *usual_routine(int64_t ms)
{
    const int64_t minutes = ms / 60000;
    if (minutes > 52)
        return "sixty";
    if (ms == 0 || minutes > 37)
        return "forty-five";
    return minutes > 22 ? "thirty" : "fifteen";
}

/* Named, or that of today's plan, or the player's own of the name `today`, or one that ships. */
static bool find_routine(struct today *today)
{
    char shown[128];
    char *path = today->path;
    const struct passo_options *options = today->options;
    const char *name = options->words ? options->word[0] : NULL;
    if (!name && today->past.begun && !options->afresh && access(today->past.path, R_OK) == 0) {
        snprintf(path, PASSO_PATH_BYTES, "%s", today->past.path);
        return true;
    }
    if (!name && passo_find("routines", "today", path))
        return true;
    if (!name)
        name = usual_routine(options->limit_ms);
    if (strchr(name, '/')) {
        snprintf(path, PASSO_PATH_BYTES, "%s", name);
        return true;
    }
    if (passo_find("routines", name, path))
        return true;
    passo_fault(&today->options->faults,
                "%s: there is no routine of that name; passo list routines shows them, and a path "
                "with a / names a file",
                passo_text_clean(name, shown, sizeof shown));
    return false;
}

static void read_order(struct today *today)
{
    char shown[64];
    const char *order = today->options->order;
    enum passo_order *to = &today->file.routine.order;
    if (today->past.goes_on)
        *to = today->past.order;
    if (!order)
        return;
    if (!strcmp(order, "mixed"))
        *to = PASSO_ORDER_MIXED;
    else if (!strcmp(order, "blocked"))
        *to = PASSO_ORDER_BLOCKED;
    else
        passo_fault(&today->options->faults, "--order %s: mixed or blocked would do",
                    passo_text_clean(order, shown, sizeof shown));
}

/* Going on with the plan that was begun today, if it is the same routine; what options do not say
 * now is as it was said then. */
static void settle_past(struct today *today)
{
    struct today_past *past = &today->past;
    const struct passo_options *options = today->options;
    past->goes_on = past->begun && !options->afresh && strcmp(past->routine, today->file.name) == 0;
    today->only = options->only;
    today->all = options->all;
    if (!past->goes_on)
        return;
    if (!today->only && past->only[0])
        today->only = past->only;
    today->all |= past->all;
}

/* The player's own passages, or those that were named; none at all for "none". */
static void read_passages(struct today *today)
{
    char *only = today->only ? spots_copy(today->only) : NULL;
    const char **name = passo_xcalloc(only ? strlen(only) + 1 : 1, sizeof *name);
    size_t names = 0;
    char *rest = NULL;
    for (char *part = only ? strtok_r(only, ",", &rest) : NULL; part;
         part = strtok_r(NULL, ",", &rest)) {
        part += strspn(part, " ");
        for (size_t end = strlen(part); end > 0 && part[end - 1] == ' ';)
            part[--end] = '\0';
        if (*part)
            name[names++] = part;
    }
    if (only && names == 0)
        passo_fault(&today->options->faults, "--only: names are wanted, or none");
    else if (names != 1 || strcmp(name[0], "none") != 0)
        spots_read(&today->spots, name, names, today->day, &today->options->faults);
    free(name);
    free(only);
}

static enum passo_exit exit_of(enum passo_error error)
{
    return error == PASSO_ERR_FILE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
}

/* Reads everything and makes the plan. PASSO_EXIT_DONE, or how to end: told, or faults are there.
 */
static enum passo_exit prepare(struct today *today, struct passo_log *log)
{
    struct passo_faults *faults = &today->options->faults;
    enum passo_error error = today_past_read(today, log);
    if (error == PASSO_ERR_FILE && !today->options->list)
        log = NULL; /* told; the day is planned without it, and what is played waits */
    else if (error != PASSO_OK)
        return exit_of(error);
    if (!find_routine(today))
        return PASSO_EXIT_USAGE;
    passo_routine_read(today->path, &today->file, faults);
    for (size_t i = 0; i < today->file.routine.blocks; i++)
        if (today->file.block[i].setup)
            passo_staging_sounds(today->file.block[i].setup, faults);
    if (faults->faults)
        return PASSO_EXIT_USAGE;
    settle_past(today);
    read_order(today);
    read_passages(today);
    if (faults->faults)
        return PASSO_EXIT_USAGE;
    error = today_keys_read(today, log);
    if (error == PASSO_OK)
        error = spots_practice_read(&today->spots, log, today->staging.player, today->day);
    if (error != PASSO_OK)
        return exit_of(error);
    return today_plan_make(today) ? PASSO_EXIT_DONE : PASSO_EXIT_USAGE;
}

static bool all_over(const struct today *today)
{
    for (size_t i = 0; i < today->plan.items; i++)
        if (!today->shown[i].over)
            return false;
    return true;
}

/* Only to be shown: nothing is kept, so the log is only read. */
static enum passo_exit list(struct today *today)
{
    struct passo_log *log = NULL;
    enum passo_exit ended = PASSO_EXIT_DONE;
    if (!today->options->no_log &&
        !passo_logbook_open(today->options, PASSO_LOG_LOOK, &log, &ended))
        return ended;
    ended = prepare(today, log);
    if (ended == PASSO_EXIT_DONE)
        today_list_print(today);
    passo_log_close(log);
    return ended;
}

static enum passo_exit play(struct today *today)
{
    enum passo_exit ended = PASSO_EXIT_DONE;
    struct passo_keeping *keeping = &today->staging.keeping;
    if (!passo_keeping_open(keeping, today->options, &ended))
        return ended;
    ended = prepare(today, keeping->log);
    if (ended == PASSO_EXIT_DONE && !all_over(today))
        return today_run(today);
    passo_keeping_close(keeping);
    if (ended == PASSO_EXIT_DONE)
        printf("%s is done for today; --afresh begins it anew.\n", today->file.title);
    return ended;
}

enum passo_exit passo_command_today(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    struct today today = {.options = &options};
    enum passo_exit ended;
    char shown[64];
    passo_options_read(&options, TAKES, argc, argv);
    options.keeps = true;
    passo_staging_check(&options);
    if (options.words > 1)
        passo_fault(&options.faults, "%s: one routine at a time",
                    passo_text_clean(options.word[1], shown, sizeof shown));
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        today.day = options.lines.today_yyyymmdd;
        today.setup = passo_xcalloc(1, sizeof *today.setup);
        passo_text_clean(options.player, today.staging.player, sizeof today.staging.player);
        ended = options.list ? list(&today) : play(&today);
        passo_faults_told(&options.faults);
        today_plan_free(&today);
        spots_free(&today.spots);
        free(today.setup);
        today_past_free(&today.past);
        passo_routine_deinit(&today.file);
        passo_lines_deinit(&today.lines);
        free(today.model);
    }
    passo_options_deinit(&options);
    return ended;
}
