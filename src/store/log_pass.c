/* Passes and what came to them, in and out of the file. A pass as it now holds is its own row with
 * the last change over it. Runs on the main thread. */
#include "store/log_priv.h"

#include <string.h>

/* `part` of a part that is none of a ladder is this and the enum passo_extra. */
enum { EXTRA = 100 };

/* Columns of LOG_PASSES_READ. */
enum {
    NUMBER,
    TIME,
    OFFSET,
    PART,
    STAGE,
    RUNG,
    TURN,
    ENDED,
    PLAYED,
    LOOP,
    BARS,
    VARIANT,
    OFF_PITCH,
    BEAT,
    TEMPO,
    TARGET,
    MARK,
    MARKED_BY,
    MISS_BAR,
    CLEANS,
    MOVE,
    NEXT,
    PLAY,
    REST,
    ELAPSED
};
/* Columns of LOG_CHANGES_READ. */
enum { CHANGE_NUMBER, CHANGE_KIND, CHANGE_MARK, CHANGE_REST = 8 };

static const int64_t most_ms = INT64_MAX / 1000000;

/* As the CSV has it. */
static int64_t to_ms(int64_t ns)
{
    return (ns + 500000) / 1000000;
}

static int64_t seconds_of(int64_t ns)
{
    return ns / 1000000000 - (ns % 1000000000 < 0);
}

/* Six values from a parameter on. */
static int bind_mark(struct passo_log *log, sqlite3_stmt *statement, int from,
                     const struct passo_row *row)
{
    int64_t marked_by = 0;
    int rc = log_text_id(log, row->marked_by, &marked_by);
    sqlite3_bind_int(statement, from, (int)row->mark);
    sqlite3_bind_int64(statement, from + 1, marked_by);
    if (row->miss_bar == INT32_MIN)
        sqlite3_bind_null(statement, from + 2);
    else
        sqlite3_bind_int(statement, from + 2, row->miss_bar);
    sqlite3_bind_int64(statement, from + 3, row->clean_in_a_row);
    sqlite3_bind_int(statement, from + 4, (int)row->move);
    sqlite3_bind_int(statement, from + 5, row->next_mbpm);
    return rc;
}

static void bind_event(sqlite3_stmt *statement, int from, const struct passo_ladder_event *event)
{
    if (!event) {
        for (int i = 0; i < 5; i++)
            sqlite3_bind_null(statement, from + i);
        return;
    }
    sqlite3_bind_int(statement, from, event->stage);
    sqlite3_bind_int(statement, from + 1, event->rung);
    sqlite3_bind_int(statement, from + 2, event->turn);
    sqlite3_bind_int64(statement, from + 3, event->elapsed_ms);
    sqlite3_bind_int64(statement, from + 4, event->played_ms);
}

static int bind_texts(struct passo_log *log, sqlite3_stmt *statement, const struct passo_row *row)
{
    const struct {
        int column;
        const char *text;
    } texts[] = {
        {LOOP, row->loop}, {BARS, row->bars}, {VARIANT, row->variant}, {BEAT, row->beat_unit}};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        int64_t id = 0;
        int rc = log_text_id(log, texts[i].text, &id);
        if (rc != SQLITE_OK)
            return rc;
        sqlite3_bind_int64(statement, 2 + texts[i].column, id);
    }
    return SQLITE_OK;
}

/* How far the climb reaches with this pass. */
static void grow(struct log_climb *climb, int64_t time_s)
{
    bool first = climb->last_s < climb->first_s;
    if (first || time_s < climb->first_s) {
        climb->first_s = time_s;
        climb->grown = true;
    }
    if (first || time_s > climb->last_s) {
        climb->last_s = time_s;
        climb->grown = true;
    }
}

int log_pass_add(struct passo_log *log, struct log_climb *climb, const struct passo_row *row,
                 const struct passo_ladder_event *event)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_PASS_ADD, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, climb->id);
    sqlite3_bind_int64(statement, 2 + NUMBER, row->pass);
    sqlite3_bind_int64(statement, 2 + TIME, row->time_ns);
    sqlite3_bind_int(statement, 2 + OFFSET, row->offset_s);
    sqlite3_bind_int(statement, 2 + PART, (int)(row->extra ? EXTRA + row->extra : row->part));
    bind_event(statement, 2 + STAGE, event);
    rc = bind_texts(log, statement, row);
    sqlite3_bind_int(statement, 2 + OFF_PITCH, row->off_pitch);
    sqlite3_bind_int(statement, 2 + TEMPO, row->tempo_mbpm);
    sqlite3_bind_int(statement, 2 + TARGET, row->target_mbpm);
    if (rc == SQLITE_OK)
        rc = bind_mark(log, statement, 2 + MARK, row);
    sqlite3_bind_int64(statement, 2 + PLAY, to_ms(row->play_ns));
    sqlite3_bind_int64(statement, 2 + REST, to_ms(row->rest_ns));
    sqlite3_bind_int64(statement, 2 + ELAPSED, to_ms(row->elapsed_ns));
    if (rc == SQLITE_OK)
        rc = log_run(statement);
    if (rc == SQLITE_OK) {
        struct passo_row when;
        passo_row_time(&when, row->time_ns, row->offset_s);
        grow(climb, seconds_of(row->time_ns));
        log_touch(log, climb->passage, when.day);
    }
    return rc;
}

/* The day of a pass that is there; 0: it is not. */
static int day_of_pass(struct passo_log *log, int64_t climb, uint32_t number, int32_t *out_day)
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_PASS_TIME, &rc);
    if (!statement)
        return rc;
    *out_day = 0;
    sqlite3_bind_int64(statement, 1, climb);
    sqlite3_bind_int64(statement, 2, number);
    rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW) {
        struct passo_row when;
        passo_row_time(&when, sqlite3_column_int64(statement, 0), sqlite3_column_int(statement, 1));
        *out_day = when.day;
    }
    sqlite3_reset(statement);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

int log_change_add(struct passo_log *log, const struct log_climb *climb,
                   enum passo_log_change change, const struct passo_row *row, int64_t at_s)
{
    int32_t day = 0;
    int rc = day_of_pass(log, climb->id, row->pass, &day);
    if (rc != SQLITE_OK || !day)
        return rc;
    sqlite3_stmt *statement = log_statement(log, LOG_CHANGE_ADD, &rc);
    if (!statement)
        return rc;
    sqlite3_bind_int64(statement, 1, climb->id);
    sqlite3_bind_int64(statement, 2 + CHANGE_NUMBER, row->pass);
    sqlite3_bind_int(statement, 2 + CHANGE_KIND, (int)change);
    rc = bind_mark(log, statement, 2 + CHANGE_MARK, row);
    sqlite3_bind_int64(statement, 2 + CHANGE_REST, to_ms(row->rest_ns));
    sqlite3_bind_int64(statement, 3 + CHANGE_REST, to_ms(row->elapsed_ns));
    sqlite3_bind_int64(statement, 4 + CHANGE_REST, at_s);
    if (rc == SQLITE_OK)
        rc = log_run(statement);
    if (rc == SQLITE_OK)
        log_touch(log, climb->passage, day);
    return rc;
}

/* Six values from a column on, and two more. */
static int read_mark(struct passo_log *log, sqlite3_stmt *statement, int from, int rest,
                     struct passo_row *row)
{
    int rc = SQLITE_OK;
    row->mark = (enum passo_mark)log_number(statement, from, 0, PASSO_MARK_COUNT - 1, &rc);
    row->miss_bar = INT32_MIN;
    if (sqlite3_column_type(statement, from + 2) != SQLITE_NULL)
        row->miss_bar = (int32_t)log_number(statement, from + 2, INT32_MIN + 1, INT32_MAX, &rc);
    row->clean_in_a_row = (uint32_t)log_number(statement, from + 3, 0, UINT32_MAX, &rc);
    row->move = (enum passo_move)log_number(statement, from + 4, 0, PASSO_MOVE_COUNT - 1, &rc);
    row->next_mbpm = (int32_t)log_number(statement, from + 5, INT32_MIN, INT32_MAX, &rc);
    row->rest_ns = log_number(statement, rest, -most_ms, most_ms, &rc) * 1000000;
    row->elapsed_ns = log_number(statement, rest + 1, -most_ms, most_ms, &rc) * 1000000;
    if (rc != SQLITE_OK)
        return rc;
    return log_text_of(log, sqlite3_column_int64(statement, from + 1), &row->marked_by);
}

static int read_part(sqlite3_stmt *statement, struct passo_row *row)
{
    int rc = SQLITE_OK;
    int part = (int)log_number(statement, PART, 0, EXTRA + PASSO_EXTRA_COUNT - 1, &rc);
    if (part > EXTRA) {
        row->part = PASSO_PART_COUNT;
        row->extra = (enum passo_extra)(part - EXTRA);
    } else if (part < PASSO_PART_DONE) {
        row->part = (enum passo_part)part;
    } else {
        rc = SQLITE_CORRUPT;
    }
    return rc;
}

static void read_event(sqlite3_stmt *statement, struct log_pass *pass, int *rc)
{
    struct passo_ladder_event *event = &pass->event;
    pass->live = sqlite3_column_type(statement, PLAYED) != SQLITE_NULL;
    pass->closed = !pass->live;
    event->part = pass->row.part;
    event->stage = (uint8_t)log_number(statement, STAGE, 0, UINT8_MAX, rc);
    event->rung = (uint16_t)log_number(statement, RUNG, 0, UINT16_MAX, rc);
    event->turn = (uint8_t)log_number(statement, TURN, 0, UINT8_MAX, rc);
    event->elapsed_ms = sqlite3_column_int64(statement, ENDED);
    event->played_ms = sqlite3_column_int64(statement, PLAYED);
}

static int read_texts(struct passo_log *log, sqlite3_stmt *statement, struct passo_row *row)
{
    const struct {
        int column;
        const char **text;
    } texts[] = {
        {LOOP, &row->loop}, {BARS, &row->bars}, {VARIANT, &row->variant}, {BEAT, &row->beat_unit}};
    int rc = SQLITE_OK;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0] && rc == SQLITE_OK; i++)
        rc = log_text_of(log, sqlite3_column_int64(statement, texts[i].column), texts[i].text);
    return rc;
}

static int read_pass(struct passo_log *log, sqlite3_stmt *statement, struct log_pass *pass)
{
    struct passo_row *row = &pass->row;
    *pass = (struct log_pass){0};
    int rc = read_part(statement, row);
    int64_t time_ns = sqlite3_column_int64(statement, TIME);
    int32_t offset_s = (int32_t)log_number(statement, OFFSET, -2 * 86400, 2 * 86400, &rc);
    passo_row_time(row, time_ns, offset_s);
    row->pass = (uint32_t)log_number(statement, NUMBER, 0, UINT32_MAX, &rc);
    row->off_pitch = sqlite3_column_int(statement, OFF_PITCH) != 0;
    row->tempo_mbpm = (int32_t)log_number(statement, TEMPO, 0, INT32_MAX, &rc);
    row->target_mbpm = (int32_t)log_number(statement, TARGET, 0, INT32_MAX, &rc);
    row->play_ns = log_number(statement, PLAY, -most_ms, most_ms, &rc) * 1000000;
    read_event(statement, pass, &rc);
    if (rc == SQLITE_OK)
        rc = read_texts(log, statement, row);
    if (rc == SQLITE_OK)
        rc = read_mark(log, statement, MARK, REST, row);
    return rc;
}

/* The changes of a climb's passes, stepped along with them. */
struct changes {
    sqlite3_stmt *statement;
    int rc; /* SQLITE_ROW: it stands on one */
};

/* Lays those of one pass over it. */
static int lay_over(struct passo_log *log, struct changes *changes, struct log_pass *pass)
{
    while (changes->rc == SQLITE_ROW) {
        int rc = SQLITE_OK;
        sqlite3_stmt *statement = changes->statement;
        int64_t number = sqlite3_column_int64(statement, CHANGE_NUMBER);
        if (number > pass->row.pass)
            return SQLITE_OK;
        int64_t kind = log_number(statement, CHANGE_KIND, 0, PASSO_LOG_CHANGE_COUNT - 1, &rc);
        if (kind == PASSO_LOG_CLOSED || kind == PASSO_LOG_CHANGED)
            pass->closed = true;
        if (rc == SQLITE_OK)
            rc = read_mark(log, statement, CHANGE_MARK, CHANGE_REST, &pass->row);
        if (rc != SQLITE_OK)
            return rc;
        changes->rc = sqlite3_step(statement);
    }
    return changes->rc == SQLITE_DONE ? SQLITE_OK : changes->rc;
}

static int read_all(struct passo_log *log, sqlite3_stmt *passes, struct changes *changes,
                    int (*take)(void *user, const struct log_pass *pass), void *user)
{
    int rc;
    changes->rc = sqlite3_step(changes->statement);
    /* Some errors roll back at once: what was not committed is then no longer there to be read. */
    if (changes->rc != SQLITE_ROW && changes->rc != SQLITE_DONE)
        return changes->rc;
    while ((rc = sqlite3_step(passes)) == SQLITE_ROW) {
        struct log_pass pass;
        rc = read_pass(log, passes, &pass);
        if (rc == SQLITE_OK)
            rc = lay_over(log, changes, &pass);
        /* The event of an assumed mark is replayed as what it was: none. */
        pass.event.mark = pass.row.marked_by && !strcmp(pass.row.marked_by, "assumed")
                              ? PASSO_MARK_NONE
                              : pass.row.mark;
        if (rc == SQLITE_OK)
            rc = take(user, &pass);
        if (rc != SQLITE_OK)
            return rc;
    }
    return rc == SQLITE_DONE ? SQLITE_OK : rc;
}

int log_passes_read(struct passo_log *log, int64_t climb, uint32_t from, uint32_t to,
                    int (*take)(void *user, const struct log_pass *pass), void *user)
{
    int rc;
    struct changes changes = {0};
    sqlite3_stmt *passes = log_statement(log, LOG_PASSES_READ, &rc);
    if (passes)
        changes.statement = log_statement(log, LOG_CHANGES_READ, &rc);
    if (!changes.statement)
        return rc;
    sqlite3_stmt *both[] = {passes, changes.statement};
    for (int i = 0; i < 2; i++) {
        sqlite3_bind_int64(both[i], 1, climb);
        sqlite3_bind_int64(both[i], 2, from);
        sqlite3_bind_int64(both[i], 3, to);
    }
    rc = read_all(log, passes, &changes, take, user);
    sqlite3_reset(passes);
    sqlite3_reset(changes.statement);
    return rc;
}

struct one {
    struct log_pass *out;
    bool *found;
};

static int keep_one(void *user, const struct log_pass *pass)
{
    struct one *one = user;
    *one->out = *pass;
    *one->found = true;
    return SQLITE_OK;
}

int log_pass_read(struct passo_log *log, const struct log_climb *climb, uint32_t number,
                  bool *out_found, struct log_pass *out)
{
    struct one one = {out, out_found};
    *out_found = false;
    return log_passes_read(log, climb->id, number, number, keep_one, &one);
}
