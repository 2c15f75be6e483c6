/* The course of a climb: its stages, each one ladder over some turns, or over the lengths of a
 * chain. Most climbs have one stage. Like a ladder's, its state is a pure function of (course, list
 * of events).
 *
 * A stage that is won, that has reached its plateau or found its edge, or that a limit of its own
 * has ended, leads on to the next; what ends the climb (player's stop, tired, and the climb's own
 * limits) ends it in any stage. Marks, misses in a row and the last five run over all stages. The
 * climb is won once the last stage's target rung is won. Thread: any. Pure: no I/O, no clock, no
 * allocation. */
#ifndef PASSO_COURSE_H
#define PASSO_COURSE_H

#include <passo/ladder.h>
#include <passo/timeline.h>

#define PASSO_STAGES_MAX   32
#define PASSO_LOOP_CONTEXT 255 /* of passo_plan.loop: the passage's context */

/* Whether a tempo of a stage looks back at what earlier stages gave. A stage's result is its best
 * tempo won, or where it opened; a stage whose target looks back gives none. */
enum passo_look {
    PASSO_LOOK_NONE,
    PASSO_LOOK_LOWER,  /* the lowest of the results so far */
    PASSO_LOOK_HIGHER, /* the highest */
    PASSO_LOOK_LAST,   /* the latest */
    PASSO_LOOK_COUNT
};

struct passo_look_back {
    enum passo_look look;
    int32_t permille; /* 1 to 2000, of that result, to a hundredth (half up) */
};

struct passo_stage {
    char name[PASSO_NAME_MAX]; /* "" if the climb has but one */
    struct passo_rule rule;
    struct passo_look_back start;  /* in place of the rule's, never above the target */
    struct passo_look_back target; /* in place of the rule's, never above the rule's */
    struct passo_turn turn[PASSO_TURNS_MAX];
    uint8_t turns;
    uint8_t length[PASSO_LOOPS_MAX]; /* LENGTH: indices of loops, the shortest first; the loop of a
                                        turn is then not looked at. rule.lengths of them */
};

struct passo_course {
    size_t stages; /* 1 to PASSO_STAGES_MAX */
    struct passo_stage stage[PASSO_STAGES_MAX];
};

/* Where the climb stands. Read only; passo_course_apply() writes it. */
struct passo_course_state {
    uint8_t stage;
    int32_t result_mbpm[PASSO_STAGES_MAX]; /* 0: none (yet) */
    struct passo_ladder ladder;            /* of the stage */
    struct passo_ladder_state now;         /* on it */
};

/* What an earlier day gave, of one loop in one variant. */
struct passo_past {
    char loop[PASSO_NAME_MAX];
    char variant[PASSO_NAME_MAX];
    int32_t best_clean_mbpm;
};

/* One stage with every turn of the passage under this rule (passo_passage_turns()). */
void passo_course_single(struct passo_course *out_course, const struct passo_passage *passage,
                         const struct passo_rule *rule);
/* Whether every stage can be played: passo_ladder_init()'s faults with the stage's name, and
 * look-back that has nothing to look at. PASSO_ERR_RANGE with one sentence in out_fault (may be
 * NULL). After PASSO_OK the course can be begun. Sets each rule's leads_on. */
PASSO_MUST_CHECK enum passo_error passo_course_check(struct passo_course *course, char *out_fault,
                                                     size_t fault_bytes);
/* Lets every stage open where the last day with practice lets it (rule.resume_*): from the best
 * clean pass of its turns that day; under `whole climb` from the least of its turns' (none for one:
 * the start). missed: days without practice between that day and today. */
void passo_course_resume(struct passo_course *course, const struct passo_passage *passage,
                         const struct passo_past *past, size_t pasts, uint16_t missed);

/* The state before the first pass. The course has passed passo_course_check(). */
void passo_course_begin(const struct passo_course *course, struct passo_course_state *out_state);
/* Works one event in and says what it did; played in another stage than the climb now stands in, it
 * was played elsewhere. A hand's next turn after a stage's only turn is the next stage. */
struct passo_decision passo_course_apply(const struct passo_course *course,
                                         struct passo_course_state *state,
                                         const struct passo_ladder_event *event);
/* begin, then apply each; the last decision (all zero if there is none) goes to out_last, which
 * may be NULL. */
void passo_course_replay(const struct passo_course *course, const struct passo_ladder_event *event,
                         size_t events, struct passo_course_state *out_state,
                         struct passo_decision *out_last);
/* Whether the last stage has won the highest rung that a ceiling under its target allows: from
 * there it goes round. */
bool passo_course_ceiling_won(const struct passo_course *course,
                              const struct passo_course_state *state);
/* What is to be played next, with its stage, loop and variant. */
struct passo_plan passo_course_next(const struct passo_course *course,
                                    const struct passo_course_state *state);

/* Sets the loop and the variant of a plan from its part, stage, rung and turn, which are of this
 * course. */
void passo_plan_place(const struct passo_course *course, struct passo_plan *plan);
/* The loop and the variant of a plan; of the passage that the course was made for. */
const struct passo_loop *passo_plan_loop(const struct passo_passage *passage,
                                         const struct passo_plan *plan);
const struct passo_variant *passo_plan_variant(const struct passo_passage *passage,
                                               const struct passo_plan *plan);

#endif
