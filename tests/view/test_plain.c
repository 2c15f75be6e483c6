/* The plain view: lines out, keys in, over pipes and a pseudo-terminal. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <curses.h>
#include <fcntl.h>
#include <signal.h>
#include "pty_rig.h"
#include "view/views.h"

static char got[PTY_BYTES];
static struct pty pty;
static char *own_path;

static const char *said(const char *locale, const char *line)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    setenv("LC_ALL", locale, 1);
    FILE *out = fdopen(ends[1], "w");
    struct passo_view *view = passo_plain_open(out, -1);
    view->ops->say(view, PASSO_SAY_PASS, line);
    ssize_t bytes = read(ends[0], got, sizeof got - 1); /* there without a close: it was flushed */
    assert_true(bytes > 0);
    got[bytes] = '\0';
    view->ops->draw(view, NULL);
    view->ops->close(view);
    fclose(out);
    close(ends[0]);
    return got;
}

static void test_lines_are_sentences(void **state)
{
    (void)state;
    assert_string_equal(said("C.UTF-8", "Pass 3: bars 33-36 \u00b7 octave down."),
                        "Pass 3: bars 33-36 \u00b7 octave down.\n");
    assert_string_equal(said("C", "Pass 3: bars 33-36 \u00b7 octave down."),
                        "Pass 3: bars 33-36, octave down.\n");
    /* a line of a day's list */
    assert_string_equal(said("C", "2. flow study \u00b7 D\u266d major \u00b7 0:50 (after C\u266f)"),
                        "2. flow study, D-flat major, 0:50 (after C-sharp)\n");
    assert_string_equal(said("C.UTF-8", "evil\033[2J\nline"), "evil?[2J?line\n");
}

static void test_a_closed_output_is_no_fault(void **state)
{
    (void)state;
    int ends[2];
    signal(SIGPIPE, SIG_IGN); /* as passo_signals_init() does */
    assert_int_equal(pipe(ends), 0);
    close(ends[0]);
    FILE *out = fdopen(ends[1], "w");
    struct passo_view *view = passo_plain_open(out, -1);
    for (int i = 0; i < 100; i++)
        view->ops->say(view, PASSO_SAY_NOTICE, "Nobody reads this.");
    view->ops->close(view);
    fclose(out);
}

static void assert_press(struct passo_view *view, enum passo_command command, int key)
{
    struct passo_press press = {0};
    assert_true(view->ops->press(view, 42, &press));
    assert_int_equal(press.command, command);
    assert_int_equal(press.key, key);
    assert_int_equal(press.at_ns, 42);
}

static void test_a_pipe_sends_commands(void **state)
{
    (void)state;
    int ends[2];
    struct passo_press press;
    assert_int_equal(pipe(ends), 0);
    struct passo_view *view = passo_plain_open(stdout, ends[0]);
    assert_false(view->ops->press(view, 42, &press));
    assert_int_equal(write(ends[1], "x u\n?zp\033[A\033", 11), 11);
    assert_press(view, PASSO_COMMAND_MISS, 'x');
    assert_press(view, PASSO_COMMAND_CLEAN, ' ');
    assert_press(view, PASSO_COMMAND_UNDO, 'u');
    assert_press(view, PASSO_COMMAND_PAUSE, 'p'); /* the line end and the others are nothing */
    assert_press(view, PASSO_COMMAND_HARDER, KEY_UP);
    assert_false(view->ops->press(view, 42, &press)); /* a sequence that is not all there */
    assert_int_equal(write(ends[1], "[6~", 3), 3);
    assert_press(view, PASSO_COMMAND_CLEAN, KEY_NPAGE);
    close(ends[1]);
    for (int i = 0; i < 3; i++) /* the end of a pipe is never a wish to finish */
        assert_false(view->ops->press(view, 42, &press));
    view->ops->wait(view, 1000);
    view->ops->close(view);
    close(ends[0]);
}

/* A sequence without an end does not stop what comes after it for ever. */
static void test_an_endless_sequence_is_dropped(void **state)
{
    (void)state;
    int ends[2];
    char digits[64];
    struct passo_press press;
    assert_int_equal(pipe(ends), 0);
    struct passo_view *view = passo_plain_open(stdout, ends[0]);
    memset(digits, '1', sizeof digits);
    digits[0] = '\033';
    digits[1] = '[';
    assert_int_equal(write(ends[1], digits, sizeof digits), (ssize_t)sizeof digits);
    assert_false(view->ops->press(view, 42, &press));
    assert_int_equal(write(ends[1], "x", 1), 1);
    assert_press(view, PASSO_COMMAND_MISS, 'x');
    view->ops->close(view);
    close(ends[0]);
    close(ends[1]);
}

/* The other side of the test below: a program that says each command it is given. */
static int speak(bool leave)
{
    struct passo_view *view = passo_plain_open(stdout, STDIN_FILENO);
    struct passo_press press = {0};
    char line[64];
    view->ops->say(view, PASSO_SAY_START, "ready");
    while (press.command != PASSO_COMMAND_QUIT) {
        view->ops->wait(view, 1000000000);
        while (view->ops->press(view, 0, &press)) {
            snprintf(line, sizeof line, "command %d", (int)press.command);
            view->ops->say(view, PASSO_SAY_MARK, line);
        }
    }
    if (leave)
        exit(0);
    view->ops->close(view);
    return 0;
}

static void check_terminal(char *mode)
{
    char *argv[] = {own_path, mode, NULL};
    char *environment[] = {"LC_ALL=C.UTF-8", NULL};
    pty_run(&pty, argv, environment, 24, 80);
    pty_until(&pty, "ready", NULL);
    struct termios now;
    assert_int_equal(tcgetattr(pty.fd, &now), 0);
    assert_false(now.c_lflag & (ICANON | ECHO));
    assert_true(now.c_lflag & ISIG);
    pty_send(&pty, "\r"); /* on a terminal Enter is a key */
    pty_until(&pty, "command 1\r\n", NULL);
    pty_send(&pty, "\033OD\033[B");
    pty_until(&pty, "command 2\r\n", got);
    assert_null(strstr(got, "^[")); /* no echo */
    pty_until(&pty, "command 6\r\n", NULL);
    pty_send(&pty, "q");
    assert_int_equal(pty_end(&pty, got), 0);
    assert_null(strchr(got, '\033'));
    pty_assert_restored(&pty);
    pty_close(&pty);
}

static void test_a_terminal_is_set_and_given_back(void **state)
{
    (void)state;
    check_terminal("--speak");
    check_terminal("--speak-and-exit");
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lines_are_sentences),
        cmocka_unit_test(test_a_closed_output_is_no_fault),
        cmocka_unit_test(test_a_pipe_sends_commands),
        cmocka_unit_test(test_an_endless_sequence_is_dropped),
        cmocka_unit_test(test_a_terminal_is_set_and_given_back),
    };
    if (argc == 2)
        return speak(strcmp(argv[1], "--speak-and-exit") == 0);
    own_path = argv[0];
    return cmocka_run_group_tests_name("view/plain", tests, NULL, NULL);
}
