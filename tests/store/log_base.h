/* For the tests of the log when things fail: one that has something in it, and what is in it. */
#ifndef PASSO_TESTS_STORE_LOG_BASE_H
#define PASSO_TESTS_STORE_LOG_BASE_H

#include "store/log_deeds.h"

enum { BASE = 3, MORE = 4, NTH_MAX = 3000 };

#define ALL ((struct passo_log_wish){0})

static inline size_t count_rows(const char *path)
{
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct rows rows = rows_of(log, ALL);
    size_t count = rows.count;
    struct days days = days_of(log, ALL);
    uint32_t passes = 0;
    for (size_t i = 0; i < days.count; i++)
        passes += days.at[i].passes;
    assert_int_equal(passes, count); /* one moment, of both */
    free_rows(&rows);
    free_days(&days);
    passo_log_close(log);
    return count;
}

/* One was done before each climb, one after it. */
static inline size_t count_deeds(const char *path)
{
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct deeds deeds = deeds_of(log, "A.B.", 0, 0);
    size_t count = deeds.count;
    for (size_t i = 0; i < count; i++)
        assert_int_equal(deeds.at[i].deed, i % 2 ? PASSO_LOG_ITEM_DONE : PASSO_LOG_ITEM_BEGAN);
    free_deeds(&deeds);
    passo_log_close(log);
    return count;
}

static inline void play_item(struct passo_log *log, int64_t later_ns, uint32_t passes)
{
    do_item(log, "A.B.", "visit/1/Run", PASSO_LOG_ITEM_BEGAN, later_ns);
    play_climb(log, climb_at("A.B.", "Run", EVENING + later_ns), passes);
    do_item(log, "A.B.", "visit/1/Run", PASSO_LOG_ITEM_DONE, later_ns);
}

static inline void make_base(const char *path)
{
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_item(log, 0, BASE);
    commit_log(log);
    passo_log_close(log);
}

#endif
