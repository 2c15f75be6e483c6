/* Tracks and blocks that the machine plays, through the real conductor in simulated time: where
 * they begin and end, what sounds in them, and a steady pulse to its very frame. */
#include "heard_cues.h"

/* --- session 13 of the trade page --- */

static void session_13(void **state)
{
    (void)state;
    static const char *const options[] = {"bars",   "1-8",
                                          "target", "96",
                                          "steps",  "80 88 96",
                                          "raise",  "2 clean in a row",
                                          "rest",   "as played, at least 8 s",
                                          "finish", "none",
                                          "stop",   "none",
                                          "tired",  "none",
                                          NULL};
    /* Seconds of the trade page, to its thousandth. */
    static const double downbeat[] = {3.000, 55.500, 107.727};
    struct band *band = band_new();
    struct passo_setup *setup = stage_setup(options);
    struct passo_climb_setup run = {.track = true};
    heard_play(band, &run, setup, "cccccc");
    assert_int_equal(heards, 6);
    for (int i = 0; i < 3; i++) {
        const struct passo_instant body = heard[i].body;
        const double s = ((double)body.frame + body.fraction / 4294967296.0) / S;
        assert_true(fabs(s - downbeat[i]) < 0.0005);
    }
    assert_int_equal(heard[0].start.frame, 0);
    assert_int_equal(heard[0].body.frame, 144000);
    const double end = (double)heard[5].end.frame / S;
    assert_true(fabs(end - 267.330) < 0.0005);
    /* It ends there, and not a rest later. */
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_WON);
    assert_int_equal(band->result.passes, 6);
    assert_int_equal(band->result.elapsed_ns / 1000000, 267329); /* 267.3297 s */
    free(setup);
    band_free(band);
}

/* --- what comes first in a track --- */

static void a_track_with_hearings(void **state)
{
    (void)state;
    static const char *const options[] = {"rest", "20 s", "raise", "1 clean", NULL};
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup(options);
    struct passo_climb_setup run = {.track = true};
    setup->intonation.hear = PASSO_HEAR_NEW_RUNG;
    setup->intonation.starts = true;
    cues = 0;
    heard_play(band, &run, setup, "cc");
    assert_int_equal(heards, 6);
    HEARD_AT(0, PASSO_HANDED_HEARING, 1, 0);
    HEARD_AT(1, PASSO_HANDED_START, 1, PASS + S * 3 / 2);
    HEARD_AT(2, PASSO_HANDED_PASS, 1, PASS + S * 7 / 2);
    HEARD_AT(5, PASSO_HANDED_PASS, 2, heard[2].end.frame + 20 * S);
    /* Nobody has pressed a key; what was won is told all the same. */
    assert_int_equal(cues_of(PASSO_CUE_TICK), 0);
    assert_int_equal(cues_of(PASSO_CUE_RAISED), 1);
    setup->intonation.hear = PASSO_HEAR_OFF;
    heard_play(band, &run, setup, "c");
    HEARD_AT(0, PASSO_HANDED_START, 1, 0);
    HEARD_AT(1, PASSO_HANDED_PASS, 1, 2 * S);
    free(setup);
    band_free(band);
}

static enum passo_error open_nowhere(const struct passo_output_ask *ask, struct passo_output **out,
                                     char *out_fault, size_t bytes)
{
    (void)ask, (void)out;
    snprintf(out_fault, bytes, "march.wav: the folder is not there");
    return PASSO_ERR_FILE;
}

/* Where a device would give way to the silent clock, a file is not left out. */
static void a_file_has_no_stand_in(void **state)
{
    (void)state;
    struct band *band = band_new();
    struct passo_setup *setup = heard_setup((const char *[]){NULL});
    struct passo_output_ops ops = passo_output_simulated;
    char fault[256] = "";
    ops.open = open_nowhere;
    band->view.ops = &band_ops;
    struct passo_climb_setup run = {
        .setup = setup, .output = &ops, .view = &band->view, .player = "", .track = true};
    assert_int_equal(passo_climb_run(&run, &band->result, fault, sizeof fault), PASSO_ERR_FILE);
    assert_string_equal(fault, "march.wav: the folder is not there");
    free(setup);
    band_free(band);
}

/* --- blocks --- */

/* Four quarters of notes at 60, so many passes with 2 s between. */
static struct passo_setup *block(uint16_t passes)
{
    struct passo_setup *setup = heard_setup((const char *[]){"target", "60", NULL});
    stage_once(setup, PASSO_CLIMBS_BLOCK, 1000);
    struct passo_rule *rule = &setup->course.stage[0].rule;
    rule->stop_passes = passes;
    rule->rest_permille = 0;
    rule->rest_fixed_ms = 2000;
    return setup;
}

static void the_machine_plays_a_block(void **state)
{
    (void)state;
    struct stage *stage = stage_new();
    struct passo_setup *setup = block(2);
    stage->run.plays = true;
    stage->run.witness = &witness;
    heards = 0;
    stage_play(stage, setup);
    assert_int_equal(heards, 2);
    for (size_t i = 0; i < 2; i++) {
        assert_int_equal(heard[i].what, PASSO_HANDED_PASS);
        assert_int_equal(heard[i].ons, 5); /* the notes of bar 1, and that of the landing */
        for (int k = 0; k < 5; k++)
            assert_int_equal(heard[i].on[k], heard[i].start.frame + (4 + k) * S);
    }
    assert_int_equal(heard[1].start.frame, heard[0].end.frame + 2 * S);
    STAGE_SAID(stage, PASSO_SAY_PASS,
               "Listen: Marrowby jig · bar 1 · first · quarter = 60 · 2 passes.");
    STAGE_SAID(stage, PASSO_SAY_PASS, "Pass 2 of 2: listen.");
    STAGE_SHOWED(stage, "Listen: bar 1 · first · quarter = 60.");
    free(setup);
    stage_free(stage);
}

static void in_turns(void **state)
{
    (void)state;
    struct stage *stage = stage_new();
    struct passo_setup *setup = block(2);
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    stage->run.witness = &witness;
    heards = 0;
    stage_play(stage, setup);
    assert_int_equal(heards, 4);
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(heard[i].what, i % 2 ? PASSO_HANDED_PASS : PASSO_HANDED_HEARING);
        assert_int_equal(heard[i].pass, 1 + i / 2);
        assert_int_equal(heard[i].ons, i % 2 ? 0 : 5);
    }
    assert_int_equal(heard[3].start.frame, heard[2].end.frame + S * 7 / 2);
    STAGE_SAID(stage, PASSO_SAY_PASS,
               "Listen: Marrowby jig · bar 1 · first · quarter = 60. Then you play.");
    STAGE_SAID(stage, PASSO_SAY_PASS, "Pass 2 of 2: your turn.");
    STAGE_SHOWED(stage, "Listen: bar 1 · first · quarter = 60. Then you play.");
    STAGE_SHOWED(stage, "Your turn: bar 1 · first · quarter = 60.");
    free(setup);
    stage_free(stage);
}

/* Where another item comes, a track keeps the rest that leads to it. */
static void a_track_of_a_day_rests_between(void **state)
{
    (void)state;
    struct stage *stage = stage_new();
    struct passo_setup *setup = block(1);
    stage->run.track = true;
    stage->run.then_words = "Then G-flat major.";
    stage->run.witness = &witness;
    heards = 0;
    stage_play(stage, setup);
    assert_true(stage_now_ns(stage) >= 1000000000LL * (heard[0].end.frame + 2 * S) / S);
    stage->run.then_words = NULL;
    stage_play(stage, setup);
    assert_true(stage_now_ns(stage) < 1000000000LL * (heard[1].end.frame + S / 10) / S);
    free(setup);
    stage_free(stage);
}

/* --- a steady pulse --- */

enum { TAPE_HZ = 8000, LIMIT_MS = 10000, TAPE_FRAMES = TAPE_HZ * LIMIT_MS / 1000 };

/* An output that keeps what it renders, in simulated time. */
static struct {
    struct passo_output output;
    struct passo_player *player;
    float frame[TAPE_FRAMES + TAPE_HZ];
    int64_t frames;
    int64_t now_ns;
    size_t steps;
} tape;

static struct passo_output_ops tape_ops;

static enum passo_error tape_open(const struct passo_output_ask *ask, struct passo_output **out,
                                  char *out_fault, size_t bytes)
{
    (void)ask, (void)out_fault, (void)bytes;
    memset(&tape, 0, sizeof tape);
    tape.output.ops = &tape_ops;
    *out = &tape.output;
    return PASSO_OK;
}

static enum passo_error tape_start(struct passo_output *output, struct passo_player *player)
{
    (void)output;
    tape.player = player;
    return PASSO_OK;
}

static void tape_stop(struct passo_output *output)
{
    (void)output;
}

static uint32_t tape_rate(const struct passo_output *output)
{
    (void)output;
    return TAPE_HZ;
}

static int64_t tape_now(const struct passo_output *output)
{
    (void)output;
    return tape.now_ns;
}

static bool tape_alive(struct passo_output *output)
{
    (void)output;
    return true;
}

static void tape_advance(struct passo_output *output, int64_t until_ns)
{
    (void)output;
    const int64_t end = until_ns * TAPE_HZ / 1000000000 + 1;
    assert_true(end <= TAPE_FRAMES + TAPE_HZ);
    tape.now_ns = until_ns;
    tape.steps++;
    if (end <= tape.frames)
        return;
    passo_player_render(tape.player, tape.frame + tape.frames, (size_t)(end - tape.frames),
                        tape.frames * (1000000000 / TAPE_HZ));
    tape.frames = end;
}

static struct passo_output_ops tape_ops = {.name = "tape",
                                           .open = tape_open,
                                           .start = tape_start,
                                           .stop = tape_stop,
                                           .close = tape_stop,
                                           .rate_hz = tape_rate,
                                           .now_ns = tape_now,
                                           .alive = tape_alive,
                                           .advance = tape_advance};

static void play_pulse(bool no_clicks, const char *const *options)
{
    char fault[256] = "";
    struct band *band = band_new();
    struct passo_setup *setup = stage_setup(options);
    band->view.ops = &band_ops;
    setup->intonation =
        (struct passo_intonation){.drone = PASSO_DRONE_NOTE, .note = {-2, 3}, .a4_hz = 440};
    const struct passo_climb_setup run = {.setup = setup,
                                          .output = &tape_ops,
                                          .view = &band->view,
                                          .track = true,
                                          .no_clicks = no_clicks};
    assert_int_equal(passo_pulse_run(&run, LIMIT_MS, fault, sizeof fault), PASSO_OK);
    free(setup);
    band_free(band);
}

/* Ten seconds of a drone are ten seconds of one tone: over the bars of which it is made its
 * loudness never breaks, it begins with the first frame and has faded on the last. */
static void a_drone_to_its_very_frame(void **state)
{
    (void)state;
    enum { WINDOW = TAPE_HZ / 20 };
    play_pulse(true, (const char *[]){"bars", "1-1", "target", "133", NULL});
    assert_int_equal(tape.frames, TAPE_FRAMES);
    assert_true(tape.steps < 40); /* bars at a time, not hundredths of a second */
    double least = 1, most = 0;
    for (int from = TAPE_HZ / 2; from + WINDOW <= TAPE_FRAMES - TAPE_HZ / 100; from += WINDOW / 4) {
        double sum = 0;
        for (int i = 0; i < WINDOW; i++)
            sum += (double)tape.frame[from + i] * (double)tape.frame[from + i];
        const double rms = sqrt(sum / WINDOW);
        least = rms < least ? rms : least;
        most = rms > most ? rms : most;
    }
    assert_true(least > 0.001);
    assert_true(most < 1.12 * least); /* a window holds no whole number of periods: 1 dB */
    assert_true(fabs((double)tape.frame[TAPE_FRAMES - 1]) < 0.001);
}

/* The first click is on the first frame, and one comes each beat to the end. */
static void a_pulse_from_its_first_frame(void **state)
{
    (void)state;
    static const char *const options[] = {"bars", "1-1", "target", "120", NULL};
    play_pulse(false, options);
    assert_int_equal(tape.frames, TAPE_FRAMES);
    assert_true(fabsf(tape.frame[1]) > 0 || fabsf(tape.frame[0]) > 0);
    for (int beat = 0; beat < 20; beat++) {
        float before = 0, after = 0;
        const int at = beat * TAPE_HZ / 2;
        for (int i = 0; i < 40; i++) {
            const float is = fabsf(tape.frame[at + i]);
            const float was = at > 40 ? fabsf(tape.frame[at - 40 + i]) : 0;
            after = is > after ? is : after;
            before = was > before ? was : before;
        }
        assert_true(after > 0.05F && after > 2 * before);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(session_13),
        cmocka_unit_test(a_track_with_hearings),
        cmocka_unit_test(a_file_has_no_stand_in),
        cmocka_unit_test(the_machine_plays_a_block),
        cmocka_unit_test(in_turns),
        cmocka_unit_test(a_track_of_a_day_rests_between),
        cmocka_unit_test(a_drone_to_its_very_frame),
        cmocka_unit_test(a_pulse_from_its_first_frame),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
