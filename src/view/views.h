/* The two views of the program, and its bar of progress. Thread: the main thread. */
#ifndef PASSO_VIEW_VIEWS_H
#define PASSO_VIEW_VIEWS_H

#include <passo/error.h>
#include <stdio.h>
#include "session/view.h"

/* The full screen (ncursesw). PASSO_ERR_DEVICE, with one sentence, when the terminal cannot do it
 * (TERM unset or unknown, no terminal). The terminal is given back by close, by exit and on a
 * fatal signal. */
PASSO_MUST_CHECK enum passo_error passo_screen_open(struct passo_view **out_view, char *out_fault,
                                                    size_t fault_bytes);

/* One line an event to `out`, flushed each; keys come from fd `keys` (-1: none), where a line's
 * or a raw terminal's characters are commands as on the screen. For screen readers, logs, pipes. */
struct passo_view *passo_plain_open(FILE *out, int keys);

/* How far a long work has come, as one line that is written over: "[=====>    ]  42 %". Not a view:
 * nothing is played and no key is read. */
struct passo_progress;
/* NULL where `to` is no terminal, or one that cannot write over a line: then nothing is shown. `to`
 * is borrowed. */
struct passo_progress *passo_progress_open(FILE *to);
/* Written only when what is seen changes. NULL is fine. done: 0 to whole; whole: above 0. */
void passo_progress_show(struct passo_progress *progress, int64_t done, int64_t whole);
/* Takes the line away and frees. NULL is fine. */
void passo_progress_close(struct passo_progress *progress);
/* The line itself, at most so many columns wide (from 8); of plain letters and signs. Returns out.
 */
const char *passo_progress_line(int64_t done, int64_t whole, int columns, char *out, size_t bytes);

/* Gives the terminal back, if a view has it; idempotent, async-signal-safe. Thread: any. */
void passo_views_give_back(void);

/* One line of help about a key: "Space" "clean". The table that the screen's footer, its help and
 * `passo climb --help` show. */
struct passo_key_help {
    enum passo_command command;
    const char *keys;  /* "Space, Enter, Right, Page Down" */
    const char *words; /* "clean" */
};
const struct passo_key_help *passo_key_table(size_t *out_count);

#endif
