/* What goes wrong with a file, and what is left of it then: names that are taken, folders that are
 * not there, a disk without room (a limit on the size of files stands for it: the write call fails
 * in the same way), work that is not wanted any more. */
#include "file_help.h"

#include <errno.h>
#include <math.h>
#include <signal.h>
#include <sys/resource.h>

/* The .part of a path in the folder. */
static const char *part_of(const char *path)
{
    static char part[300];
    snprintf(part, sizeof part, "%s.part", path);
    return part;
}

static void check_refused(struct passo_file_job *job, enum passo_error wanted, const char *why)
{
    struct passo_output *output = NULL;
    assert_int_equal(try_open(job, 8000, &output), wanted);
    assert_null(output);
    assert_non_null(strstr(fault, job->path));
    assert_non_null(strstr(fault, why));
}

static void check_bytes(const char *path, const char *wanted)
{
    size_t count;
    unsigned char *bytes = bytes_of_file(path, &count);
    assert_int_equal(count, strlen(wanted));
    assert_memory_equal(bytes, wanted, count);
    free(bytes);
}

static void test_never_over_what_exists(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav")};
    write_bytes("a.wav", "mine", 4);
    check_refused(&job, PASSO_ERR_EXISTS, "exists already");
    check_bytes(path, "mine");
    assert_false(is_there(part_of(path)));

    job.force = true; /* until it is whole, the old one stays */
    struct passo_output *output = open_job(&job, 8000);
    check_bytes(path, "mine");
    assert_true(is_there(part_of(path)));
    ops->close(output);
    assert_false(job.failed);
    SF_INFO info;
    free(read_back(path, &info));
    assert_false(is_there(part_of(path)));
}

/* One that comes to be there while the file is written is not written over either. */
static void test_name_taken_meanwhile(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav")};
    struct passo_output *output = open_job(&job, 8000);
    write_bytes("a.wav", "mine", 4);
    ops->close(output);
    assert_true(job.failed);
    assert_string_equal(job.why, strerror(EEXIST));
    check_bytes(path, "mine");
    assert_false(is_there(part_of(path)));
}

/* Two that write the same file at once; and what a crash left. */
static void test_part_of_another(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav")};
    struct passo_file_job second = job;
    struct passo_output *output = open_job(&job, 8000);
    check_refused(&second, PASSO_ERR_EXISTS, "a.wav.part");
    ops->close(output);
    assert_false(job.failed);
    assert_int_equal(remove(path), 0);
    write_bytes("a.wav.part", "half", 4);
    check_refused(&second, PASSO_ERR_EXISTS, "--force");
    check_bytes(part_of(path), "half");
    second.force = true;
    ops->close(open_job(&second, 8000));
    assert_true(is_there(path) && !is_there(part_of(path)));
}

static void test_places_where_no_file_can_be(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "none/a.wav"), .force = true};
    check_refused(&job, PASSO_ERR_FILE, strerror(ENOENT));
    write_bytes("text", "x", 1);
    place_of(path, "text/a.wav");
    check_refused(&job, PASSO_ERR_FILE, strerror(ENOTDIR));
    assert_int_equal(mkdir(place_of(path, "folder.wav"), 0700), 0);
    check_refused(&job, PASSO_ERR_FILE, "not a file");
    assert_int_equal(mkfifo(place_of(path, "pipe.wav"), 0600), 0);
    check_refused(&job, PASSO_ERR_FILE, "not a file");
    assert_true(is_there(path));
    job.path = "/dev/null"; /* not replaced by a file of that name */
    check_refused(&job, PASSO_ERR_FILE, "not a file");
    char long_path[5000];
    memset(long_path, 'a', sizeof long_path);
    long_path[sizeof long_path - 1] = '\0';
    struct passo_output *output = NULL;
    job.path = long_path;
    assert_int_equal(try_open(&job, 8000, &output), PASSO_ERR_FILE);
    if (geteuid() != 0) { /* root may write everywhere */
        assert_int_equal(chmod(folder, 0500), 0);
        job.path = place_of(path, "a.wav");
        check_refused(&job, PASSO_ERR_FILE, strerror(EACCES));
        assert_int_equal(chmod(folder, 0700), 0);
    }
}

/* A link is written through, as an editor does it. */
static void test_link_is_followed(void **state)
{
    (void)state;
    char path[256];
    char target[256];
    write_bytes("target.wav", "mine", 4);
    assert_int_equal(symlink("target.wav", place_of(path, "link.wav")), 0);
    struct passo_file_job job = {.path = path};
    check_refused(&job, PASSO_ERR_EXISTS, "exists already");
    job.force = true;
    ops->close(open_job(&job, 8000));
    struct stat status;
    assert_int_equal(lstat(path, &status), 0);
    assert_true(S_ISLNK(status.st_mode));
    SF_INFO info;
    free(read_back(place_of(target, "target.wav"), &info));
}

/* A link to what is not there is told of before the work. */
static void test_link_to_nothing(void **state)
{
    (void)state;
    char path[256];
    struct stat status;
    assert_int_equal(symlink("gone/target.wav", place_of(path, "link.wav")), 0);
    struct passo_file_job job = {.path = path};
    for (int force = 0; force < 2; force++) {
        job.force = force;
        check_refused(&job, PASSO_ERR_FILE, "a link to what is not there");
        assert_int_equal(lstat(path, &status), 0);
        assert_true(S_ISLNK(status.st_mode) && !is_there(part_of(path)));
    }
}

/* --- a disk without room --- */

static int fsync_fails_with; /* 0: it does not */
static int fsyncs;

int __real_fsync(int fd);
int __wrap_fsync(int fd);
int __wrap_fsync(int fd)
{
    fsyncs++;
    errno = fsync_fails_with;
    return fsync_fails_with ? -1 : __real_fsync(fd);
}

/* A disk that tells only at the end that it is full takes nobody's place. */
static void test_disk_full_at_the_end(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"), .force = true};
    write_bytes("a.wav", "mine", 4);
    fsync_fails_with = ENOSPC;
    ops->close(open_job(&job, 8000));
    fsync_fails_with = 0;
    assert_true(job.failed);
    assert_string_equal(job.why, strerror(ENOSPC));
    check_bytes(path, "mine");
    assert_false(is_there(part_of(path)));
    /* Each of two is brought to the disk, but what takes nobody's place. */
    char pitch_path[256];
    struct passo_file_job both = {.path = place_of(path, "b.wav"),
                                  .pitch_path = place_of(pitch_path, "c.wav"),
                                  .force = true};
    fsyncs = 0;
    ops->close(open_job(&both, 8000));
    assert_int_equal(fsyncs, 0);
    ops->close(open_job(&both, 8000));
    assert_int_equal(fsyncs, 2);
}

static struct rlimit limit_before;

static void limit_files(rlim_t bytes)
{
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &limit_before), 0);
    const struct rlimit limit = {bytes, limit_before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &limit), 0);
}

static void lift_limit(void)
{
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &limit_before), 0);
}

/* Whatever the kind, and whether its encoder minds: the fault is told in the disk's own words, time
 * goes on, notices come, and nothing is left. */
static void check_no_room(enum passo_file_kind kind, rlim_t bytes)
{
    if (!passo_file_can(kind))
        return;
    char path[256];
    struct passo_file_job job = {
        .path = place_of(path, "a.out"), .kind = kind, .frames = 8000 * 100};
    struct passo_output *output = open_job(&job, 8000);
    struct passo_player *player = tune(8000);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    limit_files(bytes);
    ops->advance(output, passo_frames_to_ns(8000 * 99, 8000));
    assert_int_equal(passo_player_rendered(player), 8000 * 99 + 1);
    struct passo_notice notice;
    int told = 0;
    while (passo_player_notice(player, &notice))
        told++;
    assert_int_equal(told, 6);
    assert_true(ops->alive(output));
    ops->close(output);
    lift_limit();
    assert_true(job.failed);
    assert_string_equal(job.why, strerror(EFBIG));
    assert_false(is_there(path));
    assert_false(is_there(part_of(path)));
    passo_player_destroy(player);
}

static void test_disk_without_room(void **state)
{
    (void)state;
    check_no_room(PASSO_FILE_WAV, 50000);
    check_no_room(PASSO_FILE_FLAC, 9000);
    check_no_room(PASSO_FILE_OGG, 6000);
    check_no_room(PASSO_FILE_OPUS, 2000);
    check_no_room(PASSO_FILE_MP3, 2000);
    check_no_room(PASSO_FILE_WAV, 8000 * 200 + 20); /* all but the very end */
}

/* No room for the header itself. */
static void test_no_room_at_all(void **state)
{
    (void)state;
    for (int kind = 0; kind < PASSO_FILE_KIND_COUNT; kind++) {
        char path[256];
        struct passo_file_job job = {
            .path = place_of(path, "a.out"), .kind = (enum passo_file_kind)kind, .frames = 100};
        if (!passo_file_can(job.kind))
            continue;
        limit_files(0);
        struct passo_output *output = NULL;
        enum passo_error error = try_open(&job, 8000, &output);
        if (!error)
            ops->close(output); /* those that write their header with the first sound */
        lift_limit();
        if (kind == PASSO_FILE_WAV)
            assert_int_equal(error, PASSO_ERR_FILE);
        if (error)
            assert_non_null(strstr(fault, strerror(EFBIG)));
        else
            assert_string_equal(job.why, strerror(EFBIG));
        assert_false(is_there(path) || is_there(part_of(path)));
    }
}

/* Of two files that belong together neither stays without the other. */
static void test_two_files_or_none(void **state)
{
    (void)state;
    char path[256];
    char pitch_path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"),
                                 .pitch_path = place_of(pitch_path, "b.wav")};
    struct passo_output *output = NULL;
    write_bytes("b.wav", "mine", 4);
    assert_int_equal(try_open(&job, 8000, &output), PASSO_ERR_EXISTS);
    assert_non_null(strstr(fault, "b.wav"));
    assert_false(is_there(path) || is_there(part_of(path)));
    assert_int_equal(remove(pitch_path), 0);

    output = open_job(&job, 8000);
    write_bytes("b.wav", "mine", 4); /* taken meanwhile, when a.wav has its name already */
    ops->close(output);
    assert_true(job.failed);
    assert_false(is_there(path) || is_there(part_of(path)) || is_there(part_of(pitch_path)));
    check_bytes(pitch_path, "mine");
}

/* What was there before under both names stays, if the second cannot get its own. */
static void test_forced_two_or_none(void **state)
{
    (void)state;
    char path[256];
    char pitch_path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"),
                                 .pitch_path = place_of(pitch_path, "b.wav"),
                                 .force = true};
    write_bytes("a.wav", "mine", 4);
    write_bytes("b.wav", "too", 3);
    struct passo_output *output = open_job(&job, 8000);
    assert_int_equal(remove(pitch_path), 0);
    assert_int_equal(mkdir(pitch_path, 0700), 0); /* no file takes a folder's place */
    ops->close(output);
    assert_true(job.failed);
    assert_string_equal(job.why, strerror(EISDIR));
    check_bytes(path, "mine");
    assert_false(is_there(part_of(path)) || is_there(part_of(pitch_path)));
    assert_int_equal(rmdir(pitch_path), 0);

    /* A folder in the first place is not exchanged either. */
    job.failed = false;
    output = open_job(&job, 8000);
    assert_int_equal(remove(path), 0);
    assert_int_equal(mkdir(path, 0700), 0);
    ops->close(output);
    assert_true(job.failed);
    assert_false(is_there(part_of(path)) || is_there(pitch_path) || is_there(part_of(pitch_path)));
    assert_int_equal(rmdir(path), 0);

    job.failed = false;
    write_bytes("a.wav", "mine", 4);
    write_bytes("b.wav", "too", 3);
    ops->close(open_job(&job, 8000));
    assert_false(job.failed);
    assert_false(is_there(part_of(path)) || is_there(part_of(pitch_path)));
    SF_INFO info;
    free(read_back(path, &info));
    free(read_back(pitch_path, &info));
}

/* --- not wanted any more --- */

struct teller {
    int64_t told[8];
    int count;
    int enough; /* so many calls, then no more */
};

static bool tell(void *user, int64_t frames)
{
    struct teller *teller = user;
    assert_in_range(teller->count, 0, 7);
    teller->told[teller->count++] = frames;
    return teller->count != teller->enough;
}

/* Each piece is told of, also within one long silence; rising, never more than the file has. */
static void test_pieces_are_told_of(void **state)
{
    (void)state;
    char path[256];
    struct teller teller = {.enough = -1};
    struct passo_file_job job = {
        .path = place_of(path, "a.wav"), .frames = 1800000, .wrote = tell, .user = &teller};
    write_tune(&job, 8000, 1700000);
    assert_in_range(teller.count, 2, 7);
    for (int i = 0; i < teller.count; i++)
        assert_in_range(teller.told[i], i ? teller.told[i - 1] + 1 : 1, 1800000);
    assert_false(job.failed);
    assert_int_equal(job.written, 1800000);
}

static void test_enough_is_enough(void **state)
{
    (void)state;
    char path[256];
    struct teller teller = {.enough = 2};
    struct passo_file_job job = {
        .path = place_of(path, "a.wav"), .frames = 3000000, .wrote = tell, .user = &teller};
    write_tune(&job, 8000, 2900000);
    assert_int_equal(teller.count, 2);
    assert_true(job.discard);
    assert_false(job.failed);
    assert_false(is_there(path) || is_there(part_of(path)));
}

static void test_discarded(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"), .force = true};
    write_bytes("a.wav", "mine", 4);
    struct passo_output *output = open_job(&job, 8000);
    job.discard = true;
    ops->close(output);
    check_bytes(path, "mine");
    assert_false(is_there(part_of(path)));
}

/* A WAV file that would be longer than 4 GiB is RF64 (EBU Tech 3306: its first four letters, the
 * chunk ds64 next). */
static void test_long_wav_is_rf64(void **state)
{
    (void)state;
    char path[256];
    const int64_t most = (INT64_C(0xFFFFFFFF) - 65535) / 2;
    for (int over = 0; over < 2; over++) {
        struct passo_file_job job = {.path = place_of(path, "a.wav"), .frames = most + over};
        struct passo_output *output = open_job(&job, 8000);
        struct passo_player *player = tune(8000);
        assert_int_equal(ops->start(output, player), PASSO_OK);
        ops->advance(output, passo_frames_to_ns(600000, 8000)); /* over one piece */
        size_t count;
        unsigned char *bytes = bytes_of_file(part_of(path), &count);
        assert_memory_equal(bytes, over ? "RF64" : "RIFF", 4);
        assert_memory_equal(bytes + 8, "WAVE", 4);
        assert_memory_equal(bytes + 12, over ? "ds64" : "fmt ", 4);
        free(bytes);
        job.discard = true;
        ops->close(output);
        passo_player_destroy(player);
    }
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, remove_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(test_never_over_what_exists), IN_FOLDER(test_name_taken_meanwhile),
        IN_FOLDER(test_part_of_another),        IN_FOLDER(test_places_where_no_file_can_be),
        IN_FOLDER(test_link_is_followed),       IN_FOLDER(test_link_to_nothing),
        IN_FOLDER(test_disk_full_at_the_end),   IN_FOLDER(test_disk_without_room),
        IN_FOLDER(test_no_room_at_all),         IN_FOLDER(test_two_files_or_none),
        IN_FOLDER(test_forced_two_or_none),     IN_FOLDER(test_pieces_are_told_of),
        IN_FOLDER(test_enough_is_enough),       IN_FOLDER(test_discarded),
        IN_FOLDER(test_long_wav_is_rf64),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
