/* The words of a block: no ladder, no marks; what is played is a key or an exercise, not bars of a
 * piece. A free block has no tempo either, only the time that is left. Runs on the main thread. */
#include "climb_priv.h"

#include <stdio.h>
#include "session/words.h"
#include "text/notation.h"

void block_what(const struct climb *climb, char *out, size_t bytes)
{
    const struct passo_passage *passage = climb->passage;
    const char *dot = passage->title[0] && passage->piece[0] ? " · " : "";
    char what[2 * PASSO_TEXT_MAX + 8];
    snprintf(what, sizeof what, "%s%s%s", passage->title, dot, passage->piece);
    passo_text_clean(what, out, bytes);
}

/* Where one listens: whose turn it is. What was told with the hearing is not told again. */
static void say_turn(struct climb *climb, uint32_t passes)
{
    char tempo[PASSO_NAME_MAX + 24];
    char block[PASSO_WORDS_BYTES];
    char what[PASSO_WORDS_BYTES];
    const char *turn = climb->setup->plays ? "listen" : "your turn";
    if (!climb->setup->plays || climb->records > 0) {
        climb_say(climb, PASSO_SAY_PASS, "Pass %zu of %u: %s.", climb->records + 1, passes, turn);
        return;
    }
    block_what(climb, block, sizeof block);
    climb_say(climb, PASSO_SAY_PASS, "Listen: %s%s%s · %s · %u pass%s.", block,
              block[0] ? " · " : "",
              passo_words_what(climb->passage, &climb->pass.plan, what, sizeof what),
              passo_tempo_write(climb->pass.plan.mbpm, climb->passage->beat, tempo, sizeof tempo),
              passes, passes == 1 ? "" : "es");
}

void block_say_pass(struct climb *climb)
{
    const uint32_t passes = passo_ladder_stop_passes(&climb->state.ladder, &climb->state.now);
    char tempo[PASSO_NAME_MAX + 24];
    char what[PASSO_WORDS_BYTES];
    if (climb->setup->free)
        return;
    if (hearing_is_block(climb)) {
        say_turn(climb, passes);
        return;
    }
    block_what(climb, what, sizeof what);
    passo_tempo_write(climb->pass.plan.mbpm, climb->passage->beat, tempo, sizeof tempo);
    if (climb->records == 0)
        climb_say(climb, PASSO_SAY_PASS, "%s · %s · %u pass%s.", what, tempo, passes,
                  passes == 1 ? "" : "es");
    else
        climb_say(climb, PASSO_SAY_PASS, "Pass %zu of %u.", climb->records + 1, passes);
}

void block_show_then(struct climb *climb)
{
    struct passo_snapshot *to = &climb->snapshot;
    const struct passo_climb_setup *setup = climb->setup;
    if (!setup->then_title)
        return;
    passo_text_clean(setup->then_title, to->title, sizeof to->title);
    const struct passo_interval by = {
        (int8_t)(setup->then_shift.fifths - setup->shift.fifths),
        (int16_t)(setup->then_shift.semitones - setup->shift.semitones)};
    for (size_t i = 0; i < to->strip.notes; i++)
        climb->strip[i].pitch = passo_pitch_move(climb->strip[i].pitch, by);
    to->strip.serial = (uint32_t)++climb->sounding->ids;
}

static void time_left(const struct climb *climb, char *out, size_t bytes)
{
    const struct passo_instant now = {climb->now, 0};
    int64_t left_ns = 0;
    if (passo_instant_cmp(climb->pass.end, now) > 0)
        left_ns = passo_instant_ns(passo_instant_sub(climb->pass.end, now), climb->rate_hz);
    const int left_s = (int)((left_ns + 999999999) / 1000000000);
    snprintf(out, bytes, "%d:%02d", left_s / 60, left_s % 60);
}

void block_next(struct climb *climb)
{
    struct passo_snapshot *to = &climb->snapshot;
    char tempo[PASSO_NAME_MAX + 24];
    char left[16];
    const bool count_in = climb->phase == PASSO_PHASE_LEAD || climb->phase == PASSO_PHASE_COUNT_IN;
    const bool sounds =
        count_in || climb->phase == PASSO_PHASE_PLAYING || climb->phase == PASSO_PHASE_LANDING;
    passo_tempo_write(to->mbpm, to->beat, tempo, sizeof tempo);
    time_left(climb, left, sizeof left);
    if (hearing_sounds(climb) || (sounds && climb->setup->plays))
        snprintf(to->next, sizeof to->next, "Listen: %s · %s.%s", to->what, tempo,
                 climb->setup->plays ? "" : " Then you play.");
    else if (climb->setup->free)
        snprintf(to->next, sizeof to->next, "%s%s%s%s", to->what, sounds ? ": " : "",
                 sounds ? left : "", sounds ? " left." : ".");
    else
        snprintf(to->next, sizeof to->next, "%s%s · %s.",
                 hearing_waits(climb) || climb->setup->plays ? "Next, listen: "
                 : count_in                                  ? "Count-in, then play "
                 : sounds                                    ? "Play "
                 : hearing_is_block(climb)                   ? "Your turn: "
                                                             : "Next: ",
                 to->what, tempo);
}
