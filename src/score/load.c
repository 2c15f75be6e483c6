/* A score from a file of any kind, told by its first bytes. As everywhere, the file is opened
 * without waiting, so that a pipe that nobody writes to is a fault, not a halt. */
#include "score/score_priv.h"

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

/* The bytes of an ordinary file; NULL with *out_reason. Free the result. */
static char *load(const char *path, size_t *out_bytes, const char **out_reason)
{
    struct stat about;
    char *bytes = NULL;
    const int file = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    *out_reason = file < 0 || fstat(file, &about) ? open_fault(errno) : kind_fault(&about);
    if (!*out_reason) {
        bytes = passo_xcalloc(PASSO_SCORE_BYTES_MAX + 1, 1);
        const ssize_t length = read_all(file, bytes, PASSO_SCORE_BYTES_MAX + 1);
        if (length < 0)
            *out_reason = strerror(errno);
        else if (length > (ssize_t)PASSO_SCORE_BYTES_MAX)
            *out_reason = "this file is larger than 8 MiB; the score of one piece is wanted";
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

static bool begins(const char *bytes, size_t count, const char *with)
{
    return count >= strlen(with) && memcmp(bytes, with, strlen(with)) == 0;
}

/* XML begins with < behind blanks and the mark of its encoding (UTF-8's, or UTF-16's). */
static bool is_xml(const char *bytes, size_t count)
{
    if (begins(bytes, count, "\xFF\xFE") || begins(bytes, count, "\xFE\xFF"))
        return true;
    size_t at = begins(bytes, count, "\xEF\xBB\xBF") ? 3 : 0;
    while (at < count && memchr(" \t\r\n", bytes[at], 4))
        at++;
    return at < count && bytes[at] == '<';
}

static enum passo_error read_packed(const char *bytes, size_t count,
                                    const struct passo_score_ask *ask,
                                    struct passo_score *out_score, char *out_fault,
                                    size_t fault_bytes)
{
    char *text = NULL;
    size_t length = 0;
    enum passo_error error =
        passo_mxl_unpack((const uint8_t *)bytes, count, &text, &length, out_fault, fault_bytes);
    if (!error)
        error = passo_musicxml_read(text, length, ask, out_score, out_fault, fault_bytes);
    free(text);
    return error;
}

enum passo_error passo_score_load(const char *path, const struct passo_score_ask *ask,
                                  struct passo_score *out_score, char *out_fault,
                                  size_t fault_bytes)
{
    struct score_builder builder;
    const char *reason = NULL;
    size_t count = 0;
    enum passo_error error = PASSO_OK;
    score_begin(&builder, out_score, out_fault, fault_bytes);
    char *bytes = load(path, &count, &reason);
    if (!bytes) {
        score_fault(&builder, PASSO_ERR_FILE, "%s", reason);
        return score_end(&builder);
    }
    if (begins(bytes, count, "MThd"))
        error =
            passo_midi_read((const uint8_t *)bytes, count, ask, out_score, out_fault, fault_bytes);
    else if (begins(bytes, count, "PK"))
        error = read_packed(bytes, count, ask, out_score, out_fault, fault_bytes);
    else if (is_xml(bytes, count))
        error = passo_musicxml_read(bytes, count, ask, out_score, out_fault, fault_bytes);
    else
        error = passo_abc_read(bytes, count, ask, out_score, out_fault, fault_bytes);
    free(bytes);
    return error;
}
