/* The plain view: one sentence a line, for screen readers, logs and pipes. Owns the reading of keys
 * from a descriptor, with the bytes of an escape sequence that has not ended yet. A terminal is set
 * to single characters without echo and given back on close, exit and crash; a program in the
 * background leaves the terminal alone. Lost output (a closed pipe) is no fault. Thread: main. */
#include "view/views.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "session/signals.h"
#include "text/notation.h"
#include "text/fold.h"
#include "view/keys.h"
#include "view/terminal.h"

#define PENDING_BYTES 64
#define LINE_BYTES    1024

struct plain {
    struct passo_view view;
    FILE *out;
    int keys; /* -1: none, or ended */
    bool terminal;
    bool utf8;
    char pending[PENDING_BYTES];
    size_t pending_bytes;
};

static void plain_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    (void)view;
    (void)snapshot;
}

static void plain_say(struct passo_view *view, enum passo_say kind, const char *line)
{
    struct plain *plain = (struct plain *)view;
    char clean[LINE_BYTES];
    char ascii[2 * LINE_BYTES];
    (void)kind;
    passo_text_clean(line, clean, sizeof clean);
    fputs(plain->utf8 ? clean : passo_text_ascii(clean, ascii, sizeof ascii), plain->out);
    fputc('\n', plain->out);
    /* a failed write leaves its mark on the stream; whoever owns the stream tells it at the end */
    fflush(plain->out);
}

/* Reading from the background would stop the program. */
static bool may_read(const struct plain *plain)
{
    return plain->keys >= 0 && (!plain->terminal || tcgetpgrp(plain->keys) == getpgrp());
}

static void fill(struct plain *plain)
{
    struct pollfd keys = {.fd = plain->keys, .events = POLLIN};
    size_t room = PENDING_BYTES - plain->pending_bytes;
    if (!may_read(plain) || room == 0 || poll(&keys, 1, 0) <= 0)
        return;
    ssize_t got = read(plain->keys, plain->pending + plain->pending_bytes, room);
    if (got > 0)
        plain->pending_bytes += (size_t)got;
    else if (got == 0 || (errno != EINTR && errno != EAGAIN))
        plain->keys = -1;
}

/* The next key, or 0. A sequence that fills the room without an end is no key. */
static int next_key(struct plain *plain)
{
    int code;
    if (plain->pending_bytes == 0)
        return 0;
    size_t used = keys_read(plain->pending, plain->pending_bytes, &code);
    if (used == 0 && plain->pending_bytes == PENDING_BYTES)
        used = PENDING_BYTES;
    if (used == 0)
        return 0;
    plain->pending_bytes -= used;
    memmove(plain->pending, plain->pending + used, plain->pending_bytes);
    /* between the commands of a pipe, line ends are only line ends */
    bool line_end = code == '\n' || code == '\r';
    return line_end && !plain->terminal ? -1 : code == 0 ? -1 : code;
}

static void obey_signals(struct plain *plain)
{
    if (!plain->terminal)
        return;
    bool again = terminal_continued();
    if (terminal_stop_asked()) {
        terminal_stop();
        again = true;
    }
    if (again && may_read(plain))
        terminal_single_keys();
}

static bool plain_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    struct plain *plain = (struct plain *)view;
    obey_signals(plain);
    fill(plain);
    for (int code = next_key(plain); code != 0; code = next_key(plain)) {
        enum passo_command command = keys_command(code);
        if (command == PASSO_COMMAND_NONE || command == PASSO_COMMAND_HELP)
            continue;
        *out_press = (struct passo_press){.command = command, .key = code, .at_ns = now_ns};
        return true;
    }
    return false;
}

static void plain_wait(struct passo_view *view, int64_t timeout_ns)
{
    struct plain *plain = (struct plain *)view;
    obey_signals(plain);
    passo_signals_wait(may_read(plain) ? plain->keys : -1, timeout_ns);
    obey_signals(plain);
}

static void plain_close(struct passo_view *view)
{
    struct plain *plain = (struct plain *)view;
    if (plain == NULL)
        return;
    if (plain->terminal)
        terminal_release();
    free(plain);
}

static const struct passo_view_ops plain_ops = {
    .name = "plain",
    .draw = plain_draw,
    .say = plain_say,
    .press = plain_press,
    .wait = plain_wait,
    .due_ns = NULL,
    .close = plain_close,
};

struct passo_view *passo_plain_open(FILE *out, int keys)
{
    struct plain *plain = passo_xcalloc(1, sizeof *plain);
    plain->view.ops = &plain_ops;
    plain->out = out;
    plain->keys = keys;
    plain->terminal = keys >= 0 && isatty(keys);
    plain->utf8 = passo_locale_is_utf8();
    if (plain->terminal) {
        terminal_take(keys);
        if (may_read(plain))
            terminal_single_keys();
    }
    return &plain->view;
}
