/* The outlook: Student's t against printed tables, the line against certified values, the meeting
 * place against R 4.2.2, drawn practice whose line is known, and the kinds at their edges. */
#include "engine/ladder_play.h"

#include <math.h>

#include <passo/random.h>
#include "engine/outlook_priv.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void near(double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within))
        fail_msg("%.15g is not %.15g", got, wanted);
}

/* --- Student's t --- */

/* Abramowitz & Stegun, Table 26.10, and any textbook (from memory), to the digits that they print.
 */
static void quantiles_are_the_printed_ones(void **unused)
{
    (void)unused;
    static const struct {
        double share;
        size_t freedom;
        double t;
        double printed; /* half of the last digit */
    } table[] = {
        {0.9, 1, 3.078, 5e-4},     {0.9, 2, 1.886, 5e-4},     {0.9, 3, 1.638, 5e-4},
        {0.9, 4, 1.533, 5e-4},     {0.9, 5, 1.476, 5e-4},     {0.9, 6, 1.440, 5e-4},
        {0.9, 7, 1.415, 5e-4},     {0.9, 8, 1.397, 5e-4},     {0.9, 9, 1.383, 5e-4},
        {0.9, 10, 1.372, 5e-4},    {0.9, 15, 1.341, 5e-4},    {0.9, 20, 1.325, 5e-4},
        {0.9, 30, 1.310, 5e-4},    {0.9, 40, 1.303, 5e-4},    {0.9, 60, 1.296, 5e-4},
        {0.9, 120, 1.289, 5e-4},   {0.95, 1, 6.314, 5e-4},    {0.95, 10, 1.812, 5e-4},
        {0.975, 1, 12.706, 5e-4},  {0.975, 2, 4.303, 5e-4},   {0.975, 3, 3.182, 5e-4},
        {0.975, 4, 2.776, 5e-4},   {0.975, 5, 2.571, 5e-4},   {0.975, 10, 2.228, 5e-4},
        {0.975, 30, 2.042, 5e-4},  {0.975, 120, 1.980, 5e-4}, {0.99, 5, 3.365, 5e-4},
        {0.995, 10, 3.169, 5e-4},  {0.9995, 1, 636.62, 5e-3}, {0.9995, 2, 31.599, 5e-4},
        {0.9995, 10, 4.587, 5e-4},
    };
    for (size_t i = 0; i < COUNT(table); i++)
        near(passo_student_quantile(table[i].share, table[i].freedom), table[i].t,
             table[i].printed);
}

/* R 4.2.2, qt(), which works by another road (the incomplete beta function). */
static void quantiles_are_those_of_r(void **unused)
{
    (void)unused;
    static const double ninth[] = {3.077683537175254, 1.885618083164127, 1.637744353696209,
                                   1.533206274058943, 1.475884048824480, 1.439755747265149,
                                   1.414923927650509, 1.396815309743865, 1.383028738396632,
                                   1.372183641110336, 1.363430318020541, 1.356217334023206};
    for (size_t freedom = 1; freedom <= COUNT(ninth); freedom++)
        near(passo_student_quantile(0.9, freedom), ninth[freedom - 1], 1e-13);
    near(passo_student_quantile(0.9, 30), 1.310415025391396, 1e-13);
    near(passo_student_quantile(0.9, 1000), 1.282398721460925, 1e-12);
    near(passo_student_quantile(0.975, 120), 1.979930405082422, 1e-12);
    near(passo_student_quantile(0.9995, 1), 636.619248768789703, 1e-8);
    near(passo_student_quantile(0.6, 5), 0.2671808657041452, 1e-13);
}

/* One degree of freedom: a tangent; two: a closed form; very many: the normal distribution's. */
static void quantiles_have_their_closed_forms(void **unused)
{
    (void)unused;
    const double half_turn = acos(-1);
    for (double share = 0.01; share < 0.995; share += 0.01) {
        const double one = tan(half_turn * (share - 0.5));
        near(passo_student_quantile(share, 1), one, 1e-11 * (1 + fabs(one)));
        near(passo_student_quantile(share, 2), (2 * share - 1) / sqrt(2 * share * (1 - share)),
             1e-11);
        near(passo_student_quantile(share, 7), -passo_student_quantile(1 - share, 7), 1e-11);
    }
    near(passo_student_quantile(0.5, 4), 0, 1e-15);
    near(passo_student_quantile(0.9, 100000), 1.2815515655446004, 1e-5);
}

/* --- the line --- */

/* NIST StRD, Norris: data and certified values from memory; that all digits agree shows that they
 * are right. */
static void norris_has_the_certified_line(void **unused)
{
    (void)unused;
    static const struct passo_trend_point norris[] = {
        {0.2, 0.1},     {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2},
        {226.5, 228.1}, {666.3, 668.5}, {996.3, 998.5}, {448.6, 449.1}, {777.0, 778.9},
        {558.2, 559.2}, {0.4, 0.3},     {0.6, 0.1},     {775.5, 778.1}, {666.9, 668.8},
        {338.0, 339.3}, {447.5, 448.9}, {11.6, 10.8},   {556.0, 557.7}, {228.1, 228.3},
        {995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3},     {0.3, 0.6},
        {556.8, 557.6}, {339.1, 339.3}, {887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9},
        {11.1, 10.2},   {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4}, {448.9, 449.2},
        {0.5, 0.2},
    };
    struct passo_line line;
    passo_line_fit(norris, COUNT(norris), &line);
    near(line.slope, 1.00211681802045, 1e-13);
    near(line.slope_se, 0.000429796848199937, 1e-15);
    near(line.residual_sd, 0.884796396144373, 1e-12);
    near(line.middle_y - line.slope * line.middle_day, -0.262323073774029, 1e-11);
    near(line.residual_sd *
             sqrt(1.0 / COUNT(norris) + line.middle_day * line.middle_day / line.spread),
         0.232818234301152, 1e-12);
}

/* --- the meeting place --- */

static struct passo_outlook outlook(const struct passo_trend_point *point, size_t points,
                                    double goal_bpm)
{
    struct passo_outlook found;
    passo_outlook_fit(point, points, log(goal_bpm), &found);
    return found;
}

/* Eight days of a passage; R 4.2.2: lm() and, for the interval, uniroot() on predict()'s own
 * interval of the line. */
static size_t eight_days(struct passo_trend_point point[8], double from_day)
{
    static const double days[][2] = {{0, 80}, {1, 84}, {2, 82}, {4, 86},
                                     {6, 90}, {7, 88}, {9, 93}, {12, 96}};
    for (size_t i = 0; i < COUNT(days); i++)
        point[i] = (struct passo_trend_point){from_day + days[i][0], log(days[i][1])};
    return COUNT(days);
}

static void eight_days_meet_where_r_says(void **unused)
{
    (void)unused;
    struct passo_trend_point point[8];
    size_t points = eight_days(point, 0);
    struct passo_outlook found = outlook(point, points, 112);
    assert_int_equal(found.kind, PASSO_OUTLOOK_DAYS);
    near(found.slope, 0.01455150103063152, 1e-14);
    near(found.slope_se, 0.001519271940374442, 1e-14);
    near(found.days, 10.30524501120354, 1e-9);
    near(found.low_days, 7.994895025738931, 1e-6);
    near(found.high_days, 13.40995680996813, 1e-6);
    /* Days may be counted from anywhere. */
    points = eight_days(point, 20500);
    found = outlook(point, points, 112);
    near(found.days, 10.30524501120354, 1e-7);
    near(found.high_days, 13.40995680996813, 1e-6);
}

static void kinds_have_their_edges(void **unused)
{
    (void)unused;
    struct passo_trend_point point[8];
    const size_t points = eight_days(point, 0);
    struct passo_outlook found = outlook(point, 0, 112);
    assert_int_equal(found.kind, PASSO_OUTLOOK_TOO_LITTLE);
    assert_true(isinf(found.high_days) != 0);
    assert_int_equal(outlook(point, 3, 112).kind, PASSO_OUTLOOK_TOO_LITTLE);
    assert_int_equal(outlook(point, 4, 112).kind, PASSO_OUTLOOK_TOO_LITTLE); /* over 4 days */
    assert_int_equal(outlook(point + 1, 3, 112).kind, PASSO_OUTLOOK_TOO_LITTLE);
    assert_int_not_equal(outlook(point, 5, 112).kind, PASSO_OUTLOOK_TOO_LITTLE); /* over 6 */
    const struct passo_trend_point three[] = {{0, 4.0}, {5, 4.1}, {10, 4.21}};
    assert_int_equal(outlook(three, 3, 112).kind, PASSO_OUTLOOK_TOO_LITTLE);
    /* At the goal: also as the rounding of a logarithm has it, and on the first day of all. */
    assert_int_equal(outlook(point, points, 96).kind, PASSO_OUTLOOK_THERE);
    assert_int_equal(outlook(point, points, 96 * (1 + 1e-15)).kind, PASSO_OUTLOOK_THERE);
    assert_int_equal(outlook(point, points, 96.01).kind, PASSO_OUTLOOK_DAYS);
    found = outlook(point, 1, 80);
    assert_int_equal(found.kind, PASSO_OUTLOOK_THERE);
    near(found.days + found.low_days + found.high_days, 0, 0);
    assert_int_equal(outlook(point, points, 190).kind, PASSO_OUTLOOK_DAYS);
    assert_int_equal(outlook(point, points, 300).kind, PASSO_OUTLOOK_FAR);
}

/* The slope's t against that of 90 %, one-sided: 1.638 for five days. */
static void a_trend_is_one_from_t_on(void **unused)
{
    (void)unused;
    static const double off[] = {1, -1, 0, -1, 1}; /* no line in it */
    struct passo_trend_point point[5];
    struct passo_outlook found;
    for (int rising = 0; rising < 2; rising++) {
        /* sd sqrt(4 / 3), spread of days 40: se of the slope 0.18257 */
        const double slope = (rising ? 1.64 : 1.63) * sqrt(4.0 / 3 / 40);
        for (size_t i = 0; i < COUNT(point); i++)
            point[i] =
                (struct passo_trend_point){2.0 * (double)i, slope * 2.0 * (double)i + off[i]};
        passo_outlook_fit(point, COUNT(point), 100, &found);
        near(found.slope_se, sqrt(4.0 / 3 / 40), 1e-12);
        assert_int_equal(found.kind, rising ? PASSO_OUTLOOK_FAR : PASSO_OUTLOOK_NO_TREND);
    }
    /* Falling, level, and a line without any noise. */
    for (int way = -1; way <= 1; way++) {
        for (size_t i = 0; i < COUNT(point); i++)
            point[i] = (struct passo_trend_point){2.0 * (double)i, 0.125 * way * 2.0 * (double)i};
        passo_outlook_fit(point, COUNT(point), 2, &found);
        assert_int_equal(found.kind, way > 0 ? PASSO_OUTLOOK_DAYS : PASSO_OUTLOOK_NO_TREND);
    }
    near(found.days, 8, 1e-12);
    near(found.low_days, 8, 1e-12);
    near(found.high_days, 8, 1e-12);
}

/* It rises, but so little that its square is nothing: no end can be told. */
static void a_rise_too_small_has_no_end(void **unused)
{
    (void)unused;
    struct passo_trend_point point[5];
    struct passo_outlook found;
    for (size_t i = 0; i < COUNT(point); i++)
        point[i] = (struct passo_trend_point){2.0 * (double)i, 1e-200 * (double)i};
    passo_outlook_fit(point, COUNT(point), 1e-8, &found);
    assert_int_equal(found.kind, PASSO_OUTLOOK_FAR);
    near(found.low_days, 0, 0);
    assert_true(isinf(found.high_days) != 0);
}

/* --- drawn practice --- */

static struct passo_random dice;

static double draw(double low, double high)
{
    return low + (high - low) * passo_random_unit(&dice);
}

/* Roughly normal: the sum of twelve. */
static double noise(double sd)
{
    double sum = -6;
    for (int i = 0; i < 12; i++)
        sum += passo_random_unit(&dice);
    return sum * sd;
}

/* The meeting place of drawn lines lies within four times in five. They rise clearly, so that
 * nearly all are told: of weak ones only the lucky draws would be. */
static void four_times_in_five_it_is_within(void **unused)
{
    (void)unused;
    enum { LINES = 4000, DAYS_MAX = 30 };
    struct passo_trend_point point[DAYS_MAX];
    struct passo_outlook found;
    int told = 0;
    int within = 0;
    passo_random_seed(&dice, 80);
    for (int line = 0; line < LINES; line++) {
        const size_t points = 5 + passo_random_below(&dice, DAYS_MAX - 4);
        const double slope = draw(0.01, 0.03);
        double day = 0;
        for (size_t i = 0; i < points; i++, day += 1 + passo_random_below(&dice, 3))
            point[i] = (struct passo_trend_point){day, slope * day + noise(0.02)};
        const double last = point[points - 1].day;
        const double away = draw(5, 40);
        passo_outlook_fit(point, points, slope * (last + away), &found);
        if (found.kind != PASSO_OUTLOOK_DAYS && found.kind != PASSO_OUTLOOK_FAR)
            continue;
        told++;
        within += away >= found.low_days && away <= found.high_days;
        assert_true(found.low_days <= found.days && found.days <= found.high_days);
    }
    print_message("%d of %d told, %d within\n", told, LINES, within);
    assert_in_range(told, LINES * 9 / 10, LINES);
    assert_in_range(within * 1000 / told, 770, 830);
}

static void no_days_give_what_is_no_number(void **unused)
{
    (void)unused;
    static const double scales[] = {0, 1e-320, 1e-200, 1e-9, 1, 1e9, 1e150, 1e300};
    struct passo_trend_point point[8];
    struct passo_outlook found;
    int kinds[PASSO_OUTLOOK_KIND_COUNT] = {0};
    passo_random_seed(&dice, 81);
    for (int i = 0; i < 50000; i++) {
        const size_t points = passo_random_below(&dice, COUNT(point) + 1);
        const double rise = scales[passo_random_below(&dice, COUNT(scales))];
        const double off = scales[passo_random_below(&dice, COUNT(scales))];
        const double step = passo_random_below(&dice, 9) ? draw(0.5, 4) : 1e200;
        for (size_t at = 0; at < points; at++)
            point[at] = (struct passo_trend_point){step * (double)at,
                                                   rise * (double)at + off * draw(-1, 1)};
        passo_outlook_fit(point, points, draw(0, 20) * (rise + off), &found);
        kinds[found.kind]++;
        assert_true(isfinite(found.slope) && found.slope_se >= 0);
        assert_true(found.low_days >= 0 && found.low_days <= found.days);
        assert_true(found.days <= found.high_days);
    }
    for (int kind = 0; kind < PASSO_OUTLOOK_KIND_COUNT; kind++)
        assert_true(kinds[kind] > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantiles_are_the_printed_ones),
        cmocka_unit_test(quantiles_are_those_of_r),
        cmocka_unit_test(quantiles_have_their_closed_forms),
        cmocka_unit_test(norris_has_the_certified_line),
        cmocka_unit_test(eight_days_meet_where_r_says),
        cmocka_unit_test(kinds_have_their_edges),
        cmocka_unit_test(a_trend_is_one_from_t_on),
        cmocka_unit_test(a_rise_too_small_has_no_end),
        cmocka_unit_test(four_times_in_five_it_is_within),
        cmocka_unit_test(no_days_give_what_is_no_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
