/* A child on a terminal of its own: what it writes is read from the other end. */
#ifndef PASSO_TESTS_VIEW_PTY_RIG_H
#define PASSO_TESTS_VIEW_PTY_RIG_H

#include <errno.h>
#include <poll.h>
#include <pty.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>
#include <utmp.h>

#define PTY_BYTES   (1 << 20)
#define PTY_WAIT_MS 20000 /* only ever waited out by a child that hangs */

struct pty {
    int fd;
    pid_t child;
    struct termios before;
    char bytes[PTY_BYTES]; /* read and not yet taken */
    size_t count;
};

/* Runs argv with `environment` ("NAME=value", NULL-ended) added. */
static void pty_run(struct pty *pty, char *const argv[], char *const environment[], int rows,
                    int cols)
{
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    int slave;
    pty->count = 0;
    assert_int_equal(openpty(&pty->fd, &slave, NULL, NULL, &size), 0);
    assert_int_equal(tcgetattr(slave, &pty->before), 0);
    pty->child = fork();
    if (pty->child == 0) {
        close(pty->fd);
        login_tty(slave);
        for (size_t i = 0; environment[i] != NULL; i++)
            putenv(environment[i]);
        execv(argv[0], argv);
        _exit(127);
    }
    close(slave);
}

static void pty_send(struct pty *pty, const char *keys)
{
    assert_int_equal(write(pty->fd, keys, strlen(keys)), (ssize_t)strlen(keys));
}

/* Reads some more. False once the child's side is closed. */
static bool pty_more(struct pty *pty)
{
    struct pollfd ready = {.fd = pty->fd, .events = POLLIN};
    assert_int_equal(poll(&ready, 1, PTY_WAIT_MS), 1);
    assert_true(pty->count < PTY_BYTES - 1);
    ssize_t got = read(pty->fd, pty->bytes + pty->count, PTY_BYTES - 1 - pty->count);
    if (got <= 0)
        return false;
    pty->count += (size_t)got;
    return true;
}

/* Reads up to and with `end`; returns how many bytes came before it. They lie, 0-ended, in out (may
 * be NULL), of PTY_BYTES. */
static size_t pty_until(struct pty *pty, const char *end, char *out)
{
    char *at;
    while ((at = memmem(pty->bytes, pty->count, end, strlen(end))) == NULL)
        assert_true(pty_more(pty));
    size_t before = (size_t)(at - pty->bytes);
    size_t taken = before + strlen(end);
    if (out != NULL) {
        memcpy(out, pty->bytes, before);
        out[before] = '\0';
    }
    pty->count -= taken;
    memmove(pty->bytes, pty->bytes + taken, pty->count);
    return before;
}

/* Reads all to the child's end; returns its wait status. */
static int pty_end(struct pty *pty, char *out)
{
    int status;
    while (pty_more(pty))
        continue;
    assert_int_equal(waitpid(pty->child, &status, 0), pty->child);
    memcpy(out, pty->bytes, pty->count);
    out[pty->count] = '\0';
    return status;
}

/* The modes of the terminal, seen from this end, are those it had at first. */
static void pty_assert_restored(struct pty *pty)
{
    struct termios now;
    assert_int_equal(tcgetattr(pty->fd, &now), 0);
    assert_int_equal(now.c_iflag, pty->before.c_iflag);
    assert_int_equal(now.c_oflag, pty->before.c_oflag);
    assert_int_equal(now.c_cflag, pty->before.c_cflag);
    assert_int_equal(now.c_lflag, pty->before.c_lflag);
    assert_memory_equal(now.c_cc, pty->before.c_cc, sizeof now.c_cc);
}

static void pty_close(struct pty *pty)
{
    close(pty->fd);
}

#endif
