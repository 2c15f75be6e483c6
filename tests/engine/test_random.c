/* The generator against its authors' published streams, and its bounded numbers; the simulated
 * player against its curve. */
#include "engine/ladder_play.h"

#include <math.h>

#include <passo/player_model.h>

/* First words of splitmix64 from state 1234567, as published with the algorithm's entry on Rosetta
 * Code (from memory; checked by a separate run of the reference algorithm in Python). */
static void mix_is_splitmix64(void **unused)
{
    (void)unused;
    uint64_t state = 1234567;
    assert_true(passo_random_mix(&state) == UINT64_C(6457827717110365317));
    assert_true(passo_random_mix(&state) == UINT64_C(3203168211198807973));
    assert_true(passo_random_mix(&state) == UINT64_C(9817491932198370423));
    assert_true(passo_random_mix(&state) == UINT64_C(4593380528125082431));
    assert_true(passo_random_mix(&state) == UINT64_C(16408922859458223821));
}

/* xoshiro256** from the words 1 2 3 4, as the test vectors of public implementations have it
 * (from memory; checked by a separate run of the reference algorithm in Python). */
static void next_is_xoshiro256_starstar(void **unused)
{
    (void)unused;
    const uint64_t expected[] = {
        UINT64_C(11520),
        UINT64_C(0),
        UINT64_C(1509978240),
        UINT64_C(1215971899390074240),
        UINT64_C(1216172134540287360),
        UINT64_C(607988272756665600),
        UINT64_C(16172922978634559625),
        UINT64_C(8476171486693032832),
        UINT64_C(10595114339597558777),
        UINT64_C(2904607092377533576),
    };
    struct passo_random random = {{1, 2, 3, 4}};
    for (size_t i = 0; i < sizeof expected / sizeof *expected; i++)
        assert_true(passo_random_next(&random) == expected[i]);
}

static void a_seed_fixes_the_stream(void **unused)
{
    (void)unused;
    struct passo_random one;
    struct passo_random other;
    uint64_t state = 42;
    passo_random_seed(&one, 42);
    for (int i = 0; i < 4; i++)
        assert_true(one.word[i] == passo_random_mix(&state));
    passo_random_seed(&other, 42);
    for (int i = 0; i < 100; i++)
        assert_true(passo_random_next(&one) == passo_random_next(&other));
    passo_random_seed(&other, 43);
    assert_true(passo_random_next(&one) != passo_random_next(&other));
    passo_random_seed(&other, 0);
    assert_true(other.word[0] | other.word[1] | other.word[2] | other.word[3]);
}

/* Chi-square with 4 degrees of freedom over 5 values: 23.5 has a chance of 1 in 10,000. */
static void below_is_even(void **unused)
{
    (void)unused;
    struct passo_random random;
    passo_random_seed(&random, 7);
    int seen[5] = {0};
    for (int i = 0; i < 100000; i++)
        seen[passo_random_below(&random, 5)]++;
    double chi = 0;
    for (int i = 0; i < 5; i++)
        chi += (seen[i] - 20000.0) * (seen[i] - 20000.0) / 20000.0;
    assert_true(chi < 23.5);
    for (int i = 0; i < 100; i++)
        assert_int_equal(passo_random_below(&random, 1), 0);
}

/* A bound of 3/4 of 2^32: without drawing again the lowest of each three values would come twice
 * as often (a share of 1/2 instead of 1/3). 100,000 draws, standard error .0015. */
static void below_is_unbiased_for_a_large_bound(void **unused)
{
    (void)unused;
    struct passo_random random;
    passo_random_seed(&random, 8);
    int thirds[3] = {0};
    for (int i = 0; i < 100000; i++) {
        uint32_t value = passo_random_below(&random, UINT32_C(3) << 30);
        assert_true(value < UINT32_C(3) << 30);
        thirds[value % 3]++;
    }
    for (int i = 0; i < 3; i++)
        assert_near(thirds[i] / 100000.0, 1.0 / 3, .006);
}

static void unit_is_even_in_0_to_1(void **unused)
{
    (void)unused;
    struct passo_random random;
    passo_random_seed(&random, 9);
    double sum = 0;
    double squares = 0;
    for (int i = 0; i < 100000; i++) {
        double unit = passo_random_unit(&random);
        assert_true(unit >= 0 && unit < 1);
        sum += unit;
        squares += unit * unit;
    }
    assert_near(sum / 100000, .5, .004);          /* 4 standard errors of .00091 */
    assert_near(squares / 100000, 1.0 / 3, .004); /* of .00094 */
}

static void the_player_follows_the_curve(void **unused)
{
    (void)unused;
    const struct passo_player_model player = {.t50_mbpm = 120000, .spread_mbpm = 6000};
    assert_near(passo_player_model_clean(&player, 120000), .5, 1e-12);
    /* references.md 1.4: the curve at the mean tempos of its table */
    assert_near(passo_player_model_clean(&player, 114555), .7125, 5e-5);
    assert_near(passo_player_model_clean(&player, 111702), .7995, 5e-5);
    assert_near(passo_player_model_clean(&player, 107918), .8822, 5e-5);
    assert_near(passo_player_model_clean(&player, INT32_MAX), 0, 1e-12);
    assert_near(passo_player_model_clean(&player, INT32_MIN), 1, 1e-12);
}

static void the_player_plays_by_the_curve(void **unused)
{
    (void)unused;
    struct passo_player_model player = {.t50_mbpm = 120000, .spread_mbpm = 6000};
    struct passo_random random;
    passo_random_seed(&random, 10);
    int cleans = 0;
    for (int i = 0; i < 40000; i++) {
        enum passo_mark mark = passo_player_model_play(&player, &random, 114555);
        assert_true(mark == PASSO_MARK_CLEAN || mark == PASSO_MARK_MISS);
        cleans += mark == PASSO_MARK_CLEAN;
    }
    assert_near(cleans / 40000.0, .7125, .01); /* standard error .0023 */
    assert_int_equal(player.t50_mbpm, 120000);
}

static void the_player_learns_up_to_a_ceiling(void **unused)
{
    (void)unused;
    struct passo_player_model player = {
        .t50_mbpm = 100000, .spread_mbpm = 6000, .learn_mbpm = 300, .ceiling_mbpm = 101000};
    struct passo_random random;
    passo_random_seed(&random, 11);
    const int32_t expected[] = {100300, 100600, 100900, 101000, 101000};
    for (size_t i = 0; i < 5; i++) {
        (void)passo_player_model_play(&player, &random, 100000);
        assert_int_equal(player.t50_mbpm, expected[i]);
    }
    player.ceiling_mbpm = 90000; /* one who is beyond it does not fall back */
    (void)passo_player_model_play(&player, &random, 100000);
    assert_int_equal(player.t50_mbpm, 101000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mix_is_splitmix64),
        cmocka_unit_test(next_is_xoshiro256_starstar),
        cmocka_unit_test(a_seed_fixes_the_stream),
        cmocka_unit_test(below_is_even),
        cmocka_unit_test(below_is_unbiased_for_a_large_bound),
        cmocka_unit_test(unit_is_even_in_0_to_1),
        cmocka_unit_test(the_player_follows_the_curve),
        cmocka_unit_test(the_player_plays_by_the_curve),
        cmocka_unit_test(the_player_learns_up_to_a_ceiling),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
