/* What holds although no line says it. Inside src/text/ only. Thread: any but the audio thread. */
#ifndef PASSO_TEXT_FOUND_H
#define PASSO_TEXT_FOUND_H

#include "text/settings.h"

/* The line that names a file with the notes, if it is what counts; else NULL. */
const struct passo_line *found_file_line(const struct passo_lines *lines);
/* Whether they can be said in place of that line. */
bool found_in_place(const struct passo_lines *lines, const struct passo_setup *setup);
/* Whether a line of this setting is not to be written: it says where the notes are, of which bar or
 * part, and they are said in another way. */
bool found_yields(const struct passo_lines *lines, const struct passo_setup *setup,
                  const struct passo_setting *setting);

#endif
