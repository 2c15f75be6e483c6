/* The sound of a whole climb, frame by frame: every click, tick and cue is predicted here from the
 * rules of the design, and the tape of the real conductor and player must hold just that and
 * silence. Nothing sounds in a pass but the pulse; cues sound only in rests. */
#include "stage_band.h"

#define TAPE_S 160
#include "tape.h"

/* One pass of `beats` beats in 4/4 from its count-in on; returns the end of its landing. */
static int64_t lay_pass(int64_t start, int tempo, int beats)
{
    int64_t beat = RATE_HZ * 60 / tempo; /* whole frames at the tempi used here */
    lay(&kit.click[PASSO_CLICK_COUNT_BAR], start);
    for (int i = 1; i < 4; i++)
        lay(&kit.click[PASSO_CLICK_COUNT], start + i * beat);
    for (int i = 0; i <= beats; i++)
        lay(&kit.click[i % 4 ? PASSO_CLICK_BEAT : PASSO_CLICK_BAR], start + (4 + i) * beat);
    return start + (4 + beats + 1) * beat;
}

static int64_t lay_rest(int64_t end, int tempo, int beats, enum passo_cue cue, bool last,
                        enum passo_cue before)
{
    int64_t rest = (int64_t)(beats + 1) * RATE_HZ * 60 / tempo;
    if (rest < 6 * RATE_HZ)
        rest = 6 * RATE_HZ;
    lay(&kit.cue[PASSO_CUE_TICK], end + RATE_HZ * 60 / 1000);
    if (cue != PASSO_CUE_COUNT)
        lay(&kit.cue[cue], end + RATE_HZ * 450 / 1000);
    if (!last)
        lay(&kit.cue[before], end + rest - 3 * RATE_HZ);
    return end + rest;
}

static void every_frame_of_a_climb(void **state)
{
    (void)state;
    static const char *const options[] = {
        "bars",          "5-5",   "target",  "120",  "steps",
        "60 80 100 120", "raise", "1 clean", "drop", "1 rung after 2 misses",
        "context",       "2",     "stop",    "none", "tired",
        "none",          NULL};
    static const struct {
        int tempo;
        enum passo_cue cue;
    } course[] = {{60, PASSO_CUE_RAISED},   {80, PASSO_CUE_RAISED}, {100, PASSO_CUE_AGAIN},
                  {100, PASSO_CUE_DROPPED}, {80, PASSO_CUE_RAISED}, {100, PASSO_CUE_RAISED},
                  {120, PASSO_CUE_WON}};
    enum { PASSES = sizeof course / sizeof course[0] };
    struct band *band = band_new();
    tape_begin();
    int64_t at = RATE_HZ * 30 / 1000;
    for (int i = 0; i < PASSES; i++) {
        bool won = i == PASSES - 1;
        at = lay_pass(at, course[i].tempo, 4);
        at = lay_rest(at, course[i].tempo, 4, course[i].cue, false,
                      won ? PASSO_CUE_CONTEXT : PASSO_CUE_BREATHE);
    }
    at = lay_pass(at, 120, 4 * 5); /* two bars before, two after */
    lay_rest(at, 120, 20, PASSO_CUE_COUNT, true, PASSO_CUE_COUNT);
    band->output = &tape_ops;
    band_play(band, options, "ccmmcccc");
    BAND_EXPECT(band, 60, 80, 100, 100, 80, 100, 120, 120);
    expect_tape();
    tape_end();
    band_free(band);
}

/* A mark late in the count-in that changes what comes next: the count-in stops within the fade,
 * tick and cue sound, and after two seconds a new count-in begins at the new tempo. */
static void a_late_mark_stops_the_count_in(void **state)
{
    (void)state;
    static const char *const options[] = {"bars",          "1",     "target",  "120",  "steps",
                                          "60 80 100 120", "raise", "1 clean", "stop", "none",
                                          "tired",         "none",  NULL};
    enum { FADE_FRAMES = BLOCK + RATE_HZ * 6 / 1000 };
    struct band *band = band_new();
    tape_begin();
    int64_t end = lay_pass(RATE_HZ * 30 / 1000, 60, 4);
    int64_t count_in = end + 6 * RATE_HZ;
    lay(&kit.cue[PASSO_CUE_BREATHE], count_in - 3 * RATE_HZ);
    lay(&kit.click[PASSO_CLICK_COUNT_BAR], count_in);
    lay(&kit.click[PASSO_CLICK_COUNT], count_in + RATE_HZ);
    lay(&kit.click[PASSO_CLICK_COUNT], count_in + 2 * RATE_HZ);
    int64_t press = count_in + 2 * RATE_HZ + RATE_HZ / 200; /* in the middle of a click */
    lay(&kit.cue[PASSO_CUE_TICK], press + RATE_HZ * 60 / 1000);
    lay(&kit.cue[PASSO_CUE_RAISED], press + RATE_HZ * 450 / 1000);
    int64_t last = lay_pass(press + 2 * RATE_HZ, 80, 4);
    band->output = &tape_ops;
    band_add(band, (double)press / RATE_HZ, PASSO_COMMAND_CLEAN, ' ');
    band_add(band, (double)(last + RATE_HZ) / RATE_HZ, PASSO_COMMAND_QUIT, 'q');
    band_play(band, options, NULL);
    BAND_EXPECT(band, 60, 80);
    /* The click that sounded fades; it never rises over what it would have been. */
    for (int64_t i = press; i < press + FADE_FRAMES; i++) {
        assert_true(tape.frame[i] <= 0.2f && tape.frame[i] >= -0.2f);
        tape.frame[i] = expected[i] = 0;
    }
    for (size_t i = 0; i < kit.click[PASSO_CLICK_COUNT].frames; i++) {
        if (press - RATE_HZ / 200 + (int64_t)i >= press + FADE_FRAMES)
            expected[press - RATE_HZ / 200 + (int64_t)i] = 0;
    }
    expect_tape();
    tape_end();
    band_free(band);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_frame_of_a_climb),
        cmocka_unit_test(a_late_mark_stops_the_count_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
