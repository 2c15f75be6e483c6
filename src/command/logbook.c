/* The one place that knows where the player's own log lies. */
#include "command/logbook.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>
#include "store/beside.h"

static bool own_path(char out[PASSO_PATH_BYTES])
{
    const char *data = getenv("XDG_DATA_HOME");
    const char *home = getenv("HOME");
    if (data && data[0] == '/')
        return snprintf(out, PASSO_PATH_BYTES, "%s/passo/log.sqlite", data) < PASSO_PATH_BYTES;
    if (home && home[0] == '/')
        return snprintf(out, PASSO_PATH_BYTES, "%s/.local/share/passo/log.sqlite", home) <
               PASSO_PATH_BYTES;
    return false;
}

bool passo_logbook_open(const struct passo_options *options, enum passo_log_use use,
                        struct passo_log **out_log, enum passo_exit *out_exit)
{
    char path[PASSO_PATH_BYTES];
    char fault[PASSO_PATH_BYTES + 256];
    *out_log = NULL;
    if (!options->log && !own_path(path)) {
        passo_tell("there is no home folder for the log; name a file with --log");
        *out_exit = PASSO_EXIT_USAGE;
        return false;
    }
    if (options->log && use == PASSO_LOG_LOOK && access(options->log, F_OK) != 0) {
        snprintf(fault, sizeof fault, "--log %s: there is no such file", options->log);
        passo_tell(fault);
        *out_exit = PASSO_EXIT_USAGE;
        return false;
    }
    enum passo_error error =
        passo_log_open(options->log ? options->log : path, use, out_log, fault, sizeof fault);
    if (error == PASSO_OK)
        return true;
    passo_tell(fault);
    *out_exit = error == PASSO_ERR_FILE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
    return false;
}

bool passo_logbook_is(const struct passo_options *options, const char *path)
{
    char own[PASSO_PATH_BYTES];
    const char *log_path = options->log ? options->log : own_path(own) ? own : NULL;
    return log_path && passo_same_file(log_path, path);
}
