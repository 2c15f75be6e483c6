/* Bounded calls. A hung call cannot be cancelled safely (it may hold the library's locks), so its
 * thread is left behind on purpose: it and what it holds are leaked until the call returns by
 * itself, which it may never do (a stopped PulseAudio server: when it goes on; PortAudio's JACK
 * host after its server was killed: not within 20 s, as tried). Until then the library is
 * busy and every further call is refused at once; the climb goes on with the silent clock. `call`
 * is shared by the two threads: the one that comes second to its end frees it. */
#include "output/bounded.h"

#include <passo/error.h>

#include <errno.h>
#include <pthread.h>
#include <signal.h>
#include <stdbool.h>
#include <stdlib.h>
#include <time.h>

struct call {
    void (*work)(void *job);
    void (*forsake)(void *job);
    void *job;
    bool done;      /* guarded by lock */
    bool abandoned; /* guarded by lock */
};

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static pthread_cond_t ended;
static pthread_once_t once = PTHREAD_ONCE_INIT;
static bool busy; /* a call is in the library; guarded by lock */

/* The deadline is on the monotonic clock: setting the wall clock does not stretch it. */
static void init(void)
{
    pthread_condattr_t attributes;
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&ended, &attributes);
    pthread_condattr_destroy(&attributes);
}

static void release(void)
{
    busy = false;
    pthread_cond_broadcast(&ended);
}

static void *carry_out(void *argument)
{
    struct call *call = argument;
    call->work(call->job);
    pthread_mutex_lock(&lock);
    call->done = true;
    bool abandoned = call->abandoned;
    if (!abandoned)
        release(); /* from here on the call is the other side's */
    pthread_mutex_unlock(&lock);
    if (!abandoned)
        return NULL;
    call->forsake(call->job);
    free(call);
    pthread_mutex_lock(&lock);
    release();
    pthread_mutex_unlock(&lock);
    return NULL;
}

static struct timespec deadline_in(int ms)
{
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    at.tv_sec += ms / 1000;
    at.tv_nsec += (ms % 1000) * 1000000L;
    if (at.tv_nsec >= 1000000000L) {
        at.tv_sec++;
        at.tv_nsec -= 1000000000L;
    }
    return at;
}

/* A detached thread that takes no signals; they belong to the main loop. */
static bool begin(struct call *call)
{
    pthread_t thread;
    sigset_t all;
    sigset_t before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    bool begun = pthread_create(&thread, NULL, carry_out, call) == 0;
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    if (begun)
        pthread_detach(thread);
    return begun;
}

/* Waits for the call's end; false: the deadline came first. */
static bool await(struct call *call, int timeout_ms)
{
    struct timespec deadline = deadline_in(timeout_ms);
    int failed = 0;
    while (!call->done && failed != ETIMEDOUT)
        failed = pthread_cond_timedwait(&ended, &lock, &deadline);
    call->abandoned = !call->done;
    return call->done;
}

enum passo_call passo_bounded(void (*work)(void *job), void (*forsake)(void *job), void *job,
                              int timeout_ms)
{
    pthread_once(&once, init);
    struct call *call = passo_xcalloc(1, sizeof *call);
    *call = (struct call){.work = work, .forsake = forsake, .job = job};
    enum passo_call outcome = PASSO_CALL_REFUSED;
    pthread_mutex_lock(&lock);
    if (!busy && begin(call)) {
        busy = true;
        outcome = await(call, timeout_ms) ? PASSO_CALL_DONE : PASSO_CALL_HANGS;
    }
    pthread_mutex_unlock(&lock);
    if (outcome != PASSO_CALL_HANGS)
        free(call);
    return outcome;
}
