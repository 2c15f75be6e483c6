/* Notes over several lines of a file: a later line goes on where the one before ended, and a long
 * text of notes is written as several. Inside src/text/ only. Thread: any but the audio thread. */
#ifndef PASSO_TEXT_NOTES_LINES_H
#define PASSO_TEXT_NOTES_LINES_H

#include "score/score.h"
#include "text/setup.h"

/* Joins `line` behind `before`, with a blank between, if both say `notes` in one section. False: it
 * is no such line, or there are too many. */
bool notes_lines_join(struct passo_line *before, const struct passo_line *line);
/* A reader's fault ("bar 3, column 17: ...") in notes that were joined, as one of the line in which
 * its column is. */
void notes_lines_fault(struct passo_faults *faults, const struct passo_line *line,
                       const char *fault);
/* Likewise a fault of the bar of this number, as the score that was read so numbers it. */
void notes_lines_fault_bar(struct passo_faults *faults, const struct passo_line *line,
                           const struct passo_score_ask *ask, int32_t number, const char *fault);
/* How many bytes of the notes stand on one line of at most so many bytes: up to behind a bar line,
 * all if there is no place to break. */
size_t notes_lines_break(const char *notes, size_t most);

#endif
