/* The chatter: what is printed on fd 2 while diverted is kept and not shown, nesting is safe, the
 * true stderr stays at hand. And bounded calls: done, hanging, refused, come back. */
#include "sound/help.h"

#include "output/bounded.h"
#include "output/chatter.h"
#include "output/output.h"

#include <fcntl.h>
#include <semaphore.h>
#include <stdio.h>
#include <unistd.h>

static void say(int fd, const char *text)
{
    assert_int_equal(write(fd, text, strlen(text)), strlen(text));
}

/* Puts a temporary file in the place of stderr, so that the test sees what comes through. */
static FILE *true_end;
static int kept_stderr;

static int watch_stderr(void **state)
{
    (void)state;
    true_end = tmpfile();
    kept_stderr = dup(STDERR_FILENO);
    dup2(fileno(true_end), STDERR_FILENO);
    return 0;
}

static int leave_stderr(void **state)
{
    (void)state;
    dup2(kept_stderr, STDERR_FILENO);
    close(kept_stderr);
    return fclose(true_end);
}

static const char *came_through(void)
{
    static char text[4096];
    ssize_t got = pread(fileno(true_end), text, sizeof text - 1, 0);
    text[got < 0 ? 0 : got] = '\0';
    return text;
}

static void test_kept_and_not_shown(void **state)
{
    (void)state;
    assert_int_equal(passo_devices_stderr(), STDERR_FILENO);
    say(STDERR_FILENO, "[before]");
    passo_chatter_begin();
    say(STDERR_FILENO, "[inside]");
    say(passo_devices_stderr(), "[last word]");
    passo_chatter_begin();
    passo_chatter_end();
    say(STDERR_FILENO, "[still inside]");
    assert_non_null(strstr(passo_devices_chatter(), "[inside][still inside]"));
    say(STDERR_FILENO, "[more]");
    passo_chatter_note("[note]");
    passo_chatter_end();
    say(STDERR_FILENO, "[after]");
    assert_int_equal(passo_devices_stderr(), STDERR_FILENO);
    assert_string_equal(came_through(), "[before][last word][after]");
    assert_non_null(strstr(passo_devices_chatter(), "[inside][still inside]"));
    assert_non_null(strstr(passo_devices_chatter(), "[more]"));
    assert_non_null(strstr(passo_devices_chatter(), "[note]\n"));
}

/* The oldest makes room; what is kept stays bounded. */
static void test_endless_chatter_is_bounded(void **state)
{
    (void)state;
    passo_chatter_begin();
    for (int i = 0; i < 20000; i++) {
        char line[32];
        snprintf(line, sizeof line, "line %d\n", i);
        say(STDERR_FILENO, line);
    }
    passo_chatter_end();
    const char *chatter = passo_devices_chatter();
    assert_int_equal(strlen(chatter), 65536);
    assert_string_equal(chatter + 65536 - 11, "line 19999\n");
    assert_string_equal(came_through(), "");
}

static void test_without_a_stderr(void **state)
{
    (void)state;
    close(STDERR_FILENO);
    passo_chatter_begin();
    passo_chatter_end();
    assert_int_equal(fcntl(STDERR_FILENO, F_GETFD), -1);
}

struct job {
    sem_t go;
    sem_t forsaken;
    int worked;
};

static void work(void *argument)
{
    struct job *job = argument;
    sem_wait(&job->go);
    job->worked++;
}

static void forsake(void *argument)
{
    struct job *job = argument;
    sem_post(&job->forsaken);
}

static void refused_work(void *argument)
{
    (void)argument;
    fail();
}

static void test_bounded_calls(void **state)
{
    (void)state;
    struct job quick = {0};
    struct job hung = {0};
    sem_init(&quick.go, 0, 1);
    sem_init(&hung.go, 0, 0);
    sem_init(&hung.forsaken, 0, 0);
    assert_int_equal(passo_bounded(work, forsake, &quick, 60000), PASSO_CALL_DONE);
    assert_int_equal(quick.worked, 1);
    assert_int_equal(passo_bounded(work, forsake, &hung, 20), PASSO_CALL_HANGS);
    assert_int_equal(passo_bounded(refused_work, forsake, &quick, 20), PASSO_CALL_REFUSED);
    sem_post(&hung.go); /* it comes back after all, and cleans up after itself */
    sem_wait(&hung.forsaken);
    assert_int_equal(hung.worked, 1);
    enum passo_call outcome;
    do {
        sem_post(&quick.go);
        outcome = passo_bounded(work, forsake, &quick, 60000);
    } while (outcome == PASSO_CALL_REFUSED); /* the library is free a moment later */
    assert_int_equal(outcome, PASSO_CALL_DONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_kept_and_not_shown, watch_stderr, leave_stderr),
        cmocka_unit_test_setup_teardown(test_endless_chatter_is_bounded, watch_stderr,
                                        leave_stderr),
        cmocka_unit_test_setup_teardown(test_without_a_stderr, watch_stderr, leave_stderr),
        cmocka_unit_test(test_bounded_calls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
