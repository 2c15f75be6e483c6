/* Drawn rows whose texts a CSV, a spreadsheet or a terminal may trip over. */
#ifndef PASSO_TESTS_STORE_CSV_DRAW_H
#define PASSO_TESTS_STORE_CSV_DRAW_H

#include <passo/random.h>
#include "store/csv_tools.h"

/* Pieces of texts that a CSV, a spreadsheet or a terminal may trip over. */
static const char *const pieces[] = {
    "march",   ",",         "\"",           "\"\"",  "\r\n", "\n",   "\r",    "=1+1", "+",
    "-",       "@SUM(A1)",  "\t",           "'",     " ",    ";",    "é",     "♭",    "𝄞",
    "changed", "marked_by", "\xEF\xBB\xBF", "33-36", "0",    "time", "climb", "\x7f", "\x1b[2J",
};

static inline char *draw_text(struct passo_random *random)
{
    char *text = calloc(1, 128);
    for (uint32_t left = passo_random_below(random, 6); left; left--)
        strcat(text, pieces[passo_random_below(random, sizeof pieces / sizeof pieces[0])]);
    return text;
}

static inline int64_t draw_ms(struct passo_random *random)
{
    return (int64_t)passo_random_below(random, 4000000000u) * 1000000;
}

static inline struct passo_row draw_row(struct passo_random *random, uint32_t pass)
{
    static const char *const by[] = {"", "key", "assumed"};
    struct passo_row row = {
        .player = draw_text(random),
        .session = draw_text(random),
        .passage = draw_text(random),
        .piece = draw_text(random),
        .pass = pass,
        .part = (enum passo_part)passo_random_below(random, PASSO_PART_DONE),
        .loop = draw_text(random),
        .bars = draw_text(random),
        .variant = draw_text(random),
        .beat_unit = draw_text(random),
        .tempo_mbpm = PASSO_TEMPO_MIN_MBPM + (int32_t)passo_random_below(random, 995001),
        .target_mbpm = PASSO_TEMPO_MIN_MBPM + (int32_t)passo_random_below(random, 995001),
        .mark = (enum passo_mark)passo_random_below(random, PASSO_MARK_COUNT),
        .marked_by = by[passo_random_below(random, 3)],
        .miss_bar = passo_random_below(random, 2)
                        ? INT32_MIN
                        : (int32_t)passo_random_below(random, 2 * PASSO_BAR_MAX) - PASSO_BAR_MAX,
        .clean_in_a_row = (uint32_t)passo_random_next(random),
        .move = (enum passo_move)passo_random_below(random, PASSO_MOVE_COUNT),
        .next_mbpm = passo_random_below(random, 2) ? 0 : 168540,
        .play_ns = draw_ms(random),
        .rest_ns = draw_ms(random),
        .elapsed_ns = draw_ms(random),
    };
    if (passo_random_below(random, 4) == 0) {
        row.part = PASSO_PART_COUNT;
        row.extra = passo_random_below(random, 2) ? PASSO_EXTRA_VISIT : PASSO_EXTRA_CHECK;
    }
    passo_row_time_here(&row, ((int64_t)passo_random_below(random, 4000000000u) - 100000000) *
                                  1000000000);
    return row;
}

static inline void free_row(struct passo_row *row)
{
    const char *text[] = {row->player, row->session, row->passage, row->piece,
                          row->loop,   row->bars,    row->variant, row->beat_unit};
    for (size_t i = 0; i < sizeof text / sizeof text[0]; i++)
        free((void *)(uintptr_t)text[i]);
}

#endif
