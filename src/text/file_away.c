/* Filing a passage among the player's own: a temporary file in the same folder, written whole and
 * brought to the disk, then given its name in one step, so that a passage is there whole or not at
 * all, whatever happens between. Signals wait until it is done: nothing is left lying about. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/scan.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define FOLDER_MODE 0755 /* as the other data of the account; the umask has its say */
#define FILE_MODE   0644

const char *passo_filed_name_fault(const char *name)
{
    char shown[PASSO_FILED_NAME_MAX + 1];
    char path[PASSO_PATH_BYTES];
    if (!*name)
        return "a name is missing; passages are filed under a name of 1 to 100 bytes";
    if (strlen(name) > PASSO_FILED_NAME_MAX)
        return "this name is longer than 100 bytes; take a shorter one";
    if (*name == ' ' || name[strlen(name) - 1] == ' ')
        return "a name does not begin or end with a blank";
    if (strchr(name, '/'))
        return "a name has no / in it: passages are filed in one folder; give a name, not a path";
    if (*name == '.')
        return "a name does not begin with a point; such files are hidden";
    if (*name == '-')
        return "a name does not begin with -; it would be taken for an option";
    if (strcmp(passo_text_clean(name, shown, sizeof shown), name) != 0)
        return "a name is UTF-8 text without control characters";
    if (passo_find("presets", name, path))
        return "a preset is called so, and show could no longer show it; take another name";
    return NULL;
}

/* Makes the folder and those that it lies in. */
static bool make_folder(const char *folder)
{
    char path[PASSO_PATH_BYTES];
    strcpy(path, folder);
    for (char *at = path + 1; *at; at++) {
        if (*at != '/')
            continue;
        *at = '\0';
        if (mkdir(path, FOLDER_MODE) && errno != EEXIST)
            return false;
        *at = '/';
    }
    return !mkdir(path, FOLDER_MODE) || errno == EEXIST;
}

static bool write_whole(int file, const char *bytes, size_t length)
{
    while (length) {
        ssize_t wrote = write(file, bytes, length);
        if (wrote < 0 && errno == EINTR)
            continue;
        if (wrote <= 0)
            return false;
        bytes += wrote;
        length -= (size_t)wrote;
    }
    mode_t mask = umask(0);
    umask(mask);
    return !fchmod(file, FILE_MODE & ~mask) && !fsync(file);
}

/* Gives the file its name, never that of another unless forced to. */
static bool give_name(const char *from, const char *to, bool force)
{
    if (force)
        return !rename(from, to);
    if (!renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE))
        return true;
    /* A file system that does not know this way may know links. */
    return (errno == EINVAL || errno == ENOSYS) && !link(from, to) && !unlink(from);
}

/* The new name is on the disk when its folder is; where folders cannot be synced it is as well. */
static void sync_folder(const char *folder)
{
    int file = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (file < 0)
        return;
    (void)fsync(file);
    close(file);
}

/* Writes and names the file in its folder. False with errno set, and nothing left. */
static bool put(const struct passo_filing *filing, const char *folder, const char *path)
{
    char temporary[PASSO_PATH_BYTES];
    int length = snprintf(temporary, sizeof temporary, "%s/.filing-XXXXXX", folder);
    errno = ENAMETOOLONG;
    if (length < 0 || length >= PASSO_PATH_BYTES || !make_folder(folder))
        return false;
    int file = mkostemp(temporary, O_CLOEXEC);
    if (file < 0)
        return false;
    bool good = write_whole(file, filing->bytes, filing->length);
    int why = errno;
    if (close(file) && good) {
        good = false;
        why = errno;
    }
    if (good && !give_name(temporary, path, filing->force)) {
        good = false;
        why = errno;
    }
    if (good)
        sync_folder(folder);
    else
        unlink(temporary);
    errno = why;
    return good;
}

/* put(), with signals held off: the end of the program, and the end of a file's allowed size. */
static bool put_undisturbed(const struct passo_filing *filing, const char *folder, const char *path)
{
    sigset_t all;
    sigset_t before;
    struct sigaction ignore = {.sa_handler = SIG_IGN};
    struct sigaction too_large;
    sigfillset(&all);
    sigdelset(&all, SIGXFSZ); /* ignored while blocked it would wait, and come afterwards */
    sigprocmask(SIG_BLOCK, &all, &before);
    sigaction(SIGXFSZ, &ignore, &too_large);
    bool good = put(filing, folder, path);
    int why = errno;
    sigaction(SIGXFSZ, &too_large, NULL);
    sigprocmask(SIG_SETMASK, &before, NULL);
    errno = why;
    return good;
}

/* What stands in the way, in words. */
static enum passo_error tell(const struct passo_filing *filing, const char *path, int why,
                             char *out_fault, size_t fault_bytes)
{
    char shown[PASSO_PATH_BYTES];
    passo_text_clean(path, shown, sizeof shown);
    if (why == EEXIST)
        snprintf(out_fault, fault_bytes,
                 "a passage called %s is filed already; take another name, or --force to put this "
                 "one in its place",
                 filing->name);
    else
        snprintf(out_fault, fault_bytes, "%s cannot be written: %s; nothing was filed", shown,
                 strerror(why));
    return why == EEXIST ? PASSO_ERR_EXISTS : PASSO_ERR_FILE;
}

enum passo_error passo_file_away_place(const struct passo_filing *filing,
                                       char out_path[PASSO_PATH_BYTES], char *out_fault,
                                       size_t fault_bytes)
{
    char folder[PASSO_PATH_BYTES];
    struct stat about;
    *out_path = '\0';
    PASSO_BUG_ON(passo_filed_name_fault(filing->name) != NULL);
    if (!passo_find_own_folder("passages", folder)) {
        snprintf(out_fault, fault_bytes,
                 "there is no place to file a passage: HOME is not set; set it, or XDG_DATA_HOME");
        return PASSO_ERR_FILE;
    }
    int length = snprintf(out_path, PASSO_PATH_BYTES, "%s/%s.passo", folder, filing->name);
    if (length < 0 || length >= PASSO_PATH_BYTES)
        return tell(filing, out_path, ENAMETOOLONG, out_fault, fault_bytes);
    if (!filing->force && !lstat(out_path, &about))
        return tell(filing, out_path, EEXIST, out_fault, fault_bytes);
    return PASSO_OK;
}

enum passo_error passo_file_away(const struct passo_filing *filing, char out_path[PASSO_PATH_BYTES],
                                 char *out_fault, size_t fault_bytes)
{
    char folder[PASSO_PATH_BYTES];
    enum passo_error error = passo_file_away_place(filing, out_path, out_fault, fault_bytes);
    if (error)
        return error;
    strcpy(folder, out_path);
    *strrchr(folder, '/') = '\0';
    if (put_undisturbed(filing, folder, out_path))
        return PASSO_OK;
    return tell(filing, out_path, errno, out_fault, fault_bytes);
}

enum passo_error passo_file_away_copy(const struct passo_filing *filing, const char *from,
                                      char out_path[PASSO_PATH_BYTES], char *out_fault,
                                      size_t fault_bytes)
{
    struct passo_filing copy = *filing;
    struct passo_faults faults = {0};
    *out_path = '\0';
    char *bytes = page_load(from, &copy.length, &faults);
    if (!bytes) {
        snprintf(out_fault, fault_bytes, "%s", faults.fault[0]);
        passo_faults_deinit(&faults);
        return PASSO_ERR_FILE;
    }
    copy.bytes = bytes;
    enum passo_error error = passo_file_away(&copy, out_path, out_fault, fault_bytes);
    free(bytes);
    return error;
}
