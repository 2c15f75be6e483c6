/* What of a climb goes into the log, and when. A pass goes in when its playing is over, a mark when
 * it is taken; the loop commits once a round, after sound and cues have had their due, so that all
 * of it is on the disk before the next pass begins. A log that cannot be written holds nothing up:
 * what waits is tried again every second, and at the end goes into a rescue CSV. Runs on the main
 * thread. */
#include "climb_priv.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { RETRY_MS = 1000, LAST_TRIES = 20, LAST_TRY_MS = 100 };

static const char session_form[] = "%Y%m%dT%H%M%S";

/* The name of this climb in the record: its beginning, to the second. */
static void name_session(struct climb *climb)
{
    time_t began = (time_t)(climb->wall_epoch_ns / 1000000000);
    struct tm local;
    localtime_r(&began, &local);
    strftime(climb->session, sizeof climb->session, session_form, &local);
}

void keep_begin(struct climb *climb)
{
    if (climb->session[0])
        return;
    name_session(climb);
    if (!climb->log)
        return;
    struct passo_row row = {0};
    passo_row_time_here(&row, climb->wall_epoch_ns);
    const struct passo_log_climb begins = {.player = climb->setup->player,
                                           .passage = climb->passage->title,
                                           .piece = climb->passage->piece,
                                           .setup = climb->setup->setup_text,
                                           .session = climb->session,
                                           .began_ns = row.time_ns,
                                           .offset_s = row.offset_s};
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(climb->log, &begins, session);
    memcpy(climb->session, session, sizeof climb->session);
}

void keep_played(struct climb *climb, const struct record *record)
{
    struct row_room room;
    struct passo_row row;
    if (!climb->log)
        return;
    record_row(climb, record, &room, &row);
    const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                             .mark = record->mark,
                                             .part = record->plan.part,
                                             .rung = record->plan.rung,
                                             .turn = record->plan.turn,
                                             .stage = record->plan.stage,
                                             .elapsed_ms = record->ended_ns / 1000000,
                                             .played_ms = climb->played_ns / 1000000};
    passo_log_played(climb->log, &row, &event);
}

void keep_change(struct climb *climb, enum passo_log_change change, const struct record *record)
{
    struct row_room room;
    struct passo_row row;
    if (!climb->log)
        return;
    record_row(climb, record, &room, &row);
    passo_log_change(climb->log, change, &row);
}

void keep_hand(struct climb *climb, const struct passo_ladder_event *event)
{
    if (climb->log)
        passo_log_hand(climb->log, event, (uint32_t)climb->records);
}

static int64_t monotonic_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void tell(struct climb *climb, bool failed)
{
    if (failed && !climb->log_failed)
        climb_say(climb, PASSO_SAY_NOTICE, KEEP_WAITS, passo_log_why(climb->log));
    else if (!failed && climb->log_failed)
        climb_say(climb, PASSO_SAY_NOTICE, "The log is written again.");
    climb->log_failed = failed;
}

void keep_commit(struct climb *climb)
{
    struct passo_log *log = climb->log;
    if (!log || passo_log_waiting(log) == 0)
        return;
    if (climb->log_failed && monotonic_ms() < climb->log_retry_ms)
        return;
    tell(climb, passo_log_commit(log) != PASSO_OK);
    climb->log_retry_ms = monotonic_ms() + RETRY_MS;
}

/* Every pass of this climb, into the first file that takes them. */
static const char *rescue(struct climb *climb)
{
    char fault[256];
    for (const char *const *path = climb->setup->rescue; path && *path; path++) {
        struct passo_csv *csv;
        enum passo_error error = passo_csv_open(*path, false, &csv, fault, sizeof fault);
        if (error && error != PASSO_ERR_EXISTS)
            unlink(*path); /* a disk without room for the header has room for its name */
        if (error)
            continue;
        for (size_t i = 0; i < climb->records; i++) {
            struct row_room room;
            struct passo_row row;
            record_row(climb, &climb->record[i], &room, &row);
            /* What does not reach the disk now is told when the file is closed. */
            if (passo_csv_write(csv, &row) != PASSO_OK)
                break;
        }
        if (passo_csv_close(csv) == PASSO_OK)
            return *path;
        unlink(*path);
    }
    return NULL;
}

void keep_end(struct climb *climb, struct passo_climb_result *out_result)
{
    struct passo_log *log = climb->log;
    if (!log)
        return;
    if (!climb->cut_short && climb->records)
        passo_log_end(log, climb->state.now.outcome);
    enum passo_error error = passo_log_commit(log);
    const struct timespec pause = {.tv_nsec = LAST_TRY_MS * 1000000L};
    for (int i = 0; error && i < LAST_TRIES; i++) {
        nanosleep(&pause, NULL);
        error = passo_log_commit(log);
    }
    tell(climb, error != PASSO_OK);
    if (!error)
        return;
    out_result->log_failed = passo_log_why(log);
    out_result->rescued = rescue(climb);
}

/* --- a climb that is gone on with --- */

/* Where a pass was played, of an event: its loop and variant are the course's. */
static struct passo_plan plan_of(const struct climb *climb, const struct passo_log_step *step)
{
    struct passo_plan plan = {.part = step->event.part,
                              .mbpm = step->row.tempo_mbpm,
                              .rung = step->event.rung,
                              .turn = step->event.turn,
                              .stage = step->event.stage};
    passo_plan_place(climb->course, &plan);
    return plan;
}

static void restore_pass(struct climb *climb, const struct passo_log_step *step)
{
    const struct passo_row *row = &step->row;
    struct record record = {.plan = plan_of(climb, step),
                            .number = row->pass,
                            .mark = step->event.mark,
                            .changed = !strcmp(row->marked_by, "changed"),
                            .miss_bar = row->miss_bar,
                            .broken_off = row->mark == PASSO_MARK_VOID && !row->marked_by[0],
                            .open = !step->closed, /* the first count-in is its window still */
                            .written = step->closed,
                            .time_ns = row->time_ns,
                            .play_ns = row->play_ns,
                            .rest_ns = row->rest_ns,
                            .ended_ns = step->event.elapsed_ms * 1000000,
                            .elapsed_ns = row->elapsed_ns};
    climb->played_ns += record.play_ns;
    climb->rested_ns += record.rest_ns;
    climb->rest_from_ns = record.ended_ns;
    climb->before_ns = step->closed ? record.elapsed_ns : record.ended_ns;
    record_restore(climb, &record, &step->event);
}

void keep_restore(struct climb *climb)
{
    const struct passo_log_cut *cut = climb->setup->cut;
    if (!cut || !climb->log)
        return;
    memcpy(climb->session, cut->session, sizeof climb->session);
    passo_log_go_on(climb->log, cut->climb);
    for (size_t i = 0; i < cut->steps; i++) {
        if (cut->step[i].event.type == PASSO_LADDER_PASS)
            restore_pass(climb, &cut->step[i]);
        else
            record_restore(climb, NULL, &cut->step[i].event);
    }
    record_replay(climb);
    climb->restored = climb->records;
    climb->played_before_ns = climb->played_ns;
    climb->rested_before_ns = climb->rested_ns;
    climb->told_to_go_on = true;
}
