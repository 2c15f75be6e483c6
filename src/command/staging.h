/* What climb, demo and pulse share: choosing the view and the output, the marker and the CSV, the
 * words of care at the first run. Thread: the main thread. */
#ifndef PASSO_COMMAND_STAGING_H
#define PASSO_COMMAND_STAGING_H

#include "command/keeping.h"
#include "session/climb.h"

struct passo_staging {
    struct passo_climb_setup run;
    struct passo_setup setup;
    struct passo_marker marker;
    bool has_marker;
    int32_t ability_mbpm; /* 0: not said */
    bool first_run;
    const char *csv; /* its path; NULL: none */
    struct passo_keeping keeping;
    char player[PASSO_TEXT_MAX];
    char opening_words[PASSO_WORDS_BYTES];
};

/* Resolves the setup of the options, then opens log, marker, view and CSV, in this order: a CSV is
 * begun only when there is something to come; every fault is told on a plain terminal. A fault is
 * told; returns PASSO_EXIT_DONE or how to end. */
enum passo_exit passo_staging_open(struct passo_staging *staging, struct passo_options *options);
/* Its pieces, for what plays many setups one after the other (a day): first the faults that lie in
 * options together; then, once the log is open (keeping.h) and all is known to be playable, marker,
 * view and CSV. A fault of the latter is told, and the log closed. */
void passo_staging_check(struct passo_options *options);
enum passo_exit passo_staging_raise(struct passo_staging *staging,
                                    const struct passo_options *options);
/* A click set by its name becomes its folder; a folder stays what it is. */
void passo_staging_sounds(struct passo_setup *setup, struct passo_faults *faults);
/* Drawn orders are drawn anew, or by the seed that the player names. */
void passo_staging_seed(struct passo_setup *setup, const struct passo_options *options);
/* The simulated player before a passage of that target; ability 0: not said. */
struct passo_player_model passo_staging_player(int32_t target_mbpm, int32_t ability_mbpm);
/* Closes the view (the terminal is given back), the CSV, the log and the marker; tells the result's
 * words, if the screen hid them, what the log did not take, and the words of care at the first run.
 * result: so many results, the words of the first; none: NULL and 0. False if rows of the CSV or
 * passes for the log were lost, or went elsewhere. */
bool passo_staging_close(struct passo_staging *staging, const struct passo_climb_result *result,
                         size_t results);

#endif
