/* Hostile files of a mebibyte: each is told its faults with little memory and in little time, and
 * nothing is kept. What is measured is processor time and the process's largest size; the bounds
 * are wide of what a slow machine needs, and far under what a quadratic reader would take. */
#include "setup_tools.h"

#include <sys/resource.h>
#include <sys/wait.h>

#define BYTES_MAX   (1u << 20)
#define SECONDS_MAX 10
#define KIB_MAX     (50 * 1024)

/* A file of a mebibyte: the head, then the line, its #s numbered, as often as it fits. */
static void write_hostile(const char *head, const char *line)
{
    FILE *file = fopen("march.passo", "wb");
    assert_non_null(file);
    size_t used = (size_t)fprintf(file, "%s", head);
    for (int number = 0; used + strlen(line) + 24 < BYTES_MAX; number++)
        for (const char *at = line; *at; at++)
            used += (size_t)(*at == '#' ? fprintf(file, "%d", number) : fprintf(file, "%c", *at));
    assert_int_equal(fclose(file), 0);
}

/* Resolves it in a process of its own, whose size and time are then known. */
static void assert_light(const char *head, const char *line)
{
    struct rusage usage;
    int status = 0;
    write_hostile(head, line);
    pid_t child = fork();
    assert_true(child >= 0);
    if (!child) {
        struct passo_lines lines = {0};
        struct passo_faults faults = {0};
        struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
        passo_lines_add_file(&lines, "march.passo", &faults);
        passo_setup_resolve(&lines, true, setup, &faults);
        bool told = faults.faults > 0 && faults.faults <= 51;
        passo_lines_deinit(&lines);
        passo_faults_deinit(&faults);
        free(setup);
        _exit(told ? 0 : 1);
    }
    assert_int_equal(wait4(child, &status, 0, &usage), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
    if (usage.ru_utime.tv_sec >= SECONDS_MAX || usage.ru_maxrss > KIB_MAX)
        print_error("%s %s: %ld s, %ld KiB\n", head, line, (long)usage.ru_utime.tv_sec,
                    usage.ru_maxrss);
    else
        print_message("%6ld ms %6ld KiB: %.40s ...\n",
                      (long)(usage.ru_utime.tv_sec * 1000 + usage.ru_utime.tv_usec / 1000),
                      usage.ru_maxrss, line);
    assert_true(usage.ru_utime.tv_sec < SECONDS_MAX);
    assert_true(usage.ru_maxrss <= KIB_MAX);
}

#define WHOLE "[passage]\nbars = 2000\nmeter = 64/64\nbeat = 1/256\ntarget = 96\n"

static void hostile_files_are_light(void **state)
{
    (void)state;
    assert_light("[loops]\n", "l#=1\n");
    assert_light("[loops]\n", "a=1\n=2\n");
    assert_light("[loops]\n", "a=1\n");
    assert_light("[variants]\n", "v#=o\n");
    assert_light(WHOLE "[shape]\n", "bar #=silent\n");
    assert_light(WHOLE "[shape]\n", "bar #=meter 3/4\n");
    assert_light(WHOLE, "[stage #]\nstart=1\n");
    assert_light(WHOLE, "[stage #]\nraise=1 clean\n[stage a]\nstart=last result\n");
    assert_light(WHOLE "[stage a]\n", "loop=whole,whole,whole,whole,whole,whole,whole#\n");
    assert_light(WHOLE "[ladder]\n", "raise=#\n");
    assert_light(WHOLE "[ladder]\n", "k#=1\n");
    assert_light("", "k=1\n");
    assert_light("", "[s#]\nk=1\n");
    assert_light("", "[\n");
    assert_light("", "#");
    assert_light("[ladder]\n", "no sense\n");
    assert_light("[ladder]\nstart=2\n", "\n");
}

/* Chains of many stages over as many beats as a passage can have. */
static void many_chains_are_light(void **state)
{
    static char head[16384] = WHOLE "[shape]\n";
    (void)state;
    for (int bar = 0; bar < 64; bar++)
        snprintf(head + strlen(head), sizeof head - strlen(head), "bar %d = meter %d/64\n",
                 2 + 30 * bar, 1 + bar % 60);
    for (int stage = 0; stage < 32; stage++)
        snprintf(head + strlen(head), sizeof head - strlen(head),
                 "[stage %d]\nchain = backward by %d beats\nclimbs = length\n", stage,
                 4000 + 4000 * stage);
    assert_light(head, "[nowhere]\nk#=1\n");
}

/* One line of a mebibyte, as a value, a section, a comment. */
static void one_long_line_is_one_sentence(void **state)
{
    static const char *const head[][2] = {
        {"[ladder]\nsteps = ", "a list of tempi"},
        {"[ladder", "a section is written"},
        {"steps = ", "no section yet"},
        {"[shape]\n\xC3\xA9", "there is no = here"},
        {"[passage]\nnotes = z", "notes"},
    };
    static char text[BYTES_MAX + 1];
    (void)state;
    for (size_t i = 0; i < sizeof head / sizeof *head; i++) {
        struct trial trial;
        memset(text, '9', sizeof text - 1);
        memcpy(text, head[i][0], strlen(head[i][0]));
        text[sizeof text - 1] = '\0';
        try_lines(&trial, text, NULL, false);
        assert_int_equal(trial.faults.faults, 1);
        assert_true(strlen(trial.faults.fault[0]) < 300);
        assert_non_null(strstr(trial.faults.fault[0], head[i][1]));
        trial_end(&trial);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hostile_files_are_light),
        cmocka_unit_test(many_chains_are_light),
        cmocka_unit_test(one_long_line_is_one_sentence),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
