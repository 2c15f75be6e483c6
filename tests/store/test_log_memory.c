/* The log when memory is out, the N-th allocation of SQLite for N rising until nothing fails any
 * more; and a program that is killed. Afterwards the file is sound, and of every commit all is
 * there or nothing, and all if it said so. */
#include "store/log_base.h"

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
enum { KILLS = 20, EACH = 10, ONE_IN = 41, READING = 29 };
#else
enum { KILLS = 100, EACH = 60, ONE_IN = 7, READING = 1 };
#endif
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

static void ignore_deed(void *user, const struct passo_log_day_row *row)
{
    (void)user;
    (void)row;
}

static void ignore_day(void *user, const struct passo_log_day *day)
{
    (void)user;
    (void)day;
}

/* Only read, with the log open. */
static int read_log(struct passo_log *log)
{
    char fault[FAULT_BYTES];
    struct passo_log_cut cut;
    struct passo_log_wish wish = ALL;
    if (passo_log_rows(log, &wish, ignore_row, NULL, fault, sizeof fault) != PASSO_OK)
        return 3;
    if (passo_log_days(log, &wish, ignore_day, NULL, fault, sizeof fault) != PASSO_OK)
        return 4;
    if (passo_log_cut_read(log, "A.B.", "Run", "Harvest March", &cut, fault, sizeof fault) !=
        PASSO_OK)
        return 5;
    passo_log_cut_deinit(&cut);
    for (int all = 0; all < 2; all++) {
        if (passo_log_today_rows(log, all ? NULL : "A.B.", 0, 0, ignore_deed, NULL, fault,
                                 sizeof fault) != PASSO_OK)
            return 6;
    }
    return 0;
}

/* A whole use of the log; 0: as if nothing had been. */
static int use_log(const char *path, struct told *told)
{
    char fault[FAULT_BYTES];
    struct passo_log *log;
    if (passo_log_open(path, PASSO_LOG_KEEP, &log, fault, sizeof fault) != PASSO_OK)
        return 1;
    play_item(log, 3600 * SECOND, MORE);
    if (passo_log_commit(log) != PASSO_OK)
        return 2;
    told->committed = true;
    int result = read_log(log);
    passo_log_close(log);
    return result;
}

static void arm_memory(int nth, bool for_ever)
{
    /* its last words are not ours */
    int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    dup2(nowhere, STDERR_FILENO);
    signal(SIGABRT, SIG_DFL);
    memory.nth = nth;
    memory.for_ever = for_ever;
    memory.armed = true;
}

static void use_log_without_memory(const char *path, int nth, bool for_ever, struct told *told)
{
    arm_memory(nth, for_ever);
    int result = use_log(path, told);
    told->failed = memory.seen >= nth;
    _exit(result);
}

/* It ends with a word, or all is as if nothing had been; no failure is taken for damage. */
static bool ended_well(int status)
{
    return (WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT) ||
           (WIFEXITED(status) && WEXITSTATUS(status) == 0);
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
            if (!ended_well(status))
                fail_msg("allocation %d: ended with %x", nth, (unsigned)status);
            aborted += WIFSIGNALED(status);
            failed = told->failed;
            size_t rows = count_rows(path);
            assert_true(rows == BASE + MORE || (rows == BASE && !told->committed));
            assert_int_equal(count_deeds(path), rows == BASE ? 2 : 4);
            assert_sound(path);
            free(path);
            remove_folder(folder);
        }
    }
    assert_true(aborted > 50);
    munmap(told, sizeof *told);
}

/* Every single allocation while it is read, or one in so many where that takes long. */
static void test_reading_without_memory(void **state)
{
    (void)state;
    struct told *told =
        mmap(NULL, sizeof *told, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(told != MAP_FAILED);
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    make_base(path);
    int aborted = 0;
    *told = (struct told){.failed = true};
    for (int nth = 1; told->failed; nth += READING) {
        int status;
        pid_t child = fork();
        if (child == 0) {
            struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
            arm_memory(nth, false);
            int result = read_log(log);
            told->failed = memory.seen >= nth;
            _exit(result);
        }
        assert_int_equal(waitpid(child, &status, 0), child);
        if (!ended_well(status))
            fail_msg("allocation %d: ended with %x", nth, (unsigned)status);
        aborted += WIFSIGNALED(status);
    }
    assert_true(aborted > 10);
    munmap(told, sizeof *told);
    free(path);
    remove_folder(folder);
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
        do_item(log, "A.B.", "visit/1/Run", PASSO_LOG_ITEM_BEGAN, 0);
        do_item(log, "A.B.", "visit/1/Run", PASSO_LOG_ITEM_DONE, 0);
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
        assert_int_equal(count_deeds(path), 2 * rows); /* all of a commit, or nothing */
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
        cmocka_unit_test(test_memory_that_is_out),
        cmocka_unit_test(test_reading_without_memory),
        cmocka_unit_test(test_a_program_that_is_killed),
    };
    lay_memory();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
