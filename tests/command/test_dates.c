/* Days as a player says them: what is read, what is not, and the clock's zone. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <time.h>
#include <cmocka.h>
#include "command/dates.h"

static const int32_t today = 20261201;

static void days_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int32_t day;
    } said[] = {{"2026-11-25", 20261125},   {"2024-02-29", 20240229}, {"today", 20261201},
                {"yesterday", 20261130},    {"0 days ago", 20261201}, {"1 days ago", 20261130},
                {"335 days ago", 20251231}, {"1678-01-01", 16780101}};
    for (size_t i = 0; i < sizeof said / sizeof said[0]; i++) {
        int32_t day = 0;
        assert_true(passo_date_read(said[i].text, today, &day, NULL));
        assert_int_equal(day, said[i].day);
    }
}

static void what_is_no_day_is_not(void **state)
{
    (void)state;
    static const char *const wrong[] = {
        "",         "2026-11-31",  "2026-02-29",       "2026-13-01",       "26-11-25",
        "2026-1-5", "2026-11-25x", "25.11.2026",       "-3 days ago",      "3 days ago x",
        "tomorrow", "0000-01-01",  "2026-11-25 18:30", "99999 days ago x", "days ago",
        "2026-11-", "1500-01-01",  "9999-01-01",       "2026-11-2 ",       "Today"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        int32_t day = 7;
        assert_false(passo_date_read(wrong[i], today, &day, NULL));
        assert_int_equal(day, 7);
    }
}

static void a_time_is_local(void **state)
{
    (void)state;
    int32_t day = 0;
    int64_t wall_ns = 0;
    setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3", 1);
    tzset();
    assert_true(passo_date_read("2026-11-25 18:30", today, &day, &wall_ns));
    /* 17:30 UTC; date -u -d "2026-11-25 17:30" +%s. */
    assert_int_equal(wall_ns / 1000000000, 1795627800);
    assert_true(passo_date_read("2026-07-01T18:30", today, &day, &wall_ns));
    assert_int_equal(wall_ns / 1000000000, 1782923400); /* 16:30 UTC in summer */
    assert_true(passo_date_read("2026-11-25", today, &day, &wall_ns));
    assert_int_equal(wall_ns / 1000000000, 1795604400); /* noon */
    assert_false(passo_date_read("2026-11-25 24:30", today, &day, &wall_ns));
    assert_false(passo_date_read("2026-11-25 18:75", today, &day, &wall_ns));
    assert_false(passo_date_read("2026-11-25 18", today, &day, &wall_ns));
}

static void days_are_said(void **state)
{
    (void)state;
    char words[40];
    assert_string_equal(passo_date_words(20261125, today, words, sizeof words), "25 November");
    assert_string_equal(passo_date_words(20250301, today, words, sizeof words), "1 March 2025");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_are_read),
        cmocka_unit_test(what_is_no_day_is_not),
        cmocka_unit_test(a_time_is_local),
        cmocka_unit_test(days_are_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
