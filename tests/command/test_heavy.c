/* Hostile passage files of up to a mebibyte through the real program: what is no passage is
 * refused, what is one is planned and climbed, and no file takes long or 50 MiB. What is measured
 * is processor time and the process's largest size; the bound on time is wide of what a slow
 * machine with sanitizers needs. Faults alone are tests/text/test_heavy.c's. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include <passo/random.h>
#include "text/setup.h"

#define BYTES_MAX (1 << 20)
#define KIB_MAX   (50 * 1024)

/* A sanitizer's own tables are larger than the program. */
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define SIZE_COUNTS 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define SIZE_COUNTS 0
#endif
#endif
#ifndef SIZE_COUNTS
#define SIZE_COUNTS 1
#endif

#define WIDE "[passage]\nbars = 2000\nmeter = 64/64\nbeat = 1/64\ntarget = 96\n"
/* Nothing ends a climb but its target. */
#define NO_END "stop = none\ntired = none\nplateau = none\n"

static const char path[] = "march.passo";

/* --- running --- */

/* The exit status of the program with these words, once it is known to be light. It ends by itself,
 * and is ended by a signal if it does not. */
static int run(const char *const *words)
{
    struct rusage usage;
    int status = 0;
    pid_t child = fork();
    assert_true(child >= 0);
    if (!child) {
        int nowhere = open("/dev/null", O_RDWR);
        dup2(nowhere, STDIN_FILENO);
        dup2(nowhere, STDOUT_FILENO);
        dup2(nowhere, STDERR_FILENO);
        alarm(100);
        execv(PASSO_BINARY_DIR "/passo", (char *const *)(uintptr_t)words);
        _exit(127);
    }
    assert_int_equal(wait4(child, &status, 0, &usage), child);
    const long ms = usage.ru_utime.tv_sec * 1000 + usage.ru_utime.tv_usec / 1000;
    print_message("%6ld ms %6ld KiB: %s\n", ms, usage.ru_maxrss, words[1]);
    assert_true(WIFEXITED(status));
    assert_true(!SIZE_COUNTS || usage.ru_maxrss <= KIB_MAX);
    return WEXITSTATUS(status);
}

static int plan(void)
{
    /* What a file costs shows in a few climbs; the forecast's speed is the bench's to measure. */
    const char *const words[] = {"passo", "plan", path, "--runs", "200", NULL};
    return run(words);
}

static int climb(const char *how, const char *with)
{
    const char *const words[] = {"passo", "climb", path, "--fast", how, with, NULL};
    return run(words);
}

static void assert_refused(const char *name)
{
    print_message("%s\n", name);
    assert_int_equal(plan(), 2);
    assert_int_equal(climb("--simulate", NULL), 2);
}

static void assert_played(const char *name)
{
    print_message("%s\n", name);
    assert_int_equal(plan(), 0);
    int won_or_not = climb("--simulate", NULL);
    assert_true(won_or_not == 0 || won_or_not == 1);
    won_or_not = climb("--marks", "marks");
    assert_true(won_or_not == 0 || won_or_not == 1);
}

/* --- writing --- */

static FILE *begin(const char *head)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    fputs(head, file);
    return file;
}

static void end(FILE *file)
{
    assert_true(ftell(file) <= BYTES_MAX);
    assert_int_equal(fclose(file), 0);
}

/* The line, with its number for %d, as often as `lines` and a mebibyte allow. */
__attribute__((format(printf, 2, 0))) static void fill(FILE *file, const char *line, int lines)
{
    for (int i = 0; i < lines && ftell(file) < BYTES_MAX - 64; i++)
        fprintf(file, line, i, i);
}

/* --- files --- */

static void files_without_sense_are_refused(void **state)
{
    struct passo_random random;
    (void)state;
    FILE *file = begin("[ladder]\nsteps = ");
    for (int i = 0; i < BYTES_MAX - 20; i++)
        fputc('9', file);
    end(file);
    assert_refused("one line");
    file = begin("");
    for (int i = 0; i < BYTES_MAX; i++)
        fputc('\n', file);
    end(file);
    assert_refused("only line ends");
    passo_random_seed(&random, 20261125);
    file = begin("");
    for (int i = 0; i < BYTES_MAX; i++)
        fputc((int)passo_random_below(&random, 256), file);
    end(file);
    assert_refused("binary");
}

static void too_many_lines_are_refused(void **state)
{
    static const char *const lines[] = {"[s%d]\nk = 1\n", "[stage %d]\nstart = 50 %%\n",
                                        "[loops]\nl%d = 1\n", "[loops]\na%d = 1.1-2000.%d-1-2-3\n"};
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        FILE *file = begin(WIDE);
        fill(file, lines[i], 100000);
        end(file);
        assert_refused(lines[i]);
    }
}

/* Every key with its usual value, again and again. */
static void repeated_keys_are_refused(void **state)
{
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    (void)state;
    for (int times = 50; times <= 2000; times += 1950) {
        FILE *file = begin("[passage]\ntarget = 96\n");
        for (size_t i = 0; i < count; i++) {
            fprintf(file, "[%s]\n", settings[i].section);
            for (int time = 0; settings[i].usual[0] && time < times; time++)
                if (ftell(file) < BYTES_MAX - 200)
                    fprintf(file, "%s = %s\n", settings[i].key, settings[i].usual);
        }
        end(file);
        assert_refused(times == 50 ? "every key 50 times" : "every key 2000 times");
    }
}

static void extreme_shares_are_played(void **state)
{
    (void)state;
    FILE *file = begin(WIDE "[shape]\n");
    for (int i = 0; i < 32; i++)
        fprintf(file, "bar %d = tempo %d %%\nbars %d-%d = to %d %%\n", i * 60 + 1, i % 2 ? 1600 : 7,
                i * 60 + 31, i * 60 + 59, i % 2 ? 7 : 1600);
    fputs("[ladder]\nstart = 5\nsteps = 1 bpm\n" NO_END, file);
    end(file);
    assert_played("64 written changes");
    file = begin(WIDE "[shape]\n");
    for (int i = 0; i < 64; i++)
        fprintf(file, "bar %d = fermata x 16, then 16 beats\n", i * 30 + 1);
    end(file);
    assert_played("64 fermatas");
}

static void long_passages_are_played(void **state)
{
    (void)state;
    FILE *file = begin(WIDE "[pulse]\nsubdivide = 6\n[loops]\n");
    for (int i = 0; i < 60; i++)
        fprintf(file, "a%d = %d.%d-2000.%d\n", i, i + 1, i % 60 + 1, i % 60 + 2);
    fputs("[ladder]\nturn = whole climb\nstart = 5\nsteps = 1 bpm\n" NO_END, file);
    end(file);
    assert_played("60 loops of 2000 bars");
    file = begin("[passage]\nbars = 2000\nmeter = 64/64\ntarget = 1000\n[ladder]\nstart = 5\n"
                 "steps = 1 bpm\nraise = 255 clean in a row\ndrop = hold\n" NO_END
                 "[stage a]\ncold = yes\n[stage b]\ncold = no\n");
    end(file);
    assert_played("1000 rungs twice");
}

static void long_chains_are_played(void **state)
{
    (void)state;
    FILE *file = begin(WIDE "[loops]\nchain = backward by beat\n");
    end(file);
    assert_refused("a chain of 128000 beats");
    file = begin("[passage]\nbars = 2000\nmeter = 64/1\ntarget = 96\n[loops]\n"
                 "chain = forward by beat\n");
    end(file);
    assert_refused("a chain over 2000 bars of 64/1");
    file = begin(WIDE "[loops]\nchain = forward by 1000 beats\n[ladder]\nclimbs = length\n" NO_END
                      "[pulse]\nsubdivide = 6\n");
    end(file);
    assert_played("a chain of 128 lengths");
    file = begin(WIDE "[ladder]\n" NO_END);
    for (int i = 0; i < 30; i++)
        fprintf(file, "[stage s%d]\nchain = forward by %d beats\nclimbs = length\n", i,
                4000 + 4000 * i);
    end(file);
    assert_played("30 chains");
}

/* A simulated player stops after a day where the rule never ends. */
static void climbs_without_an_end_end(void **state)
{
    (void)state;
    FILE *file = begin("[passage]\ntarget = 96\nbars = 1\n[ladder]\nceiling = 80\n" NO_END);
    end(file);
    assert_int_equal(climb("--simulate", NULL), 1);
    file = begin("[passage]\ntarget = 1000\nbars = 1\nmeter = 1/4\n[ladder]\nstart = 5\n"
                 "rest = 1 s\nraise = 255 clean in a row\ndrop = to start after 1 miss\n" NO_END);
    end(file);
    assert_int_equal(climb("--simulate", NULL), 1);
}

/* --- the folder --- */

static char folder[] = "/tmp/passo-heavy-XXXXXX";

static int enter_folder(void **state)
{
    (void)state;
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
    setenv("XDG_DATA_HOME", folder, 1);
    setenv("XDG_CONFIG_HOME", folder, 1);
    FILE *marks = fopen("marks", "wb");
    assert_non_null(marks);
    fputs("cm.uv", marks);
    return fclose(marks);
}

static int leave_folder(void **state)
{
    (void)state;
    unlink("marks");
    unlink(path);
    return chdir("/") || rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files_without_sense_are_refused),
        cmocka_unit_test(too_many_lines_are_refused),
        cmocka_unit_test(repeated_keys_are_refused),
        cmocka_unit_test(extreme_shares_are_played),
        cmocka_unit_test(long_passages_are_played),
        cmocka_unit_test(long_chains_are_played),
        cmocka_unit_test(climbs_without_an_end_end),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
