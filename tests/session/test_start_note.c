/* Which note a starting note is, and when it may be the wrong one, through the real conductor in
 * simulated time. */
#include "heard.h"

/* The frequencies of the starting notes of a script of marks. */
static size_t starting_notes(const struct passo_setup *setup, int16_t shift, const char *marks,
                             float *out_hz)
{
    struct band *band = band_new();
    struct passo_climb_setup run = {.shift = passo_interval_of(shift)};
    size_t notes = 0;
    heard_play(band, &run, setup, marks);
    for (size_t i = 0; i < heards; i++)
        if (heard[i].what == PASSO_HANDED_START)
            out_hz[notes++] = heard[i].first.hz;
    band_free(band);
    return notes;
}

#define HZ(got, expected) assert_true(fabs((double)(got) - (expected)) < 0.001)

/* The part's C 4, E 4 and F 4, and a G 3 that none of its notes is, of a B-flat instrument: B-flat
 * 3, D 4, E-flat 4 and F 3 by the MIDI tuning table (from memory). */
static void a_loop_starts_on_its_own_first_note(void **state)
{
    (void)state;
    static const char *const options[] = {"loop",    "third=1-2", "variant", "low=octave -1",
                                          "context", "1-2",       "finish",  "1 in context",
                                          "raise",   "1 clean",   NULL};
    const double bb3 = 233.0819, d4 = 293.6648, eb4 = 311.1270, f3 = 174.6141;
    struct passo_setup *setup = heard_setup(options);
    struct passo_passage *passage = &setup->passage;
    float hz[16];
    setup->intonation.starts = true;
    setup->intonation.start = (struct passo_pitch){1, 3};
    setup->course.stage[0].turns = 1;
    passage->loop[2].from.at = passo_ratio(1, 2);
    passage->context.from.at = passo_ratio(3, 4);
    /* Loop `first` begins where the passage does; the context in bar 1's last quarter. */
    assert_int_equal(starting_notes(setup, 0, "ccc", hz), 3);
    HZ(hz[0], f3 / 2);
    HZ(hz[1], f3 / 2);
    HZ(hz[2], eb4);
    setup->course.stage[0].turn[0].loop = 2;
    assert_int_equal(starting_notes(setup, 0, "ccc", hz), 3);
    HZ(hz[0], d4 / 2);
    HZ(hz[1], d4 / 2);
    HZ(hz[2], eb4);
    /* in another key; a note that is under way is the one to begin with */
    assert_int_equal(starting_notes(setup, 3, "c", hz), 1);
    HZ(hz[0], d4 / 2 * exp2(3 / 12.0));
    passage->loop[2].from.at = passo_ratio(1, 8);
    assert_int_equal(starting_notes(setup, 0, "c", hz), 1);
    HZ(hz[0], bb3 / 2);
    /* where start-pitch stays, and where no note is known */
    setup->intonation.start_stays = true;
    assert_int_equal(starting_notes(setup, 0, "ccc", hz), 3);
    HZ(hz[0], f3 / 2);
    HZ(hz[2], f3);
    setup->intonation.start_stays = false;
    setup->notes.notes = 0;
    assert_int_equal(starting_notes(setup, 0, "ccc", hz), 3);
    HZ(hz[0], f3 / 2);
    HZ(hz[2], f3);
    setup->intonation.starts = false;
    assert_int_equal(starting_notes(setup, 0, "ccc", hz), 0);
    free(setup);
}

static size_t minds(const struct band *band)
{
    size_t count = 0;
    for (size_t i = 0; i < band->lines; i++)
        count += band->kind[i] == PASSO_SAY_NOTICE && strstr(band->line[i], "Mind: the instrument");
    return count;
}

/* What has no pitch needs no transposition; who has no notes may still have a drone. */
static void an_unknown_instrument_is_told_of(void **state)
{
    (void)state;
    static const char *const options[] = {"instrument", "kazoo", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    const char expected[] = "Mind: the instrument (kazoo) is not known here, so it sounds as "
                            "written; transposition = N says otherwise.";
    heard_play(band, &run, setup, "c");
    assert_int_equal(minds(band), 0); /* its transposition is said: heard_notes() */
    setup->intonation.transposition = 0;
    setup->intonation.unknown_instrument = true;
    heard_play(band, &run, setup, "c");
    assert_int_equal(minds(band), 1);
    bool said = false;
    for (size_t i = 0; i < band->lines; i++)
        said |= strcmp(band->line[i], expected) == 0;
    assert_true(said);
    setup->notes.notes = 0;
    heard_play(band, &run, setup, "c");
    assert_int_equal(minds(band), 1);
    setup->intonation.drone = PASSO_DRONE_ROOT;
    heard_play(band, &run, setup, "c");
    assert_int_equal(minds(band), 2);
    setup->intonation.drone = PASSO_DRONE_NONE;
    setup->intonation.starts = true;
    heard_play(band, &run, setup, "c");
    assert_int_equal(minds(band), 3);
    free(setup);
    band_free(band);
}

/* Of several climbs on one stream the first tells. */
static void it_is_told_once_on_a_stream(void **state)
{
    (void)state;
    static const char *const options[] = {"instrument", "kazoo", NULL};
    struct stage *stage = heard_stage();
    struct passo_setup *setup = heard_setup(options);
    setup->intonation.unknown_instrument = true;
    stage_press(stage, 12, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(minds(&stage->band), 1);
    stage_press(stage, 12, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(minds(&stage->band), 0);
    snprintf(setup->passage.instrument, sizeof setup->passage.instrument, "jug");
    stage_press(stage, 12, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(minds(&stage->band), 1);
    free(setup);
    stage_free(stage);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_loop_starts_on_its_own_first_note),
        cmocka_unit_test(an_unknown_instrument_is_told_of),
        cmocka_unit_test(it_is_told_once_on_a_stream),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
