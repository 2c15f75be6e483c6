/* Courses that were accepted, played with drawn marks and hands, forecast, and opened after drawn
 * pasts. Marks fall more or less well, so that some climbs are won and some are not. */
#include "fuzz.h"

#include <passo/forecast.h>
#include "session/words.h"

enum { EVENTS_MAX = 240, PLANS_TIMED = 3, PASTS_MAX = 12, CLIMBS = 3, PASSES_MAX = 100 };

struct played {
    const struct passo_course *course;
    const struct passo_passage *passage;
    struct passo_random *random;
    struct passo_course_state state;
    struct passo_ladder_event event[EVENTS_MAX];
    size_t events;
    struct passo_plan timed[PLANS_TIMED];
    size_t plans;
    int32_t slowest_mbpm;
    int32_t fastest_mbpm;
    uint32_t clean_of_8;
    uint32_t hands;  /* one event in so many is a hand's */
    int64_t pass_ms; /* a pass lasts up to so long */
    int64_t clock_ms;
    int64_t played_ms;
};

static void check_state(const struct passo_course *course, const struct passo_course_state *state)
{
    const struct passo_ladder *ladder = &state->ladder;
    const struct passo_ladder_state *now = &state->now;
    FUZZ_CHECK(state->stage < course->stages);
    FUZZ_CHECK(ladder->rungs >= 1 && ladder->rungs <= PASSO_RUNGS_MAX);
    FUZZ_CHECK(ladder->opening < ladder->rungs && ladder->highest < ladder->rungs);
    FUZZ_CHECK(now->rung < ladder->rungs && now->turn < ladder->turns);
    FUZZ_CHECK(now->anchor_turn < ladder->turns);
    FUZZ_CHECK(now->best_rung < ladder->rungs && now->best_clean_rung < ladder->rungs);
    FUZZ_CHECK(now->window_marks <= 32 && now->recent_marks <= 32);
    FUZZ_CHECK(now->thin < PASSO_THIN_COUNT);
    FUZZ_CHECK(now->outcome < PASSO_OUTCOME_COUNT && now->part < PASSO_PART_COUNT);
    const int32_t best = passo_ladder_best_mbpm(ladder, now);
    FUZZ_CHECK(best >= PASSO_TEMPO_MIN_MBPM && best <= PASSO_TEMPO_MAX_MBPM);
}

static void check_plan(const struct played *played, const struct passo_plan *plan)
{
    FUZZ_CHECK(plan->part < PASSO_PART_COUNT);
    FUZZ_CHECK(plan->mbpm >= PASSO_TEMPO_MIN_MBPM && plan->mbpm <= PASSO_TEMPO_MAX_MBPM);
    FUZZ_CHECK(plan->rung < played->state.ladder.rungs);
    FUZZ_CHECK(plan->turn < played->state.ladder.turns);
    FUZZ_CHECK(plan->stage == played->state.stage && plan->thin < PASSO_THIN_COUNT);
    FUZZ_CHECK(plan->loop == PASSO_LOOP_CONTEXT || plan->loop < played->passage->loops);
    FUZZ_CHECK(plan->variant < played->passage->variants);
    FUZZ_CHECK(plan->rest_ms >= 0);
}

static void check_ladder(const struct passo_ladder *ladder)
{
    const bool length = ladder->rule.climbs == PASSO_CLIMBS_LENGTH;
    for (uint16_t i = 0; i < ladder->rungs; i++) {
        FUZZ_CHECK(ladder->rung_mbpm[i] >= PASSO_TEMPO_MIN_MBPM);
        FUZZ_CHECK(ladder->rung_mbpm[i] <= PASSO_TEMPO_MAX_MBPM);
        FUZZ_CHECK(i == 0 || length || ladder->rung_mbpm[i - 1] < ladder->rung_mbpm[i]);
    }
}

/* --- playing --- */

static enum passo_mark draw_mark(struct played *played)
{
    if (fuzz_one_in(played->random, 16))
        return fuzz_one_in(played->random, 2) ? PASSO_MARK_VOID : PASSO_MARK_NONE;
    return passo_random_below(played->random, 8) < played->clean_of_8 ? PASSO_MARK_CLEAN
                                                                      : PASSO_MARK_MISS;
}

static struct passo_ladder_event draw_event(struct played *played, const struct passo_plan *plan)
{
    static const enum passo_event_type hands[] = {PASSO_LADDER_EASIER, PASSO_LADDER_HARDER,
                                                  PASSO_LADDER_TURN};
    struct passo_ladder_event event = {.elapsed_ms = played->clock_ms, .stage = plan->stage};
    if (fuzz_one_in(played->random, 200))
        event.type = PASSO_LADDER_QUIT;
    else if (fuzz_one_in(played->random, played->hands))
        event.type = hands[passo_random_below(played->random, 3)];
    if (event.type != PASSO_LADDER_PASS)
        return event;
    const int64_t lasts = passo_random_below(played->random, (uint32_t)played->pass_ms);
    event.mark = draw_mark(played);
    event.part = plan->part;
    event.rung = plan->rung;
    event.turn = plan->turn;
    if (fuzz_one_in(played->random, 40)) /* played elsewhere: a hand moved the ladder */
        event.rung = (uint16_t)passo_random_below(played->random, played->state.ladder.rungs);
    event.elapsed_ms = played->clock_ms += 2 * lasts;
    event.played_ms = played->played_ms += lasts;
    return event;
}

static void check_words(const struct played *played, const struct passo_plan *plan,
                        const struct passo_decision *decision)
{
    char out[PASSO_WORDS_BYTES];
    FUZZ_CHECK(fuzz_is_clean(passo_words_what(played->passage, plan, out, sizeof out)));
    FUZZ_CHECK(fuzz_is_clean(passo_words_move(played->course, played->passage, &played->state,
                                              plan->part, decision, out, sizeof out)));
    FUZZ_CHECK(fuzz_is_clean(
        passo_words_count(&played->state.ladder, &played->state.now, out, sizeof out)));
}

static void keep_plan(struct played *played, const struct passo_plan *plan)
{
    if (plan->mbpm < played->slowest_mbpm)
        played->slowest_mbpm = plan->mbpm;
    if (plan->mbpm > played->fastest_mbpm)
        played->fastest_mbpm = plan->mbpm;
    if (played->plans < PLANS_TIMED)
        played->timed[played->plans++] = *plan;
    else if (fuzz_one_in(played->random, 20))
        played->timed[passo_random_below(played->random, PLANS_TIMED)] = *plan;
}

static void step(struct played *played)
{
    const struct passo_plan plan = passo_course_next(played->course, &played->state);
    const uint8_t stage = played->state.stage;
    check_plan(played, &plan);
    if (plan.part != PASSO_PART_DONE)
        keep_plan(played, &plan);
    const struct passo_ladder_event event = draw_event(played, &plan);
    played->event[played->events++] = event;
    const struct passo_decision decision =
        passo_course_apply(played->course, &played->state, &event);
    FUZZ_CHECK(decision.move < PASSO_MOVE_COUNT && decision.reason < PASSO_REASON_COUNT);
    check_state(played->course, &played->state);
    if (played->state.stage != stage)
        check_ladder(&played->state.ladder);
    if (played->events < 40)
        check_words(played, &plan, &decision);
}

/* Plays on until it is over and a little longer, or the events run out. */
static void play(struct played *played)
{
    size_t beyond = 0;
    played->slowest_mbpm = INT32_MAX;
    played->clean_of_8 = passo_random_below(played->random, 9);
    played->hands = 4 + passo_random_below(played->random, 60);
    played->pass_ms = 1 + (INT64_C(1) << passo_random_below(played->random, 24));
    memset(&played->state, 0, sizeof played->state);
    passo_course_begin(played->course, &played->state);
    check_state(played->course, &played->state);
    check_ladder(&played->state.ladder);
    while (played->events < EVENTS_MAX && beyond < 3) {
        step(played);
        beyond += passo_course_next(played->course, &played->state).part == PASSO_PART_DONE;
    }
}

static void check_replay(const struct played *played)
{
    static struct passo_course_state again;
    memset(&again, 0, sizeof again);
    passo_course_replay(played->course, played->event, played->events, &again, NULL);
    FUZZ_CHECK(!memcmp(&again, &played->state, sizeof again));
}

static void check_result(const struct played *played)
{
    char out[PASSO_WORDS_BYTES];
    const char *advice = passo_ladder_advice(&played->state.ladder);
    FUZZ_CHECK(!advice || fuzz_is_clean(advice));
    FUZZ_CHECK(fuzz_is_clean(passo_words_result(played->course, played->passage, &played->state,
                                                (uint32_t)played->events, false, out, sizeof out)));
    FUZZ_CHECK(fuzz_is_clean(
        passo_words_climb(played->course, played->passage, &played->state, out, sizeof out)));
}

/* --- forecast and past --- */

static void check_forecast(const struct passo_setup *setup, struct passo_random *random)
{
    struct passo_forecast_climb climb[CLIMBS];
    struct passo_forecast forecast;
    const struct passo_forecast_ask ask = {.course = &setup->course,
                                           .passage = &setup->passage,
                                           .pulse = &setup->pulse,
                                           .skill = {20 + 10 * passo_random_unit(random), -5},
                                           .seed = passo_random_next(random),
                                           .passes_max = PASSES_MAX,
                                           .no_limits = fuzz_one_in(random, 2)};
    passo_forecast_run(&ask, 0, CLIMBS, climb);
    for (size_t i = 0; i < CLIMBS; i++) {
        FUZZ_CHECK(climb[i].passes <= PASSES_MAX && climb[i].ms >= 0);
        FUZZ_CHECK(climb[i].stage < setup->course.stages);
        FUZZ_CHECK(climb[i].outcome < PASSO_OUTCOME_COUNT);
    }
    passo_forecast_sum(climb, CLIMBS, &forecast);
    FUZZ_CHECK(forecast.won <= CLIMBS && forecast.stuck <= CLIMBS - forecast.won);
}

static void draw_past(const struct passo_setup *setup, struct passo_random *random,
                      struct passo_past *out_past)
{
    const struct passo_passage *passage = &setup->passage;
    const size_t loop = passo_random_below(random, (uint32_t)passage->loops);
    const size_t variant = passo_random_below(random, (uint32_t)passage->variants);
    *out_past = (struct passo_past){0};
    strcpy(out_past->loop, passage->loop[loop].name);
    strcpy(out_past->variant, passage->variant[variant].name);
    /* Mostly up to the target, as the log gives it. */
    const uint32_t most = fuzz_one_in(random, 8) ? INT32_MAX : (uint32_t)setup->rule.target_mbpm;
    out_past->best_clean_mbpm = (int32_t)passo_random_below(random, most) + 1;
}

/* An earlier day never makes a course unplayable. */
static void resume(struct passo_setup *setup, struct passo_random *random)
{
    struct passo_past past[PASTS_MAX];
    char fault[256];
    const size_t pasts = passo_random_below(random, PASTS_MAX);
    for (size_t i = 0; i < pasts; i++)
        draw_past(setup, random, &past[i]);
    const uint16_t missed =
        (uint16_t)passo_random_below(random, fuzz_one_in(random, 4) ? UINT16_MAX : 8);
    passo_course_resume(&setup->course, &setup->passage, past, pasts, missed);
    const enum passo_error error = passo_course_check(&setup->course, fault, sizeof fault);
    if (error)
        fprintf(stderr, "%s\n", fault);
    FUZZ_CHECK(error == PASSO_OK);
}

static void play_through(const struct passo_setup *setup, struct passo_random *random)
{
    static struct played played;
    memset(&played, 0, sizeof played);
    played.course = &setup->course;
    played.passage = &setup->passage;
    played.random = random;
    play(&played);
    check_replay(&played);
    check_result(&played);
    fuzz_check_loops(setup, played.slowest_mbpm, played.fastest_mbpm);
    for (size_t i = 0; i < played.plans; i++)
        fuzz_check_plan(setup, &played.timed[i]);
}

void fuzz_check_course(struct passo_setup *setup, struct passo_random *random)
{
    char fault[256];
    FUZZ_CHECK(passo_course_check(&setup->course, fault, sizeof fault) == PASSO_OK);
    play_through(setup, random);
    check_forecast(setup, random);
    resume(setup, random);
    play_through(setup, random);
}
