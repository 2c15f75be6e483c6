/* What is said before the first count-in: what is climbed, which bars are silent, what an earlier
 * day says of today, and what of the rule the player should mind. Runs on the main thread. */
#include "climb_priv.h"

#include <stdio.h>
#include <string.h>
#include "session/words.h"

static void say_advice(struct climb *climb)
{
    const char *advice = passo_ladder_advice(&climb->state.ladder);
    if (advice)
        climb_say(climb, PASSO_SAY_NOTICE, "Mind: %s.", advice);
}

void start_say_stage(struct climb *climb)
{
    char stage[PASSO_NAME_MAX + 32];
    char ladder[PASSO_WORDS_BYTES];
    passo_words_stage(climb->course, climb->state.stage, stage, sizeof stage);
    if (stage[0] == '\0')
        return;
    stage[0] = 'S'; /* a sentence begins with it */
    climb_say(
        climb, PASSO_SAY_START, "%s: %s.", stage,
        passo_words_ladder(climb->course, climb->passage, &climb->state, ladder, sizeof ladder));
}

/* Silent bars are told of beforehand, so that nobody takes them for a fault. */
static void say_silent_bars(struct climb *climb)
{
    const struct passo_pulse *pulse = &climb->setup->setup->pulse;
    static const char but[] = "but for the first pass at a tempo";
    if (pulse->mute_of > 0)
        climb_say(climb, PASSO_SAY_START, "Of every %d bars the last %d %s silent, %s.",
                  pulse->mute_of, pulse->mute_bars, pulse->mute_bars == 1 ? "is" : "are", but);
    else if (pulse->mute_permille > 0)
        climb_say(climb, PASSO_SAY_START, "%d %% of the bars are silent, %s.",
                  pulse->mute_permille / 10, but);
}

void start_say(struct climb *climb)
{
    char bars[64];
    char head[PASSO_TEXT_MAX + 80];
    char climbs[PASSO_WORDS_BYTES];
    passo_words_bars(climb->passage, &climb->passage->loop[0], bars, sizeof bars);
    const char *title = climb->snapshot.title;
    /* What a block is was said before it. */
    if (climb_is_block(climb)) {
        say_silent_bars(climb);
        start_say_notes(climb);
        return;
    }
    snprintf(head, sizeof head, "%s%s%s %s", title, title[0] ? ", " : "",
             strchr(bars, '-') ? "bars" : "bar", bars);
    if (title[0] == '\0')
        head[0] = 'B';
    climb_say(
        climb, PASSO_SAY_START, "%s%s %s.", head, climb->course->stages > 1 ? " in" : ":",
        passo_words_climb(climb->course, climb->passage, &climb->state, climbs, sizeof climbs));
    start_say_stage(climb);
    say_silent_bars(climb);
    start_say_notes(climb);
    if (climb->setup->opening_words && climb->setup->opening_words[0]) {
        climb_say(climb, PASSO_SAY_START, "%s", climb->setup->opening_words);
        snprintf(climb->move_words, sizeof climb->move_words, "%s", climb->setup->opening_words);
    }
    if (climb->course->stages == 1)
        say_advice(climb);
    if (climb->sounding->notice[0] && !climb->setup->sounding)
        climb_say(climb, PASSO_SAY_NOTICE, "%s", climb->sounding->notice);
}
