/* The fit against published coefficients, exact closed forms and what an independent program (R
 * 4.2.2's glm, and brglm2 0.9 for Firth's penalty) gave for the same data. */
#include "engine/ladder_play.h"

#include <math.h>

#include <passo/skill.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.12g is not %.12g", got, wanted);
}

static struct passo_skill_fit fit(const struct passo_skill_group *group, size_t groups,
                                  bool penalized)
{
    struct passo_skill_fit fit;
    assert_int_equal(passo_skill_fit(group, groups, penalized, &fit), PASSO_OK);
    assert_true(fit.converged);
    return fit;
}

static void refused(const struct passo_skill_group *group, size_t groups, bool penalized)
{
    struct passo_skill_fit fit;
    assert_int_equal(passo_skill_fit(group, groups, penalized, &fit), PASSO_ERR_RANGE);
}

/* Bliss (1935), Ann. Appl. Biol. 22, as in Dobson & Barnett, Table 7.2: log10 of a dose, beetles,
 * killed. Copies with a wrong first cell are about: the sums are the guard. */
static const struct passo_skill_group beetles[] = {
    {1.6907, 59, 6},  {1.7242, 60, 13}, {1.7552, 62, 18}, {1.7842, 56, 28},
    {1.8113, 63, 52}, {1.8369, 59, 53}, {1.8610, 62, 61}, {1.8839, 60, 60},
};

static void beetle_data_are_the_published_ones(void **unused)
{
    (void)unused;
    double n = 0;
    double y = 0;
    for (size_t i = 0; i < COUNT(beetles); i++) {
        n += beetles[i].n;
        y += beetles[i].y;
    }
    near(n, 481, 0);
    near(y, 291, 0);
}

/* Printed in Dobson & Barnett (from memory; R's glm prints the same and more digits): -60.717
 * (5.181), 34.270 (2.912), covariance 26.840 -15.082 8.481, D = 11.23, l = -186.235. */
static void beetles_have_the_published_fit(void **unused)
{
    (void)unused;
    struct passo_skill_fit got = fit(beetles, COUNT(beetles), false);
    near(got.skill.intercept, -60.717, 0.0005);
    near(got.skill.slope, 34.270, 0.0005);
    near(got.intercept_se, 5.181, 0.0005);
    near(got.slope_se, 2.912, 0.0005);
    near(got.intercept_se * got.intercept_se, 26.840, 0.0005);
    near(got.slope_se * got.slope_se, 8.481, 0.0005);
    near(got.covariance, -15.082, 0.0005);
    near(got.deviance, 11.23, 0.005);
    near(got.log_likelihood, -186.235, 0.0005);
    /* R 4.2.2: glm(cbind(y, n - y) ~ x, family = binomial), epsilon 1e-14. */
    near(got.skill.intercept, -60.7174545616354, 1e-9);
    near(got.skill.slope, 34.2703257341470, 1e-9);
    near(got.intercept_se * got.intercept_se, 26.8397712661669, 1e-7);
    near(got.slope_se * got.slope_se, 8.48055979093099, 1e-7);
    near(got.covariance, -15.0821510061395, 1e-7);
    near(got.deviance, 11.2322310974193, 1e-10);
    near(got.log_likelihood, -186.235403271768, 1e-9);
    /* Five iterates are published (Dobson); they are within 2e-6 of the end. */
    assert_in_range(got.iterations, 5, 9);
}

/* brglm2 0.9, brglmFit of type AS_mean, which is Firth's penalty. */
static void beetles_with_the_penalty(void **unused)
{
    (void)unused;
    struct passo_skill_fit got = fit(beetles, COUNT(beetles), true);
    near(got.skill.intercept, -60.1137713236178, 1e-7);
    near(got.skill.slope, 33.9301304511431, 1e-7);
    near(got.intercept_se, 5.13114171941684, 1e-7);
    near(got.slope_se, 2.88411866346515, 1e-7);
}

/* One tempo: ln((y + 1/2) / (n - y + 1/2)), Firth (1993); without the penalty ln(y / (n - y)). */
static void one_tempo_adds_half_a_pass_to_each(void **unused)
{
    (void)unused;
    const double passes[][3] = {{5, 5, 2.397895273}, {7, 0, -2.708050201}, {10, 3, -0.762140052}};
    for (size_t i = 0; i < COUNT(passes); i++) {
        const struct passo_skill_group group = {4.25, passes[i][0], passes[i][1]};
        struct passo_skill_fit got = fit(&group, 1, true);
        near(got.skill.intercept, passes[i][2], 1e-9);
        near(got.skill.slope, 0, 0);
        near(got.slope_se, 0, 0);
    }
    const struct passo_skill_group group = {4.25, 10, 3};
    struct passo_skill_fit got = fit(&group, 1, false);
    near(got.skill.intercept, log(3.0 / 7.0), 1e-12);
    near(got.intercept_se, sqrt(1.0 / 3 + 1.0 / 7), 1e-12);
    near(got.deviance, 0, 1e-12);
    near(got.log_likelihood, 3 * log(0.3) + 7 * log(0.7), 1e-12);
}

/* Two tempos: half a pass more in each of the four cells. */
static void two_tempos_add_half_a_pass_to_each(void **unused)
{
    (void)unused;
    const struct passo_skill_group group[] = {{0, 8, 8}, {1, 10, 5}};
    struct passo_skill_fit got = fit(group, 2, true);
    near(got.skill.intercept, 2.833213344, 1e-9);
    near(got.skill.slope, -2.833213344, 1e-9);
    refused(group, 2, false);
}

/* All clean at five tempos: ln 16 in the middle and no slope; apart at 0 0 1 1: the middle is 1.5
 * by symmetry. The coefficients are brglm2's as well. */
static void clean_or_apart_stays_finite_with_the_penalty(void **unused)
{
    (void)unused;
    const struct passo_skill_group clean[] = {
        {60, 3, 3}, {70, 3, 3}, {80, 3, 3}, {90, 3, 3}, {100, 3, 3}};
    struct passo_skill_fit got = fit(clean, COUNT(clean), true);
    near(got.skill.intercept + 80 * got.skill.slope, log(16), 1e-9);
    near(got.skill.slope, 0, 1e-10);
    near(got.slope_se, 0.0775940289798986, 1e-8);
    const struct passo_skill_group apart[] = {{0, 1, 0}, {1, 1, 0}, {2, 1, 1}, {3, 1, 1}};
    got = fit(apart, COUNT(apart), true);
    near(got.skill.intercept, -1.96485444830498, 1e-7);
    near(got.skill.slope, 1.30990296553665, 1e-7);
    near(-got.skill.intercept / got.skill.slope, 1.5, 1e-9);
    refused(clean, COUNT(clean), false);
    refused(apart, COUNT(apart), false);
}

/* Marks of a climb, x the logarithm of the tempo; R 4.2.2 (glm) and brglm2 0.9. */
static void marks_of_a_climb(void **unused)
{
    (void)unused;
    struct passo_skill_group marks[] = {{60, 18, 18}, {66, 19, 17}, {72, 17, 14},
                                        {78, 15, 9},  {84, 9, 4},   {90, 6, 1}};
    for (size_t i = 0; i < COUNT(marks); i++)
        marks[i].x = log(marks[i].x);
    struct passo_skill_fit got = fit(marks, COUNT(marks), false);
    near(got.skill.intercept, 55.6477258662625, 1e-8);
    near(got.skill.slope, -12.6664365286637, 1e-8);
    near(got.intercept_se, 13.35676578219319, 1e-6);
    near(got.slope_se, 3.07916884977989, 1e-6);
    near(got.covariance, -41.1171324215825, 1e-5);
    near(got.deviance, 1.33635350212368, 1e-10);
    got = fit(marks, COUNT(marks), true);
    near(got.skill.intercept, 52.5467425613033, 1e-6);
    near(got.skill.slope, -11.9570424228225, 1e-6);
    near(got.intercept_se, 12.77384242350545, 1e-5);
    near(got.slope_se, 2.94694359855064, 1e-5);
}

/* The curve through two points goes through them; shares of a pass count as passes do. */
static void two_points_are_met(void **unused)
{
    (void)unused;
    const struct passo_skill_group group[] = {{log(72), 1, 0.85}, {log(96), 1, 0.4}};
    struct passo_skill_fit got = fit(group, 2, false);
    near(passo_skill_clean(&got.skill, 72000), 0.85, 1e-12);
    near(passo_skill_clean(&got.skill, 96000), 0.4, 1e-12);
    near(passo_skill_bpm(&got.skill, 0.85), 72, 1e-9);
    near(passo_skill_bpm(&got.skill, 0.4), 96, 1e-9);
    assert_true(got.skill.slope < 0);
    near(passo_skill_bpm(&(struct passo_skill){1, 0}, 0.5), 0, 0);
    near(passo_skill_clean(&(struct passo_skill){log(4), 0}, 5000), 0.8, 1e-15);
}

/* Far from 0 and very few passes against very many: the fit does not care where x begins. */
static void it_does_not_care_where_x_begins(void **unused)
{
    (void)unused;
    struct passo_skill_group far[COUNT(beetles)];
    struct passo_skill_fit here = fit(beetles, COUNT(beetles), true);
    for (size_t i = 0; i < COUNT(beetles); i++)
        far[i] = (struct passo_skill_group){beetles[i].x * 0.01 + 1000, beetles[i].n, beetles[i].y};
    struct passo_skill_fit there = fit(far, COUNT(far), true);
    near(there.skill.slope, here.skill.slope * 100, 1e-6);
    near(there.deviance, here.deviance, 1e-8); /* x itself is rounded there */
    const struct passo_skill_group wide[] = {{4.0, 2e6, 1999999}, {4.2, 1, 0}, {4.6, 3, 1}};
    struct passo_skill_fit got = fit(wide, COUNT(wide), false);
    double clean = 0;
    for (size_t i = 0; i < COUNT(wide); i++)
        clean += wide[i].n / (1 + exp(-got.skill.intercept - got.skill.slope * wide[i].x));
    near(clean, 2000000, 1e-6); /* the fitted cleans are as many as the clean passes */
}

static void what_cannot_be_fitted_is_refused(void **unused)
{
    (void)unused;
    const struct passo_skill_group over[] = {{4, 3, 4}};
    const struct passo_skill_group under[] = {{4, 3, -1}};
    const struct passo_skill_group empty[] = {{4, 0, 0}, {5, 0, 0}};
    const struct passo_skill_group nowhere[] = {{NAN, 3, 1}};
    const struct passo_skill_group all[] = {{4, 3, 3}};
    const struct passo_skill_group touching[] = {{4, 3, 3}, {5, 3, 1}, {6, 3, 0}};
    refused(over, 1, true);
    refused(under, 1, true);
    refused(empty, 2, true);
    refused(nowhere, 1, true);
    refused(NULL, 0, true);
    refused(all, 1, false);
    refused(touching, 3, false); /* apart but for one tempo: still no maximum */
    fit(touching, 3, true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(beetle_data_are_the_published_ones),
        cmocka_unit_test(beetles_have_the_published_fit),
        cmocka_unit_test(beetles_with_the_penalty),
        cmocka_unit_test(one_tempo_adds_half_a_pass_to_each),
        cmocka_unit_test(two_tempos_add_half_a_pass_to_each),
        cmocka_unit_test(clean_or_apart_stays_finite_with_the_penalty),
        cmocka_unit_test(marks_of_a_climb),
        cmocka_unit_test(two_points_are_met),
        cmocka_unit_test(it_does_not_care_where_x_begins),
        cmocka_unit_test(what_cannot_be_fitted_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
