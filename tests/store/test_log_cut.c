/* A climb that was cut short comes back as the steps from which its ladder is replayed, and is gone
 * on with, also by two programs at once. */
#include "store/log_tools.h"

static struct passo_log_cut cut_of(struct passo_log *log, const char *passage)
{
    char fault[FAULT_BYTES];
    struct passo_log_cut cut;
    if (passo_log_cut_read(log, "A.B.", passage, "Harvest March", &cut, fault, sizeof fault) !=
        PASSO_OK)
        fail_msg("%s", fault);
    return cut;
}

static void test_a_climb_that_was_cut_short(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    write_story(log);
    struct passo_log_cut cut = cut_of(log, "Solo, bars 33 to 36"); /* it ended */
    assert_int_equal(cut.climb, 0);
    assert_int_equal(cut.steps, 0);
    cut = cut_of(log, "Run");
    assert_true(cut.climb > 0);
    assert_string_equal(cut.session, "20261125T193005-2");
    assert_string_equal(cut.setup, "[passage]\ntitle = x\n");
    assert_int_equal(cut.began_ns, EVENING + 90000 * SECOND);
    assert_int_equal(cut.day, 20261126);
    static const enum passo_event_type wanted[] = {PASSO_LADDER_EASIER, PASSO_LADDER_PASS,
                                                   PASSO_LADDER_PASS,   PASSO_LADDER_PASS,
                                                   PASSO_LADDER_HARDER, PASSO_LADDER_PASS};
    assert_int_equal(cut.steps, 6);
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(cut.step[i].event.type, wanted[i]);
    assert_int_equal(cut.step[0].event.stage, 1);
    assert_int_equal(cut.step[0].event.elapsed_ms, 77);
    const struct passo_log_step *step = &cut.step[1];
    assert_int_equal(step->event.mark, PASSO_MARK_CLEAN);
    assert_int_equal(step->event.rung, 1);
    assert_int_equal(step->event.turn, 1);
    assert_int_equal(step->event.stage, 1);
    assert_int_equal(step->event.elapsed_ms, 20000);
    assert_int_equal(step->event.played_ms, 12346);
    assert_string_equal(step->row.marked_by, "changed");
    assert_true(step->closed);
    assert_false(cut.step[3].closed);
    assert_int_equal(cut.step[3].row.tempo_mbpm, 95000);
    passo_log_cut_deinit(&cut);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* Gone on with, its next pass comes behind the others, and then it is over. */
static void test_going_on(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    write_story(log);
    struct passo_log_cut cut = cut_of(log, "Run");
    passo_log_go_on(log, cut.climb);
    struct passo_row row = row_at(5, EVENING + 91000 * SECOND);
    row.mark = PASSO_MARK_CLEAN;
    row.marked_by = "assumed";
    play(log, &row);
    commit_log(log);
    passo_log_cut_deinit(&cut);
    cut = cut_of(log, "Run");
    assert_int_equal(cut.steps, 7);
    assert_int_equal(cut.step[6].row.mark, PASSO_MARK_CLEAN);
    assert_int_equal(cut.step[6].event.mark, PASSO_MARK_NONE); /* as it is replayed */
    assert_false(cut.step[6].closed);
    close_pass(log, &row);
    commit_log(log);
    passo_log_cut_deinit(&cut);
    cut = cut_of(log, "Run");
    assert_true(cut.step[6].closed);
    passo_log_end(log, PASSO_OUTCOME_QUIT);
    commit_log(log);
    passo_log_cut_deinit(&cut);
    cut = cut_of(log, "Run");
    assert_int_equal(cut.climb, 0);
    passo_log_cut_deinit(&cut);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* A later climb without a pass, or one of an import, is nothing to go on with, and hides none. */
static void test_what_is_no_cut(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    char session[PASSO_SESSION_BYTES];
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING);
    passo_log_begin(log, &climb, session);
    commit_log(log);
    struct passo_log_cut cut = cut_of(log, "Run");
    assert_int_equal(cut.climb, 0);
    int64_t passage;
    struct log_climb taken;
    struct passo_row row = row_at(1, EVENING + SECOND);
    assert_true(log_begin_work(log));
    int rc = log_passage(log, "A.B.", "Run", "Harvest March", &passage);
    if (rc == SQLITE_OK)
        rc = log_climb_add(log, passage, "x", EVENING + SECOND, 0, "", false, &taken);
    if (rc == SQLITE_OK)
        rc = log_pass_add(log, &taken, &row, NULL);
    if (rc == SQLITE_OK)
        rc = log_climb_settle(log, &taken);
    assert_true(log_end_work(log, rc));
    cut = cut_of(log, "Run");
    assert_int_equal(cut.climb, 0);
    struct log_pass pass;
    bool found;
    assert_int_equal(log_pass_read(log, &taken, 1, &found, &pass), SQLITE_OK);
    assert_true(found && pass.closed && !pass.live);
    assert_int_equal(log_pass_read(log, &taken, 2, &found, &pass), SQLITE_OK);
    assert_false(found);
    cut = cut_of(log, "a passage that nobody knows");
    assert_int_equal(cut.climb, 0);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* Two programs go on with one climb: the passes of the second are a session of their own. */
static void test_two_go_on_with_one_climb(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *one = open_log(path, PASSO_LOG_KEEP);
    write_story(one);
    struct passo_log *two = open_log(path, PASSO_LOG_KEEP);
    struct passo_log_cut cut = cut_of(one, "Run");
    struct passo_log *both[] = {one, two};
    for (int i = 0; i < 2; i++) {
        passo_log_go_on(both[i], cut.climb);
        for (uint32_t number = 5; number < 8; number++) {
            struct passo_row row = row_at(number, EVENING + (91000 + 40 * number) * SECOND);
            play(both[i], &row);
            mark(both[i], &row, i ? PASSO_MARK_CLEAN : PASSO_MARK_MISS);
        }
        commit_log(both[i]);
    }
    passo_log_end(two, PASSO_OUTCOME_WON);
    commit_log(two);
    passo_log_cut_deinit(&cut);
    struct rows rows = rows_of(one, (struct passo_log_wish){.player = "A.B.", .passage = "Run"});
    assert_int_equal(rows.count, 4 + 7 + 3);
    for (size_t i = 8; i < 14; i++) {
        assert_string_equal(rows.at[i].session,
                            i < 11 ? "20261125T193005-2" : "20261125T193005-2-2");
        assert_int_equal(rows.at[i].pass, 5 + (i - 8) % 3);
        assert_int_equal(rows.at[i].mark, i < 11 ? PASSO_MARK_MISS : PASSO_MARK_CLEAN);
    }
    free_rows(&rows);
    passo_log_close(one);
    passo_log_close(two);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_climb_that_was_cut_short),
        cmocka_unit_test(test_going_on),
        cmocka_unit_test(test_what_is_no_cut),
        cmocka_unit_test(test_two_go_on_with_one_climb),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
