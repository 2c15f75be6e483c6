/* Minutes that are shared by water-filling leave the lowest of five passages higher after thirty
 * days than equal minutes do, and than all minutes for the worst. The player is invented
 * (thirty_days.h); tests/bench/bench_thirty_days.c prints the margins over more seeds. */
#include "engine/thirty_days.h"

#include <setjmp.h>
#include <stdarg.h>

#include <cmocka.h>

enum { SEEDS = 24 };

static struct thirty_margin over(enum thirty_way way, const struct thirty_model *model)
{
    double water[SEEDS];
    double other[SEEDS];
    for (int i = 0; i < SEEDS; i++) {
        water[i] = thirty_lowest((uint64_t)i + 1001, THIRTY_WATER, model);
        other[i] = thirty_lowest((uint64_t)i + 1001, way, model);
    }
    return thirty_compare(water, other, SEEDS);
}

static void check(enum thirty_way way, bool told)
{
    struct thirty_model model = thirty_usual;
    model.told = told;
    const struct thirty_margin margin = over(way, &model);
    if (!(margin.margin > 2 * margin.se))
        fail_msg("margin %.4f, standard error %.4f, higher in %d of %d", margin.margin, margin.se,
                 margin.higher, SEEDS);
}

static void test_better_than_equal_minutes(void **state)
{
    (void)state;
    check(THIRTY_EQUAL, false);
    check(THIRTY_EQUAL, true);
}

static void test_better_than_worst_first(void **state)
{
    (void)state;
    check(THIRTY_WORST, false);
    check(THIRTY_WORST, true);
}

/* The player can be taught: who practises more of it has it higher. */
static void test_the_player_learns(void **state)
{
    (void)state;
    struct thirty_player *player = calloc(1, sizeof *player);
    assert_non_null(player);
    player->course = calloc(1, sizeof *player->course);
    assert_non_null(player->course);
    player->model = thirty_usual;
    thirty_begin(player, 5);
    struct thirty_passage *much = &player->passage[1];
    struct thirty_passage *little = &player->passage[2];
    *little = *much;
    for (int day = 0; day < THIRTY_DAYS; day++) {
        thirty_practise(player, much, day, THIRTY_MOST_MS);
        thirty_practise(player, little, day, THIRTY_LEAST_MS);
        thirty_night_falls(&player->model, much);
        thirty_night_falls(&player->model, little);
    }
    assert_true(thirty_ready(much) > thirty_ready(little) + 0.1);
    free(player->course);
    free(player);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_better_than_equal_minutes),
        cmocka_unit_test(test_better_than_worst_first),
        cmocka_unit_test(test_the_player_learns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
