/* For the tests of the report: invented rows of the Marrowby town band. */
#ifndef PASSO_TESTS_REPORT_REPORT_TOOLS_H
#define PASSO_TESTS_REPORT_REPORT_TOOLS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>
#include "report/report.h"
#include "store/day.h"

#define MARCH "The run up to the trio"
#define PIECE "Marrowby march"

/* 18:00 of a day, an hour east of UTC. */
static inline int64_t evening_ns(int32_t day)
{
    return (passo_day_count(day) * 86400 + 17 * 3600) * 1000000000;
}

/* A clean pass of the whole march, as anyone would have it; tests change what they are about. */
static inline struct passo_row march_row(int32_t day, uint32_t pass, int32_t bpm)
{
    struct passo_row row = {.player = "",
                            .session = "s",
                            .passage = MARCH,
                            .piece = PIECE,
                            .pass = pass,
                            .part = PASSO_PART_CLIMB,
                            .loop = "whole",
                            .bars = "33-36",
                            .variant = "as written",
                            .beat_unit = "quarter",
                            .tempo_mbpm = bpm * 1000,
                            .target_mbpm = 132000,
                            .mark = PASSO_MARK_CLEAN,
                            .marked_by = "key",
                            .miss_bar = INT32_MIN,
                            .move = PASSO_MOVE_HELD,
                            .play_ns = 8000000000,
                            .rest_ns = 9000000000};
    passo_row_time(&row, evening_ns(day) + (int64_t)pass * 20000000000, 3600);
    return row;
}

/* A pass with a mark: c clean, m miss, . unmarked, v void. */
static inline struct passo_row marked_row(int32_t day, uint32_t pass, int32_t bpm, char mark)
{
    struct passo_row row = march_row(day, pass, bpm);
    row.mark = mark == 'c'   ? PASSO_MARK_CLEAN
               : mark == 'm' ? PASSO_MARK_MISS
               : mark == 'v' ? PASSO_MARK_VOID
                             : PASSO_MARK_NONE;
    if (mark == 'm')
        row.miss_bar = 36;
    return row;
}

static inline void take_marks(struct passo_report *report, int32_t day, int32_t bpm,
                              const char *marks, uint32_t *pass)
{
    for (; *marks; marks++) {
        struct passo_row row = marked_row(day, ++*pass, bpm, *marks);
        passo_report_take(report, &row);
    }
}

/* Days of practice that rise from 84 toward 132: one climb a day, five tempi each, with misses on
 * the two fastest. */
static inline void take_march_days(struct passo_report *report, int32_t first, int days)
{
    for (int i = 0; i < days; i++) {
        int32_t day = passo_day_of(passo_day_count(first) + i);
        int32_t bpm = 84 + 4 * i;
        uint32_t pass = 0;
        take_marks(report, day, bpm, "cc", &pass);
        take_marks(report, day, bpm + 4, "ccc", &pass);
        take_marks(report, day, bpm + 8, "cmcc", &pass);
        take_marks(report, day, bpm + 12, "mcmc", &pass);
        take_marks(report, day, bpm + 16, "mm", &pass);
    }
}

static inline struct passo_report_passage *only_passage(struct passo_report *report)
{
    assert_int_equal(report->passages, 1);
    return report->passage[0];
}

#endif
