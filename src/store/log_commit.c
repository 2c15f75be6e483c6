/* One transaction takes all that waits, in order. A climb gets its place in the file when it is
 * first written: its session's name may be taken by then, or the file be another one than before,
 * or two programs go on with the same climb. Each time what was played is kept, under the next free
 * name where it must be. Runs on the main thread. */
#include "store/log_waiting.h"

#include <stdlib.h>
#include <string.h>

static void replace(char **text, const char *by)
{
    size_t bytes = strlen(by) + 1;
    *text = passo_xrealloc(*text, bytes);
    memcpy(*text, by, bytes);
}

int log_own_climb_know(struct passo_log *log, struct log_own_climb *own)
{
    struct log_climb_facts facts;
    int rc = log_climb_read(log, own->gone_on, &facts);
    if (rc == SQLITE_OK) {
        replace(&own->player, facts.player);
        replace(&own->passage, facts.passage);
        replace(&own->piece, facts.piece);
        replace(&own->setup, facts.setup);
        replace(&own->session, facts.session);
        own->began_ns = facts.began_ns;
        own->offset_s = facts.offset_s;
        own->gone_on = 0;
    }
    log_climb_facts_free(&facts);
    return rc;
}

/* Finds or makes its row under the first name that is free, or its own where it adopts that. */
static int take_place(struct passo_log *log, struct log_own_climb *own)
{
    char name[PASSO_SESSION_BYTES];
    const char *session = own->session;
    int64_t passage;
    int rc = log_passage(log, own->player, own->passage, own->piece, &passage);
    for (unsigned number = 1; rc == SQLITE_OK; number++) {
        if (number > 1) {
            log_session_name(name, own->session, number);
            session = name;
        }
        rc = log_climb_find(log, passage, session, &own->now.climb);
        if (rc != SQLITE_OK)
            break;
        if (!own->now.climb.id) {
            rc = log_climb_add(log, passage, session, own->began_ns, own->offset_s, own->setup,
                               own->seen_live, &own->now.climb);
            break;
        }
        if (number == 1 && (own->adopts || own->now.file))
            break;
    }
    if (rc == SQLITE_OK)
        own->now.file = log->file;
    return rc;
}

/* Has the climb stand in the file that is open. */
static int settle_in(struct passo_log *log, struct log_own_climb *own)
{
    int rc = own->gone_on ? log_own_climb_know(log, own) : SQLITE_OK;
    if (rc == SQLITE_OK && own->now.file != log->file)
        rc = take_place(log, own);
    return rc;
}

/* The climb that a pass of this number belongs to, standing in the file. */
static int climb_of(struct passo_log *log, struct log_own_climb **own, uint32_t number)
{
    while ((*own)->now.fork && number >= (*own)->now.fork_from)
        *own = (*own)->now.fork;
    return settle_in(log, *own);
}

/* Another program has gone on with the same climb and was first with this pass: from here on ours
 * are a session of their own, which cannot be gone on with. */
static int fork_climb(struct passo_log *log, struct log_own_climb **own, uint32_t number)
{
    struct log_own_climb *from = *own;
    const struct passo_log_climb climb = {.player = from->player,
                                          .passage = from->passage,
                                          .piece = from->piece,
                                          .setup = from->setup,
                                          .session = from->session,
                                          .began_ns = from->began_ns,
                                          .offset_s = from->offset_s};
    from->now.fork = log_own_climb_add(log->write, &climb);
    from->now.fork_from = number;
    *own = from->now.fork;
    return settle_in(log, *own);
}

static int write_played(struct passo_log *log, const struct log_waiting *waiting)
{
    struct log_own_climb *own = waiting->climb;
    int rc = climb_of(log, &own, waiting->row.pass);
    if (rc == SQLITE_OK)
        rc = log_pass_add(log, &own->now.climb, &waiting->row, &waiting->event);
    if (rc != SQLITE_CONSTRAINT_PRIMARYKEY)
        return rc;
    rc = fork_climb(log, &own, waiting->row.pass);
    if (rc == SQLITE_OK)
        rc = log_pass_add(log, &own->now.climb, &waiting->row, &waiting->event);
    return rc;
}

static int write_change(struct passo_log *log, const struct log_waiting *waiting)
{
    struct log_own_climb *own = waiting->climb;
    int rc = climb_of(log, &own, waiting->row.pass);
    if (rc != SQLITE_OK)
        return rc;
    return log_change_add(log, &own->now.climb, waiting->change, &waiting->row, waiting->at_s);
}

static int write_hand(struct passo_log *log, const struct log_waiting *waiting)
{
    const struct passo_ladder_event *event = &waiting->event;
    struct log_own_climb *own = waiting->climb;
    int rc = climb_of(log, &own, waiting->after_pass);
    sqlite3_stmt *statement = rc == SQLITE_OK ? log_statement(log, LOG_HAND_ADD, &rc) : NULL;
    if (!statement)
        return rc;
    const int64_t value[] = {own->now.climb.id, waiting->after_pass, (int64_t)event->type,
                             event->stage,      event->rung,         event->turn,
                             event->elapsed_ms, event->played_ms};
    for (int i = 0; i < (int)(sizeof value / sizeof value[0]); i++)
        sqlite3_bind_int64(statement, i + 1, value[i]);
    return log_run(statement);
}

static int write_end(struct passo_log *log, const struct log_waiting *waiting)
{
    struct log_own_climb *own = waiting->climb;
    int rc = climb_of(log, &own, UINT32_MAX);
    sqlite3_stmt *statement = rc == SQLITE_OK ? log_statement(log, LOG_ENDED_ADD, &rc) : NULL;
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, own->now.climb.id);
    sqlite3_bind_int(statement, 2, (int)waiting->outcome);
    return log_run(statement);
}

static int write_waiting(struct passo_log *log, const struct log_waiting *waiting)
{
    switch (waiting->kind) {
    case LOG_KIND_BEGIN:
        return settle_in(log, waiting->climb);
    case LOG_KIND_PLAYED:
        return write_played(log, waiting);
    case LOG_KIND_CHANGE:
        return write_change(log, waiting);
    case LOG_KIND_HAND:
        return write_hand(log, waiting);
    case LOG_KIND_END:
        return write_end(log, waiting);
    case LOG_KIND_DEED:
        return log_deed_add(log, &waiting->deed);
    }
    return SQLITE_OK;
}

static int write_all(struct passo_log *log)
{
    struct log_write *write = log->write;
    int rc = SQLITE_OK;
    for (struct log_own_climb *own = write->climbs; own; own = own->next)
        own->before = own->now;
    for (size_t i = 0; i < write->count && rc == SQLITE_OK; i++)
        rc = write_waiting(log, &write->waiting[i]);
    for (struct log_own_climb *own = write->climbs; own && rc == SQLITE_OK; own = own->next)
        rc = log_climb_settle(log, &own->now.climb);
    return rc;
}

enum passo_error passo_log_commit(struct passo_log *log)
{
    struct log_write *write = log->write;
    PASSO_BUG_ON(log->use != PASSO_LOG_KEEP);
    if (!passo_log_waiting(log)) {
        log->why = "";
        return PASSO_OK;
    }
    if (!log_begin_work(log))
        return PASSO_ERR_FILE;
    if (!log_end_work(log, write_all(log))) {
        for (struct log_own_climb *own = write->climbs; own; own = own->next)
            own->now = own->before;
        return PASSO_ERR_FILE;
    }
    for (size_t i = 0; i < write->count; i++)
        free(write->waiting[i].texts);
    write->count = 0;
    return PASSO_OK;
}
