/* Shares the climbs of a forecast out over threads. Each climb has its own stream of random
 * numbers, so the result does not depend on how many threads there are. */
#include "command/plan_forecast.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { THREADS_MAX = 8 };

struct share {
    const struct passo_forecast_ask *ask;
    uint32_t first;
    uint32_t climbs;
    struct passo_forecast_climb *climb;
};

static void *play_share(void *with)
{
    const struct share *share = with;
    passo_forecast_run(share->ask, share->first, share->climbs, share->climb);
    return NULL;
}

/* Plays climbs 0 to climbs - 1; a thread that cannot be had is the caller's work. */
static void play(const struct passo_forecast_ask *ask, uint32_t climbs,
                 struct passo_forecast_climb *climb)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    const uint32_t threads = cores < 1 ? 1 : cores > THREADS_MAX ? THREADS_MAX : (uint32_t)cores;
    struct share share[THREADS_MAX];
    pthread_t thread[THREADS_MAX];
    bool started[THREADS_MAX] = {false};
    for (uint32_t i = 0; i < threads; i++) {
        const uint32_t first = (uint32_t)((uint64_t)climbs * i / threads);
        const uint32_t next = (uint32_t)((uint64_t)climbs * (i + 1) / threads);
        share[i] = (struct share){ask, first, next - first, climb + first};
        started[i] =
            i + 1 < threads && pthread_create(&thread[i], NULL, play_share, &share[i]) == 0;
        if (!started[i])
            play_share(&share[i]);
    }
    for (uint32_t i = 0; i < threads; i++) {
        if (started[i])
            pthread_join(thread[i], NULL);
    }
}

static void count_ends(const struct passo_forecast_climb *climb, uint32_t climbs,
                       struct plan_outlook *outlook)
{
    for (uint32_t i = 0; i < climbs; i++) {
        if (climb[i].outcome == PASSO_OUTCOME_WON)
            continue;
        outlook->ends[climb[i].stage]++;
        outlook->ends_at[climb[i].stage][climb[i].stuck_rung]++;
    }
}

static bool drops_at_once(const struct passo_rule *rule)
{
    return rule->climbs != PASSO_CLIMBS_MIXED && rule->climbs != PASSO_CLIMBS_EDGE &&
           rule->drop != PASSO_DROP_HOLD && rule->drop_misses == 1;
}

/* The same course, dropping after two misses in a row where it drops after each; NULL if it
 * nowhere does. Free it. */
static struct passo_course *patient_course(const struct passo_course *course)
{
    bool found = false;
    struct passo_course *copy = passo_xcalloc(1, sizeof *copy);
    *copy = *course;
    for (size_t i = 0; i < copy->stages; i++) {
        struct passo_rule *rule = &copy->stage[i].rule;
        if (!drops_at_once(rule))
            continue;
        found = true;
        rule->drop_misses = 2;
        rule->drop_counts = PASSO_DROP_COUNTS_IN_A_ROW;
        rule->miss = PASSO_MISS_AGAIN; /* `first turn` would begin the row again */
    }
    if (found && passo_course_check(copy, NULL, 0) == PASSO_OK)
        return copy;
    free(copy);
    return NULL;
}

void plan_outlook_make(const struct plan_wish *wish, struct plan_outlook *out_outlook)
{
    const uint32_t climbs = wish->climbs;
    struct passo_forecast_climb *climb = passo_xcalloc(climbs, sizeof *climb);
    struct passo_forecast_ask ask = {.course = &wish->setup->course,
                                     .passage = &wish->setup->passage,
                                     .pulse = &wish->setup->pulse,
                                     .skill = wish->skill,
                                     .seed = wish->seed,
                                     .passes_max = PLAN_PASSES_MAX};
    memset(out_outlook, 0, sizeof *out_outlook);
    play(&ask, climbs, climb);
    count_ends(climb, climbs, out_outlook);
    passo_forecast_sum(climb, climbs, &out_outlook->within);
    ask.no_limits = true;
    play(&ask, climbs, climb);
    passo_forecast_sum(climb, climbs, &out_outlook->target);
    struct passo_course *patient = patient_course(ask.course);
    if (patient) {
        out_outlook->drops_at_once = true;
        ask.course = patient;
        play(&ask, climbs, climb);
        passo_forecast_sum(climb, climbs, &out_outlook->patient);
    }
    free(patient);
    free(climb);
}
