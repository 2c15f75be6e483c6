/* Gathers the rows of one passage. Of the last day so far the best clean pass of each loop and
 * variant is kept, and forgotten when a later day comes; of all days the marks at each tempo, which
 * fade when a later day comes: a row of an earlier day is taken with what it weighs by then, so
 * rows may come in any order. A tempo in another beat unit is converted as an exact ratio, and only
 * the result is rounded. Runs on the main thread. */
#include "store/past.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <passo/standing.h>
#include "store/day.h"

enum { PASTS_MAX = (PASSO_LOOPS_MAX + 1) * PASSO_VARIANTS_MAX };

/* Marks at one tempo, in thousandths of a beat a minute, by what they weigh on the last day. */
struct tempo_marks {
    struct passo_ratio mbpm;
    double played;
    double clean;
};

struct passo_past_gathering {
    const struct passo_past_wish *wish;
    struct passo_past_log log;
    struct tempo_marks tempo[PASSO_SKILL_GROUPS_MAX]; /* ascending */
    size_t tempi;
    int32_t *day; /* with marks, ascending */
    size_t days_room;
    char beat_name[PASSO_NAME_MAX]; /* the last one read ... */
    struct passo_ratio beat;        /* ... and what it is */
};

static bool is_wanted(const struct passo_past_wish *wish, const struct passo_row *row)
{
    return !strcmp(row->passage, wish->passage) &&
           (!wish->piece[0] || !strcmp(row->piece, wish->piece)) &&
           (!wish->player[0] || !row->player[0] || !strcmp(row->player, wish->player));
}

/* Rows of one file mostly have the same beat unit. */
static bool read_beat(struct passo_past_gathering *gathering, const char *name)
{
    struct passo_ratio beat;
    if (gathering->beat.num && !strcmp(gathering->beat_name, name))
        return true;
    if (strlen(name) >= sizeof gathering->beat_name ||
        gathering->wish->read_beat(name, &beat) != PASSO_OK)
        return false;
    memcpy(gathering->beat_name, name, strlen(name) + 1);
    gathering->beat = beat;
    return true;
}

static void keep_day(struct passo_past_gathering *gathering, int32_t day)
{
    uint32_t days = gathering->log.days;
    size_t at = days;
    while (at > 0 && gathering->day[at - 1] > day)
        at--;
    if (at > 0 && gathering->day[at - 1] == day)
        return;
    if (days == gathering->days_room) {
        gathering->days_room = gathering->days_room ? 2 * gathering->days_room : 64;
        gathering->day =
            passo_xrealloc(gathering->day, gathering->days_room * sizeof *gathering->day);
    }
    memmove(&gathering->day[at + 1], &gathering->day[at], (days - at) * sizeof *gathering->day);
    gathering->day[at] = day;
    gathering->log.days++;
}

/* Where a tempo stands or belongs. */
static size_t find_tempo(const struct passo_past_gathering *gathering, struct passo_ratio mbpm)
{
    size_t low = 0;
    size_t high = gathering->tempi;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (passo_ratio_cmp(gathering->tempo[middle].mbpm, mbpm) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static struct tempo_marks *marks_of(struct passo_past_gathering *gathering, struct passo_ratio mbpm)
{
    size_t at = find_tempo(gathering, mbpm);
    struct tempo_marks *tempo = &gathering->tempo[at];
    if (at < gathering->tempi && passo_ratio_cmp(tempo->mbpm, mbpm) == 0)
        return tempo;
    if (gathering->tempi < PASSO_SKILL_GROUPS_MAX) {
        memmove(tempo + 1, tempo, (gathering->tempi - at) * sizeof *tempo);
        *tempo = (struct tempo_marks){.mbpm = mbpm};
        gathering->tempi++;
        return tempo;
    }
    if (at == 0)
        return tempo;
    if (at == gathering->tempi)
        return tempo - 1;
    struct passo_ratio above = passo_ratio_sub(tempo->mbpm, mbpm);
    struct passo_ratio below = passo_ratio_sub(mbpm, tempo[-1].mbpm);
    return passo_ratio_cmp(below, above) <= 0 ? tempo - 1 : tempo;
}

/* A later day makes the best of the earlier ones forgotten, and their marks fade. */
static void reach_day(struct passo_past_gathering *gathering, int32_t day)
{
    struct passo_past_log *log = &gathering->log;
    if (day <= log->last_day)
        return;
    const double fade =
        log->last_day ? passo_fade(passo_day_count(day) - passo_day_count(log->last_day)) : 1;
    for (size_t i = 0; i < gathering->tempi; i++) {
        gathering->tempo[i].played *= fade;
        gathering->tempo[i].clean *= fade;
    }
    log->last_day = day;
    log->pasts = 0;
}

/* Rounded, and no more than the target. */
static int32_t reached(const struct passo_past_wish *wish, struct passo_ratio mbpm)
{
    const int32_t most = wish->target_mbpm ? wish->target_mbpm : INT32_MAX;
    int64_t nearest = passo_ratio_floor(passo_ratio_add(mbpm, passo_ratio(1, 2)));
    return nearest > most ? most : (int32_t)nearest;
}

static void keep_best(struct passo_past_log *log, const struct passo_row *row, int32_t mbpm)
{
    /* A name that is too long is of no passage. */
    if (strlen(row->loop) >= PASSO_NAME_MAX || strlen(row->variant) >= PASSO_NAME_MAX)
        return;
    size_t at = 0;
    while (at < log->pasts && (strcmp(log->past[at].loop, row->loop) != 0 ||
                               strcmp(log->past[at].variant, row->variant) != 0))
        at++;
    if (at == PASTS_MAX)
        return;
    if (at == log->pasts) {
        snprintf(log->past[at].loop, sizeof log->past[at].loop, "%s", row->loop);
        snprintf(log->past[at].variant, sizeof log->past[at].variant, "%s", row->variant);
        log->past[at].best_clean_mbpm = mbpm;
        log->pasts++;
    } else if (log->past[at].best_clean_mbpm < mbpm) {
        log->past[at].best_clean_mbpm = mbpm;
    }
}

/* A pass whose mark says how well the passage goes. */
static void take_mark(struct passo_past_gathering *gathering, const struct passo_row *row)
{
    struct passo_past_log *log = &gathering->log;
    const bool clean = row->mark == PASSO_MARK_CLEAN;
    const double weight = passo_fade(passo_day_count(log->last_day) - passo_day_count(row->day));
    struct passo_ratio mbpm = passo_ratio_mul(
        passo_ratio(row->tempo_mbpm, 1), passo_ratio_div(gathering->beat, gathering->wish->beat));
    struct tempo_marks *marks = marks_of(gathering, mbpm);
    marks->played += weight;
    marks->clean += clean ? weight : 0;
    log->passes++;
    keep_day(gathering, row->day);
    const int32_t reached_mbpm = reached(gathering->wish, mbpm);
    if (clean && row->day == log->last_day)
        keep_best(log, row, reached_mbpm);
    if (passo_row_wins(row) && reached_mbpm > log->best_won_mbpm)
        log->best_won_mbpm = reached_mbpm;
}

struct passo_past_gathering *passo_past_begin(const struct passo_past_wish *wish)
{
    struct passo_past_gathering *gathering = passo_xcalloc(1, sizeof *gathering);
    gathering->wish = wish;
    gathering->log.past = passo_xcalloc(PASTS_MAX, sizeof *gathering->log.past);
    return gathering;
}

const char *passo_past_take(void *to, const struct passo_row *row)
{
    struct passo_past_gathering *gathering = to;
    if (!is_wanted(gathering->wish, row) || row->day > gathering->wish->today ||
        row->mark == PASSO_MARK_VOID || row->extra == PASSO_EXTRA_CHECK)
        return NULL;
    if (!read_beat(gathering, row->beat_unit))
        return "the beat unit is no note value such as dotted quarter";
    reach_day(gathering, row->day);
    if (passo_row_shows(row) && (row->mark == PASSO_MARK_CLEAN || row->mark == PASSO_MARK_MISS))
        take_mark(gathering, row);
    return NULL;
}

void passo_past_settle(struct passo_past_gathering *gathering, struct passo_past_log *out_log)
{
    struct passo_past_log *past = &gathering->log;
    past->group = passo_xcalloc(gathering->tempi + 1, sizeof *past->group);
    past->groups = gathering->tempi;
    for (size_t i = 0; i < gathering->tempi; i++) {
        const struct tempo_marks *tempo = &gathering->tempo[i];
        double bpm = (double)tempo->mbpm.num / ((double)tempo->mbpm.den * 1000);
        past->group[i] =
            (struct passo_skill_group){.x = log(bpm), .n = tempo->played, .y = tempo->clean};
    }
    if (past->last_day) {
        int64_t between =
            passo_day_count(gathering->wish->today) - passo_day_count(past->last_day) - 1;
        past->missed = (uint16_t)(between < 0 ? 0 : between > UINT16_MAX ? UINT16_MAX : between);
    }
    *out_log = *past;
    free(gathering->day);
    free(gathering);
}

struct csv_reading {
    struct passo_past_gathering *gathering;
    const struct passo_csv_taker *taker;
};

static const char *take_csv_row(void *user, const struct passo_row *row)
{
    const struct csv_reading *reading = user;
    return passo_past_take(reading->gathering, row);
}

static void pass_on(void *user, const char *sentence)
{
    const struct csv_reading *reading = user;
    reading->taker->fault(reading->taker->user, sentence);
}

enum passo_error passo_past_read(const char *path, const struct passo_past_wish *wish,
                                 const struct passo_csv_taker *taker,
                                 struct passo_past_log *out_log, char *out_fault,
                                 size_t fault_bytes)
{
    struct csv_reading reading = {.gathering = passo_past_begin(wish), .taker = taker};
    struct passo_csv_taker reader = {.user = &reading, .row = take_csv_row};
    if (taker && taker->fault)
        reader.fault = pass_on;
    enum passo_error error = passo_csv_read(path, &reader, out_fault, fault_bytes);
    passo_past_settle(reading.gathering, out_log);
    if (error != PASSO_OK)
        passo_past_deinit(out_log);
    return error;
}

void passo_past_deinit(struct passo_past_log *log)
{
    free(log->past);
    free(log->group);
    *log = (struct passo_past_log){0};
}
