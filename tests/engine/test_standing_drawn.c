/* The secure tempo of drawn players, whose own is known, and of marks of every kind. The dice are
 * seeded. */
#include "engine/ladder_play.h"

#include <math.h>

#include <passo/random.h>
#include <passo/standing.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

static struct passo_random dice;

static double draw(double low, double high)
{
    return low + (high - low) * passo_random_unit(&dice);
}

/* Passes of a player on a ladder of 4 bpm: up after two clean in a row, down after two misses. */
static void play_ladder(const struct passo_skill *player, double start_bpm, int passes,
                        struct passo_skill_group *group, size_t rungs)
{
    size_t at = 0;
    int clean = 0;
    int missed = 0;
    for (size_t i = 0; i < rungs; i++)
        group[i] = (struct passo_skill_group){.x = log(start_bpm + 4 * (double)i)};
    for (int pass = 0; pass < passes; pass++) {
        const double logit = player->intercept + player->slope * group[at].x;
        const bool is_clean = passo_random_unit(&dice) < 1 / (1 + exp(-logit));
        group[at].n++;
        group[at].y += is_clean;
        clean = is_clean ? clean + 1 : 0;
        missed = is_clean ? 0 : missed + 1;
        if (clean == 2 || missed == 2) {
            at = clean == 2 ? at + (at + 1 < rungs) : at - (at > 0);
            clean = missed = 0;
        }
    }
}

/* A player whose chance falls as steeply as those of drawn climbs do, and a ladder about them. */
static size_t draw_marks(int passes, struct passo_skill_group *group, double *out_secure_bpm)
{
    struct passo_skill player = {.slope = -draw(6, 20)};
    *out_secure_bpm = draw(60, 140);
    player.intercept = log(4) - player.slope * log(*out_secure_bpm);
    const double target = *out_secure_bpm * draw(0.95, 1.3);
    const size_t rungs = (size_t)(0.1 * target) + 1;
    play_ladder(&player, 0.6 * target, passes, group, rungs);
    return rungs;
}

/* The interval is to hold in four of five players. */
static void four_times_in_five_it_is_within(void **unused)
{
    (void)unused;
    enum { PLAYERS = 2000 };
    struct passo_skill_group group[64];
    struct passo_secure secure;
    double bpm;
    int fitted = 0;
    int within = 0;
    int at_least = 0;
    int above = 0;
    passo_random_seed(&dice, 80);
    for (int i = 0; i < PLAYERS; i++) {
        const size_t rungs = draw_marks(30 + (int)passo_random_below(&dice, 71), group, &bpm);
        passo_secure_fit(group, rungs, &secure);
        if (secure.kind == PASSO_SECURE_FITTED) {
            fitted++;
            within += bpm >= secure.low_bpm && bpm <= secure.high_bpm;
        }
        if (secure.kind == PASSO_SECURE_AT_LEAST) {
            at_least++;
            above += bpm >= secure.low_bpm;
        }
    }
    print_message("%d of %d fitted within, %d of %d at least\n", within, fitted, above, at_least);
    assert_in_range(fitted, PLAYERS / 2, PLAYERS);
    assert_in_range(within * 1000 / fitted, 720, 900);
    assert_in_range(above * 1000 / at_least, 900, 1000);
}

/* One clean pass more, anywhere that was played, and the tempo does not fall by more than a few
 * parts in a hundred (a lucky pass far above makes the curve look flatter, so it may fall). */
static void one_more_clean_pass_hardly_lowers_it(void **unused)
{
    (void)unused;
    struct passo_skill_group group[64];
    struct passo_secure before;
    struct passo_secure after;
    double bpm;
    double most = 0;
    double sum = 0;
    int count = 0;
    passo_random_seed(&dice, 81);
    for (int i = 0; i < 500; i++) {
        const size_t rungs = draw_marks(30 + (int)passo_random_below(&dice, 71), group, &bpm);
        passo_secure_fit(group, rungs, &before);
        for (size_t at = 0; at < rungs; at++) {
            if (group[at].n == 0)
                continue;
            group[at].n++;
            group[at].y++;
            passo_secure_fit(group, rungs, &after);
            group[at].n--;
            group[at].y--;
            most = fmax(most, log(before.bpm / after.bpm));
            sum += log(after.bpm / before.bpm);
            count++;
        }
    }
    print_message("at most %.2f %% lower, %.3f %% higher in the mean\n", most * 100,
                  sum / count * 100);
    assert_true(count > 1000);
    assert_true(most < 0.04);
    assert_true(sum > 0);
}

/* The same marks k times over: the penalty weighs less and less against them, and the place goes
 * from Firth's to the likeliest. */
static void the_same_marks_again_change_only_what_the_penalty_does(void **unused)
{
    (void)unused;
    struct passo_skill_group marks[] = {{60, 18, 18}, {66, 19, 17}, {72, 17, 14},
                                        {78, 15, 9},  {84, 9, 4},   {90, 6, 1}};
    struct passo_skill_fit likeliest;
    struct passo_secure secure;
    double se;
    for (size_t i = 0; i < COUNT(marks); i++)
        marks[i].x = log(marks[i].x);
    assert_int_equal(passo_skill_fit(marks, COUNT(marks), false, &likeliest), PASSO_OK);
    const double place = passo_skill_place(&likeliest, PASSO_SECURE_SHARE, &se);
    passo_secure_fit(marks, COUNT(marks), &secure);
    const double off = log(secure.bpm) - place;
    const double width = log(secure.high_bpm / secure.low_bpm);
    assert_true(fabs(off) < se);
    for (double times = 2; times <= 4096; times *= 2) {
        struct passo_skill_group more[COUNT(marks)];
        for (size_t i = 0; i < COUNT(marks); i++)
            more[i] =
                (struct passo_skill_group){marks[i].x, marks[i].n * times, marks[i].y * times};
        passo_secure_fit(more, COUNT(marks), &secure);
        near(log(secure.bpm) - place, off / times, 0.1 * fabs(off) / times + 1e-9);
        near(log(secure.high_bpm / secure.low_bpm) * sqrt(times), width, 0.1 * width);
    }
}

static double draw_weight(void)
{
    static const double weights[] = {0,    5e-324, 1e-300, 1e-160, 1e-20, 1e-6,
                                     0.01, 1,      7,      300,    1e9,   1e200};
    return weights[passo_random_below(&dice, COUNT(weights))] * draw(0.5, 1);
}

static void no_marks_give_what_is_no_number(void **unused)
{
    (void)unused;
    struct passo_skill_group group[6];
    struct passo_secure secure;
    int kinds[PASSO_SECURE_KIND_COUNT] = {0};
    passo_random_seed(&dice, 82);
    for (int i = 0; i < 20000; i++) {
        const size_t groups = passo_random_below(&dice, COUNT(group) + 1);
        const double step = passo_random_below(&dice, 4) ? draw(0, 0.3) : draw(0, 1e-12);
        double least = INFINITY;
        double most = 0;
        for (size_t at = 0; at < groups; at++) {
            group[at] =
                (struct passo_skill_group){.x = log(60) + step * (double)at, .n = draw_weight()};
            const double shares[] = {0, 1, draw(0, 1)};
            group[at].y = group[at].n * shares[passo_random_below(&dice, 3)];
            least = group[at].n > 0 ? fmin(least, exp(group[at].x)) : least;
            most = group[at].n > 0 ? fmax(most, exp(group[at].x)) : most;
        }
        passo_secure_fit(group, groups, &secure);
        kinds[secure.kind]++;
        assert_true(secure.passes >= 0);
        if (secure.kind == PASSO_SECURE_UNKNOWN)
            continue;
        assert_true(isfinite(secure.skill.intercept) && secure.skill.slope < 0);
        assert_true(secure.low_bpm >= least && secure.low_bpm <= secure.bpm);
        assert_true(secure.bpm <= secure.high_bpm && secure.high_bpm <= most);
    }
    for (int kind = 0; kind < PASSO_SECURE_KIND_COUNT; kind++)
        assert_true(kinds[kind] > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_times_in_five_it_is_within),
        cmocka_unit_test(one_more_clean_pass_hardly_lowers_it),
        cmocka_unit_test(the_same_marks_again_change_only_what_the_penalty_does),
        cmocka_unit_test(no_marks_give_what_is_no_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
