/* Files that are there whole or not at all. */
#include "output/part.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static enum passo_error refuse(const char *path, const char *why, char *out_fault,
                               size_t fault_bytes)
{
    snprintf(out_fault, fault_bytes, "%s: %s", path, why);
    return PASSO_ERR_FILE;
}

/* Where the file goes: through a link to what it leads to. */
static enum passo_error find_place(struct part *part, const char *path, char *out_fault,
                                   size_t fault_bytes)
{
    struct stat status;
    bool exists = stat(path, &status) == 0;
    if (!exists && lstat(path, &status) == 0)
        return refuse(path, "is a link to what is not there", out_fault, fault_bytes);
    if (exists && !S_ISREG(status.st_mode))
        return refuse(path, "is not a file", out_fault, fault_bytes);
    if (exists && !part->force) {
        snprintf(out_fault, fault_bytes,
                 "%s exists already: choose another name, or add --force to write over it", path);
        return PASSO_ERR_EXISTS;
    }
    char *place = exists ? realpath(path, NULL) : NULL;
    int length = snprintf(part->path, sizeof part->path, "%s", place ? place : path);
    free(place);
    int with_part = snprintf(part->beside, sizeof part->beside, "%s.part", part->path);
    if (length < 0 || with_part < 0 || with_part >= PASSO_FILE_PATH_BYTES)
        return refuse(path, strerror(ENAMETOOLONG), out_fault, fault_bytes);
    return PASSO_OK;
}

/* A .part that is there already is another's who writes now, or was left by a crash: only force
 * does away with it. */
static enum passo_error make_part(struct part *part, int *out_fd, char *out_fault,
                                  size_t fault_bytes)
{
    if (part->force)
        unlink(part->beside);
    *out_fd = open(part->beside, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (*out_fd >= 0) {
        part->place = PART_BESIDE;
        return PASSO_OK;
    }
    if (errno != EEXIST)
        return refuse(part->path, strerror(errno), out_fault, fault_bytes);
    snprintf(out_fault, fault_bytes,
             "%s exists: it is being written, or was left half done; add --force to begin afresh",
             part->beside);
    return PASSO_ERR_EXISTS;
}

enum passo_error part_open(struct part *part, const char *path, bool force, int *out_fd,
                           char *out_fault, size_t fault_bytes)
{
    part->force = force;
    enum passo_error error = find_place(part, path, out_fault, fault_bytes);
    return error ? error : make_part(part, out_fd, out_fault, fault_bytes);
}

/* --- its name --- */

bool part_replaces(const struct part *part)
{
    struct stat status;
    return part->force && lstat(part->path, &status) == 0;
}

static bool give_name(const struct part *part)
{
    if (part->force)
        return rename(part->beside, part->path) == 0;
    if (renameat2(AT_FDCWD, part->beside, AT_FDCWD, part->path, RENAME_NOREPLACE) == 0)
        return true;
    /* A file system that does not know this way may know links. */
    return (errno == EINVAL || errno == ENOSYS) && link(part->beside, part->path) == 0 &&
           unlink(part->beside) == 0;
}

/* Changes places with an ordinary file; not every file system knows this way. */
static bool exchange(const struct part *part)
{
    struct stat status;
    return part->force && lstat(part->path, &status) == 0 && S_ISREG(status.st_mode) &&
           renameat2(AT_FDCWD, part->beside, AT_FDCWD, part->path, RENAME_EXCHANGE) == 0;
}

bool part_name(struct part *part, bool keep_old)
{
    if (keep_old && exchange(part)) {
        part->place = PART_EXCHANGED;
        return true;
    }
    if (!give_name(part))
        return false;
    part->place = PART_NAMED;
    return true;
}

void part_drop(struct part *part)
{
    switch (part->place) {
    case PART_NONE:
        break;
    case PART_BESIDE:
        unlink(part->beside);
        break;
    case PART_NAMED:
        unlink(part->path);
        break;
    case PART_EXCHANGED:
        (void)rename(part->beside, part->path);
        break;
    }
    part->place = PART_NONE;
}

void part_close(struct part *part)
{
    if (part->place == PART_BESIDE)
        part_drop(part);
    else if (part->place == PART_EXCHANGED)
        unlink(part->beside);
    part->place = PART_NONE;
}
