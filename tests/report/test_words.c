/* The sentences that the drawings share, each on a passage made by hand. */
#include "report_tools.h"

#include <math.h>

static void assert_secure(struct passo_secure secure, const char *wanted)
{
    char words[160];
    const struct passo_report_passage passage = {.secure = secure};
    assert_string_equal(passo_report_secure_words(&passage, words, sizeof words), wanted);
}

static void test_secure(void **state)
{
    (void)state;
    assert_secure((struct passo_secure){.kind = PASSO_SECURE_UNKNOWN},
                  "not enough passes to say where it is secure");
    assert_secure((struct passo_secure){.kind = PASSO_SECURE_FITTED,
                                        .bpm = 115.6,
                                        .low_bpm = 109.8,
                                        .high_bpm = 121.4,
                                        .passes = 20},
                  "secure at 116, most likely 110 to 121");
    assert_secure((struct passo_secure){.kind = PASSO_SECURE_FITTED,
                                        .bpm = 116,
                                        .low_bpm = 115.7,
                                        .high_bpm = 116.4,
                                        .passes = 40},
                  "secure at 116");
    assert_secure((struct passo_secure){.kind = PASSO_SECURE_FITTED,
                                        .bpm = 116,
                                        .low_bpm = 104,
                                        .high_bpm = 121,
                                        .passes = 19.9},
                  "secure at about 116, a rough guess from few passes");
    assert_secure((struct passo_secure){.kind = PASSO_SECURE_AT_LEAST, .bpm = 124},
                  "secure at 124 at least");
    assert_secure((struct passo_secure){.kind = PASSO_SECURE_UNDER, .bpm = 84},
                  "not yet secure at 84, the slowest that was played");
}

static void assert_outlook(enum passo_outlook_kind kind, double days, double low, double high,
                           const char *wanted)
{
    char words[200];
    const struct passo_report_passage passage = {
        .target_mbpm = 132000,
        .outlook = {.kind = kind, .days = days, .low_days = low, .high_days = high}};
    assert_string_equal(passo_report_outlook_words(&passage, words, sizeof words), wanted);
}

static void test_outlook(void **state)
{
    (void)state;
    assert_outlook(PASSO_OUTLOOK_DAYS, 14.2, 9.1, 27.6,
                   "About 2 weeks to the target if it goes on like this; it may be 9 days or 4 "
                   "weeks.");
    assert_outlook(PASSO_OUTLOOK_DAYS, 21, 20.6, 28,
                   "About 3 weeks to the target if it goes on like this; it may be 3 to 4 weeks.");
    assert_outlook(PASSO_OUTLOOK_DAYS, 21, 20.6, 22,
                   "About 3 weeks to the target if it goes on like this.");
    assert_outlook(PASSO_OUTLOOK_DAYS, 0.2, 0, 5.4,
                   "About 1 day to the target if it goes on like this; it may be 1 day or 5 days.");
    assert_outlook(PASSO_OUTLOOK_DAYS, 20, 9, INFINITY,
                   "About 3 weeks to the target if it goes on like this; it may be 9 days or very "
                   "long.");
    assert_outlook(PASSO_OUTLOOK_DAYS, 50, 30, 120,
                   "About 7 weeks to the target if it goes on like this; it may be 4 weeks or 4 "
                   "months.");
    assert_outlook(PASSO_OUTLOOK_TOO_LITTLE, 0, 0, INFINITY,
                   "Too few days to say when the target will come.");
    assert_outlook(PASSO_OUTLOOK_NO_TREND, 0, 0, INFINITY,
                   "It does not clearly rise at present, so no day can be told for the target.");
    assert_outlook(PASSO_OUTLOOK_THERE, 0, 0, 0, "It is secure at the target.");
    assert_outlook(PASSO_OUTLOOK_FAR, 90, 80, 100,
                   "More than 2 months to the target if it goes on like this.");
    char words[200];
    const struct passo_report_passage without = {.outlook = {.kind = PASSO_OUTLOOK_DAYS}};
    assert_string_equal(passo_report_outlook_words(&without, words, sizeof words),
                        "No target is recorded.");
}

static void test_share(void **state)
{
    (void)state;
    static const struct {
        uint32_t clean;
        uint32_t missed;
        enum passo_report_share share;
        const char *words;
    } cases[] = {
        {0, 0, PASSO_SHARE_FEW, "no pass was marked"},
        {1, 1, PASSO_SHARE_FEW, "50 % of the passes clean; too few passes to go by"},
        {18, 7, PASSO_SHARE_FINE, "72 % of the passes clean"},
        {10, 10, PASSO_SHARE_TOO_FAST,
         "50 % of the passes clean: perhaps too fast; a slower start may serve better"},
        {20, 0, PASSO_SHARE_TOO_CAREFUL,
         "100 % of the passes clean: perhaps too careful; it may go up sooner"},
        /* One miss in a thousand is not all clean, and one clean pass is not none. */
        {999, 1, PASSO_SHARE_TOO_CAREFUL,
         "99 % of the passes clean: perhaps too careful; it may go up sooner"},
        {1, 999, PASSO_SHARE_TOO_FAST,
         "1 % of the passes clean: perhaps too fast; a slower start may serve better"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char words[160];
        const struct passo_report_passage passage = {
            .clean = cases[i].clean, .missed = cases[i].missed, .share = cases[i].share};
        assert_string_equal(passo_report_share_words(&passage, words, sizeof words),
                            cases[i].words);
    }
}

/* 20 November 2026 was a Friday. */
static void test_due(void **state)
{
    (void)state;
    static const struct {
        int spacing;
        bool due;
        const char *words;
    } cases[] = {
        {1, true, "due today"},
        {1, false, "due again tomorrow"},
        {4, false, "due again on Tuesday"},
        {6, false, "due again on Thursday"},
        {7, false, "due again on Friday, 27 November"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char words[96];
        struct passo_report_day day = {.day = 20261120};
        const struct passo_report report = {.today = 20261120};
        const struct passo_report_passage passage = {
            .day = &day, .days = 1, .spacing_days = cases[i].spacing, .due = cases[i].due};
        assert_string_equal(passo_report_due_words(&report, &passage, words, sizeof words),
                            cases[i].words);
    }
    char words[96];
    const struct passo_report report = {.today = 20261120};
    const struct passo_report_passage never = {.due = true};
    assert_string_equal(passo_report_due_words(&report, &never, words, sizeof words), "due today");
}

/* No sentence runs over a small buffer. */
static void test_small_buffers(void **state)
{
    (void)state;
    char words[12] = "..........#";
    struct passo_report_day day = {.day = 20261120};
    const struct passo_report report = {.today = 20261120};
    const struct passo_report_passage passage = {.day = &day,
                                                 .days = 1,
                                                 .spacing_days = 7,
                                                 .target_mbpm = 1,
                                                 .clean = 1,
                                                 .outlook = {.kind = PASSO_OUTLOOK_DAYS}};
    passo_report_secure_words(&passage, words, 10);
    passo_report_outlook_words(&passage, words, 10);
    passo_report_share_words(&passage, words, 10);
    passo_report_due_words(&report, &passage, words, 10);
    assert_string_equal(words, "due again");
    assert_int_equal(words[10], '#');
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_secure),        cmocka_unit_test(test_outlook),
        cmocka_unit_test(test_share),         cmocka_unit_test(test_due),
        cmocka_unit_test(test_small_buffers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
