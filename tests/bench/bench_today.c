/* How long a day's plan takes with 200 passages: the median over 100 days, each told of the day
 * before, and the hardest case, where a forced start leaves one order and every attempt is made.
 * The peer is qsort() of as many drawn doubles as the planner looks at pairs of a passage and a
 * key. bench_today Two lines, as the table of run.sh has them. Exit status 1 if the goal is missed.
 */
#include <passo/random.h>
#include <passo/today.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PASSAGES = 200, DAYS = 100, MINUTE_MS = 60000, GOAL_MS = 50, STOPS = 3 * 12 + 3 };
#define PAIRS       ((size_t)PASSAGES * STOPS)
#define PASSAGES_MS ((int64_t)45 * MINUTE_MS)

struct day {
    struct passo_routine routine;
    struct passo_today_passage passage[PASSAGES];
    char name[PASSAGES][PASSO_NAME_MAX];
    const char *last[PASSAGES];
    size_t last_visits;
};

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int by_number(const void *a, const void *b)
{
    const double one = *(const double *)a;
    const double other = *(const double *)b;
    return (one > other) - (one < other);
}

static void add_block(struct passo_routine *routine, const char *name, const char *tags,
                      enum passo_cycle_kind kind, int minutes)
{
    struct passo_block *block = &routine->block[routine->blocks++];
    snprintf(block->name, sizeof block->name, "%s", name);
    snprintf(block->tags, sizeof block->tags, "%s", tags);
    block->cycle.kind = kind;
    block->ms = (int64_t)minutes * MINUTE_MS;
    block->pass_ms = 15000;
}

/* An hour and a half with every cycle whole; passages of all keys and some tags. */
static void set(struct day *day)
{
    static const char *const tags[] = {"", "chromatic", "slur, high", "low register, slur", ""};
    struct passo_random random;
    passo_random_seed(&random, 1);
    day->routine.relative = true;
    day->routine.visit_ms = 3 * MINUTE_MS;
    day->routine.least_ms = MINUTE_MS;
    day->routine.most_ms = 8 * MINUTE_MS;
    add_block(&day->routine, "Long tones", "low register", PASSO_CYCLE_NONE, 5);
    add_block(&day->routine, "Flow study", "slur", PASSO_CYCLE_FOURTHS, 12);
    add_block(&day->routine, "Scales", "", PASSO_CYCLE_FIFTHS, 12);
    add_block(&day->routine, "Arpeggios", "", PASSO_CYCLE_CHROMATIC_UP, 12);
    add_block(&day->routine, "Chromatic", "", PASSO_CYCLE_NONE, 4);
    add_block(&day->routine, "Tonguing", "double tongue", PASSO_CYCLE_NONE, 5);
    for (size_t i = 0; i < PASSAGES; i++) {
        struct passo_today_passage *passage = &day->passage[i];
        snprintf(day->name[i], sizeof day->name[i], "march %zu, bars %zu", i / 10, i);
        *passage = (struct passo_today_passage){.name = day->name[i],
                                                .tags = tags[i % 5],
                                                .keys = 1 + i % 3,
                                                .level = -passo_random_unit(&random) / 2,
                                                .rate = PASSO_RATE_PRIOR,
                                                .due = true};
        for (size_t k = 0; k < passage->keys; k++)
            passage->key[k] = (struct passo_key){(int8_t)((int)passo_random_below(&random, 15) - 7),
                                                 (uint8_t)passo_random_below(&random, 2)};
    }
}

/* Plans a day and keeps its order for the next. */
static double plan_ms(struct day *day, int64_t number, const int32_t *start, bool *out_same)
{
    const struct passo_today_ask ask = {.routine = &day->routine,
                                        .passage = day->passage,
                                        .passages = PASSAGES,
                                        .passages_ms = PASSAGES_MS,
                                        .day = number,
                                        .start_place = start,
                                        .last_order = day->last,
                                        .last_visits = day->last_visits};
    struct passo_today today = {0};
    const double from_ms = now_ms();
    if (passo_today_plan(&ask, &today))
        abort();
    const double took_ms = now_ms() - from_ms;
    day->last_visits = 0;
    for (size_t i = 0; i < today.items && day->last_visits < PASSAGES; i++) {
        if (today.item[i].kind == PASSO_ITEM_VISIT)
            day->last[day->last_visits++] = day->name[today.item[i].passage];
    }
    *out_same = today.same_order;
    passo_today_free(&today);
    return took_ms;
}

static double median_ms(double *ms)
{
    qsort(ms, DAYS, sizeof *ms, by_number);
    return (ms[DAYS / 2 - 1] + ms[DAYS / 2]) / 2;
}

static double sort_ms(void)
{
    struct passo_random random;
    double *number = passo_xcalloc(PAIRS, sizeof *number);
    double ms[DAYS];
    passo_random_seed(&random, 2);
    for (int i = 0; i < DAYS; i++) {
        for (size_t k = 0; k < PAIRS; k++)
            number[k] = passo_random_unit(&random);
        const double from_ms = now_ms();
        qsort(number, PAIRS, sizeof *number, by_number);
        ms[i] = now_ms() - from_ms;
    }
    free(number);
    return median_ms(ms);
}

/* One key for all that is visited, and one place in the day: no other order can be. */
static double hardest_ms(struct day *day)
{
    static const int32_t start[PASSO_BLOCKS_MAX] = {0};
    double ms[DAYS];
    day->routine.blocks = 0;
    add_block(&day->routine, "Flow study", "", PASSO_CYCLE_FOURTHS, 12);
    for (size_t i = 0; i < PASSAGES; i++) {
        day->passage[i].keys = 1;
        day->passage[i].tags = "";
        day->passage[i].key[0] = passo_cycle_key(&day->routine.block[0].cycle, i % 12);
    }
    day->routine.visit_ms = day->routine.least_ms = day->routine.most_ms = PASSAGES_MS / 12;
    for (int i = 0; i < DAYS; i++) {
        bool same;
        ms[i] = plan_ms(day, i, start, &same);
        if (i > 0 && !same)
            abort();
    }
    return median_ms(ms);
}

static bool row(const char *what, double ms, double peer_ms)
{
    printf("| %s | under %d ms | %.2f ms | %s | qsort of %zu doubles: %.2f ms | %.2f |\n", what,
           GOAL_MS, ms, ms < GOAL_MS ? "met" : "MISSED", PAIRS, peer_ms, ms / peer_ms);
    return ms < GOAL_MS;
}

int main(void)
{
    struct day *day = passo_xcalloc(1, sizeof *day);
    double ms[DAYS];
    bool same;
    set(day);
    for (int i = 0; i < DAYS; i++)
        ms[i] = plan_ms(day, i, NULL, &same);
    const double peer_ms = sort_ms();
    bool met = row("a day's plan with 200 passages, median of 100", median_ms(ms), peer_ms);
    day->last_visits = 0;
    met &= row("the same where no other order is possible", hardest_ms(day), peer_ms);
    free(day);
    return met ? EXIT_SUCCESS : EXIT_FAILURE;
}
