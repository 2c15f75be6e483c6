/* What the pages are made of: days and times in words, lengths without a locale, and the staff. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include "page_tools.h"
#include "report/page_staff.h"
#include "report/page_words.h"

static void test_days(void **state)
{
    (void)state;
    char out[64];
    assert_string_equal(words_day(20261124, DAY_SHORT, out, sizeof out), "24 Nov");
    assert_string_equal(words_day(20261124, DAY_WEEK, out, sizeof out), "Tue 24 Nov");
    assert_string_equal(words_day(20261124, DAY_LONG, out, sizeof out), "24 November 2026");
    assert_string_equal(words_day(20261124, DAY_VOICE, out, sizeof out),
                        "Tuesday 24 November 2026");
    assert_string_equal(words_day(20260501, DAY_MONTH, out, sizeof out), "May");
    assert_string_equal(words_day(20270101, DAY_MONTH, out, sizeof out), "2027");
    /* Thursday, the first day of the Unix count, and the day before. */
    assert_string_equal(words_weekday(19700101), "Thu");
    assert_string_equal(words_weekday(19691231), "Wed");
}

static void test_clock(void **state)
{
    (void)state;
    char out[16];
    assert_string_equal(words_clock(0, 3600, out, sizeof out), "1:00");
    assert_string_equal(words_clock(INT64_C(-1), 0, out, sizeof out), "23:59");
    assert_string_equal(words_clock(INT64_C(86399999999999), -60, out, sizeof out), "23:58");
}

static void test_times(void **state)
{
    (void)state;
    char out[32];
    assert_string_equal(words_time(0, out, sizeof out), "no time");
    assert_string_equal(words_time(29 * INT64_C(1000000000), out, sizeof out), "under a minute");
    assert_string_equal(words_time(MINUTE_NS * 3 / 2, out, sizeof out), "2 min");
    assert_string_equal(words_time(60 * MINUTE_NS, out, sizeof out), "1 h");
    assert_string_equal(words_time(112 * MINUTE_NS, out, sizeof out), "1 h 52 min");
}

static void test_periods(void **state)
{
    (void)state;
    char out[64];
    struct passo_report report = {.today = 20261125};
    assert_string_equal(words_period(&report, out, sizeof out), "25 November 2026");
    report.from_day = 20261101;
    assert_string_equal(words_period(&report, out, sizeof out), "1 to 25 November 2026");
    report.to_day = 20261101;
    assert_string_equal(words_period(&report, out, sizeof out), "1 November 2026");
    report.to_day = 20261203;
    assert_string_equal(words_period(&report, out, sizeof out), "1 November to 3 December 2026");
    report.to_day = 20270103;
    assert_string_equal(words_period(&report, out, sizeof out),
                        "1 November 2026 to 3 January 2027");
}

static void test_sentences(void **state)
{
    (void)state;
    char out[64] = "";
    words_sentence(out, sizeof out, "secure at 116");
    words_sentence(out, sizeof out, "");
    words_sentence(out, sizeof out, "No target is recorded.");
    assert_string_equal(out, "Secure at 116. No target is recorded.");
    char small[8] = "";
    words_sentence(small, sizeof small, "secure at 116");
    assert_string_equal(small, "Secure ");
}

static void test_lengths(void **state)
{
    (void)state;
    assert_string_equal(px(12).text, "12");
    assert_string_equal(px(3.46).text, "3.5");
    assert_string_equal(px(-0.04).text, "0");
    assert_string_equal(px(-0.3).text, "-0.3");
    assert_string_equal(px(NAN).text, "0");
    assert_string_equal(px(INFINITY).text, "0");
    assert_string_equal(px(1e30).text, "100000");
}

static void cut(const char *text, size_t most, const char *expected)
{
    char *out = NULL;
    size_t bytes = 0;
    struct page page = {.to = open_memstream(&out, &bytes)};
    page_text(&page, text, most);
    fclose(page.to);
    assert_string_equal(out, expected);
    free(out);
}

static void test_texts_are_cut_at_characters(void **state)
{
    (void)state;
    cut("Übung", 5, "Übung");
    cut("Übungen", 5, "Übun…");
    cut("üüüüüü", 3, "üü…");
    cut("a<b>&\"'", 9, "a&lt;b&gt;&amp;&quot;&#39;");
    cut("<<<<<<", 3, "&lt;&lt;…");
    cut("\xEF\xBF\xBE\xF0\x9F\xBF\xBF", 3, "??"); /* no characters, as HTML has it */
    cut("\xF0\x9F\x8E\xBA\xF0\x9F\x8E\xBA\xF0\x9F\x8E\xBA", 2, "\xF0\x9F\x8E\xBA…");
}

/* All tempi lie on the staff, and the target on a line. */
static void test_staff_holds_all(void **state)
{
    (void)state;
    uint32_t seed = 3;
    for (int i = 0; i < 20000; i++) {
        int32_t a = 5000 + (int32_t)tools_draw(&seed, i % 2 ? 300000 : 995001);
        int32_t b = 5000 + (int32_t)tools_draw(&seed, i % 2 ? 300000 : 995001);
        int32_t target = i % 3 ? (a + b) / 2 : 0;
        struct staff staff = staff_over(a < b ? a : b, a < b ? b : a, target, 10, 20);
        for (int k = 0; k < 2; k++) {
            double y = staff_y(&staff, (k ? a : b) / 1000.0);
            assert_true(y >= 10 - 1e-6 && y <= 90 + 1e-6);
        }
        if (target && staff.low_mbpm > 0)
            assert_int_equal((target - staff.low_mbpm) % staff.step_mbpm, 0);
        assert_true(staff.low_mbpm >= 0);
    }
    struct staff usual = staff_over(84000, 132000, 132000, 0, 10);
    assert_int_equal(usual.low_mbpm, 84000);
    assert_int_equal(usual.step_mbpm, 12000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_days),
        cmocka_unit_test(test_clock),
        cmocka_unit_test(test_times),
        cmocka_unit_test(test_periods),
        cmocka_unit_test(test_sentences),
        cmocka_unit_test(test_lengths),
        cmocka_unit_test(test_texts_are_cut_at_characters),
        cmocka_unit_test(test_staff_holds_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
