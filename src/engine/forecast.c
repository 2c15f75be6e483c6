/* The forecast: plays the real course, passo_course_apply() and nothing else, against a skill
 * curve, and sums many climbs up.
 *
 * A climb draws one number a pass from a stream of its own, seeded from the ask's seed and the
 * climb's number. What a pass takes, and how likely it is clean, is worked out once for each
 * (stage, loop, tempo) and kept in a table of the call. The clock runs as the conductor's does:
 * elapsed at the end of the playing, the rest behind it. Doubles are chances only, no musical
 * times. Control side; any thread, several at once. */
#include <passo/forecast.h>

#include <passo/random.h>

#include <stdlib.h>
#include <string.h>

enum { SLOTS_FIRST = 256, NS_A_MS = 1000000, RATE_HZ = 48000 };

/* A pass of one stage, loop and tempo. */
struct pass {
    uint64_t key; /* 0: a free slot */
    int64_t lead_ns;
    int64_t played_ns;
    int64_t rest_ns; /* by the stage's rule */
    double clean;
};

/* Open addressing, at most half full; `slots` is a power of 2. */
struct table {
    struct pass *slot;
    size_t slots;
    size_t used;
};

struct run {
    const struct passo_forecast_ask *ask;
    const struct passo_course *course;
    struct table table;
    struct passo_course_state opening; /* every climb begins so */
    struct passo_course_state state;
    uint16_t last_rung; /* of the last pass of the climbing */
    int64_t clock_ns;   /* of the climb, at the end of its last pass */
    int64_t played_ns;
    int64_t rest_ns; /* that follows; 0 before the first */
};

static uint64_t key_of(const struct passo_plan *plan)
{
    return (uint64_t)plan->stage << 48 | (uint64_t)plan->loop << 32 | (uint64_t)plan->mbpm;
}

static struct pass *slot_of(const struct table *table, uint64_t key)
{
    /* Fibonacci hashing: the top bits of key times 2^64 over the golden ratio. */
    size_t at = (size_t)(key * UINT64_C(0x9e3779b97f4a7c15) >> 32) & (table->slots - 1);
    while (table->slot[at].key && table->slot[at].key != key)
        at = (at + 1) & (table->slots - 1);
    return &table->slot[at];
}

static void grow(struct table *table)
{
    struct table wider = {.slots = table->slots ? 2 * table->slots : SLOTS_FIRST,
                          .used = table->used};
    wider.slot = passo_xcalloc(wider.slots, sizeof *wider.slot);
    for (size_t i = 0; i < table->slots; i++) {
        if (table->slot[i].key)
            *slot_of(&wider, table->slot[i].key) = table->slot[i];
    }
    free(table->slot);
    *table = wider;
}

static struct pass work_out(const struct run *run, const struct passo_plan *plan)
{
    const struct passo_forecast_ask *ask = run->ask;
    const struct passo_pass_shape shape = {.passage = ask->passage,
                                           .loop = passo_plan_loop(ask->passage, plan),
                                           .pulse = ask->pulse,
                                           .mbpm = plan->mbpm};
    const struct passo_pass_times times = passo_pass_times(&shape);
    const struct passo_instant played = passo_instant_from_ms(times.played_ns / NS_A_MS, RATE_HZ);
    const struct passo_instant rest =
        passo_rule_rest(&run->course->stage[plan->stage].rule, played, RATE_HZ);
    return (struct pass){.key = key_of(plan),
                         .lead_ns = times.count_in_ns,
                         .played_ns = times.played_ns,
                         .rest_ns = passo_instant_ns(rest, RATE_HZ),
                         .clean = passo_skill_clean(&ask->skill, plan->mbpm)};
}

static const struct pass *pass_of(struct run *run, const struct passo_plan *plan)
{
    struct table *table = &run->table;
    struct pass *pass = slot_of(table, key_of(plan));
    if (pass->key)
        return pass;
    if (2 * ++table->used > table->slots) {
        grow(table);
        pass = slot_of(table, key_of(plan));
    }
    *pass = work_out(run, plan);
    return pass;
}

/* --- one climb --- */

/* The climb's own stream: neighbouring numbers must not give kindred streams. */
static void seed_climb(struct passo_random *random, uint64_t seed, uint32_t number)
{
    uint64_t state = seed;
    state = passo_random_mix(&state) ^ number;
    passo_random_seed(random, passo_random_mix(&state));
}

/* The target; or, where the teacher's ceiling lies under it, the highest rung that it allows. */
static bool won(const struct run *run)
{
    return passo_course_ceiling_won(run->course, &run->state) ||
           (run->state.now.outcome == PASSO_OUTCOME_WON &&
            run->state.stage + 1u == run->course->stages);
}

/* The lowest rung that is not won, of this stage or, under `whole climb`, of this turn: one above
 * the highest that is. */
static uint16_t rung_to_win(const struct passo_course_state *state, int32_t highest_won)
{
    const int32_t opening = state->ladder.opening;
    int32_t rung = highest_won + 1;
    if (state->ladder.rule.climbs == PASSO_CLIMBS_EDGE)
        rung = state->now.edge_clean + 1;
    if (rung < opening)
        rung = opening;
    return (uint16_t)(rung < state->ladder.rungs ? rung : state->ladder.rungs - 1);
}

/* Follows the highest rung won; -1 where a stage or a turn's climb begins. */
static int32_t follow(const struct passo_decision *decision, const struct passo_plan *plan,
                      const struct run *run, int32_t highest_won)
{
    const bool wins =
        decision->reason == PASSO_REASON_RUNG_WON || decision->reason == PASSO_REASON_LIFT_BACK ||
        decision->reason == PASSO_REASON_LIFT_CLAMPED || decision->reason == PASSO_REASON_CEILING;
    if (decision->reason == PASSO_REASON_NEXT_CLIMB || run->state.stage != plan->stage)
        return -1;
    if (run->state.ladder.rule.turn != PASSO_TURN_WHOLE_CLIMB)
        return run->state.now.best_rung;
    return wins && plan->rung > highest_won ? plan->rung : highest_won;
}

static void finish(const struct run *run, int32_t highest_won, struct passo_forecast_climb *climb)
{
    climb->stage = run->state.stage;
    climb->outcome = won(run) ? PASSO_OUTCOME_WON : run->state.now.outcome;
    if (climb->outcome == PASSO_OUTCOME_WON)
        return;
    /* Drawn tempos are won in any order: there it is the one that was played last. */
    climb->stuck_rung = run->state.ladder.rule.climbs == PASSO_CLIMBS_MIXED
                            ? run->last_rung
                            : rung_to_win(&run->state, highest_won);
    climb->stuck_mbpm = run->state.ladder.rung_mbpm[climb->stuck_rung];
}

/* Plays the next pass and moves the clock past it; the event that it makes. */
static struct passo_ladder_event play_pass(struct run *run, struct passo_random *random,
                                           const struct passo_plan *plan)
{
    const struct pass *pass = pass_of(run, plan);
    const bool clean = passo_random_unit(random) < pass->clean;
    run->clock_ns += plan->rest_ms > 0 ? (int64_t)plan->rest_ms * NS_A_MS : run->rest_ns;
    run->clock_ns += pass->lead_ns + pass->played_ns;
    run->played_ns += pass->played_ns;
    run->rest_ns = pass->rest_ns;
    return (struct passo_ladder_event){
        .type = PASSO_LADDER_PASS,
        .mark = clean ? PASSO_MARK_CLEAN : PASSO_MARK_MISS,
        .part = plan->part,
        .rung = plan->rung,
        .turn = plan->turn,
        .stage = plan->stage,
        .elapsed_ms = run->clock_ns / NS_A_MS,
        .played_ms = run->played_ns / NS_A_MS,
    };
}

static void play(struct run *run, uint32_t number, struct passo_forecast_climb *climb)
{
    struct passo_random random;
    int32_t highest_won = -1;
    seed_climb(&random, run->ask->seed, number);
    *climb = (struct passo_forecast_climb){0};
    run->state = run->opening;
    run->clock_ns = run->played_ns = run->rest_ns = 0;
    run->last_rung = 0;
    while (climb->passes < run->ask->passes_max && !won(run)) {
        const struct passo_plan plan = passo_course_next(run->course, &run->state);
        if (plan.part == PASSO_PART_DONE)
            break;
        const struct passo_ladder_event event = play_pass(run, &random, &plan);
        climb->passes++;
        if (plan.part == PASSO_PART_CLIMB)
            run->last_rung = plan.rung;
        const struct passo_decision decision = passo_course_apply(run->course, &run->state, &event);
        highest_won = follow(&decision, &plan, run, highest_won);
    }
    climb->ms = run->clock_ns / NS_A_MS;
    finish(run, highest_won, climb);
}

/* --- many climbs --- */

/* The course with nothing that ends it but its last target. */
static struct passo_course *without_limits(const struct passo_course *course)
{
    struct passo_course *copy = passo_xcalloc(1, sizeof *copy);
    *copy = *course;
    for (size_t i = 0; i < copy->stages; i++) {
        struct passo_rule *rule = &copy->stage[i].rule;
        rule->plateau_drops = 0;
        rule->tired_misses = 0;
        rule->tired_played_ms = 0;
        rule->stop_ms = rule->stage_ms = 0;
        rule->stop_passes = rule->stage_passes = 0;
        rule->stop_misses = rule->stage_misses = 0;
    }
    return copy;
}

void passo_forecast_run(const struct passo_forecast_ask *ask, uint32_t first, uint32_t climbs,
                        struct passo_forecast_climb *out_climb)
{
    struct passo_course *copy = ask->no_limits ? without_limits(ask->course) : NULL;
    struct run *run = passo_xcalloc(1, sizeof *run);
    run->ask = ask;
    run->course = copy ? copy : ask->course;
    grow(&run->table);
    passo_course_begin(run->course, &run->opening);
    for (uint32_t i = 0; i < climbs; i++)
        play(run, first + i, &out_climb[i]);
    free(run->table.slot);
    free(run);
    free(copy);
}

/* --- what they say --- */

static int order(int64_t a, int64_t b)
{
    return (a > b) - (a < b);
}

static int not_won(const struct passo_forecast_climb *climb)
{
    return climb->outcome != PASSO_OUTCOME_WON;
}

static int by_passes(const void *a, const void *b)
{
    const struct passo_forecast_climb *one = a;
    const struct passo_forecast_climb *other = b;
    const int lost = order(not_won(one), not_won(other));
    return lost ? lost : order(one->passes, other->passes);
}

static int by_time(const void *a, const void *b)
{
    const struct passo_forecast_climb *one = a;
    const struct passo_forecast_climb *other = b;
    const int lost = order(not_won(one), not_won(other));
    return lost ? lost : order(one->ms, other->ms);
}

/* Those that were won first, then by where they stood. */
static int by_place(const void *a, const void *b)
{
    const struct passo_forecast_climb *one = a;
    const struct passo_forecast_climb *other = b;
    int apart = order(not_won(one), not_won(other));
    if (!apart)
        apart = order(one->stage, other->stage);
    if (!apart)
        apart = order(one->stuck_mbpm, other->stuck_mbpm);
    return apart ? apart : order(one->stuck_rung, other->stuck_rung);
}

/* Where most of those that were not won stood; of equals the earliest place. */
static void sum_stuck(struct passo_forecast_climb *climb, uint32_t climbs,
                      struct passo_forecast *forecast)
{
    uint32_t here = 0;
    qsort(climb, climbs, sizeof *climb, by_place);
    for (uint32_t i = forecast->won; i < climbs; i++) {
        here = i > forecast->won && by_place(&climb[i - 1], &climb[i]) == 0 ? here + 1 : 1;
        if (here <= forecast->stuck)
            continue;
        forecast->stuck = here;
        forecast->stuck_stage = climb[i].stage;
        forecast->stuck_mbpm = climb[i].stuck_mbpm;
        forecast->stuck_rung = climb[i].stuck_rung;
    }
}

void passo_forecast_sum(struct passo_forecast_climb *climb, uint32_t climbs,
                        struct passo_forecast *out_forecast)
{
    const uint32_t median = climbs / 2;
    const uint32_t ninth = (uint32_t)((uint64_t)climbs * 9 / 10);
    *out_forecast = (struct passo_forecast){.climbs = climbs};
    for (uint32_t i = 0; i < climbs; i++)
        out_forecast->ended[climb[i].outcome]++;
    out_forecast->won = out_forecast->ended[PASSO_OUTCOME_WON];
    sum_stuck(climb, climbs, out_forecast);
    qsort(climb, climbs, sizeof *climb, by_passes);
    if (median < out_forecast->won)
        out_forecast->median_passes = climb[median].passes;
    if (ninth < out_forecast->won)
        out_forecast->ninth_passes = climb[ninth].passes;
    qsort(climb, climbs, sizeof *climb, by_time);
    if (median < out_forecast->won)
        out_forecast->median_ms = climb[median].ms;
    if (ninth < out_forecast->won)
        out_forecast->ninth_ms = climb[ninth].ms;
}
