/* Where a log may lie and whose it is: folders and rights, files that are none, and looking at what
 * cannot be written. What root may do anyway is tried as somebody else. */
#include "store/log_tools.h"

#include <fcntl.h>
#include <sys/wait.h>

#define ALL ((struct passo_log_wish){0})

static void assert_mode(const char *path, mode_t mode)
{
    struct stat about;
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(about.st_mode & 07777, mode);
}

static void test_a_new_log_is_its_owners_alone(void **state)
{
    (void)state;
    static const mode_t umasks[] = {0, 022, 0277, 0777};
    for (size_t i = 0; i < 4; i++) {
        char *folder = new_folder();
        char *path = path_in(folder, "a/b/log.sqlite");
        char *wal = path_in(folder, "a/b/log.sqlite-wal");
        char *shm = path_in(folder, "a/b/log.sqlite-shm");
        char *a = path_in(folder, "a");
        char *b = path_in(folder, "a/b");
        mode_t before = umask(umasks[i]);
        struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
        play_climb(log, climb_at("A.B.", "Run", EVENING), 2);
        commit_log(log);
        umask(before);
        assert_mode(a, 0700);
        assert_mode(b, 0700);
        assert_mode(path, 0600);
        assert_mode(wal, 0600);
        assert_mode(shm, 0600);
        assert_answer(path, "PRAGMA journal_mode", "wal");
        passo_log_close(log);
        char *names[] = {path, wal, shm, a, b};
        for (size_t j = 0; j < 5; j++)
            free(names[j]);
        remove_folder(folder);
    }
}

static void test_looking_makes_nothing(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "a/log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_LOOK);
    struct rows rows = rows_of(log, ALL);
    struct days days = days_of(log, ALL);
    assert_int_equal(rows.count + days.count, 0);
    passo_log_close(log);
    assert_int_equal(rmdir(folder), 0); /* it is empty */
    assert_int_equal(mkdir(folder, 0700), 0);
    free(path);
    path = path_in(folder, "log.sqlite");
    int file = open(path, O_CREAT | O_WRONLY, 0600); /* an empty file is a new log */
    close(file);
    log = open_log(path, PASSO_LOG_LOOK);
    rows = rows_of(log, ALL);
    assert_int_equal(rows.count, 0);
    passo_log_close(log);
    struct stat about;
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(about.st_size, 0);
    log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING), 2);
    commit_log(log);
    passo_log_close(log);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

/* Odd names that SQLite would take for something else. */
static void test_odd_names(void **state)
{
    (void)state;
    static const char *const odd[] = {":memory:", "a?mode=memory", "b%20c#d",       "file:x",
                                      "",         "//double",      "\xc3\xa4 \"x\""};
    char *folder = new_folder();
    char before[512];
    assert_non_null(getcwd(before, sizeof before));
    assert_int_equal(chdir(folder), 0);
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        char fault[FAULT_BYTES];
        struct passo_log *log;
        char *path = odd[i][0] == '/' ? path_in(folder, odd[i]) : strdup(odd[i]);
        enum passo_error error = passo_log_open(path, PASSO_LOG_KEEP, &log, fault, sizeof fault);
        assert_int_equal(error, odd[i][0] ? PASSO_OK : PASSO_ERR_FILE);
        if (error == PASSO_OK) {
            play_climb(log, climb_at("A.B.", "Run", EVENING), 1);
            commit_log(log);
            assert_int_equal(access(path, F_OK), 0);
        }
        passo_log_close(log);
        free(path);
    }
    assert_int_equal(chdir(before), 0);
    remove_folder(folder);
}

static void assert_refused(const char *path, int use, enum passo_error error, const char *words)
{
    char fault[FAULT_BYTES];
    struct passo_log *log;
    assert_int_equal(passo_log_open(path, (enum passo_log_use)use, &log, fault, sizeof fault),
                     error);
    assert_null(log);
    if (!strstr(fault, words))
        fail_msg("\"%s\" does not say \"%s\"", fault, words);
}

static void test_what_is_no_file(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *pipe = path_in(folder, "pipe");
    char *link = path_in(folder, "link");
    char *round = path_in(folder, "round");
    char *file = path_in(folder, "file");
    char *under = path_in(folder, "file/log");
    char *twice = path_in(folder, "file/a/log");
    char longest[300];
    memset(longest, 'x', sizeof longest - 1);
    longest[299] = '\0';
    char *too_long = path_in(folder, longest);
    assert_int_equal(mkfifo(pipe, 0600), 0);
    assert_int_equal(symlink("nowhere", link), 0);
    assert_int_equal(symlink("round", round), 0);
    close(open(file, O_CREAT | O_WRONLY, 0600));
    for (int use = PASSO_LOG_LOOK; use <= PASSO_LOG_KEEP; use++) {
        assert_refused(folder, use, PASSO_ERR_SYNTAX, "this is a folder; name a file in it");
        assert_refused(pipe, use, PASSO_ERR_SYNTAX, "this is a pipe or a device");
        assert_refused("/dev/null", use, PASSO_ERR_SYNTAX, "this is a pipe or a device");
        assert_refused(link, use, PASSO_ERR_FILE, "this is a link to a file that is not there");
        assert_refused(round, use, PASSO_ERR_FILE, "this link leads back to itself");
        assert_refused(under, use, PASSO_ERR_FILE, "a part of this path is no folder");
        assert_refused(twice, use, PASSO_ERR_FILE, "a part of this path is no folder");
        assert_refused(too_long, use, PASSO_ERR_FILE, "this name is too long");
    }
    char *names[] = {pipe, link, round, file, under, twice, too_long};
    for (size_t i = 0; i < 7; i++)
        free(names[i]);
    remove_folder(folder);
}

/* Runs it as a user who may not do everything; gives back what it gives back. */
static int as_nobody(int (*run)(const char *path), const char *path)
{
    int status;
    pid_t child = fork();
    if (child == 0) {
        bool less = geteuid() != 0 || (setgid(65534) == 0 && setuid(65534) == 0);
        _exit(less ? run(path) : 99);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void count_row(void *user, const struct passo_row *row)
{
    (void)row;
    (*(int *)user)++;
}

/* How many rows it sees; 98: it was refused. */
static int look_at(const char *path)
{
    char fault[FAULT_BYTES];
    struct passo_log *log;
    struct passo_log_wish wish = ALL;
    int rows = 0;
    if (passo_log_open(path, PASSO_LOG_LOOK, &log, fault, sizeof fault) != PASSO_OK ||
        passo_log_rows(log, &wish, count_row, &rows, fault, sizeof fault) != PASSO_OK)
        return 98;
    passo_log_close(log);
    return rows;
}

/* 0: refused with PASSO_ERR_FILE and a sentence about permissions. */
static int keep_is_refused(const char *path)
{
    char fault[FAULT_BYTES];
    struct passo_log *log;
    enum passo_error error = passo_log_open(path, PASSO_LOG_KEEP, &log, fault, sizeof fault);
    return error != PASSO_ERR_FILE || !strstr(fault, "look at the permissions of");
}

static int look_is_refused(const char *path)
{
    char fault[FAULT_BYTES];
    struct passo_log *log;
    enum passo_error error = passo_log_open(path, PASSO_LOG_LOOK, &log, fault, sizeof fault);
    return error != PASSO_ERR_FILE || !strstr(fault, "permissions");
}

static void give_to_nobody(const char *path)
{
    if (geteuid() == 0)
        assert_int_equal(chown(path, 65534, 65534), 0);
}

static void test_a_log_that_can_only_be_read(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING), 5);
    commit_log(log);
    passo_log_close(log);
    give_to_nobody(folder);
    give_to_nobody(path);
    /* the file alone */
    assert_int_equal(chmod(path, 0400), 0);
    assert_int_equal(as_nobody(look_at, path), 5);
    assert_int_equal(as_nobody(keep_is_refused, path), 0);
    /* the folder too, where SQLite can lay nothing beside it */
    assert_int_equal(chmod(folder, 0500), 0);
    assert_int_equal(as_nobody(look_at, path), 5);
    assert_int_equal(as_nobody(keep_is_refused, path), 0);
    /* the folder alone */
    assert_int_equal(chmod(path, 0600), 0);
    assert_int_equal(as_nobody(look_at, path), 5);
    assert_int_equal(as_nobody(keep_is_refused, path), 0);
    /* not even that */
    assert_int_equal(chmod(path, 0), 0);
    assert_int_equal(as_nobody(look_is_refused, path), 0);
    assert_int_equal(chmod(folder, 0), 0);
    assert_int_equal(as_nobody(look_is_refused, path), 0);
    assert_int_equal(chmod(folder, 0700), 0);
    free(path);
    remove_folder(folder);
}

/* A copy of a log that was cut off in the middle: passes wait in its companion, which cannot be
 * worked in where it is, and are seen all the same. Likewise of an older version. */
static void test_a_companion_that_can_only_be_read(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    char *there = path_in(folder, "there");
    char command[600];
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("A.B.", "Run", EVENING), 5);
    commit_log(log);
    assert_int_equal(mkdir(there, 0700), 0);
    snprintf(command, sizeof command, "cp -p %s %s-wal %s", path, path, there);
    assert_int_equal(system(command), 0);
    passo_log_close(log);
    free(path);
    path = path_in(there, "log.sqlite");
    char *wal = path_in(there, "log.sqlite-wal");
    struct stat about;
    assert_int_equal(stat(wal, &about), 0);
    assert_true(about.st_size > 0);
    char *names[] = {there, path, wal};
    for (size_t i = 0; i < 3; i++) {
        give_to_nobody(names[i]);
        assert_int_equal(chmod(names[i], i ? 0400 : 0500), 0);
    }
    assert_int_equal(chmod(folder, 0755), 0);
    assert_int_equal(as_nobody(look_at, path), 5);
    assert_int_equal(chmod(there, 0700), 0);
    free(path);
    free(wal);
    free(there);
    remove_folder(folder);
}

/* No folder can be made there. */
static void test_a_place_that_is_not_ours(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "a/log.sqlite");
    give_to_nobody(folder);
    assert_int_equal(chmod(folder, 0500), 0);
    assert_int_equal(as_nobody(look_at, path), 0);
    assert_int_equal(as_nobody(keep_is_refused, path), 0);
    assert_int_equal(chmod(folder, 0700), 0);
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_new_log_is_its_owners_alone),
        cmocka_unit_test(test_looking_makes_nothing),
        cmocka_unit_test(test_odd_names),
        cmocka_unit_test(test_what_is_no_file),
        cmocka_unit_test(test_a_log_that_can_only_be_read),
        cmocka_unit_test(test_a_companion_that_can_only_be_read),
        cmocka_unit_test(test_a_place_that_is_not_ours),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
