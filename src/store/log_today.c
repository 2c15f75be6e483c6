/* What was done of a day's routine: the rows of `deed`, which are added one after the other and
 * read again by player and day. What is read is held to what could have been written, so that its
 * readers can count with it. Runs on the main thread. */
#include "store/log_priv.h"

#include "store/day.h"

/* The longest that an item is played or rested, two days: no sum of them is ever too large. */
static const int64_t most_ns = 2 * 86400 * INT64_C(1000000000);
/* Times lie between the years 1843 and 2096: their differences are never too large. */
static const int64_t most_time_ns = INT64_C(4000000000000000000);
static const int64_t most_offset_s = 2 * 86400;

enum { PLAYER, ROUTINE, ITEM, KIND, TIME, OFFSET, DAY, PLAYED, RESTED };

static int64_t held(int64_t value, int64_t least, int64_t most)
{
    return value < least ? least : value > most ? most : value;
}

int log_deed_add(struct passo_log *log, const struct passo_log_day_row *row)
{
    int64_t player;
    int64_t routine;
    int64_t item;
    int rc = log_player(log, row->player, &player);
    if (rc == SQLITE_OK)
        rc = log_text_id(log, row->routine, &routine);
    if (rc == SQLITE_OK)
        rc = log_text_id(log, row->item, &item);
    sqlite3_stmt *statement = rc == SQLITE_OK ? log_statement(log, LOG_DEED_ADD, &rc) : NULL;
    if (!statement)
        return rc;
    const int64_t value[] = {player,
                             routine,
                             item,
                             (int64_t)row->deed,
                             held(row->time_ns, -most_time_ns, most_time_ns),
                             held(row->offset_s, -most_offset_s, most_offset_s),
                             row->day,
                             held(row->played_ns, 0, most_ns),
                             held(row->rested_ns, 0, most_ns)};
    for (int i = 0; i < (int)(sizeof value / sizeof value[0]); i++)
        sqlite3_bind_int64(statement, i + 1, value[i]);
    return log_run(statement);
}

static int read_row(struct passo_log *log, sqlite3_stmt *statement, struct passo_log_day_row *row)
{
    const struct {
        int column;
        const char **text;
    } texts[] = {{PLAYER, &row->player}, {ROUTINE, &row->routine}, {ITEM, &row->item}};
    int rc = SQLITE_OK;
    row->deed = (enum passo_log_deed)log_number(statement, KIND, 0, PASSO_LOG_DEED_COUNT - 1, &rc);
    row->time_ns = log_number(statement, TIME, -most_time_ns, most_time_ns, &rc);
    row->offset_s = (int32_t)log_number(statement, OFFSET, -most_offset_s, most_offset_s, &rc);
    row->day = (int32_t)log_number(statement, DAY, 0, INT32_MAX, &rc);
    row->played_ns = log_number(statement, PLAYED, 0, most_ns, &rc);
    row->rested_ns = log_number(statement, RESTED, 0, most_ns, &rc);
    if (!passo_day_exists(row->day))
        rc = SQLITE_CORRUPT;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0] && rc == SQLITE_OK; i++)
        rc = log_text_of(log, sqlite3_column_int64(statement, texts[i].column), texts[i].text);
    return rc;
}

static int read_rows(struct passo_log *log, sqlite3_stmt *statement,
                     void (*take)(void *user, const struct passo_log_day_row *row), void *user)
{
    int rc;
    while ((rc = sqlite3_step(statement)) == SQLITE_ROW) {
        struct passo_log_day_row row;
        rc = read_row(log, statement, &row);
        if (rc != SQLITE_OK)
            return rc;
        take(user, &row);
    }
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

enum passo_error passo_log_today_rows(struct passo_log *log, const char *player, int32_t from_day,
                                      int32_t to_day,
                                      void (*take)(void *user, const struct passo_log_day_row *row),
                                      void *user, char *out_fault, size_t fault_bytes)
{
    int rc;
    enum passo_error error = log_begin_read(log, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    sqlite3_stmt *statement = log_statement(log, player ? LOG_DEEDS_READ : LOG_DEEDS_READ_ALL, &rc);
    if (!statement)
        return log_end_read(log, rc, out_fault, fault_bytes);
    sqlite3_bind_int64(statement, 1, from_day ? from_day : INT64_MIN);
    sqlite3_bind_int64(statement, 2, to_day ? to_day : INT64_MAX);
    if (player)
        sqlite3_bind_text(statement, 3, player, -1, SQLITE_STATIC);
    rc = read_rows(log, statement, take, user);
    sqlite3_reset(statement);
    sqlite3_clear_bindings(statement);
    return log_end_read(log, rc, out_fault, fault_bytes);
}
