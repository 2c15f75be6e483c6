/* The silent clock: drives a player in its own thread, takes turns with another output, takes no
 * signals, and shifts its clock when the program was stopped for longer than a second. No check
 * depends on how fast this machine is. */
#include "sound/help.h"

#include "output/output.h"

#include <pthread.h>
#include <signal.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static const struct passo_output_ops *const ops = &passo_output_silent;

static struct passo_output *open_at(uint32_t rate_hz)
{
    struct passo_output *output = NULL;
    char fault[64];
    const struct passo_output_ask ask = {.rate_hz = rate_hz};
    assert_int_equal(ops->open(&ask, &output, fault, sizeof fault), PASSO_OK);
    return output;
}

/* Waits for the next notice, however long this machine takes. */
static struct passo_notice next_notice(struct passo_player *player)
{
    struct passo_notice notice;
    while (!passo_player_notice(player, &notice))
        nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
    return notice;
}

static void test_drives_a_pass(void **state)
{
    (void)state;
    struct passo_output *output = open_at(0);
    assert_int_equal(ops->rate_hz(output), 48000);
    struct passo_player *player = plain_player(48000, 5, 64);
    assert_int_equal(passo_player_play(player, steady(1, 48000, 960, 960, 5)), PASSO_OK);
    int64_t before_ns = ops->now_ns(output);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    assert_true(ops->alive(output));
    struct passo_notice notice = next_notice(player);
    assert_int_equal(notice.kind, PASSO_NOTICE_BEGAN);
    assert_int_equal(notice.frame, 960);
    assert_true(notice.heard_ns >= before_ns + 20000000);
    int64_t first_ns = 0;
    for (int beat = 0; beat < 5; beat++) {
        notice = next_notice(player);
        assert_int_equal(notice.kind, PASSO_NOTICE_BEAT);
        assert_int_equal(notice.frame, 960 + beat * 960);
        if (beat == 0)
            first_ns = notice.heard_ns;
        /* 20 ms a beat on the clock, to the rounding of a nanosecond */
        assert_in_range(notice.heard_ns - first_ns - beat * 20000000 + 1, 0, 2);
    }
    assert_int_equal(next_notice(player).kind, PASSO_NOTICE_ENDED);
    ops->stop(output);
    int64_t rendered = passo_player_rendered(player);
    nanosleep(&(struct timespec){.tv_nsec = 30000000}, NULL);
    assert_int_equal(passo_player_rendered(player), rendered);
    ops->close(output);
    passo_player_destroy(player);
}

/* The player goes on where the other output left it. */
static void test_takes_turns(void **state)
{
    (void)state;
    struct passo_output *output = open_at(8000);
    struct passo_player *player = plain_player(8000, 5, 64);
    passo_player_render(player, NULL, 12345, 0);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, 0), PASSO_OK);
    assert_int_equal(passo_player_play(player, steady(3, 8000, 12400, 50, 1)), PASSO_OK);
    for (int turn = 0; turn < 3; turn++) {
        assert_int_equal(ops->start(output, player), PASSO_OK);
        if (turn == 0)
            assert_int_equal(next_notice(player).frame, 12400);
        ops->stop(output);
        ops->stop(output);
    }
    ops->close(output);
    ops->close(NULL);
    passo_player_destroy(player);
}

static _Thread_local int is_main;
static volatile sig_atomic_t taken_by_main;
static volatile sig_atomic_t taken_by_other;

static void take(int signal)
{
    (void)signal;
    if (is_main)
        taken_by_main++;
    else
        taken_by_other++;
}

/* With the main thread's own signal blocked, only the silent thread could take it. */
static void test_takes_no_signals(void **state)
{
    (void)state;
    sigset_t set;
    is_main = 1;
    signal(SIGUSR1, take);
    struct passo_output *output = open_at(8000);
    struct passo_player *player = plain_player(8000, 5, 64);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    sigemptyset(&set);
    sigaddset(&set, SIGUSR1);
    pthread_sigmask(SIG_BLOCK, &set, NULL);
    kill(getpid(), SIGUSR1);
    int64_t until = passo_player_rendered(player) + 400; /* 50 ms of the silent thread's life */
    while (passo_player_rendered(player) < until)
        nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
    assert_int_equal(taken_by_other, 0);
    pthread_sigmask(SIG_UNBLOCK, &set, NULL);
    assert_int_equal(taken_by_main, 1);
    signal(SIGUSR1, SIG_DFL);
    ops->close(output);
    passo_player_destroy(player);
}

/* In the child: a steady pulse; exit status 0 if a LATE notice came and the beats went on after the
 * gap as if the clock had stood still. */
static int child_with_a_gap(int ready)
{
    struct passo_output *output = open_at(8000);
    struct passo_player *player = plain_player(8000, 5, 64);
    if (passo_player_play(player, steady(1, 8000, 0, 800, 60)) != PASSO_OK ||
        ops->start(output, player) != PASSO_OK)
        return 2;
    struct passo_notice notice = next_notice(player);
    int64_t heard_ns = 0;
    int64_t gap_ns = 0;
    int beats_after = 0;
    int late = 0;
    if (write(ready, "r", 1) != 1)
        return 3;
    while (beats_after < 5 && (notice = next_notice(player)).kind != PASSO_NOTICE_ENDED) {
        if (notice.kind == PASSO_NOTICE_LATE) {
            late++;
            gap_ns = 1000000000; /* and more: lies between this beat and the one before */
            continue;
        }
        int64_t step_ns = heard_ns ? notice.heard_ns - heard_ns : 100000000;
        if (step_ns < 100000000 + gap_ns - 2 || (!gap_ns && step_ns > 100000002))
            return 4;
        heard_ns = notice.heard_ns;
        gap_ns = 0;
        beats_after += late;
    }
    ops->close(output);
    passo_player_destroy(player);
    return late == 1 ? 0 : 5;
}

static void test_a_stopped_program_does_not_race(void **state)
{
    (void)state;
    int ends[2];
    char byte;
    int status = 0;
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    if (child == 0)
        _exit(child_with_a_gap(ends[1]));
    assert_int_equal(read(ends[0], &byte, 1), 1);
    kill(child, SIGSTOP);
    nanosleep(&(struct timespec){.tv_sec = 1, .tv_nsec = 300000000}, NULL);
    kill(child, SIGCONT);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drives_a_pass),
        cmocka_unit_test(test_takes_turns),
        cmocka_unit_test(test_takes_no_signals),
        cmocka_unit_test(test_a_stopped_program_does_not_race),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
