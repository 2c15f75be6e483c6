/* The studio's table: one row a player and passage, in the report's order, plain words, no rank. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include "page_read.h"
#include "page_scenes.h"

static char *page_of(struct passo_report *report)
{
    size_t bytes = 0;
    char *page = tools_page(passo_studio_page, report, &bytes);
    tools_free(report);
    return page;
}

static void assert_has(const char *page, const char *text)
{
    if (!strstr(page, text))
        fail_msg("not on the page: %s", text);
}

static void test_a_row_each_in_the_order_of_the_report(void **state)
{
    (void)state;
    struct passo_report *report = scene_studio();
    size_t idle = 0;
    for (size_t i = 0; i < report->passages; i++)
        idle += !report->passage[i]->passes;
    char *page = page_of(report);
    const char *fault = NULL;
    char *tree = read_tree(page, &fault);
    assert_null(fault);
    free(tree);
    assert_has(page, "30 players");
    assert_int_equal(count_of(page, "<th scope=\"row\">"), 120);
    assert_int_equal(count_of(page, "no practice recorded"), idle);
    assert_true(idle > 5);
    const char *at = page;
    for (int i = 1; i <= 30; i++) {
        char name[32];
        snprintf(name, sizeof name, "<bdi>Player %d</bdi>", i);
        assert_int_equal(count_of(page, name), 4);
        at = strstr(at, name);
        assert_non_null(at);
    }
    free(page);
}

static struct passo_report *week(unsigned clean_of_10, unsigned sessions, int apart)
{
    struct plan plan = scene_climb;
    plan.extras = false;
    plan.clean_of_10 = clean_of_10;
    plan.sessions = sessions;
    plan.apart = apart;
    return tools_report(&plan, 1);
}

static void test_what_a_row_says(void **state)
{
    (void)state;
    char *page = page_of(week(5, 3, 1));
    assert_has(page, "<span>Mon Tue Wed</span>");
    assert_has(page, "perhaps too fast");
    assert_has(page, "% of 132");
    assert_has(page, "bar 35 (");
    free(page);
    page = page_of(week(10, 4, 3));
    assert_has(page, "4 days, at most 3 apart");
    assert_has(page, "4 of 4 days");
    assert_has(page, "<span>quarter = 132</span>");
    assert_has(page, "100 % of 132");
    assert_has(page, "100 %, perhaps too careful");
    assert_has(page, "not placed");
    free(page);
}

static void test_breaks_name_the_worst_in_the_order_of_the_music(void **state)
{
    (void)state;
    static const struct passo_report_bar bars[] = {{1, 2}, {2, 9}, {3, 1}, {4, 5}, {5, 3}, {6, 7}};
    struct passo_report *report = week(8, 3, 1);
    struct passo_report_passage *passage = report->passage[0];
    free(passage->bar);
    passage->bar = calloc(6, sizeof *bars);
    memcpy(passage->bar, bars, sizeof bars);
    passage->bars_missed = 6;
    char *page = page_of(report);
    assert_has(page, "<span>bar 2 (9), bar 4 (5), bar 6 (7)</span>");
    free(page);
}

static void test_misses_everywhere(void **state)
{
    (void)state;
    struct passo_report *report = week(8, 3, 1);
    struct passo_report_passage *passage = report->passage[0];
    free(passage->bar);
    passage->bar = calloc(6, sizeof *passage->bar);
    for (int i = 0; i < 6; i++)
        passage->bar[i] = (struct passo_report_bar){.bar = i, .misses = UINT32_MAX};
    passage->bars_missed = 6;
    char *page = page_of(report);
    assert_has(page, "<span>all over</span>");
    free(page);
}

static void test_empty(void **state)
{
    (void)state;
    char *page = page_of(scene_named("empty"));
    assert_has(page, "No practice is recorded in this time.");
    assert_int_equal(count_of(page, "<table"), 0);
    free(page);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_row_each_in_the_order_of_the_report),
        cmocka_unit_test(test_what_a_row_says),
        cmocka_unit_test(test_breaks_name_the_worst_in_the_order_of_the_music),
        cmocka_unit_test(test_misses_everywhere),
        cmocka_unit_test(test_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
