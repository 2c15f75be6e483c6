/* For the tests of what is kept in the log: a log in a folder of its own, a start of the program as
 * staging does it, in simulated time, and what the log then has. */
#ifndef PASSO_TESTS_SESSION_KEEP_TOOLS_H
#define PASSO_TESTS_SESSION_KEEP_TOOLS_H

#include "stage_band.h"

#include <sqlite3.h>
#include "session/restore.h"

#define COMMON "title", "Lantern March", "bars", "1-4", "target", "120", "stop", "40 passes"

enum { KEPT_MAX = 200 };

static char folder[] = "/tmp/passo-keep-XXXXXX";
static char log_path[64];

static inline int keep_set_up(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/passo-keep-XXXXXX");
    if (!mkdtemp(folder))
        return -1;
    snprintf(log_path, sizeof log_path, "%s/log.sqlite", folder);
    return 0;
}

static inline int keep_tear_down(void **state)
{
    (void)state;
    char remove[96];
    snprintf(remove, sizeof remove, "rm -rf %s", folder);
    return system(remove);
}

static inline struct passo_log *open_log(void)
{
    struct passo_log *log = NULL;
    char fault[512] = "";
    enum passo_error error = passo_log_open(log_path, PASSO_LOG_KEEP, &log, fault, sizeof fault);
    if (error)
        print_error("%s\n", fault);
    assert_int_equal(error, PASSO_OK);
    return log;
}

/* One number that SQL asks the log for, from outside. */
static inline int64_t sql_number(const char *text)
{
    sqlite3 *db;
    sqlite3_stmt *statement;
    assert_int_equal(sqlite3_open(log_path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, text, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    int64_t number = sqlite3_column_int64(statement, 0);
    sqlite3_finalize(statement);
    sqlite3_close(db);
    return number;
}

/* --- what the log has --- */

struct kept {
    struct {
        uint32_t pass;
        enum passo_part part;
        char loop[64];
        char variant[64];
        int32_t tempo_mbpm;
        enum passo_mark mark;
        char marked_by[16];
        uint32_t cleans;
        enum passo_move move;
        int32_t next_mbpm;
    } row[KEPT_MAX];
    size_t rows;
};

static inline void keep_row(void *user, const struct passo_row *row)
{
    struct kept *kept = user;
    assert_true(kept->rows < KEPT_MAX);
    memset(&kept->row[kept->rows], 0, sizeof kept->row[0]);
    kept->row[kept->rows].pass = row->pass;
    kept->row[kept->rows].part = row->part;
    snprintf(kept->row[kept->rows].loop, 64, "%s", row->loop);
    snprintf(kept->row[kept->rows].variant, 64, "%s", row->variant);
    kept->row[kept->rows].tempo_mbpm = row->tempo_mbpm;
    kept->row[kept->rows].mark = row->mark;
    snprintf(kept->row[kept->rows].marked_by, 16, "%s", row->marked_by);
    kept->row[kept->rows].cleans = row->clean_in_a_row;
    kept->row[kept->rows].move = row->move;
    kept->row[kept->rows].next_mbpm = row->next_mbpm;
    kept->rows++;
}

static inline void read_kept(struct kept *kept)
{
    char fault[512];
    const struct passo_log_wish wish = {0};
    struct passo_log *log = open_log();
    memset(kept, 0, sizeof *kept);
    assert_int_equal(passo_log_rows(log, &wish, keep_row, kept, fault, sizeof fault), PASSO_OK);
    passo_log_close(log);
}

/* --- climbs --- */

static inline void add_lines(struct passo_lines *lines, const char *const *options)
{
    struct passo_faults faults = {0};
    for (size_t i = 0; options[i]; i += 2)
        passo_lines_add_option(lines, options[i], options[i + 1], &faults);
    assert_int_equal(faults.faults, 0);
}

static inline struct passo_setup *resolve(const struct passo_lines *lines, uint64_t seed)
{
    struct passo_faults faults = {0};
    struct passo_setup *setup = calloc(1, sizeof *setup);
    passo_setup_resolve(lines, true, setup, &faults);
    assert_int_equal(faults.faults, 0);
    for (size_t i = 0; i < setup->course.stages; i++)
        setup->course.stage[i].rule.seed = seed + i;
    return setup;
}

struct climb_wish {
    const char *const *options;
    const char *marks;
    uint64_t seed;
    size_t die_at_line; /* 0: lives */
    enum passo_extra extra;
};

/* One start of the program: goes on if there is something to go on with. True if it did. */
static inline bool start(const struct climb_wish *wish, struct band *band)
{
    struct passo_lines lines = {0};
    char fault[512];
    add_lines(&lines, wish->options);
    struct passo_setup *setup = resolve(&lines, wish->seed);
    band->extra = wish->extra;
    band->log = open_log();
    struct passo_log_cut cut;
    assert_int_equal(passo_log_cut_read(band->log, "", setup->passage.title, setup->passage.piece,
                                        &cut, fault, sizeof fault),
                     PASSO_OK);
    bool goes_on = passo_restore_goes_on(&cut, &lines, setup, cut.day);
    char *text = passo_restore_text(&lines, setup);
    band->setup_text = text;
    band->cut = goes_on ? &cut : NULL;
    band_play_setup(band, setup, wish->marks);
    passo_log_close(band->log);
    passo_log_cut_deinit(&cut);
    passo_lines_deinit(&lines);
    free(text);
    free(setup);
    return goes_on;
}

static inline void forget(void)
{
    char path[96];
    static const char *const ends[] = {"", "-wal", "-shm"};
    for (size_t i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s%s", log_path, ends[i]);
        unlink(path);
    }
}

#endif
