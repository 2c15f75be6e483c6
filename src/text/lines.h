/* Lines and faults as the room's files share them. Inside src/text/ only. */
#ifndef PASSO_TEXT_LINES_H
#define PASSO_TEXT_LINES_H

#include "text/setup.h"

/* Adds a copy of the line behind all others of its rank or a lower one. */
void lines_insert(struct passo_lines *lines, const struct passo_line *line);
/* Adds a copy of the line if its section and key are known, else a fault. */
void lines_accept(struct passo_lines *lines, const struct passo_line *line,
                  struct passo_faults *faults);
/* Puts the lines of preset `name` in place of another's, unless a higher rank named that. */
void lines_set_preset(struct passo_lines *lines, const char *name, const char *origin,
                      enum passo_rank rank, struct passo_faults *faults);
/* Reads the lines of a file; a preset (rank PRESET) may hold only [variants], [ladder], [pulse]. */
void lines_read_file(struct passo_lines *lines, const char *path, enum passo_rank rank,
                     struct passo_faults *faults);
/* A line of a file on its way to what takes it. */
struct page_line {
    const char *section; /* as written, without the blanks around it; "" before the first */
    const char *key;
    const char *value;
    const char *path; /* safe to show */
    int line;
    int section_line; /* where the section began; 0: none has */
};
/* A kind of file: what its sections are, and who takes its lines. */
struct page_kind {
    const char *sections; /* for the fault: "[passage], [shape] ... or [stage NAME]" */
    /* A section begins; NULL: nobody asks. Key and value are "". */
    void (*begin)(void *user, const struct page_line *line);
    /* One key = value. False: the rest is not read. */
    bool (*take)(void *user, const struct page_line *line);
};
/* Reads a file line by line. What is no text, no section or no line is a fault and is not handed
 * on. */
void page_read(const char *path, const struct page_kind *kind, void *user,
               struct passo_faults *faults);
/* Most lines that a setup is resolved from: more is no passage file, and would take long. */
#define LINES_MAX 4096
/* Most bytes of a section's name: inih cuts at 49. */
#define SECTION_BYTES_MAX 39
/* Whether no more sentences are kept. */
bool lines_faults_full(const struct passo_faults *faults);
/* The fault "ORIGIN: KEY = VALUE: HINT", or "--KEY VALUE: HINT" of an option. */
void lines_fault(struct passo_faults *faults, const struct passo_line *line, const char *hint);
/* Text as a fault quotes it: safe to show, and short. Returns out. */
#define LINES_QUOTE_MAX 72
const char *lines_quote(const char *text, char out[LINES_QUOTE_MAX]);

/* The bytes of an ordinary file of at most 1 MiB, terminated by a 0; free it. NULL after a fault.
 * Never blocks on a pipe or a device. */
char *page_load(const char *path, size_t *out_bytes, struct passo_faults *faults);

#endif
