/* The report as lines of text: what it says, that it fits every page, and that no title breaks it.
 */
#include "text_tools.h"

#include <passo/random.h>

enum { MON = 20261123 };

static struct passo_report *settled(struct passo_report *report)
{
    passo_report_settle(report);
    return report;
}

/* Eight days that rise, and a second passage that was never practised. */
static struct passo_report *march(int32_t from, bool two)
{
    struct passo_report *report = passo_report_begin(20261109, from, 0);
    take_march_days(report, 20261101, 8);
    if (two)
        passo_report_expect(report, "", "Fanfare", "");
    return settled(report);
}

static void test_says_where_it_stands(void **state)
{
    (void)state;
    struct passo_report *report = march(0, false);
    char *text = drawn(passo_report_text, report, 80, true);
    assert_has(text, "Practice up to 9 November 2026\n");
    assert_has(text, "\nThe run up to the trio · Marrowby march · bars 33-36 · target quarter = "
                     "132\n");
    /* The secure tempo and the outlook are the engine's; here is how they are said. */
    char secure[96];
    const struct passo_secure *known = &report->passage[0]->secure;
    snprintf(secure, sizeof secure,
             "\nSecure at quarter = %.0f (most likely %.0f to %.0f); best "
             "clean 124; target 132.",
             known->bpm, known->low_bpm, known->high_bpm);
    assert_has(text, secure);
    assert_has(text, "\n67 % of the passes clean. Due today.\n");
    assert_has(text, "\nFirst try of the day: clean on 8 of 8 days.\n");
    assert_has(text, "\nTime: 16 min played and 18 min rested, 120 passes on 8 days.\n");
    assert_has(text, "\nbar 36  ████████████████████████ 40\n");
    assert_has(text, "\n124  ████████░░░░░░░░░░░░░░░░   33 %  of 6 passes\n");
    assert_has(text, "\nSun 8 Nov  clean      112   124  99 ");
    assert_has(text, "a pass counts half as much as one a week later.");
    free(text);
    passo_report_free(report);
}

/* Each line of the curve by hand: one session, ladder 4 bpm, target 132. */
static void test_the_curve(void **state)
{
    (void)state;
    struct passo_report *report = passo_report_begin(MON, 0, 0);
    uint32_t pass = 0;
    struct passo_row row = marked_row(MON, ++pass, 132, 'm');
    row.part = PASSO_PART_COLD;
    passo_report_take(report, &row);
    take_marks(report, MON, 120, "c.v", &pass);
    take_marks(report, MON, 124, "mc", &pass);
    row = marked_row(MON, ++pass, 136, 'c');
    row.part = PASSO_PART_OVER;
    passo_report_take(report, &row);
    settled(report);
    char *text = drawn(passo_report_text, report, 80, true);
    assert_has(text, "the tempo of the quarter:\n"
                     "   136 │     o\n"
                     "   132 ┼C┄┄┄┄┄ target\n"
                     "   128 │\n"
                     "   124 │   ×●\n"
                     "   120 │ ●○\n"
                     "        23 Nov\n"
                     "● clean, × miss, ○ not marked; c cold try, o over the target (a capital "
                     "letter:\nmissed).\n");
    free(text);
    text = drawn(passo_report_text, report, 80, false);
    assert_has(text, "   136 |     o\n"
                     "   132 +C----- target\n"
                     "   128 |\n"
                     "   124 |   x*\n"
                     "   120 | *.\n"
                     "        23 Nov\n"
                     "* clean, x miss, . not marked; c cold try, o over the target");
    free(text);
    passo_report_free(report);
}

/* Sessions stand apart by their dates; what has no room is left out, the oldest first. */
static void test_sessions_apart(void **state)
{
    (void)state;
    struct passo_report *report = march(0, false);
    char *text = drawn(passo_report_text, report, 80, true);
    assert_has(text, "\n        6 Nov            7 Nov            8 Nov\n");
    free(text);
    text = drawn(passo_report_text, report, 40, true);
    assert_has(text, "\n        8 Nov\n");
    free(text);
    passo_report_free(report);
    report = passo_report_begin(MON, 0, 0);
    uint32_t pass = 0;
    for (int i = 0; i < 50; i++)
        take_marks(report, MON, 96, "cccccccccccccccccccm", &pass);
    settled(report);
    text = drawn(passo_report_text, report, 80, true);
    assert_has(text, "●×\n"); /* the session's end, not its beginning */
    free(text);
    passo_report_free(report);
}

static void test_several_side_by_side(void **state)
{
    (void)state;
    struct passo_report *report = march(0, true);
    char *text = drawn(passo_report_text, report, 80, true);
    assert_has(text, "How far from the target, in percent of it");
    assert_has(text, "SECURE  BEST\n");
    /* 75 and 94 % on 32 columns from 70 to 100 %. */
    assert_has(text, "The run up to the trio  ·····◆···················●·····│    75 %  94 %\n");
    assert_has(text, "Fanfare                 ·······························│       -     -\n");
    assert_has(text, "Time spent playing:\n");
    assert_has(text, "████████████████████████  16 min\n");
    assert_has(text, "\nFanfare\nNo practice of it is recorded yet.\n");
    free(text);
    passo_report_free(report);
}

static void test_a_period(void **state)
{
    (void)state;
    struct passo_report *report = march(20261105, true);
    char *text = drawn(passo_report_text, report, 80, true);
    assert_has(text, "Practice from 5 November to 9 November 2026\n");
    assert_has(text, "No practice of it is recorded in this time.\n");
    /* Whether it is due is not known from a part of the days. */
    assert_has_not(text, "Due");
    assert_has_not(text, "due");
    assert_has(text, "as the marks of\nthis time say;");
    free(text);
    passo_report_free(report);
}

static void test_nothing(void **state)
{
    (void)state;
    struct passo_report *report = settled(passo_report_begin(MON, 0, 0));
    char *text = drawn(passo_report_text, report, 80, true);
    assert_string_equal(text, "No practice is recorded yet. To begin: passo climb NAME; passo list "
                              "shows the\nnames.\n");
    free(text);
    passo_report_free(report);
    report = settled(passo_report_begin(MON, MON, 0));
    text = drawn(passo_report_text, report, 80, true);
    assert_string_equal(text, "No practice is recorded on 23 November 2026.\n");
    free(text);
    passo_report_free(report);
}

/* A text of random bytes, or of what is known to break terminals and tables. */
static const char *odd_text(struct passo_random *random, char *out, size_t bytes)
{
    static const char *const known[] = {
        "",
        "日本語の行進曲とても長い題名のために",
        "Lied für Bläser und großes Orchester",
        "\033[2Jred\r\n\t",
        "\xff\xfe\xc3",
        "\xe2\x80\xae turned",
        "%s%n%d",
        "e\xcc\x81\xcc\x81",
        "averyveryverylongwordwithoutanyblankinitthatisfarwiderthanthepagesothatitmustbebroken"};
    size_t pick = passo_random_below(random, 12);
    if (pick < sizeof known / sizeof known[0]) {
        snprintf(out, bytes, "%s", known[pick]);
        return out;
    }
    size_t length = passo_random_below(random, (uint32_t)bytes);
    for (size_t i = 0; i < length; i++)
        out[i] = (char)(1 + passo_random_below(random, 255));
    out[length ? length - 1 : 0] = '\0';
    return out;
}

static void take_odd_row(struct passo_report *report, struct passo_random *random)
{
    static char text[6][300];
    struct passo_row row =
        marked_row(passo_day_of(passo_day_count(20260901) + passo_random_below(random, 80)),
                   1 + passo_random_below(random, 30), 40, "ccm.v"[passo_random_below(random, 5)]);
    for (size_t i = 0; i < 6; i++)
        odd_text(random, text[i], sizeof text[i]);
    row.tempo_mbpm = 5000 + (int32_t)passo_random_below(random, 995001);
    row.target_mbpm =
        passo_random_below(random, 4) ? 5000 + (int32_t)passo_random_below(random, 995001) : 0;
    row.player = passo_random_below(random, 2) ? text[0] : "";
    row.passage = passo_random_below(random, 3) ? "Fanfare" : text[1];
    row.piece = passo_random_below(random, 3) ? "" : text[2];
    row.session = text[3];
    row.bars = text[4];
    row.beat_unit = passo_random_below(random, 3) ? "dotted quarter" : text[5];
    row.loop = passo_random_below(random, 2) ? "whole" : "x";
    row.part = (enum passo_part)passo_random_below(random, PASSO_PART_DONE);
    row.move = (enum passo_move)passo_random_below(random, PASSO_MOVE_COUNT);
    if (passo_random_below(random, 9) == 0) {
        row.part = PASSO_PART_COUNT;
        row.extra = (enum passo_extra)(1 + passo_random_below(random, 2));
    }
    if (row.mark == PASSO_MARK_MISS)
        row.miss_bar = (int32_t)passo_random_below(random, 2000001) - 1000000;
    passo_report_take(report, &row);
}

static void test_fits_whatever_comes(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= 24; seed++) {
        struct passo_random random;
        passo_random_seed(&random, seed);
        struct passo_report *report = passo_report_begin(MON, seed % 3 ? 0 : 20260910, 0);
        for (uint32_t rows = passo_random_below(&random, 300); rows; rows--)
            take_odd_row(report, &random);
        settled(report);
        for (int columns = 40; columns <= 200;
             columns += 1 + (int)passo_random_below(&random, 40)) {
            for (int utf8 = 0; utf8 < 2; utf8++) {
                char *text = drawn(passo_report_text, report, columns, utf8);
                assert_fits(text, columns, utf8);
                free(text);
                text = drawn(passo_studio_text, report, columns, utf8);
                assert_fits(text, columns, utf8);
                free(text);
            }
        }
        passo_report_free(report);
    }
}

static void test_every_width(void **state)
{
    (void)state;
    struct passo_report *report = march(0, true);
    for (int columns = 40; columns <= 200; columns++) {
        for (int utf8 = 0; utf8 < 2; utf8++) {
            char *text = drawn(passo_report_text, report, columns, utf8);
            assert_fits(text, columns, utf8);
            free(text);
        }
    }
    /* Narrower or wider pages than are drawn for. */
    char *text = drawn(passo_report_text, report, 5, true);
    assert_fits(text, 40, true);
    free(text);
    text = drawn(passo_report_text, report, 5000, true);
    assert_fits(text, 200, true);
    free(text);
    passo_report_free(report);
}

/* Ten thousand letters are cut and say so. */
static void test_a_long_title(void **state)
{
    (void)state;
    char *title = calloc(10001, 1);
    memset(title, 'a', 10000);
    struct passo_report *report = passo_report_begin(MON, 0, 0);
    struct passo_row row = march_row(MON, 1, 96);
    row.passage = title;
    passo_report_take(report, &row);
    passo_report_expect(report, "", "Fanfare", "");
    settled(report);
    char *text = drawn(passo_report_text, report, 80, true);
    assert_fits(text, 80, true);
    assert_true(strlen(text) < 8000);
    free(text);
    free(title);
    passo_report_free(report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_says_where_it_stands),
        cmocka_unit_test(test_the_curve),
        cmocka_unit_test(test_sessions_apart),
        cmocka_unit_test(test_several_side_by_side),
        cmocka_unit_test(test_a_period),
        cmocka_unit_test(test_nothing),
        cmocka_unit_test(test_fits_whatever_comes),
        cmocka_unit_test(test_every_width),
        cmocka_unit_test(test_a_long_title),
    };
    return cmocka_run_group_tests(tests, use_utf8, NULL);
}
