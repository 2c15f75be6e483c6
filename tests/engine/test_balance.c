/* Play and rest: what is owed, when a rest is offered and how long, and which tags strain. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <passo/balance.h>
#include <passo/random.h>

#define MINUTE 60000
#define USUAL  PASSO_STRAIN_USUAL
#define HIGH   PASSO_STRAIN_HIGH

static void offers(const struct passo_balance *balance, enum passo_rest_why why, int64_t ms)
{
    const struct passo_rest_offer offer = passo_balance_offer(balance);
    if (offer.why != why || offer.ms != ms)
        fail_msg("%d, %lld ms", (int)offer.why, (long long)offer.ms);
}

static struct passo_balance after(int64_t played_ms, int64_t rested_ms, int32_t strain)
{
    struct passo_balance balance = {0};
    passo_balance_add(&balance, played_ms, rested_ms, strain);
    return balance;
}

static void sums_are_kept(void **unused)
{
    (void)unused;
    struct passo_balance balance = after(10000, 4000, USUAL);
    passo_balance_add(&balance, 20000, 1000, HIGH);
    passo_balance_rest(&balance, 500);
    assert_int_equal(balance.played_ms, 30000);
    assert_int_equal(balance.rested_ms, 5500);
    assert_int_equal(balance.weighted_ms, 40000);
    assert_int_equal(balance.since_long_ms, 40000);
    assert_int_equal(balance.high_ms, 10000);
    passo_balance_rest(&balance, 2 * MINUTE);
    assert_int_equal(balance.played_ms, 30000);
    assert_int_equal(balance.rested_ms, 125500);
    assert_int_equal(balance.weighted_ms, 40000);
    assert_int_equal(balance.since_long_ms, 0);
    assert_int_equal(balance.high_ms, 0);
}

static void a_debt_is_offered_within_bounds(void **unused)
{
    (void)unused;
    static const struct {
        int64_t played_ms;
        int64_t rested_ms;
        enum passo_rest_why why;
        int64_t ms;
    } cases[] = {{0, 0, PASSO_REST_NONE, 0},
                 {60000, 60000, PASSO_REST_NONE, 0},
                 {60000, 90000, PASSO_REST_NONE, 0},
                 {60000, 45001, PASSO_REST_NONE, 0},
                 {60000, 45000, PASSO_REST_EVEN, 15000},
                 {60000, 20000, PASSO_REST_EVEN, 40000},
                 {100000, 10001, PASSO_REST_EVEN, 89999},
                 {100000, 10000, PASSO_REST_EVEN, 90000},
                 {100000, 9999, PASSO_REST_EVEN, 90000},
                 {14 * MINUTE, 0, PASSO_REST_EVEN, 90000}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct passo_balance balance = after(cases[i].played_ms, cases[i].rested_ms, USUAL);
        offers(&balance, cases[i].why, cases[i].ms);
    }
}

/* A minute of high playing, rested as long as it was played, leaves half a minute; all of it is
 * strain's. Rested less, strain's half a minute is at last no more than half of the debt. */
static void strain_earns_more(void **unused)
{
    (void)unused;
    struct passo_balance balance = after(60000, 60000, HIGH);
    offers(&balance, PASSO_REST_HIGH, 30000);
    balance = after(60000, 60000, USUAL);
    offers(&balance, PASSO_REST_NONE, 0);
    balance = after(60000, 30001, HIGH);
    offers(&balance, PASSO_REST_HIGH, 59999);
    balance = after(60000, 30000, HIGH);
    offers(&balance, PASSO_REST_EVEN, 60000);
    /* What strain added before a long rest is done with. */
    balance = after(60000, 0, HIGH);
    passo_balance_rest(&balance, 2 * MINUTE);
    passo_balance_add(&balance, 60000, 0, USUAL);
    offers(&balance, PASSO_REST_EVEN, 30000);
}

static void fifteen_minutes_earn_five(void **unused)
{
    (void)unused;
    struct passo_balance balance = after(15 * MINUTE - 1, 15 * MINUTE, USUAL);
    offers(&balance, PASSO_REST_NONE, 0);
    passo_balance_add(&balance, 1, 0, USUAL);
    offers(&balance, PASSO_REST_LONG, 5 * MINUTE);
    /* Of high playing ten do. The debt, a third of it strain's, is not spoken of beside that. */
    balance = after(10 * MINUTE - 2, 0, HIGH);
    offers(&balance, PASSO_REST_EVEN, 90000);
    passo_balance_add(&balance, 2, 0, HIGH);
    offers(&balance, PASSO_REST_LONG, 5 * MINUTE);
}

static void two_minutes_begin_anew(void **unused)
{
    (void)unused;
    struct passo_balance balance = after(15 * MINUTE, 15 * MINUTE, USUAL);
    passo_balance_rest(&balance, 2 * MINUTE - 1);
    offers(&balance, PASSO_REST_LONG, 5 * MINUTE);
    passo_balance_rest(&balance, 1);
    offers(&balance, PASSO_REST_LONG, 5 * MINUTE);
    passo_balance_rest(&balance, 2 * MINUTE);
    offers(&balance, PASSO_REST_NONE, 0);
    passo_balance_add(&balance, 15 * MINUTE - 1, 15 * MINUTE, USUAL);
    offers(&balance, PASSO_REST_NONE, 0);
    passo_balance_add(&balance, 1, 0, USUAL);
    offers(&balance, PASSO_REST_LONG, 5 * MINUTE);
}

/* --- drawn days --- */

enum { STEPS = 60 };

/* One step of a day, and the day told over again from its steps: what was played since the last
 * long rest is counted backwards from the end. */
struct step {
    int64_t played_ms;
    int64_t rested_ms;
    bool high;
    bool alone; /* a rest by itself */
};

static struct passo_rest_offer fair_after(const struct step *step, size_t steps)
{
    int64_t debt_ms = 0;
    int64_t since_ms = 0;
    int64_t strain_ms = 0;
    bool anew = false;
    for (size_t i = steps; i-- > 0;) {
        const int64_t more_ms = step[i].high ? step[i].played_ms / 2 : 0;
        debt_ms += step[i].played_ms + more_ms - step[i].rested_ms;
        anew = anew || (step[i].alone && step[i].rested_ms >= 120000);
        if (!anew) {
            since_ms += step[i].played_ms + more_ms;
            strain_ms += more_ms;
        }
    }
    if (since_ms >= 900000)
        return (struct passo_rest_offer){PASSO_REST_LONG, 300000};
    if (debt_ms < 15000)
        return (struct passo_rest_offer){PASSO_REST_NONE, 0};
    return (struct passo_rest_offer){strain_ms > debt_ms - strain_ms ? PASSO_REST_HIGH
                                                                     : PASSO_REST_EVEN,
                                     debt_ms > 90000 ? 90000 : debt_ms};
}

static struct step draw_step(struct passo_random *random)
{
    struct step step = {.alone = passo_random_below(random, 12) == 0};
    if (step.alone)
        step.rested_ms = passo_random_below(random, 4 * MINUTE);
    else {
        step.played_ms = passo_random_below(random, 2 * MINUTE);
        step.rested_ms = (int64_t)passo_random_below(random, 2 * MINUTE);
        step.high = passo_random_below(random, 3) == 0;
    }
    return step;
}

static void drawn_days_are_offered_what_is_fair(void **unused)
{
    (void)unused;
    struct passo_random random;
    size_t seen[PASSO_REST_LONG + 1] = {0};
    passo_random_seed(&random, 8);
    for (int day = 0; day < 2000; day++) {
        struct passo_balance balance = {0};
        struct step step[STEPS];
        for (size_t i = 0; i < STEPS; i++) {
            step[i] = draw_step(&random);
            if (step[i].alone)
                passo_balance_rest(&balance, step[i].rested_ms);
            else
                passo_balance_add(&balance, step[i].played_ms, step[i].rested_ms,
                                  step[i].high ? HIGH : USUAL);
            const struct passo_rest_offer fair = fair_after(step, i + 1);
            offers(&balance, fair.why, fair.ms);
            assert_true(fair.ms == 0 || fair.ms == 300000 ||
                        (fair.ms >= PASSO_BALANCE_LEAST_MS && fair.ms <= PASSO_BALANCE_MOST_MS));
            seen[fair.why]++;
        }
    }
    for (size_t why = 0; why <= PASSO_REST_LONG; why++)
        assert_true(seen[why] > 1000);
}

/* --- tags --- */

static void tags_speak_of_strain(void **unused)
{
    (void)unused;
    static const char *const straining[] = {"high",          "high range",    "high register",
                                            "loud",          "endurance",     "slur, loud",
                                            "loud, slur",    "a, high, b",    "HIGH",
                                            "High Register", "arpeggio,high", "x, Endurance"};
    static const char *const usual[] = {"",    "chromatic",     "highland", "not loud",
                                        "low", "high notes",    "high-low", "slur, double tongue",
                                        "hig", "louder, aloud", ", ",       "low register, range"};
    for (size_t i = 0; i < sizeof straining / sizeof *straining; i++) {
        if (passo_balance_strain(straining[i]) != 1500)
            fail_msg("\"%s\" is no strain", straining[i]);
    }
    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++) {
        if (passo_balance_strain(usual[i]) != 1000)
            fail_msg("\"%s\" is strain", usual[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sums_are_kept),
        cmocka_unit_test(a_debt_is_offered_within_bounds),
        cmocka_unit_test(strain_earns_more),
        cmocka_unit_test(fifteen_minutes_earn_five),
        cmocka_unit_test(two_minutes_begin_anew),
        cmocka_unit_test(drawn_days_are_offered_what_is_fair),
        cmocka_unit_test(tags_speak_of_strain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
