/* A climb that was cut short goes on as if it had not been: real climbs in simulated time, in
 * children that kill themselves in mid-climb, against the same climbs uncut. */
#include "keep_tools.h"

#include <signal.h>
#include <sys/wait.h>

static size_t lines_left; /* until the child kills itself */

static void say_and_die(struct passo_view *view, enum passo_say kind, const char *line)
{
    (void)kind;
    (void)line;
    if (lines_left-- > 0)
        return;
    unlink(((struct band *)view)->csv);
    raise(SIGKILL);
}

/* The same in a child that dies at a line; true if it did not live to the end. */
static bool start_and_die(const struct climb_wish *wish)
{
    static struct passo_view_ops deadly;
    int status = 0;
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        struct band *band = band_new();
        deadly = band_ops;
        deadly.say = say_and_die;
        band->ops = &deadly;
        lines_left = wish->die_at_line;
        start(wish, band);
        unlink(band->csv);
        _exit(0);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
}

/* Marks that the passes of the log have taken from a script without an undo. */
static size_t marks_taken(const struct kept *kept)
{
    size_t taken = 0;
    for (size_t i = 0; i < kept->rows; i++)
        taken += kept->row[i].part != PASSO_PART_ANCHOR;
    return taken;
}

static void assert_same_rows(const struct kept *a, const struct kept *b, const char *what)
{
    if (a->rows != b->rows)
        print_error("%s: %zu rows, not %zu\n", what, a->rows, b->rows);
    assert_int_equal(a->rows, b->rows);
    for (size_t i = 0; i < a->rows; i++) {
        if (memcmp(&a->row[i], &b->row[i], sizeof a->row[i]))
            print_error("%s: pass %zu differs\n", what, i + 1);
        assert_memory_equal(&a->row[i], &b->row[i], sizeof a->row[i]);
    }
}

static const char *const rules[][20] = {
    {COMMON, NULL},
    {COMMON, "preset", "octave-pair", NULL},
    {COMMON, "preset", "halves", NULL},
    {COMMON, "preset", "mixed-tempi", NULL},
    {COMMON, "preset", "find-the-edge", NULL},
    {COMMON, "preset", "from-the-end", NULL},
    {COMMON, "preset", "two-up-one-back", NULL},
    {COMMON, "preset", "slow-anchor", NULL},
    {COMMON, "preset", "less-click", NULL},
    {COMMON, "unmarked", "clean", NULL},
    {COMMON, "cold", "yes", "over", "2 at 105 %", "raise", "3 clean of 4", NULL},
};

static const char *draw_marks(struct passo_random *random, char out[61])
{
    for (size_t i = 0; i < 60; i++)
        out[i] = "ccccccmmv."[passo_random_below(random, 10)];
    out[60] = '\0';
    return out;
}

/* The log rounds each pass to a millisecond. */
static void assert_about(int64_t ms, int64_t logged_ms)
{
    assert_true(ms - logged_ms < KEPT_MAX / 2 && logged_ms - ms < KEPT_MAX / 2);
}

/* Climbs, or visits of a routine, whose rows are none of the climb's. */
static void cut_and_go_on(enum passo_extra extra)
{
    struct passo_random random;
    struct kept *uncut = calloc(1, sizeof *uncut);
    struct kept *kept = calloc(1, sizeof *kept);
    size_t went_on = 0;
    passo_random_seed(&random, 20261125);
    for (size_t i = 0; i < 44; i++) {
        char marks[61];
        char what[80];
        struct climb_wish wish = {.options = rules[i % 11],
                                  .marks = draw_marks(&random, marks),
                                  .seed = passo_random_next(&random),
                                  .extra = extra};
        forget();
        struct band *band = band_new();
        assert_false(start(&wish, band));
        band_free(band);
        read_kept(uncut);
        forget();
        /* It may be cut more than once, also while it goes on; another seed would be drawn. */
        for (size_t cuts = 0; cuts < 2; cuts++) {
            wish.die_at_line = 1 + passo_random_below(&random, 60);
            if (!start_and_die(&wish))
                break;
            wish.seed++;
            read_kept(kept);
            wish.marks = marks + marks_taken(kept);
        }
        /* What it played and rested is what this start did, not what was before it. */
        static const char played[] = "SELECT coalesce(sum(play_ms), 0) FROM pass";
        static const char rested[] = "SELECT coalesce(sum(rest_ms), 0) FROM change WHERE kind = 2";
        const int64_t played_ms = sql_number(played);
        const int64_t rested_ms = sql_number(rested);
        band = band_new();
        went_on += start(&wish, band);
        assert_about(band->result.played_ns / 1000000, sql_number(played) - played_ms);
        assert_about(band->result.rested_ns / 1000000, sql_number(rested) - rested_ms);
        band_free(band);
        read_kept(kept);
        snprintf(what, sizeof what, "rule %zu, climb %zu", i % 11, i);
        assert_int_equal(sql_number("SELECT count(*) FROM pass WHERE part > 100") > 0, extra != 0);
        if (sql_number("SELECT count(*) FROM climb") == 1)
            assert_same_rows(kept, uncut, what);
    }
    assert_true(went_on > 20);
    free(uncut);
    free(kept);
}

static void a_cut_climb_goes_on_as_if_uncut(void **state)
{
    (void)state;
    cut_and_go_on(PASSO_EXTRA_NONE);
}

static void a_cut_visit_goes_on_as_if_uncut(void **state)
{
    (void)state;
    cut_and_go_on(PASSO_EXTRA_VISIT);
}

/* --- what is no climb to go on with --- */

static void only_its_own_climb_goes_on(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    static const char *const other[] = {COMMON, "steps", "5 bpm", NULL};
    struct climb_wish wish = {.options = options, .marks = "cccccc", .die_at_line = 12};
    char fault[512];
    forget();
    assert_true(start_and_die(&wish));
    struct passo_lines lines = {0};
    struct passo_lines other_lines = {0};
    add_lines(&lines, options);
    add_lines(&other_lines, other);
    struct passo_setup *setup = resolve(&lines, 1);
    struct passo_setup *other_setup = resolve(&other_lines, 1);
    struct passo_log *log = open_log();
    struct passo_log_cut cut;
    assert_int_equal(passo_log_cut_read(log, "", "Lantern March", "", &cut, fault, sizeof fault),
                     PASSO_OK);
    assert_true(cut.climb && cut.steps > 0);
    assert_true(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day + 1));
    assert_false(passo_restore_goes_on(&cut, &other_lines, other_setup, cut.day));
    /* A log that was changed by hand. */
    struct passo_log_step *step = &cut.step[0];
    const struct passo_log_step sound = *step;
    step->event.stage = 200;
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    *step = sound;
    step->event.turn = 99;
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    *step = sound;
    step->event.part = (enum passo_part)77;
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    *step = sound;
    step->row.tempo_mbpm = 1;
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    *step = sound;
    step->event.elapsed_ms = INT64_MIN;
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    *step = sound;
    step->event.played_ms = INT64_MAX;
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    *step = sound;
    step->row.pass = 7;
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    *step = sound;
    cut.setup[0] = 'x';
    assert_false(passo_restore_goes_on(&cut, &lines, setup, cut.day));
    passo_log_cut_deinit(&cut);
    passo_log_close(log);
    passo_lines_deinit(&lines);
    passo_lines_deinit(&other_lines);
    free(setup);
    free(other_setup);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cut_climb_goes_on_as_if_uncut),
        cmocka_unit_test(a_cut_visit_goes_on_as_if_uncut),
        cmocka_unit_test(only_its_own_climb_goes_on),
    };
    return cmocka_run_group_tests(tests, keep_set_up, keep_tear_down);
}
