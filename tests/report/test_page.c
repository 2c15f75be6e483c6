/* The report's page: what is on it, that it is whole, and that no text from outside reaches the
 * markup. What it looks like is for a browser: page.sh. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <locale.h>
#include "page_read.h"
#include "page_scenes.h"

#define MIB (1024 * 1024)

static char *page_of(const char *scene, size_t *out_bytes)
{
    size_t bytes = 0;
    struct passo_report *report = scene_named(scene);
    assert_non_null(report);
    char *page = tools_page(passo_report_page, report, &bytes);
    tools_free(report);
    if (out_bytes)
        *out_bytes = bytes;
    return page;
}

static void assert_has(const char *page, const char *text)
{
    if (!strstr(page, text))
        fail_msg("not on the page: %s", text);
}

static void assert_has_no(const char *page, const char *text)
{
    if (strstr(page, text))
        fail_msg("on the page: %.80s", strstr(page, text));
}

static const char *const scenes[] = {
    "climb",     "pass",       "session", "sessions25", "years", "same-day", "over",    "no-target",
    "all-clean", "all-missed", "long",    "hostile",    "band",  "empty",    "random5", NULL};

static void test_elements_are_nested(void **state)
{
    (void)state;
    for (size_t i = 0; scenes[i]; i++) {
        const char *fault = NULL;
        char *page = page_of(scenes[i], NULL);
        char *tree = read_tree(page, &fault);
        if (fault)
            fail_msg("%s: %.100s", scenes[i], fault);
        free(tree);
        free(page);
    }
}

/* The page says to the browser that nothing may be loaded, and asks for nothing. */
static void test_nothing_is_loaded(void **state)
{
    (void)state;
    for (size_t i = 0; scenes[i]; i++) {
        char *page = page_of(scenes[i], NULL);
        assert_has(page,
                   "content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\"");
        assert_has(page, "<html lang=\"en\">");
        assert_has_no(page, "<script");
        assert_has_no(page, "http:");
        assert_has_no(page, "https:");
        assert_has_no(page, "url(");
        assert_has_no(page, "@import");
        assert_has_no(page, " src=");
        free(page);
    }
}

/* Every id once, and whatever points to one finds it. */
static void check_ids(const char *page)
{
    static char seen[4096][16];
    char text[64];
    size_t ids = 0;
    struct tag tag = {.end = page};
    while (read_tag(tag.end, &tag)) {
        if (!read_attribute(&tag, "id", text, sizeof text))
            continue;
        for (size_t i = 0; i < ids; i++)
            assert_string_not_equal(seen[i], text);
        assert_true(ids < 4096 && strlen(text) < 16);
        memcpy(seen[ids++], text, strlen(text) + 1);
    }
    tag.end = page;
    while (read_tag(tag.end, &tag)) {
        char key[80];
        if (read_attribute(&tag, "href", text, sizeof text) && text[0] == '#') {
            snprintf(key, sizeof key, " id=\"%.40s\"", text + 1);
            assert_has(page, key);
        }
    }
}

/* Every drawing is named and told, or stands beside its own words and is hidden. */
static void check_alternatives(const char *page)
{
    struct tag tag = {.end = page};
    char text[64];
    char expected[128];
    while (read_tag(tag.end, &tag)) {
        if (strcmp(tag.name, "svg") != 0 || tag.closes)
            continue;
        if (read_attribute(&tag, "aria-hidden", text, sizeof text))
            continue;
        assert_string_equal(read_attribute(&tag, "role", text, sizeof text), "img");
        assert_non_null(read_attribute(&tag, "aria-labelledby", text, sizeof text));
        unsigned number = (unsigned)atoi(text + 1);
        snprintf(expected, sizeof expected, "t%u d%u", number, number);
        assert_string_equal(text, expected);
        snprintf(expected, sizeof expected, "<title id=\"t%u\">", number);
        assert_memory_equal(tag.end, expected, strlen(expected));
        const char *title_end = strstr(tag.end, "</title>");
        snprintf(expected, sizeof expected, "</title><desc id=\"d%u\">", number);
        assert_memory_equal(title_end, expected, strlen(expected));
        assert_int_not_equal(title_end[strlen(expected)], '<'); /* it says something */
    }
}

static void test_ids_and_alternatives(void **state)
{
    (void)state;
    for (size_t i = 0; scenes[i]; i++) {
        char *page = page_of(scenes[i], NULL);
        check_ids(page);
        check_alternatives(page);
        free(page);
    }
}

static void test_a_climb_is_told(void **state)
{
    (void)state;
    char *page = page_of("climb", NULL);
    assert_has(page, "<h2><bdi>The run before letter D</bdi></h2>");
    assert_has(page, "<bdi>Marrowby March</bdi>");
    assert_has(page, "<bdi>A. M.</bdi>");
    assert_has(page, "14 to 25 November 2026");
    assert_has(page, "<b>target quarter = 132</b>");
    assert_has(page, "bars 33-36");
    assert_has(page, "Secure at ");
    assert_has(page, "About 2 weeks to the target");
    assert_has(page, "of the passes clean");
    assert_has(page, "Best clean 132, 100 % of the target");
    assert_int_equal(count_of(page, "class=\"ses\""), 12);
    assert_has(page, "Tue 24 Nov");
    assert_has(page, ">won</text>");
    assert_has(page, "<i>c</i> cold first try");
    assert_has(page, "<i>a</i> slow anchor");
    assert_has_no(page, "<i>k</i> check"); /* none was played */
    assert_has(page, "Rest as long as you play.");
    assert_has(page, "Made on 25 November 2026.");
    assert_has_no(page, "class=\"overview\"");
    free(page);
}

/* The scenes' void passes have a tempo that no other has. */
static void test_void_passes_are_not_drawn(void **state)
{
    (void)state;
    char *page = page_of("climb", NULL);
    struct passo_report *report = scene_named("climb");
    size_t voids = 0;
    for (size_t i = 0; i < report->passage[0]->pass_count; i++)
        voids += report->passage[0]->pass[i].mark == PASSO_MARK_VOID;
    assert_true(voids > 0);
    const char *body = strstr(page, "<body>");
    assert_non_null(body);
    assert_has_no(body, "400");
    assert_has_no(body, "void");
    tools_free(report);
    free(page);
}

/* One session: as many marks of each shape as passes with that mark. */
static void test_every_mark_has_its_shape(void **state)
{
    (void)state;
    struct passo_report *report = scene_named("session");
    const struct passo_report_passage *passage = report->passage[0];
    size_t marks[PASSO_MARK_COUNT] = {0};
    for (size_t i = 0; i < passage->pass_count; i++)
        marks[passage->pass[i].mark]++;
    size_t bytes = 0;
    char *page = tools_page(passo_report_page, report, &bytes);
    char *drawing = strstr(page, "class=\"ses\"");
    *strstr(drawing, "</svg>") = '\0';
    assert_int_equal(count_of(drawing, "h.01"), marks[PASSO_MARK_CLEAN]);
    assert_int_equal(count_of(drawing, " 0 1 0 "), marks[PASSO_MARK_MISS]); /* an arc out ... */
    assert_int_equal(count_of(drawing, " 0 1 0-"), marks[PASSO_MARK_MISS]); /* ... and back */
    const char *dashes = strstr(drawing, "class=\"un\" d=\"");
    assert_non_null(dashes);
    size_t dashed = 0;
    for (const char *at = dashes + 14; *at != '"'; at++)
        dashed += *at == 'M';
    assert_int_equal(dashed, marks[PASSO_MARK_NONE]);
    tools_free(report);
    free(page);
}

static void test_only_the_latest_sessions(void **state)
{
    (void)state;
    char *page = page_of("sessions25", NULL);
    assert_int_equal(count_of(page, "class=\"ses\""), 12);
    assert_has(page, "The latest 12 of 25 sessions.");
    assert_has_no(page, "Of a longer session");
    free(page);
}

static void test_a_second_session_of_a_day_has_its_hour(void **state)
{
    (void)state;
    char *page = page_of("same-day", NULL);
    assert_int_equal(count_of(page, ">Wed 25 Nov</text>"), 1);
    assert_has(page, ">18:35</text>");
    free(page);
}

static void test_several_passages_stand_side_by_side(void **state)
{
    (void)state;
    char *page = page_of("band", NULL);
    const char *at = strstr(page, "class=\"overview\"");
    assert_non_null(at);
    static const char *const rows[] = {"The run before letter D", "Trio, the low entry",
                                       "Chromatic climb",         "Last page",
                                       "Slurs over the break",    "Fanfare",
                                       "Dance in seven",          "Not yet begun"};
    for (size_t i = 0; i < 8; i++) { /* in the order of the report */
        at = strstr(at, rows[i]);
        assert_non_null(at);
    }
    assert_has(page, "best clean 100 %, secure ");
    assert_has(page, "no target is known");
    assert_has(page, "no practice recorded");
    assert_int_equal(count_of(page, "<article "), 8);
    free(page);
}

static void test_nothing_recorded(void **state)
{
    (void)state;
    char *page = page_of("empty", NULL);
    assert_has(page, "No practice is recorded in this time.");
    assert_has_no(page, "<svg");
    free(page);
}

static void test_target_unknown(void **state)
{
    (void)state;
    char *page = page_of("no-target", NULL);
    assert_has(page, "quarter beats, no target known");
    assert_has_no(page, "of the target");
    assert_has_no(page, "class=\"tg\"");
    free(page);
}

static void test_texts_cannot_become_markup(void **state)
{
    (void)state;
    char *page = page_of("hostile", NULL);
    assert_has(page, "&quot;&lt;/title&gt;&lt;/svg&gt;&lt;/style&gt;&lt;script&gt;");
    assert_has(page, "&amp;amp;&amp;#60;");
    assert_has_no(page, "\x1b");
    assert_has_no(page, "\x01");
    assert_has_no(page, "\xE2\x80\xAE");
    assert_has_no(page, "\xC3\x28");
    free(page);
}

static void check_random(tools_drawing *draw)
{
    const char *fault = NULL;
    size_t bytes = 0;
    struct passo_report *harmless = scene_random(0);
    char *page = tools_page(draw, harmless, &bytes);
    char *expected = read_tree(page, &fault);
    assert_null(fault);
    tools_free(harmless);
    free(page);
    for (uint32_t seed = 1; seed <= 150; seed++) {
        struct passo_report *report = scene_random(seed);
        page = tools_page(draw, report, &bytes);
        char *tree = read_tree(page, &fault);
        if (fault || strcmp(tree, expected))
            fail_msg("random%u has another tree", (unsigned)seed);
        assert_true(bytes < 64 * 1024); /* long titles are cut */
        assert_has(page, "…");
        free(tree);
        free(page);
        tools_free(report);
    }
    free(expected);
}

static void test_random_titles_leave_the_tree_as_it_is(void **state)
{
    (void)state;
    check_random(passo_report_page);
    check_random(passo_studio_page);
}

static void test_the_same_page_each_time_and_in_any_locale(void **state)
{
    (void)state;
    static const char *const locales[] = {"de_DE.UTF-8", "fr_FR.UTF-8", "C.UTF-8", NULL};
    char *page = page_of("band", NULL);
    for (size_t i = 0; locales[i]; i++) {
        setlocale(LC_ALL, locales[i]); /* where it is installed */
        char *again = page_of("band", NULL);
        assert_string_equal(page, again);
        free(again);
    }
    setlocale(LC_ALL, "C");
    free(page);
}

/* 40,000 passes. */
static void test_size_stays_bounded(void **state)
{
    (void)state;
    size_t bytes = 0;
    struct passo_report *report = scene_named("heavy");
    assert_true(report->passage[0]->pass_count >= 40000);
    tools_free(report);
    char *page = page_of("heavy", &bytes);
    assert_has(page, "The latest 12 of 400 sessions.");
    assert_has(page, "Of a longer session the latest 60 passes.");
    assert_has(page, "<desc id=\"d1\">60 passes from ");
    free(page);
    assert_true(bytes < MIB / 4);
    free(page_of("years", &bytes));
    assert_true(bytes < MIB);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_elements_are_nested),
        cmocka_unit_test(test_nothing_is_loaded),
        cmocka_unit_test(test_ids_and_alternatives),
        cmocka_unit_test(test_a_climb_is_told),
        cmocka_unit_test(test_void_passes_are_not_drawn),
        cmocka_unit_test(test_every_mark_has_its_shape),
        cmocka_unit_test(test_only_the_latest_sessions),
        cmocka_unit_test(test_a_second_session_of_a_day_has_its_hour),
        cmocka_unit_test(test_several_passages_stand_side_by_side),
        cmocka_unit_test(test_nothing_recorded),
        cmocka_unit_test(test_target_unknown),
        cmocka_unit_test(test_texts_cannot_become_markup),
        cmocka_unit_test(test_random_titles_leave_the_tree_as_it_is),
        cmocka_unit_test(test_the_same_page_each_time_and_in_any_locale),
        cmocka_unit_test(test_size_stays_bounded),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
