/* The log on a disk that fails: the N-th write, sync or opening, for N rising until nothing fails
 * any more. Afterwards the file is sound, and of every commit all is there or nothing, and all if
 * it said so. */
#include "store/log_base.h"
#include "store/log_disk.h"

/* A commit over a disk whose nth operation fails; whether any did. */
static bool commit_on_failing_disk(const char *path, int nth, bool for_ever, bool full)
{
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_item(log, 3600 * SECOND, MORE);
    size_t waiting = passo_log_waiting(log);
    arm_disk(nth, for_ever, full);
    enum passo_error error = passo_log_commit(log);
    bool failed = disk.seen >= nth;
    disk.armed = false;
    if (error != PASSO_OK) {
        assert_int_equal(error, PASSO_ERR_FILE);
        assert_true(failed);
        assert_true(passo_log_why(log)[0] != '\0');
        assert_int_equal(passo_log_waiting(log), waiting);
        assert_int_equal(count_rows(path), BASE);
        assert_int_equal(count_deeds(path), 2);
        commit_log(log);
    }
    assert_string_equal(passo_log_why(log), "");
    assert_int_equal(count_rows(path), BASE + MORE);
    assert_int_equal(count_deeds(path), 4);
    passo_log_close(log);
    assert_int_equal(count_rows(path), BASE + MORE);
    assert_int_equal(count_deeds(path), 4);
    assert_sound(path);
    assert_answer(path, "SELECT count(*) FROM climb", "2");
    return failed;
}

static void test_commits_on_a_failing_disk(void **state)
{
    (void)state;
    for (int how = 0; how < 4; how++) {
        int nth = 1;
        for (bool failed = true; failed; nth++) {
            assert_true(nth < NTH_MAX);
            char *folder = new_folder();
            char *path = path_in(folder, "log.sqlite");
            make_base(path);
            failed = commit_on_failing_disk(path, nth, how & 1, how & 2);
            free(path);
            remove_folder(folder);
        }
        assert_true(nth > 5); /* it did fail */
    }
}

/* A new log on a disk that fails: a sentence, or a log that opens itself later. */
static bool open_on_failing_disk(const char *path, int nth, bool for_ever, bool full)
{
    char fault[FAULT_BYTES];
    struct passo_log *log;
    arm_disk(nth, for_ever, full);
    enum passo_error error = passo_log_open(path, PASSO_LOG_KEEP, &log, fault, sizeof fault);
    bool failed = disk.seen >= nth;
    if (error == PASSO_OK) {
        play_item(log, 0, BASE);
        enum passo_error then = passo_log_commit(log);
        failed = disk.seen >= nth;
        disk.armed = false;
        if (then != PASSO_OK)
            commit_log(log);
        assert_int_equal(passo_log_waiting(log), 0);
        assert_int_equal(count_rows(path), BASE);
        assert_int_equal(count_deeds(path), 2);
    } else {
        assert_true(failed);
        assert_null(log);
        assert_non_null(strstr(fault, path));
        assert_true(error == PASSO_ERR_FILE);
    }
    disk.armed = false;
    passo_log_close(log);
    return failed;
}

static void test_opening_on_a_failing_disk(void **state)
{
    (void)state;
    for (int how = 0; how < 4; how++) {
        int nth = 1;
        for (bool failed = true; failed; nth++) {
            assert_true(nth < NTH_MAX);
            char *folder = new_folder();
            char *path = path_in(folder, "log.sqlite");
            failed = open_on_failing_disk(path, nth, how & 1, how & 2);
            size_t rows = count_rows(path);
            assert_true(rows == 0 || rows == BASE);
            struct passo_log *log = open_log(path, PASSO_LOG_KEEP); /* and it is good again */
            play_climb(log, climb_at("A.B.", "Run", EVENING + 7200 * SECOND), MORE);
            commit_log(log);
            passo_log_close(log);
            assert_int_equal(count_rows(path), rows + MORE);
            assert_sound(path);
            free(path);
            remove_folder(folder);
        }
        assert_true(nth > 5);
    }
}

/* What was committed stays where closing cannot put it in its place. */
static void test_closing_on_a_failing_disk(void **state)
{
    (void)state;
    for (int nth = 1, failed = 1; failed; nth++) {
        assert_true(nth < NTH_MAX);
        char *folder = new_folder();
        char *path = path_in(folder, "log.sqlite");
        struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
        play_climb(log, climb_at("A.B.", "Run", EVENING), BASE);
        commit_log(log);
        arm_disk(nth, true, true);
        passo_log_close(log);
        failed = disk.seen >= nth;
        disk.armed = false;
        assert_int_equal(count_rows(path), BASE);
        assert_sound(path);
        free(path);
        remove_folder(folder);
    }
}

/* A disk that is full is said to be, and no more is said once there is room. */
static void test_a_full_disk_says_so(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    for (int i = 0; i < 3; i++) {
        play_item(log, i * 3600 * SECOND, BASE);
        arm_disk(1, true, true);
        assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
        assert_string_equal(passo_log_why(log), "the disk is full");
        disk.armed = false;
    }
    commit_log(log);
    passo_log_close(log);
    assert_int_equal(count_rows(path), 3 * BASE);
    assert_int_equal(count_deeds(path), 6);
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_commits_on_a_failing_disk),
        cmocka_unit_test(test_opening_on_a_failing_disk),
        cmocka_unit_test(test_closing_on_a_failing_disk),
        cmocka_unit_test(test_a_full_disk_says_so),
    };
    lay_disk();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
