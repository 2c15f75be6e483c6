/* What `passo add` and its questions share. Thread: the main thread. */
#ifndef PASSO_COMMAND_ADD_H
#define PASSO_COMMAND_ADD_H

#include "command/options.h"

/* The name to file under that a text, or a path, gives; false, with a fault, if it gives none. */
bool add_name(const char *text, bool is_path, char out[PASSO_PATH_BYTES],
              struct passo_faults *faults);
/* Tells how a filing went: the fault, or where the passage is and what to type next. */
enum passo_exit add_filed(enum passo_error error, const char *name, const char *path,
                          const char *fault);
/* `passo add --new NAME`: makes the passage from options and, on a terminal, questions; files it.
 */
enum passo_exit add_new(struct passo_options *options);

#endif
