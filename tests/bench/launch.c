/* Starts a program again and again and takes the time, for the start-up rows of run.sh.
 *
 *   bench_launch exit TIMES PROGRAM...          start to end
 *   bench_launch first TIMES FILE PROGRAM...    start to the first sound, which bench_probe.so,
 *                                               preloaded into the program, writes into FILE
 *
 * Prints "MEDIAN BEST WORST" in milliseconds. The program's stdin is /dev/null, what it prints is
 * dropped. Exit status: 0, or 1 if the program failed or no sound came in 10 s. */
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define TIMES_MAX 1000
#define WAIT_MS   10000

extern char **environ;

static int64_t now_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

static pid_t start(char **program)
{
    posix_spawn_file_actions_t files;
    pid_t pid = -1;
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, 0, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&files, 1, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&files, 2, "/dev/null", O_WRONLY, 0);
    if (posix_spawnp(&pid, program[0], &files, NULL, program, environ) != 0)
        pid = -1;
    posix_spawn_file_actions_destroy(&files);
    return pid;
}

/* Start to end in nanoseconds; -1 if it failed. */
static int64_t time_to_exit(char **program)
{
    int status = -1;
    int64_t began = now_ns();
    pid_t pid = start(program);
    if (pid < 0 || waitpid(pid, &status, 0) != pid)
        return -1;
    int64_t took = now_ns() - began;
    return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? took : -1;
}

/* What the probe wrote: the moment of the first sound, on the same clock; -1 if nothing yet. */
static int64_t read_moment(const char *path)
{
    FILE *file = fopen(path, "r");
    long long moment = -1;
    if (file == NULL)
        return -1;
    if (fscanf(file, "%lld\n", &moment) != 1)
        moment = -1;
    fclose(file);
    return moment;
}

static int64_t time_to_sound(const char *path, char **program)
{
    int64_t moment = -1;
    unlink(path);
    int64_t began = now_ns();
    pid_t pid = start(program);
    if (pid < 0)
        return -1;
    for (int ms = 0; ms < WAIT_MS && moment < 0; ms += 20) {
        nanosleep(&(struct timespec){0, 20000000}, NULL);
        moment = read_moment(path);
    }
    kill(pid, SIGTERM);
    waitpid(pid, NULL, 0);
    return moment < 0 ? -1 : moment - began;
}

static int ascending(const void *a, const void *b)
{
    int64_t left = *(const int64_t *)a;
    int64_t right = *(const int64_t *)b;
    return (left > right) - (left < right);
}

int main(int argc, char **argv)
{
    static int64_t took[TIMES_MAX];
    bool first = argc > 4 && strcmp(argv[1], "first") == 0;
    int times = argc > 3 ? atoi(argv[2]) : 0;
    if (times < 1 || times > TIMES_MAX || (!first && strcmp(argv[1], "exit") != 0)) {
        fputs("usage: bench_launch exit TIMES PROGRAM... | first TIMES FILE PROGRAM...\n", stderr);
        return 2;
    }
    for (int i = 0; i < times; i++) {
        took[i] = first ? time_to_sound(argv[3], argv + 4) : time_to_exit(argv + 3);
        if (took[i] < 0) {
            fprintf(stderr, "bench_launch: %s failed\n", argv[first ? 4 : 3]);
            return 1;
        }
    }
    qsort(took, (size_t)times, sizeof took[0], ascending);
    printf("%.2f %.2f %.2f\n", (double)took[times / 2] / 1e6, (double)took[0] / 1e6,
           (double)took[times - 1] / 1e6);
    return 0;
}
