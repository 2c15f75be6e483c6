/* What the writers write reads back as the same setup, byte for byte, and writing that again gives
 * the same text: of every preset, the march that ships, a file with everything in it and drawn
 * lines. */
#include "write_tools.h"

#include "text/lines.h"

#include <passo/random.h>

#define TRIALS 1000

/* Whether a row `key = value` stands in the text, however it is aligned. */
static bool has_row(const char *text, const char *key, const char *value)
{
    for (const char *line = text; *line; line += strcspn(line, "\n") + 1) {
        const char *at = line + strlen(key);
        if (strncmp(line, key, strlen(key)) != 0)
            continue;
        at += strspn(at, " ");
        if (!strncmp(at, "= ", 2) && !strncmp(at + 2, value, strlen(value)) &&
            strchr(" \n", at[2 + strlen(value)]))
            return true;
    }
    return false;
}

static void every_preset_reads_back(void **state)
{
    char **names = NULL;
    (void)state;
    size_t count = passo_find_all("presets", &names);
    assert_true(count >= 8);
    for (size_t i = 0; i < count; i++) {
        const char *const options[] = {"preset", names[i], NULL, NULL, NULL};
        struct trial *trial = try_new(NULL, options);
        assert_reads_back(trial, false);
        assert_reads_back(trial, true);
        free_trial(trial);
        const char *const aimed[] = {"preset", names[i], "target", "96", NULL};
        trial = try_new(NULL, aimed);
        assert_reads_back(trial, false);
        assert_reads_back(trial, true);
        free_trial(trial);
        free(names[i]);
    }
    free(names);
}

static void every_shipped_passage_reads_back(void **state)
{
    struct trial *trial = new_trial();
    (void)state;
    passo_lines_add_file(&trial->lines, PASSO_SOURCE_DIR "/presets/passages/marrowby-march.passo",
                         &trial->faults);
    passo_setup_resolve(&trial->lines, true, &trial->setup, &trial->faults);
    assert_no_faults(trial);
    assert_int_equal(trial->setup.rule.target_mbpm, 112000);
    assert_reads_back(trial, true);
    free_trial(trial);
}

static const char everything[] =
    "[passage]\npreset = octave-pair\ntitle = The run up to the trio\npiece = The Marrowby March\n"
    "key = A-flat major\ninstrument = baritone\nmeter = 6/8\nbeat = dotted quarter\nbars = 33-40\n"
    "pickup = eighth\ntarget = dotted quarter = 88\ncontext = 29-44\n"
    "[shape]\nbar 36 = meter 9/8\nbar 37 = meter 6/8\n"
    "[loops]\nfirst half = 33-35\nseam = 36.2-37.1\n"
    "[variants]\nslurred = all slurred\nlow = octave -2\n"
    "[ladder]\nstart = 50 %\nsteps = 8 rungs\nraise = 3 clean of 4\ndrop = to start after 3 "
    "misses\n"
    "miss = first turn\nlift = 2 -1\nturn = every pass\nanchor = 60 %\nover = 1 at 105 %\n"
    "close = 2 clean\nfinish = none\nplateau = none\ntired = none\nstop = 12 passes, 5 min\n"
    "unmarked = wait\nrest = 1.5 x played, at least 8 s\ncold = yes\non-miss = break off\n"
    "[pulse]\ncount = eighth below 60\nsubdivide = 3 below 80\nswing = 2:1\ncount-in = 2 bars\n"
    "silent = sub, count-in\nvolume = 40 %\nsounds = wood\n"
    "[pitch]\nreference = A = 442\ndrone = root and fifth\nfifth = pure\n";

static void everything_reads_back(void **state)
{
    (void)state;
    struct trial *trial = try_new(everything, NULL);
    assert_int_equal(trial->setup.passage.loops, 3);
    assert_int_equal(trial->setup.passage.variants, 4);
    assert_reads_back(trial, true);
    char *text = written(trial, true);
    /* A preset is named and written out. */
    assert_non_null(strstr(text, "# The lines of the preset octave-pair are written out here.\n"));
    assert_null(strstr(text, "preset ="));
    assert_non_null(strstr(text, "first half = 33-35\nseam       = 36.2-37.1\n"));
    assert_non_null(strstr(text, "low      = octave -2\nat pitch = as written\nslurred  ="));
    assert_true(has_row(text, "leave-out", "sub, count-in"));
    free(text);
    free_trial(trial);
}

/* Sections that no table knows: each under its own head, the last of each name in its place. */
static void sections_of_the_players_own_are_written(void **state)
{
    static const char *const own[][3] = {
        {"stage first half", "start", "50 %"}, {"stage first half", "raise", "1 clean"},
        {"ladder", "start", "70 %"},           {"stage joined", "start", "80 % of lower result"},
        {"stage first half", "start", "55 %"},
    };
    (void)state;
    struct trial *trial = try_new(NULL, NULL);
    for (size_t i = 0; i < sizeof own / sizeof *own; i++) {
        struct passo_line line = {.section = passo_xcalloc(64, 1),
                                  .key = passo_xcalloc(64, 1),
                                  .value = passo_xcalloc(64, 1),
                                  .origin = passo_xcalloc(64, 1),
                                  .rank = PASSO_RANK_FILE};
        strcpy(line.section, own[i][0]);
        strcpy(line.key, own[i][1]);
        strcpy(line.value, own[i][2]);
        lines_insert(&trial->lines, &line);
        free(line.section);
        free(line.key);
        free(line.value);
        free(line.origin);
    }
    char *text = written(trial, true);
    assert_true(has_row(text, "start", "70 %"));
    assert_non_null(strstr(text, "\n\n[stage first half]\nstart = 55 %\nraise = 1 clean\n\n"
                                 "[stage joined]\nstart = 80 % of lower result\n"));
    free(text);
    free_trial(trial);
}

/* No row is wider than a page where its value leaves room for that. */
static void a_page_is_80_wide(void **state)
{
    (void)state;
    struct trial *trial = try_new(everything, NULL);
    char *text = written(trial, true);
    for (const char *line = text; *line;) {
        size_t length = strcspn(line, "\n");
        if (length > 80)
            print_error("%.*s\n", (int)length, line);
        assert_true(length <= 80);
        line += length + 1;
    }
    free(text);
    free_trial(trial);
}

/* What no line says is what the meter and the list of tempi give. */
static void what_other_lines_give_is_written(void **state)
{
    (void)state;
    const char *const meters[] = {"4/4", "6/8", "7/8 as 2+2+3", "5/8",        "2+3/4", "12/16",
                                  "3/2", "5/1", "64/1 as 64",   "11/8 as 11", NULL};
    for (size_t i = 0; meters[i]; i++) {
        const char *const options[] = {"meter", meters[i], "steps", "60 66 72.5", NULL};
        struct trial *trial = new_trial();
        try_lines(trial, NULL, options, false);
        if (!trial->faults.faults)
            assert_reads_back(trial, true);
        else
            assert_true(i > 7); /* a bar too long to be played */
        free_trial(trial);
    }
    const char *const list[] = {"meter", "6/8", "steps", "60 66 72.5", NULL};
    struct trial *trial = try_new(NULL, list);
    char *text = written(trial, true);
    assert_true(has_row(text, "beat", "dotted quarter"));
    assert_true(has_row(text, "target", "dotted quarter = 72.5"));
    assert_true(has_row(text, "start", "60"));
    assert_true(has_row(text, "#piece", "TEXT"));
    free(text);
    free_trial(trial);
}

/* Values of one setting, the first of which is usual. */
static const struct {
    const char *key;
    const char *value[8];
} pool[] = {
    {"chain", {"halves", "backward by 1 bar", "pieces of 2 bars, overlapping 1 beat"}},
    {"climbs", {"tempo", "length", "mixed", "edge within 4 bpm"}},
    {"stage",
     {"a: start = 50 %", "b: raise = 1 clean", "A: steps = 8 bpm", "b: target = 90 %",
      "b: start = 80 % of lower result", "c: loop = whole", "a: raise = 3 clean of 4"}},
    {"preset", {"halves", "from-the-end", "find-the-edge", "bar-by-bar"}},
    {"preset", {"steady", "octave-pair", "tongue-then-slur", "marks", "two-up-one-back"}},
    {"title", {"The run", "a ;b", "\"x\"", "\x1b[2J", "long  gap"}},
    {"piece", {"The Marrowby March"}},
    {"key", {"E-flat major", "c ; d"}},
    {"instrument", {"tuba"}},
    {"meter", {"4/4", "3/4", "6/8", "2+2+3/8", "5/4", "12/8"}},
    {"bars", {"4", "33-40", "12 bars", "1-1"}},
    {"pickup", {"none", "eighth", "1 beat"}},
    {"context", {"2", "1 before", "3 before, 1 after"}},
    {"shape", {"bar 2=meter 3/4", "bar 35=meter 2/4"}},
    {"loop", {"a=1-2", "b=33-34", "a:b=2", "[c]=33.2-35"}},
    {"variant", {"low=octave -1", "tongued=tongued", "a;b=soft ;doo", "#1=octave up, slurred"}},
    {"target", {"96", "quarter = 120", "dotted quarter = 63.7", "144"}},
    {"start", {"60 %", "48", "62.5 %"}},
    {"start-pitch", {"E-flat 3", "f##2"}},
    {"instrument", {"B-flat trumpet", "baritone, treble clef"}},
    {"transposition", {"0", "-9", "+3 semitones"}},
    {"notes",
     {"C2 D2 E2 F2 | z8 | G,4 A,4- | A,8 |]", "c|(3def g2|\\[M:3/4]C6|", "\"Bb\"C D ;E F|G4 A4"}},
    {"notes-bar", {"1", "33"}},
    {"reference", {"440", "A = 442", "415.5 Hz"}},
    {"drone", {"none", "root and fifth", "B-flat 2"}},
    {"fifth", {"equal", "pure"}},
    {"hear", {"off", "before each new rung", "every pass"}},
    {"steps",
     {"4 bpm", "5 %", "10 points", "8 rungs", "marks", "third of the rest", "50 60,70 96"}},
    {"raise", {"2 clean in a row", "3 clean of 4", "1 clean"}},
    {"drop", {"1 rung after 2 misses", "hold", "to start after 3 misses here"}},
    {"lift", {"1", "2 -1", "3, -1"}},
    {"turn", {"every rung", "every pass", "whole climb"}},
    {"over", {"none", "1 at 105 %"}},
    {"stop", {"20 min", "none", "12 passes, 5 misses in a row"}},
    {"rest", {"10 s", "as played", "1.5 x played, at most 30 s"}},
    {"cold", {"no", "yes"}},
    {"on-miss", {"play on", "break off"}},
    {"count", {"eighth", "groups", "eighth below 60"}},
    {"subdivide", {"none", "2", "3 below 80"}},
    {"leave-out", {"none", "bar, sub", "count-in"}},
    {"volume", {"50 %", "7.5 %"}},
    {"sounds", {"built in", "wood", "./clicks ;2"}},
};
#define POOL (sizeof pool / sizeof *pool)

static void draw_option(struct trial *trial, struct passo_random *random)
{
    size_t i = passo_random_below(random, POOL);
    size_t values = 0;
    while (values < 8 && pool[i].value[values])
        values++;
    passo_lines_add_option(&trial->lines, pool[i].key,
                           pool[i].value[passo_random_below(random, (uint32_t)values)],
                           &trial->faults);
}

static void drawn_lines_read_back(void **state)
{
    struct passo_random random;
    int kept = 0;
    (void)state;
    passo_random_seed(&random, 20261125);
    for (int round = 0; round < TRIALS; round++) {
        struct trial *trial = new_trial();
        if (passo_random_below(&random, 4) == 0) {
            write_file("march.passo", everything, sizeof everything - 1);
            passo_lines_add_file(&trial->lines, "march.passo", &trial->faults);
        }
        for (uint32_t left = passo_random_below(&random, 12); left; left--)
            draw_option(trial, &random);
        passo_setup_resolve(&trial->lines, false, &trial->setup, &trial->faults);
        if (!trial->faults.faults) {
            assert_reads_back(trial, true);
            kept++;
        }
        free_trial(trial);
    }
    /* Enough of the draws fit together for this to say something. */
    assert_true(kept > TRIALS / 5);
}

/* The new file says what was said, and reads back to the same setup too. */
static void what_is_said_reads_back(void **state)
{
    (void)state;
    const char *const options[] = {"title", "a ;b",      "meter",   "6/8",           "bars",
                                   "33-36", "target",    "63",      "preset",        "octave-pair",
                                   "loop",  "a:b=33-34", "variant", "soft=soft doo", "steps",
                                   "marks", NULL};
    struct trial *trial = try_new(NULL, options);
    char *text = NULL;
    size_t length = 0;
    FILE *to = open_memstream(&text, &length);
    passo_lines_write(&trial->lines, to);
    assert_int_equal(fclose(to), 0);
    struct trial *back = try_new(text, NULL);
    assert_true(same_setup(&back->setup, &trial->setup));
    assert_true(has_row(text, "preset", "octave-pair"));
    assert_null(strstr(text, "at pitch"));
    assert_null(strstr(text, "\nraise"));
    assert_true(has_row(text, "#piece", "TEXT"));
    free(text);
    free_trial(back);
    free_trial(trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_preset_reads_back),
        cmocka_unit_test(every_shipped_passage_reads_back),
        cmocka_unit_test(everything_reads_back),
        cmocka_unit_test(sections_of_the_players_own_are_written),
        cmocka_unit_test(a_page_is_80_wide),
        cmocka_unit_test(what_other_lines_give_is_written),
        cmocka_unit_test(drawn_lines_read_back),
        cmocka_unit_test(what_is_said_reads_back),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
