/* Rests that are offered between two items, in simulated time: after fifteen minutes of playing,
 * for a debt, for high playing; and that a key cuts them. The figures of the balance are those of
 * include/passo/balance.h; the times are worked out here by hand. */
#include "day_tools.h"

enum { SPACE = ' ', K = 'k', P = 'p' };

/* Blocks of one pass (5 s of playing, 6 s of rest), after `since_long_ms` of playing that was
 * rested for as long. The first lasts from 10 s to 25.03 s. */
static struct troupe *after_playing(int64_t since_long_ms, size_t blocks)
{
    struct troupe *troupe = troupe_new();
    for (size_t i = 0; i < blocks; i++)
        add_block(troupe, "long tones", "Long tones.", 10000, 1);
    troupe->day.offers_rest = true;
    troupe->day.balance = (struct passo_balance){.played_ms = since_long_ms,
                                                 .rested_ms = since_long_ms + 60000,
                                                 .weighted_ms = since_long_ms,
                                                 .since_long_ms = since_long_ms};
    return troupe;
}

static void five_minutes_after_fifteen(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 3);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_BEGAN, 10);
    expect_deed(troupe, &at, 0, PASSO_DOING_DONE, 25.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 325.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 340.06);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 350.06); /* all is begun anew */
    size_t said = expect_said(troupe, 0,
                              "Fifteen minutes of playing since the last long rest: five minutes "
                              "off are offered. Space goes on, l is longer.");
    assert_int_equal(troupe->band.kind[said], PASSO_SAY_NOTICE);
    expect_said(troupe, said, "Long tones. In 5 min.");
    assert_int_equal(times_said(troupe, "Fifteen minutes"), 1);
    size_t i = 0;
    while (troupe->drawn[i].rest_left_ms != 300000)
        i++;
    assert_int_equal(troupe->drawn[i].phase, PASSO_PHASE_REST);
    assert_string_equal(troupe->drawn[i].move, troupe->band.line[said]);
    assert_int_equal(troupe->result.balance.since_long_ms, 10000);
    /* before, the offered rest, 10 s before the third, and 6 s after each pass */
    assert_in_range(troupe->result.balance.rested_ms, 955000 + 300000 + 10000 + 18000 - 5,
                    955000 + 300000 + 10000 + 18000 + 5);
    troupe_free(troupe);
}

static void a_second_less_is_not_fifteen(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 6000, 2);
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 35.03);
    assert_int_equal(times_said(troupe, "Fifteen minutes"), 0);
    troupe_free(troupe);
}

/* Offered, never forced: and whoever declined is asked again after five minutes of playing. */
static void a_key_ends_the_offered_rest(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 2);
    add_block(troupe, "scales", "Scales.", 10000, 59);
    add_block(troupe, "slurs", "Slurs.", 10000, 1);
    band_add(&troupe->band, 45.03, PASSO_COMMAND_CLEAN, SPACE);
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 47.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 62.06);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 72.06); /* 5 s more are no reason */
    const double done = 72.06 + lead_s + 59 * 15;
    expect_deed(troupe, &at, 2, PASSO_DOING_DONE, done); /* 300 s are */
    expect_deed(troupe, &at, 3, PASSO_DOING_BEGAN, done + 300);
    assert_int_equal(times_said(troupe, "Fifteen minutes"), 2);
    troupe_free(troupe);
}

/* Two minutes are a long rest, even if five were offered. */
static void two_minutes_are_enough(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 2);
    band_add(&troupe->band, 25.03 + 119, PASSO_COMMAND_CLEAN, SPACE);
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 25.03 + 121);
    assert_int_equal(troupe->result.balance.since_long_ms, 5000);
    troupe_free(troupe);
}

/* The rest is for what was played: it stays, whatever comes next; a pause in it is none of it. */
static void what_is_skipped_leaves_the_rest(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 4);
    band_add(&troupe->band, 35.03, PASSO_COMMAND_SKIP, K);
    band_add(&troupe->band, 45.03, PASSO_COMMAND_PAUSE, P);
    band_add(&troupe->band, 105.03, PASSO_COMMAND_PAUSE, P);
    band_add(&troupe->band, 110.03, PASSO_COMMAND_SKIP, K);
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_SKIPPED, 35.03);
    expect_deed(troupe, &at, 2, PASSO_DOING_SKIPPED, 110.03);
    expect_deed(troupe, &at, 3, PASSO_DOING_BEGAN, 325.03 + 60);
    assert_int_equal(troupe->result.balance.since_long_ms, 5000);
    troupe_free(troupe);
}

/* Cut short, and then the next one is skipped: what comes then gets its own time only. */
static void a_rest_that_was_cut_stays_cut(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 3);
    band_add(&troupe->band, 35.03, PASSO_COMMAND_CLEAN, SPACE);
    band_add(&troupe->band, 36.03, PASSO_COMMAND_SKIP, K);
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_SKIPPED, 36.03);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 46.03);
    troupe_free(troupe);
}

/* Nor has a last rest told what comes then: there is a breath. */
static void a_breath_after_a_skipped_key(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 3);
    troupe->item[1].prepare_ms = troupe->item[2].prepare_ms = 0;
    band_add(&troupe->band, 35.03, PASSO_COMMAND_CLEAN, SPACE);
    band_add(&troupe->band, 36.03, PASSO_COMMAND_SKIP, K);
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_SKIPPED, 36.03);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 38.03);
    troupe_free(troupe);
}

/* High playing fills the fifteen minutes sooner, and that is said. */
static void fifteen_minutes_of_high_playing(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 2);
    troupe->day.balance.high_ms = 300000;
    troupe->day.balance.played_ms -= 300000;
    troupe_run(troupe, NULL);
    expect_said(troupe, 0,
                "Fifteen minutes of playing, high playing counted half as much again, since the "
                "last long rest: five minutes off are offered.");
    troupe_free(troupe);
}

/* No word of a rest that the time to read gives anyway. */
static void a_debt_that_is_paid_unasked(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(100000, 2);
    troupe->day.balance.rested_ms = 20000;
    troupe->item[1].prepare_ms = 80000;
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 25.03 + 80);
    assert_int_equal(times_said(troupe, "More was played"), 0);
    troupe_free(troupe);
}

static void a_debt_is_rested(void **state)
{
    (void)state;
    for (size_t high = 0; high < 2; high++) {
        struct troupe *troupe = after_playing(100000, 3);
        /* After the first item: 105 s weighted less 26 s rested. */
        troupe->day.balance.rested_ms = 20000;
        troupe->day.balance.high_ms = high ? 60000 : 0;
        troupe_run(troupe, NULL);
        size_t at = 2;
        expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 25.03 + 79);
        expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 119.06);
        expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 129.06); /* paid */
        expect_said(troupe, 0,
                    high ? "High or loud playing earns more rest: 1 min 19 s first. Space goes"
                         : "More was played than rested: 1 min 19 s of rest first. Space goes");
        troupe_free(troupe);
    }
}

/* Strain weighs half as much again: 20 passes of 5 s at HIGH are 150 s, 121 rested. */
static void high_playing_earns_more(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "slurs, high", "Slurs.", 10000, 20);
    add_block(troupe, "long tones", "Long tones.", 10000, 1);
    troupe->day.offers_rest = true;
    troupe->item[0].strain_permille = PASSO_STRAIN_HIGH;
    troupe_run(troupe, NULL);
    size_t at = 2;
    /* 150 s less 20 rests of 6 s; the last rest lasts until the next item's beginning or its own
     * end: all are whole. */
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 10 + lead_s + 300 + 30);
    expect_said(troupe, 0, "High or loud playing earns more rest: 30 s first.");
    troupe_free(troupe);
}

/* Breathing, or a glass of water: no playing, and no rest of any. */
static void what_is_no_playing_is_not_counted(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(15 * 60000 - 5000, 3);
    troupe->item[1].strain_permille = 0;
    troupe->day.offers_rest = false;
    troupe_run(troupe, NULL);
    assert_int_equal(troupe->result.balance.played_ms, 15 * 60000 - 5000 + 2 * 5000);
    assert_in_range(troupe->result.balance.rested_ms, 15 * 60000 + 55000 + 12000 + 20000 - 5,
                    15 * 60000 + 55000 + 12000 + 20000 + 5);
    troupe_free(troupe);
}

/* Nobody has played yet: nothing is offered before the first item, and its wait is no rest. */
static void nothing_is_offered_before_the_first(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(20 * 60000, 1);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_BEGAN, 10);
    assert_int_equal(troupe->result.balance.rested_ms, 21 * 60000 + 6000);
    troupe_free(troupe);
}

static void nothing_is_offered_unasked(void **state)
{
    (void)state;
    struct troupe *troupe = after_playing(20 * 60000, 2);
    troupe->day.offers_rest = false;
    troupe_run(troupe, NULL);
    size_t at = 2;
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 35.03);
    troupe_free(troupe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(five_minutes_after_fifteen),
        cmocka_unit_test(a_second_less_is_not_fifteen),
        cmocka_unit_test(a_key_ends_the_offered_rest),
        cmocka_unit_test(two_minutes_are_enough),
        cmocka_unit_test(what_is_skipped_leaves_the_rest),
        cmocka_unit_test(a_rest_that_was_cut_stays_cut),
        cmocka_unit_test(a_breath_after_a_skipped_key),
        cmocka_unit_test(fifteen_minutes_of_high_playing),
        cmocka_unit_test(a_debt_that_is_paid_unasked),
        cmocka_unit_test(a_debt_is_rested),
        cmocka_unit_test(high_playing_earns_more),
        cmocka_unit_test(what_is_no_playing_is_not_counted),
        cmocka_unit_test(nothing_is_offered_before_the_first),
        cmocka_unit_test(nothing_is_offered_unasked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
