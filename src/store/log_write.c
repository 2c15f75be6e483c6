/* What is to be written waits here in order, as copies, until passo_log_commit() takes all of it.
 * Nothing here writes to the file. Runs on the main thread. */
#include "store/log_waiting.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "store/day.h"

static char *copy_of(const char *text)
{
    size_t bytes = strlen(text) + 1;
    char *copy = passo_xcalloc(bytes, 1);
    memcpy(copy, text, bytes);
    return copy;
}

static struct log_write *write_of(struct passo_log *log)
{
    PASSO_BUG_ON(log->use != PASSO_LOG_KEEP);
    if (!log->write)
        log->write = passo_xcalloc(1, sizeof *log->write);
    return log->write;
}

static struct log_waiting *add_any(struct log_write *write, enum log_waiting_kind kind)
{
    if (write->count == write->room) {
        write->room = write->room ? 2 * write->room : 8;
        write->waiting = passo_xrealloc(write->waiting, write->room * sizeof *write->waiting);
    }
    struct log_waiting *waiting = &write->waiting[write->count++];
    *waiting = (struct log_waiting){.kind = kind};
    return waiting;
}

/* Something of the climb that was begun. */
static struct log_waiting *add_waiting(struct passo_log *log, enum log_waiting_kind kind)
{
    struct log_write *write = write_of(log);
    PASSO_BUG_ON(!write->current);
    struct log_waiting *waiting = add_any(write, kind);
    waiting->climb = write->current;
    return waiting;
}

/* Copies texts into one block, and has them point there. NULL is "". */
static void keep_texts(struct log_waiting *waiting, const char **const text[], size_t texts)
{
    size_t bytes = 0;
    for (size_t i = 0; i < texts; i++) {
        if (!*text[i])
            *text[i] = "";
        bytes += strlen(*text[i]) + 1;
    }
    char *at = passo_xcalloc(bytes, 1);
    waiting->texts = at;
    for (size_t i = 0; i < texts; i++) {
        size_t length = strlen(*text[i]) + 1;
        memcpy(at, *text[i], length);
        *text[i] = at;
        at += length;
    }
}

/* The texts that a row is written with. */
static void keep_row(struct log_waiting *waiting, const struct passo_row *row)
{
    waiting->row = *row;
    const char **const text[] = {&waiting->row.loop, &waiting->row.bars, &waiting->row.variant,
                                 &waiting->row.beat_unit, &waiting->row.marked_by};
    keep_texts(waiting, text, sizeof text / sizeof text[0]);
}

struct log_own_climb *log_own_climb_add(struct log_write *write,
                                        const struct passo_log_climb *climb)
{
    struct log_own_climb *own = passo_xcalloc(1, sizeof *own);
    own->player = copy_of(climb->player);
    own->passage = copy_of(climb->passage);
    own->piece = copy_of(climb->piece);
    own->setup = copy_of(climb->setup);
    own->session = copy_of(climb->session);
    own->began_ns = climb->began_ns;
    own->offset_s = climb->offset_s;
    own->next = write->climbs;
    write->climbs = own;
    return own;
}

static bool is_passage_of(const struct log_own_climb *own, const struct passo_log_climb *climb)
{
    return !strcmp(own->player, climb->player) && !strcmp(own->passage, climb->passage) &&
           !strcmp(own->piece, climb->piece);
}

/* Whether there is a session of that name. What cannot be read now counts as free: the name is
 * looked at again when it is written. */
static bool is_taken(struct passo_log *log, const struct passo_log_climb *climb,
                     const char *session)
{
    int rc;
    for (const struct log_own_climb *own = log->write->climbs; own; own = own->next) {
        if (!strcmp(own->session, session) && is_passage_of(own, climb))
            return true;
    }
    sqlite3_stmt *statement = log->db ? log_statement(log, LOG_SESSION_FIND, &rc) : NULL;
    if (!statement)
        return false;
    const char *const text[] = {climb->player, climb->passage, climb->piece, session};
    for (int i = 0; i < 4; i++)
        sqlite3_bind_text(statement, i + 1, text[i], -1, SQLITE_STATIC);
    rc = sqlite3_step(statement);
    sqlite3_reset(statement);
    return rc == SQLITE_ROW;
}

void passo_log_begin(struct passo_log *log, const struct passo_log_climb *climb,
                     char out_session[PASSO_SESSION_BYTES])
{
    struct log_write *write = write_of(log);
    struct passo_log_climb named = *climb;
    unsigned number = 1;
    log_start_waiting(log);
    do {
        log_session_name(out_session, climb->session, number++);
    } while (is_taken(log, climb, out_session));
    named.session = out_session;
    write->current = log_own_climb_add(write, &named);
    write->current->seen_live = true;
    add_waiting(log, LOG_KIND_BEGIN);
}

void passo_log_go_on(struct passo_log *log, int64_t climb)
{
    struct log_write *write = write_of(log);
    const struct passo_log_climb unknown = {
        .player = "", .passage = "", .piece = "", .setup = "", .session = ""};
    write->current = log_own_climb_add(write, &unknown);
    write->current->gone_on = climb;
    write->current->adopts = true;
    log_start_waiting(log);
    /* If it cannot be read now, it is when it is written. */
    if (log->db)
        (void)log_own_climb_know(log, write->current);
}

void passo_log_played(struct passo_log *log, const struct passo_row *row,
                      const struct passo_ladder_event *event)
{
    struct log_waiting *waiting = add_waiting(log, LOG_KIND_PLAYED);
    keep_row(waiting, row);
    waiting->event = *event;
}

void passo_log_change(struct passo_log *log, enum passo_log_change change,
                      const struct passo_row *row)
{
    struct log_waiting *waiting = add_waiting(log, LOG_KIND_CHANGE);
    keep_row(waiting, row);
    waiting->change = change;
    waiting->at_s = (int64_t)time(NULL);
}

void passo_log_hand(struct passo_log *log, const struct passo_ladder_event *event, uint32_t pass)
{
    struct log_waiting *waiting = add_waiting(log, LOG_KIND_HAND);
    waiting->event = *event;
    waiting->after_pass = pass;
}

void passo_log_end(struct passo_log *log, enum passo_outcome outcome)
{
    add_waiting(log, LOG_KIND_END)->outcome = outcome;
}

void passo_log_today(struct passo_log *log, const struct passo_log_day_row *row)
{
    PASSO_BUG_ON(row->deed >= PASSO_LOG_DEED_COUNT || !passo_day_exists(row->day));
    struct log_waiting *waiting = add_any(write_of(log), LOG_KIND_DEED);
    waiting->deed = *row;
    const char **const text[] = {&waiting->deed.player, &waiting->deed.routine,
                                 &waiting->deed.item};
    keep_texts(waiting, text, sizeof text / sizeof text[0]);
}

size_t passo_log_waiting(const struct passo_log *log)
{
    return log->write ? log->write->count : 0;
}

void log_write_free(struct log_write *write)
{
    if (!write)
        return;
    while (write->climbs) {
        struct log_own_climb *climb = write->climbs;
        write->climbs = climb->next;
        free(climb->player);
        free(climb->passage);
        free(climb->piece);
        free(climb->setup);
        free(climb->session);
        free(climb);
    }
    for (size_t i = 0; i < write->count; i++)
        free(write->waiting[i].texts);
    free(write->waiting);
    free(write);
}
