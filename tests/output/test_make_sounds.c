/* The generator of the shipped click sets, run as the build runs it: folders, files that load back
 * as the built-in sounds, exit status. */
int make_sounds(int argc, char **argv);
#define main make_sounds
#include "../../sounds/make_sounds.c"
#undef main

#include "help.h"

#include <math.h>

static int run(const char *argument, const char *more)
{
    char *argv[] = {"passo_make_sounds", (char *)argument, (char *)more, NULL};
    int argc = argument ? (more ? 3 : 2) : 1;
    return make_sounds(argc, argv);
}

static void test_sets_are_made(void **state)
{
    (void)state;
    char fault[256];
    assert_int_equal(run(path_of("data/sounds"), NULL), 0);
    assert_int_equal(run(path_of("data/sounds"), NULL), 0); /* again, over what is there */
    for (int t = 0; t < PASSO_TIMBRE_COUNT; t++) {
        char set[64];
        struct passo_kit built_in;
        struct passo_kit kit; /* of that timbre: the set is brought to its loudness */
        snprintf(set, sizeof set, "data/sounds/%s", passo_timbre_name((enum passo_timbre)t));
        passo_kit_init(&built_in, (enum passo_timbre)t, RATE_HZ);
        passo_kit_init(&kit, (enum passo_timbre)t, RATE_HZ);
        assert_int_equal(passo_samples_load(&kit, path_of(set), fault, sizeof fault), PASSO_OK);
        for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
            assert_int_equal(kit.click[i].frames, built_in.click[i].frames);
            for (size_t k = 0; k < kit.click[i].frames; k++)
                assert_true(fabsf(kit.click[i].frame[k] - built_in.click[i].frame[k]) < 1e-4F);
        }
        passo_kit_deinit(&built_in);
        passo_kit_deinit(&kit);
    }
}

/* One line on stderr each. */
static void test_faults(void **state)
{
    (void)state;
    int kept = dup(STDERR_FILENO);
    FILE *lines = tmpfile();
    dup2(fileno(lines), STDERR_FILENO);
    write_bytes("file", "x", 1);
    int in_a_file = run(path_of("file"), NULL);
    int without = run(NULL, NULL);
    int too_many = run("a", "b");
    int nowhere = run("/proc/nowhere", NULL);
    dup2(kept, STDERR_FILENO);
    close(kept);
    char text[1024];
    ssize_t got = pread(fileno(lines), text, sizeof text, 0);
    int ends = 0;
    for (ssize_t i = 0; i < got; i++)
        ends += text[i] == '\n';
    fclose(lines);
    assert_int_equal(in_a_file, 3);
    assert_int_equal(without, 2);
    assert_int_equal(too_many, 2);
    assert_int_equal(nowhere, 3);
    assert_int_equal(ends, 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_sets_are_made, make_folder, remove_folder),
        cmocka_unit_test_setup_teardown(test_faults, make_folder, remove_folder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
