/* Invented practice of the Marrowby town band, as report structures: scenes for the tests of the
 * pages. The marks come from a small generator of its own, so that a scene is the same everywhere.
 */
#ifndef PASSO_TESTS_REPORT_PAGE_TOOLS_H
#define PASSO_TESTS_REPORT_PAGE_TOOLS_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "report/report.h"
#include "store/day.h"

#define TOOLS_TODAY 20261125
#define MINUTE_NS   INT64_C(60000000000)

/* How a passage was practised. */
struct plan {
    const char *player;
    const char *title;
    const char *piece;
    const char *bars;
    int32_t target_bpm; /* 0: none */
    int32_t start_bpm;
    int32_t reach_bpm; /* where the last session ends */
    unsigned sessions;
    unsigned passes; /* of a session */
    unsigned clean_of_10;
    int apart;   /* days from session to session; 0: all on one day */
    int gap_at;  /* before this session 12 days more without practice; 0: nowhere */
    bool extras; /* cold, anchors, context, easy and void passes among them */
};

static inline uint32_t tools_draw(uint32_t *seed, uint32_t below)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (*seed >> 8) % below;
}

static inline struct passo_report_pass tools_pass(const struct plan *plan, unsigned session,
                                                  unsigned pass, uint32_t *seed)
{
    double done = (double)(session + 1) / plan->sessions;
    double top = plan->start_bpm + (plan->reach_bpm - plan->start_bpm) * done;
    double low = plan->start_bpm + (plan->reach_bpm - plan->start_bpm) * done * 0.6;
    double within = plan->passes > 1 ? (double)pass / (plan->passes - 1) : 1;
    struct passo_report_pass out = {.part = PASSO_PART_CLIMB, .move = PASSO_MOVE_HELD};
    int32_t bpm = (int32_t)lround((low + (top - low) * within) / 4) * 4;
    out.mbpm =
        1000 * (session + 1 == plan->sessions && pass + 1 == plan->passes ? plan->reach_bpm : bpm);
    out.mark = tools_draw(seed, 10) < plan->clean_of_10 ? PASSO_MARK_CLEAN : PASSO_MARK_MISS;
    if (!plan->extras)
        return out;
    if (pass == 0) {
        out.part = PASSO_PART_COLD;
        out.mbpm = 1000 * (plan->target_bpm ? plan->target_bpm : plan->reach_bpm);
        out.mark = session + 1 == plan->sessions ? PASSO_MARK_CLEAN : PASSO_MARK_MISS;
    } else if (pass % 5 == 3) {
        out.part = PASSO_PART_ANCHOR;
        out.mbpm = 1000 * (plan->start_bpm * 9 / 10);
        out.mark = PASSO_MARK_NONE;
    } else if (pass + 1 == plan->passes) {
        out.part = PASSO_PART_CONTEXT;
    } else if (pass % 7 == 5) {
        out.mark = PASSO_MARK_VOID;
        out.mbpm = 400000; /* were it drawn, the staff would show it */
    } else if (pass % 11 == 6) {
        out.part = PASSO_PART_COUNT;
        out.extra = PASSO_EXTRA_VISIT;
    }
    return out;
}

static inline void tools_count(struct passo_report_passage *passage,
                               const struct passo_report_pass *pass)
{
    size_t i = 0;
    if (pass->mark == PASSO_MARK_VOID)
        return;
    passage->passes++;
    if (pass->mark == PASSO_MARK_NONE)
        return;
    passage->clean += pass->mark == PASSO_MARK_CLEAN;
    passage->missed += pass->mark == PASSO_MARK_MISS;
    while (i < passage->rungs && passage->rung[i].mbpm < pass->mbpm)
        i++;
    if (i == passage->rungs || passage->rung[i].mbpm != pass->mbpm) {
        memmove(passage->rung + i + 1, passage->rung + i,
                (passage->rungs - i) * sizeof *passage->rung);
        passage->rung[i] = (struct passo_report_rung){.mbpm = pass->mbpm};
        passage->rungs++;
    }
    passage->rung[i].clean += pass->mark == PASSO_MARK_CLEAN;
    passage->rung[i].missed += pass->mark == PASSO_MARK_MISS;
}

static inline struct passo_report_day *tools_day(struct passo_report_passage *passage, int32_t day)
{
    if (!passage->days || passage->day[passage->days - 1].day != day)
        passage->day[passage->days++] = (struct passo_report_day){.day = day};
    return &passage->day[passage->days - 1];
}

static inline void tools_count_day(struct passo_report_day *day,
                                   const struct passo_report_pass *pass)
{
    if (pass->mark == PASSO_MARK_VOID)
        return;
    if (!day->passes++) {
        day->first_try = pass->mark;
        day->first_mbpm = pass->mbpm;
    }
    day->clean += pass->mark == PASSO_MARK_CLEAN;
    day->missed += pass->mark == PASSO_MARK_MISS;
    if (pass->mark == PASSO_MARK_CLEAN && pass->mbpm > day->best_clean_mbpm)
        day->best_clean_mbpm = pass->mbpm;
    day->play_ns += MINUTE_NS / 4;
    day->rest_ns += MINUTE_NS / 3;
}

/* A secure tempo a little under the best clean one, known from the third day. */
static inline void tools_secure(struct passo_report_passage *passage, unsigned session)
{
    struct passo_report_day *day = &passage->day[passage->days - 1];
    double bpm = day->best_clean_mbpm / 1000.0 * 0.93;
    if (!day->best_clean_mbpm) {
        day->secure = (struct passo_secure){.kind = PASSO_SECURE_UNDER,
                                            .bpm = passage->rung[0].mbpm / 1000.0};
    } else if (!passage->missed) {
        day->secure = (struct passo_secure){.kind = PASSO_SECURE_AT_LEAST,
                                            .bpm = day->best_clean_mbpm / 1000.0};
    } else if (session >= 2) {
        double wide = 0.08 / sqrt(session);
        day->secure = (struct passo_secure){.kind = PASSO_SECURE_FITTED,
                                            .bpm = bpm,
                                            .low_bpm = bpm * (1 - 2 * wide),
                                            .high_bpm = bpm * (1 + wide),
                                            .passes = 20};
    }
    passage->secure = day->secure;
}

static inline void tools_session(struct passo_report_passage *passage, const struct plan *plan,
                                 unsigned session, int64_t day_count, uint32_t *seed)
{
    struct passo_report_session *to = &passage->session[passage->sessions++];
    struct passo_report_day *day = tools_day(passage, passo_day_of(day_count));
    *to = (struct passo_report_session){
        .began_ns = (day_count * 1440 + 17 * 60 + 10 + session % 4 * 25) * MINUTE_NS,
        .offset_s = 3600,
        .day = day->day,
        .first = passage->pass_count,
        .passes = plan->passes,
        .ended = session + 1 == plan->sessions && plan->reach_bpm >= plan->target_bpm
                     ? PASSO_MOVE_WON
                     : (enum passo_move[]){PASSO_MOVE_STOPPED, PASSO_MOVE_PLATEAU,
                                           PASSO_MOVE_TIRED}[session % 3]};
    for (unsigned i = 0; i < plan->passes; i++) {
        struct passo_report_pass pass = tools_pass(plan, session, i, seed);
        passage->pass[passage->pass_count++] = pass;
        tools_count(passage, &pass);
        tools_count_day(day, &pass);
    }
    if (day->best_clean_mbpm > passage->best_clean_mbpm)
        passage->best_clean_mbpm = day->best_clean_mbpm;
    to->play_ns = plan->passes * MINUTE_NS / 4;
    passage->play_ns += to->play_ns;
    passage->rest_ns += plan->passes * MINUTE_NS / 3;
    tools_secure(passage, session);
}

/* Misses where two bars are hard. */
static inline void tools_bars(struct passo_report_passage *passage)
{
    static const struct {
        int32_t bar;
        uint32_t of_10;
    } where[] = {{33, 1}, {35, 5}, {36, 3}};
    int from = atoi(passage->bars);
    for (size_t i = 0; i < 3 && passage->missed >= 10; i++)
        passage->bar[passage->bars_missed++] = (struct passo_report_bar){
            .bar = from + where[i].bar - 33, .misses = passage->missed * where[i].of_10 / 12 + 1};
}

static inline enum passo_report_share tools_share(const struct passo_report_passage *passage)
{
    uint32_t all = passage->clean + passage->missed;
    if (all < 8)
        return PASSO_SHARE_FEW;
    return passage->clean * 100 < all * 60   ? PASSO_SHARE_TOO_FAST
           : passage->clean * 100 > all * 95 ? PASSO_SHARE_TOO_CAREFUL
                                             : PASSO_SHARE_FINE;
}

static inline struct passo_report_passage *tools_passage(const struct plan *plan)
{
    struct passo_report_passage *passage = calloc(1, sizeof *passage);
    uint32_t seed = 7 + plan->sessions * 31 + (uint32_t)strlen(plan->title);
    size_t passes = (size_t)plan->sessions * plan->passes;
    int64_t day = passo_day_count(TOOLS_TODAY) - (int64_t)plan->apart * (plan->sessions - 1) -
                  (plan->gap_at ? 12 : 0);
    passage->player = strdup(plan->player);
    passage->title = strdup(plan->title);
    passage->piece = strdup(plan->piece);
    snprintf(passage->bars, sizeof passage->bars, "%s", plan->bars);
    passage->beat = (struct passo_ratio){1, 4};
    passage->target_mbpm = plan->target_bpm * 1000;
    passage->pass = calloc(passes + 1, sizeof *passage->pass);
    passage->rung = calloc(passes + 1, sizeof *passage->rung);
    passage->session = calloc(plan->sessions + 1, sizeof *passage->session);
    passage->day = calloc(plan->sessions + 1, sizeof *passage->day);
    passage->bar = calloc(3, sizeof *passage->bar);
    for (unsigned i = 0; i < plan->sessions; i++) {
        day += plan->gap_at && i == (unsigned)plan->gap_at ? 12 : 0;
        tools_session(passage, plan, i, day, &seed);
        day += plan->apart;
    }
    passage->best_won_mbpm = passage->best_clean_mbpm * 9 / 10;
    passage->share = tools_share(passage);
    passage->spacing_days = 2;
    passage->outlook = (struct passo_outlook){.kind = passage->days >= 4 ? PASSO_OUTLOOK_DAYS
                                                                         : PASSO_OUTLOOK_TOO_LITTLE,
                                              .days = 14,
                                              .low_days = 9,
                                              .high_days = 28};
    tools_bars(passage);
    return passage;
}

static inline struct passo_report *tools_report(const struct plan *plan, size_t plans)
{
    struct passo_report *report = calloc(1, sizeof *report);
    report->today = TOOLS_TODAY;
    report->passage = calloc(plans + 1, sizeof *report->passage);
    for (size_t i = 0; i < plans; i++)
        report->passage[report->passages++] = tools_passage(&plan[i]);
    return report;
}

static inline void tools_free(struct passo_report *report)
{
    for (size_t i = 0; i < report->passages; i++) {
        struct passo_report_passage *passage = report->passage[i];
        free(passage->player);
        free(passage->title);
        free(passage->piece);
        free(passage->pass);
        free(passage->rung);
        free(passage->session);
        free(passage->day);
        free(passage->bar);
        free(passage);
    }
    free(report->passage);
    free(report);
}

typedef void tools_drawing(const struct passo_report *report, FILE *to);

/* The page as a string; free it. */
static inline char *tools_page(tools_drawing *draw, const struct passo_report *report,
                               size_t *out_bytes)
{
    FILE *to = tmpfile();
    if (!to)
        abort();
    draw(report, to);
    *out_bytes = (size_t)ftell(to);
    char *text = calloc(*out_bytes + 1, 1);
    rewind(to);
    if (!text || fread(text, 1, *out_bytes, to) != *out_bytes)
        abort();
    fclose(to);
    return text;
}

#endif
