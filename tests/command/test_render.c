/* What `passo render` works out before it writes: how long a track is, its cue sheet, its name. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "command/render_parts.h"

/* --- a setup of 8 bars in 4/4, from 80 to 96 by 8 --- */

static struct passo_setup *eight_bars(const char *const options[][2])
{
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    static const char *const usual[][2] = {
        {"title", "Run up"},  {"meter", "4/4"},
        {"bars", "33-40"},    {"target", "96"},
        {"start", "80"},      {"steps", "8 bpm"},
        {"raise", "2 clean"}, {"rest", "as played, at least 8 s"},
        {"finish", "none"},   {"stop", "none"},
        {"plateau", "none"},  {"tired", "none"},
        {"drop", "hold"},     {NULL, NULL}};
    for (size_t i = 0; usual[i][0]; i++)
        passo_lines_add_option(&lines, usual[i][0], usual[i][1], &faults);
    for (size_t i = 0; options && options[i][0]; i++)
        passo_lines_add_option(&lines, options[i][0], options[i][1], &faults);
    passo_setup_resolve(&lines, true, setup, &faults);
    if (faults.faults)
        fail_msg("%s", faults.fault[0]);
    passo_lines_deinit(&lines);
    return setup;
}

/* --- how many passes --- */

static uint32_t passes_of(const char *const options[][2])
{
    struct passo_setup *setup = eight_bars(options);
    const uint32_t passes = render_track_passes(&setup->course);
    free(setup);
    return passes;
}

static void a_track_ends(void **unused)
{
    (void)unused;
    assert_int_equal(passes_of(NULL), 6); /* 80 88 96, twice each */
    const char *const thrice[][2] = {{"raise", "3 clean"}, {NULL, NULL}};
    assert_int_equal(passes_of(thrice), 9);
    const char *const loops[][2] = {
        {"loop", "first=33-36"}, {"loop", "second=37-40"}, {NULL, NULL}};
    assert_int_equal(passes_of(loops), 12);
    const char *const over[][2] = {
        {"over", "2 at 105 %"}, {"finish", "1 in context"}, {NULL, NULL}};
    assert_int_equal(passes_of(over), 6); /* of the climbing */
}

/* Under a ceiling of 88 the climb goes round there for ever; the track ends with it. */
static void a_ceiling_ends_it(void **unused)
{
    (void)unused;
    const char *const ceiling[][2] = {{"ceiling", "88"}, {NULL, NULL}};
    assert_int_equal(passes_of(ceiling), 4);
}

static void what_has_no_end_is_known(void **unused)
{
    (void)unused;
    const char *const many[][2] = {
        {"raise", "20 clean"}, {"start", "20"}, {"steps", "0.2 bpm"}, {NULL, NULL}};
    assert_int_equal(passes_of(many), 0);
}

/* --- the cue sheet --- */

struct wanted {
    enum render_cue cue;
    int64_t frame;
    int32_t bar;
};

static void rows_are(const struct render_sheet *sheet, const struct wanted *wanted, size_t count)
{
    assert_int_equal(sheet->rows, count);
    for (size_t i = 0; i < count; i++) {
        assert_int_equal(sheet->row[i].cue, wanted[i].cue);
        assert_int_equal(sheet->row[i].frame, wanted[i].frame);
        assert_int_equal(sheet->row[i].bar, wanted[i].bar);
    }
}

static void take(struct render_sheet *sheet, enum passo_handed what,
                 const struct passo_setup *setup, const struct passo_loop *loop, int32_t mbpm,
                 uint32_t pass, int64_t frame)
{
    const struct passo_plan plan = {.part = PASSO_PART_CLIMB, .mbpm = mbpm};
    const struct passo_tone tone = {.hz = 233.1F, .layer = PASSO_LAYER_NOTE};
    const struct passo_pass_shape shape = {
        .passage = &setup->passage, .loop = loop, .pulse = &setup->pulse, .mbpm = mbpm};
    const struct passo_instant start = {frame, 0};
    struct passo_timeline *timeline = what == PASSO_HANDED_START
                                          ? passo_timeline_tones(&tone, 1, 1500, 1, start, 8000)
                                          : passo_timeline_build(&shape, 1, start, 8000);
    render_sheet_take(sheet, what, setup, &plan, pass, timeline);
    free(timeline);
}

/* Session 13 of the trade page at 8 kHz: a bar at quarter = 80 lasts 3 s, at 96 2.5 s. */
static void a_row_a_bar(void **unused)
{
    (void)unused;
    struct passo_setup *setup = eight_bars(NULL);
    struct render_sheet sheet = {0};
    struct passo_loop loop = setup->passage.loop[0];
    loop.to.bar = 35; /* two bars */
    take(&sheet, PASSO_HANDED_PASS, setup, &loop, 80000, 1, 0);
    take(&sheet, PASSO_HANDED_START, setup, &loop, 96000, 2, 100000);
    take(&sheet, PASSO_HANDED_PASS, setup, &loop, 96000, 2, 120000);
    const struct wanted wanted[] = {
        {RENDER_CUE_COUNT_IN, 0, 0},      {RENDER_CUE_BAR, 24000, 33},
        {RENDER_CUE_BAR, 48000, 34},      {RENDER_CUE_LANDING, 72000, 0},
        {RENDER_CUE_REST, 78000, 0},      {RENDER_CUE_START, 100000, 0},
        {RENDER_CUE_COUNT_IN, 120000, 0}, {RENDER_CUE_BAR, 140000, 33},
        {RENDER_CUE_BAR, 160000, 34},     {RENDER_CUE_LANDING, 180000, 0},
        {RENDER_CUE_END, 185000, 0}};
    rows_are(&sheet, wanted, sizeof wanted / sizeof wanted[0]);
    assert_int_equal(sheet.passes, 2);
    assert_int_equal(sheet.end_frame, 185000);
    assert_false(sheet.rings);
    assert_int_equal(sheet.low_mbpm, 80000);
    assert_int_equal(sheet.high_mbpm, 96000);
    /* Where nobody asks for the list the figures are the same, and nothing grows. */
    struct render_sheet unlisted = {.unlisted = true};
    take(&unlisted, PASSO_HANDED_PASS, setup, &loop, 80000, 1, 0);
    take(&unlisted, PASSO_HANDED_START, setup, &loop, 96000, 2, 100000);
    take(&unlisted, PASSO_HANDED_PASS, setup, &loop, 96000, 2, 120000);
    assert_int_equal(unlisted.rows, 1);
    assert_int_equal(unlisted.passes, 2);
    assert_int_equal(unlisted.end_frame, sheet.end_frame);
    assert_int_equal(unlisted.high_mbpm, 96000);
    free(unlisted.row);
    free(sheet.row);
    free(setup);
}

/* A pass that enters on the last beat of a bar has a row for that beat. */
static void a_part_of_a_bar_has_a_row(void **unused)
{
    (void)unused;
    struct passo_setup *setup = eight_bars(NULL);
    struct render_sheet sheet = {0};
    const struct passo_loop loop = {"seam", {33, {3, 4}}, {34, {1, 4}}};
    take(&sheet, PASSO_HANDED_HEARING, setup, &loop, 60000, 1, 0);
    /* a bar and three beats of count-in, at a beat a second */
    const struct wanted wanted[] = {{RENDER_CUE_LISTEN_COUNT_IN, 0, 0},
                                    {RENDER_CUE_LISTEN, 56000, 33},
                                    {RENDER_CUE_LISTEN, 64000, 34},
                                    {RENDER_CUE_LISTEN_LANDING, 72000, 0}};
    rows_are(&sheet, wanted, sizeof wanted / sizeof wanted[0]);
    assert_int_equal(sheet.passes, 0);
    free(sheet.row);
    free(setup);
}

/* A drone sounds to the end of the landing. */
static void a_tone_rings_on(void **unused)
{
    (void)unused;
    struct passo_setup *setup = eight_bars(NULL);
    struct render_sheet sheet = {0};
    const struct passo_plan plan = {.part = PASSO_PART_CLIMB, .mbpm = 96000};
    const struct passo_pass_shape shape = {.passage = &setup->passage,
                                           .loop = &setup->passage.loop[0],
                                           .pulse = &setup->pulse,
                                           .mbpm = 96000,
                                           .drone = {{.hz = 116.5F}}};
    struct passo_timeline *timeline =
        passo_timeline_build(&shape, 1, (struct passo_instant){0, 0}, 8000);
    render_sheet_take(&sheet, PASSO_HANDED_PASS, setup, &plan, 1, timeline);
    assert_true(sheet.rings);
    free(timeline);
    free(sheet.row);
    free(setup);
}

static void a_free_block_is_one_row(void **unused)
{
    (void)unused;
    struct passo_setup *setup = eight_bars(NULL);
    struct render_sheet sheet = {0};
    setup->pulse.silent = (1u << PASSO_CLICK_COUNT_OF) - 1;
    take(&sheet, PASSO_HANDED_PASS, setup, &setup->passage.loop[0], 60000, 1, 0);
    assert_int_equal(sheet.rows, 2);
    assert_int_equal(sheet.row[0].cue, RENDER_CUE_FREE);
    assert_int_equal(sheet.row[0].mbpm, 0);
    free(sheet.row);
    free(setup);
}

static void text_is(bool csv, const char *wanted)
{
    char seen[2048] = "";
    struct render_row row[] = {
        {RENDER_CUE_COUNT_IN, 0, 0, 63700, {3, 8}, 1, "whole, \"low\""},
        {RENDER_CUE_BAR, 22589, 33, 63700, {3, 8}, 1, "=run, up"},
        {RENDER_CUE_REST, 488004, 0, 0, {3, 8}, 0, ""},
    };
    const struct render_sheet sheet = {.row = row, .rows = 3, .rate_hz = 8000};
    FILE *to = fmemopen(seen, sizeof seen, "w");
    assert_true(render_sheet_write(&sheet, csv, to));
    fclose(to);
    assert_string_equal(seen, wanted);
}

static void rows_are_written(void **unused)
{
    (void)unused;
    /* RFC 4180: quotes doubled, CRLF; a cell that a spreadsheet would run is made harmless */
    text_is(true, "time_s,frame,bar,tempo,beat_unit,turn,what\r\n"
                  "0.000,0,,63.7,dotted quarter,\"whole, \"\"low\"\"\",\"pass 1, count-in\"\r\n"
                  "2.824,22589,33,63.7,dotted quarter,\"'=run, up\",pass 1\r\n"
                  "61.001,488004,,,,,rest\r\n");
    text_is(false, "  0:00.000  pass 1, count-in  dotted quarter = 63.7  whole, \"low\"\n"
                   "  0:02.824  pass 1, bar 33  dotted quarter = 63.7  =run, up\n"
                   "  1:01.001  rest\n");
}

/* --- its name --- */

static void name_is(const char *title, const char *tempi, const char *wanted)
{
    char name[200];
    assert_string_equal(render_name(title, tempi, name, sizeof name), wanted);
}

static void names_are_harmless(void **unused)
{
    (void)unused;
    name_is("Run up", "quarter = 80 to 96", "Run up, quarter 80 to 96");
    name_is("Marche: \"Trio\" 1/2", "quarter = 63.7", "Marche- -Trio- 1-2, quarter 63.7");
    name_is("../../etc/passwd", "", "etc-passwd");
    name_is("-rf *", "", "rf -");
    name_is("C:\\x\n\x1b[2J", "", "C--x--[2J");
    name_is("Übung für Flügelhorn", "", "Übung für Flügelhorn");
    name_is("Etude.. . ", "", "Etude");
    name_is("", "", "practice track");
    name_is(". / .", "", "practice track");
    char title[400];
    char name[200];
    memset(title, 'a', sizeof title);
    title[sizeof title - 1] = '\0';
    assert_in_range(strlen(render_name(title, "", name, sizeof name)), 100, sizeof name - 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_track_ends),
        cmocka_unit_test(a_ceiling_ends_it),
        cmocka_unit_test(what_has_no_end_is_known),
        cmocka_unit_test(a_row_a_bar),
        cmocka_unit_test(a_part_of_a_bar_has_a_row),
        cmocka_unit_test(a_tone_rings_on),
        cmocka_unit_test(a_free_block_is_one_row),
        cmocka_unit_test(rows_are_written),
        cmocka_unit_test(names_are_harmless),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
