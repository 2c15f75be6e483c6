/* A day in real time: the list waits for a key; a device goes away between two items and comes back
 * there with another rate, and nothing is lost. The device is the silent output under another name,
 * so that the test can take it away. Threads meet here: the output's and the day's. */
#include "day_tools.h"

#include <time.h>

static bool gone;
static uint32_t rate_hz;
static int opens;
static int waits;
static enum passo_command list_command;
static struct passo_output_ops fake_ops;

static enum passo_error fake_open(const struct passo_output_ask *ask, struct passo_output **out,
                                  char *out_fault, size_t fault_bytes)
{
    struct passo_output_ask mine = {.rate_hz = rate_hz};
    (void)ask;
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

/* Awake in real time; takes the device away while the second item is announced. */
static void real_wait(struct passo_view *view, int64_t timeout_ns)
{
    const struct passo_snapshot *last = &((struct band *)view)->last;
    struct timespec pause = {.tv_nsec = timeout_ns < 20000000 ? timeout_ns : 20000000};
    nanosleep(&pause, NULL);
    waits++;
    if (opens == 1 && last->day && last->day->now == 1 && last->phase == PASSO_PHASE_REST &&
        last->rest_left_ms > 0 && last->day->line[0].state == PASSO_DAY_DONE) {
        gone = true;
        rate_hz = 44100;
    }
}

/* The list's key, once the list has stood for a second. */
static bool real_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    const struct passo_snapshot *last = &((struct band *)view)->last;
    static const int second = 1000 / 20;
    bool begins = last->day && last->day->listing && waits > second;
    if (begins)
        waits = 0;
    *out_press = (struct passo_press){.command = list_command, .key = ' ', .at_ns = now_ns};
    return begins;
}

static struct troupe *real_troupe(struct passo_view_ops *ops)
{
    struct troupe *troupe = troupe_new();
    *ops = troupe_ops;
    ops->wait = real_wait;
    ops->press = real_press;
    ops->due_ns = NULL;
    troupe->band.ops = ops;
    fake_ops = passo_output_silent;
    fake_ops.open = fake_open;
    fake_ops.alive = fake_alive;
    troupe->band.output = &fake_ops;
    rate_hz = 48000;
    opens = 0;
    waits = 0;
    list_command = PASSO_COMMAND_CLEAN;
    return troupe;
}

/* One pass at 300: 0.8 s of count-in, as much to play, and a rest of a second. */
static void add_quick(struct troupe *troupe, const char *line, int32_t prepare_ms)
{
    size_t item = add_block(troupe, line, "Next.", prepare_ms, 1);
    struct passo_setup *setup = troupe->setup[item];
    setup->rule.start_mbpm = setup->rule.target_mbpm = 300000;
    setup->rule.rest_fixed_ms = 1000;
    passo_course_single(&setup->course, &setup->passage, &setup->rule);
    assert_int_equal(passo_course_check(&setup->course, NULL, 0), PASSO_OK);
}

static void a_device_is_lost_between_two_items(void **state)
{
    (void)state;
    struct passo_view_ops ops;
    struct troupe *troupe = real_troupe(&ops);
    add_quick(troupe, "long tones", 0);
    add_quick(troupe, "slurs", 4500); /* the device is tried again after three seconds */
    troupe->day.asks = true;
    troupe_run(troupe, NULL);
    assert_true(troupe->result.finished);
    size_t said = expect_said(troupe, 0, "Space begins, q leaves.");
    said = expect_said(troupe, said, "No sound: the device went away");
    expect_said(troupe, said, "Sound is back.");
    assert_int_equal(opens, 2);
    assert_true(troupe->drawn[0].listing);
    assert_int_equal(troupe->drawn[0].rest_left_ms, -1);
    assert_false(troupe->drawn[troupe->draws - 1].listing);
    /* The rest that was said is no shorter for it; a busy machine takes longer. */
    assert_int_equal(troupe->deeds, 4);
    assert_true(troupe->deed[2].at_s - troupe->deed[1].at_s > 4.4);
    size_t noticed = 0;
    for (size_t i = 0; i < troupe->draws; i++)
        noticed += !strncmp(troupe->drawn[i].notice, "No sound: the device went away", 30);
    assert_true(noticed > 0 && noticed < troupe->draws);
    expect_serials(troupe);
    assert_int_equal(troupe->result.balance.played_ms, 2000);
    assert_true(troupe->result.balance.rested_ms >= 4500 + 2000);
    troupe_free(troupe);
}

static void a_list_that_is_left(void **state)
{
    (void)state;
    struct passo_view_ops ops;
    struct troupe *troupe = real_troupe(&ops);
    add_quick(troupe, "long tones", 0);
    list_command = PASSO_COMMAND_QUIT;
    troupe->day.asks = true;
    troupe_run(troupe, NULL);
    assert_int_equal(troupe->deeds, 0);
    assert_int_equal(troupe->result.left, 1);
    assert_false(troupe->result.cut_short);
    troupe_free(troupe);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_list_that_is_left),
        cmocka_unit_test(a_device_is_lost_between_two_items),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
