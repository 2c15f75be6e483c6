/* The bytes of a file, with every way in which a path can be no ordinary file said in words. The
 * file is opened without waiting, so that a pipe that nobody writes to is a fault, not a halt. */
#include "score/bytes.h"

#include <passo/error.h>

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

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

/* Reads until the end or until so many bytes. -1 with errno set. */
static ssize_t read_all(int file, char *bytes, size_t most)
{
    size_t used = 0;
    while (used < most) {
        const ssize_t got = read(file, bytes + used, most - used);
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

char *passo_bytes_load(const char *path, size_t most, const char *too_large, size_t *out_bytes,
                       const char **out_reason)
{
    struct stat about;
    char *bytes = NULL;
    const int file = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    *out_reason = file < 0 || fstat(file, &about) ? open_fault(errno) : kind_fault(&about);
    if (!*out_reason) {
        bytes = passo_xcalloc(most + 2, 1);
        const ssize_t length = read_all(file, bytes, most + 1);
        if (length < 0)
            *out_reason = strerror(errno);
        else if ((size_t)length > most)
            *out_reason = too_large;
        else
            *out_bytes = (size_t)length;
    }
    if (file >= 0)
        close(file);
    if (!*out_reason)
        return bytes;
    free(bytes);
    return NULL;
}
