/* Players, passages and climbs: found, added, and listed for a reader. Runs on the main thread. */
#include "store/log_priv.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "store/day.h"

/* The id that a statement with bound values gives; 0: none. */
static int find_id(sqlite3_stmt *statement, int64_t *out_id)
{
    int rc = sqlite3_step(statement);
    *out_id = rc == SQLITE_ROW ? sqlite3_column_int64(statement, 0) : 0;
    sqlite3_reset(statement);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

/* Finds by ids, or adds. */
static int find_or_add(struct passo_log *log, enum log_statement find, enum log_statement add,
                       const int64_t *id, int ids, int64_t *out_id)
{
    int rc;
    for (int pass = 0; pass < 2; pass++) {
        sqlite3_stmt *statement = log_statement(log, pass ? add : find, &rc);
        if (!statement)
            return rc;
        for (int i = 0; i < ids; i++)
            sqlite3_bind_int64(statement, i + 1, id[i]);
        rc = find_id(statement, out_id);
        if (rc != SQLITE_OK || *out_id)
            return rc;
    }
    *out_id = sqlite3_last_insert_rowid(log->db);
    return SQLITE_OK;
}

int log_player(struct passo_log *log, const char *name, int64_t *out_player)
{
    int64_t text;
    int rc = log_text_id(log, name, &text);
    if (rc != SQLITE_OK)
        return rc;
    return find_or_add(log, LOG_PLAYER_FIND, LOG_PLAYER_ADD, &text, 1, out_player);
}

int log_passage(struct passo_log *log, const char *player, const char *title, const char *piece,
                int64_t *out_passage)
{
    int64_t id[3];
    int rc = log_player(log, player, &id[0]);
    if (rc == SQLITE_OK)
        rc = log_text_id(log, title, &id[1]);
    if (rc == SQLITE_OK)
        rc = log_text_id(log, piece, &id[2]);
    if (rc != SQLITE_OK)
        return rc;
    return find_or_add(log, LOG_PASSAGE_FIND, LOG_PASSAGE_ADD, id, 3, out_passage);
}

int log_climb_find(struct passo_log *log, int64_t passage, const char *session,
                   struct log_climb *out)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_CLIMB_FIND, &rc);
    if (!statement)
        return rc;
    *out = (struct log_climb){.passage = passage, .last_s = -1};
    sqlite3_bind_int64(statement, 1, passage);
    sqlite3_bind_text(statement, 2, session, -1, SQLITE_STATIC);
    rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW) {
        out->id = sqlite3_column_int64(statement, 0);
        if (sqlite3_column_type(statement, 1) != SQLITE_NULL) {
            out->first_s = sqlite3_column_int64(statement, 1);
            out->last_s = sqlite3_column_int64(statement, 2);
        }
    }
    sqlite3_reset(statement);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

int log_climb_add(struct passo_log *log, int64_t passage, const char *session, int64_t began_ns,
                  int32_t offset_s, const char *setup, bool seen_live, struct log_climb *out)
{
    int64_t text;
    int rc = log_text_id(log, setup, &text);
    if (rc != SQLITE_OK)
        return rc;
    sqlite3_stmt *statement = log_statement(log, LOG_CLIMB_ADD, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, passage);
    sqlite3_bind_text(statement, 2, session, -1, SQLITE_STATIC);
    sqlite3_bind_int64(statement, 3, began_ns);
    sqlite3_bind_int(statement, 4, offset_s);
    sqlite3_bind_int64(statement, 5, text);
    sqlite3_bind_int(statement, 6, seen_live);
    rc = log_run(statement);
    *out = (struct log_climb){
        .id = sqlite3_last_insert_rowid(log->db), .passage = passage, .last_s = -1};
    return rc;
}

int log_climb_settle(struct passo_log *log, struct log_climb *climb)
{
    int rc = SQLITE_OK;
    if (!climb->grown)
        return rc;
    sqlite3_stmt *statement = log_statement(log, LOG_CLIMB_SPAN, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, climb->id);
    sqlite3_bind_int64(statement, 2, climb->first_s);
    sqlite3_bind_int64(statement, 3, climb->last_s);
    rc = log_run(statement);
    climb->grown = rc != SQLITE_OK;
    return rc;
}

/* A copy of a column's text; NULL: memory is out. */
static char *text_column(sqlite3_stmt *statement, int column)
{
    const char *text = (const char *)sqlite3_column_text(statement, column);
    if (!text)
        return NULL;
    size_t bytes = strlen(text) + 1;
    char *copy = passo_xcalloc(bytes, 1);
    memcpy(copy, text, bytes);
    return copy;
}

static int read_facts(struct passo_log *log, sqlite3_stmt *statement, struct log_climb_facts *out)
{
    const char **text[] = {&out->player, &out->passage, &out->piece, &out->setup};
    int rc = SQLITE_OK;
    out->session = text_column(statement, 0);
    out->began_ns = sqlite3_column_int64(statement, 1);
    out->offset_s = (int32_t)log_number(statement, 2, -2 * 86400, 2 * 86400, &rc);
    out->seen_live = sqlite3_column_int(statement, 3) != 0;
    out->ended = sqlite3_column_int(statement, 4) != 0;
    for (int i = 0; i < 4 && rc == SQLITE_OK; i++)
        rc = log_text_of(log, sqlite3_column_int64(statement, 5 + i), text[i]);
    return out->session ? rc : SQLITE_NOMEM;
}

int log_climb_read(struct passo_log *log, int64_t climb, struct log_climb_facts *out)
{
    int rc;
    *out = (struct log_climb_facts){0};
    sqlite3_stmt *statement = log_statement(log, LOG_CLIMB_READ, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, climb);
    rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW)
        rc = read_facts(log, statement, out);
    else if (rc == SQLITE_DONE)
        rc = SQLITE_CORRUPT;
    sqlite3_reset(statement);
    return rc;
}

void log_climb_facts_free(struct log_climb_facts *facts)
{
    free(facts->session);
    *facts = (struct log_climb_facts){0};
}

void log_session_name(char out[PASSO_SESSION_BYTES], const char *wish, unsigned number)
{
    char suffix[16] = "";
    if (number > 1)
        snprintf(suffix, sizeof suffix, "-%u", number);
    int room = PASSO_SESSION_BYTES - 1 - (int)strlen(suffix);
    snprintf(out, PASSO_SESSION_BYTES, "%.*s%s", room, wish, suffix);
}

static bool is_wished(const char *text, const char *wish)
{
    return !wish || !strcmp(text, wish);
}

bool log_is_wished(const struct log_passage *passage, const struct passo_log_wish *wish)
{
    return is_wished(passage->player, wish->player) && is_wished(passage->title, wish->passage) &&
           is_wished(passage->piece, wish->piece);
}

static int read_passage(struct passo_log *log, sqlite3_stmt *statement, struct log_passage *out)
{
    out->id = sqlite3_column_int64(statement, 0);
    int rc = log_text_of(log, sqlite3_column_int64(statement, 1), &out->player);
    if (rc == SQLITE_OK)
        rc = log_text_of(log, sqlite3_column_int64(statement, 2), &out->title);
    if (rc == SQLITE_OK)
        rc = log_text_of(log, sqlite3_column_int64(statement, 3), &out->piece);
    return rc;
}

int log_passages_read(struct passo_log *log, const struct passo_log_wish *wish,
                      struct log_passages *out)
{
    int rc;
    *out = (struct log_passages){0};
    sqlite3_stmt *statement = log_statement(log, LOG_PASSAGES_READ, &rc);
    if (!statement)
        return rc;
    while ((rc = sqlite3_step(statement)) == SQLITE_ROW) {
        struct log_passage passage;
        rc = read_passage(log, statement, &passage);
        if (rc != SQLITE_OK)
            break;
        if (!log_is_wished(&passage, wish))
            continue;
        if ((out->count & (out->count - 1)) == 0)
            out->at = passo_xrealloc(out->at, (out->count ? 2 * out->count : 1) * sizeof *out->at);
        out->at[out->count++] = passage;
    }
    sqlite3_reset(statement);
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

void log_passages_free(struct log_passages *passages)
{
    free(passages->at);
    *passages = (struct log_passages){0};
}

/* Which seconds of UTC a day may have, at any place. */
static int64_t earliest_s(int32_t day)
{
    return day && passo_day_exists(day) ? (passo_day_count(day) - 2) * 86400 : INT64_MIN;
}

static int64_t latest_s(int32_t day)
{
    return day && passo_day_exists(day) ? (passo_day_count(day) + 3) * 86400 : INT64_MAX;
}

int log_spans_read(struct passo_log *log, const struct log_passage *passage, int32_t from_day,
                   int32_t to_day, struct log_spans *spans)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_CLIMBS_READ, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, passage->id);
    sqlite3_bind_int64(statement, 2, earliest_s(from_day));
    sqlite3_bind_int64(statement, 3, latest_s(to_day));
    while ((rc = sqlite3_step(statement)) == SQLITE_ROW) {
        if ((spans->count & (spans->count - 1)) == 0)
            spans->at = passo_xrealloc(spans->at,
                                       (spans->count ? 2 * spans->count : 1) * sizeof *spans->at);
        struct log_span *span = &spans->at[spans->count++];
        *span = (struct log_span){.id = sqlite3_column_int64(statement, 0),
                                  .first_s = sqlite3_column_int64(statement, 1),
                                  .session = text_column(statement, 2),
                                  .passage = passage};
        if (!span->session) {
            rc = SQLITE_NOMEM;
            break;
        }
    }
    sqlite3_reset(statement);
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

void log_spans_free(struct log_spans *spans)
{
    for (size_t i = 0; i < spans->count; i++)
        free(spans->at[i].session);
    free(spans->at);
    *spans = (struct log_spans){0};
}
