/* A day in simulated time: the order of the items, what is told of each and when, what is said and
 * drawn, what an item brings and takes on. All times are worked out here by hand. */
#include "day_tools.h"

enum { P = 'p', PLUS = '+' };

static int opens;

static void a_whole_day(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "flow study \u00b7 D-flat major", "Flow study, D-flat major.", 10000, 1);
    add_block(troupe, "flow study \u00b7 G-flat major", "Then G-flat major.", 0, 1);
    add_visit(troupe, "visit: The run up to the trio", "Visit: The run up to the trio.", 8000, 6);
    troupe->item[2].why = "after G-flat major, its key";
    add_block(troupe, "flow study \u00b7 B major", "Flow study, B major.", 5000, 2);
    add_block(troupe, "chromatic patterns", "Then chromatic patterns.", 0, 1);
    troupe_run(troupe, "cc");

    size_t at = 0;
    expect_deed(troupe, &at, 0, PASSO_DOING_BEGAN, 10);
    expect_deed(troupe, &at, 0, PASSO_DOING_DONE, 10 + lead_s + 15);
    /* The next key follows the last rest of the one before. */
    expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, 25.03);
    expect_deed(troupe, &at, 1, PASSO_DOING_DONE, 40.06);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 48.06);
    const struct deed *visit = expect_deed(troupe, &at, 2, PASSO_DOING_DONE, 78.09);
    assert_true(visit->played);
    assert_int_equal(visit->played_ms, 10000);
    expect_deed(troupe, &at, 3, PASSO_DOING_BEGAN, 83.09);
    expect_deed(troupe, &at, 3, PASSO_DOING_DONE, 113.12);
    expect_deed(troupe, &at, 4, PASSO_DOING_BEGAN, 113.12);
    expect_deed(troupe, &at, 4, PASSO_DOING_DONE, 128.15);
    assert_int_equal(at, troupe->deeds);

    const struct passo_day_result *result = &troupe->result;
    assert_true(result->finished);
    assert_false(result->cut_short || result->csv_failed);
    assert_int_equal(result->done, 5);
    assert_int_equal(result->skipped, 0);
    assert_int_equal(result->left, 0);
    /* 7 passes of 5 s of playing and 6 s of rest; 8 s and 5 s of rest between. */
    assert_int_equal(result->balance.played_ms, 35000);
    assert_in_range(result->balance.rested_ms, 54990, 55010);
    assert_string_equal(result->words,
                        "The day is done: played 35 s, rested 55 s; 2 blocks, 1 visit.");
    /* A block's passes are not recorded; a visit's are, with the time of the day. */
    assert_int_equal(troupe->band.rows, 2);
    assert_string_equal(troupe->band.row[0].part, "visit");
    assert_string_equal(troupe->band.row[1].mark, "clean");
    troupe_free(troupe);
}

/* The wall clock of simulated time goes on from item to item. */
static void rows_have_the_time_of_the_day(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_visit(troupe, "visit: The run up to the trio", "Visit.", 10000, 6);
    add_block(troupe, "long tones", "Long tones.", 20000, 1);
    add_visit(troupe, "visit: The run up to the trio", "Visit.", 60000, 6);
    troupe_run(troupe, "cccc");
    static const double at_s[] = {0, 15, 30.03 + 20 + 15.03 + 60, 30.03 + 20 + 15.03 + 75};
    assert_int_equal(troupe->band.rows, 4);
    for (size_t i = 0; i < 4; i++) /* rows are to the second */
        assert_true(troupe->row_at_s[i] > at_s[i] - 1.01 && troupe->row_at_s[i] < at_s[i] + 1.01);
    troupe_free(troupe);
}

/* The plain view alone tells the day. */
static void a_day_in_lines(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "flow study \u00b7 D-flat major", "Flow study, D-flat major.", 10000, 1);
    add_visit(troupe, "visit: The run up to the trio", "Visit: The run up to the trio.", 90000, 6);
    add_block(troupe, "long\x1b tones", "Long tones.", 5000, 5);
    add_block(troupe, "slurs", "Then \x1b slurs.", 0, 1);
    troupe->item[1].why = "after D-flat major, its key";
    troupe->item[1].ms = 179500;
    troupe_run(troupe, "cc");
    size_t at = expect_said(troupe, 0, "Marrowby mornings, 5 min:");
    assert_int_equal(at, 0);
    at = expect_said(troupe, at, "1. flow study \u00b7 D-flat major \u00b7 0:15");
    at = expect_said(troupe, at,
                     "2. visit: The run up to the trio \u00b7 3:00 (after D-flat major, its key)");
    at = expect_said(troupe, at, "3. long? tones \u00b7 1:15");
    at = expect_said(troupe, at, "4. slurs \u00b7 0:15");
    assert_int_equal(at, 4);
    at = expect_said(troupe, at, "Before each: Space goes on");
    assert_int_equal(troupe->band.kind[at], PASSO_SAY_START);
    at = expect_said(troupe, at, "Flow study, D-flat major. In 10 s.");
    assert_int_equal(troupe->band.kind[at], PASSO_SAY_PASS);
    at = expect_said(troupe, at, "Visit: The run up to the trio. In 1 min 30 s.");
    at = expect_said(troupe, at, "Long tones. In 5 s.");
    at = expect_said(troupe, at, "Next: ? slurs.");
    at = expect_said(troupe, at, "The day is done: ");
    assert_int_equal(troupe->band.kind[at], PASSO_SAY_END);
    assert_int_equal(at, troupe->band.lines - 1);
    troupe_free(troupe);
}

static void what_is_drawn(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    band_add(&troupe->band, 3, PASSO_COMMAND_PAUSE, P);
    band_add(&troupe->band, 13, PASSO_COMMAND_PAUSE, P);
    troupe_run(troupe, NULL);
    const struct drawn *drawn = &troupe->drawn[0];
    assert_int_equal(drawn->phase, PASSO_PHASE_REST);
    assert_int_equal(drawn->rest_left_ms, 20000);
    assert_string_equal(drawn->next, "Long tones.");
    assert_int_equal(drawn->now, 0);
    assert_int_equal(drawn->state[0], PASSO_DAY_TO_COME);
    assert_true(drawn->block);
    assert_int_equal(troupe->drawn[1].phase, PASSO_PHASE_PAUSED);
    assert_int_equal(troupe->drawn[1].rest_left_ms, -1);
    assert_int_equal(troupe->drawn[2].phase, PASSO_PHASE_REST);
    assert_in_range(troupe->drawn[2].rest_left_ms, 16999, 17000);
    /* The last that the first climb drew, and the first of the time after it. */
    size_t i = 3;
    while (troupe->drawn[i].phase != PASSO_PHASE_OVER)
        i++;
    assert_int_equal(troupe->drawn[i].state[0], PASSO_DAY_NOW);
    assert_int_equal(troupe->drawn[i].done_ms, 0);
    drawn = &troupe->drawn[i + 1];
    assert_int_equal(drawn->phase, PASSO_PHASE_REST);
    assert_int_equal(drawn->rest_left_ms, 20000);
    assert_int_equal(drawn->now, 1);
    assert_int_equal(drawn->state[0], PASSO_DAY_DONE);
    assert_int_equal(drawn->state[1], PASSO_DAY_TO_COME);
    assert_int_equal(drawn->done_ms, 15000);
    drawn = &troupe->drawn[troupe->draws - 1];
    assert_int_equal(drawn->phase, PASSO_PHASE_OVER);
    assert_int_equal(drawn->done_ms, 45000);
    assert_int_equal(drawn->state[2], PASSO_DAY_DONE);
    assert_string_equal(drawn->next, troupe->result.words);
    expect_serials(troupe);
    troupe_free(troupe);
}

/* What a visit came to stands there until the next begins; a block leaves nothing to say. */
static void what_a_visit_came_to(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_visit(troupe, "visit: The run up to the trio", "Visit.", 10000, 6);
    add_block(troupe, "long tones", "Long tones.", 20000, 1);
    add_block(troupe, "slurs", "Slurs.", 20000, 1);
    troupe_run(troupe, "cc");
    size_t rests = 0;
    for (size_t i = 1; i < troupe->draws; i++) {
        if (troupe->drawn[i - 1].phase != PASSO_PHASE_OVER)
            continue;
        assert_string_equal(troupe->drawn[i].move,
                            rests++ ? "" : "Won: quarter = 60 after 2 passes.");
    }
    assert_int_equal(rests, 3);
    troupe_free(troupe);
}

static enum passo_error counted_open(const struct passo_output_ask *ask, struct passo_output **out,
                                     char *out_fault, size_t fault_bytes)
{
    opens++;
    return passo_output_simulated.open(ask, out, out_fault, fault_bytes);
}

/* One stream for the whole day, and none where nothing is left to play. */
static void one_stream(void **state)
{
    (void)state;
    struct passo_output_ops counted = passo_output_simulated;
    counted.open = counted_open;
    struct troupe *troupe = three_blocks();
    troupe->band.output = &counted;
    troupe_run(troupe, NULL);
    assert_int_equal(opens, 1);
    troupe_free(troupe);

    troupe = three_blocks();
    troupe->band.output = &counted;
    for (size_t i = 0; i < 3; i++)
        troupe->item[i].over = true;
    troupe->day.balance = (struct passo_balance){.played_ms = 1080000, .rested_ms = 1260000};
    troupe_run(troupe, NULL);
    assert_int_equal(opens, 1);
    assert_int_equal(troupe->deeds, 0);
    assert_string_equal(troupe->result.words,
                        "The day is done: played 18 min, rested 21 min; 3 blocks.");
    troupe_free(troupe);
}

static bool hung_up_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    *out_press =
        (struct passo_press){.command = PASSO_COMMAND_QUIT, .at_ns = now_ns, .hung_up = true};
    return ((struct band *)view)->last.day != NULL;
}

static void a_terminal_that_is_gone(void **state)
{
    (void)state;
    struct passo_view_ops ops = troupe_ops;
    struct troupe *troupe = three_blocks();
    ops.press = hung_up_press;
    troupe->band.ops = &ops;
    troupe_run(troupe, NULL);
    assert_true(troupe->result.cut_short);
    assert_int_equal(troupe->result.left, 3);
    assert_string_equal(troupe->result.words,
                        "Nothing was played yet; passo today is ready when you are.");
    troupe_free(troupe);
}

static void marks_that_run_out(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    add_visit(troupe, "visit: The run up to the trio", "Visit.", 8000, 6);
    add_block(troupe, "scales", "Scales.", 5000, 1);
    troupe_run(troupe, "c"); /* it would take two */
    size_t at = 6;
    expect_deed(troupe, &at, 3, PASSO_DOING_BEGAN, 3 * 35.03 + 8);
    assert_true(expect_deed(troupe, &at, 3, PASSO_DOING_STOPPED, 3 * 35.03 + 23.03)->played);
    assert_int_equal(at, troupe->deeds);
    assert_false(troupe->result.finished);
    assert_int_equal(troupe->result.left, 2);
    assert_string_equal(troupe->result.words, "The marks ran out after 1 of 3 minutes.");
    troupe_free(troupe);
}

static void what_cannot_be_played_is_left_out(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    troupe->refuses[1] = true;
    troupe_run(troupe, NULL);
    size_t at = 2;
    assert_false(expect_deed(troupe, &at, 1, PASSO_DOING_SKIPPED, 55.03)->played);
    expect_deed(troupe, &at, 2, PASSO_DOING_BEGAN, 75.03);
    expect_said(troupe, 0, "slurs cannot be played: its file is gone.");
    assert_true(troupe->result.finished);
    assert_int_equal(troupe->result.skipped, 1);
    troupe_free(troupe);
}

/* Each item has its own level until the hand has set one; that holds from there on. */
static void the_level_goes_on(void **state)
{
    (void)state;
    struct troupe *troupe = three_blocks();
    add_block(troupe, "slurs", "Slurs.", 20000, 1);
    troupe->setup[0]->volume_permille = 300;
    troupe->setup[1]->volume_permille = 400;
    troupe->setup[3]->volume_permille = 900;
    band_add(&troupe->band, 65, PASSO_COMMAND_LOUDER, PLUS); /* second item: 55.03 to 70.06 */
    band_add(&troupe->band, 110, PASSO_COMMAND_SOFTER, '-'); /* before the fourth */
    band_add(&troupe->band, 110.1, PASSO_COMMAND_SOFTER, '-');
    troupe_run(troupe, NULL);
    static const int32_t levels[] = {300, 450, 450, 350};
    size_t item = 0;
    for (size_t i = 0; i + 1 < troupe->draws; i++) {
        if (troupe->drawn[i].phase == PASSO_PHASE_OVER)
            assert_int_equal(troupe->drawn[i].level_permille, levels[item++]);
    }
    assert_int_equal(item, 4);
    troupe_free(troupe);
}

/* A block is one, however many of its keys were played. */
static void blocks_are_counted(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    static const char *const lines[] = {"flow study \u00b7 C major",
                                        "flow study \u00b7 F major",
                                        "flow pulse \u00b7 C major",
                                        "long tones",
                                        "long trill",
                                        "flow study \u00b7 E major"};
    for (size_t i = 0; i < 6; i++)
        add_block(troupe, lines[i], "Next.", 2000, 1);
    troupe->item[0].over = troupe->item[0].skipped = true; /* the others of it were played */
    troupe->item[4].over = troupe->item[4].skipped = true;
    troupe_run(troupe, NULL);
    assert_non_null(strstr(troupe->result.words, "; 3 blocks, 2 left out."));
    troupe_free(troupe);
}

/* A check: the goodbye, and whether a spot was missed. */
static void a_check(void **state)
{
    (void)state;
    for (size_t misses = 0; misses < 2; misses++) {
        struct troupe *troupe = troupe_new();
        for (size_t i = 0; i < 2; i++) {
            add_item(troupe, i ? "The trio" : "The run", i ? "Then the trio." : "The run.", 0,
                     15000, one_bar("The run", "60", PASSO_CLIMBS_CHECK, 0));
            troupe->extra[i] = PASSO_EXTRA_CHECK;
        }
        troupe->day.goodbye = "All touched. Put the horn down until tonight.";
        troupe->day.goodbye_missed = "One slipped and went by slowly. Leave it at that.";
        troupe_run(troupe, misses ? "mcc" : "cc");
        size_t at = 2;
        expect_deed(troupe, &at, 1, PASSO_DOING_BEGAN, misses ? 32.03 : 17.03);
        assert_true(troupe->result.finished);
        assert_string_equal(troupe->result.words,
                            misses ? troupe->day.goodbye_missed : troupe->day.goodbye);
        assert_int_equal(troupe->band.rows, 2 + misses);
        assert_string_equal(troupe->band.row[1].part, "check");
        troupe_free(troupe);
    }
    struct troupe *troupe = troupe_new();
    for (size_t i = 0; i < 5; i++)
        add_item(troupe, "The run", "The run.", 0, 15000,
                 one_bar("The run", "60", PASSO_CLIMBS_CHECK, 0));
    troupe_run(troupe, "ccc");
    assert_false(troupe->result.finished);
    assert_string_equal(troupe->result.words, "Stopped after 3 of 5 spots.");
    troupe_free(troupe);
}

/* A visit that ends for its misses is no spot of a check. */
static void a_visit_that_was_missed(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    struct passo_setup *setup = troupe->setup[add_visit(troupe, "visit: The run", "Visit.", 0, 6)];
    setup->rule.stop_misses = 1;
    troupe->day.goodbye = "All played.";
    troupe->day.goodbye_missed = "A spot slipped.";
    passo_course_single(&setup->course, &setup->passage, &setup->rule);
    assert_int_equal(passo_course_check(&setup->course, NULL, 0), PASSO_OK);
    troupe_run(troupe, "m");
    assert_true(troupe->result.finished);
    assert_non_null(strstr(troupe->deed[1].words, "Enough for now"));
    assert_string_equal(troupe->result.words, "All played.");
    troupe_free(troupe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_day),
        cmocka_unit_test(rows_have_the_time_of_the_day),
        cmocka_unit_test(a_day_in_lines),
        cmocka_unit_test(what_is_drawn),
        cmocka_unit_test(what_a_visit_came_to),
        cmocka_unit_test(one_stream),
        cmocka_unit_test(a_terminal_that_is_gone),
        cmocka_unit_test(marks_that_run_out),
        cmocka_unit_test(what_cannot_be_played_is_left_out),
        cmocka_unit_test(the_level_goes_on),
        cmocka_unit_test(blocks_are_counted),
        cmocka_unit_test(a_check),
        cmocka_unit_test(a_visit_that_was_missed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
