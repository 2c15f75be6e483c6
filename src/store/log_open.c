/* Opening: which file it is, whose it is, and how it may be read. A log that can only be read is
 * read as it lies, also on a medium where SQLite could not make its companions; an older one that
 * cannot be brought up to date where it is is copied into memory and brought up to date there.
 * Runs on the main thread. */
#include "store/log_priv.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* Whose file it is. */
enum owner { OWNER_NOBODY, OWNER_OURS, OWNER_NEWER, OWNER_DAMAGED, OWNER_OTHER };

static int64_t now_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

void log_patience(struct passo_log *log, int ms)
{
    log->patience_ms = ms;
}

void log_start_waiting(struct passo_log *log)
{
    log->deadline_ns = now_ns() + (int64_t)log->patience_ms * 1000000;
}

/* SQLite asks whether to try again; it counts by the lock, this by the call. */
static int wait_on(void *user, int tries)
{
    const struct passo_log *log = user;
    const struct timespec grain = {0, 2000000};
    (void)tries;
    if (now_ns() >= log->deadline_ns)
        return 0;
    nanosleep(&grain, NULL);
    return 1;
}

/* A file: URI with its odd characters escaped; free it. */
static char *uri_of(const char *path, const char *query)
{
    size_t bytes = 3 * strlen(path) + strlen(query) + 10;
    char *uri = passo_xcalloc(bytes, 1);
    size_t used = (size_t)snprintf(uri, bytes, path[0] == '/' ? "file://" : "file:./");
    for (; *path; path++) {
        bool odd = *path == '%' || *path == '?' || *path == '#';
        used +=
            (size_t)snprintf(uri + used, bytes - used, odd ? "%%%02X" : "%c", (unsigned char)*path);
    }
    snprintf(uri + used, bytes - used, "%s", query);
    return uri;
}

/* How a file may be opened; the later ways are for files that can only be read. */
enum way { WAY_USUAL, WAY_NO_LOCKS, WAY_AS_IT_LIES, WAY_COUNT, WAY_MEMORY };

static int open_way(struct passo_log *log, enum way way)
{
    static const char *const query[] = {
        [WAY_USUAL] = "", [WAY_NO_LOCKS] = "?vfs=unix-none", [WAY_AS_IT_LIES] = "?immutable=1"};
    int flags = SQLITE_OPEN_URI | SQLITE_OPEN_EXRESCODE | SQLITE_OPEN_NOMUTEX;
    flags |= way == WAY_USUAL || way == WAY_MEMORY ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY;
    char *uri = way == WAY_MEMORY ? NULL : uri_of(log->path, query[way]);
    int rc = sqlite3_open_v2(uri ? uri : ":memory:", &log->db, flags, NULL);
    free(uri);
    if (rc != SQLITE_OK)
        return rc;
    sqlite3_busy_handler(log->db, wait_on, log);
    sqlite3_db_config(log->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    sqlite3_db_config(log->db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, NULL);
    /* So what is in the write-ahead log can be read where no index for it can be made. It must come
     * first: what follows reads the file. */
    if (way == WAY_NO_LOCKS)
        rc = sqlite3_exec(log->db, "PRAGMA locking_mode = EXCLUSIVE", NULL, NULL, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(log->db, "PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL", NULL,
                          NULL, NULL);
    return rc;
}

static int read_number(struct passo_log *log, const char *sql, int64_t *out_number)
{
    sqlite3_stmt *statement;
    int rc = sqlite3_prepare_v2(log->db, sql, -1, &statement, NULL);
    if (rc != SQLITE_OK)
        return rc;
    rc = sqlite3_step(statement);
    *out_number = sqlite3_column_int64(statement, 0);
    int end = sqlite3_finalize(statement);
    return rc == SQLITE_ROW ? SQLITE_OK : end;
}

static enum owner owner_of(int64_t application, int64_t version, int64_t objects, int64_t ours)
{
    if (application != LOG_APPLICATION)
        return application || version || objects ? OWNER_OTHER : OWNER_NOBODY;
    if (version > LOG_VERSION)
        return OWNER_NEWER;
    /* Version 1 has eight tables, and each step after it has brought one more. */
    return version >= 1 && ours == version + 7 ? OWNER_OURS : OWNER_DAMAGED;
}

/* The four numbers that tell whose it is. */
static int read_marks(struct passo_log *log, enum owner *out_owner, int *out_version)
{
    int64_t application = 0;
    int64_t objects = 0;
    int64_t ours = 0;
    int rc = read_number(log, "PRAGMA application_id", &application);
    if (rc == SQLITE_OK)
        rc = log_version(log, out_version);
    if (rc == SQLITE_OK)
        rc = read_number(log, "SELECT count(*) FROM sqlite_schema", &objects);
    if (rc == SQLITE_OK)
        rc = read_number(log,
                         "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name IN "
                         "('text', 'player', 'passage', 'climb', 'pass', 'change', 'hand', "
                         "'ended', 'day', 'deed')",
                         &ours);
    *out_owner = owner_of(application, *out_version, objects, ours);
    return rc;
}

/* Looks into the file for the first time, at one moment: another program may be making it. */
static int identify(struct passo_log *log, enum owner *out_owner, int *out_version)
{
    int rc = sqlite3_exec(log->db, "BEGIN", NULL, NULL, NULL);
    if (rc == SQLITE_OK)
        rc = read_marks(log, out_owner, out_version);
    if (!sqlite3_get_autocommit(log->db)) {
        int end = sqlite3_exec(log->db, "ROLLBACK", NULL, NULL, NULL);
        if (rc == SQLITE_OK)
            rc = end;
    }
    return rc;
}

void log_disconnect(struct passo_log *log)
{
    for (size_t i = 0; i < LOG_STATEMENTS; i++) {
        sqlite3_finalize(log->statement[i]);
        log->statement[i] = NULL;
    }
    sqlite3_close(log->db);
    log->db = NULL;
    log_texts_forget(&log->texts);
}

/* Whether bytes wait in the write-ahead log beside the file. */
static bool has_companion(const struct passo_log *log)
{
    struct stat about;
    size_t bytes = strlen(log->path) + sizeof "-wal";
    char *path = passo_xcalloc(bytes, 1);
    snprintf(path, bytes, "%s-wal", log->path);
    bool has = stat(path, &about) == 0 && about.st_size > 0;
    free(path);
    return has;
}

static bool may_lie_read_only(int rc)
{
    return (rc & 0xff) == SQLITE_CANTOPEN || (rc & 0xff) == SQLITE_READONLY ||
           (rc & 0xff) == SQLITE_IOERR;
}

/* Opens the file in the first way that lets it be looked into. */
static int open_file(struct passo_log *log, enum owner *out_owner, int *out_version)
{
    int rc = SQLITE_OK;
    int first = SQLITE_OK;
    for (enum way way = WAY_USUAL; way < WAY_COUNT; way++) {
        if (way == WAY_NO_LOCKS && !has_companion(log))
            continue;
        rc = open_way(log, way);
        if (rc == SQLITE_OK)
            rc = identify(log, out_owner, out_version);
        rc = log_plain_code(log->db, rc);
        if (rc == SQLITE_OK)
            return rc;
        if (way == WAY_USUAL)
            first = rc;
        log_disconnect(log);
        if (log->use == PASSO_LOG_KEEP || !may_lie_read_only(rc))
            return rc;
    }
    return first;
}

/* An empty log in memory. */
static int open_nothing(struct passo_log *log)
{
    log_disconnect(log);
    int rc = open_way(log, WAY_MEMORY);
    return rc == SQLITE_OK ? log_migrate(log, LOG_VERSION) : rc;
}

/* The log as it is, up to date in memory. */
static int copy_into_memory(struct passo_log *log)
{
    sqlite3 *from = log->db;
    for (size_t i = 0; i < LOG_STATEMENTS; i++) {
        sqlite3_finalize(log->statement[i]);
        log->statement[i] = NULL;
    }
    int rc = open_way(log, WAY_MEMORY);
    sqlite3_backup *copy = NULL;
    if (rc == SQLITE_OK)
        copy = sqlite3_backup_init(log->db, "main", from, "main");
    if (copy) {
        sqlite3_backup_step(copy, -1);
        rc = sqlite3_backup_finish(copy);
    } else if (rc == SQLITE_OK) {
        rc = sqlite3_errcode(log->db);
    }
    sqlite3_close(from);
    return rc == SQLITE_OK ? log_migrate(log, LOG_VERSION) : rc;
}

/* Makes a file that was looked into ready for its use. */
static int make_ready(struct passo_log *log, enum owner owner, int version)
{
    int rc = SQLITE_OK;
    if (log->use == PASSO_LOG_LOOK) {
        if (owner == OWNER_NOBODY)
            return open_nothing(log);
        if (version < LOG_VERSION)
            rc = log_migrate(log, LOG_VERSION);
        return rc == SQLITE_OK || (rc & 0xff) == SQLITE_CORRUPT ? rc : copy_into_memory(log);
    }
    if (sqlite3_db_readonly(log->db, "main") == 1)
        return SQLITE_READONLY;
    rc = sqlite3_exec(log->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
    if (rc == SQLITE_OK && version < LOG_VERSION)
        rc = log_migrate(log, LOG_VERSION);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(log->db, "BEGIN IMMEDIATE; ROLLBACK", NULL, NULL, NULL);
    /* Who writes now lets go later. */
    return (rc & 0xff) == SQLITE_BUSY && version == LOG_VERSION ? SQLITE_OK : rc;
}

/* Which file stands under the path now: a climb that was begun in another must be made again. */
static void remember_file(struct passo_log *log)
{
    struct stat about = {0};
    if (stat(log->path, &about) == 0 && about.st_dev == log->device && about.st_ino == log->inode)
        return;
    log->device = about.st_dev;
    log->inode = about.st_ino;
    log->file++;
}

bool log_has_moved(struct passo_log *log)
{
    int moved = 0;
    return sqlite3_file_control(log->db, "main", SQLITE_FCNTL_HAS_MOVED, &moved) == SQLITE_OK &&
           moved;
}

static bool refuse_owner(struct passo_log *log, struct log_refusal *out, enum owner owner,
                         int version)
{
    switch (owner) {
    case OWNER_NOBODY:
    case OWNER_OURS:
        return false;
    case OWNER_NEWER:
        snprintf(log->newer, sizeof log->newer,
                 "was written by a newer passo (log version %d; this one knows %d)", version,
                 LOG_VERSION);
        *out = (struct log_refusal){PASSO_ERR_SYNTAX, false, log->newer,
                                    "install that, or name another log with --log"};
        return true;
    case OWNER_DAMAGED:
        *out = log_refusal(SQLITE_CORRUPT);
        return true;
    case OWNER_OTHER:
        break;
    }
    *out = (struct log_refusal){PASSO_ERR_SYNTAX, false, "this database is another program's",
                                "name another log with --log"};
    return true;
}

bool log_connect(struct passo_log *log, struct log_refusal *out)
{
    bool missing;
    enum owner owner = OWNER_NOBODY;
    int version = 0;
    if (log->db)
        return true;
    if (!log_file_ready(log, &missing, out))
        return false;
    int rc = missing && log->use == PASSO_LOG_LOOK ? open_nothing(log)
                                                   : open_file(log, &owner, &version);
    bool refused = rc == SQLITE_OK && refuse_owner(log, out, owner, version);
    if (rc == SQLITE_OK && !refused && !(missing && log->use == PASSO_LOG_LOOK))
        rc = make_ready(log, owner, version);
    if (rc != SQLITE_OK)
        *out = log_refusal(log_plain_code(log->db, rc));
    if (rc != SQLITE_OK || refused) {
        log_disconnect(log);
        return false;
    }
    remember_file(log);
    return true;
}

enum passo_error passo_log_open(const char *path, enum passo_log_use use,
                                struct passo_log **out_log, char *out_fault, size_t fault_bytes)
{
    struct log_refusal refusal;
    struct passo_log *log = passo_xcalloc(1, sizeof *log);
    size_t bytes = strlen(path) + 1;
    log->path = passo_xcalloc(bytes, 1);
    memcpy(log->path, path, bytes);
    log->use = use;
    log->why = "";
    log->patience_ms = LOG_PATIENCE_MS;
    *out_log = log;
    if (fault_bytes)
        out_fault[0] = '\0';
    log_start_waiting(log);
    if (log_connect(log, &refusal) || (use == PASSO_LOG_KEEP && refusal.passing))
        return PASSO_OK;
    enum passo_error error = log_refuse(log, &refusal, out_fault, fault_bytes);
    passo_log_close(log);
    *out_log = NULL;
    return error;
}

void passo_log_close(struct passo_log *log)
{
    if (!log)
        return;
    log_disconnect(log);
    log_write_free(log->write);
    free(log->dirty);
    free(log->path);
    free(log);
}
