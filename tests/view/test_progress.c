/* The bar of progress: its line at every width, and that it is for a terminal alone. */
#include <pty.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "view/views.h"

static void line_is(int64_t done, int64_t whole, int columns, const char *wanted)
{
    char line[128];
    assert_string_equal(passo_progress_line(done, whole, columns, line, sizeof line), wanted);
}

static void the_line(void **unused)
{
    (void)unused;
    line_is(0, 10, 18, "[          ]   0 %");
    line_is(3, 10, 18, "[===       ]  30 %");
    line_is(10, 10, 18, "[==========] 100 %");
    line_is(99, 100, 18, "[========= ]  99 %"); /* not full before it is done */
    line_is(-1, 10, 18, "[          ]   0 %");
    line_is(11, 10, 18, "[==========] 100 %");
    line_is(1, 0, 18, "[          ]   0 %");
    line_is(5, 10, 8, " 50 %");
    line_is(INT64_MAX, INT64_MAX, 12, "[====] 100 %");
}

static void no_line_is_wider_than_the_terminal(void **unused)
{
    (void)unused;
    char line[128];
    for (int columns = 8; columns < 300; columns++)
        for (int64_t done = 0; done <= 40; done++) {
            passo_progress_line(done, 40, columns, line, sizeof line);
            assert_in_range(strlen(line), 5, columns < 80 ? columns : 80);
        }
}

static void what_is_no_terminal_gets_nothing(void **unused)
{
    (void)unused;
    FILE *file = tmpfile();
    setenv("TERM", "xterm", 1);
    assert_null(passo_progress_open(file));
    fclose(file);
    passo_progress_show(NULL, 1, 2);
    passo_progress_close(NULL);
}

/* All that came over the terminal's line. */
static size_t read_all(int fd, char *out, size_t bytes)
{
    const ssize_t got = read(fd, out, bytes - 1);
    out[got > 0 ? got : 0] = '\0';
    return got > 0 ? (size_t)got : 0;
}

static void a_terminal_gets_a_line_that_goes_again(void **unused)
{
    (void)unused;
    int master;
    int slave;
    char seen[1024];
    struct winsize size = {.ws_row = 24, .ws_col = 19};
    assert_int_equal(openpty(&master, &slave, NULL, NULL, &size), 0);
    FILE *to = fdopen(slave, "w");
    setenv("TERM", "dumb", 1);
    assert_null(passo_progress_open(to));
    setenv("TERM", "xterm", 1);
    struct passo_progress *progress = passo_progress_open(to);
    assert_non_null(progress);
    passo_progress_show(progress, 500, 1000);
    passo_progress_show(progress, 501, 1000); /* looks the same: not written again */
    passo_progress_show(progress, 520, 1000);
    read_all(master, seen, sizeof seen);
    assert_string_equal(seen, "\r[=====     ]  50 %\r[=====     ]  52 %");
    passo_progress_close(progress);
    read_all(master, seen, sizeof seen);
    assert_string_equal(seen, "\r                  \r");
    fclose(to);
    close(master);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_line),
        cmocka_unit_test(no_line_is_wider_than_the_terminal),
        cmocka_unit_test(what_is_no_terminal_gets_nothing),
        cmocka_unit_test(a_terminal_gets_a_line_that_goes_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
