/* The secure tempo against published figures and what R 4.2.2 gave for the same marks, where it
 * ends at what was played, and the days until a passage comes back. */
#include "engine/ladder_play.h"

#include <math.h>
#include <string.h>

#include <passo/standing.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

static void a_week_halves(void **unused)
{
    (void)unused;
    near(passo_fade(0), 1, 0);
    near(passo_fade(7), 0.5, 0);
    near(passo_fade(14), 0.25, 0);
    near(passo_fade(70), 1.0 / 1024, 0);
    near(passo_fade(1) * passo_fade(6), 0.5, 1e-15);
    near(passo_fade(1000000), 0, 0);
}

/* --- where the chance is so much --- */

/* Bliss (1935), see test_skill.c. */
static const struct passo_skill_group beetles[] = {
    {1.6907, 59, 6},  {1.7242, 60, 13}, {1.7552, 62, 18}, {1.7842, 56, 28},
    {1.8113, 63, 52}, {1.8369, 59, 53}, {1.8610, 62, 61}, {1.8839, 60, 60},
};

/* The delta method with the gradient by central differences. */
static double numerical_se(const struct passo_skill_fit *fit, double share)
{
    const double logit = log(share / (1 - share));
    const double a = fit->skill.intercept;
    const double b = fit->skill.slope;
    const double h = 1e-5;
    const double by_a = ((logit - a - h) / b - (logit - a + h) / b) / (2 * h);
    const double by_b = ((logit - a) / (b + h) - (logit - a) / (b - h)) / (2 * h);
    return sqrt(by_a * by_a * fit->intercept_se * fit->intercept_se +
                2 * by_a * by_b * fit->covariance + by_b * by_b * fit->slope_se * fit->slope_se);
}

/* At 50 %: references.md 3.2, worked out there to 50 digits. At 80 %: MASS 7.3, dose.p(), on R's
 * fit of the same data. */
static void beetles_have_the_known_places(void **unused)
{
    (void)unused;
    struct passo_skill_fit fit;
    double se;
    assert_int_equal(passo_skill_fit(beetles, COUNT(beetles), false, &fit), PASSO_OK);
    near(passo_skill_place(&fit, 0.5, &se), 1.77172096, 5e-9);
    near(se, 0.00385806, 5e-9);
    near(passo_skill_place(&fit, 0.75, &se), 1.80377821, 5e-9);
    near(passo_skill_place(&fit, 0.8, &se), 1.812172706046826, 1e-11);
    near(se, 0.004772447458094218, 1e-10);
    for (int percent = 5; percent < 100; percent += 5) {
        passo_skill_place(&fit, percent / 100.0, &se);
        near(se, numerical_se(&fit, percent / 100.0), 1e-9);
    }
    /* On another scale the place and its standard error are on that scale. */
    struct passo_skill_group natural[COUNT(beetles)];
    for (size_t i = 0; i < COUNT(beetles); i++)
        natural[i] = (struct passo_skill_group){beetles[i].x * log(10), beetles[i].n, beetles[i].y};
    assert_int_equal(passo_skill_fit(natural, COUNT(beetles), false, &fit), PASSO_OK);
    near(passo_skill_place(&fit, 0.5, &se), 1.77172096 * log(10), 1.2e-8);
    near(se, 0.00385806 * log(10), 1.2e-8);
}

/* --- settling --- */

static void clear_marks_settle_on_the_fit(void **unused)
{
    (void)unused;
    struct passo_skill_fit fit;
    struct passo_skill_fit settled;
    bool usual = true;
    const struct passo_skill_group marks[] = {{log(60), 18, 18}, {log(78), 15, 9}, {log(90), 6, 1}};
    assert_int_equal(passo_skill_fit(marks, COUNT(marks), true, &fit), PASSO_OK);
    assert_int_equal(passo_skill_settle(marks, COUNT(marks), &settled, &usual), PASSO_OK);
    assert_false(usual);
    assert_memory_equal(&fit, &settled, sizeof fit);
}

static void a_usual_slope(const struct passo_skill_group *group, size_t groups, double bpm,
                          double clean, double miss)
{
    struct passo_skill_fit fit;
    bool usual = false;
    assert_int_equal(passo_skill_settle(group, groups, &fit, &usual), PASSO_OK);
    assert_true(usual && fit.converged);
    near(fit.skill.slope, -5, 0);
    near(fit.skill.intercept - 5 * log(bpm), log(clean / miss), 1e-9);
    near(fit.intercept_se, sqrt(1 / clean + 1 / miss), 1e-12);
    near(fit.slope_se, 0, 0);
    near(fit.covariance, 0, 0);
}

/* A tenth faster, and 5 clean passes to a miss become 3: the header's words. */
static void unclear_marks_settle_on_the_usual_slope(void **unused)
{
    (void)unused;
    near(5 * exp(PASSO_SKILL_USUAL_SLOPE * log(1.1)), 3, 0.2);
    const struct passo_skill_group one[] = {{log(72), 9, 8}};
    a_usual_slope(one, 1, 72, 8.5, 1.5);
    const struct passo_skill_group one_and_none[] = {{log(60), 0, 0}, {log(72), 9, 8}};
    a_usual_slope(one_and_none, 2, 72, 8.5, 1.5);
    const struct passo_skill_group rising[] = {{log(60), 4, 2}, {log(80), 4, 4}};
    a_usual_slope(rising, 2, sqrt(60 * 80), 6.5, 2.5);
    /* It falls, but by less than its standard error. */
    const struct passo_skill_group hardly[] = {{log(60), 10, 8}, {log(80), 10, 7}};
    a_usual_slope(hardly, 2, sqrt(60 * 80), 15.5, 5.5);
    const struct passo_skill_group faint[] = {{log(60), 1e-300, 1e-300}, {log(80), 1e-300, 0}};
    a_usual_slope(faint, 2, sqrt(60 * 80), 0.5, 0.5);
}

static void what_cannot_be_settled_is_refused(void **unused)
{
    (void)unused;
    struct passo_skill_fit fit;
    struct passo_secure secure;
    bool usual;
    const struct passo_skill_group none[] = {{log(60), 0, 0}};
    const struct passo_skill_group over[] = {{log(60), 9, 10}};
    assert_int_equal(passo_skill_settle(none, 1, &fit, &usual), PASSO_ERR_RANGE);
    assert_int_equal(passo_skill_settle(over, 1, &fit, &usual), PASSO_ERR_RANGE);
    passo_secure_fit(none, 0, &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_UNKNOWN);
    passo_secure_fit(over, 1, &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_UNKNOWN);
}

/* --- the secure tempo --- */

/* brglm2's fit of these marks stands in test_skill.c; R 4.2.2, the delta method from its
 * covariance with the gradient by five-point differences, and qnorm(0.9). */
static void marks_of_a_climb(void **unused)
{
    (void)unused;
    struct passo_secure secure;
    struct passo_skill_group marks[] = {{60, 18, 18}, {66, 19, 17}, {72, 17, 14},
                                        {78, 15, 9},  {84, 9, 4},   {90, 6, 1}};
    for (size_t i = 0; i < COUNT(marks); i++)
        marks[i].x = log(marks[i].x);
    passo_secure_fit(marks, COUNT(marks), &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_FITTED);
    assert_false(secure.usual_slope);
    near(secure.bpm, 72.14568812581373, 1e-6);
    near(secure.low_bpm, 69.57451839984417, 1e-6);
    near(secure.high_bpm, 74.81187703282527, 1e-6);
    near(secure.passes, 84, 0);
    near(passo_skill_bpm(&secure.skill, PASSO_SECURE_SHARE), secure.bpm, 1e-9);
}

static void eight_passes_are_the_least(void **unused)
{
    (void)unused;
    struct passo_secure secure;
    struct passo_skill_group marks[] = {{log(60), 4, 4}, {log(72), 3.99, 3}};
    passo_secure_fit(marks, 2, &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_UNKNOWN);
    near(secure.passes, 7.99, 1e-12);
    near(secure.bpm + secure.low_bpm + secure.high_bpm, 0, 0);
    marks[1].n = 4;
    passo_secure_fit(marks, 2, &secure);
    assert_int_not_equal(secure.kind, PASSO_SECURE_UNKNOWN);
}

static void above_and_below_what_was_played(void **unused)
{
    (void)unused;
    struct passo_secure secure;
    /* All clean over a narrow span; never played, with no pass, is a faster tempo. */
    const struct passo_skill_group clean[] = {
        {log(60), 8, 8}, {log(64), 8, 8}, {log(66), 8, 8}, {log(200), 0, 0}};
    passo_secure_fit(clean, COUNT(clean), &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_AT_LEAST);
    assert_true(secure.usual_slope);
    near(secure.bpm, 66, 1e-9);
    near(secure.high_bpm, 66, 1e-9);
    assert_true(secure.low_bpm <= secure.bpm);
    /* The fastest was missed, once: the fastest clean one is told. */
    const struct passo_skill_group once[] = {{log(60), 30, 30}, {log(64), 30, 30}, {log(66), 1, 0}};
    passo_secure_fit(once, COUNT(once), &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_AT_LEAST);
    near(secure.bpm, 64, 1e-9);
    const struct passo_skill_group missed[] = {{log(60), 8, 2}, {log(64), 8, 1}, {log(66), 8, 0}};
    passo_secure_fit(missed, COUNT(missed), &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_UNDER);
    near(secure.bpm, 60, 1e-9);
    near(secure.low_bpm, 60, 1e-9);
    /* Nothing clean over so wide a span that a usual slope would end within it. */
    const struct passo_skill_group never[] = {{log(30), 4, 0}, {log(60), 8, 0}, {log(240), 40, 0}};
    passo_secure_fit(never, COUNT(never), &secure);
    assert_int_equal(secure.kind, PASSO_SECURE_UNDER);
    near(secure.bpm, 30, 1e-9);
}

/* --- when it comes back --- */

static void days_between_grow_while_it_holds(void **unused)
{
    (void)unused;
    /* y: held, n: did not, -: not tried. */
    static const struct {
        const char *days;
        int spacing;
    } cases[] = {{"", 0},        {"-", 1},         {"n", 1},       {"y", 1},         {"yy", 1},
                 {"yyy", 2},     {"yyyy", 4},      {"yyyyy", 7},   {"yyyyyyyyy", 7}, {"y-y--y", 2},
                 {"yyy-", 2},    {"yyyyyn", 1},    {"yyyn-yy", 1}, {"nyyy", 2},      {"yynyyy", 2},
                 {"yyyyyny", 1}, {"yyyyynyyyy", 4}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        enum passo_held day[16];
        const size_t days = strlen(cases[i].days);
        for (size_t at = 0; at < days; at++)
            day[at] = cases[i].days[at] == 'y'   ? PASSO_HELD_YES
                      : cases[i].days[at] == 'n' ? PASSO_HELD_NO
                                                 : PASSO_HELD_NOT_TRIED;
        if (passo_spacing_days(day, days) != cases[i].spacing)
            fail_msg("\"%s\": %d days", cases[i].days, passo_spacing_days(day, days));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_week_halves),
        cmocka_unit_test(beetles_have_the_known_places),
        cmocka_unit_test(clear_marks_settle_on_the_fit),
        cmocka_unit_test(unclear_marks_settle_on_the_usual_slope),
        cmocka_unit_test(what_cannot_be_settled_is_refused),
        cmocka_unit_test(marks_of_a_climb),
        cmocka_unit_test(eight_passes_are_the_least),
        cmocka_unit_test(above_and_below_what_was_played),
        cmocka_unit_test(days_between_grow_while_it_holds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
