/* The routines that ship: each reads without a fault, its minutes add up, every block has room for
 * a pass of each of the day's keys, and there is more rest than playing where it says so. */
#include "setup_tools.h"
#include "text/routine.h"

#include <dirent.h>

#define FOLDER PASSO_SOURCE_DIR "/presets/routines"

/* The shipped ones and the minutes that their names or their first lines promise. */
static const struct {
    const char *name;
    int minutes;
    size_t blocks;
} shipped[] = {
    {"before-a-performance", 12, 6},
    {"fifteen", 15, 5},
    {"forty-five", 45, 8},
    {"school", 22, 6},
    {"sixty", 60, 10},
    {"thirty", 30, 7},
};
#define SHIPPED (sizeof shipped / sizeof *shipped)

static struct passo_routine_file file;

static void read_shipped(const char *name)
{
    char path[512];
    struct passo_faults faults = {0};
    snprintf(path, sizeof path, FOLDER "/%s.passo", name);
    passo_routine_read(path, &file, &faults);
    for (size_t i = 0; i < faults.faults; i++)
        print_error("fault: %s\n", faults.fault[i]);
    assert_int_equal(faults.faults, 0);
    passo_faults_deinit(&faults);
}

static int64_t keys_today(const struct passo_block *block)
{
    if (block->cycle.kind == PASSO_CYCLE_NONE)
        return 1;
    int64_t all = block->cycle.kind == PASSO_CYCLE_LIST ? block->cycle.listed : 12;
    return block->keys_a_day ? block->keys_a_day : all;
}

static void all_are_in_the_table(void **state)
{
    size_t count = 0;
    DIR *folder = opendir(FOLDER);
    (void)state;
    assert_non_null(folder);
    for (struct dirent *entry; (entry = readdir(folder));)
        count += strstr(entry->d_name, ".passo") != NULL;
    closedir(folder);
    assert_int_equal(count, SHIPPED);
}

static void minutes_add_up(void **state)
{
    (void)state;
    for (size_t i = 0; i < SHIPPED; i++) {
        int64_t ms = 0;
        read_shipped(shipped[i].name);
        assert_string_equal(file.name, shipped[i].name);
        assert_int_equal(file.whole_ms, shipped[i].minutes * INT64_C(60000));
        assert_int_equal(file.routine.blocks, shipped[i].blocks);
        for (size_t block = 0; block < file.routine.blocks; block++)
            ms += file.routine.block[block].ms;
        assert_int_equal(ms + file.passages_ms, file.whole_ms);
        passo_routine_deinit(&file);
    }
}

static void each_key_has_room_for_a_pass(void **state)
{
    (void)state;
    for (size_t i = 0; i < SHIPPED; i++) {
        read_shipped(shipped[i].name);
        for (size_t at = 0; at < file.routine.blocks; at++) {
            const struct passo_block *block = &file.routine.block[at];
            if (block->ms < keys_today(block) * block->pass_ms)
                print_error("%s, %s: %lld ms for %lld passes of %lld\n", shipped[i].name,
                            block->name, (long long)block->ms, (long long)keys_today(block),
                            (long long)block->pass_ms);
            assert_true(block->ms >= keys_today(block) * block->pass_ms);
            assert_true(block->tags[0] || !file.block[at].setup);
            assert_true(file.block[at].caption[0]);
        }
        passo_routine_deinit(&file);
    }
}

/* The first comment line says when to use it; of what may tire one is warned. */
static void they_say_when_and_warn(void **state)
{
    char path[512];
    (void)state;
    for (size_t i = 0; i < SHIPPED; i++) {
        static char heading[4096];
        read_shipped(shipped[i].name);
        assert_true(strlen(file.summary) > 20);
        passo_routine_deinit(&file);
        snprintf(path, sizeof path, FOLDER "/%s.passo", shipped[i].name);
        FILE *to = fmemopen(heading, sizeof heading, "w");
        assert_non_null(to);
        assert_true(passo_file_heading_write(path, to));
        assert_int_equal(fclose(to), 0);
        assert_true(strstr(heading, "lips") || strstr(heading, "tire") || strstr(heading, "Rest"));
    }
}

/* The routine before a performance is easy: nothing high, no pass without half as much rest again
 * as playing, and a visit is two passes. */
static void before_a_performance_is_easy(void **state)
{
    (void)state;
    read_shipped("before-a-performance");
    assert_int_equal(file.visit_passes, 2);
    for (size_t at = 0; at < file.routine.blocks; at++) {
        assert_null(strstr(file.routine.block[at].tags, "high"));
        if (file.block[at].setup)
            assert_int_equal(file.block[at].setup->rule.rest_permille, 1500);
    }
    passo_routine_deinit(&file);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_are_in_the_table),         cmocka_unit_test(minutes_add_up),
        cmocka_unit_test(each_key_has_room_for_a_pass), cmocka_unit_test(they_say_when_and_warn),
        cmocka_unit_test(before_a_performance_is_easy),
    };
    return cmocka_run_group_tests_name("routines that ship", tests, NULL, NULL);
}
