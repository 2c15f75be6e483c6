/* Transactions: each call of log.h is one, and leaves none open. Runs on the main thread. */
#include "store/log_priv.h"

static bool fail(struct passo_log *log, const struct log_refusal *refusal)
{
    log->why = refusal->why;
    return false;
}

/* The file that was open is under another name or none. What SQLite still holds back goes into it
 * wherever it is now, but what lies under the name is another file's and is not touched. */
static void leave_moved_file(struct passo_log *log)
{
    int keep = 1;
    sqlite3_exec(log->db, "PRAGMA wal_checkpoint(TRUNCATE)", NULL, NULL, NULL);
    sqlite3_db_config(log->db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
    sqlite3_file_control(log->db, "main", SQLITE_FCNTL_PERSIST_WAL, &keep);
    log_disconnect(log);
}

bool log_begin_work(struct passo_log *log)
{
    struct log_refusal refusal;
    log_start_waiting(log);
    log->dirties = 0;
    if (log->db && log_has_moved(log)) {
        leave_moved_file(log);
        log->why = "its file was moved, replaced or deleted meanwhile";
        return false;
    }
    if (!log_connect(log, &refusal))
        return fail(log, &refusal);
    int rc;
    sqlite3_stmt *begin = log_statement(log, LOG_BEGIN_WRITE, &rc);
    if (begin)
        rc = log_run(begin);
    if (rc == SQLITE_OK)
        return true;
    refusal = log_refusal(log_plain_code(log->db, log_undo(log, rc)));
    return fail(log, &refusal);
}

/* Ends a transaction that is open. One that stays open, for want of memory, tells why instead of
 * rc: whatever came next would fail in it. */
static int roll_back(struct passo_log *log, int rc)
{
    rc = log_plain_code(log->db, rc);
    if (sqlite3_get_autocommit(log->db))
        return rc;
    int end = sqlite3_exec(log->db, "ROLLBACK", NULL, NULL, NULL);
    return sqlite3_get_autocommit(log->db) ? rc : log_plain_code(log->db, end);
}

int log_undo(struct passo_log *log, int rc)
{
    rc = roll_back(log, rc);
    log_texts_forget(&log->texts);
    log->dirties = 0;
    return rc;
}

static int commit(struct passo_log *log)
{
    int rc = SQLITE_OK;
    for (size_t i = 0; i < log->dirties && rc == SQLITE_OK; i++) {
        const struct log_dirty *dirty = &log->dirty[i];
        rc = log_days_work_out(log, dirty->passage, dirty->from_day, dirty->to_day);
    }
    sqlite3_stmt *end = rc == SQLITE_OK ? log_statement(log, LOG_COMMIT, &rc) : NULL;
    return end ? log_run(end) : rc;
}

bool log_end_work(struct passo_log *log, int rc)
{
    if (rc == SQLITE_OK)
        rc = commit(log);
    log->dirties = 0;
    log->why = "";
    if (rc == SQLITE_OK)
        return true;
    struct log_refusal refusal = log_refusal(log_undo(log, rc));
    return fail(log, &refusal);
}

const char *passo_log_why(const struct passo_log *log)
{
    return log->why;
}

enum passo_error log_begin_read(struct passo_log *log, char *out_fault, size_t fault_bytes)
{
    struct log_refusal refusal;
    if (fault_bytes)
        out_fault[0] = '\0';
    log_start_waiting(log);
    if (!log_connect(log, &refusal))
        return log_refuse(log, &refusal, out_fault, fault_bytes);
    int rc;
    sqlite3_stmt *begin = log_statement(log, LOG_BEGIN_READ, &rc);
    if (begin)
        rc = log_run(begin);
    return rc == SQLITE_OK ? PASSO_OK : log_fault(log, rc, out_fault, fault_bytes);
}

enum passo_error log_end_read(struct passo_log *log, int rc, char *out_fault, size_t fault_bytes)
{
    rc = roll_back(log, rc);
    return rc == SQLITE_OK ? PASSO_OK : log_fault(log, rc, out_fault, fault_bytes);
}
