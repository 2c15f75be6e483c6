/* What was done of a routine, with any numbers in its table: either all of it is read, and counting
 * with it is safe, or one sentence says that the log is damaged. The log is in memory. */
#include "fuzz.h"

#include "store/day.h"
#include "store/log_priv.h"

enum { COLUMNS = 9, ROWS_MAX = 12 };

struct reading {
    size_t rows;
    int64_t play_ns;
    int64_t first_ns;
    int64_t last_ns;
};

static void take(void *user, const struct passo_log_day_row *row)
{
    struct reading *reading = user;
    FUZZ_CHECK(row->player && row->routine && row->item);
    FUZZ_CHECK(row->deed < PASSO_LOG_DEED_COUNT && passo_day_exists(row->day));
    FUZZ_CHECK(row->played_ns >= 0 && row->rested_ns >= 0);
    reading->rows++;
    /* what a reader may count; UBSan looks on */
    reading->play_ns += row->played_ns + row->rested_ns;
    if (reading->rows == 1)
        reading->first_ns = row->time_ns;
    reading->last_ns = row->time_ns - reading->first_ns + row->offset_s;
    (void)(passo_day_count(row->day) * 86400);
}

/* A number as a sound log has it in a column, or one of the input, or an end of some range. */
static int64_t draw(struct passo_random *random, int column, const uint8_t *data, size_t bytes)
{
    static const int64_t sound[COLUMNS] = {1, 1, 2, 3, 1795631405000000000, 3600, 20261125, 9, 8};
    static const int64_t ends[] = {
        INT64_MIN,        INT64_MAX,      -1, 0, 6, 7, 172800, 172801, 20261131, 99991231,
        INT64_C(1) << 62, 172800000000000};
    int64_t any = 0;
    if (!fuzz_one_in(random, 24))
        return sound[column];
    if (bytes < sizeof any || fuzz_one_in(random, 2))
        return ends[passo_random_below(random, sizeof ends / sizeof ends[0])];
    memcpy(&any, data + passo_random_below(random, (uint32_t)(bytes - sizeof any + 1)), sizeof any);
    return any;
}

static void add_row(struct passo_log *log, const int64_t value[COLUMNS])
{
    int rc;
    sqlite3_stmt *statement = log_statement(log, LOG_DEED_ADD, &rc);
    FUZZ_CHECK(statement);
    for (int i = 0; i < COLUMNS; i++)
        sqlite3_bind_int64(statement, i + 1, value[i]);
    FUZZ_CHECK(log_run(statement) == SQLITE_OK);
}

/* Two texts and a player to point to, then rows that need not. */
static size_t fill(struct passo_log *log, struct passo_random *random, const uint8_t *data,
                   size_t bytes)
{
    struct passo_log_day_row row = {.player = "A.B.", .routine = "A.B.", .item = "visit/1/Run"};
    const bool late = passo_random_below(random, 2);
    row.day = 20261125;
    row.played_ns = late ? INT64_MAX : INT64_MIN; /* what is written is held */
    row.rested_ns = late ? INT64_MIN : INT64_MAX;
    row.time_ns = row.played_ns;
    size_t rows = passo_random_below(random, ROWS_MAX);
    FUZZ_CHECK(sqlite3_exec(log->db, "PRAGMA foreign_keys = OFF", NULL, NULL, NULL) == SQLITE_OK);
    FUZZ_CHECK(log_begin_work(log));
    FUZZ_CHECK(log_deed_add(log, &row) == SQLITE_OK);
    for (size_t i = 0; i < rows; i++) {
        int64_t value[COLUMNS];
        for (int column = 0; column < COLUMNS; column++)
            value[column] = draw(random, column, data, bytes);
        add_row(log, value);
    }
    FUZZ_CHECK(log_end_work(log, SQLITE_OK));
    return rows + 1;
}

void fuzz_check_deeds(struct passo_random *random, const uint8_t *data, size_t bytes)
{
    struct passo_log *log;
    char fault[256];
    FUZZ_CHECK(passo_log_open("/nowhere-at-all/log.sqlite", PASSO_LOG_LOOK, &log, fault,
                              sizeof fault) == PASSO_OK);
    size_t rows = fill(log, random, data, bytes);
    for (int all = 0; all < 2; all++) {
        struct reading reading = {0};
        enum passo_error error = passo_log_today_rows(log, all ? NULL : "A.B.", 0, 0, take,
                                                      &reading, fault, sizeof fault);
        if (error == PASSO_OK)
            FUZZ_CHECK(all ? reading.rows == rows : reading.rows <= rows && reading.rows > 0);
        else
            FUZZ_CHECK(error == PASSO_ERR_SYNTAX && strstr(fault, "this log is damaged"));
    }
    passo_log_close(log);
}
