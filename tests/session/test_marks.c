/* Presses at their times through the real conductor: undo, pause, breaking off, keys that repeat,
 * passes without a mark, the rest by hand. Session 11 of the trade page, where pedals go wrong, is
 * a file in tests/session/trade. */
#include "stage_band.h"

enum { SPACE = ' ', X = 'x', U = 'u', P = 'p' };

/* Where a pass lies, computed here from tempo and meter: 4/4, `bars` bars, count-in of one bar,
 * landing of one beat, rest as long as body and landing, at least 6 s. */
struct lie {
    double start;
    double body;
    double end;
    double rest_end;
    double beat;
};

static struct lie lie_at(double start, double tempo, int bars)
{
    struct lie lie = {.start = start, .beat = 60 / tempo};
    lie.body = start + 4 * lie.beat;
    lie.end = lie.body + (4 * bars + 1) * lie.beat;
    double rest = lie.end - lie.body;
    lie.rest_end = lie.end + (rest < 6 ? 6 : rest);
    return lie;
}

static const double lead_s = 0.030; /* from the clock's start to the first count-in */

static void row_is(const struct band_row *row, int pass, double tempo, const char *mark,
                   const char *marked_by, int cleans)
{
    assert_int_equal(row->pass, pass);
    assert_true(row->tempo == tempo);
    assert_string_equal(row->mark, mark);
    assert_string_equal(row->marked_by, marked_by);
    assert_int_equal(row->cleans, cleans);
}

#define PLAIN_RULE                                                                                 \
    "meter", "4/4", "start", "80", "target", "96", "steps", "8 bpm", "stop", "none", "plateau",    \
        "none", "tired", "none", "finish", "none"

static void a_miss_can_break_off(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars",      "33-36",
                                          "on-miss",  "break off", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 4);
    /* On the second beat of bar 35; a beat earlier the player was in bar 35 too. */
    band_add(band, at.body + 9.5 * at.beat, PASSO_COMMAND_MISS, X);
    double end = at.body + 12 * at.beat;
    /* The next pass: on the first beat of bar 35, so the slip was in bar 34. */
    at = lie_at(end + 12 * at.beat, 80, 4);
    band_add(band, at.body + 8.5 * at.beat, PASSO_COMMAND_MISS, X);
    band_add(band, at.body + 12 * at.beat + 3, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    row_is(&band->row[0], 1, 80, "miss", "key", 0);
    assert_string_equal(band->row[0].miss_bar, "35");
    BAND_CLOCK(band->row[0].play_s, 12 * 0.75);
    BAND_CLOCK(band->row[0].rest_s, 12 * 0.75);
    assert_string_equal(band->row[1].miss_bar, "34");
    assert_int_equal(band->rows, 2);
    band_free(band);
}

static void a_pause_voids_the_pass(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 2);
    band_add(band, at.body + 3, PASSO_COMMAND_PAUSE, P);
    band_add(band, at.body + 63, PASSO_COMMAND_PAUSE, P); /* a minute later */
    at = lie_at(at.body + 65, 80, 2);                     /* two seconds of breath */
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    /* Pause in the rest: what is left of it is kept. */
    band_add(band, at.end + 2, PASSO_COMMAND_PAUSE, P);
    band_add(band, at.end + 102, PASSO_COMMAND_PAUSE, P);
    at = lie_at(at.rest_end + 100, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    band_add(band, at.end + 1.5, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    row_is(&band->row[0], 1, 80, "void", "", 0);
    BAND_CLOCK(band->row[0].play_s, 3);
    BAND_CLOCK(band->row[0].rest_s, 2); /* the clock stood still for a minute */
    row_is(&band->row[1], 2, 80, "clean", "key", 1);
    BAND_CLOCK(band->row[1].rest_s, 9 * 0.75);
    row_is(&band->row[2], 3, 80, "clean", "key", 2);
    assert_string_equal(band->row[2].move, "raised"); /* the end takes nothing away */
    assert_true(band->row[2].next == 88);
    band_free(band);
}

/* The first count-in is broken off by a pause: the clock begins with the next one. */
static void a_pause_before_the_first_pass(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", NULL};
    struct band *band = band_new();
    band_add(band, 1, PASSO_COMMAND_PAUSE, P);
    band_add(band, 61, PASSO_COMMAND_PAUSE, P);
    struct lie at = lie_at(63, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    band_add(band, at.end + 3, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    assert_int_equal(band->rows, 1);
    BAND_CLOCK(band->row[0].elapsed_s, at.end + 3 - 63);
    BAND_CLOCK(band->row[0].rest_s, 3);
    band_free(band);
}

static void undo_goes_back_any_number_of_times(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.rest_end, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE); /* raised to 88 */
    band_add(band, at.end + 2, PASSO_COMMAND_UNDO, U);
    band_add(band, at.end + 2.8, PASSO_COMMAND_UNDO, U);
    band_add(band, at.end + 3.2, PASSO_COMMAND_MISS, X);    /* for pass 1 */
    band_add(band, at.end + 4, PASSO_COMMAND_CLEAN, SPACE); /* for pass 2 */
    at = lie_at(at.rest_end, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE); /* raised now */
    at = lie_at(at.rest_end, 88, 2);
    band_add(band, at.body + 1, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    row_is(&band->row[0], 1, 80, "clean", "key", 1);
    row_is(&band->row[1], 1, 80, "miss", "changed", 0);
    row_is(&band->row[2], 2, 80, "clean", "changed", 1);
    row_is(&band->row[3], 3, 80, "clean", "key", 2);
    assert_int_equal(band->rows, 4); /* the one that was just begun is no pass */
    band_free(band);
}

static void a_script_can_undo(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", NULL};
    struct band *band = band_new();
    /* Pass 2 was a miss after all; pass 3 and 4 win the rung; v and . change nothing. */
    band_play(band, options, "c cum c c v . c");
    BAND_EXPECT(band, 80, 80, 80, 80, 88, 88, 88);
    assert_string_equal(band->row[1].mark, "miss");
    assert_string_equal(band->row[1].marked_by, "changed");
    assert_string_equal(band->row[4].mark, "void");
    assert_string_equal(band->row[5].mark, "unmarked");
    assert_int_equal(band->rows, 7);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_QUIT);
    band_free(band);
}

/* Marks that are taken back at once and given again leave no trace but `changed`: the same course
 * as the last marks alone. Drawn scripts; the state is replayed from where the change was. */
static void undo_is_exact(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE,
                                          "bars",
                                          "1",
                                          "variant",
                                          "low=octave -1",
                                          "variant",
                                          "high=as written",
                                          "miss",
                                          "first turn",
                                          "drop",
                                          "1 rung after 2 misses here",
                                          NULL};
    struct passo_random random;
    passo_random_seed(&random, 11);
    for (int round = 0; round < 100; round++) {
        char with[200] = "";
        char without[80] = "";
        for (int pass = 0; pass < 30; pass++) {
            char mark = "ccmm.v"[passo_random_below(&random, 6)];
            size_t end = strlen(with);
            if (passo_random_below(&random, 3) == 0)
                end += (size_t)sprintf(with + end, "%cu", "cmv"[passo_random_below(&random, 3)]);
            sprintf(with + end, "%c", mark);
            sprintf(without + strlen(without), "%c", mark);
        }
        struct band *one = band_new();
        struct band *other = band_new();
        band_play(one, options, with);
        band_play(other, options, without);
        assert_int_equal(one->rows, other->rows);
        for (size_t i = 0; i < one->rows; i++) {
            assert_true(one->row[i].tempo == other->row[i].tempo);
            assert_string_equal(one->row[i].variant, other->row[i].variant);
            assert_string_equal(one->row[i].mark, other->row[i].mark);
            assert_string_equal(one->row[i].move, other->row[i].move);
            assert_int_equal(one->row[i].cleans, other->row[i].cleans);
        }
        assert_int_equal(one->result.best_mbpm, other->result.best_mbpm);
        band_free(one);
        band_free(other);
    }
}

/* Marks that run out while the rest waits for one, or while assumed cleans are held. */
static void marks_run_out_in_an_open_rest(void **state)
{
    (void)state;
    static const char *const waits[] = {PLAIN_RULE, "bars", "1", "unmarked", "wait", NULL};
    static const char *const assumes[] = {PLAIN_RULE, "target",   "200",   "bars",
                                          "1",        "unmarked", "clean", NULL};
    struct band *band = band_new();
    band_play(band, waits, "c.");
    assert_int_equal(band->rows, 2);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_QUIT);
    band_free(band);
    band = band_new();
    band_play(band, assumes, "m.......");
    assert_int_equal(band->rows, 8);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_QUIT);
    band_free(band);
}

/* Where a pass without a mark is clean, an undo takes the assumption back and nothing comes again.
 */
static void undo_takes_an_assumed_mark_back(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", "unmarked", "clean", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 2); /* assumed clean */
    at = lie_at(at.rest_end, 80, 2);
    band_add(band, at.body + 2, PASSO_COMMAND_UNDO, U); /* the first was none */
    at = lie_at(at.rest_end, 80, 2);
    at = lie_at(at.rest_end, 80, 2);
    band_add(band, at.body + 1, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    row_is(&band->row[0], 1, 80, "clean", "assumed", 1);
    row_is(&band->row[1], 1, 80, "void", "changed", 0);
    row_is(&band->row[2], 2, 80, "clean", "assumed", 1);
    row_is(&band->row[3], 3, 80, "clean", "assumed", 2);
    band_free(band);
}

static void a_held_key_counts_once(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.rest_end, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_MISS, X);
    for (int i = 0; i < 60; i++) /* u for two seconds: one mark comes back, not all */
        band_add(band, at.end + 2 + i / 30.0, PASSO_COMMAND_UNDO, U);
    band_add(band, at.end + 5, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.rest_end, 88, 2);
    band_add(band, at.body + 1, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    row_is(&band->row[0], 1, 80, "clean", "key", 1);
    row_is(&band->row[1], 2, 80, "clean", "changed", 2);
    assert_int_equal(band->rows, 2);
    band_free(band);
}

static void unmarked_can_wait(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", "unmarked", "wait", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 2);
    band_add(band, at.end + 500, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.end + 502, 80, 2);
    band_add(band, at.end + 100, PASSO_COMMAND_SOONER, 's'); /* on without a mark */
    at = lie_at(at.end + 102, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    BAND_CLOCK(band->row[0].rest_s, 502);
    BAND_CLOCK(band->row[1].rest_s, 102);
    assert_string_equal(band->row[1].mark, "unmarked");
    assert_int_equal(band->rows, 3);
    band_free(band);
}

static void press_only_on_a_miss(void **state)
{
    (void)state;
    static const char *const options[] = {
        PLAIN_RULE, "bars", "2", "unmarked", "clean", "raise", "4 clean in a row", NULL};
    static const double tempo[] = {80, 80, 80, 80, 88, 88};
    struct band *band = band_new();
    struct lie at = {.rest_end = lead_s};
    for (int i = 0; i < 6; i++)
        at = lie_at(at.rest_end, tempo[i], 2);
    /* Six assumed in a row: nobody may be there, and the rest goes on. */
    band_add(band, at.rest_end + 300, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.rest_end + 302, 88, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    BAND_EXPECT(band, 80, 80, 80, 80, 88, 88, 88);
    row_is(&band->row[3], 4, 80, "clean", "assumed", 4);
    assert_string_equal(band->row[3].move, "raised");
    row_is(&band->row[5], 6, 88, "clean", "key", 2);
    band_free(band);
}

static void the_rest_by_hand(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "8", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 8);
    band_add(band, at.end + 1, PASSO_COMMAND_SOONER, 's');
    at = lie_at(at.end + 3, 80, 8);
    band_add(band, at.end + 1, PASSO_COMMAND_LONGER, 'l');
    band_add(band, at.end + 2, PASSO_COMMAND_LONGER, 'l');
    at = lie_at(at.rest_end + 20, 80, 8);
    band_add(band, at.body + 1, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    BAND_CLOCK(band->row[0].rest_s, 3);
    BAND_CLOCK(band->row[1].rest_s, 33 * 0.75 + 20);
    band_free(band);
}

static void easier_and_harder_by_hand(void **state)
{
    (void)state;
    static const char *const options[] = {PLAIN_RULE, "bars", "2", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    band_add(band, at.end + 2, PASSO_COMMAND_HARDER, 0);
    at = lie_at(at.rest_end, 88, 2);
    /* While it sounds nothing changes; the next pass is easier. */
    band_add(band, at.body + 1, PASSO_COMMAND_EASIER, 1);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE); /* played where the ladder is no more */
    at = lie_at(at.rest_end, 80, 2);
    band_add(band, at.end + 1, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    BAND_EXPECT(band, 80, 88, 80);
    assert_string_equal(band->row[0].move, "harder");
    assert_true(band->row[0].next == 88);
    BAND_CLOCK(band->row[1].play_s, 9 * 60.0 / 88);
    assert_int_equal(band->row[1].cleans, 0);
    band_free(band);
}

static void time_is_told_once_and_ends_with_the_finish(void **state)
{
    (void)state;
    static const char *const options[] = {"meter", "4/4",  "start",   "80",   "target", "96",
                                          "bars",  "2",    "context", "4",    "stop",   "1 min",
                                          "tired", "none", "plateau", "none", NULL};
    struct band *band = band_new();
    band_play(band, options, "mcmcmcmcmcmc");
    size_t told = 0;
    for (size_t i = 0; i < band->lines; i++)
        told += band->kind[i] == PASSO_SAY_NOTICE && strstr(band->line[i], "nearly up") != NULL;
    assert_int_equal(told, 1);
    assert_string_equal(band->row[band->rows - 1].part, "context");
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_TIME);
    band_free(band);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_miss_can_break_off),
        cmocka_unit_test(a_pause_voids_the_pass),
        cmocka_unit_test(a_pause_before_the_first_pass),
        cmocka_unit_test(undo_goes_back_any_number_of_times),
        cmocka_unit_test(a_script_can_undo),
        cmocka_unit_test(undo_is_exact),
        cmocka_unit_test(marks_run_out_in_an_open_rest),
        cmocka_unit_test(undo_takes_an_assumed_mark_back),
        cmocka_unit_test(a_held_key_counts_once),
        cmocka_unit_test(unmarked_can_wait),
        cmocka_unit_test(press_only_on_a_miss),
        cmocka_unit_test(the_rest_by_hand),
        cmocka_unit_test(easier_and_harder_by_hand),
        cmocka_unit_test(time_is_told_once_and_ends_with_the_finish),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
