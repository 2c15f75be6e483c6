/* A turn by its names, and a tempo or a share of the target. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "command/turn.h"

static const struct passo_passage jig = {
    .loop = {{.name = "whole"},
             {.name = "first half"},
             {.name = "first, then second"},
             {.name = "low"}},
    .loops = 4,
    .variant = {{.name = "as written"}, {.name = "low", .octave = -1}, {.name = "tongued"}},
    .variants = 3,
    .beat = {3, 8}};

static void finds(const char *names, int loop, int variant)
{
    struct passo_faults faults = {0};
    const struct turn_named named = turn_find(&jig, names, &faults);
    assert_int_equal(faults.faults, 0);
    assert_int_equal(named.loop, loop);
    assert_int_equal(named.variant, variant);
}

static void refuses(const char *names, const char *word)
{
    struct passo_faults faults = {0};
    turn_find(&jig, names, &faults);
    assert_true(faults.faults > 0);
    assert_non_null(strstr(faults.fault[0], word));
    passo_faults_deinit(&faults);
}

static void names_are_found(void **unused)
{
    (void)unused;
    finds(NULL, -1, -1);
    finds("", -1, -1);
    finds("first half", 1, -1);
    finds("First HALF", 1, -1);
    finds("tongued", -1, 2);
    finds("as written", -1, 0);
    finds("whole", 0, -1);
    finds("first half, tongued", 1, 2);
    finds("tongued,first half", 1, 2);
    finds("  first half ,  tongued  ", 1, 2);
    finds("first, then second", 2, -1); /* its own comma */
    finds("low", 3, -1);                /* both: the loop */
    finds("first half, low", 1, 1);     /* the loop is there already */
    finds("whole,", 0, -1);
}

static void unknown_names_are_told_with_those_that_are_known(void **unused)
{
    (void)unused;
    refuses("second half", "second half");
    refuses("second half", "first half, first, then second, low, as written, low, tongued");
    refuses("whole, first half", "first half");
    refuses(",", "--only");
}

static int32_t tempo(const char *text)
{
    struct passo_faults faults = {0};
    struct passo_setup *setup = calloc(1, sizeof *setup);
    setup->passage = jig;
    setup->rule.target_mbpm = 90000;
    const int32_t mbpm = turn_tempo(text, setup, &faults);
    assert_int_equal(faults.faults, mbpm == 0);
    if (mbpm == 0)
        assert_non_null(strstr(faults.fault[0], "--tempo"));
    passo_faults_deinit(&faults);
    free(setup);
    return mbpm;
}

static void a_tempo_or_a_share(void **unused)
{
    (void)unused;
    assert_int_equal(tempo("80"), 80000);
    assert_int_equal(tempo("63.7"), 63700);
    assert_int_equal(tempo("dotted quarter = 66"), 66000);
    assert_int_equal(tempo("eighth = 198"), 66000);
    assert_int_equal(tempo("80 %"), 72000);
    assert_int_equal(tempo("62.5%"), 56250);
    assert_int_equal(tempo("100 %"), 90000);
    const char *const wrong[] = {"",       "4",    "1001",   "0 %",    "-5 %",  "201 %", "nan %",
                                 "0x10 %", "fast", "80 % x", "80 per", "inf %", "%",     "= 80 %"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_int_equal(tempo(wrong[i]), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_are_found),
        cmocka_unit_test(unknown_names_are_told_with_those_that_are_known),
        cmocka_unit_test(a_tempo_or_a_share),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
