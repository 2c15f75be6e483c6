/* A file that is there whole or not at all: it is written beside its place under another name, and
 * given its own in one step. What is no ordinary file (a pipe, a device, standard output) is
 * written straight. Thread: the main thread. Blocks: on the disk. */
#ifndef PASSO_STORE_BESIDE_H
#define PASSO_STORE_BESIDE_H

#include <passo/error.h>
#include <stdbool.h>
#include <stddef.h>

struct passo_beside {
    int file;        /* to be written to */
    char *path;      /* its place; NULL: it is written straight */
    char *temporary; /* where it is until then */
    bool force;
};

/* "-" is standard output. PASSO_ERR_EXISTS without `force` where a file is, or PASSO_ERR_FILE, with
 * one sentence. Until the end SIGINT, SIGTERM and SIGHUP take what is beside with them, and
 * SIGPIPE and SIGXFSZ become errors of write(2). One at a time. */
PASSO_MUST_CHECK enum passo_error passo_beside_open(struct passo_beside *beside, const char *path,
                                                    bool force, char *out_fault,
                                                    size_t fault_bytes);
/* Brings it to the disk and to its place. After an error, which is told, nothing is left. */
PASSO_MUST_CHECK enum passo_error passo_beside_keep(struct passo_beside *beside, char *out_fault,
                                                    size_t fault_bytes);
/* Leaves nothing. */
void passo_beside_drop(struct passo_beside *beside);

/* Whether two paths lead to one file that is there. */
bool passo_same_file(const char *path, const char *other);

#endif
