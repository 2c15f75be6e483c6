/* Plays a ladder by letters and writes down its course, for the ladder's tests.
 *
 * A course is one word a pass: "84" a clean pass at 84; "(M)" a miss, "(U)" unmarked, "(V)" void;
 * with more than one turn a letter names it ("72a 72b"); passes that are not of the climbing name
 * their part ("over:252(M)"). Where the rungs are lengths, "L5" is the fifth of them. */
#ifndef PASSO_TESTS_LADDER_PLAY_H
#define PASSO_TESTS_LADDER_PLAY_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include <passo/ladder.h>

#define PLAY_EVENTS 512
#define PLAY_BYTES  8192

#define assert_near(value, expected, within) play_near(value, expected, within, __FILE__, __LINE__)

static inline void play_near(double value, double expected, double within, const char *file,
                             int line)
{
    /* written so that a value that is no number fails */
    if (!(value >= expected - within && value <= expected + within)) {
        print_error("%g is not within %g of %g\n", value, within, expected);
        _fail(file, line);
    }
}

struct play {
    struct passo_ladder ladder;
    struct passo_ladder_state state;
    struct passo_ladder_event event[PLAY_EVENTS];
    size_t events;
    struct passo_decision last;
    int64_t pass_ms; /* how long each pass takes on the clock of `stop` */
    int64_t clock_ms;
    int64_t body_ms; /* how long each pass is played, for `tired` */
    int64_t played_ms;
    char course[PLAY_BYTES];
};

/* A rule without stops, plateau, tired and finish, from start to target. */
static inline struct passo_rule play_rule(int32_t start_bpm, int32_t target_bpm, int32_t step_bpm)
{
    struct passo_rule rule = passo_rule_default();
    rule.start_mbpm = start_bpm * 1000;
    rule.target_mbpm = target_bpm * 1000;
    rule.step_mbpm = step_bpm * 1000;
    rule.finish_passes = 0;
    rule.plateau_drops = 0;
    rule.tired_misses = 0;
    rule.stop_ms = 0;
    return rule;
}

static inline void play_begin(struct play *play, const struct passo_rule *rule, size_t turns)
{
    char fault[256];
    memset(play, 0, sizeof *play);
    enum passo_error error = passo_ladder_init(&play->ladder, rule, turns, fault, sizeof fault);
    if (error)
        fail_msg("rule refused: %s", fault);
    passo_ladder_begin(&play->ladder, &play->state);
}

static inline void play_event(struct play *play, const struct passo_ladder_event *event)
{
    assert_true(play->events < PLAY_EVENTS);
    play->event[play->events++] = *event;
    play->last = passo_ladder_apply(&play->ladder, &play->state, event);
}

static inline void play_hand(struct play *play, enum passo_event_type type)
{
    const struct passo_ladder_event event = {.type = type};
    play_event(play, &event);
}

static inline struct passo_plan play_next(const struct play *play)
{
    return passo_ladder_next(&play->ladder, &play->state);
}

static inline void play_write(struct play *play, const struct passo_plan *plan, char mark)
{
    size_t used = strlen(play->course);
    char *out = play->course + used;
    size_t room = PLAY_BYTES - used;
    char tempo[32];
    const bool length = play->ladder.rule.climbs == PASSO_CLIMBS_LENGTH && !plan->as_written;
    snprintf(tempo, sizeof tempo, length ? "L%g" : "%g",
             length ? plan->rung + 1.0 : plan->mbpm / 1000.0);
    const char turn[2] = {(char)('a' + plan->turn), '\0'};
    const bool lettered = play->ladder.turns > 1 && !plan->as_written;
    snprintf(out, room, "%s%s%s%s%s", used ? " " : "",
             plan->part == PASSO_PART_CLIMB ? "" : passo_part_name(plan->part),
             plan->part == PASSO_PART_CLIMB ? "" : ":", tempo, lettered ? turn : "");
    if (mark != 'C' && mark != '-')
        snprintf(out + strlen(out), room - strlen(out), "(%c)", mark);
}

/* Plays the next pass: C, M, U (unmarked), V (void), or '-' for one that nobody marks (anchor). */
static inline void play_pass(struct play *play, char mark)
{
    const struct passo_plan plan = play_next(play);
    play_write(play, &plan, mark);
    play->clock_ms += play->pass_ms;
    play->played_ms += play->body_ms;
    const struct passo_ladder_event event = {
        .type = PASSO_LADDER_PASS,
        .mark = mark == 'C'   ? PASSO_MARK_CLEAN
                : mark == 'M' ? PASSO_MARK_MISS
                : mark == 'V' ? PASSO_MARK_VOID
                              : PASSO_MARK_NONE,
        .part = plan.part,
        .rung = plan.rung,
        .turn = plan.turn,
        .elapsed_ms = play->clock_ms,
        .played_ms = play->played_ms,
    };
    play_event(play, &event);
}

/* Blanks are skipped. */
static inline void play_marks(struct play *play, const char *marks)
{
    for (; *marks; marks++)
        if (*marks != ' ')
            play_pass(play, *marks);
}

static inline void play_undo(struct play *play)
{
    play->events--;
    passo_ladder_replay(&play->ladder, play->event, play->events, &play->state, &play->last);
}

/* Plays the marks of a fresh climb and checks the course, and that replay gives the same state. */
static inline void play_expect(struct play *play, const struct passo_rule *rule, size_t turns,
                               const char *marks, const char *course)
{
    struct passo_ladder_state again;
    play_begin(play, rule, turns);
    play_marks(play, marks);
    assert_string_equal(play->course, course);
    passo_ladder_replay(&play->ladder, play->event, play->events, &again, NULL);
    assert_memory_equal(&again, &play->state, sizeof again);
}

static inline void play_expect_move(const struct play *play, enum passo_move move,
                                    enum passo_reason reason)
{
    assert_string_equal(passo_move_name(play->last.move), passo_move_name(move));
    assert_int_equal(play->last.reason, reason);
}

/* What comes next: part and tempo. */
static inline void play_expect_next(const struct play *play, enum passo_part part, int32_t mbpm)
{
    const struct passo_plan plan = play_next(play);
    assert_string_equal(passo_part_name(plan.part), passo_part_name(part));
    assert_int_equal(plan.mbpm, mbpm);
}

#endif
