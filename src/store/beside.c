/* The file beside is made in the folder of the place, so that giving it its name is one step of the
 * file system. A signal that ends the program unlinks it first: its name is kept where the handler
 * finds it. Runs on the main thread. */
#include "store/beside.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const int endings[] = {SIGINT, SIGTERM, SIGHUP, SIGPIPE, SIGXFSZ};
enum { ENDINGS = sizeof endings / sizeof endings[0], IGNORED = 2 /* the last two */ };
static struct sigaction before[ENDINGS];
/* For the handler; set while there is something to unlink. */
static char *volatile beside_now;

static void on_ending(int number)
{
    if (beside_now)
        unlink(beside_now);
    signal(number, SIG_DFL);
    raise(number);
}

static void watch_signals(void)
{
    for (int i = 0; i < ENDINGS; i++) {
        struct sigaction action = {.sa_handler = i < ENDINGS - IGNORED ? on_ending : SIG_IGN};
        sigaction(endings[i], NULL, &before[i]);
        if (before[i].sa_handler != SIG_IGN)
            sigaction(endings[i], &action, NULL);
    }
}

static void leave_signals(void)
{
    for (int i = 0; i < ENDINGS; i++)
        sigaction(endings[i], &before[i], NULL);
}

static enum passo_error refuse(const char *path, int error, char *out_fault, size_t fault_bytes)
{
    snprintf(out_fault, fault_bytes, "%s cannot be written: %s",
             strcmp(path, "-") == 0 ? "standard output" : path,
             error == ENXIO    ? "nobody reads this pipe"
             : error == EISDIR ? "this is a folder; name a file in it"
                               : strerror(error));
    return PASSO_ERR_FILE;
}

static bool is_same(const struct stat *one, const struct stat *other)
{
    return one->st_dev == other->st_dev && one->st_ino == other->st_ino;
}

/* /dev/stdout and its like, where standard output is a file that others write to as well. */
static bool is_standard_output(const char *path, const struct stat *about)
{
    struct stat out;
    return strncmp(path, "/dev/", 5) == 0 && fstat(STDOUT_FILENO, &out) == 0 &&
           is_same(about, &out);
}

/* What is written straight. A pipe that nobody reads is refused, not waited for. */
static int open_straight(const char *path, bool standard_output)
{
    if (standard_output)
        return fcntl(STDOUT_FILENO, F_DUPFD_CLOEXEC, 0);
    int file = open(path, O_WRONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (file >= 0)
        fcntl(file, F_SETFL, fcntl(file, F_GETFL) & ~O_NONBLOCK);
    return file;
}

/* The place that is meant: of a link to a file, that file's. */
static char *place_of(const char *path, bool exists)
{
    char *place = exists ? realpath(path, NULL) : NULL;
    if (place)
        return place;
    size_t bytes = strlen(path) + 1;
    return memcpy(passo_xcalloc(bytes, 1), path, bytes);
}

static bool open_beside(struct passo_beside *beside)
{
    const char *slash = strrchr(beside->path, '/');
    size_t folder = slash ? (size_t)(slash - beside->path) + 1 : 0;
    size_t bytes = folder + sizeof ".passo-XXXXXX";
    beside->temporary = passo_xcalloc(bytes, 1);
    snprintf(beside->temporary, bytes, "%.*s.passo-XXXXXX", (int)folder, beside->path);
    beside->file = mkostemp(beside->temporary, O_CLOEXEC);
    if (beside->file < 0)
        return false;
    beside_now = beside->temporary;
    mode_t mask = umask(0);
    umask(mask);
    return fchmod(beside->file, 0666 & ~mask) == 0;
}

enum passo_error passo_beside_open(struct passo_beside *beside, const char *path, bool force,
                                   char *out_fault, size_t fault_bytes)
{
    struct stat about;
    bool output = strcmp(path, "-") == 0;
    bool exists = !output && stat(path, &about) == 0;
    output = output || (exists && is_standard_output(path, &about));
    *beside = (struct passo_beside){.file = -1, .force = force};
    watch_signals();
    if (output || (exists && !S_ISREG(about.st_mode))) {
        beside->file = open_straight(path, output);
        if (beside->file >= 0)
            return PASSO_OK;
    } else if (exists && !force) {
        leave_signals();
        snprintf(out_fault, fault_bytes,
                 "%s exists already: choose another name, or add --force to write over it", path);
        return PASSO_ERR_EXISTS;
    } else {
        beside->path = place_of(path, exists);
        if (open_beside(beside))
            return PASSO_OK;
    }
    int error = errno;
    passo_beside_drop(beside);
    return refuse(path, error, out_fault, fault_bytes);
}

/* Gives the file its name, never that of another unless forced to. */
static bool give_name(const char *from, const char *to, bool force)
{
    if (force)
        return rename(from, to) == 0;
    if (renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) == 0)
        return true;
    /* A file system that does not know this way may know links. */
    return (errno == EINVAL || errno == ENOSYS) && link(from, to) == 0 && unlink(from) == 0;
}

static void end(struct passo_beside *beside)
{
    beside_now = NULL;
    leave_signals();
    free(beside->path);
    free(beside->temporary);
    *beside = (struct passo_beside){.file = -1};
}

enum passo_error passo_beside_keep(struct passo_beside *beside, char *out_fault, size_t fault_bytes)
{
    bool straight = !beside->path;
    bool good = straight || fsync(beside->file) == 0;
    int file = beside->file;
    beside->file = -1;
    good = close(file) == 0 && good;
    if (good && !straight)
        good = give_name(beside->temporary, beside->path, beside->force);
    if (good) {
        end(beside);
        return PASSO_OK;
    }
    enum passo_error error = refuse(straight ? "-" : beside->path, errno, out_fault, fault_bytes);
    passo_beside_drop(beside);
    return error;
}

void passo_beside_drop(struct passo_beside *beside)
{
    if (beside->file >= 0)
        close(beside->file);
    if (beside_now)
        unlink(beside_now);
    end(beside);
}

bool passo_same_file(const char *path, const char *other)
{
    struct stat one;
    struct stat two;
    return stat(path, &one) == 0 && stat(other, &two) == 0 && one.st_dev == two.st_dev &&
           one.st_ino == two.st_ino;
}
