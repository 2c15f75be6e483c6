/* What the machine plays before a count-in where the way to the player is disturbed, through the
 * real conductor in simulated time: a device that comes back with another rate, a ring of
 * commands that is full. */
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

/* --- a full ring --- */

enum { RING = 1024, FULL_FOR = S / 5 };

static size_t left; /* so many commands still have room */
static int64_t began[2][2];
static size_t beginnings[2]; /* of listening, of a count-in */

/* The last thing before the conductor's step: the output has emptied the ring. */
static void wait_and_fill(struct passo_view *view, int64_t timeout_ns)
{
    stage_wait(view, timeout_ns);
    if (frame_now() < pass_end - S / 2 || frame_now() > pass_end + FULL_FOR)
        return;
    plan.done = true;
    for (size_t i = left; i < RING; i++)
        if (passo_player_level(played->sounding.player, 0.4F) != PASSO_OK)
            return;
}

static void note_beginnings(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    static bool before[2];
    const bool now[] = {snapshot->listening, snapshot->phase == PASSO_PHASE_COUNT_IN};
    stage_draw(view, snapshot);
    for (int i = 0; i < 2; i++) {
        if (now[i] && !before[i] && beginnings[i] < 2)
            began[i][beginnings[i]++] = frame_now();
        before[i] = now[i];
    }
}

/* The second pass, on its frames as if the ring had had room (test_hearing.c works them out). */
static void fill(size_t room)
{
    struct passo_view_ops ops = stage_view;
    struct stage *stage = heard_stage();
    struct passo_setup *setup = setup_heard();
    const int64_t second = pass_end + 20 * S;
    const int64_t starts[] = {second - S * 7 / 2 - PASS, second};
    ops.wait = wait_and_fill;
    ops.draw = note_beginnings;
    left = room;
    memset(beginnings, 0, sizeof beginnings);
    stage_press(stage, (double)second / S + 2, PASSO_COMMAND_QUIT);
    play(stage, &ops, setup);
    assert_true(heards >= 6);
    HEARD_AT(heards - 3, PASSO_HANDED_HEARING, 2, starts[0]);
    HEARD_AT(heards - 2, PASSO_HANDED_START, 2, second - 2 * S);
    HEARD_AT(heards - 1, PASSO_HANDED_PASS, 2, second);
    /* Nothing that was taken back is heard, nor holds the rest up. */
    for (int i = 0; i < 2; i++) {
        assert_int_equal(beginnings[i], 2);
        const int64_t late = began[i][1] - starts[i];
        assert_true(late >= 0 && late <= S / 500);
    }
    free(setup);
    stage_free(stage);
}

static void a_full_ring_makes_nothing_late(void **state)
{
    (void)state;
    for (size_t room = 0; room < 5; room++)
        fill(room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_another_rate_what_was_heard_stays_heard),
        cmocka_unit_test(a_full_ring_makes_nothing_late),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
