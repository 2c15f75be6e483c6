/* The silent output: the monotonic clock drives the player, no sound comes out. It carries a climb
 * with --silent and stands in while a sound device is away.
 *
 * One thread of its own renders about every 10 ms what the clock asks for, sleeping to absolute
 * times, so that no sleep's error adds up. If it wakes more than a second late (the program was
 * stopped), the clock is shifted by the gap: the pulse goes on, it does not race after the time
 * that is lost. The thread takes no signals; they belong to the main loop. */
#include "output/output.h"

#include "sound/frames.h"

#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <time.h>

#define DEFAULT_RATE_HZ 48000
#define STEP_NS         INT64_C(10000000)
#define GAP_NS          INT64_C(1000000000)
#define NS_PER_S        INT64_C(1000000000)

struct silent {
    struct passo_output output;
    uint32_t rate_hz;
    struct passo_player *player; /* the thread's while it runs */
    pthread_t thread;
    bool running;       /* control side */
    atomic_bool wanted; /* relaxed: a flag alone; the join orders the rest */
};

static int64_t monotonic_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec * NS_PER_S + now.tv_nsec;
}

static void sleep_until(int64_t at_ns)
{
    struct timespec at = {.tv_sec = at_ns / NS_PER_S, .tv_nsec = at_ns % NS_PER_S};
    while (clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &at, NULL) != 0)
        continue;
}

static void *drive(void *argument)
{
    struct silent *silent = argument;
    int64_t origin_ns = monotonic_ns(); /* when frame 0 of this run is heard */
    int64_t wake_ns = origin_ns;
    int64_t rendered = 0;
    while (atomic_load_explicit(&silent->wanted, memory_order_relaxed)) {
        /* One step ahead of the clock, so that a beat is told before it is heard. */
        int64_t due = passo_ns_to_frames(wake_ns + STEP_NS - origin_ns, silent->rate_hz);
        int64_t heard_ns = origin_ns + passo_frames_to_ns(rendered, silent->rate_hz);
        passo_player_render(silent->player, NULL, (size_t)(due - rendered), heard_ns);
        rendered = due;
        wake_ns += STEP_NS;
        sleep_until(wake_ns);
        int64_t late_ns = monotonic_ns() - wake_ns;
        if (late_ns > GAP_NS) {
            origin_ns += late_ns;
            wake_ns += late_ns;
            passo_player_late(silent->player);
        }
    }
    return NULL;
}

static enum passo_error silent_open(const struct passo_output_ask *ask,
                                    struct passo_output **out_output, char *out_fault,
                                    size_t fault_bytes)
{
    if (fault_bytes)
        out_fault[0] = '\0';
    struct silent *silent = passo_xcalloc(1, sizeof *silent);
    silent->output.ops = &passo_output_silent;
    silent->rate_hz = ask->rate_hz ? ask->rate_hz : DEFAULT_RATE_HZ;
    *out_output = &silent->output;
    return PASSO_OK;
}

static enum passo_error silent_start(struct passo_output *output, struct passo_player *player)
{
    struct silent *silent = (struct silent *)output;
    PASSO_BUG_ON(silent->running || passo_player_rate_hz(player) != silent->rate_hz);
    silent->player = player;
    atomic_store_explicit(&silent->wanted, true, memory_order_relaxed);
    sigset_t all;
    sigset_t before;
    sigfillset(&all);
    /* The new thread inherits the mask: no signal ever reaches it. */
    pthread_sigmask(SIG_SETMASK, &all, &before);
    int failed = pthread_create(&silent->thread, NULL, drive, silent);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    silent->running = failed == 0;
    return failed ? PASSO_ERR_DEVICE : PASSO_OK;
}

static void silent_stop(struct passo_output *output)
{
    struct silent *silent = (struct silent *)output;
    if (!silent->running)
        return;
    atomic_store_explicit(&silent->wanted, false, memory_order_relaxed);
    pthread_join(silent->thread, NULL);
    silent->running = false;
}

static void silent_close(struct passo_output *output)
{
    if (!output)
        return;
    silent_stop(output);
    free(output);
}

static uint32_t silent_rate_hz(const struct passo_output *output)
{
    return ((const struct silent *)output)->rate_hz;
}

static int64_t silent_now_ns(const struct passo_output *output)
{
    (void)output;
    return monotonic_ns();
}

static bool silent_alive(struct passo_output *output)
{
    (void)output;
    return true;
}

const struct passo_output_ops passo_output_silent = {
    .name = "silent",
    .open = silent_open,
    .start = silent_start,
    .stop = silent_stop,
    .close = silent_close,
    .rate_hz = silent_rate_hz,
    .now_ns = silent_now_ns,
    .alive = silent_alive,
};
