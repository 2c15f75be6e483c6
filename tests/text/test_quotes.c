/* Texts that a bare line cannot say stand in quotes, and read back; quotes that are part of a text
 * stay so. */
#include "write_tools.h"

/* Texts that inih would cut or misread, or a terminal obey. */
static const char *const awkward[] = {
    "a ;b",
    "; a",
    "a; b",
    "\"a\"",
    "\"a\" and \"b\"",
    "\"a",
    "a\\nb",
    "\\",
    "\"\\\"",
    "a = b",
    "a: b",
    "#a",
    "[a]",
    "a\tb",
    "a\nb",
    "a\x1b[31mb",
    "caf\xC3\xA9",
    "caf\xE9 ",
    "\xEF\xBB\xBF"
    "a",
    "a\xE2\x80\xAE"
    "b",
    "a\x7F"
    "b",
    "\xC2\x9B"
    "31m",
    "a  b",
    "=",
    ";",
    "'",
};
#define AWKWARD (sizeof awkward / sizeof *awkward)

static void awkward_texts_read_back(void **state)
{
    (void)state;
    for (size_t i = 0; i < AWKWARD; i++) {
        char loop[128];
        char variant[128];
        snprintf(loop, sizeof loop, "%s%s", awkward[i], strchr(awkward[i], '=') ? "" : "=1-2");
        snprintf(variant, sizeof variant, "low=%s", awkward[i]);
        const char *const options[] = {"title", awkward[i], "variant", variant, NULL, NULL, NULL};
        struct trial *trial = try_new(NULL, options);
        if (!strchr(awkward[i], '='))
            passo_lines_add_option(&trial->lines, "loop", loop, &trial->faults);
        passo_setup_resolve(&trial->lines, false, &trial->setup, &trial->faults);
        assert_no_faults(trial);
        assert_reads_back(trial, true);
        char *text = written(trial, true);
        char *shown = passo_xcalloc(strlen(text) + 1, 1);
        for (char *at = text; *at; at++)
            *at = *at == '\n' ? ' ' : *at;
        /* Nothing is left that a terminal would obey. */
        assert_string_equal(passo_text_clean(text, shown, strlen(text) + 1), text);
        free(shown);
        free(text);
        free_trial(trial);
    }
}

/* Longer than a line of inih's: a path, a list, a name with its caption. */
static void long_values_read_back(void **state)
{
    (void)state;
    char path[4000];
    char variant[300];
    char steps[6000] = "20";
    memset(path, 'p', sizeof path);
    memcpy(path, "./", 2);
    path[sizeof path - 1] = '\0';
    for (int i = 21; i < 1000; i++)
        snprintf(steps + strlen(steps), sizeof steps - strlen(steps), " %d", i);
    memset(variant, 'v', sizeof variant);
    variant[47] = '=';
    variant[sizeof variant - 1] = '\0';
    const char *const options[] = {"sounds", path, "steps", steps, "variant", variant, NULL};
    struct trial *trial = try_new(NULL, options);
    assert_int_equal(trial->setup.rule.list_count, 980);
    assert_reads_back(trial, true);
    free_trial(trial);
    /* Every length around the limit, with and without room for help behind it. */
    for (int length = 1; length < 300; length++) {
        char title[600] = "";
        for (int i = 0; i < length; i++)
            strcat(title, i % 3 ? "a" : "\xC3\xA9");
        const char *const titled[] = {"title", title, NULL};
        trial = try_new(NULL, titled);
        assert_reads_back(trial, true);
        free_trial(trial);
    }
}

static void quotes_are_read_as_text_where_they_are_text(void **state)
{
    (void)state;
    static const char *const same[][2] = {
        {"title = \"a ;b\"", "a ;b"},
        {"title = \"a ;b\" ; a comment", "a ;b"},
        {"title=\"say \\\"ta\\\"\"", "say \"ta\""},
        {"TITLE : \"\\x41\\\\\"", "A\\"},
        {"\"title\" = plain ; a comment", "plain"},
        {"title = \"Run\" and \"Fall\"", "\"Run\" and \"Fall\""},
        {"title = \"Run", "\"Run"},
        {"title = \"a\\q\"", "\"a\\q\""},
        {"title = \"a\\x00\"", "\"a\\x00\""},
        {"title = the \"Run\"", "the \"Run\""},
        {"title = \"a\";b", "\"a\";b"},
    };
    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        char text[128];
        snprintf(text, sizeof text, "[passage]\n%s\nbars = 7\n", same[i][0]);
        struct trial *trial = try_new(text, NULL);
        assert_string_equal(trial->setup.passage.title, same[i][1]);
        assert_int_equal(trial->setup.passage.bars, 7);
        free_trial(trial);
    }
    struct trial *trial = new_trial();
    try_lines(trial, "[passage]\n\"title\"\n\"bars\" = \"x\"\n", NULL, false);
    assert_int_equal(trial->faults.faults, 2);
    assert_string_equal(trial->faults.fault[0],
                        "march.passo, line 2: there is no = here; a line is written key = value");
    assert_non_null(strstr(trial->faults.fault[1], "march.passo, line 3: bars = x: "));
    free_trial(trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(awkward_texts_read_back),
        cmocka_unit_test(long_values_read_back),
        cmocka_unit_test(quotes_are_read_as_text_where_they_are_text),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
