/* The log (design.md section 8): every pass, kept for years in one SQLite file. Append-only: what a
 * pass was stands in one row for ever; marks, marks taken back, the end of its window and later
 * corrections are rows of their own behind it, and the last of them holds. What the views and
 * reports count by day is derived from them in the same transaction. Other rooms meet SQLite only
 * here. Thread: one thread at a time, never the audio thread. Blocks: on the disk, and never longer
 * than a tenth of a second for another program that writes. */
#ifndef PASSO_STORE_LOG_H
#define PASSO_STORE_LOG_H

#include <passo/course.h>
#include "store/row.h"

#define PASSO_SESSION_BYTES 32

struct passo_log; /* opaque: an open log */

enum passo_log_use {
    PASSO_LOG_LOOK, /* to read; a log that is not there is an empty one, and none is made */
    PASSO_LOG_KEEP, /* also to write; made if it is not there: folders 0700, file 0600 */
};

/* Opens the log at `path`, and brings an older one up to date. PASSO_ERR_SYNTAX: no database,
 * damaged, another program's, or of a newer passo. PASSO_ERR_FILE: it cannot be read, or to KEEP
 * cannot be written (permissions, read-only). Each with one sentence in out_fault that names the
 * file, what is wrong and what would do. To KEEP, a log that is locked or has no room now is no
 * error: it is opened again by passo_log_commit(). */
PASSO_MUST_CHECK enum passo_error passo_log_open(const char *path, enum passo_log_use use,
                                                 struct passo_log **out_log, char *out_fault,
                                                 size_t fault_bytes);
/* Closes and frees; what waits is not written. NULL is fine. */
void passo_log_close(struct passo_log *log);

/* --- writing: one climb at a time; everything waits in memory until passo_log_commit() --- */

/* The climb that begins. */
struct passo_log_climb {
    const char *player;
    const char *passage; /* the title */
    const char *piece;
    const char *setup;   /* the passage file that holds, for going on after a break; "" unknown */
    const char *session; /* the name that is wished for: "20261125T193005" */
    int64_t began_ns;
    int32_t offset_s;
};

/* What came to a pass after it was played. */
enum passo_log_change {
    PASSO_LOG_MARKED,     /* a mark in its window */
    PASSO_LOG_TAKEN_BACK, /* an undo: the mark is open again */
    PASSO_LOG_CLOSED,     /* its window is over, and its rest has its length */
    PASSO_LOG_CHANGED,    /* after that: corrected by an undo, or by an import */
    PASSO_LOG_CHANGE_COUNT
};

/* Begins a climb. out_session is the name that it has: the wished one, or with "-2", "-3" ... where
 * the player has a session of that name in this passage already. */
void passo_log_begin(struct passo_log *log, const struct passo_log_climb *climb,
                     char out_session[PASSO_SESSION_BYTES]);
/* Goes on with a climb that was cut short (passo_log_cut_read()). */
void passo_log_go_on(struct passo_log *log, int64_t climb);
/* A pass whose playing is over. event says where on the ladder; player, session, passage and piece
 * of the row are the climb's and not looked at. */
void passo_log_played(struct passo_log *log, const struct passo_row *row,
                      const struct passo_ladder_event *event);
/* Of a pass that was played: its mark, marked_by, miss_bar, clean_in_a_row, move, next tempo, rest
 * and elapsed time as they now are. */
void passo_log_change(struct passo_log *log, enum passo_log_change change,
                      const struct passo_row *row);
/* EASIER, HARDER or TURN by hand, after the pass of that number (0: before the first). */
void passo_log_hand(struct passo_log *log, const struct passo_ladder_event *event, uint32_t pass);
/* The climb is over: by its rule or by the player. One without it was cut short. */
void passo_log_end(struct passo_log *log, enum passo_outcome outcome);
/* Writes all that waits, in order, in one transaction, and returns when the disk has it.
 * PASSO_ERR_FILE: nothing of it is written, it waits on, and passo_log_why() says why. */
PASSO_MUST_CHECK enum passo_error passo_log_commit(struct passo_log *log);
/* Rows that wait. */
size_t passo_log_waiting(const struct passo_log *log);
/* Why the last commit failed and what would help, as a clause: "the disk is full", "another program
 * is writing to it"; "" if it did not. Static. */
const char *passo_log_why(const struct passo_log *log);

/* What was done of a day's routine; append-only as all else. Numbers are kept, so the order stays.
 */
enum passo_log_deed {
    PASSO_LOG_ITEM_BEGAN,
    PASSO_LOG_ITEM_DONE,
    PASSO_LOG_ITEM_SKIPPED,
    PASSO_LOG_ITEM_PUT_OFF,
    PASSO_LOG_ITEM_STOPPED, /* the day was left in the middle of it */
    PASSO_LOG_ITEM_OWED,    /* its turn was another's today */
    PASSO_LOG_DAY_BEGAN,    /* the plan was made: item is what it was made from */
    PASSO_LOG_DEED_COUNT
};

struct passo_log_day_row {
    const char *player;
    const char *routine; /* its name */
    const char *item;    /* "block/flow study/D-flat major", "visit/1/TITLE", "key=value ..." */
    enum passo_log_deed deed;
    int64_t time_ns;
    int32_t offset_s;
    int32_t day;
    int64_t played_ns; /* of DONE and what else was played */
    int64_t rested_ns;
};

/* Adds a row, whether a climb was begun or not; it waits for passo_log_commit() as all else. Texts
 * are copied. The day must exist; played and rested are held to two days, times to the years 1843
 * to 2096. The rows of days are the log's own: an export does not have them, and an import brings
 * none. */
void passo_log_today(struct passo_log *log, const struct passo_log_day_row *row);

/* --- reading --- */

/* Every such row of one player (exact; NULL: any), from one day to another (0: no bound), of every
 * routine, in the order in which they were written. Texts are valid during the call. Errors as of
 * passo_log_rows(). */
PASSO_MUST_CHECK enum passo_error
passo_log_today_rows(struct passo_log *log, const char *player, int32_t from_day, int32_t to_day,
                     void (*take)(void *user, const struct passo_log_day_row *row), void *user,
                     char *out_fault, size_t fault_bytes);

/* Which passes. Exact texts; NULL: any. */
struct passo_log_wish {
    const char *player;
    const char *passage;
    const char *piece;
    int32_t from_day; /* 20261101; 0: from the first */
    int32_t to_day;   /* 0: to the last */
};

/* Every pass as it now holds, one row each, by the time at which the sessions began (to the second,
 * then by player, passage, piece and session), and by number within. Texts are valid during the
 * call. Reads one moment of the log, however long it takes. PASSO_ERR_FILE or PASSO_ERR_SYNTAX with
 * one sentence. */
PASSO_MUST_CHECK enum passo_error
passo_log_rows(struct passo_log *log, const struct passo_log_wish *wish,
               void (*take)(void *user, const struct passo_row *row), void *user, char *out_fault,
               size_t fault_bytes);

/* The same of several wishes at once, for each its own days. A passage that several wishes have is
 * read for the first of them. */
PASSO_MUST_CHECK enum passo_error
passo_log_rows_of(struct passo_log *log, const struct passo_log_wish *wish, size_t wishes,
                  void (*take)(void *user, const struct passo_row *row), void *user,
                  char *out_fault, size_t fault_bytes);

/* How a day went, of one player's passage at one target. Void passes and checks do not count. */
struct passo_log_day {
    const char *player;
    const char *passage;
    const char *piece;
    const char *beat_unit;
    int32_t day;
    int32_t target_mbpm;
    uint32_t passes; /* of every part; clean and missed are those that show how well it goes:
                        cold, climb, over, close, context, visit */
    uint32_t clean;
    uint32_t missed;
    int64_t play_ns;
    int32_t best_clean_mbpm;        /* the whole passage or its context, at pitch; 0: none */
    int32_t best_won_mbpm;          /* a rung that was won, of any loop and variant; 0: none */
    enum passo_mark first_try;      /* of the first marked pass that shows how well it goes */
    enum passo_mark first_at_level; /* of the first marked one at 95 % of the target or faster;
                                       NONE: there was none */
    enum passo_move ended;          /* passo_move_as_end() of the last move of the day */
    int64_t first_ns;               /* when the day's first pass began */
};

/* Every day, by the order in which the log met the players and the passages, then by day. */
PASSO_MUST_CHECK enum passo_error
passo_log_days(struct passo_log *log, const struct passo_log_wish *wish,
               void (*take)(void *user, const struct passo_log_day *day), void *user,
               char *out_fault, size_t fault_bytes);

/* The players, in the order in which the log met them; one without a pass too. */
PASSO_MUST_CHECK enum passo_error passo_log_players(struct passo_log *log,
                                                    void (*take)(void *user, const char *player),
                                                    void *user, char *out_fault,
                                                    size_t fault_bytes);

/* One step of a climb that was cut short: a pass, or a hand. */
struct passo_log_step {
    struct passo_ladder_event event; /* of a pass with the mark that now holds; NONE where it was
                                        only assumed, as the ladder is replayed */
    struct passo_row row;            /* of a pass; its texts are "" but for marked_by */
    bool closed;                     /* its window was over */
};

struct passo_log_cut {
    int64_t climb; /* 0: there is none */
    char session[PASSO_SESSION_BYTES];
    char *setup;
    int64_t began_ns;
    int32_t day; /* on which it began */
    struct passo_log_step *step;
    size_t steps;
};

/* The player's latest climb of this passage, if it has passes, was never ended, and this log saw it
 * played. Free with passo_log_cut_deinit(), also after an error. */
PASSO_MUST_CHECK enum passo_error passo_log_cut_read(struct passo_log *log, const char *player,
                                                     const char *passage, const char *piece,
                                                     struct passo_log_cut *out_cut, char *out_fault,
                                                     size_t fault_bytes);
void passo_log_cut_deinit(struct passo_log_cut *cut);

#endif
