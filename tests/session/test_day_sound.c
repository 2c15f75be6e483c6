/* The sound of a whole day, frame by frame: every click and cue is predicted here, and the tape of
 * the real conductor and player must hold just that and silence. So the stream runs on from item to
 * item without a gap, nothing of one lies over the next, and what was skipped leaves no sound. */
#include "day_tools.h"

#define TAPE_S 110
#include "tape.h"

enum { LEAD = RATE_HZ * 30 / 1000 };

static int set_up(void **state)
{
    (void)state;
    tape_begin();
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    tape_end();
    return 0;
}

static void lay_cue(enum passo_cue cue, int64_t at)
{
    lay(&kit.cue[cue], at);
}

/* One pass of a bar at 60 from its count-in on; returns the end of its landing. */
static int64_t lay_pass(int64_t start)
{
    lay(&kit.click[PASSO_CLICK_COUNT_BAR], start);
    for (int i = 1; i < 4; i++)
        lay(&kit.click[PASSO_CLICK_COUNT], start + (int64_t)i * RATE_HZ);
    for (int i = 0; i <= 4; i++)
        lay(&kit.click[i % 4 ? PASSO_CLICK_BEAT : PASSO_CLICK_BAR],
            start + (int64_t)(4 + i) * RATE_HZ);
    return start + INT64_C(9) * RATE_HZ;
}

static void expect_whole_tape(int64_t frames)
{
    expect_tape();
    assert_true(tape.frames - frames >= 0 && tape.frames - frames < 16);
}

/* A key, the next one right after its last rest, a visit with its cue, a breath before each. Waking
 * up may cost a frame or two at each seam, so the seams are asked of what was told, to the frame.
 */
static void every_frame_of_a_day(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "flow study \u00b7 D-flat major", "Flow study.", 10000, 1);
    add_block(troupe, "flow study \u00b7 G-flat major", "Then G-flat major.", 0, 1);
    add_visit(troupe, "visit: The run up to the trio", "Visit.", 8000, 1);
    add_block(troupe, "long tones", "Long tones.", 5000, 1);
    add_block(troupe, "slurs", "Slurs.", 4000, 1);
    troupe->band.output = &tape_ops;
    /* A moment before the breath cue of the long tones, when it has been sent already: the slurs
     * come instead. */
    const double wait = 10 + 3 * 15.03 + 8;
    band_add(&troupe->band, wait + 1.9, PASSO_COMMAND_SKIP, 'k');
    troupe_run(troupe, "c");
    size_t deed = 0;
    int64_t at[4];
    static const size_t played[4] = {0, 1, 2, 4};
    for (size_t i = 0; i < 4; i++) {
        while (troupe->deed[deed].item != played[i] ||
               troupe->deed[deed].doing != PASSO_DOING_BEGAN)
            deed++;
        at[i] = (int64_t)(troupe->deed[deed].at_s * RATE_HZ + 0.5);
        int64_t end = lay_pass(at[i] + LEAD);
        if (played[i] == 2) {
            lay_cue(PASSO_CUE_TICK, end + RATE_HZ * 60 / 1000);
            lay_cue(PASSO_CUE_AGAIN, at[i] - 8 * RATE_HZ + RATE_HZ * 450 / 1000);
        }
    }
    lay_cue(PASSO_CUE_BREATHE, at[0] - 3 * RATE_HZ);
    lay_cue(PASSO_CUE_BREATHE, at[1] - 3 * RATE_HZ);
    lay_cue(PASSO_CUE_BREATHE, at[2] - 3 * RATE_HZ);
    lay_cue(PASSO_CUE_BREATHE, at[3] - 3 * RATE_HZ);
    expect_whole_tape(at[3] + LEAD + INT64_C(15) * RATE_HZ);
    troupe_free(troupe);
}

/* The breath cue comes once, 3 s before the count-in, wherever keys move that; one that was sent is
 * taken back. Each key comes 100 ms before it. */
static void the_breath_cue_moves(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "long tones", "Long tones.", 10000, 1);
    add_block(troupe, "slurs", "Slurs.", 10000, 1);
    troupe->band.output = &tape_ops;
    band_add(&troupe->band, 6.9, PASSO_COMMAND_PAUSE, 'p'); /* 3.1 s are left */
    band_add(&troupe->band, 12.5, PASSO_COMMAND_PAUSE, 'p');
    band_add(&troupe->band, 12.55, PASSO_COMMAND_MISS, 'x'); /* says nothing here */
    /* 15.6 to 30.63, and from then on 10 s */
    band_add(&troupe->band, 37.53, PASSO_COMMAND_LONGER, 'l');
    band_add(&troupe->band, 47.53, PASSO_COMMAND_SOONER, 's');
    troupe_run(troupe, NULL);
    int64_t first = (int64_t)(troupe->deed[0].at_s * RATE_HZ + 0.5);
    int64_t second = (int64_t)(troupe->deed[2].at_s * RATE_HZ + 0.5);
    assert_true(first - (int64_t)(15.6 * RATE_HZ) < 8 && first >= (int64_t)(15.6 * RATE_HZ) - 8);
    lay_cue(PASSO_CUE_BREATHE, first - 3 * RATE_HZ);
    lay_pass(first + LEAD);
    lay_pass(second + LEAD); /* in two seconds, so without a cue */
    expect_whole_tape(second + LEAD + INT64_C(15) * RATE_HZ);
    troupe_free(troupe);
}

/* Frames that are late where nothing sounds are none of the next item's. */
static void late_frames_between(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "long tones", "Long tones.", 10000, 1);
    troupe->band.output = &tape_ops;
    tape.late_at = 5 * RATE_HZ;
    troupe_run(troupe, NULL);
    assert_int_equal(tape.late_at, 0);
    assert_int_equal(times_said(troupe, "The sound was late"), 0);
    troupe_free(troupe);
}

/* The word of an offered long rest has its own cue, and a visit behind it adds none. */
static void an_offered_rest_is_heard(void **state)
{
    (void)state;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "long tones", "Long tones.", 3500, 1);
    add_visit(troupe, "visit: The run up to the trio", "Visit.", 8000, 1);
    troupe->day.offers_rest = true;
    troupe->day.balance = (struct passo_balance){.since_long_ms = 899000};
    troupe->band.output = &tape_ops;
    band_add(&troupe->band, 30, PASSO_COMMAND_SOONER, 's');
    band_add(&troupe->band, 30.5, PASSO_COMMAND_QUIT, 'q');
    troupe_run(troupe, NULL);
    int64_t began = (int64_t)(troupe->deed[0].at_s * RATE_HZ + 0.5);
    int64_t ended = (int64_t)(troupe->deed[1].at_s * RATE_HZ + 0.5);
    lay_cue(PASSO_CUE_BREATHE, began - 3 * RATE_HZ);
    lay_pass(began + LEAD);
    lay_cue(PASSO_CUE_TIME, ended + RATE_HZ * 450 / 1000);
    expect_whole_tape(30 * RATE_HZ + RATE_HZ / 2);
    troupe_free(troupe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_frame_of_a_day, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_breath_cue_moves, set_up, tear_down),
        cmocka_unit_test_setup_teardown(late_frames_between, set_up, tear_down),
        cmocka_unit_test_setup_teardown(an_offered_rest_is_heard, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
