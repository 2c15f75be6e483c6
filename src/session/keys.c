/* Presses: what each key does. Marks and their undo are marks.c's, rests and pauses rest.c's, ends
 * leave.c's; hands that move the ladder, put its limits off or set the level are done here. Runs on
 * the main thread. */
#include "climb_priv.h"

#include <stdio.h>

enum { QUIET_MS = 700, LEVEL_STEP = 50 };

/* Of a block nobody says how it went. */
static void mark_key(struct climb *climb, enum passo_command command)
{
    if (climb_is_block(climb))
        return;
    if (command == PASSO_COMMAND_UNDO)
        marks_undo(climb);
    else
        marks_mark(climb, command == PASSO_COMMAND_CLEAN  ? PASSO_MARK_CLEAN
                          : command == PASSO_COMMAND_MISS ? PASSO_MARK_MISS
                                                          : PASSO_MARK_VOID);
}

/* A hand that does nothing is told why. */
static void tell_why_not(struct climb *climb, const char *words)
{
    climb_say(climb, PASSO_SAY_NOTICE, "%s", words);
    snprintf(climb->move_words, sizeof climb->move_words, "%s", words);
}

/* Why a hand cannot move this; NULL: it can. */
static const char *fixed_words(const struct climb *climb, enum passo_event_type type)
{
    const bool last_stage = climb->state.stage + 1u == climb->course->stages;
    if (climb_is_check(climb))
        return "A check is played as it stands.";
    if (climb_is_block(climb))
        return "A block keeps its tempo.";
    if (type == PASSO_LADDER_TURN && climb->state.ladder.turns == 1 && last_stage)
        return "There is only one way to play this passage.";
    return NULL;
}

static void by_hand(struct climb *climb, enum passo_event_type type)
{
    if (climb->state.now.part != PASSO_PART_CLIMB && climb->state.now.part != PASSO_PART_ANCHOR)
        return;
    const char *why_not = fixed_words(climb, type);
    if (why_not) {
        tell_why_not(climb, why_not);
        return;
    }
    record_hand(climb, type);
    marks_moved(climb, PASSO_PART_CLIMB, NULL);
}

/* More time and more passes. What was told of the time no longer holds. */
static void extend(struct climb *climb)
{
    if (climb->phase == PASSO_PHASE_OVER)
        return;
    if (!passo_ladder_extends(&climb->state.ladder, &climb->state.now)) {
        tell_why_not(climb, climb->state.now.outcome == PASSO_OUTCOME_OPEN
                                ? "There is no limit here that could be put off."
                                : "The climbing is over: there is nothing to lengthen.");
        return;
    }
    record_hand(climb, PASSO_LADDER_EXTEND);
    climb->time_told = false;
    climb->time_cue = 0;
    marks_moved(climb, PASSO_PART_CLIMB, NULL);
}

/* A key that ends this item of a day. One that ended the item before it just now, and is held yet,
 * does not end this one too. */
static void leave_key(struct climb *climb, enum passo_command command, int64_t frame)
{
    if (frame - climb->from_frame < climb_frames(climb, QUIET_MS))
        return;
    if (command == PASSO_COMMAND_TURN)
        leave_block(climb);
    else if (climb->setup->in_day)
        leave_by(climb, command == PASSO_COMMAND_SKIP ? PASSO_END_SKIP : PASSO_END_PUT_OFF);
}

static void set_level(struct climb *climb, int32_t step)
{
    int32_t level = climb->level_permille + step;
    climb->level_permille = level < 0 ? 0 : level > 1000 ? 1000 : level;
    climb->level_by_hand = true;
    climb_set_level(climb);
}

/* The same key counts again only after it has been quiet: a foot rests, keys repeat. */
static bool is_repeat(struct climb *climb, int key, int64_t frame)
{
    struct held_key *slot = &climb->held[0];
    for (size_t i = 0; i < HELD_KEYS; i++) {
        struct held_key *held = &climb->held[i];
        if (held->key == key && held->frame != 0) {
            bool repeat = frame - held->frame < climb_frames(climb, QUIET_MS);
            held->frame = frame;
            return repeat;
        }
        if (held->frame < slot->frame)
            slot = held;
    }
    *slot = (struct held_key){key, frame};
    return false;
}

void keys_press(struct climb *climb, const struct passo_press *press, int64_t frame)
{
    bool fader = press->command == PASSO_COMMAND_LOUDER || press->command == PASSO_COMMAND_SOFTER;
    if (!fader && is_repeat(climb, press->key, frame))
        return;
    switch (press->command) {
    case PASSO_COMMAND_CLEAN:
    case PASSO_COMMAND_MISS:
    case PASSO_COMMAND_VOID:
    case PASSO_COMMAND_UNDO:
        mark_key(climb, press->command);
        break;
    case PASSO_COMMAND_PAUSE:
        climb_pause(climb);
        break;
    case PASSO_COMMAND_EASIER:
        by_hand(climb, PASSO_LADDER_EASIER);
        break;
    case PASSO_COMMAND_HARDER:
        by_hand(climb, PASSO_LADDER_HARDER);
        break;
    case PASSO_COMMAND_TURN:
        if (climb_is_block(climb))
            leave_key(climb, press->command, frame);
        else
            by_hand(climb, PASSO_LADDER_TURN);
        break;
    case PASSO_COMMAND_EXTEND:
        extend(climb);
        break;
    case PASSO_COMMAND_SKIP:
    case PASSO_COMMAND_PUT_OFF:
        leave_key(climb, press->command, frame);
        break;
    case PASSO_COMMAND_SOONER:
        rest_sooner(climb);
        break;
    case PASSO_COMMAND_LONGER:
        rest_longer(climb);
        break;
    case PASSO_COMMAND_LOUDER:
        set_level(climb, LEVEL_STEP);
        break;
    case PASSO_COMMAND_SOFTER:
        set_level(climb, -LEVEL_STEP);
        break;
    case PASSO_COMMAND_QUIT:
        climb->cut_short |= press->hung_up;
        leave_quit(climb);
        break;
    case PASSO_COMMAND_NONE:
    case PASSO_COMMAND_HELP:
    case PASSO_COMMAND_COUNT:
        break;
    }
}
