/* Going on with a climb that was cut short (the laptop went flat, the window was closed): what the
 * log must know of a climb so that it can be played on, and whether it can. Thread: the main
 * thread. */
#ifndef PASSO_SESSION_RESTORE_H
#define PASSO_SESSION_RESTORE_H

#include "store/log.h"
#include "text/setup.h"

/* The setup as a text for the log: first what was drawn by chance and what earlier days gave, as
 * comments, then the passage file that holds. Free it. NULL if memory for it is out. */
char *passo_restore_text(const struct passo_lines *lines, const struct passo_setup *setup);
/* Whether a climb that was cut short is one of this setup, began `today`, and has something left to
 * play; then readies the steps for replay, and sets in the setup's course what was drawn, and what
 * earlier days gave, as it was. */
bool passo_restore_goes_on(struct passo_log_cut *cut, const struct passo_lines *lines,
                           struct passo_setup *setup, int32_t today);
/* "Going on where the climb of 19:30 broke off: 7 passes." Returns out. */
const char *passo_restore_words(const struct passo_log_cut *cut, char *out, size_t bytes);

#endif
