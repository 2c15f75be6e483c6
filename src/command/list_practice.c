/* What the log has of the filed passages. Best, passes, minutes, last day and whether it is due
 * come from the days that the log keeps summed up, in one reading; the secure tempo from the passes
 * of the last weeks before the last day, for what is older weighs nothing. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/list_parts.h"
#include "command/logbook.h"
#include "report/report.h"
#include "store/day.h"
#include "text/notation.h"

enum { SECURE_DAYS = 60 };

/* One passage while its days are read. */
struct gathering {
    const struct list_passage *passage;
    struct list_practice *practice;
    enum passo_held *held; /* of each day */
    size_t days;
};

struct gatherings {
    struct gathering *at;
    size_t count;
};

/* To the beat unit of the passage, to the thousandth, half up. */
static int32_t in_beat(int32_t mbpm, const char *unit_name, struct passo_ratio beat)
{
    struct passo_ratio unit;
    if (passo_note_value_read(unit_name, &unit) != PASSO_OK || passo_ratio_cmp(unit, beat) == 0)
        return mbpm;
    struct passo_ratio factor = passo_ratio_div(unit, beat);
    return (int32_t)((2 * mbpm * factor.num + factor.den) / (2 * factor.den));
}

/* Only what was tried toward today's target tells when it is due again. */
static enum passo_held held(const struct list_passage *passage, const struct passo_log_day *day)
{
    int32_t target_mbpm = in_beat(day->target_mbpm, day->beat_unit, passage->beat);
    if (passage->target_mbpm && target_mbpm != passage->target_mbpm)
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

static void add_day(struct gathering *gathering, const struct passo_log_day *day)
{
    struct list_practice *practice = gathering->practice;
    enum passo_held how = held(gathering->passage, day);
    int32_t best_mbpm = in_beat(day->best_won_mbpm, day->beat_unit, gathering->passage->beat);
    practice->passes += day->passes;
    practice->play_ns += day->play_ns;
    if (best_mbpm > practice->best_mbpm)
        practice->best_mbpm = best_mbpm;
    /* A day may come several times: once a target. */
    if (day->day != practice->last_day || gathering->days == 0) {
        gathering->held =
            passo_xrealloc(gathering->held, (gathering->days + 1) * sizeof *gathering->held);
        gathering->held[gathering->days++] = how;
    } else if (how != PASSO_HELD_NOT_TRIED) {
        gathering->held[gathering->days - 1] = how;
    }
    practice->last_day = day->day;
}

static void take_day(void *user, const struct passo_log_day *day)
{
    struct gatherings *all = user;
    for (size_t i = 0; i < all->count; i++) {
        const struct list_passage *passage = all->at[i].passage;
        if (passage->own && !passage->fault[0] && !strcmp(passage->title, day->passage) &&
            !strcmp(passage->piece, day->piece))
            add_day(&all->at[i], day);
    }
}

static void write_secure(const struct passo_report_passage *found,
                         const struct list_passage *passage, char out[16])
{
    const struct passo_secure *secure = &found->secure;
    struct passo_ratio factor = passo_ratio_div(found->beat, passage->beat);
    double bpm = secure->bpm * (double)factor.num / (double)factor.den;
    switch (secure->kind) {
    case PASSO_SECURE_UNKNOWN:
    case PASSO_SECURE_KIND_COUNT:
        strcpy(out, "-");
        break;
    case PASSO_SECURE_FITTED:
        snprintf(out, 16, "%.0f", round(bpm));
        break;
    case PASSO_SECURE_AT_LEAST:
        snprintf(out, 16, "%.0f+", round(bpm));
        break;
    case PASSO_SECURE_UNDER:
        snprintf(out, 16, "<%.0f", round(bpm));
        break;
    }
}

static enum passo_error read_secure(struct passo_log *log, const char *player,
                                    const struct gathering *gathering, char *out_fault,
                                    size_t fault_bytes)
{
    struct list_practice *practice = gathering->practice;
    const int32_t from = passo_day_of(passo_day_count(practice->last_day) - SECURE_DAYS);
    const struct passo_log_wish wish = {.player = player,
                                        .passage = gathering->passage->title,
                                        .piece = gathering->passage->piece,
                                        .from_day = from,
                                        .to_day = practice->last_day};
    struct passo_report *report = passo_report_begin(practice->last_day, from, practice->last_day);
    enum passo_error error =
        passo_log_rows(log, &wish, passo_report_take, report, out_fault, fault_bytes);
    passo_report_settle(report);
    strcpy(practice->secure, "-");
    if (report->passages)
        write_secure(report->passage[0], gathering->passage, practice->secure);
    passo_report_free(report);
    return error;
}

static enum passo_error read_all(struct passo_log *log, const struct passo_options *options,
                                 struct gatherings *all, char *out_fault, size_t fault_bytes)
{
    const int32_t today = options->lines.today_yyyymmdd;
    const struct passo_log_wish wish = {.player = options->player,
                                        .from_day = options->from_day,
                                        .to_day = options->to_day ? options->to_day : today};
    enum passo_error error = passo_log_days(log, &wish, take_day, all, out_fault, fault_bytes);
    for (size_t i = 0; i < all->count && error == PASSO_OK; i++) {
        struct gathering *gathering = &all->at[i];
        struct list_practice *practice = gathering->practice;
        practice->due = true;
        if (gathering->days == 0)
            continue;
        practice->due = passo_day_count(today) - passo_day_count(practice->last_day) >=
                        passo_spacing_days(gathering->held, gathering->days);
        error = read_secure(log, options->player, gathering, out_fault, fault_bytes);
    }
    return error;
}

bool list_practice_read(const struct passo_options *options, const struct list_passage *passage,
                        size_t passages, struct list_practice *out_practice)
{
    char fault[PASSO_PATH_BYTES + 256];
    enum passo_exit ended;
    struct passo_log *log;
    struct gatherings all = {.count = passages};
    if (!passo_logbook_open(options, PASSO_LOG_LOOK, &log, &ended))
        return false;
    all.at = passo_xcalloc(passages, sizeof *all.at);
    for (size_t i = 0; i < passages; i++)
        all.at[i] = (struct gathering){.passage = &passage[i], .practice = &out_practice[i]};
    enum passo_error error = read_all(log, options, &all, fault, sizeof fault);
    if (error != PASSO_OK)
        passo_tell(fault);
    for (size_t i = 0; i < passages; i++)
        free(all.at[i].held);
    free(all.at);
    passo_log_close(log);
    return error == PASSO_OK;
}
