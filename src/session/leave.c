/* How a climb ends: by its rule, by the player's hand, for want of marks; what is then said, left
 * to the next climb on the same stream, and told to the caller. Runs on the main thread. */
#include "climb_priv.h"

#include <string.h>
#include "session/words.h"

void leave_by(struct climb *climb, enum passo_climb_end end)
{
    if (climb->phase == PASSO_PHASE_OVER)
        return;
    const bool played = climb->state.now.part == PASSO_PART_DONE;
    climb->end = played && end != PASSO_END_QUIT ? PASSO_END_RULE : end;
    if (climb->phase == PASSO_PHASE_PAUSED)
        climb->now = climb->paused_at;
    /* A pass that was just begun and has no mark is no pass; a block's was played as far as it
     * went. */
    if (climb->pass.mark != PASSO_MARK_NONE || climb_is_block(climb))
        climb_break_off(climb);
    if (passo_player_stop(climb->sounding->player, 0) != PASSO_OK)
        climb->pass.handed = false; /* the output's own stop fades what sounds */
    /* What was played to its end was not stopped. */
    if (climb->end != PASSO_END_RULE || climb->passed_on)
        record_hand(climb, PASSO_LADDER_QUIT);
    record_replay(climb);
    record_close_windows(climb, (struct passo_instant){climb->now, 0});
    climb->plan = passo_course_next(climb->course, &climb->state);
    climb->phase = PASSO_PHASE_OVER;
}

void leave_quit(struct climb *climb)
{
    leave_by(climb, PASSO_END_QUIT);
}

void leave_block(struct climb *climb)
{
    climb->passed_on = true;
    leave_by(climb, PASSO_END_RULE);
}

const char *leave_then(const struct climb *climb)
{
    static const char then[] = "Then ";
    const char *words = climb->setup->then_words;
    if (!words)
        return "";
    return strncmp(words, then, sizeof then - 1) == 0 ? words + sizeof then - 1 : words;
}

void leave_say_then(struct climb *climb)
{
    const bool last = climb->phase == PASSO_PHASE_REST && climb->plan.part == PASSO_PART_DONE;
    if (last && !climb->then_told && leave_then(climb)[0]) {
        climb_say(climb, PASSO_SAY_MOVE, "Next: %s", leave_then(climb));
        block_show_then(climb);
    }
    climb->then_told = last;
}

/* Who plays on this stream next hears no cue of this climb. A pass neither sounds nor waits: none
 * is handed over in the last rest, and who leaves before has stopped it. */
static void leave_silent(struct climb *climb)
{
    /* A ring without room for a word means that no output runs: then nothing sounds either. */
    if (passo_player_hush(climb->sounding->player) == PASSO_OK)
        passo_player_reclaim(climb->sounding->player);
}

void leave_end(struct climb *climb, struct passo_climb_result *out_result)
{
    passo_words_result(climb->course, climb->passage, &climb->state, (uint32_t)climb->records,
                       climb->marks_ran_out, out_result->words, sizeof out_result->words);
    out_result->outcome = climb->passed_on ? PASSO_OUTCOME_DONE : climb->state.now.outcome;
    out_result->end = climb->end;
    out_result->by_hand =
        climb->events && climb->event[climb->events - 1].type == PASSO_LADDER_QUIT;
    out_result->cut_short = climb->cut_short;
    out_result->played_ns = climb->played_ns - climb->played_before_ns;
    out_result->rested_ns = climb->rested_ns - climb->rested_before_ns;
    if (climb->level_by_hand)
        out_result->level_permille = climb->level_permille ? climb->level_permille : 1;
    out_result->best_mbpm = passo_ladder_best_mbpm(&climb->state.ladder, &climb->state.now);
    out_result->passes = (uint32_t)climb->records;
    out_result->csv_failed = climb->csv_failed;
    if (climb->records)
        out_result->elapsed_ns = climb->record[climb->records - 1].elapsed_ns;
    /* A block and a check have said what there is to say; so has the day of what was not begun. */
    const bool silent = climb_is_block(climb) || climb_is_check(climb) ||
                        (climb->setup->in_day && climb->records == climb->restored);
    if (!silent)
        climb_say(climb, PASSO_SAY_END, "%s", out_result->words);
    leave_silent(climb);
    keep_end(climb, out_result);
}
