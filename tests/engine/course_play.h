/* Plays a course by letters and writes down what was played, for the tests of stages, chains and
 * rules.
 *
 * One word a pass: "84" a clean pass at 84, "84(M)" a miss, "(U)" unmarked, "(V)" void. Where the
 * passage has loops or variants they come first: "seam/86.4", "whole/low/72". Passes that are not
 * of the climbing name their part: "over:252(M)", "context:132"; a thinned pulse is told by "~2".
 */
#ifndef PASSO_TESTS_COURSE_PLAY_H
#define PASSO_TESTS_COURSE_PLAY_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include <passo/course.h>

enum { COURSE_EVENTS = 512, COURSE_BYTES = 16384 };

struct course_play {
    const struct passo_course *course;
    const struct passo_passage *passage;
    struct passo_course_state state;
    struct passo_ladder_event event[COURSE_EVENTS];
    size_t events;
    struct passo_decision last;
    int64_t pass_ms; /* how long each pass takes on the clock of `stop` */
    int64_t clock_ms;
    char text[COURSE_BYTES];
};

static inline void course_begin(struct course_play *play, const struct passo_course *course,
                                const struct passo_passage *passage)
{
    memset(play, 0, sizeof *play);
    play->course = course;
    play->passage = passage;
    passo_course_begin(course, &play->state);
}

static inline void course_event(struct course_play *play, const struct passo_ladder_event *event)
{
    assert_true(play->events < COURSE_EVENTS);
    play->event[play->events++] = *event;
    play->last = passo_course_apply(play->course, &play->state, event);
}

static inline struct passo_plan course_next(const struct course_play *play)
{
    return passo_course_next(play->course, &play->state);
}

static inline void course_write(struct course_play *play, const struct passo_plan *plan, char mark)
{
    size_t used = strlen(play->text);
    char *out = play->text + used;
    size_t room = COURSE_BYTES - used;
    bool part = plan->part != PASSO_PART_CLIMB;
    bool loop = play->passage->loops > 1 && plan->part != PASSO_PART_CONTEXT;
    bool variant = play->passage->variants > 1 && plan->part != PASSO_PART_CONTEXT;
    char thin[8] = "";
    char how[8] = "";
    if (plan->thin)
        snprintf(thin, sizeof thin, "~%d", plan->thin);
    if (mark != 'C' && mark != '-')
        snprintf(how, sizeof how, "(%c)", mark);
    int written = snprintf(out, room, "%s%s%s%s%s%s%s%g%s%s", used ? " " : "",
                           part ? passo_part_name(plan->part) : "", part ? ":" : "",
                           loop ? passo_plan_loop(play->passage, plan)->name : "", loop ? "/" : "",
                           variant ? passo_plan_variant(play->passage, plan)->name : "",
                           variant ? "/" : "", plan->mbpm / 1000.0, thin, how);
    assert_true(written > 0 && (size_t)written < room);
}

/* Plays the next pass: C, M, U (unmarked), V (void), or '-' for one that nobody marks (anchor). */
static inline void course_pass(struct course_play *play, char mark)
{
    const struct passo_plan plan = course_next(play);
    course_write(play, &plan, mark);
    play->clock_ms += play->pass_ms;
    const struct passo_ladder_event event = {
        .type = PASSO_LADDER_PASS,
        .mark = mark == 'C'   ? PASSO_MARK_CLEAN
                : mark == 'M' ? PASSO_MARK_MISS
                : mark == 'V' ? PASSO_MARK_VOID
                              : PASSO_MARK_NONE,
        .part = plan.part,
        .rung = plan.rung,
        .turn = plan.turn,
        .stage = plan.stage,
        .elapsed_ms = play->clock_ms,
        .played_ms = play->clock_ms,
    };
    course_event(play, &event);
}

/* Plays letters (blanks are skipped; '<' easier, '>' harder, 'n' next turn, 'q' quit); none may be
 * left when the climb is over. */
static inline void course_marks(struct course_play *play, const char *marks)
{
    static const char hands[] = "<>nq";
    static const enum passo_event_type types[] = {PASSO_LADDER_EASIER, PASSO_LADDER_HARDER,
                                                  PASSO_LADDER_TURN, PASSO_LADDER_QUIT};
    for (; *marks; marks++) {
        const char *hand = strchr(hands, *marks);
        const struct passo_ladder_event event = {.type = hand ? types[hand - hands] : 0,
                                                 .elapsed_ms = play->clock_ms};
        if (*marks == ' ')
            continue;
        if (course_next(play).part == PASSO_PART_DONE)
            fail_msg("over after: %s", play->text);
        if (hand)
            course_event(play, &event);
        else
            course_pass(play, *marks);
    }
}

#define assert_course(play, expected)                                                              \
    do {                                                                                           \
        if (strcmp((play)->text, expected))                                                        \
            print_error("played   %s\nexpected %s\n", (play)->text, expected);                     \
        assert_string_equal((play)->text, expected);                                               \
    } while (0)

#endif
