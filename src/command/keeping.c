/* A climb in simulated time, and one that a simulated player plays, is no practice: it is kept only
 * in a log that is named. Runs on the main thread. */
#include "command/keeping.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>
#include "command/logbook.h"
#include "session/restore.h"

bool passo_keeping_open(struct passo_keeping *keeping, const struct passo_options *options,
                        enum passo_exit *out_exit)
{
    bool practice = !options->fast && !options->simulate;
    if (!options->keeps || options->no_log || (!options->log && !practice))
        return true;
    return passo_logbook_open(options, PASSO_LOG_KEEP, &keeping->log, out_exit);
}

bool passo_keeping_look_back(struct passo_keeping *keeping, struct passo_options *options,
                             const struct passo_lines *lines, const char *player,
                             struct passo_setup *setup, char *out_words, size_t bytes)
{
    char fault[PASSO_PATH_BYTES + 256];
    enum passo_error error =
        passo_log_cut_read(keeping->log, player, setup->passage.title, setup->passage.piece,
                           &keeping->cut, fault, sizeof fault);
    if (error == PASSO_ERR_SYNTAX)
        passo_fault(&options->faults, "%s", fault);
    else if (error)
        snprintf(out_words, bytes,
                 "The log cannot be read now, so this climb begins at the start.");
    if (error)
        return false;
    keeping->goes_on = !options->afresh && passo_restore_goes_on(&keeping->cut, lines, setup,
                                                                 options->lines.today_yyyymmdd);
    if (keeping->goes_on)
        passo_restore_words(&keeping->cut, out_words, bytes);
    return true;
}

/* Files in folders that may lie on other disks than the log. */
static void name_rescues(struct passo_keeping *keeping)
{
    char here[PASSO_PATH_BYTES];
    const char *folder[PASSO_RESCUES_MAX - 1] = {getcwd(here, sizeof here) ? here : NULL,
                                                 getenv("HOME"),
                                                 getenv("TMPDIR"),
                                                 "/tmp",
                                                 "/var/tmp",
                                                 "/dev/shm"};
    char when[24];
    time_t now = time(NULL);
    struct tm local;
    size_t count = 0;
    localtime_r(&now, &local);
    strftime(when, sizeof when, "%Y%m%dT%H%M%S", &local);
    for (size_t i = 0; i < PASSO_RESCUES_MAX - 1; i++) {
        if (!folder[i] || folder[i][0] != '/')
            continue;
        size_t bytes = strlen(folder[i]) + sizeof when + 48;
        char *path = passo_xcalloc(bytes, 1);
        snprintf(path, bytes, "%s/passo-rescue-%s-%ld.csv", folder[i], when, (long)getpid());
        keeping->rescue[count++] = path;
    }
}

void passo_keeping_ready(struct passo_keeping *keeping, const struct passo_lines *lines,
                         struct passo_climb_setup *run)
{
    if (!keeping->log)
        return;
    keeping->setup_text = lines ? passo_restore_text(lines, run->setup) : NULL;
    if (!keeping->rescue[0])
        name_rescues(keeping);
    run->log = keeping->log;
    run->cut = keeping->goes_on ? &keeping->cut : NULL;
    run->setup_text = keeping->setup_text ? keeping->setup_text : "";
    run->rescue = (const char *const *)keeping->rescue;
}

bool passo_keeping_told(const struct passo_keeping *keeping,
                        const struct passo_climb_result *result)
{
    char words[PASSO_PATH_BYTES + 256];
    if (!result->log_failed)
        return true;
    if (result->rescued)
        snprintf(
            words, sizeof words,
            "the log could not be written: %s. Every pass of this climb is in %s instead; later "
            "take it in by: passo import %s",
            result->log_failed, result->rescued, result->rescued);
    else
        snprintf(words, sizeof words,
                 "the log could not be written: %s; nor could a rescue file, from %s to the last. "
                 "%zu entries of this climb are lost",
                 result->log_failed, keeping->rescue[0] ? keeping->rescue[0] : "none",
                 passo_log_waiting(keeping->log));
    passo_tell(words);
    return false;
}

void passo_keeping_renew(struct passo_keeping *keeping)
{
    passo_log_cut_deinit(&keeping->cut);
    free(keeping->setup_text);
    keeping->cut = (struct passo_log_cut){0};
    keeping->setup_text = NULL;
    keeping->goes_on = false;
}

void passo_keeping_close(struct passo_keeping *keeping)
{
    passo_log_close(keeping->log);
    passo_keeping_renew(keeping);
    for (size_t i = 0; i < PASSO_RESCUES_MAX; i++)
        free(keeping->rescue[i]);
    *keeping = (struct passo_keeping){0};
}
