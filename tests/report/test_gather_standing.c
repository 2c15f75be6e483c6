/* The standing of a passage as the report works it out, against the same said another way: every
 * evening from all its passes anew, each weighed by its days. */
#include "report_tools.h"

#include <math.h>

enum { MON = 20261123 };

/* Marks of one evening worked out from the beginning. */
static void anew(const struct passo_row *row, size_t rows, int32_t evening,
                 struct passo_secure *out_secure)
{
    struct passo_skill_group group[64];
    size_t groups = 0;
    for (int32_t bpm = 40; bpm < 200; bpm++) {
        struct passo_skill_group one = {.x = log((double)bpm)};
        for (size_t i = 0; i < rows; i++) {
            if (row[i].day > evening || row[i].tempo_mbpm != bpm * 1000)
                continue;
            double weight = passo_fade(passo_day_count(evening) - passo_day_count(row[i].day));
            one.n += weight;
            one.y += row[i].mark == PASSO_MARK_CLEAN ? weight : 0;
        }
        if (one.n > 0)
            group[groups++] = one;
    }
    passo_secure_fit(group, groups, out_secure);
}

static void test_every_evening(void **state)
{
    (void)state;
    static const int32_t days[] = {20261102, 20261103, 20261106, 20261114, 20261115, 20261116};
    struct passo_report *report = passo_report_begin(MON, 0, 0);
    struct passo_row row[6 * 12];
    size_t rows = 0;
    for (size_t day = 0; day < 6; day++) {
        for (uint32_t pass = 1; pass <= 12; pass++) {
            row[rows] = marked_row(days[day], pass, (int32_t)(84 + 4 * day + 2 * pass),
                                   "ccccmccmcmmm"[pass - 1]);
            passo_report_take(report, &row[rows++]);
        }
    }
    passo_report_settle(report);
    const struct passo_report_passage *passage = only_passage(report);
    for (size_t day = 0; day < 6; day++) {
        struct passo_secure secure;
        anew(row, rows, days[day], &secure);
        assert_int_equal(passage->day[day].secure.kind, secure.kind);
        assert_int_equal(secure.kind, PASSO_SECURE_FITTED);
        assert_true(fabs(passage->day[day].secure.bpm - secure.bpm) < 1e-6);
        assert_true(fabs(passage->day[day].secure.low_bpm - secure.low_bpm) < 1e-6);
        assert_true(fabs(passage->day[day].secure.passes - secure.passes) < 1e-6);
    }
    assert_true(passage->secure.bpm == passage->day[5].secure.bpm);
    passo_report_free(report);
}

/* With more tempi than are kept apart, near ones go together: that moves the secure tempo by less
 * than it is rounded. */
static void test_many_tempi(void **state)
{
    (void)state;
    enum { TEMPI = 400 };
    static struct passo_skill_group group[TEMPI];
    struct passo_report *report = passo_report_begin(MON, 0, 0);
    struct passo_secure secure;
    for (uint32_t i = 0; i < TEMPI; i++) {
        struct passo_row row = marked_row(MON, i + 1, 0, i % 40 < i / 10 ? 'm' : 'c');
        row.tempo_mbpm = 80000 + 100 * (int32_t)i;
        passo_report_take(report, &row);
        group[i] = (struct passo_skill_group){
            .x = log(80 + 0.1 * i), .n = 1, .y = row.mark == PASSO_MARK_CLEAN};
    }
    passo_report_settle(report);
    passo_secure_fit(group, TEMPI, &secure);
    assert_int_equal(only_passage(report)->secure.kind, PASSO_SECURE_FITTED);
    assert_true(fabs(only_passage(report)->secure.bpm - secure.bpm) < 0.5);
    assert_true(fabs(only_passage(report)->secure.passes - TEMPI) < 1e-9);
    passo_report_free(report);
}

/* Four more beats a minute every day: at 132 so many days later as a line through the evenings'
 * logarithms says. */
static void test_outlook_is_a_line_through_the_evenings(void **state)
{
    (void)state;
    struct passo_report *report = passo_report_begin(20261108, 0, 0);
    struct passo_trend_point point[8];
    struct passo_outlook outlook;
    take_march_days(report, 20261101, 8);
    passo_report_settle(report);
    const struct passo_report_passage *passage = only_passage(report);
    for (size_t i = 0; i < 8; i++) {
        assert_int_equal(passage->day[i].secure.kind, PASSO_SECURE_FITTED);
        point[i].day = (double)i;
        point[i].y = log(passage->day[i].secure.bpm);
    }
    passo_outlook_fit(point, 8, log(132), &outlook);
    assert_int_equal(outlook.kind, PASSO_OUTLOOK_DAYS);
    assert_int_equal(passage->outlook.kind, PASSO_OUTLOOK_DAYS);
    assert_true(fabs(passage->outlook.days - outlook.days) < 1e-6);
    passo_report_free(report);
}

static void test_long_ago_is_not_looked_at(void **state)
{
    (void)state;
    struct passo_report *old = passo_report_begin(20261108, 0, 0);
    struct passo_report *fresh = passo_report_begin(20261108, 0, 0);
    take_march_days(old, 20260301, 3);
    take_march_days(old, 20261101, 8);
    take_march_days(fresh, 20261101, 8);
    passo_report_settle(old);
    passo_report_settle(fresh);
    assert_true(fabs(only_passage(old)->outlook.days - only_passage(fresh)->outlook.days) < 1e-3);
    passo_report_free(old);
    passo_report_free(fresh);
}

static void test_there_above_all_that_was_played(void **state)
{
    (void)state;
    struct passo_report *report = passo_report_begin(MON, 0, 0);
    uint32_t pass = 0;
    take_marks(report, MON, 132, "cccccccccccccccccccc", &pass);
    passo_report_settle(report);
    assert_int_equal(only_passage(report)->secure.kind, PASSO_SECURE_AT_LEAST);
    assert_int_equal(only_passage(report)->outlook.kind, PASSO_OUTLOOK_THERE);
    passo_report_free(report);
}

/* Three days held: after 2 days again (the spacing of trade.md (e) 6). */
static void test_due(void **state)
{
    (void)state;
    for (int32_t later = 0; later < 4; later++) {
        struct passo_report *report = passo_report_begin(MON + 2 + later, 0, 0);
        char words[96];
        for (int32_t day = MON; day < MON + 3; day++) {
            struct passo_row row = march_row(day, 1, 132);
            passo_report_take(report, &row);
        }
        passo_report_settle(report);
        const struct passo_report_passage *passage = only_passage(report);
        assert_int_equal(passage->spacing_days, 2);
        assert_int_equal(passage->due, later >= 2);
        /* 23 November 2026 is a Monday, so that it is due on Friday. */
        static const char *const said[] = {"due again on Friday", "due again tomorrow", "due today",
                                           "due today"};
        assert_string_equal(passo_report_due_words(report, passage, words, sizeof words),
                            said[later]);
        passo_report_free(report);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_evening),
        cmocka_unit_test(test_many_tempi),
        cmocka_unit_test(test_outlook_is_a_line_through_the_evenings),
        cmocka_unit_test(test_long_ago_is_not_looked_at),
        cmocka_unit_test(test_there_above_all_that_was_played),
        cmocka_unit_test(test_due),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
