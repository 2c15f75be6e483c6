/* Where a file is until it is whole: PATH.part, beside its place. Private to the room. Thread: one
 * at a time. */
#ifndef PASSO_OUTPUT_PART_H
#define PASSO_OUTPUT_PART_H

#include "output/file.h"

enum part_place {
    PART_NONE,
    PART_BESIDE,
    PART_NAMED,
    PART_EXCHANGED /* it has its name, and what had it before is beside */
};

/* Zero-initialize. */
struct part {
    char path[PASSO_FILE_PATH_BYTES];
    char beside[PASSO_FILE_PATH_BYTES];
    bool force; /* in place of what exists */
    enum part_place place;
};

/* Makes PATH.part, through a link to what it leads to; *out_fd is open to be written, the caller's
 * to close. out_fault: one sentence. Errors: PASSO_ERR_EXISTS, PASSO_ERR_FILE; then nothing was
 * made. */
enum passo_error part_open(struct part *part, const char *path, bool force, int *out_fd,
                           char *out_fault, size_t fault_bytes);
/* Whether it would take another's place. */
bool part_replaces(const struct part *part);
/* Gives the file its name, never that of another unless forced to. keep_old: until the part is
 * closed, what had the name before is kept, where the file system can exchange two files. False,
 * with errno set: it is where it was. */
bool part_name(struct part *part, bool keep_old);
/* Removes the file, whether it has its name or not; what had the name before gets it back, if it
 * was kept. */
void part_drop(struct part *part);
/* Drops a file without its name, and what was kept. */
void part_close(struct part *part);

#endif
