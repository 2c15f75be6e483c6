/* Frames lost without a word are found from the clock alone: a device is simulated that empties a
 * buffer at its rate and asks for blocks at uneven moments. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>
#include <passo/random.h>
#include "output/lag.h"

enum { RATE_HZ = 48000, BLOCK_FRAMES = 480 };

/* Plays for so many seconds; at each slip_s (0: never) the device stands still for gap_s. Returns
 * how often a slip was told. drift: the device's rate against its name. */
static int play(double seconds, double slip_every_s, double gap_s, double jitter_s, double drift)
{
    struct passo_random random;
    struct lag lag = {0};
    double due_s = 100.0; /* when the device has room for the next block */
    double next_slip_s = 100.0 + slip_every_s;
    int told = 0;
    passo_random_seed(&random, 5);
    while (due_s < 100.0 + seconds) {
        if (slip_every_s > 0 && due_s > next_slip_s) {
            due_s += gap_s;
            next_slip_s += slip_every_s;
        }
        /* A callback comes when there is room, or a little later; bursts follow a late one. */
        double now_s = due_s + jitter_s * passo_random_unit(&random);
        told += passo_lag_slipped(&lag, now_s, BLOCK_FRAMES, RATE_HZ);
        due_s += BLOCK_FRAMES / (RATE_HZ * drift);
    }
    return told;
}

static void a_steady_device_is_not_blamed(void **state)
{
    (void)state;
    assert_int_equal(play(600, 0, 0, 0, 1), 0);
    assert_int_equal(play(600, 0, 0, 0.02, 1), 0);     /* blocks up to 20 ms late, none lost */
    assert_int_equal(play(600, 0, 0, 0.02, 1.001), 0); /* a clock 0.1 % fast, and slow */
    assert_int_equal(play(600, 0, 0, 0.02, 0.999), 0);
}

/* One that falls near a window's border may be told in both windows. */
static void every_gap_is_told(void **state)
{
    (void)state;
    /* every 10 s, after the first: 59 of them in 600 s */
    assert_int_equal(play(600, 10, 0.02, 0, 1), 59);
    assert_in_range(play(600, 10, 0.02, 0.02, 1), 59, 65);
    assert_in_range(play(600, 10, 3.0, 0.02, 1), 59, 65);
    /* 3 ms are no slip that anybody hears */
    assert_int_equal(play(600, 10, 0.003, 0, 1), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_steady_device_is_not_blamed),
        cmocka_unit_test(every_gap_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
