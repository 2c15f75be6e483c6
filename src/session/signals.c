/* The only place that handles signals. Handlers set flags and nothing else; the signals are
 * blocked everywhere but inside ppoll(), so that a flag set between a check and a wait still ends
 * the wait. Threads made after passo_signals_init() inherit the block: the main thread alone is
 * ever interrupted. */
#include "session/signals.h"

#include <poll.h>
#include <signal.h>
#include <stddef.h>
#include <time.h>

static volatile sig_atomic_t ending_signal;
static volatile sig_atomic_t resized;
static sigset_t waiting_mask; /* the mask while waiting: our signals let through */

static void on_ending(int signal_number)
{
    ending_signal = signal_number;
}

static void on_resize(int signal_number)
{
    (void)signal_number;
    resized = 1;
}

static void handle(int signal_number, void (*handler)(int))
{
    struct sigaction action = {.sa_handler = handler};
    sigfillset(&action.sa_mask);
    sigaction(signal_number, &action, NULL);
}

void passo_signals_init(void)
{
    sigset_t ours;
    sigemptyset(&ours);
    sigaddset(&ours, SIGINT);
    sigaddset(&ours, SIGTERM);
    sigaddset(&ours, SIGHUP);
    sigaddset(&ours, SIGWINCH);
    handle(SIGINT, on_ending);
    handle(SIGTERM, on_ending);
    handle(SIGHUP, on_ending);
    handle(SIGWINCH, on_resize);
    handle(SIGPIPE, SIG_IGN);
    sigprocmask(SIG_BLOCK, &ours, &waiting_mask);
    sigdelset(&waiting_mask, SIGINT);
    sigdelset(&waiting_mask, SIGTERM);
    sigdelset(&waiting_mask, SIGHUP);
    sigdelset(&waiting_mask, SIGWINCH);
}

bool passo_signals_wait(int fd, int64_t timeout_ns)
{
    if (timeout_ns < 0)
        timeout_ns = 0;
    struct timespec timeout = {.tv_sec = (time_t)(timeout_ns / 1000000000),
                               .tv_nsec = (long)(timeout_ns % 1000000000)};
    struct pollfd watched = {.fd = fd, .events = POLLIN};
    int ready = ppoll(&watched, fd < 0 ? 0 : 1, &timeout, &waiting_mask);
    return ready > 0 && (watched.revents & (POLLIN | POLLHUP | POLLERR));
}

int passo_signals_ending(void)
{
    return ending_signal;
}

bool passo_signals_resized(void)
{
    if (!resized)
        return false;
    resized = 0;
    return true;
}
