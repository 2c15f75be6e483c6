/* The rows of the log for its readers: the climbs that may have some are sorted first, then each
 * one's passes are read in order. Also the players. Runs on the main thread. */
#include "store/log_priv.h"

#include <stdlib.h>
#include <string.h>

/* By the second at which the first pass began, then by player, passage, piece and session, so that
 * what was exported and taken in again comes in the same order. */
static int by_time(const void *left, const void *right)
{
    const struct log_span *a = left;
    const struct log_span *b = right;
    if (a->first_s != b->first_s)
        return a->first_s < b->first_s ? -1 : 1;
    int order = strcmp(a->passage->player, b->passage->player);
    if (order == 0)
        order = strcmp(a->passage->title, b->passage->title);
    if (order == 0)
        order = strcmp(a->passage->piece, b->passage->piece);
    return order ? order : strcmp(a->session, b->session);
}

struct reader {
    const struct log_span *span; /* the climb that is read */
    void (*take)(void *user, const struct passo_row *row);
    void *user;
};

static int hand_on(void *user, const struct log_pass *pass)
{
    const struct reader *reader = user;
    const struct passo_log_wish *wish = reader->span->wish;
    struct passo_row row = pass->row;
    if ((wish->from_day && row.day < wish->from_day) || (wish->to_day && row.day > wish->to_day))
        return SQLITE_OK;
    row.player = reader->span->passage->player;
    row.passage = reader->span->passage->title;
    row.piece = reader->span->passage->piece;
    row.session = reader->span->session;
    reader->take(reader->user, &row);
    return SQLITE_OK;
}

/* The first that has a passage; NULL: none has. */
static const struct passo_log_wish *wish_of(const struct log_passage *passage,
                                            const struct passo_log_wish *wish, size_t wishes)
{
    for (size_t i = 0; i < wishes; i++) {
        if (log_is_wished(passage, &wish[i]))
            return &wish[i];
    }
    return NULL;
}

/* The climbs of all wishes are sorted together; each is read with the days of its own. */
static int read_rows(struct passo_log *log, const struct passo_log_wish *wish, size_t wishes,
                     struct reader *reader)
{
    const struct passo_log_wish all = {0};
    struct log_passages passages;
    struct log_spans spans = {0};
    int rc = log_passages_read(log, &all, &passages);
    for (size_t i = 0; i < passages.count && rc == SQLITE_OK; i++) {
        const struct passo_log_wish *of = wish_of(&passages.at[i], wish, wishes);
        size_t span = spans.count;
        if (of)
            rc = log_spans_read(log, &passages.at[i], of->from_day, of->to_day, &spans);
        while (span < spans.count)
            spans.at[span++].wish = of;
    }
    if (spans.count)
        qsort(spans.at, spans.count, sizeof *spans.at, by_time);
    for (size_t i = 0; i < spans.count && rc == SQLITE_OK; i++) {
        reader->span = &spans.at[i];
        rc = log_passes_read(log, spans.at[i].id, 0, UINT32_MAX, hand_on, reader);
    }
    log_spans_free(&spans);
    log_passages_free(&passages);
    return rc;
}

enum passo_error passo_log_rows_of(struct passo_log *log, const struct passo_log_wish *wish,
                                   size_t wishes,
                                   void (*take)(void *user, const struct passo_row *row),
                                   void *user, char *out_fault, size_t fault_bytes)
{
    struct reader reader = {.take = take, .user = user};
    enum passo_error error = log_begin_read(log, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    return log_end_read(log, read_rows(log, wish, wishes, &reader), out_fault, fault_bytes);
}

enum passo_error passo_log_rows(struct passo_log *log, const struct passo_log_wish *wish,
                                void (*take)(void *user, const struct passo_row *row), void *user,
                                char *out_fault, size_t fault_bytes)
{
    return passo_log_rows_of(log, wish, 1, take, user, out_fault, fault_bytes);
}

enum passo_error passo_log_players(struct passo_log *log,
                                   void (*take)(void *user, const char *player), void *user,
                                   char *out_fault, size_t fault_bytes)
{
    int rc;
    enum passo_error error = log_begin_read(log, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    sqlite3_stmt *statement = log_statement(log, LOG_PLAYERS_READ, &rc);
    while (statement && (rc = sqlite3_step(statement)) == SQLITE_ROW) {
        const char *player;
        rc = log_text_of(log, sqlite3_column_int64(statement, 0), &player);
        if (rc != SQLITE_OK)
            break;
        take(user, player);
    }
    sqlite3_reset(statement);
    return log_end_read(log, rc == SQLITE_DONE ? SQLITE_OK : rc, out_fault, fault_bytes);
}
