/* What the writers write reads back as the same setup, byte for byte, and writing that again gives
 * the same text: of every preset, the march that ships, a file with everything in it, texts that
 * would be misread without quotes, and drawn lines. */
#include "setup_tools.h"

#include "text/quote.h"

#include <passo/random.h>

#define TRIALS 400

/* The text that passo_setup_write() gives; free it. */
static char *written(const struct trial *trial, bool with_passage)
{
    char *text = NULL;
    size_t length = 0;
    FILE *to = open_memstream(&text, &length);
    assert_non_null(to);
    passo_setup_write(&trial->lines, &trial->setup, with_passage, to);
    assert_int_equal(fclose(to), 0);
    return text;
}

/* What stands behind the comments at the top: they name a preset, which the text then is free of.
 */
static const char *body(const char *text)
{
    while (*text == '#' || *text == '\n')
        text += strcspn(text, "\n") + 1;
    return text;
}

/* Sets the bytes between the fields of places to 0: copies of them hold what the stack held. */
static void clear_padding(struct passo_place *place)
{
    struct passo_place clear;
    memset(&clear, 0, sizeof clear);
    clear.bar = place->bar;
    clear.at = place->at;
    memcpy(place, &clear, sizeof clear);
}

static bool same_setup(struct passo_setup *a, struct passo_setup *b)
{
    struct passo_setup *both[] = {a, b};
    for (size_t i = 0; i < 2; i++) {
        struct passo_passage *passage = &both[i]->passage;
        for (size_t loop = 0; loop < PASSO_LOOPS_MAX; loop++) {
            clear_padding(&passage->loop[loop].from);
            clear_padding(&passage->loop[loop].to);
        }
        for (size_t written = 0; written < PASSO_WRITTEN_MAX; written++) {
            clear_padding(&passage->written[written].from);
            clear_padding(&passage->written[written].to);
        }
        clear_padding(&passage->context.from);
        clear_padding(&passage->context.to);
    }
    return !memcmp(a, b, sizeof *a);
}

static struct trial *new_trial(void)
{
    return passo_xcalloc(1, sizeof(struct trial));
}

static void free_trial(struct trial *trial)
{
    trial_end(trial);
    free(trial);
}

/* That the trial's setup survives being written and read, and its text being written again. */
static void assert_reads_back(struct trial *trial, bool with_passage)
{
    struct trial *back = new_trial();
    char *text = written(trial, with_passage);
    write_file("back.passo", text, strlen(text));
    passo_lines_add_file(&back->lines, "back.passo", &back->faults);
    passo_setup_resolve(&back->lines, false, &back->setup, &back->faults);
    bool same = same_setup(&back->setup, &trial->setup);
    if (back->faults.faults || !same)
        print_error("%s", text);
    assert_no_faults(back);
    assert_true(same);
    char *again = written(back, with_passage);
    assert_string_equal(body(again), body(text));
    free(again);
    free(text);
    free_trial(back);
}

static struct trial *try_new(const char *text, const char *const *options)
{
    struct trial *trial = new_trial();
    try_lines(trial, text, options, false);
    assert_no_faults(trial);
    return trial;
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
    "[loops]\nfirst half = 33-36\nseam = 36.2-37.1\nfirst half = 33-35\n"
    "[variants]\nslurred = all slurred\nlow = octave -2\n"
    "[ladder]\nstart = 50 %\nsteps = 8 rungs\nraise = 3 clean of 4\ndrop = to start after 3 "
    "misses\n"
    "miss = first turn\nlift = 2 -1\nturn = every pass\nanchor = 60 %\nover = 1 at 105 %\n"
    "close = 2 clean\nfinish = none\nplateau = none\ntired = none\nstop = 12 passes, 5 min\n"
    "unmarked = wait\nrest = 1.5 x played, at least 8 s\ncold = yes\non-miss = break off\n"
    "[pulse]\ncount = eighth below 60\nsubdivide = 3 below 80\nswing = 2:1\ncount-in = 2 bars\n"
    "silent = sub, count-in\nvolume = 40 %\nsounds = wood\n";

static void everything_reads_back(void **state)
{
    (void)state;
    struct trial *trial = try_new(everything, NULL);
    assert_int_equal(trial->setup.passage.loops, 3);
    assert_int_equal(trial->setup.passage.variants, 4);
    assert_reads_back(trial, true);
    char *text = written(trial, true);
    /* A later line of a name counts, in the place of the first; a preset is named and written out.
     */
    assert_non_null(strstr(text, "# The lines of the preset octave-pair are written out here.\n"));
    assert_null(strstr(text, "preset ="));
    assert_non_null(strstr(text, "first half = 33-35\nseam       = 36.2-37.1\n"));
    assert_non_null(strstr(text, "low      = octave -2\nat pitch = as written\nslurred  ="));
    assert_non_null(strstr(text, "leave-out  = sub, count-in"));
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
    assert_non_null(strstr(text, "\nbeat        = dotted quarter "));
    assert_non_null(strstr(text, "\ntarget      = dotted quarter = 72.5 "));
    assert_non_null(strstr(text, "\nstart     = 60 "));
    assert_non_null(strstr(text, "\n#piece      = TEXT "));
    free(text);
    free_trial(trial);
}

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

/* Values of one setting, the first of which is usual. */
static const struct {
    const char *key;
    const char *value[8];
} pool[] = {
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
    const char *const options[] = {"title",   "a ;b",
                                   "meter",   "6/8",
                                   "bars",    "33-36",
                                   "target",  "63",
                                   "preset",  "octave-pair",
                                   "loop",    "a:b=33-34",
                                   "variant", "soft=soft doo",
                                   "steps",   "marks",
                                   "stage",   "first: turn = every pass",
                                   "stage",   "second: start = 80 % of last result",
                                   NULL};
    struct trial *trial = try_new(NULL, options);
    char *text = NULL;
    size_t length = 0;
    FILE *to = open_memstream(&text, &length);
    passo_lines_write(&trial->lines, to);
    assert_int_equal(fclose(to), 0);
    struct trial *back = try_new(text, NULL);
    assert_true(same_setup(&back->setup, &trial->setup));
    assert_non_null(strstr(text, "preset      = octave-pair"));
    assert_non_null(strstr(text, "\n[stage first]\nturn = every pass\n"));
    assert_null(strstr(text, "at pitch"));
    assert_null(strstr(text, "\nraise"));
    assert_non_null(strstr(text, "\n#piece      = TEXT"));
    free(text);
    free_trial(back);
    free_trial(trial);
}

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
        cmocka_unit_test(every_preset_reads_back),
        cmocka_unit_test(every_shipped_passage_reads_back),
        cmocka_unit_test(everything_reads_back),
        cmocka_unit_test(a_page_is_80_wide),
        cmocka_unit_test(what_other_lines_give_is_written),
        cmocka_unit_test(awkward_texts_read_back),
        cmocka_unit_test(long_values_read_back),
        cmocka_unit_test(quotes_are_read_as_text_where_they_are_text),
        cmocka_unit_test(drawn_lines_read_back),
        cmocka_unit_test(what_is_said_reads_back),
        cmocka_unit_test(names_for_filing),
        cmocka_unit_test(a_filing_is_whole_and_found),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
