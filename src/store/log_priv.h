/* The inside of the log, for the log_*.c files and the import alone. What is called here returns
 * SQLite's result codes; who begins a transaction ends it, by log_end_work() or log_end_read().
 *
 * The file, by table:
 *   text     every distinct text once; others point to it by id
 *   player   in the order in which the log met them
 *   passage  one player's: title and piece
 *   climb    one session of a passage: its name, when it began, from when to when its passes are
 *            (first_s, last_s: seconds of UTC; NULL: it has none), the passage file that held, and
 *            whether this program saw it played. outcome is in `ended`
 *   pass     one pass as it was when its playing was over. Written once, never changed
 *   change   what came to a pass later; the last of one pass holds over it
 *   hand     easier, harder, next turn by hand, after the pass of that number
 *   ended    climbs that are over, and how
 *   day      how each passage went by day and target: derived from pass and change, in the same
 *            transaction that changes them
 *   deed     what was done of a day's routine: an item begun, done, skipped ... of which player
 * What an import adds is a climb that was not seen live, and passes without stage, rung, turn and
 * the two audio clocks (NULL): they count as closed. Numbers of enums are those of the code, and
 * log_values.c holds them still. Times that a CSV has in seconds are kept in whole milliseconds.
 * Nothing is deleted from or changed in pass, change, hand, ended and deed. Thread: one. */
#ifndef PASSO_STORE_LOG_PRIV_H
#define PASSO_STORE_LOG_PRIV_H

#include <sqlite3.h>
#include <sys/types.h>
#include "store/log.h"

#define LOG_APPLICATION 0x7061736f /* "paso" */
#define LOG_VERSION     3
#define LOG_PATIENCE_MS 80 /* for one call; with the waiting's grain it stays under 100 */

/* --- statements: prepared when first used, finalized when the file is closed --- */

enum log_statement {
    LOG_BEGIN_READ,
    LOG_BEGIN_WRITE,
    LOG_COMMIT,
    LOG_TEXT_ADD,
    LOG_TEXT_FIND,
    LOG_TEXT_READ,
    LOG_PLAYER_ADD,
    LOG_PLAYER_FIND,
    LOG_PLAYERS_READ,
    LOG_PASSAGE_ADD,
    LOG_PASSAGE_FIND,
    LOG_PASSAGES_READ,
    LOG_CLIMB_ADD,
    LOG_CLIMB_FIND,
    LOG_SESSION_FIND,
    LOG_CLIMB_SPAN,
    LOG_CLIMB_LATEST,
    LOG_CLIMB_READ,
    LOG_CLIMBS_READ,
    LOG_PASS_ADD,
    LOG_PASS_TIME,
    LOG_PASSES_READ,
    LOG_CHANGE_ADD,
    LOG_CHANGES_READ,
    LOG_HAND_ADD,
    LOG_HANDS_READ,
    LOG_ENDED_ADD,
    LOG_DAYS_DELETE,
    LOG_DAY_ADD,
    LOG_DAYS_READ,
    LOG_DEED_ADD,
    LOG_DEEDS_READ,
    LOG_DEEDS_READ_ALL,
    LOG_STATEMENTS
};

/* The text of one. */
const char *log_sql(enum log_statement statement);
/* It, reset; every value must be bound. NULL: *out_rc says why. */
sqlite3_stmt *log_statement(struct passo_log *log, enum log_statement statement, int *out_rc);
/* Steps one that gives no rows, and resets it. */
int log_run(sqlite3_stmt *statement);

/* --- texts and ids, both ways, remembered --- */

struct log_text {
    int64_t id;
    char *text;
};

struct log_texts {
    struct log_text *entry;
    size_t entries;
    uint32_t *by_text; /* indices of entries, from 1; open addressing, slots is a power of two */
    uint32_t *by_id;
    size_t slots;
};

/* The id of a text; adds it where it is new, so only within a transaction that writes. */
int log_text_id(struct passo_log *log, const char *text, int64_t *out_id);
/* The text of an id; it lives until the log is closed or log_undo(). SQLITE_CORRUPT: none. */
int log_text_of(struct passo_log *log, int64_t id, const char **out_text);
void log_texts_forget(struct log_texts *texts);

/* --- writing --- */

struct log_climb {
    int64_t id;
    int64_t passage;
    int64_t first_s; /* of its passes; last_s < first_s: it has none */
    int64_t last_s;
    bool grown; /* since log_climb_settle() */
};

/* Days whose counts must be worked out anew: of one passage, from one to another. */
struct log_dirty {
    int64_t passage;
    int32_t from_day;
    int32_t to_day;
};

/* Begins a transaction that writes, opening the file if it is not open, and waits no longer than
 * the log's patience. False: passo_log_why() says why, and none is open. */
bool log_begin_work(struct passo_log *log);
/* Works out the days that were touched and commits, if rc is SQLITE_OK; else, or if that fails,
 * rolls back and forgets ids that are no more. False: passo_log_why() says why. SQLITE_NOMEM:
 * aborts after rolling back. */
bool log_end_work(struct passo_log *log, int rc);
/* Rolls back what is open, and gives back rc. */
int log_undo(struct passo_log *log, int rc);

/* Finds or adds. */
int log_passage(struct passo_log *log, const char *player, const char *title, const char *piece,
                int64_t *out_passage);
/* Makes a player known. */
int log_player(struct passo_log *log, const char *name, int64_t *out_player);
/* out->id is 0 if there is none of that name. */
int log_climb_find(struct passo_log *log, int64_t passage, const char *session,
                   struct log_climb *out);
/* setup "": unknown. The name must be free. */
int log_climb_add(struct passo_log *log, int64_t passage, const char *session, int64_t began_ns,
                  int32_t offset_s, const char *setup, bool seen_live, struct log_climb *out);
/* Writes how far its passes reach; before the commit, once after the last pass of a batch. */
int log_climb_settle(struct passo_log *log, struct log_climb *climb);
/* Adds one; event NULL: of an import. Texts of the climb are not looked at. Its day is touched.
 * SQLITE_CONSTRAINT_PRIMARYKEY: it has one of that number; nothing has happened. */
int log_pass_add(struct passo_log *log, struct log_climb *climb, const struct passo_row *row,
                 const struct passo_ladder_event *event);
/* Adds a change to a pass; one to a pass that is not there is left out. Its day is touched. */
int log_change_add(struct passo_log *log, const struct log_climb *climb,
                   enum passo_log_change change, const struct passo_row *row, int64_t at_s);
void log_touch(struct passo_log *log, int64_t passage, int32_t day);
/* Adds what was done of a day's routine. */
int log_deed_add(struct passo_log *log, const struct passo_log_day_row *row);
/* "wish-2" for 2; cut where it is too long; the wish itself for 1. */
void log_session_name(char out[PASSO_SESSION_BYTES], const char *wish, unsigned number);

/* --- reading --- */

/* What is known of a climb. Free also after an error. */
struct log_climb_facts {
    char *session;
    int64_t began_ns;
    int32_t offset_s;
    bool seen_live;
    bool ended;
    const char *player; /* texts live as log_text_of() says */
    const char *passage;
    const char *piece;
    const char *setup;
};
/* SQLITE_CORRUPT: there is none of that id. */
int log_climb_read(struct passo_log *log, int64_t climb, struct log_climb_facts *out);
void log_climb_facts_free(struct log_climb_facts *facts);

/* One pass of a climb as it now holds. Texts of the climb are left out (NULL), the others live as
 * log_text_of() says. */
struct log_pass {
    struct passo_row row;
    bool live; /* not of an import: event is there */
    bool closed;
    struct passo_ladder_event event;
};

/* *out_found false: there is none of that number. */
int log_pass_read(struct passo_log *log, const struct log_climb *climb, uint32_t number,
                  bool *out_found, struct log_pass *out);
/* The passes of a climb from one number to another, ascending; take gives back SQLITE_OK, or what
 * ends the reading. */
int log_passes_read(struct passo_log *log, int64_t climb, uint32_t from, uint32_t to,
                    int (*take)(void *user, const struct log_pass *pass), void *user);

/* What a wish leaves over: passages by id ... */
struct log_passage {
    int64_t id;
    const char *player; /* texts live as log_text_of() says */
    const char *title;
    const char *piece;
};
struct log_passages {
    struct log_passage *at;
    size_t count;
};
/* ... in the order in which the log met the players, then the passages. Free also after an error.
 */
int log_passages_read(struct passo_log *log, const struct passo_log_wish *wish,
                      struct log_passages *out);
/* Whether a wish, but for its days, has it. */
bool log_is_wished(const struct log_passage *passage, const struct passo_log_wish *wish);
void log_passages_free(struct log_passages *passages);

/* A column's number within limits; sets *rc to SQLITE_CORRUPT if it is not. */
int64_t log_number(sqlite3_stmt *statement, int column, int64_t least, int64_t most, int *rc);
/* Day counts of a passage from one day to another (0, 0: all), anew. */
int log_days_work_out(struct passo_log *log, int64_t passage, int32_t from_day, int32_t to_day);

/* A climb with passes. */
struct log_span {
    int64_t id;
    int64_t first_s;
    char *session;
    const struct log_passage *passage;
    const struct passo_log_wish *wish; /* for log_rows.c */
};
struct log_spans {
    struct log_span *at;
    size_t count;
};
/* Adds those of a passage that may have passes on these days (0: any), by first_s and session.
 * Free also after an error. */
int log_spans_read(struct passo_log *log, const struct log_passage *passage, int32_t from_day,
                   int32_t to_day, struct log_spans *spans);
void log_spans_free(struct log_spans *spans);

/* Begins a transaction that reads one moment of the log; PASSO_OK: log_end_read() ends it. */
PASSO_MUST_CHECK enum passo_error log_begin_read(struct passo_log *log, char *out_fault,
                                                 size_t fault_bytes);
/* Ends it, and says what rc says. */
enum passo_error log_end_read(struct passo_log *log, int rc, char *out_fault, size_t fault_bytes);

/* --- the file --- */

struct log_write; /* log_write.c: what waits */

struct passo_log {
    char *path;
    enum passo_log_use use;
    sqlite3 *db;   /* NULL: not open now */
    uint64_t file; /* counts up with each file that is met under the path, from 1 */
    dev_t device;  /* which file it is */
    ino_t inode;
    const char *why;
    char newer[160];     /* that it is a newer passo's */
    int patience_ms;     /* log_patience() */
    int64_t deadline_ns; /* of this call */
    sqlite3_stmt *statement[LOG_STATEMENTS];
    struct log_texts texts;
    struct log_dirty *dirty;
    size_t dirties;
    size_t dirty_room;
    size_t last_dirty;
    struct log_write *write;
};

/* How long each call waits from now on for another program that writes; an import is more patient.
 */
void log_patience(struct passo_log *log, int ms);
/* A call begins: its waiting is counted from here. */
void log_start_waiting(struct passo_log *log);
/* SQLITE_FULL and SQLITE_NOMEM for the other ways in which SQLite says that. */
int log_plain_code(sqlite3 *db, int rc);

/* Why something could not be done: a clause, and what would do. Static texts. */
struct log_refusal {
    enum passo_error error;
    bool passing; /* it may work a little later as it is */
    const char *why;
    const char *remedy;
};
/* Of SQLite's code. SQLITE_NOMEM: aborts. */
struct log_refusal log_refusal(int rc);
/* As a sentence with the file; gives back the error. */
enum passo_error log_refuse(const struct passo_log *log, const struct log_refusal *refusal,
                            char *out_fault, size_t fault_bytes);
/* Both. */
enum passo_error log_fault(const struct passo_log *log, int rc, char *out_fault,
                           size_t fault_bytes);

/* Makes the folders and the file, and looks at what the path names. *out_missing: to look, and
 * there is nothing. */
bool log_file_ready(const struct passo_log *log, bool *out_missing, struct log_refusal *out);
/* Opens the file, if it is not open. */
bool log_connect(struct passo_log *log, struct log_refusal *out);
void log_disconnect(struct passo_log *log);
/* Whether the path names another file by now, or none. */
bool log_has_moved(struct passo_log *log);

/* The version in the file. */
int log_version(struct passo_log *log, int *out_version);
/* Runs the steps from the file's version up to `to`, in one transaction of its own. */
int log_migrate(struct passo_log *log, int to);

/* What waits (log_write.c). */
void log_write_free(struct log_write *write);

#endif
