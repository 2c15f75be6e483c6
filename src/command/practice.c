/* Days and passes of the passages that are asked for, in one reading each. Best, passes, minutes,
 * last day, when it is due and what a minute adds come from the days that the log keeps summed up;
 * the secure tempo from the passes of the last weeks before each passage's last day, gathered as a
 * report gathers them. Runs on the main thread. */
#include "command/practice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "report/report.h"
#include "store/day.h"
#include "text/notation.h"

/* A day of a passage, at whatever targets. */
struct practised {
    int32_t day;
    enum passo_held held;
    int64_t play_ns;
    int32_t clean_mbpm; /* the best of the whole passage; 0: none */
    int32_t won_mbpm;
};

/* One passage while it is read. */
struct gathering {
    const struct passo_practice_ask *ask;
    struct passo_practice *practice;
    struct practised *day; /* as they came */
    size_t days;
};

struct gatherings {
    struct gathering *at; /* ascending by title, then piece; two may be asked for by one name */
    size_t count;
};

static int compare(const struct gathering *gathering, const char *title, const char *piece)
{
    int order = strcmp(gathering->ask->title, title);
    return order ? order : strcmp(gathering->ask->piece, piece);
}

static int by_name(const void *left, const void *right)
{
    const struct gathering *a = left;
    const struct gathering *b = right;
    return compare(a, b->ask->title, b->ask->piece);
}

/* The first that is not before a name. */
static size_t place_of(const struct gatherings *all, const char *title, const char *piece)
{
    size_t low = 0;
    size_t high = all->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (compare(&all->at[middle], title, piece) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* To the beat unit of the passage, to the thousandth, half up; as it is if it cannot be read. */
static int32_t in_beat(int32_t mbpm, const char *unit_name, struct passo_ratio beat)
{
    struct passo_ratio unit;
    if (passo_note_value_read(unit_name, &unit) != PASSO_OK || passo_ratio_cmp(unit, beat) == 0)
        return mbpm;
    struct passo_ratio factor = passo_ratio_div(unit, beat);
    int64_t converted = (2 * (int64_t)mbpm * factor.num + factor.den) / (2 * factor.den);
    return converted > INT32_MAX ? INT32_MAX : (int32_t)converted;
}

/* Only what was tried toward today's target tells when it is due again. */
static enum passo_held held(const struct passo_practice_ask *ask, const struct passo_log_day *day)
{
    int32_t target_mbpm = in_beat(day->target_mbpm, day->beat_unit, ask->beat);
    if (ask->target_mbpm && target_mbpm != ask->target_mbpm)
        return PASSO_HELD_NOT_TRIED;
    switch (day->first_at_level) {
    case PASSO_MARK_CLEAN:
        return PASSO_HELD_YES;
    case PASSO_MARK_MISS:
        return PASSO_HELD_NO;
    case PASSO_MARK_NONE:
    case PASSO_MARK_VOID:
    case PASSO_MARK_COUNT:
        break;
    }
    return PASSO_HELD_NOT_TRIED;
}

/* A day may come several times: once a target. */
static struct practised *day_of(struct gathering *gathering, int32_t day)
{
    struct practised *last = gathering->days ? &gathering->day[gathering->days - 1] : NULL;
    if (last && last->day == day)
        return last;
    gathering->day = passo_xrealloc(gathering->day, (gathering->days + 1) * sizeof *gathering->day);
    last = &gathering->day[gathering->days++];
    *last = (struct practised){.day = day};
    return last;
}

static int32_t larger(int32_t a, int32_t b)
{
    return a > b ? a : b;
}

static void add_day(struct gathering *gathering, const struct passo_log_day *day)
{
    const struct passo_practice_ask *ask = gathering->ask;
    struct passo_practice *practice = gathering->practice;
    struct practised *on = day_of(gathering, day->day);
    enum passo_held how = held(ask, day);
    int32_t clean_mbpm = in_beat(day->best_clean_mbpm, day->beat_unit, ask->beat);
    int32_t won_mbpm = in_beat(day->best_won_mbpm, day->beat_unit, ask->beat);
    if (how != PASSO_HELD_NOT_TRIED)
        on->held = how;
    on->play_ns += day->play_ns;
    on->clean_mbpm = larger(on->clean_mbpm, clean_mbpm);
    on->won_mbpm = larger(on->won_mbpm, won_mbpm);
    practice->passes += day->passes;
    practice->play_ns += day->play_ns;
    practice->best_mbpm = larger(practice->best_mbpm, won_mbpm);
    practice->last_day = day->day;
}

static void take_day(void *user, const struct passo_log_day *day)
{
    const struct gatherings *all = user;
    for (size_t i = place_of(all, day->passage, day->piece);
         i < all->count && compare(&all->at[i], day->passage, day->piece) == 0; i++)
        add_day(&all->at[i], day);
}

static int32_t first_day_of(const struct gathering *gathering)
{
    return passo_day_of(passo_day_count(gathering->practice->last_day) - PASSO_PRACTICE_DAYS);
}

static void settle_due(struct gathering *gathering, int32_t today)
{
    struct passo_practice *practice = gathering->practice;
    enum passo_held *how = passo_xcalloc(gathering->days, sizeof *how);
    for (size_t i = 0; i < gathering->days; i++)
        how[i] = gathering->day[i].held;
    int64_t since = passo_day_count(today) - passo_day_count(practice->last_day);
    int64_t left = passo_spacing_days(how, gathering->days) - since;
    practice->due = left <= 0;
    practice->held_back = practice->due ? 0 : (int32_t)left;
    free(how);
}

static double level_of(int32_t mbpm, const struct passo_practice_ask *ask)
{
    return log((double)mbpm / ask->target_mbpm);
}

/* Loops say less of a passage than the whole of it, so days of loops do not count beside such. */
static void settle_rate(struct gathering *gathering)
{
    struct passo_practice *practice = gathering->practice;
    struct passo_effort *effort = passo_xcalloc(gathering->days + 1, sizeof *effort);
    const int32_t from_day = gathering->days ? first_day_of(gathering) : 0;
    size_t efforts = 0;
    double minutes = 0;
    bool whole = false;
    for (size_t i = 0; i < gathering->days; i++)
        whole = whole || (gathering->day[i].day >= from_day && gathering->day[i].clean_mbpm > 0);
    for (size_t i = 0; i < gathering->days; i++) {
        const struct practised *day = &gathering->day[i];
        int32_t mbpm = whole ? day->clean_mbpm : day->won_mbpm;
        if (day->day < from_day)
            continue;
        if (mbpm > 0 && gathering->ask->target_mbpm > 0)
            effort[efforts++] = (struct passo_effort){minutes, level_of(mbpm, gathering->ask)};
        minutes += (double)day->play_ns / 60e9;
    }
    practice->rate = passo_rate_fit(effort, efforts);
    practice->rate_days = (uint32_t)efforts;
    free(effort);
}

static void settle_level(struct gathering *gathering)
{
    const struct passo_practice_ask *ask = gathering->ask;
    struct passo_practice *practice = gathering->practice;
    const struct passo_secure *secure = &practice->secure;
    int32_t best_mbpm = 0;
    for (size_t i = 0; i < gathering->days; i++)
        best_mbpm = larger(best_mbpm, gathering->day[i].clean_mbpm);
    const bool whole = best_mbpm > 0;
    if (!whole)
        best_mbpm = practice->best_mbpm;
    const bool parts = !whole && best_mbpm > 0;
    practice->guessed = true;
    practice->level = log(PASSO_PRACTICE_GUESS);
    if (ask->target_mbpm <= 0)
        return;
    if (secure->kind != PASSO_SECURE_UNKNOWN) {
        practice->guessed = parts;
        practice->level = log(secure->bpm * 1000 / ask->target_mbpm);
    } else if (best_mbpm > 0) {
        practice->level = level_of(best_mbpm, ask) - PASSO_PRACTICE_MARGIN;
    }
    if (parts)
        practice->level -= PASSO_PRACTICE_PARTS;
}

/* In another beat unit: every tempo is so many times as large. */
static struct passo_secure secure_in(struct passo_secure secure, double factor)
{
    secure.skill.intercept -= secure.skill.slope * log(factor);
    secure.bpm *= factor;
    secure.low_bpm *= factor;
    secure.high_bpm *= factor;
    return secure;
}

/* Of several players the one whose passes come first. */
static void keep_secure(const struct gatherings *all, const struct passo_report *report)
{
    for (size_t i = report->passages; i > 0; i--) {
        const struct passo_report_passage *found = report->passage[i - 1];
        for (size_t at = place_of(all, found->title, found->piece);
             at < all->count && compare(&all->at[at], found->title, found->piece) == 0; at++) {
            struct passo_ratio factor = passo_ratio_div(found->beat, all->at[at].ask->beat);
            all->at[at].practice->secure =
                secure_in(found->secure, (double)factor.num / (double)factor.den);
        }
    }
}

static enum passo_error read_secure(struct passo_log *log, const char *player,
                                    const struct gatherings *all, char *out_fault,
                                    size_t fault_bytes)
{
    struct passo_log_wish *wish = passo_xcalloc(all->count + 1, sizeof *wish);
    size_t wishes = 0;
    int32_t last_day = 0;
    for (size_t i = 0; i < all->count; i++) {
        const struct gathering *gathering = &all->at[i];
        if (gathering->days == 0)
            continue;
        wish[wishes++] = (struct passo_log_wish){.player = player,
                                                 .passage = gathering->ask->title,
                                                 .piece = gathering->ask->piece,
                                                 .from_day = first_day_of(gathering),
                                                 .to_day = gathering->practice->last_day};
        last_day = larger(last_day, gathering->practice->last_day);
    }
    struct passo_report *report = passo_report_begin(last_day, 0, last_day);
    report->latest_only = true;
    enum passo_error error =
        passo_log_rows_of(log, wish, wishes, passo_report_take, report, out_fault, fault_bytes);
    passo_report_settle(report);
    keep_secure(all, report);
    passo_report_free(report);
    free(wish);
    return error;
}

static enum passo_error read_all(struct passo_log *log, const struct passo_practice_wish *wish,
                                 struct gatherings *all, char *out_fault, size_t fault_bytes)
{
    const struct passo_log_wish days = {.player = wish->player,
                                        .from_day = wish->from_day,
                                        .to_day = wish->to_day ? wish->to_day : wish->today};
    enum passo_error error = passo_log_days(log, &days, take_day, all, out_fault, fault_bytes);
    if (error == PASSO_OK)
        error = read_secure(log, wish->player, all, out_fault, fault_bytes);
    for (size_t i = 0; i < all->count; i++) {
        if (all->at[i].days)
            settle_due(&all->at[i], wish->today);
        settle_rate(&all->at[i]);
        settle_level(&all->at[i]);
    }
    return error;
}

static struct passo_practice unpractised(void)
{
    return (struct passo_practice){
        .due = true, .level = log(PASSO_PRACTICE_GUESS), .guessed = true, .rate = PASSO_RATE_PRIOR};
}

enum passo_error passo_practice_read(struct passo_log *log, const struct passo_practice_wish *wish,
                                     const struct passo_practice_ask *ask, size_t asks,
                                     struct passo_practice *out_practice, char *out_fault,
                                     size_t fault_bytes)
{
    struct gatherings all = {.at = passo_xcalloc(asks + 1, sizeof *all.at)};
    for (size_t i = 0; i < asks; i++) {
        out_practice[i] = unpractised();
        if (ask[i].title)
            all.at[all.count++] = (struct gathering){.ask = &ask[i], .practice = &out_practice[i]};
    }
    if (all.count)
        qsort(all.at, all.count, sizeof *all.at, by_name);
    enum passo_error error = PASSO_OK;
    if (log)
        error = read_all(log, wish, &all, out_fault, fault_bytes);
    for (size_t i = 0; i < all.count; i++)
        free(all.at[i].day);
    free(all.at);
    return error;
}
