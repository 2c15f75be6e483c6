/* What the machine plays before a count-in where the way to the player is disturbed, through the
 * real conductor in simulated time: a device that comes back with another rate. */
#include "heard.h"

enum { NEW_HZ = 44100 };

static struct {
    int64_t at; /* the first draw from this frame on in which ... */
    bool done;  /* ... it was done */
} plan;
static struct stage *played;

/* A rest of 20 s behind the first pass: its hearing sounds from 7.5 s to 16.5 s of it. */
static const int64_t pass_end = LEAD + PASS + S * 7 / 2 + PASS;
static const char *const rests[] = {"rest", "20 s", "raise", "1 clean", NULL};

static struct passo_setup *setup_heard(void)
{
    struct passo_setup *setup = heard_setup(rests);
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    setup->intonation.starts = true;
    return setup;
}

static void play(struct stage *stage, const struct passo_view_ops *ops, struct passo_setup *setup)
{
    stage->band.view.ops = ops;
    played = stage;
    plan.done = false;
    stage_play(stage, setup);
    assert_true(plan.done);
}

static int64_t frame_now(void)
{
    return stage_now_ns(played) * S / 1000000000;
}

/* --- another rate --- */

static void return_and_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    const struct passo_output_ask ask = {.rate_hz = NEW_HZ};
    char fault[64];
    stage_draw(view, snapshot);
    /* Its clock has begun with 0. */
    if (plan.done && !played->sounding.returned && !played->band.presses)
        stage_press(played, 5, PASSO_COMMAND_QUIT);
    if (plan.done || frame_now() < plan.at)
        return;
    assert_int_equal(snapshot->phase, PASSO_PHASE_REST);
    assert_int_equal(stage_output.open(&ask, &played->sounding.returned, fault, sizeof fault),
                     PASSO_OK);
    plan.done = true;
}

/* Comes back so long after the first pass's end; what is handed over then. */
static void comes_back(double s, size_t more, const enum passo_handed *what)
{
    struct passo_view_ops ops = stage_view;
    struct stage *stage = heard_stage();
    struct passo_setup *setup = setup_heard();
    ops.draw = return_and_draw;
    plan.at = pass_end + (int64_t)(s * S);
    play(stage, &ops, setup);
    assert_int_equal(heards, 6 + more);
    for (size_t i = 0; i < more; i++) {
        assert_int_equal(heard[6 + i].what, what[i]);
        assert_int_equal(heard[6 + i].pass, 2);
    }
    free(setup);
    stage_free(stage);
}

static void at_another_rate_what_was_heard_stays_heard(void **state)
{
    (void)state;
    static const enum passo_handed all[] = {PASSO_HANDED_HEARING, PASSO_HANDED_START,
                                            PASSO_HANDED_PASS};
    comes_back(3, 3, all);      /* it waits */
    comes_back(10, 3, all);     /* it sounds, and was cut */
    comes_back(17, 2, all + 1); /* it is over */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_another_rate_what_was_heard_stays_heard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
