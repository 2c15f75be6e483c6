/* The palettes of the sheet, read off a page, against WCAG 2.2: text at least 4.5:1 on its ground
 * (1.4.3), what a drawing needs to be understood at least 3:1 (1.4.11). Formula and luminance as
 * WCAG 2.2 defines "contrast ratio" and "relative luminance" (w3.org/TR/WCAG22; from memory). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include "page_scenes.h"

static double channel(unsigned value)
{
    double share = value / 255.0;
    return share <= 0.04045 ? share / 12.92 : pow((share + 0.055) / 1.055, 2.4);
}

static double luminance(unsigned rgb)
{
    return 0.2126 * channel(rgb >> 16) + 0.7152 * channel(rgb >> 8 & 255) +
           0.0722 * channel(rgb & 255);
}

static double contrast(unsigned a, unsigned b)
{
    double one = luminance(a);
    double other = luminance(b);
    return (fmax(one, other) + 0.05) / (fmin(one, other) + 0.05);
}

/* The judge itself: black on white is 21:1, and #767676 the lightest grey that reaches 4.5:1 on
 * white (4.54), as every table of the formula has it (common practice). */
static void test_the_formula(void **state)
{
    (void)state;
    assert_true(fabs(contrast(0x000000, 0xffffff) - 21) < 1e-9);
    assert_true(fabs(contrast(0x767676, 0xffffff) - 4.54) < 0.005);
    assert_true(fabs(contrast(0x777777, 0xffffff) - 4.48) < 0.005);
}

static unsigned colour(const char *palette, const char *name)
{
    char key[32];
    snprintf(key, sizeof key, "--%s:#", name);
    const char *at = strstr(palette, key);
    assert_non_null(at);
    assert_int_equal(strspn(at + strlen(key), "0123456789abcdef"), 6);
    return (unsigned)strtoul(at + strlen(key), NULL, 16);
}

static void check_palette(const char *palette)
{
    static const struct {
        const char *on;
        const char *name;
        double least;
    } pairs[] = {
        {"paper", "ink", 7},    {"paper", "soft", 4.5}, {"paper", "hair", 3},
        {"paper", "accent", 3}, {"wash", "accent", 3},  {"wash", "ink", 3},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        double ratio = contrast(colour(palette, pairs[i].on), colour(palette, pairs[i].name));
        if (ratio < pairs[i].least)
            fail_msg("%s on %s is %.2f:1", pairs[i].name, pairs[i].on, ratio);
    }
}

static void check_sheet(tools_drawing *draw)
{
    size_t bytes = 0;
    size_t palettes = 0;
    struct passo_report *report = scene_named("climb");
    char *page = tools_page(draw, report, &bytes);
    for (char *at = page; (at = strstr(at, "--paper:")); at++) {
        char *end = strchr(at, '}');
        *end = '\0'; /* each palette is whole in itself */
        check_palette(at);
        *end = '}';
        palettes++;
    }
    assert_int_equal(palettes, 3); /* light, dark, print */
    /* No colour outside of the palettes. */
    for (const char *at = strstr(page, "<style>"); at && at < strstr(page, "</style>");
         at = strchr(at + 1, '#'))
        assert_true(*at == '<' || at[-1] == ':');
    free(page);
    tools_free(report);
}

static void test_palettes(void **state)
{
    (void)state;
    check_sheet(passo_report_page);
    check_sheet(passo_studio_page);
}

/* To one who sees no red (or green), the secure tempo's accent and the ink of all else still differ
 * from the paper; that they differ from each other is left to shape: line and diamond against dot
 * and ring. */
static void test_shapes_not_colours_tell_marks_apart(void **state)
{
    (void)state;
    size_t bytes = 0;
    struct passo_report *report = scene_named("climb");
    char *page = tools_page(passo_report_page, report, &bytes);
    assert_non_null(strstr(page, "svg .cl{stroke-width:6.4;stroke-linecap:round}"));
    assert_non_null(strstr(page, "svg .ms{fill:var(--paper);stroke-width:1.15}"));
    free(page);
    tools_free(report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_formula),
        cmocka_unit_test(test_palettes),
        cmocka_unit_test(test_shapes_not_colours_tell_marks_apart),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
