/* The bytes of a file, with every way in which a path can be no ordinary file said in words. The
 * file is opened without waiting, so that a pipe that nobody writes to is a fault, not a halt. */
#include "text/lines.h"
#include "text/notation.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define PAGE_BYTES_MAX (1u << 20)

static const char *open_fault(int error)
{
    switch (error) {
    case ENOENT:
    case ENOTDIR:
        return "there is no such file";
    case EACCES:
    case EPERM:
        return "this file may not be read; look at its permissions";
    case ENXIO:
        return "this is a socket or a device; name an ordinary file";
    default:
        return strerror(error);
    }
}

static const char *kind_fault(const struct stat *about)
{
    if (S_ISDIR(about->st_mode))
        return "this is a folder; name a file in it";
    if (!S_ISREG(about->st_mode))
        return "this is a pipe or a device; name an ordinary file";
    return NULL;
}

/* Reads until the end or until more than the most has been read. -1 with errno set. */
static ssize_t read_all(int file, char *bytes, size_t most)
{
    size_t used = 0;
    while (used < most) {
        ssize_t got = read(file, bytes + used, most - used);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        used += (size_t)got;
    }
    return (ssize_t)used;
}

char *page_load(const char *path, size_t *out_bytes, struct passo_faults *faults)
{
    struct stat about;
    char shown[PASSO_PATH_BYTES];
    const char *fault = NULL;
    char *bytes = NULL;
    passo_text_clean(path, shown, sizeof shown);
    int file = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    if (file < 0 || fstat(file, &about))
        fault = open_fault(errno);
    else
        fault = kind_fault(&about);
    if (!fault) {
        bytes = passo_xcalloc(PAGE_BYTES_MAX + 2, 1);
        ssize_t length = read_all(file, bytes, PAGE_BYTES_MAX + 1);
        if (length < 0)
            fault = strerror(errno);
        else if (length > (ssize_t)PAGE_BYTES_MAX)
            fault = "this file is larger than 1 MiB; what is read here is a page of text";
        else
            *out_bytes = (size_t)length;
    }
    if (file >= 0)
        close(file);
    if (!fault)
        return bytes;
    free(bytes);
    passo_fault(faults, "%s: %s", *shown ? shown : "\"\"", fault);
    return NULL;
}
