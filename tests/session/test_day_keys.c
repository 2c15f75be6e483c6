/* Keys between two items, in simulated time: sooner, longer, pause, leave out, put off, leave; and
 * what is told of each item then. All times are worked out here by hand. */
#include "day_tools.h"

enum { SPACE = ' ', K = 'k', L = 'l', O = 'o', P = 'p', Q = 'q', S = 's', PLUS = '+' };

static void sooner_and_longer(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    troupe->day.asks = true; /* in simulated time nobody is asked */
    band_add(&troupe->band, 3, PASSO_COMMAND_CLEAN, SPACE);
    band_add(&troupe->band, 21.03, PASSO_COMMAND_LONGER, L);
    band_add(&troupe->band, 22.03, PASSO_COMMAND_LONGER, L);
    /* In the last two seconds a key changes nothing. */
    band_add(&troupe->band, 94.06, PASSO_COMMAND_SOONER, S);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_BEGAN, 5); /* a breath */
    expect_deed(troupe, &at, 0, PASSO_DOING_DONE, 20.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 60.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 75.06);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 95.06);
    troupe_free(troupe);
}

static void a_pause_stops_the_clock(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 5, PASSO_COMMAND_PAUSE, P);
    band_add(&troupe->band, 65, PASSO_COMMAND_PAUSE, P); /* 15 s were left */
    band_add(&troupe->band, 115, PASSO_COMMAND_PAUSE, P);
    band_add(&troupe->band, 200, PASSO_COMMAND_CLEAN, SPACE);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_BEGAN, 80);
    expect_deed(troupe, &at, 0, PASSO_DOING_DONE, 95.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 202); /* 30 ms were left, so a breath */
    assert_int_equal(times_said(troupe, "Paused. p goes on."), 2);
    troupe_free(troupe);
}

/* What comes may change while the clock stands still. */
static void skipping_in_a_pause(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 5, PASSO_COMMAND_PAUSE, P);
    band_add(&troupe->band, 50, PASSO_COMMAND_SKIP, K);
    band_add(&troupe->band, 60, PASSO_COMMAND_LONGER, L);
    band_add(&troupe->band, 70, PASSO_COMMAND_PAUSE, P);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_SKIPPED, 50);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 70 + 20 + 10);
    troupe_free(troupe);
}

/* With marks from a script nobody is there to go on. */
static void a_pause_with_marks_goes_on(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 5, PASSO_COMMAND_PAUSE, P);
    troupe_run(troupe, "c");
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_BEGAN, 20);
    assert_int_equal(times_said(troupe, "Paused."), 1);
    troupe_free(troupe);
}

static void skipping(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    troupe->item[2].prepare_ms = 0;
    band_add(&troupe->band, 5, PASSO_COMMAND_SKIP, K);
    band_add(&troupe->band, 31, PASSO_COMMAND_SKIP, K); /* in its second bar */
    troupe_run(troupe, NULL);
    size_t at = 0;
    assert_false(expect_deed(troupe, &at, 0, PASSO_DOING_SKIPPED, 5)->played);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 25);
    assert_true(expect_deed(troupe, &at, 1, PASSO_DOING_SKIPPED, 31)->played);
    /* What comes was not told in a last rest: it is now, with a breath. */
    expect_said(troupe, 0, "Scales. In 2 s.");
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 33);
    expect_deed(troupe, &at, 2, PASSO_DOING_DONE, 48.03);
    assert_int_equal(at, troupe->deeds);
    assert_true(troupe->result.finished);
    assert_int_equal(troupe->result.done, 1);
    assert_int_equal(troupe->result.skipped, 2);
    assert_int_equal(troupe->drawn[troupe->draws - 1].state[1], PASSO_DAY_SKIPPED);
    assert_int_equal(troupe->drawn[troupe->draws - 1].done_ms, 45000); /* all is behind */
    expect_said(troupe, 0, "Left out: long tones.");
    assert_non_null(strstr(troupe->result.words, "; 1 block, 2 left out."));
    troupe_free(troupe);
}

static void putting_off(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 5, PASSO_COMMAND_PUT_OFF, O);
    band_add(&troupe->band, 31, PASSO_COMMAND_PUT_OFF, O); /* in the second item */
    /* Third item: 51 to 66.03; then the first comes again, for the last time. */
    band_add(&troupe->band, 70.03, PASSO_COMMAND_PUT_OFF, O);
    troupe_run(troupe, NULL);
    size_t at = 0;
    assert_false(expect_deed(troupe, &at, 0, PASSO_DOING_PUT_OFF, 5)->played);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 25);
    assert_true(expect_deed(troupe, &at, 1, PASSO_DOING_PUT_OFF, 31)->played);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 51);
    expect_deed(troupe, &at, 2, PASSO_DOING_DONE, 66.03);
    expect_deed(troupe, &at, 0, PASSO_DOING_SKIPPED, 70.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 90.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 105.06);
    assert_int_equal(at, troupe->deeds);
    assert_true(troupe->result.finished);
    assert_int_equal(troupe->result.skipped, 1);
    expect_said(troupe, 0, "Put off to the end: slurs.");
    expect_said(troupe, 0, "Put off twice, so left out today: long tones.");
    troupe_free(troupe);
}

/* The last item can be put off only into its own place. */
static void putting_off_the_last(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "long tones", "Long tones.", 20000, 1);
    band_add(&troupe->band, 5, PASSO_COMMAND_PUT_OFF, O);
    band_add(&troupe->band, 9, PASSO_COMMAND_PUT_OFF, O);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_PUT_OFF, 5);
    expect_deed(troupe, &at, 0, PASSO_DOING_SKIPPED, 9);
    assert_int_equal(at, troupe->deeds);
    assert_true(troupe->result.finished);
    troupe_free(troupe);
}

/* A foot that rests on the pedal after the last mark, and a key that repeats. */
static void a_key_that_is_down_is_no_key(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    for (int i = 0; i < 40; i++)
        band_add(&troupe->band, 35.2 + 0.05 * i, PASSO_COMMAND_CLEAN, SPACE);
    band_add(&troupe->band, 39, PASSO_COMMAND_SKIP, K);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_BEGAN, 20);
    expect_deed(troupe, &at, 0, PASSO_DOING_DONE, 35.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_SKIPPED, 39);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 59);
    troupe_free(troupe);
}

/* Another key counts while one is down; and the same one, once it was quiet. */
static void keys_are_told_apart(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 2, PASSO_COMMAND_SKIP, K);
    band_add(&troupe->band, 2.6, PASSO_COMMAND_SKIP, K);
    band_add(&troupe->band, 2.8, PASSO_COMMAND_SOONER, S);
    band_add(&troupe->band, 20.5, PASSO_COMMAND_SKIP, K);
    band_add(&troupe->band, 21.25, PASSO_COMMAND_SKIP, K);
    troupe_run(troupe, NULL);
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_SKIPPED, 2);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 4.8);
    expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 19.83);
    expect_deed(troupe, &at, 2, PASSO_DOING_SKIPPED, 21.25);
    troupe_free(troupe);
}

/* In a block the key of the next turn goes on to the next item. */
static void the_next_key_by_hand(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    troupe->item[1].prepare_ms = 0;
    band_add(&troupe->band, 27, PASSO_COMMAND_TURN, 'n');
    band_add(&troupe->band, 60, PASSO_COMMAND_TURN, 'n'); /* between two: what comes, sooner */
    troupe_run(troupe, NULL);
    size_t at = 1;
    expect_deed(troupe, &at, 0, PASSO_DOING_DONE, 27);
    expect_said(troupe, 0, "Slurs. In 2 s."); /* no last rest has told it */
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 29);
    expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 44.03);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 62);
    troupe_free(troupe);
}

static void leaving_between(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    troupe->item[0].ms = 12 * 60000;
    troupe->item[1].ms = troupe->item[2].ms = 14 * 60000;
    band_add(&troupe->band, 40, PASSO_COMMAND_QUIT, Q);
    troupe_run(troupe, NULL);
    assert_int_equal(troupe->deeds, 2); /* nothing is told of what had not begun */
    assert_false(troupe->result.finished || troupe->result.cut_short);
    assert_int_equal(troupe->result.done, 1);
    assert_int_equal(troupe->result.left, 2);
    assert_string_equal(troupe->result.words,
                        "Stopped after 12 of 40 minutes; passo today goes on where you left.");
    troupe_free(troupe);
    /* Where nothing is kept, nothing is promised. */
    troupe = three_blocks();
    troupe->day.goes_on = false;
    band_add(&troupe->band, 40, PASSO_COMMAND_QUIT, Q);
    troupe_run(troupe, NULL);
    assert_null(strstr(troupe->result.words, "goes on"));
    troupe_free(troupe);
}

static void leaving_within_and_going_on(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 5, PASSO_COMMAND_SKIP, K);
    band_add(&troupe->band, 34, PASSO_COMMAND_QUIT, Q);
    troupe_run(troupe, ""); /* marks that ran out say nothing of a block */
    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_SKIPPED, 5);
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 25);
    assert_true(expect_deed(troupe, &at, 1, PASSO_DOING_STOPPED, 34)->played);
    assert_int_equal(at, troupe->deeds);
    assert_int_equal(troupe->result.left, 2);
    assert_non_null(strstr(troupe->result.words, "passo today goes on where you left."));
    struct passo_balance balance = troupe->result.balance;
    troupe_free(troupe);

    troupe = three_blocks();
    troupe->item[0].over = troupe->item[0].skipped = true;
    troupe->item[1].over = true;
    troupe->day.balance = balance;
    troupe_run(troupe, NULL);
    at = 0;
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 20);
    expect_deed(troupe, &at, 2, PASSO_DOING_DONE, 35.03);
    assert_int_equal(at, troupe->deeds);
    assert_true(troupe->result.finished);
    assert_int_equal(troupe->result.done, 2);
    assert_int_equal(troupe->result.skipped, 1);
    assert_int_equal(troupe->result.balance.played_ms, balance.played_ms + 5000);
    assert_int_equal(troupe->drawn[0].done_ms, 30000);
    assert_int_equal(troupe->drawn[0].state[0], PASSO_DAY_SKIPPED);
    assert_int_equal(troupe->drawn[0].state[1], PASSO_DAY_DONE);
    expect_said(troupe, 0, "1. long tones \u00b7 0:15, left out");
    expect_said(troupe, 0, "2. slurs \u00b7 0:15, done");
    troupe_free(troupe);
}

/* What is left in its last rest is done, and the last of a day finishes it. */
static void leaving_in_the_last_rest(void **state)
{
    (void)state;
    for (size_t items = 1; items < 3; items++) {
        struct troupe *troupe = troupe_new();
        for (size_t i = 0; i < items; i++)
            add_block(troupe, "long tones", "Long tones.", 20000, 1);
        band_add(&troupe->band, 32, PASSO_COMMAND_QUIT, Q);
        troupe_run(troupe, NULL);
        size_t at = 1;
        expect_deed(troupe, &at, 0, PASSO_DOING_DONE, 32);
        assert_int_equal(at, troupe->deeds);
        assert_int_equal(troupe->result.finished, items == 1);
        assert_int_equal(troupe->result.left, items - 1);
        troupe_free(troupe);
    }
}

/* A day of seconds is told in seconds: 15 s and what was played of the second of 15. */
static void leaving_early(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 35.03 + 20 + 7.03, PASSO_COMMAND_QUIT, Q);
    troupe_run(troupe, NULL);
    assert_string_equal(troupe->result.words,
                        "Stopped after 22 of 45 seconds; passo today goes on where you left.");
    troupe_free(troupe);
}

/* No more of an item than was planned for it. */
static void leaving_late(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    troupe->item[1].ms = 5000;
    band_add(&troupe->band, 35.03 + 20 + 8, PASSO_COMMAND_QUIT, Q);
    troupe_run(troupe, NULL);
    assert_string_equal(troupe->result.words,
                        "Stopped after 20 of 35 seconds; passo today goes on where you left.");
    troupe_free(troupe);
}

/* Between two items the level of the last one holds; set there, it holds for all that come. */
static void the_level_between(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    troupe->setup[0]->volume_permille = 300;
    band_add(&troupe->band, 40, PASSO_COMMAND_LOUDER, PLUS);
    troupe_run(troupe, NULL);
    static const int32_t levels[] = {500, 300, 300, 350, 350, 350, 350, 350};
    size_t seen = 0;
    for (size_t i = 0; i < troupe->draws; i++) {
        bool new_wait = i == 0 || troupe->drawn[i - 1].phase == PASSO_PHASE_OVER;
        bool over = troupe->drawn[i].phase == PASSO_PHASE_OVER;
        if (new_wait || over || troupe->drawn[i].level_permille != levels[seen - 1])
            assert_int_equal(troupe->drawn[i].level_permille, levels[seen++]);
    }
    assert_int_equal(seen, 8);
    troupe_free(troupe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sooner_and_longer),
        cmocka_unit_test(a_pause_stops_the_clock),
        cmocka_unit_test(skipping_in_a_pause),
        cmocka_unit_test(a_pause_with_marks_goes_on),
        cmocka_unit_test(skipping),
        cmocka_unit_test(putting_off),
        cmocka_unit_test(putting_off_the_last),
        cmocka_unit_test(a_key_that_is_down_is_no_key),
        cmocka_unit_test(keys_are_told_apart),
        cmocka_unit_test(the_next_key_by_hand),
        cmocka_unit_test(leaving_between),
        cmocka_unit_test(leaving_within_and_going_on),
        cmocka_unit_test(leaving_in_the_last_rest),
        cmocka_unit_test(leaving_early),
        cmocka_unit_test(leaving_late),
        cmocka_unit_test(the_level_between),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
