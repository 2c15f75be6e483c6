/* A machine that is switched off, or a terminal that is closed, between two items and within one:
 * the day ends there, and says that it was cut short. A signal stays set, so each case has a
 * process of its own. */
#include "day_tools.h"

#include <signal.h>
#include <sys/wait.h>
#include "session/signals.h"

static int signal_number;
static enum passo_phase signal_phase;
static size_t signal_item;

/* The signal comes while this is drawn or, within an item, said. */
static void struck_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    troupe_draw(view, snapshot);
    if (snapshot->phase == signal_phase && snapshot->day->now == signal_item)
        raise(signal_number);
}

static void struck_say(struct passo_view *view, enum passo_say kind, const char *line)
{
    band_say(view, kind, line);
    const char *when = signal_phase == PASSO_PHASE_COUNT_IN ? "Pass 2"
                       : signal_phase == PASSO_PHASE_LEAD   ? "Marrowby mornings"
                                                            : NULL;
    if (when && !strncmp(line, when, strlen(when)))
        raise(signal_number);
}

/* In the child: 0 if all was as it should be. */
static int child(bool cut_short, size_t deeds, enum passo_day_doing last)
{
    struct passo_view_ops ops = troupe_ops;
    struct troupe *troupe = troupe_new();
    add_block(troupe, "long tones", "Long tones.", 10000, 3);
    add_block(troupe, "slurs", "Slurs.", 10000, 3);
    add_block(troupe, "scales", "Scales.", 10000, 3);
    ops.draw = struck_draw;
    ops.say = struck_say;
    troupe->band.ops = &ops;
    passo_signals_init();
    troupe_run(troupe, NULL);
    const struct passo_day_result *result = &troupe->result;
    bool right = !result->finished && result->cut_short == cut_short && result->left > 0 &&
                 troupe->deeds == deeds && (deeds == 0 || troupe->deed[deeds - 1].doing == last);
    if (!right)
        print_error("cut short %d, left %zu, %zu deeds\n", result->cut_short, result->left,
                    troupe->deeds);
    troupe_free(troupe);
    return right ? 0 : 1;
}

static void strike(int number, enum passo_phase phase, size_t item, bool cut_short, size_t deeds,
                   enum passo_day_doing last)
{
    int status = -1;
    signal_number = number;
    signal_phase = phase;
    signal_item = item;
    pid_t pid = fork();
    assert_true(pid >= 0);
    if (pid == 0)
        _exit(child(cut_short, deeds, last));
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
}

static void between_two_items(void **state)
{
    (void)state;
    strike(SIGTERM, PASSO_PHASE_REST, 1, true, 2, PASSO_DOING_DONE);
    strike(SIGHUP, PASSO_PHASE_REST, 2, true, 4, PASSO_DOING_DONE);
    /* Ctrl-C is the player's. */
    strike(SIGINT, PASSO_PHASE_REST, 1, false, 2, PASSO_DOING_DONE);
}

/* While the list is said: what has not begun is not told of. */
static void before_the_first(void **state)
{
    (void)state;
    strike(SIGTERM, PASSO_PHASE_LEAD, 0, true, 0, PASSO_DOING_COUNT);
    strike(SIGINT, PASSO_PHASE_LEAD, 0, false, 0, PASSO_DOING_COUNT);
}

static void within_an_item(void **state)
{
    (void)state;
    strike(SIGTERM, PASSO_PHASE_COUNT_IN, 0, true, 2, PASSO_DOING_STOPPED);
    strike(SIGINT, PASSO_PHASE_COUNT_IN, 0, false, 2, PASSO_DOING_STOPPED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(before_the_first),
        cmocka_unit_test(between_two_items),
        cmocka_unit_test(within_an_item),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
