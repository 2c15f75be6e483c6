/* Where the log is, and opening it for a command. Thread: the main thread. */
#ifndef PASSO_COMMAND_LOGBOOK_H
#define PASSO_COMMAND_LOGBOOK_H

#include "command/options.h"
#include "store/log.h"

/* Opens the log that the options name, or the player's own in $XDG_DATA_HOME/passo/log.sqlite. A
 * log that was named and is to be read must be there. False: the fault is told, and *out_exit says
 * how to end. Close with passo_log_close(). */
bool passo_logbook_open(const struct passo_options *options, enum passo_log_use use,
                        struct passo_log **out_log, enum passo_exit *out_exit);
/* Whether a file to be written is the log that the options name, or the player's own, under any
 * name that leads to it. */
bool passo_logbook_is(const struct passo_options *options, const char *path);

#endif
