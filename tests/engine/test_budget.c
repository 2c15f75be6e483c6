/* The shares of the minutes against a published example of water-filling and, on drawn cases,
 * against the conditions that only the best shares meet. */
#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <passo/budget.h>
#include <passo/random.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define SHARES_MAX   16

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

/* --- published --- */

/* Boyd and Vandenberghe, Convex Optimization, example 5.2: x = max(0, 1/nu - alpha), where the x
 * are 1/nu - alpha of the k lowest alphas for the only k that fits. */
static double water_level(const double *alpha, size_t count, double total)
{
    double found = 0;
    size_t fit = 0;
    for (size_t mask = 1; mask < (size_t)1 << count; mask++) {
        double sum = total;
        double served = 0;
        for (size_t i = 0; i < count; i++) {
            sum += mask >> i & 1 ? alpha[i] : 0;
            served += mask >> i & 1 ? 1 : 0;
        }
        bool fits = true;
        for (size_t i = 0; i < count; i++)
            fits = fits && (alpha[i] < sum / served) == (mask >> i & 1);
        fit += fits;
        found = fits ? sum / served : found;
    }
    assert_int_equal(fit, 1);
    return found;
}

static void fills(const double *alpha, size_t count, double total, double level, const double *x)
{
    struct passo_share share[SHARES_MAX];
    double got;
    for (size_t i = 0; i < count; i++)
        share[i] = (struct passo_share){.level = alpha[i], .rate = 1, .most = INFINITY};
    assert_int_equal(passo_budget_share(share, count, total, &got), PASSO_OK);
    near(got, level, 0.51e-6);
    near(got, water_level(alpha, count, total), 1e-12);
    for (size_t i = 0; i < count; i++) {
        near(share[i].minutes, x[i], 0.51e-6);
        near(share[i].minutes, fmax(0, got - alpha[i]), 1e-12);
        assert_int_equal(share[i].why, x[i] > 0 ? PASSO_SHARE_LEVEL : PASSO_SHARE_LEAST);
    }
}

/* The figures are worked out in references.md 3.4. */
static void the_published_example(void **unused)
{
    (void)unused;
    const double one[] = {.5, .8, 1, .3};
    const double two[] = {60, 80, 85, 96};
    fills(one, 4, 1, .866667, (const double[]){.366667, .066667, 0, .566667});
    fills(two, 4, 20, 80, (const double[]){20, 0, 0, 0});
    fills(two, 4, 100, 105.25, (const double[]){45.25, 25.25, 20.25, 9.25});
}

/* --- by hand --- */

/* 40 minutes, 2 to 20 each. The first would need 56 to come as far as the second and has its 20;
 * the last stands so high that it has its 2; the second has the 18 that are left. */
static void bounds_hold_and_what_is_left_goes_on(void **unused)
{
    (void)unused;
    double level;
    struct passo_share share[] = {{.level = -.5, .rate = .01, .least = 2, .most = 20},
                                  {.level = -.3, .rate = .02, .least = 2, .most = 20},
                                  {.level = .1, .rate = .005, .least = 2, .most = 20}};
    assert_int_equal(passo_budget_share(share, 3, 40, &level), PASSO_OK);
    near(level, -.3 + .02 * 18, 1e-12);
    near(share[0].minutes, 20, 0);
    near(share[1].minutes, 18, 1e-12);
    near(share[2].minutes, 2, 0);
    near(share[0].after, -.3, 1e-12);
    near(share[1].after, .06, 1e-12);
    near(share[2].after, .11, 1e-12);
    assert_int_equal(share[0].why, PASSO_SHARE_MOST);
    assert_int_equal(share[1].why, PASSO_SHARE_LEVEL);
    assert_int_equal(share[2].why, PASSO_SHARE_LEAST);
}

static void edges(void **unused)
{
    (void)unused;
    double level = 0;
    assert_int_equal(passo_budget_share(NULL, 0, 30, &level), PASSO_OK);
    assert_true(level == INFINITY);
    struct passo_share share[] = {{.level = -.4, .rate = .01, .least = 3, .most = 8},
                                  {.level = -.2, .rate = .01, .least = 4, .most = 8}};
    /* Just the least of all: the common level is where the lower one stands then. */
    assert_int_equal(passo_budget_share(share, 2, 7, &level), PASSO_OK);
    near(level, -.37, 1e-15);
    near(share[0].minutes, 3, 0);
    near(share[1].minutes, 4, 0);
    assert_int_equal(share[0].why, PASSO_SHARE_LEAST);
    assert_int_equal(share[1].why, PASSO_SHARE_LEAST);
    /* The most of all, and more than that: what is over stays over. */
    for (double minutes = 16; minutes < 1000; minutes += 400) {
        assert_int_equal(passo_budget_share(share, 2, minutes, &level), PASSO_OK);
        assert_true(level == INFINITY);
        for (size_t i = 0; i < 2; i++) {
            near(share[i].minutes, 8, 0);
            assert_int_equal(share[i].why, PASSO_SHARE_MOST);
        }
    }
    /* Alone, it has all of it; out_level may be NULL. */
    struct passo_share alone = {.level = -.4, .rate = .01, .most = INFINITY};
    assert_int_equal(passo_budget_share(&alone, 1, 25, NULL), PASSO_OK);
    near(alone.minutes, 25, 1e-12);
    near(alone.after, -.15, 1e-12);
    assert_int_equal(passo_budget_share(&alone, 1, 0, NULL), PASSO_OK);
    near(alone.minutes, 0, 0);
}

static void what_cannot_be_shared_is_refused(void **unused)
{
    (void)unused;
    static const struct {
        struct passo_share share;
        double minutes;
    } bad[] = {{{.level = 0, .rate = .01, .least = 5, .most = 9}, 8.999},
               {{.level = 0, .rate = .01, .least = 1, .most = 9}, -1},
               {{.level = 0, .rate = .01, .least = 1, .most = 9}, NAN},
               {{.level = 0, .rate = .01, .least = 1, .most = INFINITY}, INFINITY},
               {{.level = NAN, .rate = .01, .least = 1, .most = 9}, 20},
               {{.level = -INFINITY, .rate = .01, .least = 1, .most = 9}, 20},
               {{.level = 0, .rate = 0, .least = 1, .most = 9}, 20},
               {{.level = 0, .rate = -.01, .least = 1, .most = 9}, 20},
               {{.level = 0, .rate = NAN, .least = 1, .most = 9}, 20},
               {{.level = 0, .rate = INFINITY, .least = 1, .most = 9}, 20},
               {{.level = 0, .rate = INFINITY, .least = 0, .most = INFINITY}, 20},
               {{.level = 0, .rate = DBL_TRUE_MIN, .least = 1, .most = 9}, 20},
               {{.level = 0, .rate = .01, .least = -1, .most = 9}, 20},
               {{.level = 0, .rate = .01, .least = NAN, .most = 9}, 20},
               {{.level = 0, .rate = .01, .least = 5, .most = 4}, 20},
               {{.level = 0, .rate = .01, .least = 5, .most = NAN}, 20},
               {{.level = 0, .rate = .01, .least = INFINITY, .most = INFINITY}, 20},
               {{.level = 0, .rate = 1e300, .least = 0, .most = 1e300}, 20}};
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct passo_share share[] = {
            {.level = 0, .rate = .01, .least = 4, .most = 9, .minutes = 7}, bad[i].share};
        share[1].minutes = 7;
        if (passo_budget_share(share, 2, bad[i].minutes, NULL) != PASSO_ERR_RANGE)
            fail_msg("case %zu was shared", i);
        near(share[0].minutes, 0, 0);
        near(share[1].minutes, 0, 0);
    }
}

/* --- drawn --- */

struct drawn {
    struct passo_share share[SHARES_MAX];
    size_t shares;
    double least; /* of all together */
    double most;
};

/* Half of the cases stand on a coarse grid, so that bends coincide. */
static double draw(struct passo_random *random, bool coarse, double low, double high)
{
    const double unit = coarse ? passo_random_below(random, 5) / 4.0 : passo_random_unit(random);
    return low + unit * (high - low);
}

static void draw_shares(struct passo_random *random, struct drawn *drawn)
{
    const bool coarse = passo_random_below(random, 2);
    *drawn = (struct drawn){.shares = passo_random_below(random, SHARES_MAX + 1)};
    for (size_t i = 0; i < drawn->shares; i++) {
        struct passo_share *share = &drawn->share[i];
        share->level = draw(random, coarse, -1, .2);
        share->rate = exp(draw(random, coarse, log(PASSO_RATE_LEAST), log(PASSO_RATE_MOST)));
        share->least = passo_random_below(random, 3) ? draw(random, coarse, 0, 3.7) : 0;
        switch (passo_random_below(random, 4)) {
        case 0:
            share->most = INFINITY;
            break;
        case 1:
            share->most = share->least;
            break;
        default:
            share->most = share->least + draw(random, coarse, 0, 19.1);
        }
        drawn->least += share->least;
        drawn->most += share->most;
    }
}

/* From just the least up to more than the most. A hair more than the sum, which another order may
 * round otherwise. */
static double draw_minutes(struct passo_random *random, const struct drawn *drawn)
{
    const double span = fmin(drawn->most - drawn->least, 300);
    const double least = drawn->least * (1 + 1e-14);
    return passo_random_below(random, 20) ? least + 1.1 * span * passo_random_unit(random) : least;
}

/* Karush, Kuhn and Tucker's conditions of the programme: minutes within bounds and spent as far as
 * the most allows; those between their bounds end on one level L, those at the least on it or
 * above, those at the most on it or below. */
static void stand_at(const struct drawn *drawn, double minutes, double level)
{
    double sum = 0;
    for (size_t i = 0; i < drawn->shares; i++) {
        const struct passo_share *share = &drawn->share[i];
        sum += share->minutes;
        assert_true(share->minutes >= share->least && share->minutes <= share->most);
        near(share->after, share->level + share->rate * share->minutes, 1e-12);
        if (share->minutes > share->least && !(share->after <= level + 1e-9))
            fail_msg("%.17g has minutes and ends above %.17g", share->after, level);
        if (share->minutes < share->most && !(share->after >= level - 1e-9))
            fail_msg("%.17g has room and ends under %.17g", share->after, level);
        switch (share->why) {
        case PASSO_SHARE_LEVEL:
            near(share->after, level, 1e-9);
            break;
        case PASSO_SHARE_LEAST:
            near(share->minutes, share->least, 0);
            break;
        case PASSO_SHARE_MOST:
            near(share->minutes, share->most, 0);
            assert_true(level > share->after - 1e-9);
            break;
        case PASSO_SHARE_WHY_COUNT:
            fail();
        }
    }
    near(sum, fmin(minutes, drawn->most), 1e-9);
}

/* The lowest is as high as can be, then the next lowest, and so on: nobody could give minutes to
 * one that ends lower. */
static void nobody_can_give(const struct drawn *drawn)
{
    for (size_t i = 0; i < drawn->shares; i++) {
        for (size_t j = 0; j < drawn->shares; j++) {
            const struct passo_share *giver = &drawn->share[i];
            const struct passo_share *taker = &drawn->share[j];
            if (giver->minutes > giver->least && taker->minutes < taker->most)
                assert_true(giver->after <= taker->after + 1e-9);
        }
    }
}

/* Bit by bit, whatever the order. */
static void order_does_not_matter(struct passo_random *random, const struct drawn *drawn,
                                  double minutes, double level)
{
    struct drawn other = *drawn;
    size_t from[SHARES_MAX];
    double other_level;
    for (size_t i = 0; i < drawn->shares; i++)
        from[i] = i;
    for (size_t i = drawn->shares; i > 1; i--) {
        const size_t at = passo_random_below(random, (uint32_t)i);
        const size_t kept = from[at];
        from[at] = from[i - 1];
        from[i - 1] = kept;
    }
    for (size_t i = 0; i < drawn->shares; i++)
        other.share[i] = drawn->share[from[i]];
    assert_int_equal(passo_budget_share(other.share, other.shares, minutes, &other_level),
                     PASSO_OK);
    assert_memory_equal(&level, &other_level, sizeof level);
    for (size_t i = 0; i < drawn->shares; i++)
        assert_memory_equal(&other.share[i], &drawn->share[from[i]], sizeof *other.share);
}

static void more_minutes_take_nothing_away(const struct drawn *drawn, double minutes, double level)
{
    struct drawn more = *drawn;
    double higher;
    assert_int_equal(passo_budget_share(more.share, more.shares, minutes + 1.5, &higher), PASSO_OK);
    assert_true(higher >= level);
    for (size_t i = 0; i < drawn->shares; i++)
        assert_true(more.share[i].minutes >= drawn->share[i].minutes - 1e-9);
}

static void drawn_cases_meet_the_conditions(void **unused)
{
    (void)unused;
    enum { CASES = 10000 };
    struct passo_random random;
    size_t why[PASSO_SHARE_WHY_COUNT] = {0};
    size_t over = 0;
    passo_random_seed(&random, 5);
    for (int i = 0; i < CASES; i++) {
        struct drawn drawn;
        double level;
        draw_shares(&random, &drawn);
        const double minutes = draw_minutes(&random, &drawn);
        assert_int_equal(passo_budget_share(drawn.share, drawn.shares, minutes, &level), PASSO_OK);
        stand_at(&drawn, minutes, level);
        assert_true((level == INFINITY) == (minutes >= drawn.most));
        nobody_can_give(&drawn);
        order_does_not_matter(&random, &drawn, minutes, level);
        more_minutes_take_nothing_away(&drawn, minutes, level);
        over += level == INFINITY;
        for (size_t at = 0; at < drawn.shares; at++)
            why[drawn.share[at].why]++;
    }
    /* All kinds were among them. */
    assert_true(over > 200 && over < CASES / 2);
    assert_true(why[PASSO_SHARE_LEVEL] > CASES && why[PASSO_SHARE_LEAST] > CASES &&
                why[PASSO_SHARE_MOST] > CASES);
}

/* The lower one has its most before the upper one leaves its least, and the minutes are just those:
 * any level between the two would do, and it is the one where the lower one stands. Rounding must
 * not find anything that rises there. */
static void nothing_rises_between_bends(void **unused)
{
    (void)unused;
    struct passo_random random;
    passo_random_seed(&random, 9);
    for (int i = 0; i < 1000; i++) {
        double level;
        struct passo_share share[2];
        for (size_t at = 0; at < 2; at++)
            share[at] =
                (struct passo_share){.level = (at ? 0 : -1) + .3 * passo_random_unit(&random),
                                     .rate = .001 + .019 * passo_random_unit(&random),
                                     .least = 3 * passo_random_unit(&random),
                                     .most = 3 + 20 * passo_random_unit(&random)};
        const double minutes = share[0].most + share[1].least;
        assert_int_equal(passo_budget_share(share, 2, minutes, &level), PASSO_OK);
        near(share[0].minutes, share[0].most, 1e-12);
        near(share[1].minutes, share[1].least, 0);
        near(level, share[0].after, 1e-12);
        /* The least bit more, and the upper one rises too. */
        assert_int_equal(passo_budget_share(share, 2, nextafter(minutes, INFINITY), &level),
                         PASSO_OK);
        near(level, share[1].after, 1e-12);
        near(share[0].minutes, share[0].most, 0);
    }
}

/* Many at once, and levels far from 0 beside small rates. */
static void many_shares_add_up(void **unused)
{
    (void)unused;
    enum { MANY = 3000 };
    static struct passo_share share[MANY];
    struct passo_random random;
    double level;
    double sum = 0;
    passo_random_seed(&random, 6);
    for (size_t i = 0; i < MANY; i++)
        share[i] = (struct passo_share){.level = 100 + passo_random_unit(&random),
                                        .rate = .001 + .01 * passo_random_unit(&random),
                                        .most = 50};
    assert_int_equal(passo_budget_share(share, MANY, 5000, &level), PASSO_OK);
    for (size_t i = 0; i < MANY; i++) {
        sum += share[i].minutes;
        if (share[i].why == PASSO_SHARE_LEVEL)
            near(share[i].after, level, 1e-9);
    }
    near(sum, 5000, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_example),
        cmocka_unit_test(bounds_hold_and_what_is_left_goes_on),
        cmocka_unit_test(edges),
        cmocka_unit_test(what_cannot_be_shared_is_refused),
        cmocka_unit_test(drawn_cases_meet_the_conditions),
        cmocka_unit_test(nothing_rises_between_bends),
        cmocka_unit_test(many_shares_add_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
