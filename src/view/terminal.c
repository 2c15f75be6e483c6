/* The terminal's safety net. terminal_take() remembers the modes and sets handlers: for crashes
 * (SEGV, ABRT, BUS, FPE, ILL), which only write prepared bytes and set modes before the signal does
 * its usual work, and for stop and continue, which only set a flag that the view looks at; so
 * nothing is drawn from a handler. Thread: the main thread; handlers on any. */
#include "view/terminal.h"
#include "view/views.h"

#include <errno.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#define UNDO_BYTES  256
#define STACK_BYTES 65536

static const int crashes[] = {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGQUIT};
#define CRASHES (sizeof crashes / sizeof crashes[0])

static struct {
    volatile sig_atomic_t taken;
    int modes;
    int out;
    struct termios before;
    char undo[UNDO_BYTES];
    size_t undo_bytes;
    struct sigaction crash_before[CRASHES];
    struct sigaction stop_before;
    struct sigaction continue_before;
} terminal;

static volatile sig_atomic_t stop_asked;
static volatile sig_atomic_t continued;

/* Async-signal-safe: write and tcsetattr are on POSIX's list. */
void passo_views_give_back(void)
{
    if (!terminal.taken)
        return;
    terminal.taken = 0;
    size_t done = 0;
    while (done < terminal.undo_bytes) {
        ssize_t wrote = write(terminal.out, terminal.undo + done, terminal.undo_bytes - done);
        if (wrote <= 0)
            break;
        done += (size_t)wrote;
    }
    tcsetattr(terminal.modes, TCSANOW, &terminal.before);
}

static void on_crash(int signal_number)
{
    int saved = errno;
    passo_views_give_back();
    errno = saved;
    /* SA_RESETHAND has set the usual action again: it comes when this handler returns */
    raise(signal_number);
}

static void on_stop(int signal_number)
{
    (void)signal_number;
    stop_asked = 1;
}

static void on_continue(int signal_number)
{
    (void)signal_number;
    continued = 1;
}

static void handle(int signal_number, void (*handler)(int), int flags, struct sigaction *out_before)
{
    struct sigaction action = {.sa_handler = handler, .sa_flags = flags};
    sigemptyset(&action.sa_mask);
    sigaction(signal_number, &action, out_before);
}

/* So that a stack that has overflown can still be left in order. */
static void lend_stack(void)
{
    static char stack[STACK_BYTES];
    stack_t before;
    if (sigaltstack(NULL, &before) != 0 || !(before.ss_flags & SS_DISABLE))
        return;
    stack_t lent = {.ss_sp = stack, .ss_size = sizeof stack};
    sigaltstack(&lent, NULL);
}

void terminal_take(int modes)
{
    static bool registered;
    if (tcgetattr(modes, &terminal.before) != 0)
        return;
    terminal.modes = modes;
    terminal.undo_bytes = 0;
    stop_asked = 0;
    continued = 0;
    lend_stack();
    for (size_t i = 0; i < CRASHES; i++)
        handle(crashes[i], on_crash, (int)SA_RESETHAND | SA_ONSTACK, &terminal.crash_before[i]);
    handle(SIGCONT, on_continue, 0, &terminal.continue_before);
    handle(SIGTSTP, on_stop, 0, &terminal.stop_before);
    /* where the shell has no job control, stopping stays off */
    if (terminal.stop_before.sa_handler == SIG_IGN)
        sigaction(SIGTSTP, &terminal.stop_before, NULL);
    if (!registered)
        registered = atexit(passo_views_give_back) == 0;
    terminal.taken = 1;
}

void terminal_undo(int out, const char *bytes, size_t count)
{
    if (count > UNDO_BYTES)
        count = UNDO_BYTES;
    terminal.out = out;
    memcpy(terminal.undo, bytes, count);
    terminal.undo_bytes = count;
}

void terminal_single_keys(void)
{
    if (!terminal.taken)
        return;
    struct termios single = terminal.before;
    single.c_lflag &= ~(tcflag_t)(ICANON | ECHO);
    single.c_cc[VMIN] = 1;
    single.c_cc[VTIME] = 0;
    tcsetattr(terminal.modes, TCSANOW, &single);
}

void terminal_release(void)
{
    if (!terminal.taken)
        return;
    terminal.undo_bytes = 0;
    passo_views_give_back();
    for (size_t i = 0; i < CRASHES; i++)
        sigaction(crashes[i], &terminal.crash_before[i], NULL);
    sigaction(SIGTSTP, &terminal.stop_before, NULL);
    sigaction(SIGCONT, &terminal.continue_before, NULL);
}

bool terminal_stop_asked(void)
{
    bool asked = stop_asked != 0;
    stop_asked = 0;
    return asked;
}

void terminal_stop(void)
{
    tcsetattr(terminal.modes, TCSANOW, &terminal.before);
    handle(SIGTSTP, SIG_DFL, 0, NULL);
    raise(SIGTSTP);
    handle(SIGTSTP, on_stop, 0, NULL);
    continued = 0;
}

bool terminal_continued(void)
{
    bool was = continued != 0;
    continued = 0;
    return was;
}
