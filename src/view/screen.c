/* The full screen. Owns curses, the last snapshot drawn, and the help overlay. draw() compares the
 * new snapshot with the last one region by region and paints what differs; curses then sends only
 * the cells that changed, in one write a frame, and nothing if none did. Signals are flags: a new
 * window size and a stop or continue are seen in wait() and draw(), and answered at once with the
 * last snapshot. Thread: the main thread. */
#include "view/views.h"

#include <curses.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <term.h>
#include <unistd.h>
#include "session/signals.h"
#include "text/notation.h"
#include "text/fold.h"
#include "view/keys.h"
#include "view/layout.h"
#include "view/paint.h"
#include "view/same.h"
#include "view/terminal.h"

#define ESCAPE_WAIT_MS 25
#define UNDO_BYTES     200

struct screen {
    struct passo_view view;
    SCREEN *curses;
    WINDOW *keys; /* keys are read from it, so that reading never refreshes what is drawn */
    struct layout layout;
    struct passo_snapshot shown;
    struct passo_day_show day;     /* shown.day points here: the conductor's own changes in place */
    struct passo_strip_note *note; /* shown.strip.note, likewise */
    size_t note_room;
    int64_t rest_whole_ms;
    bool anything; /* `shown` holds a snapshot */
    bool stale;    /* everything must be painted */
    bool help;
    bool hung_up;
};

static void (*const paint[REGION_COUNT])(struct rect in, const struct picture *picture) = {
    [REGION_TITLE] = paint_title, [REGION_TEMPO] = paint_tempo,   [REGION_PULSE] = paint_pulse,
    [REGION_NAMES] = paint_names, [REGION_WHAT] = paint_what,     [REGION_CLIMB] = paint_climb,
    [REGION_NEXT] = paint_next,   [REGION_NOTICE] = paint_notice, [REGION_TIMES] = paint_times,
    [REGION_KEYS] = paint_keys,
};

/* --- drawing --- */

static void paint_all(struct screen *screen)
{
    struct picture picture = {&screen->shown, screen->rest_whole_ms,
                              screen->layout.region[REGION_NOTICE].rows == 0};
    erase();
    if (screen->layout.too_small) {
        ink_text((struct rect){0, 0, LINES, COLS}, LINES / 2, 0, INK_STRONG,
                 "Make the window larger.");
        return;
    }
    if (screen->help) {
        paint_help(screen->layout.window, keys_place(&screen->shown));
        return;
    }
    for (enum region region = 0; region < REGION_COUNT; region++)
        if (screen->layout.region[region].rows > 0)
            paint[region](screen->layout.region[region], &picture);
}

static enum layout_shape shape_for(const struct passo_snapshot *snapshot)
{
    if (snapshot->steady)
        return LAYOUT_STEADY;
    return keys_place(snapshot) == KEYS_LISTING ? LAYOUT_LISTING : LAYOUT_CLIMB;
}

static void redraw(struct screen *screen)
{
    if (!screen->anything)
        return;
    screen->layout =
        layout_for(LINES, COLS, shape_for(&screen->shown), screen->shown.strip.notes > 0);
    paint_all(screen);
    screen->stale = false;
    wnoutrefresh(stdscr);
    doupdate();
}

/* Paints what differs from `before`. Returns whether anything did. */
static bool paint_changes(struct screen *screen, const struct passo_snapshot *before)
{
    struct picture picture = {&screen->shown, screen->rest_whole_ms,
                              screen->layout.region[REGION_NOTICE].rows == 0};
    bool changed = false;
    if (screen->help || screen->layout.too_small)
        return false;
    for (enum region region = 0; region < REGION_COUNT; region++) {
        struct rect in = screen->layout.region[region];
        if (in.rows == 0 || same_region(region, before, &screen->shown))
            continue;
        ink_clear(in);
        paint[region](in, &picture);
        changed = true;
    }
    return changed;
}

static void fit_window(struct screen *screen)
{
    struct winsize size;
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row > 0 && size.ws_col > 0 &&
        (size.ws_row != LINES || size.ws_col != COLS))
        resizeterm(size.ws_row, size.ws_col);
    screen->stale = true;
}

/* Answers what signals have asked for since the last look. */
static void obey_signals(struct screen *screen)
{
    bool again = false;
    if (terminal_stop_asked()) {
        endwin();
        terminal_stop();
        again = true;
    }
    if (terminal_continued())
        again = true;
    if (again) {
        reset_prog_mode();
        clearok(curscr, TRUE);
        fit_window(screen);
    }
    if (passo_signals_resized())
        fit_window(screen);
    if (screen->stale)
        redraw(screen);
}

/* Keeps the notes, which are the conductor's and may go with a climb. */
static void take_notes(struct screen *screen, const struct passo_snapshot *before,
                       const struct passo_snapshot *snapshot)
{
    const struct passo_strip *strip = &snapshot->strip;
    screen->shown.strip.note = screen->note;
    if (strip->notes == before->strip.notes && strip->serial == before->strip.serial)
        return;
    if (strip->notes > screen->note_room) {
        screen->note = passo_xrealloc(screen->note, strip->notes * sizeof *screen->note);
        screen->note_room = strip->notes;
    }
    if (strip->notes)
        memcpy(screen->note, strip->note, strip->notes * sizeof *screen->note);
    screen->shown.strip.note = screen->note;
}

/* Takes the snapshot over, and keeps what was shown until now in *out_before. */
static void take_over(struct screen *screen, const struct passo_snapshot *snapshot,
                      struct passo_snapshot *out_before)
{
    static struct passo_day_show day_before;
    *out_before = screen->shown;
    if (out_before->day != NULL) {
        day_before = screen->day;
        out_before->day = &day_before;
    }
    screen->shown = *snapshot;
    take_notes(screen, out_before, snapshot);
    if (snapshot->day != NULL) {
        screen->day = *snapshot->day;
        screen->shown.day = &screen->day;
    }
}

static void screen_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    struct screen *screen = (struct screen *)view;
    static struct passo_snapshot before;
    bool resting = snapshot->phase == PASSO_PHASE_REST;
    if (!resting || screen->shown.phase != PASSO_PHASE_REST ||
        snapshot->rest_left_ms > screen->rest_whole_ms)
        screen->rest_whole_ms = snapshot->rest_left_ms;
    take_over(screen, snapshot, &before);
    screen->stale = screen->stale || !screen->anything ||
                    shape_for(&before) != shape_for(snapshot) ||
                    (before.strip.notes > 0) != (snapshot->strip.notes > 0);
    screen->anything = true;
    obey_signals(screen);
    if (!paint_changes(screen, &before))
        return;
    wnoutrefresh(stdscr);
    doupdate();
}

static void screen_say(struct passo_view *view, enum passo_say kind, const char *line)
{
    (void)view;
    (void)kind;
    (void)line;
}

/* --- keys --- */

/* A terminal that is gone will never send a key again: the climb is to end, once. */
static bool hung_up_now(struct screen *screen)
{
    struct pollfd keys = {.fd = STDIN_FILENO, .events = POLLIN};
    if (screen->hung_up || poll(&keys, 1, 0) <= 0)
        return false;
    screen->hung_up = (keys.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0;
    return screen->hung_up;
}

static void set_help(struct screen *screen, bool open)
{
    screen->help = open;
    redraw(screen);
}

static bool screen_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    struct screen *screen = (struct screen *)view;
    for (;;) {
        int code = screen->hung_up ? ERR : wgetch(screen->keys);
        if (code == ERR && !hung_up_now(screen))
            return false;
        enum passo_command command = code == ERR ? PASSO_COMMAND_QUIT : keys_command(code);
        if (code == KEY_RESIZE)
            continue;
        if (code != ERR && screen->help) {
            set_help(screen, false);
        } else if (command == PASSO_COMMAND_HELP) {
            set_help(screen, true);
        } else if (command != PASSO_COMMAND_NONE) {
            *out_press = (struct passo_press){command, code, now_ns, .hung_up = code == ERR};
            return true;
        }
    }
}

static void screen_wait(struct passo_view *view, int64_t timeout_ns)
{
    struct screen *screen = (struct screen *)view;
    obey_signals(screen);
    passo_signals_wait(screen->hung_up ? -1 : STDIN_FILENO, timeout_ns);
    obey_signals(screen);
}

/* --- opening and closing --- */

static void screen_close(struct passo_view *view)
{
    struct screen *screen = (struct screen *)view;
    if (screen == NULL)
        return;
    if (screen->keys != NULL)
        delwin(screen->keys);
    endwin();
    terminal_release();
    delscreen(screen->curses);
    free(screen->note);
    free(screen);
}

static const struct passo_view_ops screen_ops = {
    .name = "screen",
    .draw = screen_draw,
    .say = screen_say,
    .press = screen_press,
    .wait = screen_wait,
    .due_ns = NULL,
    .close = screen_close,
};

/* True if a screen can be drawn on a terminal of this type; else what is wrong, in out_fault. */
static bool terminal_can(const char *type, char *out_fault, size_t fault_bytes)
{
    char name[64];
    int found = 0;
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO)) {
        snprintf(out_fault, fault_bytes,
                 "The screen needs a terminal for its keys and its output; use --plain.");
        return false;
    }
    if (type == NULL || type[0] == '\0') {
        snprintf(out_fault, fault_bytes,
                 "TERM is not set, so the screen cannot be drawn; set it, or use --plain.");
        return false;
    }
    passo_text_clean(type, name, sizeof name);
    if (setupterm(type, STDOUT_FILENO, &found) != OK) {
        snprintf(out_fault, fault_bytes,
                 "No description of the terminal type `%s` is known here; set TERM to one that is, "
                 "or use --plain.",
                 name);
        return false;
    }
    bool places = cursor_address != NULL && clear_screen != NULL;
    del_curterm(cur_term);
    if (!places)
        snprintf(out_fault, fault_bytes,
                 "A terminal of the type `%s` cannot place text; use --plain.", name);
    return places;
}

static char undo[UNDO_BYTES];
static size_t undo_bytes;

static int collect(int byte)
{
    if (undo_bytes < sizeof undo)
        undo[undo_bytes++] = (char)byte;
    return byte;
}

/* What must be sent to leave the screen, kept ready for a crash. */
static void prepare_undo(void)
{
    const char *parts[] = {exit_attribute_mode, exit_alt_charset_mode, orig_pair, keypad_local,
                           cursor_normal};
    undo_bytes = 0;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (parts[i] != NULL)
            tputs(parts[i], 1, collect);
    if (exit_ca_mode != NULL)
        tputs(exit_ca_mode, 1, collect);
    else
        tputs(clear_screen, 1, collect);
    terminal_undo(STDOUT_FILENO, undo, undo_bytes);
}

static void begin_curses(struct screen *screen, bool utf8)
{
    const char *no_color = getenv("NO_COLOR");
    bool colour = (no_color == NULL || no_color[0] == '\0') && has_colors();
    ink_init(utf8, colour);
    cbreak();
    noecho();
    nonl();
    curs_set(0);
    leaveok(stdscr, TRUE);
    screen->keys = newpad(1, 1);
    keypad(screen->keys, TRUE);
    nodelay(screen->keys, TRUE);
    set_escdelay(ESCAPE_WAIT_MS);
}

enum passo_error passo_screen_open(struct passo_view **out_view, char *out_fault,
                                   size_t fault_bytes)
{
    *out_view = NULL;
    if (!terminal_can(getenv("TERM"), out_fault, fault_bytes))
        return PASSO_ERR_DEVICE;
    struct screen *screen = passo_xcalloc(1, sizeof *screen);
    screen->view.ops = &screen_ops;
    bool utf8 = passo_locale_is_utf8();
    terminal_take(STDIN_FILENO);
    screen->curses = newterm(NULL, stdout, stdin);
    if (screen->curses == NULL) {
        terminal_release();
        free(screen);
        snprintf(out_fault, fault_bytes, "The screen cannot be begun here; use --plain.");
        return PASSO_ERR_DEVICE;
    }
    begin_curses(screen, utf8);
    prepare_undo();
    fit_window(screen);
    *out_view = &screen->view;
    return PASSO_OK;
}
