/* What earlier days gave of a passage, out of the log: the same as the same rows give that are
 * taken one by one, of one player alone. */
#include "store/csv_tools.h"

#include "store/past_tools.h"

struct scene {
    char folder[32];
    char path[64];
    struct passo_log *log;
};

static struct scene begin(void)
{
    struct scene scene = {.folder = "/tmp/passo-past-XXXXXX"};
    char fault[512];
    assert_non_null(mkdtemp(scene.folder));
    snprintf(scene.path, sizeof scene.path, "%s/log", scene.folder);
    assert_int_equal(passo_log_open(scene.path, PASSO_LOG_KEEP, &scene.log, fault, sizeof fault),
                     PASSO_OK);
    return scene;
}

static void end(struct scene *scene)
{
    static const char *const names[] = {"", "-wal", "-shm", "-journal"};
    char path[96];
    passo_log_close(scene->log);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(path, sizeof path, "%s%s", scene->path, names[i]);
        unlink(path);
    }
    assert_int_equal(rmdir(scene->folder), 0);
}

/* One pass and its climb: at 19:30 UTC of a day in November 2026. */
struct pass {
    const char *player;
    const char *passage;
    const char *piece;
    int day;
    const char *beat_unit;
    int32_t tempo_mbpm;
    enum passo_mark mark;
    enum passo_move move;
};

static struct passo_row row_of(const struct pass *pass)
{
    struct passo_row row = {.player = pass->player,
                            .session = "s",
                            .passage = pass->passage,
                            .piece = pass->piece,
                            .pass = 1,
                            .part = PASSO_PART_CLIMB,
                            .loop = "whole",
                            .bars = "1-8",
                            .variant = "as written",
                            .beat_unit = pass->beat_unit,
                            .tempo_mbpm = pass->tempo_mbpm,
                            .target_mbpm = 104000,
                            .mark = pass->mark,
                            .marked_by = "key",
                            .miss_bar = INT32_MIN,
                            .move = pass->move,
                            .next_mbpm = pass->tempo_mbpm,
                            .play_ns = 1000000000};
    /* 1793491200: 1 November 2026, 0:00 UTC, as `date -ud @1793491200` says. */
    passo_row_time(&row, (1793491200 + (pass->day - 1) * INT64_C(86400) + 70200) * 1000000000, 0);
    return row;
}

static void keep(struct passo_log *log, const struct pass *pass)
{
    const struct passo_row row = row_of(pass);
    const struct passo_ladder_event event = {.mark = pass->mark, .part = PASSO_PART_CLIMB};
    const struct passo_log_climb climb = {.player = pass->player,
                                          .passage = pass->passage,
                                          .piece = pass->piece,
                                          .setup = "",
                                          .session = "s",
                                          .began_ns = row.time_ns};
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(log, &climb, session);
    passo_log_played(log, &row, &event);
    passo_log_change(log, PASSO_LOG_MARKED, &row);
    passo_log_change(log, PASSO_LOG_CLOSED, &row);
    passo_log_end(log, PASSO_OUTCOME_QUIT);
    assert_int_equal(passo_log_commit(log), PASSO_OK);
}

static const struct pass passes[] = {
    {"", "march", "one", 2, "quarter", 80000, PASSO_MARK_CLEAN, PASSO_MOVE_RAISED},
    {"AB", "march", "one", 3, "quarter", 90000, PASSO_MARK_CLEAN, PASSO_MOVE_RAISED},
    {"", "march", "one", 9, "eighth", 160000, PASSO_MARK_MISS, PASSO_MOVE_HELD},
    {"", "march", "two", 10, "quarter", 84000, PASSO_MARK_CLEAN, PASSO_MOVE_HELD},
    {"", "waltz", "one", 11, "quarter", 88000, PASSO_MARK_CLEAN, PASSO_MOVE_RAISED},
    {"", "march", "one", 12, "hemidemi", 88000, PASSO_MARK_CLEAN, PASSO_MOVE_RAISED},
    {"", "march", "one", 20, "quarter", 88000, PASSO_MARK_CLEAN, PASSO_MOVE_RAISED},
};
enum { PASSES = sizeof passes / sizeof *passes };

static struct passo_past_log past_of(struct passo_log *log, const struct passo_past_wish *wanted)
{
    struct passo_past_log past;
    char fault[512];
    assert_int_equal(passo_past_read_log(log, wanted, &past, fault, sizeof fault), PASSO_OK);
    return past;
}

static void one_player_s_days(void **state)
{
    (void)state;
    struct scene scene = begin();
    struct passo_past_wish wanted = wish(20261115);
    for (size_t i = 0; i < PASSES; i++)
        keep(scene.log, &passes[i]);
    struct passo_past_log past = past_of(scene.log, &wanted);
    assert_int_equal(past.last_day, 20261110);
    assert_int_equal(past.missed, 4);
    assert_int_equal(past.passes, 3);
    assert_int_equal(past.days, 3);
    assert_int_equal(past.best_won_mbpm, 80000);
    assert_int_equal(best(&past, "whole", "as written"), 84000);
    near(past.group[0].n, pow(0.5, 8.0 / 7) + pow(0.5, 1.0 / 7), 1e-12);
    near(past.group[0].y, pow(0.5, 8.0 / 7), 1e-12);
    passo_past_deinit(&past);
    wanted.piece = "one";
    past = past_of(scene.log, &wanted);
    assert_int_equal(past.last_day, 20261109);
    passo_past_deinit(&past);
    wanted.player = "AB";
    past = past_of(scene.log, &wanted);
    assert_int_equal(past.last_day, 20261103);
    assert_int_equal(past.passes, 1);
    passo_past_deinit(&past);
    wanted.player = "CD";
    past = past_of(scene.log, &wanted);
    assert_int_equal(past.last_day + (int)past.passes + (int)past.groups, 0);
    passo_past_deinit(&past);
    end(&scene);
}

/* Of rows that all name the wished player, the log gives what the rows give. */
static void the_log_gives_what_its_rows_give(void **state)
{
    (void)state;
    struct scene scene = begin();
    struct passo_past_wish wanted = wish(20261130);
    struct passo_past_log rows;
    struct passo_past_gathering *gathering = passo_past_begin(&wanted);
    for (size_t i = 0; i < PASSES; i++) {
        struct pass pass = passes[i];
        pass.player = "";
        const struct passo_row row = row_of(&pass);
        const bool is_fault = passo_past_take(gathering, &row) != NULL;
        assert_int_equal(is_fault, !strcmp(pass.beat_unit, "hemidemi"));
        keep(scene.log, &pass);
    }
    passo_past_settle(gathering, &rows);
    struct passo_past_log past = past_of(scene.log, &wanted);
    assert_int_equal(past.groups, 4);
    assert_int_equal(past.groups, rows.groups);
    assert_memory_equal(past.group, rows.group, rows.groups * sizeof *rows.group);
    assert_int_equal(past.pasts, rows.pasts);
    assert_int_equal(best(&past, "whole", "as written"), best(&rows, "whole", "as written"));
    assert_int_equal(past.last_day, rows.last_day);
    assert_int_equal(past.missed, rows.missed);
    assert_int_equal(past.passes, rows.passes);
    assert_int_equal(past.days, rows.days);
    assert_int_equal(past.best_won_mbpm, rows.best_won_mbpm);
    passo_past_deinit(&past);
    passo_past_deinit(&rows);
    end(&scene);
}

static void a_log_that_is_not_there_is_a_first_day(void **state)
{
    (void)state;
    struct passo_past_wish wanted = wish(20261130);
    struct passo_log *log;
    char fault[512];
    assert_int_equal(
        passo_log_open("/tmp/passo-past-nowhere/log", PASSO_LOG_LOOK, &log, fault, sizeof fault),
        PASSO_OK);
    struct passo_past_log past = past_of(log, &wanted);
    assert_int_equal(past.last_day, 0);
    passo_past_deinit(&past);
    passo_log_close(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_player_s_days),
        cmocka_unit_test(the_log_gives_what_its_rows_give),
        cmocka_unit_test(a_log_that_is_not_there_is_a_first_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
