/* Filing a passage: which names do, and that a file is there whole or not at all. */
#include "setup_tools.h"

static void names_for_filing(void **state)
{
    char name[PASSO_FILED_NAME_MAX + 2];
    static const char *const bad[] = {"",     ".a",        "..",    "a/b",   "../a", "-a",
                                      "a\nb", "a\xC2\x9B", "a\xFF", "a\x7F", NULL};
    static const char *const good[] = {"a", "a b", "march.passo", "caf\xC3\xA9", "a-b", NULL};
    (void)state;
    for (size_t i = 0; bad[i]; i++)
        assert_non_null(passo_filed_name_fault(bad[i]));
    for (size_t i = 0; good[i]; i++)
        assert_null(passo_filed_name_fault(good[i]));
    memset(name, 'n', sizeof name);
    name[PASSO_FILED_NAME_MAX] = '\0';
    assert_null(passo_filed_name_fault(name));
    name[PASSO_FILED_NAME_MAX] = 'n';
    name[PASSO_FILED_NAME_MAX + 1] = '\0';
    assert_non_null(passo_filed_name_fault(name));
}

static void a_filing_is_whole_and_found(void **state)
{
    char path[PASSO_PATH_BYTES];
    char found[PASSO_PATH_BYTES];
    char fault[256];
    (void)state;
    struct passo_filing filing = {.name = "run 1", .bytes = "[passage]\n", .length = 10};
    assert_int_equal(passo_file_away(&filing, path, fault, sizeof fault), PASSO_OK);
    assert_true(passo_find("passages", "run 1", found));
    assert_string_equal(found, path);
    assert_true(passo_find_is_own("passages", found));
    assert_false(passo_find_is_own("passages", "/usr/share/passo/passages/run 1.passo"));
    filing.bytes = "[ladder]\n";
    filing.length = 9;
    assert_int_equal(passo_file_away(&filing, path, fault, sizeof fault), PASSO_ERR_EXISTS);
    assert_non_null(strstr(fault, "--force"));
    filing.force = true;
    assert_int_equal(passo_file_away(&filing, path, fault, sizeof fault), PASSO_OK);
    struct stat about;
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(about.st_size, 9);
    /* Nothing but the passage is left in the folder. */
    assert_int_equal(system("[ \"$(ls -A data/passo/passages)\" = 'run 1.passo' ]"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_for_filing),
        cmocka_unit_test(a_filing_is_whole_and_found),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
