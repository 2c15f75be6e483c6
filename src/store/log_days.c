/* How each passage went by day: worked out from the passes as they now hold, kept in the table
 * `day`, read from there. The days that a transaction touches are remembered by passage, and worked
 * out anew before it commits, from the few climbs that may reach them. Runs on the main thread. */
#include "store/log_priv.h"

#include <stdlib.h>
#include <string.h>
#include "store/day.h"

/* One day at one target, with when what it keeps began. */
struct sum {
    int32_t day;
    int32_t target_mbpm;
    int64_t beat_unit;
    struct passo_log_day of;
    int64_t play_ms;
    int64_t try_ns;
    int64_t level_ns;
    int64_t move_ns;
    bool tried;
    bool at_level;
};

struct sums {
    struct passo_log *log;
    int32_t from_day;
    int32_t to_day;
    struct sum *at; /* ascending by day, beat unit, target */
    size_t count;
    size_t room;
};

static int order(const struct sum *sum, int32_t day, int64_t beat_unit, int32_t target_mbpm)
{
    if (sum->day != day)
        return sum->day < day ? -1 : 1;
    if (sum->beat_unit != beat_unit)
        return sum->beat_unit < beat_unit ? -1 : 1;
    return (sum->target_mbpm > target_mbpm) - (sum->target_mbpm < target_mbpm);
}

/* Where it stands, or a fresh one. */
static struct sum *sum_of(struct sums *sums, const struct passo_row *row, int64_t beat_unit)
{
    size_t low = 0;
    size_t high = sums->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (order(&sums->at[middle], row->day, beat_unit, row->target_mbpm) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    if (low < sums->count && order(&sums->at[low], row->day, beat_unit, row->target_mbpm) == 0)
        return &sums->at[low];
    if (sums->count == sums->room) {
        sums->room = sums->room ? 2 * sums->room : 16;
        sums->at = passo_xrealloc(sums->at, sums->room * sizeof *sums->at);
    }
    struct sum *sum = &sums->at[low];
    memmove(sum + 1, sum, (sums->count++ - low) * sizeof *sum);
    *sum = (struct sum){.day = row->day, .target_mbpm = row->target_mbpm, .beat_unit = beat_unit};
    sum->of.first_ns = INT64_MAX;
    sum->move_ns = INT64_MIN;
    return sum;
}

/* What a pass says that shows how well it goes. */
static void add_shown(struct sum *sum, const struct passo_row *row)
{
    struct passo_log_day *of = &sum->of;
    bool clean = row->mark == PASSO_MARK_CLEAN;
    of->clean += clean;
    of->missed += row->mark == PASSO_MARK_MISS;
    bool tried = row->mark != PASSO_MARK_NONE;
    if (tried && (!sum->tried || row->time_ns < sum->try_ns)) {
        sum->tried = true;
        sum->try_ns = row->time_ns;
        of->first_try = row->mark;
    }
    bool level = tried && row->target_mbpm &&
                 (int64_t)row->tempo_mbpm * 100 >= (int64_t)row->target_mbpm * 95;
    if (level && (!sum->at_level || row->time_ns < sum->level_ns)) {
        sum->at_level = true;
        sum->level_ns = row->time_ns;
        of->first_at_level = row->mark;
    }
    if (clean && passo_row_is_level(row) && row->tempo_mbpm > of->best_clean_mbpm)
        of->best_clean_mbpm = row->tempo_mbpm;
    if (passo_row_wins(row) && row->tempo_mbpm > of->best_won_mbpm)
        of->best_won_mbpm = row->tempo_mbpm;
}

static int add_pass(void *user, const struct log_pass *pass)
{
    struct sums *sums = user;
    const struct passo_row *row = &pass->row;
    int64_t beat_unit;
    if (row->mark == PASSO_MARK_VOID || row->extra == PASSO_EXTRA_CHECK ||
        (sums->from_day && row->day < sums->from_day) || (sums->to_day && row->day > sums->to_day))
        return SQLITE_OK;
    int rc = log_text_id(sums->log, row->beat_unit, &beat_unit);
    if (rc != SQLITE_OK)
        return rc;
    struct sum *sum = sum_of(sums, row, beat_unit);
    sum->of.passes++;
    sum->play_ms += row->play_ns / 1000000;
    if (row->time_ns < sum->of.first_ns)
        sum->of.first_ns = row->time_ns;
    if (row->move != PASSO_MOVE_NONE && row->time_ns >= sum->move_ns) {
        sum->move_ns = row->time_ns;
        sum->of.ended = row->move;
    }
    if (passo_row_shows(row))
        add_shown(sum, row);
    return SQLITE_OK;
}

static int write_sum(struct passo_log *log, int64_t passage, const struct sum *sum)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_DAY_ADD, &rc);
    if (!statement)
        return rc;
    const int64_t value[] = {passage,
                             sum->day,
                             sum->of.first_ns,
                             sum->beat_unit,
                             sum->target_mbpm,
                             sum->of.passes,
                             sum->of.clean,
                             sum->of.missed,
                             sum->play_ms,
                             sum->of.best_clean_mbpm,
                             sum->of.best_won_mbpm,
                             (int64_t)sum->of.first_try,
                             (int64_t)sum->of.first_at_level,
                             (int64_t)passo_move_as_end(sum->of.ended)};
    for (int i = 0; i < (int)(sizeof value / sizeof value[0]); i++)
        sqlite3_bind_int64(statement, i + 1, value[i]);
    return log_run(statement);
}

static int delete_days(struct passo_log *log, int64_t passage, int32_t from_day, int32_t to_day)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_DAYS_DELETE, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, passage);
    sqlite3_bind_int(statement, 2, from_day);
    sqlite3_bind_int(statement, 3, to_day ? to_day : INT32_MAX);
    return log_run(statement);
}

int log_days_work_out(struct passo_log *log, int64_t passage, int32_t from_day, int32_t to_day)
{
    struct log_passage of = {.id = passage};
    struct log_spans spans = {0};
    struct sums sums = {.log = log, .from_day = from_day, .to_day = to_day};
    int rc = delete_days(log, passage, from_day, to_day);
    if (rc == SQLITE_OK)
        rc = log_spans_read(log, &of, from_day, to_day, &spans);
    for (size_t i = 0; i < spans.count && rc == SQLITE_OK; i++)
        rc = log_passes_read(log, spans.at[i].id, 0, UINT32_MAX, add_pass, &sums);
    for (size_t i = 0; i < sums.count && rc == SQLITE_OK; i++)
        rc = write_sum(log, passage, &sums.at[i]);
    log_spans_free(&spans);
    free(sums.at);
    return rc;
}

void log_touch(struct passo_log *log, int64_t passage, int32_t day)
{
    struct log_dirty *last = log->dirties ? &log->dirty[log->last_dirty] : NULL;
    if (!last || last->passage != passage) {
        size_t at = 0;
        while (at < log->dirties && log->dirty[at].passage != passage)
            at++;
        if (at == log->dirties) {
            if (log->dirties == log->dirty_room) {
                log->dirty_room = log->dirty_room ? 2 * log->dirty_room : 8;
                log->dirty = passo_xrealloc(log->dirty, log->dirty_room * sizeof *log->dirty);
            }
            log->dirty[log->dirties++] = (struct log_dirty){passage, day, day};
        }
        log->last_dirty = at;
        last = &log->dirty[at];
    }
    if (day < last->from_day)
        last->from_day = day;
    if (day > last->to_day)
        last->to_day = day;
}

static int read_day(struct passo_log *log, sqlite3_stmt *statement, struct passo_log_day *day)
{
    int rc = SQLITE_OK;
    day->day = (int32_t)log_number(statement, 0, 0, INT32_MAX, &rc);
    day->first_ns = sqlite3_column_int64(statement, 1);
    day->target_mbpm = (int32_t)log_number(statement, 3, 0, INT32_MAX, &rc);
    day->passes = (uint32_t)log_number(statement, 4, 0, UINT32_MAX, &rc);
    day->clean = (uint32_t)log_number(statement, 5, 0, UINT32_MAX, &rc);
    day->missed = (uint32_t)log_number(statement, 6, 0, UINT32_MAX, &rc);
    day->play_ns =
        log_number(statement, 7, -(INT64_MAX / 1000000), INT64_MAX / 1000000, &rc) * 1000000;
    day->best_clean_mbpm = (int32_t)log_number(statement, 8, 0, INT32_MAX, &rc);
    day->best_won_mbpm = (int32_t)log_number(statement, 9, 0, INT32_MAX, &rc);
    day->first_try = (enum passo_mark)log_number(statement, 10, 0, PASSO_MARK_COUNT - 1, &rc);
    day->first_at_level = (enum passo_mark)log_number(statement, 11, 0, PASSO_MARK_COUNT - 1, &rc);
    day->ended = (enum passo_move)log_number(statement, 12, 0, PASSO_MOVE_COUNT - 1, &rc);
    if (!passo_day_exists(day->day))
        rc = SQLITE_CORRUPT;
    if (rc == SQLITE_OK)
        rc = log_text_of(log, sqlite3_column_int64(statement, 2), &day->beat_unit);
    return rc;
}

static int read_days(struct passo_log *log, const struct log_passage *passage,
                     const struct passo_log_wish *wish,
                     void (*take)(void *user, const struct passo_log_day *day), void *user)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_DAYS_READ, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, passage->id);
    sqlite3_bind_int(statement, 2, wish->from_day);
    sqlite3_bind_int(statement, 3, wish->to_day ? wish->to_day : INT32_MAX);
    while ((rc = sqlite3_step(statement)) == SQLITE_ROW) {
        struct passo_log_day day = {
            .player = passage->player, .passage = passage->title, .piece = passage->piece};
        rc = read_day(log, statement, &day);
        if (rc != SQLITE_OK)
            break;
        take(user, &day);
    }
    sqlite3_reset(statement);
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

enum passo_error passo_log_days(struct passo_log *log, const struct passo_log_wish *wish,
                                void (*take)(void *user, const struct passo_log_day *day),
                                void *user, char *out_fault, size_t fault_bytes)
{
    struct log_passages passages = {0};
    enum passo_error error = log_begin_read(log, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    int rc = log_passages_read(log, wish, &passages);
    for (size_t i = 0; i < passages.count && rc == SQLITE_OK; i++)
        rc = read_days(log, &passages.at[i], wish, take, user);
    log_passages_free(&passages);
    return log_end_read(log, rc, out_fault, fault_bytes);
}
