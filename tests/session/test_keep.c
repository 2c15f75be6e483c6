/* What the conductor keeps in the log, and how a climb goes on that was cut short: real climbs in
 * simulated time, in children that kill themselves in mid-climb, against the same climbs uncut. */
#include "stage_band.h"

#include <signal.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <time.h>
#include "session/restore.h"

enum { TODAY_UNKNOWN = 0, KEPT_MAX = 200 };

static char folder[] = "/tmp/passo-keep-XXXXXX";
static char log_path[64];

static int set_up(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/passo-keep-XXXXXX");
    if (!mkdtemp(folder))
        return -1;
    snprintf(log_path, sizeof log_path, "%s/log.sqlite", folder);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    char remove[96];
    snprintf(remove, sizeof remove, "rm -rf %s", folder);
    return system(remove);
}

static struct passo_log *open_log(void)
{
    struct passo_log *log = NULL;
    char fault[512] = "";
    enum passo_error error = passo_log_open(log_path, PASSO_LOG_KEEP, &log, fault, sizeof fault);
    if (error)
        print_error("%s\n", fault);
    assert_int_equal(error, PASSO_OK);
    return log;
}

/* Runs SQL on the log from outside. */
static void sql(const char *text)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(log_path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, text, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

static int64_t sql_number(const char *text)
{
    sqlite3 *db;
    sqlite3_stmt *statement;
    assert_int_equal(sqlite3_open(log_path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, text, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    int64_t number = sqlite3_column_int64(statement, 0);
    sqlite3_finalize(statement);
    sqlite3_close(db);
    return number;
}

/* --- what the log has --- */

struct kept {
    struct {
        uint32_t pass;
        enum passo_part part;
        char loop[64];
        char variant[64];
        int32_t tempo_mbpm;
        enum passo_mark mark;
        char marked_by[16];
        uint32_t cleans;
        enum passo_move move;
        int32_t next_mbpm;
    } row[KEPT_MAX];
    size_t rows;
};

static void keep_row(void *user, const struct passo_row *row)
{
    struct kept *kept = user;
    assert_true(kept->rows < KEPT_MAX);
    memset(&kept->row[kept->rows], 0, sizeof kept->row[0]);
    kept->row[kept->rows].pass = row->pass;
    kept->row[kept->rows].part = row->part;
    snprintf(kept->row[kept->rows].loop, 64, "%s", row->loop);
    snprintf(kept->row[kept->rows].variant, 64, "%s", row->variant);
    kept->row[kept->rows].tempo_mbpm = row->tempo_mbpm;
    kept->row[kept->rows].mark = row->mark;
    snprintf(kept->row[kept->rows].marked_by, 16, "%s", row->marked_by);
    kept->row[kept->rows].cleans = row->clean_in_a_row;
    kept->row[kept->rows].move = row->move;
    kept->row[kept->rows].next_mbpm = row->next_mbpm;
    kept->rows++;
}

static void read_kept(struct kept *kept)
{
    char fault[512];
    const struct passo_log_wish wish = {0};
    struct passo_log *log = open_log();
    memset(kept, 0, sizeof *kept);
    assert_int_equal(passo_log_rows(log, &wish, keep_row, kept, fault, sizeof fault), PASSO_OK);
    passo_log_close(log);
}

/* --- climbs --- */

static void add_lines(struct passo_lines *lines, const char *const *options)
{
    struct passo_faults faults = {0};
    for (size_t i = 0; options[i]; i += 2)
        passo_lines_add_option(lines, options[i], options[i + 1], &faults);
    assert_int_equal(faults.faults, 0);
}

static struct passo_setup *resolve(const struct passo_lines *lines, uint64_t seed)
{
    struct passo_faults faults = {0};
    struct passo_setup *setup = calloc(1, sizeof *setup);
    passo_setup_resolve(lines, true, setup, &faults);
    assert_int_equal(faults.faults, 0);
    for (size_t i = 0; i < setup->course.stages; i++)
        setup->course.stage[i].rule.seed = seed + i;
    return setup;
}

static size_t lines_left; /* until the child kills itself */

static void say_and_die(struct passo_view *view, enum passo_say kind, const char *line)
{
    (void)view;
    (void)kind;
    (void)line;
    if (lines_left-- == 0)
        raise(SIGKILL);
}

struct climb_wish {
    const char *const *options;
    const char *marks;
    uint64_t seed;
    size_t die_at_line; /* 0: lives */
};

/* One start of the program: goes on if there is something to go on with. True if it did. */
static bool start(const struct climb_wish *wish, struct band *band)
{
    struct passo_lines lines = {0};
    char fault[512];
    add_lines(&lines, wish->options);
    struct passo_setup *setup = resolve(&lines, wish->seed);
    band->log = open_log();
    struct passo_log_cut cut;
    assert_int_equal(passo_log_cut_read(band->log, "", setup->passage.title, setup->passage.piece,
                                        &cut, fault, sizeof fault),
                     PASSO_OK);
    bool goes_on = passo_restore_goes_on(&cut, &lines, setup, cut.day);
    char *text = passo_restore_text(&lines, setup);
    band->setup_text = text;
    band->cut = goes_on ? &cut : NULL;
    band_play_setup(band, setup, wish->marks);
    passo_log_close(band->log);
    passo_log_cut_deinit(&cut);
    passo_lines_deinit(&lines);
    free(text);
    free(setup);
    return goes_on;
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

static void forget(void)
{
    char path[96];
    static const char *const ends[] = {"", "-wal", "-shm"};
    for (size_t i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s%s", log_path, ends[i]);
        unlink(path);
    }
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

#define COMMON "title", "Lantern March", "bars", "1-4", "target", "120", "stop", "40 passes"

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

static void a_cut_climb_goes_on_as_if_uncut(void **state)
{
    (void)state;
    struct passo_random random;
    struct kept *uncut = calloc(1, sizeof *uncut);
    struct kept *kept = calloc(1, sizeof *kept);
    size_t went_on = 0;
    passo_random_seed(&random, 20261125);
    for (size_t i = 0; i < 66; i++) {
        char marks[61];
        char what[80];
        struct climb_wish wish = {.options = rules[i % 11],
                                  .marks = draw_marks(&random, marks),
                                  .seed = passo_random_next(&random)};
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
        band = band_new();
        went_on += start(&wish, band);
        band_free(band);
        read_kept(kept);
        snprintf(what, sizeof what, "rule %zu, climb %zu", i % 11, i);
        if (sql_number("SELECT count(*) FROM climb") == 1)
            assert_same_rows(kept, uncut, what);
    }
    assert_true(went_on > 30);
    free(uncut);
    free(kept);
}

static void both_of_an_undo_are_kept(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    const struct climb_wish wish = {.options = options, .marks = "cmuuccc"};
    struct kept *kept = calloc(1, sizeof *kept);
    forget();
    struct band *band = band_new();
    start(&wish, band);
    band_free(band);
    read_kept(kept);
    assert_int_equal(kept->row[0].mark, PASSO_MARK_CLEAN);
    assert_string_equal(kept->row[0].marked_by, "changed");
    assert_int_equal(kept->row[1].mark, PASSO_MARK_CLEAN);
    /* The miss, both that were taken back, and the marks that came then. */
    assert_int_equal(sql_number("SELECT count(*) FROM change WHERE kind = 1"), 2);
    assert_true(sql_number("SELECT count(*) FROM change WHERE number = 2 AND mark = 2") > 0);
    free(kept);
}

static void nothing_is_kept_of_no_pass(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    const struct climb_wish wish = {.options = options, .marks = ""};
    forget();
    struct band *band = band_new();
    start(&wish, band);
    band_free(band);
    assert_int_equal(sql_number("SELECT count(*) FROM climb"), 0);
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

/* --- a log that takes nothing --- */

static void what_the_log_does_not_take_is_rescued(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    char rescue[80];
    snprintf(rescue, sizeof rescue, "%s/rescue.csv", folder);
    const char *const files[] = {"/nowhere/rescue.csv", rescue, NULL};
    const struct climb_wish wish = {.options = options, .marks = "cccmcc"};
    sqlite3 *holder;
    forget();
    passo_log_close(open_log());
    assert_int_equal(sqlite3_open(log_path, &holder), SQLITE_OK);
    assert_int_equal(sqlite3_exec(holder, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    struct band *band = band_new();
    band->rescue = files;
    start(&wish, band);
    sqlite3_close(holder);
    assert_non_null(band->result.log_failed);
    assert_string_equal(band->result.rescued, rescue);
    size_t told = 0;
    for (size_t i = 0; i < band->lines; i++)
        told += strstr(band->line[i], "The log cannot be written") != NULL;
    assert_int_equal(told, 1);
    struct band *back = band_new();
    band_read_rows(back, rescue);
    assert_int_equal(back->rows, band->rows);
    for (size_t i = 0; i < back->rows; i++)
        assert_memory_equal(&back->row[i], &band->row[i], sizeof back->row[i]);
    assert_int_equal(sql_number("SELECT count(*) FROM pass"), 0);
    free(back);
    band_free(band);
}

static void a_log_that_comes_free_gets_everything(void **state)
{
    (void)state;
    static const char *const options[] = {COMMON, NULL};
    const struct climb_wish wish = {.options = options, .marks = "cccmcc"};
    forget();
    passo_log_close(open_log());
    /* Held for a while by a child; the last tries of the climb come after it. */
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        sqlite3 *holder;
        const struct timespec while_ = {.tv_nsec = 700000000};
        if (sqlite3_open(log_path, &holder) == SQLITE_OK &&
            sqlite3_exec(holder, "BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK)
            nanosleep(&while_, NULL);
        _exit(0);
    }
    const struct timespec moment = {.tv_nsec = 200000000};
    nanosleep(&moment, NULL);
    struct band *band = band_new();
    start(&wish, band);
    assert_int_equal(waitpid(child, NULL, 0), child);
    assert_null(band->result.log_failed);
    assert_int_equal(sql_number("SELECT count(*) FROM pass"), band->result.passes);
    assert_int_equal(sql_number("SELECT count(*) FROM ended"), 1);
    band_free(band);
    sql("PRAGMA quick_check");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cut_climb_goes_on_as_if_uncut),
        cmocka_unit_test(both_of_an_undo_are_kept),
        cmocka_unit_test(nothing_is_kept_of_no_pass),
        cmocka_unit_test(only_its_own_climb_goes_on),
        cmocka_unit_test(what_the_log_does_not_take_is_rescued),
        cmocka_unit_test(a_log_that_comes_free_gets_everything),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
