/* What the machine plays before a count-in, through the real conductor in simulated time: the
 * coming pass and the starting note, on their very frames; which passes are heard; what is shown
 * meanwhile. Frames are worked out here from beats and seconds. */
#include "heard_cues.h"

/* --- frames --- */

static void hearing_note_and_count_in_in_a_long_rest(void **state)
{
    (void)state;
    static const char *const options[] = {"rest", "20 s", "raise", "1 clean", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    setup->intonation.starts = true;
    cues = 0;
    heard_play(band, &run, setup, "cc");
    assert_int_equal(heards, 6);
    /* Before the first pass the lead grows: 3.5 s lie between its end and the count-in. */
    const int64_t first = LEAD + PASS + S * 7 / 2;
    HEARD_AT(0, PASSO_HANDED_HEARING, 1, LEAD);
    HEARD_AT(1, PASSO_HANDED_START, 1, first - 2 * S);
    HEARD_AT(2, PASSO_HANDED_PASS, 1, first);
    assert_int_equal(heard[0].end.frame, LEAD + PASS);
    assert_int_equal(heard[1].end.frame, first - S / 2);
    /* The rest is long enough: nothing grows. */
    const int64_t second = first + PASS + 20 * S;
    HEARD_AT(3, PASSO_HANDED_HEARING, 2, second - S * 7 / 2 - FAST);
    HEARD_AT(4, PASSO_HANDED_START, 2, second - 2 * S);
    HEARD_AT(5, PASSO_HANDED_PASS, 2, second);
    assert_true(cue_at(PASSO_CUE_BREATHE, second - 3 * S));
    assert_true(cue_at(PASSO_CUE_BREATHE, first - 3 * S)); /* who listened is called, too */
    assert_int_equal(cues_of(PASSO_CUE_BREATHE), 2);
    /* Of the hearing the notes on the clicks, 7/8 of their lengths (timeline.h), and the landing.
     */
    assert_int_equal(heard[0].ons, 5);
    for (int i = 0; i < 5; i++)
        assert_int_equal(heard[0].on[i], LEAD + (4 + i) * S);
    for (int i = 0; i < 4; i++)
        assert_int_equal(heard[0].off[i], LEAD + (4 + i) * S + S * 7 / 8);
    assert_int_equal(heard[0].clicks, 9);
    assert_int_equal(heard[2].ons, 0);
    assert_int_equal(heard[2].clicks, 9);
    free(setup);
    band_free(band);
}

/* Where the machine plays too, a note before the player's count-in tells whose turn it is: the
 * first of the loop, in the octave of the turn, also where none was named. */
static void whose_turn_it_is(void **state)
{
    (void)state;
    static const char *const options[] = {"variant", "low=octave -1", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    setup->notes.note[0].pitch = (struct passo_pitch){1, 4}; /* G 4: concert F 4, here F 3 */
    heard_own_starts = true;
    heard_play(band, &run, setup, "c");
    heard_own_starts = false;
    assert_int_equal(heards, 3);
    assert_int_equal(heard[0].what, PASSO_HANDED_HEARING);
    HEARD_AT(1, PASSO_HANDED_START, 1, heard[2].start.frame - 2 * S);
    assert_true(fabsf(heard[1].note_hz - 174.614F) < 0.001F);
    free(setup);
    band_free(band);
}

/* C 4 of a B-flat instrument sounds as B-flat 3: 233.082 Hz (the MIDI tuning table, from memory).
 */
static void pitches_sound_as_the_instrument_does(void **state)
{
    (void)state;
    static const char *const options[] = {"variant", "low=octave -1", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    setup->intonation.starts = true;
    setup->intonation.drone = PASSO_DRONE_ROOT;
    heard_play(band, &run, setup, "c");
    assert_int_equal(heard[0].octave, -1);
    assert_true(fabs((double)heard[1].first.hz - 116.541) < 0.001); /* its octave below */
    assert_int_equal(heard[1].first.layer, PASSO_LAYER_NOTE);
    assert_int_equal(heard[1].first.onset, PASSO_ONSET_TONGUED);
    assert_true(fabs((double)heard[0].note_hz - 116.541) < 0.001);
    assert_int_equal(heard[0].tones, 6); /* the drone is under the hearing too */
    assert_true(fabs((double)heard[2].first.hz - 116.541) < 0.001); /* B-flat 2: its root */
    assert_int_equal(heard[2].first.layer, PASSO_LAYER_DRONE);
    /* Two semitones up it is the trumpet's C, and a drone in reach (C 3); A = 415 tunes all. */
    run.shift = passo_interval_of(2);
    setup->intonation.a4_hz = 415;
    heard_play(band, &run, setup, "c");
    const double c3 = 130.8128 * 415 / 440;
    assert_true(fabs((double)heard[0].note_hz - c3) < 0.001);
    assert_true(fabs((double)heard[1].first.hz - c3) < 0.001);
    assert_true(fabs((double)heard[2].first.hz - c3) < 0.001);
    free(setup);
    band_free(band);
}

/* With no rest at all everything still has its time, in its order. */
static void no_rest_at_all(void **state)
{
    (void)state;
    static const char *const options[] = {"raise", "1 clean", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    heard_no_rest(setup);
    heard_play(band, &run, setup, "cc");
    const int64_t first_end = LEAD + PASS;
    HEARD_AT(0, PASSO_HANDED_PASS, 1, LEAD);
    HEARD_AT(1, PASSO_HANDED_PASS, 2, first_end);
    /* A starting note alone: 1.5 s for tick and cue, 2 s for the note; no soft cue between. */
    setup->intonation.starts = true;
    cues = 0;
    heard_play(band, &run, setup, "cc");
    assert_int_equal(heards, 4);
    const int64_t grown = LEAD + 2 * S + PASS;
    HEARD_AT(0, PASSO_HANDED_START, 1, LEAD);
    HEARD_AT(1, PASSO_HANDED_PASS, 1, LEAD + 2 * S);
    HEARD_AT(2, PASSO_HANDED_START, 2, grown + S * 3 / 2);
    HEARD_AT(3, PASSO_HANDED_PASS, 2, grown + S * 7 / 2);
    assert_int_equal(cues_of(PASSO_CUE_BREATHE), 0);
    /* And with a hearing. */
    setup->intonation.hear = PASSO_HEAR_NEW_RUNG;
    heard_play(band, &run, setup, "cc");
    assert_int_equal(heards, 6);
    const int64_t end = heard[2].end.frame;
    HEARD_AT(3, PASSO_HANDED_HEARING, 2, end + S * 3 / 2);
    HEARD_AT(4, PASSO_HANDED_START, 2, end + S * 3 / 2 + FAST + S * 3 / 2);
    HEARD_AT(5, PASSO_HANDED_PASS, 2, end + S * 3 / 2 + FAST + S * 7 / 2);
    assert_true(cue_at(PASSO_CUE_BREATHE, heard[5].start.frame - 3 * S));
    free(setup);
    band_free(band);
}

/* --- which passes --- */

static void expect_heard(const char *options[], const char *marks, enum passo_hear hear,
                         const char *expected)
{
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    char got[HEARD_MOST + 1] = "";
    setup->intonation.hear = hear;
    heard_play(band, &run, setup, marks);
    for (size_t i = 0; i < heards; i++)
        got[i] = heard[i].what == PASSO_HANDED_HEARING ? 'h' : 'p';
    got[heards] = '\0';
    assert_string_equal(got, expected);
    free(setup);
    band_free(band);
}

static void before_each_new_rung(void **state)
{
    (void)state;
    /* 60 60 80 80, and a run in context. */
    expect_heard((const char *[]){"raise", "2 clean in a row", "finish", "1 in context", NULL},
                 "ccccc", PASSO_HEAR_NEW_RUNG, "hpphppp");
    /* A void pass does not count; a miss stays at its tempo, and a drop comes to another. */
    expect_heard((const char *[]){"raise", "1 clean", "drop", "1 rung after 1 miss", NULL}, "vcmcc",
                 PASSO_HEAR_NEW_RUNG, "hphphphphp");
    /* Two ways to play it: each is new once at a tempo, however often they take turns. */
    expect_heard((const char *[]){"variant", "low=octave -1", "variant", "high=octave 1", "turn",
                                  "every pass", "raise", "3 clean in a row", NULL},
                 "cccccccc", PASSO_HEAR_NEW_RUNG, "hphppphphppp");
    /* A slow anchor is not heard. */
    expect_heard((const char *[]){"raise", "1 clean", "anchor", "50 %", NULL}, "cc",
                 PASSO_HEAR_EVERY_PASS, "hpphp");
    expect_heard((const char *[]){"raise", "2 clean in a row", "anchor", "50 %", NULL}, "cccc",
                 PASSO_HEAR_NEW_RUNG, "hpppphppp");
    expect_heard((const char *[]){"raise", "1 clean", NULL}, "cc", PASSO_HEAR_OFF, "pp");
}

/* A whole note from before the loop's second beat on, and nothing that begins in it; likewise a
 * loop of rests that lands on a note. */
static void what_is_under_way_or_landed_on_is_heard(void **state)
{
    (void)state;
    static const char *const options[] = {"loop", "held=1", "loop", "rests=2", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    setup->passage.loop[2].from.at = passo_ratio(1, 4);
    setup->passage.loop[3].to = (struct passo_place){2, passo_ratio(1, 2)};
    setup->notes.notes = 2;
    setup->notes.note[0].length = passo_ratio(1, 1);
    setup->notes.note[1].at = passo_ratio(3, 2);
    setup->course.stage[0].turn[0].loop = 2;
    heard_play(band, &run, setup, "c");
    assert_int_equal(heards, 2);
    assert_int_equal(heard[0].what, PASSO_HANDED_HEARING);
    assert_int_equal(heard[0].ons, 1);
    assert_int_equal(heard[0].on[0], heard[0].body.frame);
    assert_int_equal(band->last.strip.notes, 1);
    setup->course.stage[0].turn[0].loop = 3;
    heard_play(band, &run, setup, "c");
    assert_int_equal(heards, 2);
    assert_int_equal(heard[0].what, PASSO_HANDED_HEARING);
    assert_int_equal(heard[0].ons, 1);
    assert_int_equal(heard[0].on[0], heard[0].landing.frame);
    assert_int_equal(band->last.strip.notes, 1);
    setup->notes.notes = 1; /* now there is nothing to hear in it */
    heard_play(band, &run, setup, "c");
    assert_int_equal(heards, 1);
    free(setup);
    band_free(band);
}

/* Who listens hears every bar, also those that are silent in the pass. */
static void no_bar_is_silent_in_a_hearing(void **state)
{
    (void)state;
    static const char *const options[] = {"mute", "1 of 2", "loop", "both=1-2", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    setup->course.stage[0].turn[0].loop = 0; /* both bars */
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    heard_play(band, &run, setup, "mm");
    assert_int_equal(heards, 4);
    assert_int_equal(heard[2].silent, 0);
    assert_int_equal(heard[3].silent, 4);
    free(setup);
    band_free(band);
}

/* --- what is shown --- */

static struct {
    size_t listening;
    size_t notes; /* draws in which a note was shown */
    int32_t last;
    int64_t from[16]; /* frame of the first draw that shows a note, in order */
    size_t froms;
    size_t gaps; /* between two notes */
    struct passo_strip strip;
    struct passo_strip_note note[16];
    int32_t bar;
} shown;
static const struct stage *shown_stage;

static void look(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    stage_draw(view, snapshot);
    const int64_t now = stage_now_ns(shown_stage) * S / 1000000000;
    shown.listening += snapshot->listening;
    if (snapshot->listening) {
        assert_int_equal(snapshot->phase, PASSO_PHASE_REST);
        assert_int_equal(snapshot->elapsed_ms,
                         0); /* the climb's clock begins with the first count-in */
    }
    if (snapshot->listening && snapshot->bar > shown.bar)
        shown.bar = snapshot->bar;
    if (snapshot->note_now != shown.last && snapshot->note_now >= 0 && shown.froms < 16)
        shown.from[shown.froms++] = now;
    shown.gaps += shown.last >= 0 && snapshot->note_now < 0 && shown.froms % 5;
    shown.last = snapshot->note_now;
    shown.strip = snapshot->strip;
    if (snapshot->strip.notes && snapshot->strip.notes <= 16)
        memcpy(shown.note, snapshot->strip.note,
               snapshot->strip.notes * sizeof snapshot->strip.note[0]);
}

static void the_strip_and_its_place(void **state)
{
    (void)state;
    static const char *const options[] = {"variant", "low=octave -1", "rest", "10 s", NULL};
    static struct passo_view_ops ops;
    struct stage *stage = heard_stage();
    struct passo_setup *setup = heard_setup(options);
    ops = stage_view;
    ops.draw = look;
    stage->band.view.ops = &ops;
    shown_stage = stage;
    memset(&shown, 0, sizeof shown);
    shown.last = -1;
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    stage->run.shift = passo_interval_of(-4); /* C major becomes A-flat major */
    stage_press(stage, 0.03 + 9 + 3.5 + 9.5, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    /* Heard, then played: the same five notes, each with its click. */
    assert_int_equal(shown.froms, 10);
    for (int i = 0; i < 10; i++) {
        int64_t pass = i < 5 ? LEAD : LEAD + PASS + S * 7 / 2;
        int64_t late = shown.from[i] - (pass + (4 + i % 5) * S);
        assert_true(late >= 0 && late <= S / 500); /* the view sleeps by milliseconds */
    }
    assert_int_equal(shown.gaps, 0);
    assert_true(shown.listening > 9);
    assert_int_equal(shown.bar, 2); /* that of the landing */
    /* The octave below, in A-flat: A-flat 3 B-flat 3 C 4 less an octave, D-flat 3 E-flat 3. */
    static const struct passo_pitch written[] = {{-4, 2}, {-2, 2}, {0, 3}, {-5, 3}, {-3, 3}};
    assert_int_equal(shown.strip.notes, 5);
    for (size_t i = 0; i < 5; i++) {
        assert_int_equal(shown.note[i].pitch.fifths, written[i].fifths);
        assert_int_equal(shown.note[i].pitch.octave, written[i].octave);
        assert_int_equal(shown.note[i].bar, i < 4 ? 1 : 2);
        assert_int_equal(passo_ratio_cmp(shown.note[i].at, passo_ratio((int64_t)i % 4, 4)), 0);
    }
    STAGE_SHOWED(stage, "Listen: bar 1 · first · octave down · quarter = 60. Then you play.");
    STAGE_SHOWED(stage, "Play bar 1 · first · octave down · quarter = 60.");
    STAGE_SAID(stage, PASSO_SAY_START,
               "Notes: bar 1: A-flat 3 quarter, B-flat 3 quarter, C 4 quarter, D-flat 4 quarter; "
               "bar 2: E-flat 4 half.");
    STAGE_SAID(stage, PASSO_SAY_START, "Key: concert G-flat major; your A-flat major.");
    free(setup);
    stage_free(stage);
}

static bool band_said(const struct band *band, const char *line)
{
    for (size_t i = 0; i < band->lines; i++)
        if (strcmp(band->line[i], line) == 0)
            return true;
    return false;
}

/* A key is spelt alike in the strip, in the words, and as the player's; what sounds is called as
 * usual: E major, not F-flat. */
static void a_key_is_spelt_alike_everywhere(void **state)
{
    (void)state;
    static const char *const options[] = {NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    run.shift =
        passo_interval_between(setup->intonation.key, (struct passo_key){-6, PASSO_MODE_MAJOR});
    heard_play(band, &run, setup, "");
    assert_true(band_said(band, "Key: concert E major; your G-flat major."));
    assert_true(band_said(band, "Notes: bar 1: G-flat 3 quarter, A-flat 3 quarter, B-flat 3 "
                                "quarter, C-flat 4 quarter; bar 2: D-flat 4 half."));
    free(setup);
    band_free(band);
}

/* A line has room for some bars; what is too long for all lines is told by its last bar. */
static void many_notes_are_cut_at_a_bar(void **state)
{
    (void)state;
    static const char *const options[] = {"bars", "1-300", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {0};
    setup->notes.notes = 1200;
    for (int64_t i = 0; i < 1200; i++)
        setup->notes.note[i] = (struct passo_note){.at = passo_ratio(i, 4),
                                                   .length = passo_ratio(1, 8),
                                                   .pitch = {-2, 4},
                                                   .marks = i % 2 ? PASSO_NOTE_STACCATO : 0};
    heard_play(band, &run, setup, "");
    size_t lines = 0;
    for (size_t i = 0; i < band->lines; i++) {
        assert_true(strlen(band->line[i]) < 2 * PASSO_WORDS_BYTES - 1);
        lines += band->kind[i] == PASSO_SAY_START;
    }
    assert_int_equal(lines,
                     1 + 8 + 2); /* the climb, eight of notes, that there are more; the key */
    assert_non_null(strstr(band->line[2], "Notes: bar 1: B-flat 4 eighth, eighth rest, B-flat 4 "
                                          "eighth staccato, eighth rest, B-flat 4 eighth"));
    assert_string_equal(band->line[lines - 1], "And so on, to bar 300.");
    free(setup);
    band_free(band);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hearing_note_and_count_in_in_a_long_rest),
        cmocka_unit_test(whose_turn_it_is),
        cmocka_unit_test(pitches_sound_as_the_instrument_does),
        cmocka_unit_test(no_rest_at_all),
        cmocka_unit_test(before_each_new_rung),
        cmocka_unit_test(what_is_under_way_or_landed_on_is_heard),
        cmocka_unit_test(no_bar_is_silent_in_a_hearing),
        cmocka_unit_test(the_strip_and_its_place),
        cmocka_unit_test(a_key_is_spelt_alike_everywhere),
        cmocka_unit_test(many_notes_are_cut_at_a_bar),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
