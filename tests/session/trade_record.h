/* The record of a session's passage: what earlier days gave, where a climb opens by it (read as
 * `passo climb --after` reads it), and a log that grows by a day's CSV at a time. */
#ifndef PASSO_TESTS_TRADE_RECORD_H
#define PASSO_TESTS_TRADE_RECORD_H

#include <time.h>

#include "stage_band.h"
#include "store/past.h"
#include "text/notation.h"
#include "trade_judge.h"

enum { TRADE_DAY = 20261124 }; /* of a session that names none */

/* What the record has of this session's passage before a day. */
static void read_past(const char *path, const struct passo_setup *setup, int32_t today,
                      struct passo_past_log *out_log)
{
    char fault[512] = "";
    const struct passo_past_wish wish = {.passage = setup->passage.title,
                                         .piece = setup->passage.piece,
                                         .player = "",
                                         .beat = setup->passage.beat,
                                         .target_mbpm = setup->rule.target_mbpm,
                                         .today = today,
                                         .read_beat = passo_note_value_read};
    assert_int_equal(passo_past_read(path, &wish, NULL, out_log, fault, sizeof fault), PASSO_OK);
}

static double best_clean(const struct passo_past_log *log)
{
    int32_t best = 0;
    for (size_t i = 0; i < log->pasts; i++) {
        if (log->past[i].best_clean_mbpm > best)
            best = log->past[i].best_clean_mbpm;
    }
    return best / 1000.0;
}

/* Lets the setup open by a record, as `passo climb --after` does. Returns the days missed. */
static int open_after(struct passo_setup *setup, const struct passo_past_log *log)
{
    char fault[512] = "";
    passo_course_resume(&setup->course, &setup->passage, log->past, log->pasts, log->missed);
    assert_int_equal(passo_course_check(&setup->course, fault, sizeof fault), PASSO_OK);
    return log->missed;
}

/* What the record says at the end of a climb: its best clean tempo, and where tomorrow opens. */
static void look_ahead(const char *path, struct passo_setup *setup, struct trade_came *came)
{
    struct passo_past_log log;
    struct passo_course_state *state = calloc(1, sizeof *state);
    read_past(path, setup, TRADE_DAY + 1, &log);
    came->clean = best_clean(&log);
    open_after(setup, &log);
    passo_course_begin(&setup->course, state);
    came->tomorrow = passo_course_next(&setup->course, state).mbpm / 1000.0;
    passo_past_deinit(&log);
    free(state);
}

/* Seven in the evening of a day 20261124. */
static time_t evening_of(int32_t day)
{
    struct tm tm = {.tm_year = day / 10000 - 1900,
                    .tm_mon = day / 100 % 100 - 1,
                    .tm_mday = day % 100,
                    .tm_hour = 19};
    return mktime(&tm);
}

/* A player joins a day's record to the others: the header stays once. */
static void append_rows(const char *path, const char *to)
{
    char line[1024];
    FILE *from = fopen(path, "r");
    FILE *log = fopen(to, "a");
    assert_true(from && log && fgets(line, sizeof line, from));
    if (ftell(log) == 0)
        fputs(line, log);
    while (fgets(line, sizeof line, from))
        fputs(line, log);
    fclose(from);
    assert_int_equal(fclose(log), 0);
}

#endif
