/* The pages of what was really gathered from rows: a week of one player, and rows of every kind at
 * random, of which no page may break. */
#include "page_read.h"
#include "page_tools.h"
#include "report_tools.h"

static char *page_of(tools_drawing *draw, const struct passo_report *report)
{
    size_t bytes = 0;
    char *page = tools_page(draw, report, &bytes);
    const char *fault = NULL;
    char *tree = read_tree(page, &fault);
    if (fault)
        fail_msg("not nested: %.100s", fault);
    free(tree);
    return page;
}

static void assert_has(const char *page, const char *text)
{
    if (!strstr(page, text))
        fail_msg("not on the page: %s", text);
}

static void test_days_of_the_march(void **state)
{
    (void)state;
    struct passo_report *report = passo_report_begin(20261125, 0, 0);
    take_march_days(report, 20261120, 5);
    passo_report_settle(report);
    assert_int_equal(report->passages, 1);
    char *page = page_of(passo_report_page, report);
    char words[512];
    assert_has(page, "<h2><bdi>" MARCH "</bdi></h2>");
    assert_has(page, "target quarter = 132");
    assert_has(page, "bars 33-36");
    assert_has(page, "20 to 25 November 2026");
    assert_int_equal(count_of(page, "class=\"ses\""), report->passage[0]->sessions);
    /* The sentences are those of the text, with a capital. */
    passo_report_secure_words(report->passage[0], words, sizeof words);
    assert_has(page, words + 1);
    passo_report_due_words(report, report->passage[0], words, sizeof words);
    assert_has(page, words + 1);
    free(page);
    page = page_of(passo_studio_page, report);
    assert_has(page, "<span>Fri Sat Sun Mon Tue</span>");
    free(page);
    passo_report_free(report);
}

static void test_expected_but_not_practised(void **state)
{
    (void)state;
    struct passo_report *report = passo_report_begin(20261125, 20261119, 20261125);
    passo_report_expect(report, "A. M.", MARCH, PIECE);
    passo_report_expect(report, "B. T.", MARCH, PIECE);
    passo_report_settle(report);
    char *page = page_of(passo_report_page, report);
    assert_int_equal(count_of(page, "No practice is recorded in this time."), 2);
    assert_has(page, "<bdi>B. T.</bdi>");
    free(page);
    page = page_of(passo_studio_page, report);
    assert_int_equal(count_of(page, "no practice recorded"), 2);
    free(page);
    passo_report_free(report);
}

static struct passo_row random_row(uint32_t *seed, uint32_t pass, char *bars)
{
    static const char *const beats[] = {"quarter", "dotted quarter", "eighth", "5/8", "", "fish"};
    static const char *const titles[] = {MARCH, "<b>&\"'\xE2\x80\xAE", "", "\xFF\xC3"};
    struct passo_row row = march_row(20261101, pass, 100);
    snprintf(bars, 64, "%d-%d", (int)tools_draw(seed, 900) - 20, (int)tools_draw(seed, 900));
    row.passage = titles[tools_draw(seed, 4)];
    row.player = titles[tools_draw(seed, 8) ? 0 : 1];
    row.session = tools_draw(seed, 3) ? "s" : "t";
    row.part = (enum passo_part)tools_draw(seed, PASSO_PART_COUNT);
    row.extra = (enum passo_extra)(tools_draw(seed, 4) ? 0 : tools_draw(seed, PASSO_EXTRA_COUNT));
    if (row.extra)
        row.part = PASSO_PART_COUNT;
    row.bars = tools_draw(seed, 2) ? bars : "letter D";
    row.beat_unit = beats[tools_draw(seed, 8) ? 0 : tools_draw(seed, 6)];
    row.tempo_mbpm = tools_draw(seed, 9) ? 5000 + (int32_t)tools_draw(seed, 995001) : 0;
    row.target_mbpm = tools_draw(seed, 3) ? 5000 + (int32_t)tools_draw(seed, 995001) : 0;
    row.mark = (enum passo_mark)tools_draw(seed, PASSO_MARK_COUNT);
    row.miss_bar = tools_draw(seed, 3)   ? INT32_MIN
                   : tools_draw(seed, 9) ? (int32_t)tools_draw(seed, 50)
                                         : INT32_MAX - (int32_t)tools_draw(seed, 9);
    row.move = (enum passo_move)tools_draw(seed, PASSO_MOVE_COUNT);
    row.play_ns = tools_draw(seed, 5) ? (int64_t)tools_draw(seed, 100000) * 1000000 : 0;
    row.rest_ns = tools_draw(seed, 5) ? (int64_t)tools_draw(seed, 100000) * 1000000 : 0;
    int64_t day = 18000 + (int64_t)tools_draw(seed, tools_draw(seed, 4) ? 40 : 20000);
    passo_row_time(&row, (day * 86400 + tools_draw(seed, 86400)) * 1000000000, 3600);
    return row;
}

static void test_rows_at_random(void **state)
{
    (void)state;
    for (uint32_t start = 1; start <= 150; start++) {
        uint32_t seed = start;
        char bars[64];
        struct passo_report *report = passo_report_begin(20261125, 0, 0);
        for (uint32_t pass = 1; pass <= start * 2; pass++) {
            struct passo_row row = random_row(&seed, pass, bars);
            passo_report_take(report, &row);
        }
        passo_report_settle(report);
        char *page = page_of(passo_report_page, report);
        assert_null(strstr(page, "nan"));
        assert_null(strstr(page, "inf"));
        free(page);
        free(page_of(passo_studio_page, report));
        passo_report_free(report);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_days_of_the_march),
        cmocka_unit_test(test_expected_but_not_practised),
        cmocka_unit_test(test_rows_at_random),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
