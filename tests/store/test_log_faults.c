/* The log when things fail: the N-th write, sync or opening of the disk, the N-th allocation of
 * SQLite, each for N rising until nothing fails any more; and a program that is killed. Afterwards
 * the file is sound, and of every commit all is there or nothing, and all if it said so. */
#include "store/log_disk.h"
#include "store/log_tools.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/wait.h>

/* A child takes ten times as long under ASan, so fewer are tried there. */
#if defined(__SANITIZE_ADDRESS__)
#define SLOW 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define SLOW 1
#endif
#endif
#ifdef SLOW
enum { KILLS = 20, EACH = 10, ONE_IN = 41 };
#else
enum { KILLS = 100, EACH = 60, ONE_IN = 7 };
#endif
enum { BASE = 3, MORE = 4, NTH_MAX = 3000 };

#define ALL ((struct passo_log_wish){0})

static size_t count_rows(const char *path)
{
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct rows rows = rows_of(log, ALL);
    size_t count = rows.count;
    struct days days = days_of(log, ALL);
    uint32_t passes = 0;
    for (size_t i = 0; i < days.count; i++)
        passes += days.at[i].passes;
    assert_int_equal(passes, count); /* one moment, of both */
    free_rows(&rows);
    free_days(&days);
    passo_log_close(log);
    return count;
}

static void make_base(const char *path)
{
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING), BASE);
    commit_log(log);
    passo_log_close(log);
}

/* --- the disk --- */

/* A commit over a disk whose nth operation fails; whether any did. */
static bool commit_on_failing_disk(const char *path, int nth, bool for_ever, bool full)
{
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING + 3600 * SECOND), MORE);
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
        commit_log(log);
    }
    assert_string_equal(passo_log_why(log), "");
    assert_int_equal(count_rows(path), BASE + MORE);
    passo_log_close(log);
    assert_int_equal(count_rows(path), BASE + MORE);
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
        play_climb(log, climb_at("A.B.", "Run", EVENING), BASE);
        enum passo_error then = passo_log_commit(log);
        failed = disk.seen >= nth;
        disk.armed = false;
        if (then != PASSO_OK)
            commit_log(log);
        assert_int_equal(passo_log_waiting(log), 0);
        assert_int_equal(count_rows(path), BASE);
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
        play_climb(log, climb_at("A.B.", "Run", EVENING + i * 3600 * SECOND), BASE);
        arm_disk(1, true, true);
        assert_int_equal(passo_log_commit(log), PASSO_ERR_FILE);
        assert_string_equal(passo_log_why(log), "the disk is full");
        disk.armed = false;
    }
    commit_log(log);
    passo_log_close(log);
    assert_int_equal(count_rows(path), 3 * BASE);
    free(path);
    remove_folder(folder);
}

/* --- memory --- */

static struct {
    bool armed;
    int nth;
    bool for_ever;
    int seen;
    sqlite3_mem_methods real;
} memory;

static bool memory_fails(void)
{
    if (!memory.armed)
        return false;
    memory.seen++;
    return memory.for_ever ? memory.seen >= memory.nth : memory.seen == memory.nth;
}

static void *failing_malloc(int bytes)
{
    return memory_fails() ? NULL : memory.real.xMalloc(bytes);
}

static void *failing_realloc(void *old, int bytes)
{
    return memory_fails() ? NULL : memory.real.xRealloc(old, bytes);
}

static void lay_memory(void)
{
    sqlite3_config(SQLITE_CONFIG_GETMALLOC, &memory.real);
    sqlite3_mem_methods methods = memory.real;
    methods.xMalloc = failing_malloc;
    methods.xRealloc = failing_realloc;
    sqlite3_config(SQLITE_CONFIG_MALLOC, &methods);
}

/* What a child tells before it ends. */
struct told {
    bool committed;
    bool failed; /* an allocation */
    int written;
};

static void ignore_row(void *user, const struct passo_row *row)
{
    (void)user;
    (void)row;
}

static void ignore_day(void *user, const struct passo_log_day *day)
{
    (void)user;
    (void)day;
}

/* A whole use of the log; 0: as if nothing had been. */
static int use_log(const char *path, struct told *told)
{
    char fault[FAULT_BYTES];
    struct passo_log *log;
    struct passo_log_cut cut;
    struct passo_log_wish wish = ALL;
    if (passo_log_open(path, PASSO_LOG_KEEP, &log, fault, sizeof fault) != PASSO_OK)
        return 1;
    play_climb(log, climb_at("A.B.", "Run", EVENING + 3600 * SECOND), MORE);
    if (passo_log_commit(log) != PASSO_OK)
        return 2;
    told->committed = true;
    if (passo_log_rows(log, &wish, ignore_row, NULL, fault, sizeof fault) != PASSO_OK)
        return 3;
    if (passo_log_days(log, &wish, ignore_day, NULL, fault, sizeof fault) != PASSO_OK)
        return 4;
    if (passo_log_cut_read(log, "A.B.", "Run", "Harvest March", &cut, fault, sizeof fault) !=
        PASSO_OK)
        return 5;
    passo_log_cut_deinit(&cut);
    passo_log_close(log);
    return 0;
}

static void use_log_without_memory(const char *path, int nth, bool for_ever, struct told *told)
{
    /* its last words are not ours */
    int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    dup2(nowhere, STDERR_FILENO);
    signal(SIGABRT, SIG_DFL);
    memory.nth = nth;
    memory.for_ever = for_ever;
    memory.armed = true;
    int result = use_log(path, told);
    told->failed = memory.seen >= nth;
    _exit(result);
}

static void test_memory_that_is_out(void **state)
{
    (void)state;
    struct told *told =
        mmap(NULL, sizeof *told, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(told != MAP_FAILED);
    int aborted = 0;
    for (int for_ever = 0; for_ever < 2; for_ever++) {
        bool failed = true;
        /* every one of the first, then one in so many */
        for (int nth = 1; failed; nth += nth < EACH ? 1 : for_ever ? 2 * ONE_IN + 3 : ONE_IN) {
            int status;
            char *folder = new_folder();
            char *path = path_in(folder, "log.sqlite");
            make_base(path);
            *told = (struct told){.failed = true};
            pid_t child = fork();
            if (child == 0)
                use_log_without_memory(path, nth, for_ever, told);
            assert_int_equal(waitpid(child, &status, 0), child);
            bool abort_of_ours = WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT;
            if (!abort_of_ours && !(WIFEXITED(status) && WEXITSTATUS(status) == 0))
                fail_msg("allocation %d: ended with %x", nth, (unsigned)status);
            aborted += abort_of_ours;
            failed = told->failed;
            size_t rows = count_rows(path);
            assert_true(rows == BASE + MORE || (rows == BASE && !told->committed));
            assert_sound(path);
            free(path);
            remove_folder(folder);
        }
    }
    assert_true(aborted > 50);
    munmap(told, sizeof *told);
}

/* --- a program that is killed --- */

static void write_until_killed(const char *path, int round, struct told *told)
{
    char session[PASSO_SESSION_BYTES];
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING + round * 3600 * SECOND);
    passo_log_begin(log, &climb, session);
    for (uint32_t pass = 1;; pass++) {
        struct passo_row row = row_at(pass, climb.began_ns + pass * SECOND);
        play(log, &row);
        mark(log, &row, PASSO_MARK_CLEAN);
        if (passo_log_commit(log) != PASSO_OK)
            _exit(1);
        *(volatile int *)&told->written = (int)pass;
    }
}

static void test_a_program_that_is_killed(void **state)
{
    (void)state;
    struct told *told =
        mmap(NULL, sizeof *told, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(told != MAP_FAILED);
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    size_t before = 0;
    for (int round = 0; round < KILLS; round++) {
        int status;
        told->written = 0;
        pid_t child = fork();
        if (child == 0)
            write_until_killed(path, round, told);
        /* in the middle of whatever comes next, a little later each time */
        while (*(volatile int *)&told->written <= round % 4 &&
               waitpid(child, &status, WNOHANG) == 0)
            usleep((unsigned)(37 * round % 500));
        usleep((unsigned)(53 * round % 1700));
        kill(child, SIGKILL);
        (void)waitpid(child, &status, 0);
        size_t rows = count_rows(path);
        size_t written = (size_t)told->written;
        assert_true(written > 0);
        assert_true(rows == before + written || rows == before + written + 1);
        before = rows;
    }
    assert_sound(path);
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct rows rows = rows_of(log, ALL);
    for (size_t i = 0; i < rows.count; i++) {
        bool first = i == 0 || strcmp(rows.at[i].session, rows.at[i - 1].session) != 0;
        assert_int_equal(rows.at[i].pass, first ? 1 : rows.at[i - 1].pass + 1);
        assert_int_equal(rows.at[i].mark, PASSO_MARK_CLEAN);
    }
    free_rows(&rows);
    passo_log_close(log);
    munmap(told, sizeof *told);
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
        cmocka_unit_test(test_memory_that_is_out),
        cmocka_unit_test(test_a_program_that_is_killed),
    };
    lay_memory();
    lay_disk();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
