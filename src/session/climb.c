/* The conductor's loop and its phases: count-in, playing, landing, rest. Time is the frame that is
 * heard; every phase ends at a frame that is known beforehand. Nothing changes inside a pass. In
 * simulated time the loop jumps from one such frame to the next; else it sleeps in one place, the
 * view's wait(). Runs on the main thread. */
#include "climb_priv.h"

#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "session/signals.h"
#include "session/words.h"
#include "text/notation.h"

enum { LEAD_MS = 30 };

int64_t climb_frames(const struct climb *climb, int64_t ms)
{
    return passo_instant_frame(passo_instant_from_ms(ms, climb->rate_hz));
}

int64_t climb_elapsed_ns(const struct climb *climb, struct passo_instant at)
{
    struct passo_instant since = passo_instant_sub(at, climb->epoch);
    return climb->before_ns +
           passo_instant_ns(passo_instant_sub(since, climb->paused), climb->rate_hz);
}

void climb_say(struct climb *climb, enum passo_say kind, const char *format, ...)
{
    char line[2 * PASSO_WORDS_BYTES];
    va_list values;
    va_start(values, format);
    vsnprintf(line, sizeof line, format, values);
    va_end(values);
    if (line[0])
        climb->setup->view->ops->say(climb->setup->view, kind, line);
}

bool climb_is_block(const struct climb *climb)
{
    return climb->course->stage[0].rule.climbs == PASSO_CLIMBS_BLOCK;
}

bool climb_is_check(const struct climb *climb)
{
    return climb->course->stage[0].rule.climbs == PASSO_CLIMBS_CHECK;
}

void climb_set_level(struct climb *climb)
{
    /* Loudness grows about with the square of a fader's way; a full ring keeps the old level. */
    float way = (float)climb->level_permille / 1000.0f;
    if (passo_player_level(climb->sounding->player, way * way) != PASSO_OK)
        return;
}

/* Lost or late frames are told once a pass, in its rest. */
static void tell_late(struct climb *climb)
{
    if (climb->late == 0)
        return;
    snprintf(climb->notice_words, sizeof climb->notice_words,
             "The sound was late %u %s in pass %zu.", climb->late,
             climb->late == 1 ? "time" : "times", climb->records);
    climb_say(climb, PASSO_SAY_NOTICE, "%s", climb->notice_words);
    climb->late = 0;
}

void climb_end_play(struct climb *climb, struct passo_instant end, bool broken_off)
{
    enum passo_mark mark = climb->pass.mark;
    bool nobodys = broken_off && mark == PASSO_MARK_NONE;
    if (nobodys)
        mark = PASSO_MARK_VOID;
    climb->phase = PASSO_PHASE_REST;
    climb->rest_from = end;
    climb->rest_from_ns = climb_elapsed_ns(climb, end);
    climb->rest_more_ms = 0;
    climb->rest_cut = false;
    climb->told_to_go_on = false;
    climb->arranged = false;
    climb->pass.handed = false;
    climb->pass.begun = false;
    climb->hearing.handed = false;
    climb->hearing.begun = false;
    climb->heard = false;
    record_add(climb, mark, end, nobodys);
    if (mark == PASSO_MARK_NONE || climb_is_block(climb))
        record_replay(climb);
    else
        marks_moved(climb, climb->pass.plan.part, NULL);
    keep_played(climb, &climb->record[climb->records - 1]);
    if (!broken_off)
        marks_from_marker(climb);
    tell_late(climb);
    climb->arranged = true;
    rest_arrange(climb);
    leave_say_then(climb);
}

void climb_break_off(struct climb *climb)
{
    if (climb->phase != PASSO_PHASE_PLAYING && climb->phase != PASSO_PHASE_LANDING)
        return;
    PASSO_BUG_ON(passo_player_stop(climb->sounding->player, 0) != PASSO_OK);
    climb_end_play(climb, (struct passo_instant){climb->now, 0}, true);
}

void climb_pause(struct climb *climb)
{
    if (climb->phase == PASSO_PHASE_OVER)
        return;
    if (climb->phase == PASSO_PHASE_PAUSED) {
        rest_resume(climb);
        return;
    }
    bool rested = climb->phase == PASSO_PHASE_REST || climb->phase == PASSO_PHASE_LEAD;
    climb_break_off(climb);
    /* A pass was broken off: the pause is rest enough, a breath will do. */
    if (!rested) {
        climb->rest_cut = true;
        climb->rest_sooner = (struct passo_instant){climb->now, 0};
    }
    rest_pause(climb, false);
}

/* The climb's clock begins with the first count-in that is not broken off. */
static void set_epoch(struct climb *climb, struct passo_instant at)
{
    climb->wall_epoch_ns += passo_instant_ns(passo_instant_sub(at, climb->epoch), climb->rate_hz);
    climb->epoch = at;
    climb->paused = (struct passo_instant){0, 0};
}

static void begin_count_in(struct climb *climb, int64_t began)
{
    struct pass *pass = &climb->pass;
    char what[2 * PASSO_WORDS_BYTES];
    /* Handed over late (a stalled machine): the rest went on, and the pass lies later. */
    int64_t late = began - pass->start.frame;
    if (late > 1)
        hand_shift(pass, late);
    if (climb->records == climb->restored)
        set_epoch(climb, pass->start);
    pass->begun = true;
    climb->phase = PASSO_PHASE_COUNT_IN;
    if (climb_is_block(climb))
        block_say_pass(climb);
    else
        climb_say(climb, PASSO_SAY_PASS, "Pass %zu: %s", climb->records + 1,
                  passo_words_pass(climb->course, climb->passage, &pass->plan, what, sizeof what));
}

static void take_notices(struct climb *climb)
{
    for (;;) {
        if (!climb->has_notice)
            climb->has_notice = passo_player_notice(climb->sounding->player, &climb->notice);
        if (!climb->has_notice || climb->notice.frame > climb->now)
            return;
        climb->has_notice = false;
        const bool pass = climb->pass.handed && climb->notice.id == climb->pass.id;
        const bool heard = climb->hearing.handed && climb->notice.id == climb->hearing.id;
        if (climb->notice.kind == PASSO_NOTICE_BEGAN && pass)
            begin_count_in(climb, climb->notice.frame);
        else if (climb->notice.kind == PASSO_NOTICE_BEGAN && heard)
            hearing_begin(climb, climb->notice.frame);
        else if (climb->notice.kind == PASSO_NOTICE_BEAT && (pass || heard))
            snapshot_beat(climb, &climb->notice);
        else if (climb->notice.kind == PASSO_NOTICE_LATE)
            climb->late++;
    }
}

static void begin_playing(struct climb *climb)
{
    const struct record *last = climb->records ? &climb->record[climb->records - 1] : NULL;
    if (last && last->open && last->mark == PASSO_MARK_NONE && !climb_is_block(climb)) {
        passo_words_move(climb->course, climb->passage, &climb->state, last->plan.part,
                         &last->decision, climb->move_words, sizeof climb->move_words);
        if (last->plan.part != PASSO_PART_ANCHOR) /* nobody asked for its mark */
            climb_say(climb, PASSO_SAY_MARK, "Pass %u stays unmarked.", last->number);
    }
    record_close_windows(climb, climb->pass.start);
    climb->phase = PASSO_PHASE_PLAYING;
}

/* Goes through every phase that ends by now. */
static void step(struct climb *climb)
{
    const struct pass *pass = &climb->pass;
    enum passo_phase before;
    hand_settle(climb);
    do {
        take_notices(climb);
        before = climb->phase;
        if (before == PASSO_PHASE_LEAD || before == PASSO_PHASE_REST)
            rest_step(climb);
        else if (before == PASSO_PHASE_COUNT_IN && climb->now >= passo_instant_frame(pass->body))
            begin_playing(climb);
        else if ((before == PASSO_PHASE_PLAYING || before == PASSO_PHASE_LANDING) &&
                 climb->now >= passo_instant_frame(pass->end))
            climb_end_play(climb, pass->end, false);
        else if (before == PASSO_PHASE_PLAYING && climb->now >= passo_instant_frame(pass->landing))
            climb->phase = PASSO_PHASE_LANDING;
    } while (climb->phase != before);
}

static void take_presses(struct climb *climb)
{
    struct passo_view *view = climb->setup->view;
    struct passo_output *output = climb->sounding->output;
    struct passo_press press;
    while (view->ops->press(view, output->ops->now_ns(output), &press)) {
        int64_t frame = passo_sounding_frame_at(climb->sounding, press.at_ns);
        if (frame > climb->now)
            climb->now = frame;
        step(climb);
        if (climb->setup->hand_takes_over && climb->marker && press.command != PASSO_COMMAND_QUIT) {
            climb->marker = NULL;
            climb_say(climb, PASSO_SAY_NOTICE, "You play now: mark each pass yourself.");
            snprintf(climb->notice_words, sizeof climb->notice_words, "You play now.");
        }
        keys_press(climb, &press, climb->now);
    }
    if (passo_signals_ending()) {
        climb->cut_short |= passo_signals_ending() != SIGINT;
        leave_quit(climb);
    }
}

static void run(struct climb *climb)
{
    struct passo_view *view = climb->setup->view;
    bool simulated = climb->sounding->output->ops->advance != NULL;
    while (climb->phase != PASSO_PHASE_OVER) {
        climb->now = passo_sounding_now(climb->sounding);
        step(climb);
        take_presses(climb);
        keep_commit(climb);
        climb_look_after_sound(climb);
        if (!simulated) {
            snapshot_fill(climb);
            view->ops->draw(view, &climb->snapshot);
        }
        if (climb->phase == PASSO_PHASE_OVER)
            break;
        if (simulated)
            climb_wait_simulated(climb);
        else
            climb_wait(climb);
    }
    snapshot_fill(climb);
    view->ops->draw(view, &climb->snapshot);
}

static void begin(struct climb *climb)
{
    struct passo_snapshot *snapshot = &climb->snapshot;
    struct timespec wall;
    clock_gettime(CLOCK_REALTIME, &wall);
    climb->wall_epoch_ns = climb->setup->wall_ns;
    if (!climb->wall_epoch_ns)
        climb->wall_epoch_ns = (int64_t)wall.tv_sec * 1000000000 + wall.tv_nsec;
    climb->rate_hz = passo_sounding_rate_hz(climb->sounding);
    climb->level_by_hand = climb->setup->level_permille > 0;
    climb->level_permille =
        climb->level_by_hand ? climb->setup->level_permille : climb->setup->setup->volume_permille;
    climb->arranged = true;
    climb_set_level(climb);
    passo_text_clean(climb->passage->title, snapshot->title, sizeof snapshot->title);
    passo_text_clean(climb->passage->piece, snapshot->piece, sizeof snapshot->piece);
    passo_note_value_write(climb->passage->beat, snapshot->beat_name, sizeof snapshot->beat_name);
    snapshot->beat = climb->passage->beat;
    snapshot->ladder = &climb->state.ladder;
    snapshot->day = climb->setup->day;
    passo_course_begin(climb->course, &climb->state);
    keep_restore(climb);
    hearing_init(climb);
    climb->phase = PASSO_PHASE_LEAD;
    start_say(climb);
    if (climb->setup->hand_takes_over && climb->marker) {
        snprintf(climb->notice_words, sizeof climb->notice_words,
                 "A simulated player marks the passes. Any key takes over.");
        climb_say(climb, PASSO_SAY_NOTICE, "%s", climb->notice_words);
    }
    /* What is left of an earlier climb on this stream. */
    while (passo_player_notice(climb->sounding->player, &climb->notice))
        continue;
    climb->now = passo_sounding_now(climb->sounding);
    climb->from_frame = climb->now;
    const int64_t lead_ms = climb->setup->track ? 0 : LEAD_MS;
    climb->epoch = (struct passo_instant){
        passo_player_rendered(climb->sounding->player) + climb_frames(climb, lead_ms), 0};
    rest_first(climb, lead_ms);
    /* What is heard before the first count-in is no time of the climb's. */
    set_epoch(climb, climb->rest_until);
}

enum passo_error passo_climb_run(const struct passo_climb_setup *setup,
                                 struct passo_climb_result *out_result, char *out_fault,
                                 size_t fault_bytes)
{
    struct climb *climb = passo_xcalloc(1, sizeof *climb);
    climb->setup = setup;
    climb->passage = &setup->setup->passage;
    *out_result = (struct passo_climb_result){0};
    climb->course = &setup->setup->course;
    climb->marker = climb_is_block(climb) ? NULL : setup->marker;
    climb->csv = setup->unrecorded ? NULL : setup->csv;
    climb->log = setup->unrecorded ? NULL : setup->log;
    climb->sounding = setup->sounding ? setup->sounding : &climb->own;
    enum passo_error error = PASSO_OK;
    if (!setup->sounding)
        error = passo_sounding_open(&climb->own, setup->output, &setup->ask, setup->setup->sounds,
                                    out_fault, fault_bytes);
    if (error == PASSO_OK) {
        begin(climb);
        run(climb);
        leave_end(climb, out_result);
        passo_sounding_close(&climb->own);
    }
    free(climb->pass.beat);
    hearing_deinit(climb);
    free(climb->record);
    free(climb->event);
    free(climb->event_record);
    free(climb);
    return error;
}
