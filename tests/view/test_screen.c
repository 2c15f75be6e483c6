/* The real screen on a real terminal. Bytes, modes and keys are checked at the other end of a
 * pseudo-terminal; what is seen is checked in test_scenes.c. Control sequences are those of
 * xterm's description in terminfo (`infocmp xterm-256color`): rmcup ESC [?1049l, cnorm ends in
 * ESC [?25h. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <sys/ioctl.h>
#include "pty_rig.h"
#include "show.h"

#define LEAVE_SCREEN "\033[?1049l"
#define ENTER_SCREEN "\033[?1049h"
#define SHOW_CURSOR  "\033[?25h"
#define DRAWN        "\033]777;drawn\a"

static char *own_path;
static struct pty pty;
static char seen[PTY_BYTES];

static void run(const char *mode, const char *scene, char *term)
{
    char *argv[] = {own_path, (char *)mode, (char *)scene, NULL};
    char *environment[] = {term, "LC_ALL=C.UTF-8", NULL};
    pty_run(&pty, argv, environment, 24, 80);
}

static void show_scene(const char *scene)
{
    run("--show", scene, "TERM=xterm-256color");
    pty_until(&pty, DRAWN, seen);
}

static size_t bytes_of(const char *key, enum passo_command command)
{
    char marker[32];
    snprintf(marker, sizeof marker, "\033]777;%d\a", (int)command);
    pty_send(&pty, key);
    return pty_until(&pty, marker, seen);
}

static void assert_left(void)
{
    assert_non_null(strstr(seen, LEAVE_SCREEN));
    assert_non_null(strstr(seen, SHOW_CURSOR));
    assert_null(strstr(strstr(seen, LEAVE_SCREEN) + 1, LEAVE_SCREEN));
    pty_assert_restored(&pty);
}

static void assert_quits(void)
{
    pty_send(&pty, "q");
    int status = pty_end(&pty, seen);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
    assert_left();
    pty_close(&pty);
}

static void test_an_idle_tick_sends_nothing(void **state)
{
    (void)state;
    show_scene("playing");
    assert_int_equal(bytes_of("v", PASSO_COMMAND_VOID), 0);
    assert_int_equal(bytes_of("v", PASSO_COMMAND_VOID), 0);
    assert_quits();
}

/* The conductor changes a day's lines where they lie: the view is handed the same pointers. */
static void test_a_day_that_changes_in_place_is_drawn(void **state)
{
    (void)state;
    static const char *const days[] = {"block", "between", "spot", "listing"};
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        show_scene(days[i]);
        assert_int_equal(bytes_of("v", PASSO_COMMAND_VOID), 0);
        size_t bytes = bytes_of("k", PASSO_COMMAND_SKIP);
        print_message("%s, a line left out: %zu bytes\n", days[i], bytes);
        assert_in_range(bytes, 1, 400);
        assert_non_null(strstr(seen, "out"));
        assert_int_equal(bytes_of("v", PASSO_COMMAND_VOID), 0);
        assert_quits();
    }
}

/* A beat moves a block of 3 x 6 cells: what curses needs for that is under 400 bytes, and no
 * screen is cleared (a frame of the whole screen is over 2000). */
static void test_a_beat_sends_little(void **state)
{
    (void)state;
    run("--show", "playing", "TERM=xterm-256color");
    assert_true(pty_until(&pty, DRAWN, seen) > 2000);
    for (int beat = 2; beat <= 9; beat++) {
        size_t bytes = bytes_of("n", PASSO_COMMAND_TURN);
        print_message("beat %d: %zu bytes\n", beat, bytes);
        assert_in_range(bytes, 1, 400);
        assert_null(strstr(seen, "\033[2J"));
    }
    assert_quits();
}

static void test_a_second_of_rest_sends_little(void **state)
{
    (void)state;
    show_scene("rest");
    for (int s = 11; s > 3; s--) {
        size_t bytes = bytes_of("l", PASSO_COMMAND_LONGER);
        print_message("rest %d s: %zu bytes\n", s, bytes);
        assert_in_range(bytes, 1, 300);
    }
    bytes_of("l", PASSO_COMMAND_LONGER); /* 3 s: Breathe */
    assert_quits();
}

/* What xterm sends (its keypad_xmit is on: ESC O for arrows), and the other common form. */
static void test_keys_become_commands(void **state)
{
    (void)state;
    static const struct {
        const char *keys;
        enum passo_command command;
    } table[] = {
        {" ", PASSO_COMMAND_CLEAN},       {"\r", PASSO_COMMAND_CLEAN},
        {"\n", PASSO_COMMAND_CLEAN},      {"\033OC", PASSO_COMMAND_CLEAN},
        {"\033[6~", PASSO_COMMAND_CLEAN}, {"x", PASSO_COMMAND_MISS},
        {"X", PASSO_COMMAND_MISS},        {"\177", PASSO_COMMAND_MISS},
        {"\b", PASSO_COMMAND_MISS},       {"\033OD", PASSO_COMMAND_MISS},
        {"\033[5~", PASSO_COMMAND_MISS},  {"v", PASSO_COMMAND_VOID},
        {"\033OA", PASSO_COMMAND_HARDER}, {"\033OB", PASSO_COMMAND_EASIER},
        {"n", PASSO_COMMAND_TURN},        {"l", PASSO_COMMAND_LONGER},
        {"e", PASSO_COMMAND_EXTEND},      {"o", PASSO_COMMAND_PUT_OFF},
        {"+", PASSO_COMMAND_LOUDER},      {"-", PASSO_COMMAND_SOFTER},
    };
    show_scene("playing");
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        bytes_of(table[i].keys, table[i].command);
    /* what is no key of ours is passed over, and so is a lone escape */
    bytes_of("zj\t\xc3\xa9\033[15~\001v", PASSO_COMMAND_VOID);
    assert_quits();
}

static void test_help_opens_and_any_key_closes_it(void **state)
{
    (void)state;
    show_scene("playing");
    pty_send(&pty, "?");
    pty_until(&pty, "Page Down", seen);
    pty_send(&pty, "x"); /* closes the help and marks nothing */
    pty_until(&pty, "quarter", seen);
    bytes_of("v", PASSO_COMMAND_VOID);
    assert_null(strstr(seen, "\033]777;2\a"));
    assert_quits();
}

static void test_signals_that_end_give_the_terminal_back(void **state)
{
    (void)state;
    static const int ending[] = {SIGINT, SIGTERM, SIGHUP};
    for (size_t i = 0; i < sizeof ending / sizeof ending[0]; i++) {
        show_scene("playing");
        kill(pty.child, ending[i]);
        int status = pty_end(&pty, seen);
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 0);
        assert_left();
        pty_close(&pty);
    }
}

static void test_ctrl_c_is_a_signal(void **state)
{
    (void)state;
    show_scene("playing");
    pty_send(&pty, "\003");
    assert_int_equal(pty_end(&pty, seen), 0);
    assert_left();
    pty_close(&pty);
}

static void test_crashes_give_the_terminal_back(void **state)
{
    (void)state;
    static const int crashes[] = {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL};
    for (size_t i = 0; i < sizeof crashes / sizeof crashes[0]; i++) {
        show_scene("playing");
        kill(pty.child, crashes[i]);
        int status = pty_end(&pty, seen);
        assert_true(WIFSIGNALED(status));
        assert_int_equal(WTERMSIG(status), crashes[i]);
        assert_left();
        pty_close(&pty);
    }
}

static void crash_by(const char *key, int signal_number)
{
    show_scene("playing");
    pty_send(&pty, key);
    int status = pty_end(&pty, seen);
    assert_true(WIFSIGNALED(status));
    assert_int_equal(WTERMSIG(status), signal_number);
    assert_left();
    pty_close(&pty);
}

static void test_abort_and_a_full_stack_give_it_back(void **state)
{
    (void)state;
    crash_by("p", SIGABRT);
    crash_by("s", SIGSEGV);
}

static void test_exit_without_close_gives_it_back(void **state)
{
    (void)state;
    show_scene("playing");
    pty_send(&pty, "u");
    int status = pty_end(&pty, seen);
    assert_int_equal(WEXITSTATUS(status), 5);
    assert_left();
    pty_close(&pty);
}

static void test_a_stopped_climb_lends_the_terminal(void **state)
{
    (void)state;
    run("--job", "playing", "TERM=xterm-256color");
    pty_until(&pty, DRAWN, seen);
    pty_send(&pty, "\032"); /* Ctrl-Z */
    pty_until(&pty, "\033]777;stopped\a", seen);
    assert_left();
    pty_send(&pty, "g\n");
    pty_until(&pty, ENTER_SCREEN, seen);
    pty_until(&pty, "Lantern March", seen);
    pty_send(&pty, "q");
    assert_int_equal(pty_end(&pty, seen), 0);
    assert_left();
    pty_close(&pty);
}

/* What wrote on the terminal in between, we cannot know: all is drawn again. */
static void test_a_climb_continued_from_outside_is_drawn_again(void **state)
{
    (void)state;
    int status;
    show_scene("playing");
    kill(pty.child, SIGSTOP);
    assert_int_equal(waitpid(pty.child, &status, WUNTRACED), pty.child);
    assert_true(WIFSTOPPED(status));
    kill(pty.child, SIGCONT);
    pty_until(&pty, "Lantern March", seen);
    pty_until(&pty, "elapsed", seen);
    assert_quits();
}

/* When the terminal is gone and nobody sends SIGHUP, the screen asks to finish, and once. */
static void test_a_lost_terminal_ends_the_climb(void **state)
{
    (void)state;
    char *argv[] = {own_path, "--show", "playing", NULL};
    char *environment[] = {"TERM=xterm-256color", "SHOW_NOHUP=1", NULL};
    int status;
    pty_run(&pty, argv, environment, 24, 80);
    pty_until(&pty, DRAWN, seen);
    pty_close(&pty);
    assert_int_equal(waitpid(pty.child, &status, 0), pty.child);
    assert_true(WIFEXITED(status));
}

static void test_a_new_size_is_drawn_at_once(void **state)
{
    (void)state;
    show_scene("playing");
    struct winsize size = {.ws_row = 10, .ws_col = 39};
    assert_int_equal(ioctl(pty.fd, TIOCSWINSZ, &size), 0);
    pty_until(&pty, "Make the window larger.", seen);
    size = (struct winsize){.ws_row = 50, .ws_col = 200};
    assert_int_equal(ioctl(pty.fd, TIOCSWINSZ, &size), 0);
    pty_until(&pty, "Lantern March", seen);
    pty_until(&pty, "elapsed", seen);
    assert_quits();
}

static void assert_fault(char *term, const char *words)
{
    run("--show", "playing", term);
    int status = pty_end(&pty, seen);
    assert_int_equal(WEXITSTATUS(status), 3);
    assert_non_null(strstr(seen, words));
    assert_non_null(strstr(seen, "--plain"));
    assert_null(strchr(seen, '\033'));
    pty_assert_restored(&pty);
    pty_close(&pty);
}

static void test_terminals_that_cannot_are_told_so(void **state)
{
    (void)state;
    assert_fault("TERM=dumb", "`dumb`");
    assert_fault("TERM=no-such-terminal", "`no-such-terminal`");
    assert_fault("TERM=evil\033[31m", "`evil?[31m`");
    assert_fault("TERM=", "TERM is not set");
}

static void test_no_terminal_is_told_so(void **state)
{
    (void)state;
    int ends[2];
    struct passo_view *view = NULL;
    char fault[256] = "";
    assert_int_equal(pipe(ends), 0);
    int saved = dup(STDIN_FILENO);
    dup2(ends[0], STDIN_FILENO);
    assert_int_equal(passo_screen_open(&view, fault, sizeof fault), PASSO_ERR_DEVICE);
    dup2(saved, STDIN_FILENO);
    close(saved);
    close(ends[0]);
    close(ends[1]);
    assert_null(view);
    assert_non_null(strstr(fault, "--plain"));
}

/* True if a colour is chosen anywhere (SGR 30 to 48, ECMA-48 8.3.117, and its 90 to 107 kin). */
static bool has_colour(const char *bytes)
{
    for (const char *at = bytes; (at = strstr(at, "\033[")) != NULL; at++) {
        const char *p = at + 2;
        for (;;) {
            char *end;
            long number = strtol(p, &end, 10);
            bool sgr = end[strspn(end, ";0123456789")] == 'm';
            if (sgr && ((number >= 30 && number <= 48 && number != 39) || number >= 90))
                return true;
            if (*end != ';')
                break;
            p = end + 1;
        }
    }
    return false;
}

static void test_colour_is_left_out_where_not_wanted(void **state)
{
    (void)state;
    char *argv[] = {own_path, "--show", "playing", NULL};
    char *plain[] = {"TERM=xterm-256color", "NO_COLOR=1", "LC_ALL=C.UTF-8", NULL};
    show_scene("playing");
    assert_true(has_colour(seen));
    assert_quits();
    pty_run(&pty, argv, plain, 24, 80);
    pty_until(&pty, DRAWN, seen);
    assert_false(has_colour(seen));
    assert_quits();
    run("--show", "playing", "TERM=vt100");
    pty_until(&pty, DRAWN, seen);
    assert_false(has_colour(seen));
    pty_send(&pty, "q");
    assert_int_equal(pty_end(&pty, seen), 0);
    pty_assert_restored(&pty);
    pty_close(&pty);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_an_idle_tick_sends_nothing),
        cmocka_unit_test(test_a_day_that_changes_in_place_is_drawn),
        cmocka_unit_test(test_a_beat_sends_little),
        cmocka_unit_test(test_a_second_of_rest_sends_little),
        cmocka_unit_test(test_keys_become_commands),
        cmocka_unit_test(test_help_opens_and_any_key_closes_it),
        cmocka_unit_test(test_signals_that_end_give_the_terminal_back),
        cmocka_unit_test(test_ctrl_c_is_a_signal),
        cmocka_unit_test(test_crashes_give_the_terminal_back),
        cmocka_unit_test(test_abort_and_a_full_stack_give_it_back),
        cmocka_unit_test(test_exit_without_close_gives_it_back),
        cmocka_unit_test(test_a_stopped_climb_lends_the_terminal),
        cmocka_unit_test(test_a_climb_continued_from_outside_is_drawn_again),
        cmocka_unit_test(test_a_lost_terminal_ends_the_climb),
        cmocka_unit_test(test_a_new_size_is_drawn_at_once),
        cmocka_unit_test(test_terminals_that_cannot_are_told_so),
        cmocka_unit_test(test_no_terminal_is_told_so),
        cmocka_unit_test(test_colour_is_left_out_where_not_wanted),
    };
    if (argc == 3 && strcmp(argv[1], "--show") == 0)
        return show(argv[2]);
    if (argc == 3 && strcmp(argv[1], "--job") == 0)
        return show_job(argv[2]);
    own_path = argv[0];
    return cmocka_run_group_tests_name("view/screen", tests, NULL, NULL);
}
