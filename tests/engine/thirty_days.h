/* Thirty days of a simulated player with five passages of unequal difficulty, for the bench and the
 * test of how minutes are shared.
 *
 * The player is invented; nothing in it was measured:
 * - a pass at tempo T is clean with the chance 1 / (1 + exp(slope * (ln(T / target) - skill)));
 * - every pass adds gain * (ceiling - skill) * massed^n to the skill, where n passes of that
 * passage were played before it on that day: massed practice gives less and less;
 * - overnight a share of what the day gave is lost, and a little of the tempo on top.
 * Where each passage begins, its gain, slope and length are drawn by the seed.
 *
 * What is not invented: every pass is played by a course with the rule of a short visit, from the
 * last best, as many as the visit's minutes leave room for, rests as long as the playing; levels
 * are passo_secure_fit()'s of the marks so far, faded, and rates passo_rate_fit()'s of the days. */
#ifndef PASSO_TESTS_THIRTY_DAYS_H
#define PASSO_TESTS_THIRTY_DAYS_H

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <passo/course.h>
#include <passo/random.h>
#include <passo/standing.h>
#include <passo/today.h>

enum thirty_way { THIRTY_WATER, THIRTY_EQUAL, THIRTY_WORST, THIRTY_WAYS };

enum {
    THIRTY_DAYS = 30,
    THIRTY_PASSAGES = 5,
    THIRTY_DAY_MS = 24 * 60000,
    THIRTY_VISIT_MS = 3 * 60000,
    THIRTY_LEAST_MS = 2 * 60000,
    THIRTY_MOST_MS = 8 * 60000,
    THIRTY_VISIT_PASSES = 6,
    THIRTY_LOWEST_PERMILLE = 400, /* of the target: the bottom of every ladder */
    THIRTY_STEP_PERMILLE = 50,
    THIRTY_RUNGS = (1000 - THIRTY_LOWEST_PERMILLE) / THIRTY_STEP_PERMILLE + 1,
    THIRTY_COUNT_IN_BEATS = 4
};

/* How the player learns and forgets, and what is known of it. */
struct thirty_model {
    double massed;
    double night_share; /* of what the day gave */
    double night;       /* in ln of the tempo */
    bool told;          /* levels are the true ones, in place of those that the record shows */
};

static const struct thirty_model thirty_usual = {0.93, 0.1, 0.006, false};
static const double thirty_ceiling = 0.2; /* of the skill: about a fifth over the target */

struct thirty_passage {
    /* the truth */
    double skill; /* ln of the tempo over the target at which half of the passes are clean */
    double slope;
    double gain;
    int32_t target_mbpm;
    int beats;
    /* of this day */
    int passes;
    double gained;
    /* what the record knows */
    double played[THIRTY_DAYS][THIRTY_RUNGS];
    double clean[THIRTY_DAYS][THIRTY_RUNGS];
    int best_rung; /* where the next visit opens */
    double minutes;
    struct passo_effort effort[THIRTY_DAYS];
    size_t efforts;
};

struct thirty_player {
    struct thirty_model model;
    struct passo_random random;
    struct thirty_passage passage[THIRTY_PASSAGES];
    struct passo_course *course;
};

static inline double thirty_between(struct passo_random *random, double low, double high)
{
    return low + (high - low) * passo_random_unit(random);
}

/* The true readiness: ln of the tempo over the target at which four of five passes are clean. */
static inline double thirty_ready(const struct thirty_passage *passage)
{
    return passage->skill - log(PASSO_SECURE_SHARE / (1 - PASSO_SECURE_SHARE)) / passage->slope;
}

static inline void thirty_begin(struct thirty_player *player, uint64_t seed)
{
    static const double ready[THIRTY_PASSAGES] = {0.48, 0.55, 0.63, 0.72, 0.80};
    static const double gain[THIRTY_PASSAGES] = {0.006, 0.008, 0.006, 0.009, 0.010};
    memset(player->passage, 0, sizeof player->passage);
    passo_random_seed(&player->random, seed);
    for (int i = 0; i < THIRTY_PASSAGES; i++) {
        struct thirty_passage *passage = &player->passage[i];
        passage->slope = thirty_between(&player->random, 6, 12);
        passage->skill = log(ready[i]) + thirty_between(&player->random, -0.08, 0.08) +
                         log(PASSO_SECURE_SHARE / (1 - PASSO_SECURE_SHARE)) / passage->slope;
        passage->gain = gain[i] * thirty_between(&player->random, 0.7, 1.3);
        passage->beats = 14 + (int)passo_random_below(&player->random, 6);
        passage->target_mbpm = (int32_t)thirty_between(&player->random, 96, 132) * 1000;
        passage->best_rung = 2;
    }
}

static inline int thirty_mbpm(const struct thirty_passage *passage, int rung)
{
    return passo_tempo_share(passage->target_mbpm,
                             THIRTY_LOWEST_PERMILLE + rung * THIRTY_STEP_PERMILLE);
}

static inline int64_t thirty_beats_ms(int beats, int32_t mbpm)
{
    return (int64_t)beats * 60000 * 1000 / mbpm;
}

static inline void thirty_night_falls(const struct thirty_model *model,
                                      struct thirty_passage *passage)
{
    passage->skill -= model->night_share * passage->gained + model->night;
    passage->gained = 0;
    passage->passes = 0;
}

/* The rule of a visit as `passo today` has it (tests/command/test_today_visit.c holds the two
 * together): it opens at the best clean tempo of the last one, and is ended by its time and its
 * passes alone. A rung here is no whole number of beats, so it is found as the highest up to that.
 */
static inline void thirty_rule(const struct thirty_passage *passage, int64_t ms,
                               struct passo_rule *out_rule)
{
    *out_rule = passo_rule_default();
    out_rule->target_mbpm = passage->target_mbpm;
    out_rule->start_permille = THIRTY_LOWEST_PERMILLE;
    out_rule->steps = PASSO_STEPS_POINTS;
    out_rule->step_permille = THIRTY_STEP_PERMILLE;
    out_rule->raise_clean = 1;
    out_rule->plateau_drops = 0;
    out_rule->tired_misses = 0;
    out_rule->finish_passes = 0;
    out_rule->stop_ms = ms;
    out_rule->stop_passes = THIRTY_VISIT_PASSES;
    out_rule->resume_permille = 0;
    out_rule->resume_rungs = 1;
    out_rule->past_mbpm = thirty_mbpm(passage, passage->best_rung + 1);
}

static inline bool thirty_plays_clean(struct thirty_player *player, struct thirty_passage *passage,
                                      int32_t mbpm)
{
    const double x = log((double)mbpm / passage->target_mbpm);
    const double chance = 1 / (1 + exp(passage->slope * (x - passage->skill)));
    const bool clean = passo_random_unit(&player->random) < chance;
    const double gain = passage->gain * (thirty_ceiling - passage->skill) *
                        pow(player->model.massed, passage->passes);
    passage->skill += gain;
    passage->gained += gain;
    passage->passes++;
    return clean;
}

/* Plays a visit through the course. Returns the highest clean rung, -1 none. */
static inline int thirty_visit(struct thirty_player *player, struct thirty_passage *passage,
                               int day, int64_t ms)
{
    struct passo_course *course = player->course;
    struct passo_course_state state;
    int64_t elapsed_ms = 0;
    int best = -1;
    memset(course, 0, sizeof *course);
    course->stages = 1;
    course->stage[0].turns = 1;
    thirty_rule(passage, ms, &course->stage[0].rule);
    if (passo_course_check(course, NULL, 0))
        abort();
    passo_course_begin(course, &state);
    for (;;) {
        const struct passo_plan plan = passo_course_next(course, &state);
        if (plan.part == PASSO_PART_DONE)
            break;
        const int64_t played_ms = thirty_beats_ms(passage->beats + 1, plan.mbpm);
        const int64_t rest_ms = played_ms < 6000 ? 6000 : played_ms;
        if (plan.mbpm != thirty_mbpm(passage, plan.rung))
            abort();
        const bool clean = thirty_plays_clean(player, passage, plan.mbpm);
        elapsed_ms += thirty_beats_ms(THIRTY_COUNT_IN_BEATS, plan.mbpm) + played_ms + rest_ms;
        passage->played[day][plan.rung]++;
        passage->clean[day][plan.rung] += clean;
        best = clean && plan.rung > best ? plan.rung : best;
        const struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                                 .mark = clean ? PASSO_MARK_CLEAN : PASSO_MARK_MISS,
                                                 .part = plan.part,
                                                 .rung = plan.rung,
                                                 .elapsed_ms = elapsed_ms};
        passo_course_apply(course, &state, &event);
    }
    passage->minutes += (double)elapsed_ms / 60000;
    passage->best_rung = best >= 0 ? best : state.now.rung;
    return best;
}

/* All visits of a day; the effort of a day on which nothing was clean says nothing. */
static inline void thirty_practise(struct thirty_player *player, struct thirty_passage *passage,
                                   int day, int64_t ms)
{
    const int64_t visits = (ms + THIRTY_VISIT_MS - 1) / THIRTY_VISIT_MS;
    const double minutes = passage->minutes;
    int best = -1;
    for (int64_t i = 0; i < visits; i++) {
        const int reached = thirty_visit(player, passage, day, ms / visits);
        best = reached > best ? reached : best;
    }
    if (best >= 0)
        passage->effort[passage->efforts++] = (struct passo_effort){
            minutes, log((double)thirty_mbpm(passage, best) / passage->target_mbpm)};
}

/* How it stands by the record, before day `day`. While there are too few marks, at the last best.
 */
static inline double thirty_level(const struct thirty_passage *passage, int day, bool told)
{
    struct passo_skill_group group[THIRTY_RUNGS] = {{0}};
    struct passo_secure secure;
    size_t groups = 0;
    if (told)
        return thirty_ready(passage);
    for (int rung = 0; rung < THIRTY_RUNGS; rung++) {
        struct passo_skill_group *at = &group[groups];
        *at = (struct passo_skill_group){.x = log(thirty_mbpm(passage, rung) / 1000.0)};
        for (int before = 0; before < day; before++) {
            at->n += passo_fade(day - 1 - before) * passage->played[before][rung];
            at->y += passo_fade(day - 1 - before) * passage->clean[before][rung];
        }
        groups += at->n > 0;
    }
    passo_secure_fit(group, groups, &secure);
    if (secure.kind == PASSO_SECURE_UNKNOWN)
        secure.bpm = thirty_mbpm(passage, passage->best_rung) / 1000.0;
    return log(secure.bpm * 1000 / passage->target_mbpm);
}

static inline void thirty_water(const struct thirty_player *player, int day,
                                int64_t ms[THIRTY_PASSAGES])
{
    static const char *const name[THIRTY_PASSAGES] = {"a", "b", "c", "d", "e"};
    static const struct passo_routine routine = {
        .visit_ms = THIRTY_VISIT_MS, .least_ms = THIRTY_LEAST_MS, .most_ms = THIRTY_MOST_MS};
    struct passo_today_passage passage[THIRTY_PASSAGES];
    struct passo_today today = {0};
    for (int i = 0; i < THIRTY_PASSAGES; i++) {
        const struct thirty_passage *of = &player->passage[i];
        passage[i] =
            (struct passo_today_passage){.name = name[i],
                                         .tags = "",
                                         .level = thirty_level(of, day, player->model.told),
                                         .rate = passo_rate_fit(of->effort, of->efforts),
                                         .due = true};
    }
    const struct passo_today_ask ask = {.routine = &routine,
                                        .passage = passage,
                                        .passages = THIRTY_PASSAGES,
                                        .passages_ms = THIRTY_DAY_MS,
                                        .day = day};
    if (passo_today_plan(&ask, &today))
        abort();
    for (int i = 0; i < THIRTY_PASSAGES; i++)
        ms[i] = today.part[i].ms;
    passo_today_free(&today);
}

/* The most of a passage for the lowest, then for the next lowest, while there are minutes. */
static inline void thirty_worst(const struct thirty_player *player, int day,
                                int64_t ms[THIRTY_PASSAGES])
{
    double level[THIRTY_PASSAGES];
    int64_t left_ms = THIRTY_DAY_MS;
    for (int i = 0; i < THIRTY_PASSAGES; i++)
        level[i] = thirty_level(&player->passage[i], day, player->model.told);
    while (left_ms > 0) {
        int lowest = 0;
        for (int i = 1; i < THIRTY_PASSAGES; i++)
            lowest = level[i] < level[lowest] ? i : lowest;
        ms[lowest] = left_ms < THIRTY_MOST_MS ? left_ms : THIRTY_MOST_MS;
        left_ms -= ms[lowest];
        level[lowest] = INFINITY;
    }
}

/* The lowest true readiness of the five after thirty days and nights. */
static inline double thirty_lowest(uint64_t seed, enum thirty_way way,
                                   const struct thirty_model *model)
{
    struct thirty_player *player = calloc(1, sizeof *player);
    double lowest = INFINITY;
    if (!player || !(player->course = calloc(1, sizeof *player->course)))
        abort();
    player->model = *model;
    thirty_begin(player, seed);
    for (int day = 0; day < THIRTY_DAYS; day++) {
        int64_t ms[THIRTY_PASSAGES] = {0};
        switch (way) {
        case THIRTY_WATER:
            thirty_water(player, day, ms);
            break;
        case THIRTY_WORST:
            thirty_worst(player, day, ms);
            break;
        case THIRTY_EQUAL:
        case THIRTY_WAYS:
            for (int i = 0; i < THIRTY_PASSAGES; i++)
                ms[i] = THIRTY_DAY_MS / THIRTY_PASSAGES;
            break;
        }
        for (int i = 0; i < THIRTY_PASSAGES; i++) {
            thirty_practise(player, &player->passage[i], day, ms[i]);
            thirty_night_falls(model, &player->passage[i]);
        }
    }
    for (int i = 0; i < THIRTY_PASSAGES; i++)
        lowest = fmin(lowest, thirty_ready(&player->passage[i]));
    free(player->course);
    free(player);
    return lowest;
}

/* What one way gives more than another over the same seeds. */
struct thirty_margin {
    double mean[2];
    double margin;
    double se;
    int higher; /* in so many the first way */
};

static inline struct thirty_margin thirty_compare(const double *one, const double *other, int seeds)
{
    struct thirty_margin margin = {0};
    double squares = 0;
    for (int i = 0; i < seeds; i++) {
        const double more = one[i] - other[i];
        margin.mean[0] += one[i] / seeds;
        margin.mean[1] += other[i] / seeds;
        margin.margin += more / seeds;
        squares += more * more / seeds;
        margin.higher += more > 0;
    }
    margin.se = sqrt((squares - margin.margin * margin.margin) / (seeds - 1));
    return margin;
}

#endif
