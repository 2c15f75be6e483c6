/* The log of a climb: whether there is one, whether it goes on with a climb that was cut short, and
 * where its passes go if it takes none. Thread: the main thread. */
#ifndef PASSO_COMMAND_KEEPING_H
#define PASSO_COMMAND_KEEPING_H

#include "command/options.h"
#include "session/climb.h"

enum { PASSO_RESCUES_MAX = 8 };

/* Zero-initialize. */
struct passo_keeping {
    struct passo_log *log; /* NULL: none is kept */
    struct passo_log_cut cut;
    bool goes_on; /* with cut */
    char *setup_text;
    char *rescue[PASSO_RESCUES_MAX]; /* NULL behind the last */
};

/* Opens the log, if the climb is one to be kept: practice in real time, or any that names a log.
 * False: the fault is told, and *out_exit says how to end. */
bool passo_keeping_open(struct passo_keeping *keeping, const struct passo_options *options,
                        enum passo_exit *out_exit);
/* Looks for a climb of this setup that was cut short today; if there is one the setup's course is
 * that one's, and out_words say so in one sentence; so they do if the log cannot be read now, for
 * want of room or as it is in use. A damaged log is added to the faults. True if the log can be
 * read. */
bool passo_keeping_look_back(struct passo_keeping *keeping, struct passo_options *options,
                             const struct passo_lines *lines, const char *player,
                             struct passo_setup *setup, char *out_words, size_t bytes);
/* Fills the log's part of what a climb needs. The setup is as it will be played, and as the lines
 * have it; NULL: no other climb goes on with this one. */
void passo_keeping_ready(struct passo_keeping *keeping, const struct passo_lines *lines,
                         struct passo_climb_setup *run);
/* Before another climb in the same log: forgets the last one's. */
void passo_keeping_renew(struct passo_keeping *keeping);
/* Tells what the log did not take, after the climb. True if it took everything. */
bool passo_keeping_told(const struct passo_keeping *keeping,
                        const struct passo_climb_result *result);
void passo_keeping_close(struct passo_keeping *keeping);

#endif
