/* Presses at their times through the real conductor: session 11 of the trade page, the windows of
 * marks, keys that repeat, undo, pause, breaking off, the rest by hand. */
#include "stage_band.h"

enum { SPACE = ' ', X = 'x', LEFT = 1000, U = 'u', P = 'p' };

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
    print_message("row: pass %d at %g %s (%s), %d clean in a row\n", row->pass, row->tempo, row->mark,
                  row->marked_by, row->cleans);
    assert_true(row->tempo == tempo);
    assert_string_equal(row->mark, mark);
    assert_string_equal(row->marked_by, marked_by);
    assert_int_equal(row->cleans, cleans);
}

static void session_11_pedals_go_wrong(void **state)
{
    (void)state;
    static const char *const options[] = {
        "bars", "4", "meter", "4/4", "target", "100", "start", "80", "steps", "4 bpm", "raise",
        "2 clean in a row", "drop", "1 rung after 2 misses", "stop", "none", "plateau", "none",
        "tired", "none", NULL};
    struct band *band = band_new();
    struct lie at = lie_at(lead_s, 80, 4);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE); /* p1 C */
    at = lie_at(at.rest_end, 80, 4);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE); /* p2 C, twice 150 ms apart */
    band_add(band, at.end + 1.15, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.rest_end, 84, 4); /* p3 unmarked */
    at = lie_at(at.rest_end, 84, 4); /* p4, marked on beat 3 of p5's count-in */
    at = lie_at(at.rest_end, 84, 4);
    band_add(band, at.start + 2.1 * at.beat, PASSO_COMMAND_CLEAN, SPACE);
    /* p5 M in bar 3 (pressed on its third beat), replaced by C in the rest */
    band_add(band, at.body + 10.1 * at.beat, PASSO_COMMAND_MISS, LEFT);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.rest_end, 88, 4);
    band_add(band, at.end + 1, PASSO_COMMAND_MISS, LEFT); /* p6 M */
    at = lie_at(at.rest_end, 88, 4);                      /* p7: p6 is undone and clean */
    band_add(band, at.body + 3, PASSO_COMMAND_UNDO, U);
    band_add(band, at.body + 4, PASSO_COMMAND_CLEAN, SPACE);
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE); /* p7 C */
    at = lie_at(at.rest_end, 92, 4);
    for (int i = 0; i < 120; i++) /* p8: a foot rests 4 s on the left pedal */
        band_add(band, at.end + 1 + i / 30.0, PASSO_COMMAND_MISS, LEFT);
    at = lie_at(at.rest_end, 92, 4); /* p9, p10, p11 unmarked, then a pause */
    at = lie_at(at.rest_end, 92, 4);
    at = lie_at(at.rest_end, 92, 4);
    band_add(band, at.rest_end + 100, PASSO_COMMAND_PAUSE, P);
    at = lie_at(at.rest_end + 102, 92, 4); /* p12, after two seconds of breath */
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(at.rest_end, 92, 4); /* p13, marked late in p14's count-in */
    double p14 = at.rest_end;
    double late = p14 + 3.5 * at.beat;
    band_add(band, late, PASSO_COMMAND_CLEAN, SPACE);
    at = lie_at(late + 2, 96, 4); /* p14: a new count-in at 96 */
    band_add(band, at.end + 1, PASSO_COMMAND_CLEAN, SPACE);
    band_add(band, at.end + 3, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);

    const struct band_row *row = band->row;
    row_is(row++, 1, 80, "clean", "key", 1);
    row_is(row++, 2, 80, "clean", "key", 2);
    row_is(row++, 3, 84, "unmarked", "", 0);
    row_is(row++, 4, 84, "clean", "key", 1);
    row_is(row++, 5, 84, "clean", "changed", 2);
    row_is(row++, 6, 88, "miss", "key", 0);
    /* p7's body had begun when p6 was changed: p6 has a second row, its rest is as it was. */
    row_is(row++, 6, 88, "clean", "changed", 1);
    row_is(row++, 7, 88, "clean", "key", 2);
    row_is(row++, 8, 92, "miss", "key", 0);
    row_is(row++, 9, 92, "unmarked", "", 0);
    row_is(row++, 10, 92, "unmarked", "", 0);
    row_is(row++, 11, 92, "unmarked", "", 0);
    row_is(row++, 12, 92, "clean", "key", 1);
    row_is(row, 13, 92, "clean", "key", 2);
    assert_string_equal(row->move, "raised");
    assert_true(row->next == 96);
    /* The rest of p13 lasts until the new count-in; the pause of 100 s is on no clock. */
    BAND_CLOCK(row->elapsed_s, late + 2 - lead_s - 100);
    row++;
    row_is(row++, 14, 96, "clean", "key", 1);
    assert_int_equal(row - band->row, band->rows);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_QUIT);
    band_free(band);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(session_11_pedals_go_wrong),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
