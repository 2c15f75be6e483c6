/* Marks move the ladder. A press (keys.c) counts for the pass whose window it falls
 * in: from its first played beat to the end of the next count-in; the last press in the window
 * wins. An undo opens an earlier pass again, and the next mark is for that one. */
#include "climb_priv.h"

#include <stdio.h>
#include "session/words.h"

enum { TICK_AFTER_MS = 60, CUE_AFTER_MS = 450, CUE_LASTS_MS = 620 };

static enum passo_cue cue_of(enum passo_move move)
{
    switch (move) {
    case PASSO_MOVE_RAISED:
    case PASSO_MOVE_HARDER:
        return PASSO_CUE_RAISED;
    case PASSO_MOVE_DROPPED:
    case PASSO_MOVE_EASIER:
        return PASSO_CUE_DROPPED;
    case PASSO_MOVE_WON:
        return PASSO_CUE_WON;
    case PASSO_MOVE_HELD:
        return PASSO_CUE_AGAIN;
    case PASSO_MOVE_NONE:
    case PASSO_MOVE_PLATEAU:
    case PASSO_MOVE_TIRED:
    case PASSO_MOVE_STOPPED:
    case PASSO_MOVE_COUNT:
        break;
    }
    return PASSO_CUE_COUNT;
}

static bool playing(const struct climb *climb)
{
    return climb->phase == PASSO_PHASE_PLAYING || climb->phase == PASSO_PHASE_LANDING;
}

/* Tick and cue for a decision. */
static void marks_cue(struct climb *climb, const struct passo_decision *decision)
{
    /* A mark that was there when the playing ended: from there, the same on every output. */
    const int64_t from = climb->arranged ? climb->now : passo_instant_frame(climb->rest_from);
    const int64_t at = from + climb_frames(climb, CUE_AFTER_MS);
    rest_hush(climb);
    /* Who only listens has not pressed a key. */
    if (!climb->setup->track)
        rest_cue(climb, PASSO_CUE_TICK, from + climb_frames(climb, TICK_AFTER_MS));
    enum passo_cue cue = cue_of(decision->move);
    if (decision->reason == PASSO_REASON_EXTENDED)
        return;
    /* Cues are for rests: a count-in that goes on is not talked over, nor is what the machine
     * plays before it. */
    if (cue != PASSO_CUE_COUNT && climb->phase == PASSO_PHASE_REST &&
        !hearing_covers(climb, at, at + climb_frames(climb, CUE_LASTS_MS)))
        rest_cue(climb, cue, at);
}

/* Shows and says what came of a mark. began_stage: with it another stage began. */
static void tell_move(struct climb *climb, const char *words, bool began_stage)
{
    char what[2 * PASSO_WORDS_BYTES];
    snprintf(climb->move_words, sizeof climb->move_words, "%s", words);
    climb_say(climb, PASSO_SAY_MOVE, "%s", words);
    if (began_stage)
        start_say_stage(climb);
    /* The words of a move name the tempo; what is played is told where it may be something else. */
    bool plain = climb->state.ladder.turns == 1 && climb->course->stages == 1 &&
                 climb->state.ladder.rule.climbs != PASSO_CLIMBS_LENGTH &&
                 climb->plan.part == PASSO_PART_CLIMB;
    if (plain || climb->plan.part == PASSO_PART_DONE || playing(climb))
        return;
    climb_say(climb, PASSO_SAY_MOVE, "Next: %s",
              passo_words_pass(climb->course, climb->passage, &climb->plan, what, sizeof what));
}

void marks_moved(struct climb *climb, enum passo_part part, const char *words)
{
    char move[PASSO_WORDS_BYTES];
    const uint8_t stage = climb->state.stage;
    struct passo_decision decision = record_replay(climb);
    if (climb->arranged)
        rest_replan(climb);
    else
        climb->plan = passo_course_next(climb->course, &climb->state);
    if (climb->phase == PASSO_PHASE_REST || climb->phase == PASSO_PHASE_COUNT_IN)
        marks_cue(climb, &decision);
    if (!words && decision.reason == PASSO_REASON_TOUCHED && !leave_then(climb)[0])
        words = "That was the last.";
    if (!words)
        words = passo_words_move(climb->course, climb->passage, &climb->state, part, &decision,
                                 move, sizeof move);
    tell_move(climb, words, climb->state.stage != stage);
    leave_say_then(climb);
}

/* The bar in which the player slipped: where the pulse stood one beat ago. */
static int32_t slip_bar(const struct climb *climb)
{
    const struct pass *pass = &climb->pass;
    struct passo_tempo tempo = {pass->plan.mbpm, climb->passage->beat};
    struct passo_instant zero = {0, 0};
    int64_t frame =
        climb->now - passo_tempo_frame(zero, climb->passage->beat, tempo, climb->rate_hz);
    int32_t bar = INT32_MIN;
    for (size_t i = 0; i < pass->beats; i++) {
        if (!pass->beat[i].played || pass->beat[i].frame >= pass->landing.frame)
            continue;
        if (bar == INT32_MIN || pass->beat[i].frame <= frame)
            bar = pass->beat[i].bar;
    }
    return bar;
}

/* Ends the pass that sounds at its bar's end. */
static void break_off(struct climb *climb)
{
    struct pass *pass = &climb->pass;
    for (size_t i = 0; i < pass->beats; i++) {
        if (pass->beat[i].beat != 1 || !pass->beat[i].played || pass->beat[i].frame <= climb->now)
            continue;
        pass->breaking =
            passo_player_stop(climb->sounding->player, pass->beat[i].frame) == PASSO_OK;
        if (pass->breaking)
            pass->end = (struct passo_instant){pass->beat[i].frame, 0};
        return;
    }
}

static void mark_playing(struct climb *climb, enum passo_mark mark)
{
    struct pass *pass = &climb->pass;
    /* A pass that is being broken off can no more be clean. */
    if (pass->breaking && mark == PASSO_MARK_CLEAN)
        return;
    pass->changed |= pass->mark != PASSO_MARK_NONE && pass->mark != mark;
    pass->mark = mark;
    if (mark == PASSO_MARK_MISS)
        pass->miss_bar = slip_bar(climb);
    climb_say(climb, PASSO_SAY_MARK, "Pass %zu: %s.", climb->records + 1, passo_mark_name(mark));
    if (mark == PASSO_MARK_MISS && climb->setup->setup->on_miss == PASSO_ON_MISS_BREAK_OFF &&
        climb->phase == PASSO_PHASE_PLAYING)
        break_off(climb);
}

static void set_reopened(struct climb *climb, struct record *record, bool reopened)
{
    climb->reopened += (size_t)reopened;
    climb->reopened -= (size_t)record->reopened;
    record->reopened = reopened;
}

static void mark_record(struct climb *climb, struct record *record, enum passo_mark mark)
{
    if (record->mark != PASSO_MARK_NONE && record->mark != mark)
        record->changed = true;
    if (record->reopened || record->written)
        record->corrected = true;
    set_reopened(climb, record, false);
    record->broken_off = false;
    record->mark = mark;
    record_changed(climb, record);
    climb_say(climb, PASSO_SAY_MARK, "Pass %u: %s.", record->number, passo_mark_name(mark));
    marks_moved(climb, record->plan.part, NULL);
    keep_change(climb, record->open ? PASSO_LOG_MARKED : PASSO_LOG_CHANGED, record);
}

void marks_mark(struct climb *climb, enum passo_mark mark)
{
    struct record *record = record_for_mark(climb);
    if (climb->phase == PASSO_PHASE_OVER)
        return;
    if (record)
        mark_record(climb, record, mark);
    else if (playing(climb))
        mark_playing(climb, mark);
    /* A pause that began for want of marks ends with one: a pedal is enough. */
    if (climb->phase == PASSO_PHASE_PAUSED && climb->paused_unmarked)
        rest_resume(climb);
}

/* What a pass is whose mark was taken back: not marked; or void, where a pass without a mark would
 * at once be taken as clean or missed again. */
static enum passo_mark taken_back(const struct climb *climb)
{
    enum passo_unmarked unmarked = climb->state.ladder.rule.unmarked;
    bool assumes = unmarked == PASSO_UNMARKED_CLEAN || unmarked == PASSO_UNMARKED_MISS;
    return assumes ? PASSO_MARK_VOID : PASSO_MARK_NONE;
}

/* Opens the last pass that has a mark again; NULL if none has. The change is yet to be worked in.
 */
static const struct record *take_back(struct climb *climb)
{
    for (size_t i = climb->records; i-- > 0;) {
        struct record *record = &climb->record[i];
        bool marked = record->mark != PASSO_MARK_NONE || record->decision.assumed;
        if (!marked || record->reopened)
            continue;
        record->mark = taken_back(climb);
        record->miss_bar = INT32_MIN;
        record->changed = true;
        record->corrected = record->written;
        set_reopened(climb, record, true);
        record_changed(climb, record);
        keep_change(climb, PASSO_LOG_TAKEN_BACK, record);
        climb_say(climb, PASSO_SAY_MARK, "Pass %u: mark taken back; the next mark is for it.",
                  record->number);
        return record;
    }
    return NULL;
}

static void taken_back_moved(struct climb *climb, const struct record *record)
{
    marks_moved(climb, record->plan.part, "Taken back: the mark is open again.");
}

void marks_undo(struct climb *climb)
{
    if (playing(climb) && climb->pass.mark != PASSO_MARK_NONE) {
        climb->pass.mark = PASSO_MARK_NONE;
        climb->pass.changed = true;
        climb_say(climb, PASSO_SAY_MARK, "Pass %zu: mark taken back.", climb->records + 1);
        return;
    }
    const struct record *record = take_back(climb);
    if (record)
        taken_back_moved(climb, record);
}

bool marks_ended(const struct climb *climb)
{
    return climb->marker && passo_marker_peek(climb->marker) == PASSO_SIGN_END;
}

void marks_from_marker(struct climb *climb)
{
    struct record *played = &climb->record[climb->records - 1];
    const struct record *back = NULL;
    bool marked = played->plan.part == PASSO_PART_ANCHOR || played->mark != PASSO_MARK_NONE;
    while (climb->marker) {
        enum passo_script_sign sign = passo_marker_peek(climb->marker);
        struct record *target = record_for_mark(climb);
        PASSO_BUG_ON(!target); /* the pass just played is open */
        if (sign == PASSO_SIGN_END || (sign == PASSO_SIGN_MARK && marked && !target->reopened))
            break;
        enum passo_mark taken = passo_marker_take(climb->marker, target->plan.mbpm);
        if (sign == PASSO_SIGN_UNDO) {
            const struct record *record = take_back(climb);
            back = record ? record : back;
            /* A run of them is worked in at once. */
            if (back && passo_marker_peek(climb->marker) != PASSO_SIGN_UNDO) {
                taken_back_moved(climb, back);
                back = NULL;
            }
            continue;
        }
        marked |= target == played;
        if (taken == PASSO_MARK_NONE)
            set_reopened(climb, target, false);
        else
            mark_record(climb, target, taken);
    }
}
