/* A device that goes away in mid-climb and comes back with another rate, in real time: the silent
 * clock takes over in the same pass, sound returns in a rest, and nothing is lost. The device is
 * the silent output under another name, so that the test can take it away. */
#include "stage_band.h"

#include <time.h>

static bool gone;
static uint32_t rate_hz = 48000;
static int opens;
static struct passo_output_ops fake_ops;

static enum passo_error fake_open(const struct passo_output_ask *ask, struct passo_output **out,
                                  char *out_fault, size_t fault_bytes)
{
    struct passo_output_ask mine = {.rate_hz = rate_hz};
    (void)ask, (void)out_fault, (void)fault_bytes;
    opens++;
    gone = false;
    enum passo_error error = passo_output_silent.open(&mine, out, out_fault, fault_bytes);
    if (error == PASSO_OK)
        (*out)->ops = &fake_ops;
    return error;
}

static bool fake_alive(struct passo_output *output)
{
    (void)output;
    return !gone;
}

/* The view of the band, awake in real time; takes the device away in the second pass. */
static void real_wait(struct passo_view *view, int64_t timeout_ns)
{
    struct band *band = (struct band *)view;
    struct timespec pause = {.tv_nsec = timeout_ns < 20000000 ? timeout_ns : 20000000};
    nanosleep(&pause, NULL);
    if (opens == 1 && band->last.pass == 2 && band->last.phase == PASSO_PHASE_PLAYING) {
        gone = true;
        rate_hz = 44100;
    }
}

static bool no_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    (void)view, (void)now_ns, (void)out_press;
    return false;
}

static bool was_said(const struct band *band, const char *words)
{
    for (size_t i = 0; i < band->lines; i++) {
        if (strstr(band->line[i], words))
            return true;
    }
    return false;
}

static void a_device_comes_back_with_another_rate(void **state)
{
    (void)state;
    static const char *const options[] = {
        "bars", "1",   "meter",    "2/4",   "target", "300",  "start",  "300",  "raise", "6 clean",
        "rest", "1 s", "count-in", "1 bar", "stop",   "none", "finish", "none", NULL};
    struct passo_view_ops ops = band_ops;
    struct band *band = band_new();
    fake_ops = passo_output_silent;
    fake_ops.open = fake_open;
    fake_ops.alive = fake_alive;
    ops.wait = real_wait;
    ops.press = no_press;
    ops.due_ns = NULL;
    band->ops = &ops;
    band->output = &fake_ops;
    band_play(band, options, "cccccc");
    assert_true(was_said(band, "No sound: the device went away"));
    assert_true(was_said(band, "Sound is back."));
    assert_int_equal(opens, 2);
    assert_int_equal(band->rows, 6);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_WON);
    /* Count-in 2 beats, body 2, landing 1, rest 1 s: 2 s a pass, whatever happened meanwhile; the
     * swap of outputs may take some hundredths of a second of a rest. */
    double before = 0;
    for (size_t i = 0; i < band->rows; i++) {
        assert_string_equal(band->row[i].mark, "clean");
        BAND_CLOCK(band->row[i].play_s, 0.6);
        assert_true(band->row[i].elapsed_s - before > 1.99);
        assert_true(band->row[i].elapsed_s - before < 2.3);
        before = band->row[i].elapsed_s;
    }
    band_free(band);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_device_comes_back_with_another_rate),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
