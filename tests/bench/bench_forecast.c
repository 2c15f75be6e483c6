/* How long 10,000 climbs with and 10,000 without limits take: the forecast of `passo plan`, on two
 * threads and on one, which is its own peer.
 *   bench_forecast
 * One line, as the table of run.sh has it. Exit status 1 if the goal is missed. */
#include <passo/forecast.h>

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { CLIMBS = 10000, THREADS = 2, PASSES_MAX = 1000 };

struct share {
    struct passo_forecast_ask ask;
    struct passo_forecast_climb *climb;
    uint32_t first;
    uint32_t climbs;
};

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static void *play(void *with)
{
    struct share *share = with;
    for (int no_limits = 0; no_limits < 2; no_limits++) {
        share->ask.no_limits = no_limits;
        passo_forecast_run(&share->ask, share->first, share->climbs, share->climb);
    }
    return NULL;
}

static double on_threads(const struct passo_forecast_ask *ask, struct passo_forecast_climb *climb,
                         int threads)
{
    struct share share[THREADS];
    pthread_t thread[THREADS];
    const double from_ms = now_ms();
    for (int i = 0; i < threads; i++) {
        const uint32_t climbs = CLIMBS / (uint32_t)threads;
        share[i] = (struct share){*ask, climb + climbs * (uint32_t)i, climbs * (uint32_t)i, climbs};
        if (pthread_create(&thread[i], NULL, play, &share[i]))
            abort();
    }
    for (int i = 0; i < threads; i++)
        pthread_join(thread[i], NULL);
    return now_ms() - from_ms;
}

/* The default rule from 60 to 120, 85 % clean at 72 and 40 % at 110. */
static void set(struct passo_passage *passage, struct passo_course *course,
                struct passo_forecast_ask *ask)
{
    static const struct passo_pulse pulse;
    struct passo_rule rule = passo_rule_default();
    const struct passo_skill_group point[] = {{log(72), 1, 0.85}, {log(110), 1, 0.4}};
    struct passo_skill_fit fit;
    memset(passage, 0, sizeof *passage);
    passage->beat = (struct passo_ratio){1, 4};
    passage->first_bar = 1;
    passage->bars = 4;
    rule.start_mbpm = 60000;
    rule.target_mbpm = 120000;
    if (passo_meter_init(&passage->meter, 4, 4) || passo_passage_complete(passage) ||
        passo_skill_fit(point, 2, false, &fit))
        abort();
    passo_course_single(course, passage, &rule);
    if (passo_course_check(course, NULL, 0))
        abort();
    *ask = (struct passo_forecast_ask){.course = course,
                                       .passage = passage,
                                       .pulse = &pulse,
                                       .skill = fit.skill,
                                       .seed = 1,
                                       .passes_max = PASSES_MAX};
}

int main(void)
{
    struct passo_passage *passage = passo_xcalloc(1, sizeof *passage);
    struct passo_course *course = passo_xcalloc(1, sizeof *course);
    struct passo_forecast_climb *climb = passo_xcalloc(CLIMBS, sizeof *climb);
    struct passo_forecast_ask ask;
    set(passage, course, &ask);
    const double two_ms = on_threads(&ask, climb, THREADS);
    const double one_ms = on_threads(&ask, climb, 1);
    struct passo_forecast forecast;
    passo_forecast_sum(climb, CLIMBS, &forecast);
    printf("| 2 x 10,000 climbs of a forecast, 2 threads | under 1 s | %.0f ms | %s | one thread: "
           "%.0f ms | %.2f |\n",
           two_ms, two_ms < 1000 ? "met" : "MISSED", one_ms, two_ms / one_ms);
    printf("(the hard case: without limits %u of %u reach the target)\n", forecast.won,
           forecast.climbs);
    free(climb);
    free(course);
    free(passage);
    return two_ms < 1000 ? EXIT_SUCCESS : EXIT_FAILURE;
}
