/* After the last row: the tempi of a passage go into the beat unit of its latest pass, its days
 * into order, and what was played is counted by day and in all. The passes go to the drawings in
 * the order of the log; the small ones are then laid day by day, for what is worked out of them
 * (gather_stand.c, gather_tempi.c), and freed. Runs on the main thread. */
#include <stdlib.h>
#include <string.h>
#include "report/report_priv.h"

int32_t gather_in_beat(int32_t mbpm, struct passo_ratio unit, struct passo_ratio beat)
{
    if (unit.num == 0 || beat.num == 0 || passo_ratio_cmp(unit, beat) == 0)
        return mbpm;
    struct passo_ratio factor = passo_ratio_div(unit, beat);
    int64_t converted = (2 * mbpm * factor.num + factor.den) / (2 * factor.den);
    return converted > INT32_MAX ? INT32_MAX : (int32_t)converted;
}

static void convert(struct gather_place *place, const struct passo_report_index *index)
{
    struct passo_report_passage *passage = &place->passage;
    if (place->beat != SIZE_MAX)
        passage->beat = index->beat[place->beat].value;
    if (place->target_beat != SIZE_MAX)
        passage->target_mbpm = gather_in_beat(place->target_mbpm,
                                              index->beat[place->target_beat].value, passage->beat);
    for (size_t i = 0; i < place->passes; i++) {
        struct gather_pass *pass = &place->pass[i];
        pass->mbpm = gather_in_beat(pass->mbpm, index->beat[pass->beat].value, passage->beat);
    }
}

/* The passes as the drawings have them. */
static void hand_out(struct gather_place *place)
{
    struct passo_report_passage *passage = &place->passage;
    passage->pass = passo_xcalloc(place->passes + 1, sizeof *passage->pass);
    passage->pass_count = place->passes;
    for (size_t i = 0; i < place->passes; i++) {
        const struct gather_pass *pass = &place->pass[i];
        passage->pass[i] = (struct passo_report_pass){.mbpm = pass->mbpm,
                                                      .mark = (enum passo_mark)pass->mark,
                                                      .part = (enum passo_part)pass->part,
                                                      .extra = (enum passo_extra)pass->extra,
                                                      .move = (enum passo_move)pass->move};
    }
}

static int by_day(const void *a, const void *b)
{
    const struct passo_report_day *one = a;
    const struct passo_report_day *two = b;
    return one->day < two->day ? -1 : one->day > two->day;
}

/* Puts the days in order and tells the passes where theirs now stands. */
static void order_days(struct gather_place *place)
{
    struct passo_report_passage *passage = &place->passage;
    uint32_t *rank = passo_xcalloc(passage->days + 1, sizeof *rank);
    int32_t *before = passo_xcalloc(passage->days + 1, sizeof *before);
    for (size_t i = 0; i < passage->days; i++)
        before[i] = passage->day[i].day;
    if (passage->days)
        qsort(passage->day, passage->days, sizeof *passage->day, by_day);
    for (size_t i = 0; i < passage->days; i++) {
        const struct passo_report_day key = {.day = before[i]};
        const struct passo_report_day *found =
            bsearch(&key, passage->day, passage->days, sizeof key, by_day);
        rank[i] = (uint32_t)(found - passage->day);
    }
    for (size_t i = 0; i < place->passes; i++)
        place->pass[i].day = rank[place->pass[i].day];
    free(before);
    free(rank);
}

/* Lays the passes day by day, in the order of the log within a day. */
static void lay_by_day(struct gather_place *place)
{
    size_t days = place->passage.days;
    size_t *next = passo_xcalloc(days + 1, sizeof *next);
    struct gather_pass *laid = passo_xcalloc(place->passes + 1, sizeof *laid);
    for (size_t i = 0; i < place->passes; i++)
        next[place->pass[i].day + 1]++;
    for (size_t i = 0; i < days; i++)
        next[i + 1] += next[i];
    for (size_t i = 0; i < place->passes; i++)
        laid[next[place->pass[i].day]++] = place->pass[i];
    free(place->pass);
    free(next);
    place->pass = laid;
}

static bool is_at_level(int32_t mbpm, int32_t target_mbpm)
{
    return target_mbpm > 0 && (int64_t)mbpm * 100 >= (int64_t)target_mbpm * 95;
}

static void count_pass(struct passo_report_day *day, const struct gather_pass *pass,
                       int32_t target_mbpm)
{
    bool clean = pass->mark == PASSO_MARK_CLEAN;
    if (day->first_mbpm == 0) {
        day->first_mbpm = pass->mbpm;
        day->first_try = (enum passo_mark)pass->mark;
    }
    day->clean += clean;
    day->missed += pass->mark == PASSO_MARK_MISS;
    if (day->held == PASSO_HELD_NOT_TRIED && pass->mark != PASSO_MARK_NONE &&
        is_at_level(pass->mbpm, target_mbpm))
        day->held = clean ? PASSO_HELD_YES : PASSO_HELD_NO;
    if (clean && pass->level && pass->mbpm > day->best_clean_mbpm)
        day->best_clean_mbpm = pass->mbpm;
}

static void count_passes(struct gather_place *place)
{
    for (size_t i = 0; i < place->passes; i++) {
        const struct gather_pass *pass = &place->pass[i];
        struct passo_report_day *day = &place->passage.day[pass->day];
        if (pass->counts)
            count_pass(day, pass, place->passage.target_mbpm);
        if (pass->wins && pass->mbpm > day->best_won_mbpm)
            day->best_won_mbpm = pass->mbpm;
        if (pass->move != PASSO_MOVE_NONE)
            day->ended = passo_move_as_end((enum passo_move)pass->move);
    }
}

static enum passo_report_share share_of(uint32_t clean, uint32_t missed)
{
    uint64_t marked = (uint64_t)clean + missed;
    if (marked < PASSO_SECURE_LEAST_PASSES)
        return PASSO_SHARE_FEW;
    if (100ull * clean < 60 * marked)
        return PASSO_SHARE_TOO_FAST;
    return 100ull * clean > 95 * marked ? PASSO_SHARE_TOO_CAREFUL : PASSO_SHARE_FINE;
}

static void add_days(struct passo_report_passage *passage)
{
    for (size_t i = 0; i < passage->days; i++) {
        const struct passo_report_day *day = &passage->day[i];
        passage->passes += day->passes;
        passage->clean += day->clean;
        passage->missed += day->missed;
        passage->play_ns += day->play_ns;
        passage->rest_ns += day->rest_ns;
        if (day->best_clean_mbpm > passage->best_clean_mbpm)
            passage->best_clean_mbpm = day->best_clean_mbpm;
        if (day->best_won_mbpm > passage->best_won_mbpm)
            passage->best_won_mbpm = day->best_won_mbpm;
    }
    passage->share = share_of(passage->clean, passage->missed);
}

/* Days on which nothing but checks and void passes was played are no days with practice; none of
 * their passes counts. */
static void drop_idle_days(struct gather_place *place)
{
    struct passo_report_passage *passage = &place->passage;
    uint32_t *rank = passo_xcalloc(passage->days + 1, sizeof *rank);
    size_t kept = 0;
    size_t passes = 0;
    for (size_t i = 0; i < passage->days; i++) {
        bool idle = passage->day[i].passes == 0;
        rank[i] = idle ? UINT32_MAX : (uint32_t)kept;
        if (!idle)
            passage->day[kept++] = passage->day[i];
    }
    for (size_t i = 0; i < place->passes; i++) {
        struct gather_pass pass = place->pass[i];
        pass.day = rank[pass.day];
        if (pass.day != UINT32_MAX)
            place->pass[passes++] = pass;
    }
    passage->days = kept;
    place->passes = passes;
    free(rank);
}

void passo_report_settle(struct passo_report *report)
{
    for (size_t i = 0; i < report->passages; i++) {
        struct gather_place *place = (struct gather_place *)report->passage[i];
        convert(place, report->index);
        hand_out(place);
        order_days(place);
        drop_idle_days(place);
        lay_by_day(place);
        count_passes(place);
        add_days(&place->passage);
        gather_stand(place, report->today, report->latest_only);
        gather_rungs(place);
        gather_bars(place);
        free(place->pass);
        place->pass = NULL;
    }
}
