/* For the tests of what the log has of passages: sessions written in a few letters, and asking. */
#ifndef PASSO_TESTS_COMMAND_PRACTICE_TOOLS_H
#define PASSO_TESTS_COMMAND_PRACTICE_TOOLS_H

#include <math.h>
#include "command/practice.h"
#include "store/day.h"
#include "store/log_tools.h"

#define QUARTER ((struct passo_ratio){1, 4})
#define DOTTED  ((struct passo_ratio){3, 8})

enum { TODAY = 20261130, FIRST = 20261101 };

/* 18:00 UTC of the day so many days after 1 November. */
static inline int64_t evening(int day)
{
    return (passo_day_count(FIRST) + day) * 86400 * SECOND + 18 * 3600 * SECOND;
}

/* A session of a passage: a letter a pass, c clean, m miss, r raised (clean), v void, at the tempo
 * of its place in `bpm` (the last holds on); each is played for 30 seconds. */
struct session {
    const char *passage;
    int day;
    const char *marks;
    const int *bpm; /* ends with 0 */
    int32_t target_bpm;
    const char *beat_unit; /* NULL: quarter */
    const char *loop;      /* NULL: whole */
    enum passo_extra extra;
    const char *player; /* NULL: A.B. */
    int hour;
};

static inline enum passo_mark mark_of(char letter)
{
    return letter == 'm' ? PASSO_MARK_MISS : letter == 'v' ? PASSO_MARK_VOID : PASSO_MARK_CLEAN;
}

static inline void play_session(struct passo_log *log, struct session session)
{
    char name[PASSO_SESSION_BYTES];
    int64_t begin = evening(session.day) + session.hour * 3600 * SECOND;
    struct passo_log_climb climb =
        climb_at(session.player ? session.player : "A.B.", session.passage, begin);
    const int *bpm = session.bpm;
    climb.offset_s = 0;
    passo_log_begin(log, &climb, name);
    for (uint32_t i = 0; session.marks[i]; i++) {
        struct passo_row row = row_at(i + 1, begin + i * 60 * SECOND);
        passo_row_time(&row, row.time_ns, 0);
        row.tempo_mbpm = *bpm * 1000;
        row.target_mbpm = session.target_bpm * 1000;
        row.beat_unit = session.beat_unit ? session.beat_unit : "quarter";
        row.loop = session.loop ? session.loop : "whole";
        row.extra = session.extra;
        row.part = session.extra ? PASSO_PART_COUNT : PASSO_PART_CLIMB;
        row.mark = mark_of(session.marks[i]);
        row.marked_by = "key";
        row.move = session.marks[i] == 'r' ? PASSO_MOVE_RAISED : PASSO_MOVE_HELD;
        row.play_ns = 30 * SECOND;
        play(log, &row);
        bpm += bpm[1] != 0;
    }
}

static inline void practise(struct passo_log *log, const char *passage, int day, const char *marks,
                            const int *bpm, int32_t target_bpm)
{
    play_session(
        log,
        (struct session){
            .passage = passage, .day = day, .marks = marks, .bpm = bpm, .target_bpm = target_bpm});
}

/* --- a log of its own --- */

struct trial {
    char *folder;
    char *path;
    struct passo_log *log;
};

static inline struct trial begin_trial(void)
{
    struct trial trial = {.folder = new_folder()};
    trial.path = path_in(trial.folder, "log.sqlite");
    trial.log = open_log(trial.path, PASSO_LOG_KEEP);
    return trial;
}

static inline void end_trial(struct trial *trial)
{
    passo_log_close(trial->log);
    free(trial->path);
    remove_folder(trial->folder);
}

static inline void read_many(struct passo_log *log, const struct passo_practice_ask *ask,
                             size_t asks, struct passo_practice *out)
{
    const struct passo_practice_wish wish = {.player = "A.B.", .today = TODAY};
    char fault[FAULT_BYTES];
    if (passo_practice_read(log, &wish, ask, asks, out, fault, sizeof fault) != PASSO_OK)
        fail_msg("%s", fault);
}

static inline struct passo_practice_ask ask_of(const char *title, struct passo_ratio beat,
                                               int target_bpm)
{
    return (struct passo_practice_ask){title, "Harvest March", beat, target_bpm * 1000};
}

static inline struct passo_practice practice_of(struct passo_log *log, const char *title,
                                                struct passo_ratio beat, int target_bpm)
{
    struct passo_practice_ask ask = ask_of(title, beat, target_bpm);
    struct passo_practice practice;
    read_many(log, &ask, 1, &practice);
    return practice;
}

/* To the last bit. */
static inline void assert_same_practice(const struct passo_practice *a,
                                        const struct passo_practice *b)
{
    const struct passo_secure *secure[] = {&a->secure, &b->secure};
    assert_int_equal(a->passes, b->passes);
    assert_int_equal(a->play_ns, b->play_ns);
    assert_int_equal(a->best_mbpm, b->best_mbpm);
    assert_int_equal(a->last_day, b->last_day);
    assert_int_equal(a->due, b->due);
    assert_int_equal(a->held_back, b->held_back);
    assert_int_equal(a->guessed, b->guessed);
    assert_int_equal(a->rate_days, b->rate_days);
    assert_true(a->level == b->level && a->rate == b->rate);
    assert_int_equal(secure[0]->kind, secure[1]->kind);
    assert_true(secure[0]->bpm == secure[1]->bpm && secure[0]->low_bpm == secure[1]->low_bpm &&
                secure[0]->high_bpm == secure[1]->high_bpm &&
                secure[0]->passes == secure[1]->passes &&
                secure[0]->skill.slope == secure[1]->skill.slope &&
                secure[0]->skill.intercept == secure[1]->skill.intercept);
}

static inline void assert_near(double a, double b)
{
    if (!(fabs(a - b) <= 1e-9 * (1 + fabs(b))))
        fail_msg("%.12g is not %.12g", a, b);
}

#endif
