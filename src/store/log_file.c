/* The file under the log: what its path may be, its folders and rights, and the sentences about
 * what cannot be. The file is never opened here once SQLite may hold it: closing it again would
 * take away SQLite's locks. Runs on the main thread. */
#include "store/log_priv.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#define ANOTHER "name another log with --log"

static bool refuse(struct log_refusal *out, enum passo_error error, const char *why,
                   const char *remedy)
{
    *out = (struct log_refusal){.error = error, .why = why, .remedy = remedy};
    return false;
}

/* What a call of the system could not do, when it was to look (or make). */
static bool refuse_errno(struct log_refusal *out, int error, bool makes)
{
    switch (error) {
    case ENOSPC:
    case EDQUOT:
        *out = log_refusal(SQLITE_FULL);
        return false;
    case EACCES:
    case EPERM:
        return makes ? refuse(out, PASSO_ERR_FILE, "it cannot be made",
                              "look at the permissions of its folder, or " ANOTHER)
                     : refuse(out, PASSO_ERR_FILE, "it may not be read",
                              "look at its permissions and those of its folders");
    case EROFS:
        return refuse(out, PASSO_ERR_FILE, "it cannot be made where nothing may be written",
                      ANOTHER);
    case ENOTDIR:
    case EEXIST:
        return refuse(out, PASSO_ERR_FILE, "a part of this path is no folder", ANOTHER);
    case ENAMETOOLONG:
        return refuse(out, PASSO_ERR_FILE, "this name is too long",
                      "name a shorter one with --log");
    case ELOOP:
        return refuse(out, PASSO_ERR_FILE, "this link leads back to itself", ANOTHER);
    case ENOENT:
        return refuse(out, PASSO_ERR_FILE, "there is no such place", ANOTHER);
    default:
        return refuse(out, PASSO_ERR_FILE, "the disk reports an error",
                      "look at the disk, or " ANOTHER);
    }
}

/* A folder of ours is ours alone, whatever the umask; one that is there stays as it is. */
static bool make_folders(const char *path, struct log_refusal *out)
{
    size_t bytes = strlen(path) + 1;
    char *folder = passo_xcalloc(bytes, 1);
    bool made = true;
    memcpy(folder, path, bytes);
    for (char *slash = strchr(folder + (*folder == '/'), '/'); slash && made;
         slash = strchr(slash + 1, '/')) {
        struct stat about;
        *slash = '\0';
        if (stat(folder, &about) != 0) {
            made = mkdir(folder, 0700) == 0 ? chmod(folder, 0700) == 0 : errno == EEXIST;
            if (!made)
                refuse_errno(out, errno, true);
        }
        *slash = '/';
    }
    free(folder);
    return made;
}

/* An empty file is a new log to SQLite, and its companions take its rights. */
static bool make_file(const char *path, struct log_refusal *out)
{
    if (!make_folders(path, out))
        return false;
    int file = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (file < 0)
        return errno == EEXIST || refuse_errno(out, errno, true);
    bool ours = fchmod(file, 0600) == 0;
    close(file);
    return ours || refuse_errno(out, errno, true);
}

bool log_file_ready(const struct passo_log *log, bool *out_missing, struct log_refusal *out)
{
    struct stat about;
    *out_missing = false;
    if (stat(log->path, &about) == 0) {
        if (S_ISDIR(about.st_mode))
            return refuse(out, PASSO_ERR_SYNTAX, "this is a folder",
                          "name a file in it with --log");
        if (!S_ISREG(about.st_mode))
            return refuse(out, PASSO_ERR_SYNTAX, "this is a pipe or a device",
                          "name an ordinary file with --log");
        return true;
    }
    if (errno != ENOENT)
        return refuse_errno(out, errno, false);
    /* What is no link was made just now, by another program. */
    if (lstat(log->path, &about) == 0 && S_ISLNK(about.st_mode))
        return refuse(out, PASSO_ERR_FILE, "this is a link to a file that is not there",
                      "mend or remove the link, or " ANOTHER);
    *out_missing = true;
    return log->use == PASSO_LOG_LOOK || make_file(log->path, out);
}

int log_plain_code(sqlite3 *db, int rc)
{
    bool no_room = false;
    if (rc == SQLITE_IOERR_NOMEM)
        return SQLITE_NOMEM;
    if ((rc & 0xff) == SQLITE_IOERR || (rc & 0xff) == SQLITE_CANTOPEN) {
        int error = db ? sqlite3_system_errno(db) : 0;
        no_room = error == ENOSPC || error == EDQUOT || rc == SQLITE_IOERR_SHMSIZE;
    }
    return no_room ? SQLITE_FULL : rc;
}

struct log_refusal log_refusal(int rc)
{
    switch (rc & 0xff) {
    case SQLITE_NOMEM:
        passo_out_of_memory();
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_PROTOCOL:
        return (struct log_refusal){PASSO_ERR_FILE, true, "another program is writing to it",
                                    "try again in a moment"};
    case SQLITE_FULL:
        return (struct log_refusal){PASSO_ERR_FILE, true, "the disk is full", "make room on it"};
    case SQLITE_NOTADB:
        return (struct log_refusal){PASSO_ERR_SYNTAX, false, "this is no log of passo", ANOTHER};
    case SQLITE_READONLY:
    case SQLITE_PERM:
        return (struct log_refusal){
            PASSO_ERR_FILE, false, "it may not be written",
            "look at the permissions of the file and its folder, or " ANOTHER};
    case SQLITE_CANTOPEN:
        return (struct log_refusal){
            PASSO_ERR_FILE, false, "it cannot be opened",
            "look at the permissions of the file and its folder, or " ANOTHER};
    case SQLITE_IOERR:
        return (struct log_refusal){PASSO_ERR_FILE, false, "the disk reports an error",
                                    "look at the disk, or " ANOTHER};
    default:
        return (struct log_refusal){PASSO_ERR_SYNTAX, false, "this log is damaged",
                                    "keep a copy of it, put back a saved one, or " ANOTHER};
    }
}

enum passo_error log_refuse(const struct passo_log *log, const struct log_refusal *refusal,
                            char *out_fault, size_t fault_bytes)
{
    snprintf(out_fault, fault_bytes, "%s: %s; %s", log->path, refusal->why, refusal->remedy);
    return refusal->error;
}

enum passo_error log_fault(const struct passo_log *log, int rc, char *out_fault, size_t fault_bytes)
{
    struct log_refusal refusal = log_refusal(log_plain_code(log->db, rc));
    return log_refuse(log, &refusal, out_fault, fault_bytes);
}
