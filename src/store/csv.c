/* Rows are put whole (csv_line.c) into a growing buffer and written with write(2); what did not
 * reach the file stays in the buffer and goes out with the next row, so that a full disk loses
 * nothing and never cuts a row in two. Runs on the main thread, never on the audio thread. */
#include "store/csv.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "store/csv_line.h"

struct passo_csv {
    int fd;
    struct csv_bytes waiting; /* not yet in the file */
};

/* Writes all that waits; what is left stays. */
static enum passo_error flush_waiting(struct passo_csv *csv)
{
    size_t done = 0;
    while (done < csv->waiting.used) {
        ssize_t wrote = write(csv->fd, csv->waiting.bytes + done, csv->waiting.used - done);
        if (wrote < 0 && errno == EINTR)
            continue;
        if (wrote <= 0)
            break;
        done += (size_t)wrote;
    }
    csv->waiting.used -= done;
    memmove(csv->waiting.bytes, csv->waiting.bytes + done, csv->waiting.used);
    return csv->waiting.used ? PASSO_ERR_FILE : PASSO_OK;
}

enum passo_error passo_csv_open(const char *path, bool force, struct passo_csv **out_csv,
                                char *out_fault, size_t fault_bytes)
{
    int fd;
    if (strcmp(path, "-") == 0) {
        fd = dup(STDOUT_FILENO);
    } else {
        int kind = force ? O_TRUNC : O_EXCL;
        /* A pipe that nobody reads is refused, not waited for. */
        fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC | O_NONBLOCK | kind, 0666);
        if (fd >= 0)
            fcntl(fd, F_SETFL, fcntl(fd, F_GETFL) & ~O_NONBLOCK);
    }
    const char *name = strcmp(path, "-") == 0 ? "standard output" : path;
    if (fd < 0) {
        bool exists = errno == EEXIST;
        snprintf(out_fault, fault_bytes,
                 exists ? "%s exists already: choose another name, or add "
                          "--force to write over it"
                        : "%s cannot be written: %s",
                 name, strerror(errno));
        return exists ? PASSO_ERR_EXISTS : PASSO_ERR_FILE;
    }
    struct passo_csv *csv = passo_xcalloc(1, sizeof *csv);
    csv->fd = fd;
    csv_line_header(&csv->waiting);
    if (flush_waiting(csv) != PASSO_OK) {
        snprintf(out_fault, fault_bytes, "%s cannot be written: %s", name, strerror(errno));
        csv->waiting.used = 0;
        passo_csv_close(csv);
        return PASSO_ERR_FILE;
    }
    *out_csv = csv;
    return PASSO_OK;
}

enum passo_error passo_csv_write(struct passo_csv *csv, const struct passo_row *row)
{
    csv_line_row(&csv->waiting, row);
    return flush_waiting(csv);
}

enum passo_error passo_csv_close(struct passo_csv *csv)
{
    if (!csv)
        return PASSO_OK;
    enum passo_error error = flush_waiting(csv);
    if (close(csv->fd) != 0)
        error = PASSO_ERR_FILE;
    free(csv->waiting.bytes);
    free(csv);
    return error;
}
