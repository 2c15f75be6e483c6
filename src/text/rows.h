/* Rows of a passage file as the writers lay them out: `key = value   ; help`, aligned and folded.
 * Inside src/text/ only. Thread: any but the audio thread. */
#ifndef PASSO_TEXT_ROWS_H
#define PASSO_TEXT_ROWS_H

#include "text/settings.h"

#include <stdio.h>

struct rows {
    FILE *to;
    int width;  /* columns of the widest key of the section */
    bool begun; /* something stands above */
};

/* The head of a section of settings, set off from what stands above; its rows are aligned by the
 * longest key. */
void rows_section(struct rows *rows, const char *section);
/* The row that reads back as this key and value. */
void rows_put(struct rows *rows, const char *key, const char *value, const char *help);
/* Likewise of a setting, with its help; notes that are long stand on several lines, broken behind
 * bar lines. */
void rows_put_setting(struct rows *rows, const struct passo_setting *setting, const char *value);
/* The row of a setting that nothing is said of, as a comment: `#piece = TEXT`. */
void rows_put_unsaid(struct rows *rows, const struct passo_setting *setting);
/* A comment: the words behind "# " and `lead`, folded, later lines under the first one's words. */
void rows_note(struct rows *rows, const char *lead, const char *words);

/* The line of a setting that counts, or NULL. */
const struct passo_line *rows_line_of(const struct passo_lines *lines,
                                      const struct passo_setting *setting);
/* A section of lines that the player names, in their order: of a name that comes again the last
 * counts, in the place of the first. Only lines of this rank or a higher one; nothing, not even the
 * head, if there are none. */
void rows_named_section(struct rows *rows, const struct passo_lines *lines, const char *section,
                        enum passo_rank least);
/* Likewise every section that no table has, [stage NAME], each where its first line stands. */
void rows_other_sections(struct rows *rows, const struct passo_lines *lines, enum passo_rank least);

#endif
