/* What is wrong with a routine file is one clear sentence with its file and line; files as they
 * come, and what is no routine file at all. */
#include "routine_tools.h"

#include <sys/stat.h>

#define GOOD "[block a]\nminutes = 5\ntempo = 60\n"

struct bad {
    const char *text;
    const char *sentence;
};

static void assert_bad_texts(const struct bad *bad, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct reading reading;
        read_text(&reading, bad[i].text);
        assert_sentence(&reading, bad[i].sentence);
        reading_end(&reading);
    }
}
#define BAD_TEXTS(bad) assert_bad_texts(bad, sizeof bad / sizeof *bad)

static void sections(void **state)
{
    static const struct bad bad[] = {
        {"minutes = 5\npasses = 2\n" GOOD,
         "day.passo, line 1: no section yet; put [routine] or [block NAME] above this line"},
        {"[passage]\ntarget = 96\nbars = 4\n" GOOD,
         "day.passo, line 1: [passage]: not known here; a routine's sections are [routine] or "
         "[block NAME]"},
        {"[routines]\nminutes = 9\n" GOOD,
         "day.passo, line 1: [routines]: not known here; did you mean [routine]?"},
        {"[block]\nminutes = 5\n" GOOD,
         "day.passo, line 1: [block]: a block has a name: [block long tones]"},
        {"[blocks]\nminutes = 5\n" GOOD,
         "day.passo, line 1: [blocks]: not known here; a routine's sections are [routine] or "
         "[block NAME]"},
        {GOOD "[block A]\nminutes = 1\n",
         "day.passo, line 4: [block A]: this name is taken (line 1); each block has its own"},
        {"[block a name that is much too long to be one]\nminutes = 1\n" GOOD,
         "day.passo, line 1: a section is written [routine] or [block NAME], in at most 39 bytes"},
        {"[routine\nminutes = 1\n" GOOD,
         "day.passo, line 1: a section is written [routine] or [block NAME], in at most 39 bytes"},
        {"", "day.passo: there is no block here; a routine has [block NAME] for each"},
        {"[routine]\nminutes = 5\n",
         "day.passo: there is no block here; a routine has [block NAME] for each"},
        {GOOD "[block b]\n[block c]\nminutes = 1\nfree = yes\n",
         "day.passo, line 4: [block b]: say how long it lasts: minutes = 5, or passes = 2"},
    };
    (void)state;
    struct reading reading;
    assert_bad_texts(bad, sizeof bad / sizeof *bad - 1);
    /* An empty block lacks two things. */
    read_text(&reading, bad[sizeof bad / sizeof *bad - 1].text);
    assert_int_equal(reading.faults.faults, 2);
    assert_string_equal(reading.faults.fault[0], bad[sizeof bad / sizeof *bad - 1].sentence);
    assert_string_equal(reading.faults.fault[1],
                        "day.passo, line 4: [block b]: say its tempo: tempo = quarter = 60; or "
                        "free = yes, for no pulse");
    reading_end(&reading);
}

static void keys_of_lines(void **state)
{
    static const struct bad bad[] = {
        {GOOD "minute = 3\n",
         "day.passo, line 4: minute = 3: not known here; did you mean minutes?"},
        {GOOD "eachday = 3\n",
         "day.passo, line 4: eachday = 3: not known here; did you mean each-day?"},
        {GOOD "subdivid = 3\n",
         "day.passo, line 4: subdivid = 3: not known here; did you mean subdivide?"},
        {GOOD "target = 96\n",
         "day.passo, line 4: target = 96: a block has one tempo: tempo = quarter = 60"},
        {GOOD "steps = 4 bpm\n", "day.passo, line 4: steps = 4 bpm: this is a passage's line; a "
                                 "routine has no place for it"},
        {GOOD "order = mixed\n",
         "day.passo, line 4: order = mixed: this line belongs under [routine]"},
        {"[routine]\nkeys = C\n" GOOD,
         "day.passo, line 2: keys = C: this line belongs under a [block NAME]"},
        {"[routine]\nbars = 4\n" GOOD,
         "day.passo, line 2: bars = 4: this line belongs under a [block NAME]"},
        {"[routine]\ntempo = 60\n" GOOD,
         "day.passo, line 2: tempo = 60: this line belongs under a [block NAME]"},
        {"[routine]\nmynutes = 60\n" GOOD,
         "day.passo, line 2: mynutes = 60: not known here; did you mean minutes?"},
        {GOOD "xyzzy = 1\n", "day.passo, line 4: xyzzy = 1: not known here; passo show forty-five "
                             "shows what could be"},
        {GOOD "minutes = 3\n",
         "day.passo, line 4: minutes = 3: this is said already (line 2); one of them would do"},
        {GOOD "tempo = 96\n",
         "day.passo, line 4: tempo = 96: this is said already (line 3); one of them would do"},
        {GOOD "shape = bar 2 = tempo 80 %\nshape = bar 2 = to 70 %\n",
         "day.passo, line 5: bar 2 = to 70 %: this is said already (line 4); one of them would "
         "do"},
        {GOOD "nonsense\n", "day.passo, line 4: there is no = here; a line is written key = value"},
        {GOOD "caption =\n",
         "day.passo, line 4: caption = : nothing is said; say TEXT, or leave it out"},
    };
    (void)state;
    BAD_TEXTS(bad);
}

#define VISIT_HINT                                                                                 \
    "a visit has at most so many passes (up to 100) or minutes (up to 120): 6 passes, 3 min, or "  \
    "one of the two"

static void values(void **state)
{
    static const char *const how_block = "a block lasts 0.1 to 120 minutes: 5";
    static const char *const how_keys =
        "keys are fourths, fifths, chromatic up or chromatic down (also fourths, minor), or a "
        "list: B-flat, E-flat, F minor";
    static const struct {
        const char *section;
        const char *line;
        const char *would_do;
    } bad[] = {
        {"block", "minutes = 0", NULL},
        {"block", "minutes = 121", NULL},
        {"block", "minutes = 0.09", NULL},
        {"block", "minutes = -5", NULL},
        {"block", "minutes = five", NULL},
        {"block", "minutes = 99999999999999999999", NULL},
        {"block", "passes = 0", "each key of a block has 1 to 100 passes: 2"},
        {"block", "passes = 101", "each key of a block has 1 to 100 passes: 2"},
        {"block", "passes = 2.5", "each key of a block has 1 to 100 passes: 2"},
        {"block", "keys = fourth", ""},
        {"block", "keys = C, D, whole tone", ""},
        {"block", "keys = whole tone", ""},
        {"block", "keys = ,", ""},
        {"block", "keys = C, H, D",
         "there is no key of H here: B is B natural, and B-flat is "
         "said in full"},
        {"block", "keys = C, G, c sharp minor, G", "a key comes twice; each once would do"},
        {"block", "keys = C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C,C",
         "a list has at most 24 keys"},
        {"block", "sound = loud", "what sounds is pulse, drone, or pulse and drone"},
        {"block", "free = maybe", "a free block is said with yes or no"},
        {"routine", "minutes = 0", "a routine lasts 1 to 600 minutes: 45"},
        {"routine", "minutes = 601", "a routine lasts 1 to 600 minutes: 45"},
        {"routine", "passages = 0",
         "passages have 1 to 600 minutes: 12; of none, leave the line "
         "out"},
        {"routine", "order = drawn",
         "visits of one passage are mixed (spread over the routine) or "
         "blocked (one after the other)"},
        {"routine", "visit = 3 min, 4 min", VISIT_HINT},
        {"routine", "visit = 2 passes, 3 passes", VISIT_HINT},
        {"routine", "visit = 0 passes", VISIT_HINT},
        {"routine", "visit = ,", VISIT_HINT},
        {"routine", "least = 0", "the least for a passage is 0.1 to 120 minutes: 2 min"},
        {"routine", "most = 1",
         "the most for a passage is under the least (2 min if it is not "
         "said)"},
        {"routine", "least = 9",
         "the most for a passage is under the least (2 min if it is not "
         "said)"},
        {"routine", "relative = perhaps",
         "whether a passage comes up with its relative key is yes "
         "or no"},
        {"routine", "rest = long",
         "a rest is as played, 1.5 x played or 10 s, with at least 6 s, at most 60 s (an hour at "
         "most, ten times the playing at most)"},
        {"routine", "offer-rests = 1", "whether rests are offered is yes or no"},
        {"routine", "minutes = 4", "the blocks take 5 min"},
        {"routine", "minutes = 5.5\npassages = 1",
         "the blocks take 5 min, with the passages 6 "
         "min"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct reading reading;
        char text[512];
        char sentence[512];
        bool common = !strcmp(bad[i].section, "routine");
        bool minutes = !strncmp(bad[i].line, "minutes", 7) || !strncmp(bad[i].line, "passes", 6);
        snprintf(text, sizeof text, "[%s]\n%s\n%s%s", common ? "routine" : "block x", bad[i].line,
                 common    ? GOOD
                 : minutes ? "tempo = 60\n"
                           : "minutes = 5\ntempo = 60\n",
                 "");
        const char *hint = bad[i].would_do ? bad[i].would_do : how_block;
        snprintf(sentence, sizeof sentence, "day.passo, line 2: %.*s: %s",
                 (int)strcspn(bad[i].line, "\n"), bad[i].line, *hint ? hint : how_keys);
        read_text(&reading, text);
        assert_sentence(&reading, sentence);
        reading_end(&reading);
    }
}

/* What only several lines together can say wrongly. */
static void lines_that_do_not_go_together(void **state)
{
    static const struct bad bad[] = {
        {"[block a]\ntempo = 60\n",
         "day.passo, line 1: [block a]: say how long it lasts: minutes = 5, or passes = 2"},
        {"[block a]\nfree = yes\n",
         "day.passo, line 1: [block a]: say how long it lasts: minutes = 5"},
        {GOOD "passes = 2\n",
         "day.passo, line 4: passes = 2: the minutes are said already; one of the two would do"},
        {"[block a]\nfree = yes\npasses = 2\n",
         "day.passo, line 3: passes = 2: a free block has no passes; say its minutes"},
        {"[block a]\nminutes = 5\n", "day.passo, line 1: [block a]: say its tempo: tempo = quarter "
                                     "= 60; or free = yes, for no pulse"},
        {GOOD "free = yes\n", "day.passo, line 3: tempo = 60: a free block has no pulse; leave "
                              "this line out, or `free = yes`"},
        {"[block a]\nminutes = 5\nfree = yes\nrest = 9 s\n",
         "day.passo, line 4: rest = 9 s: a free block has no pulse; leave this line out, or `free "
         "= yes`"},
        {"[block a]\nminutes = 5\nfree = yes\nsound = pulse\n",
         "day.passo, line 4: sound = pulse: under a free block nothing sounds; leave this line "
         "out"},
        {GOOD "each-day = 3\n",
         "day.passo, line 4: each-day = 3: this block has no keys; say them: keys = fourths"},
        {GOOD "keys = fourths\neach-day = 13\n",
         "day.passo, line 5: each-day = 13: there are fewer keys than that"},
        {GOOD "keys = C, F\neach-day = 3\n",
         "day.passo, line 5: each-day = 3: there are fewer keys than that"},
        {GOOD "sound = drone\n", "day.passo, line 4: sound = drone: a drone is the keynote, and "
                                 "this block has no keys; say them: keys = C"},
        {"[block a]\nminutes = 0.5\ntempo = 60\n",
         "day.passo, line 2: minutes = 0.5: one pass takes 38 s with count-in and rest, longer "
         "than this"},
        {"[block a]\npasses = 100\ntempo = 30\nkeys = fourths\n",
         "day.passo, line 2: passes = 100: this takes 1520 min; a block lasts at most 120 minutes"},
        {"[block a]\nminutes = 120\ntempo = 60\n[block b]\nminutes = 120\ntempo = 60\n"
         "[block c]\nminutes = 120\ntempo = 60\n[block d]\nminutes = 120\ntempo = 60\n"
         "[block e]\nminutes = 120\ntempo = 60\n[block f]\nminutes = 0.1\nfree = yes\n",
         "day.passo: all together this takes 600 min 6 s; a routine lasts at most 600 minutes"},
        /* those of a passage, with the words of the block */
        {"[block a]\nminutes = 5\ntempo = fast\n",
         "day.passo, line 3: tempo = fast: a tempo is a number, 96, or carries its note value, "
         "quarter = 96"},
        {"[block a]\nminutes = 5\ntempo = 4\n",
         "day.passo, line 3: tempo = 4: a tempo is 5 to 1000 beats a minute, as 96 or 63.7"},
        {GOOD "meter = 4/3\n", "day.passo, line 4: meter = 4/3: the lower number is a note value: "
                               "1, 2, 4, 8, 16, 32 or 64"},
        {GOOD "beat = spoon\n", "day.passo, line 4: beat = spoon: the beat unit is a note value: "
                                "quarter, dotted quarter, eighth, half"},
        {"[block a]\nminutes = 5\ntempo = quarter = 60\nbeat = half\n",
         "day.passo, line 3: tempo = quarter = 60: this counts in quarter, but beat (day.passo, "
         "line 4) in half; all tempi have one beat unit"},
        {"[block a]\nminutes = 5\ntempo = quarter = 60\nsubdivide = 2 below half = 80\n",
         "day.passo, line 4: subdivide = 2 below half = 80: this counts in half, but tempo "
         "(day.passo, line 3) in quarter; all tempi have one beat unit"},
        {GOOD "bars = 0\n", "day.passo, line 4: bars = 0: a passage has 1 to 2000 bars: 4, or "
                            "33-36"},
        {GOOD "shape = bar 2\n", "day.passo, line 4: shape = bar 2: this is written shape = PLACE "
                                 "= WHAT: shape = bar 5 = tempo 80 %"},
        {GOOD "shape = bar 9 = tempo 80 %\n", "day.passo, line 4: bar 9 = tempo 80 %: the passage "
                                              "has bars 1 to 4"},
        {GOOD "subdivide = 9\n", "day.passo, line 4: subdivide = 9: a beat has 2 to 6 clicks, or "
                                 "none between; also 2 below 80"},
    };
    (void)state;
    BAD_TEXTS(bad);
}

/* A fault in a rest of all blocks is told once, and every block's own. */
static void each_fault_once(void **state)
{
    struct reading reading;
    (void)state;
    read_text(&reading, "[routine]\nrest = long\n[block a]\nminutes=5\ntempo=60\n[block b]\n"
                        "minutes=x\ntempo=y\n[block c]\nminutes=5\ntempo=60\nbars=z\n");
    assert_int_equal(reading.faults.faults, 4);
    for (size_t i = 0; i < 4; i++) {
        static const char *const line[] = {"day.passo, line 2: rest", "day.passo, line 7: minutes",
                                           "day.passo, line 8: tempo", "day.passo, line 12: bars"};
        assert_int_equal(strncmp(reading.faults.fault[i], line[i], strlen(line[i])), 0);
    }
    reading_end(&reading);
}

/* Whatever is read first, faults come as their lines stand. */
static void in_the_order_of_the_lines(void **state)
{
    struct reading reading;
    (void)state;
    read_text(&reading, "[block a]\ntempo = y\nminutes = x\n[routine]\norder = z\n");
    assert_int_equal(reading.faults.faults, 3);
    assert_int_equal(strncmp(reading.faults.fault[0], "day.passo, line 2", 17), 0);
    assert_int_equal(strncmp(reading.faults.fault[1], "day.passo, line 3", 17), 0);
    assert_int_equal(strncmp(reading.faults.fault[2], "day.passo, line 5", 17), 0);
    reading_end(&reading);
}

/* `tempo` is a word of blocks alone. */
static void a_passage_has_no_tempo(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, "[passage]\ntempo = 96\n", NULL, false);
    assert_fault(&trial, "march.passo, line 2: tempo = 96: not known here; the options of passo "
                         "climb --help are the lines of a file");
    trial_end(&trial);
}

static void too_many_blocks(void **state)
{
    char text[4096] = "";
    struct reading reading;
    (void)state;
    for (int i = 0; i < PASSO_BLOCKS_MAX; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text),
                 "[block %d]\nminutes = 1\nfree = yes\n", i);
    read_text(&reading, text);
    assert_good(&reading);
    assert_int_equal(reading.file.routine.blocks, PASSO_BLOCKS_MAX);
    reading_end(&reading);
    strcat(text, "[block more]\nminutes = 1\nfree = yes\nbananas = 1\n");
    read_text(&reading, text);
    assert_sentence(&reading,
                    "day.passo, line 73: [block more]: this is one block too many; 24 would do");
    reading_end(&reading);
}

static void marks_line_ends_and_tabs(void **state)
{
    struct reading reading;
    static const char text[] =
        "\xEF\xBB\xBF\r\n# Early.\r\n\t[ ROUTINE ]\r\n\tTITLE\t=\tMarch #2\r\n"
        "[\tblock \t a b ]\r\n  minutes:2 ; two\r\n\tTempo = quarter = 60";
    (void)state;
    read_bytes(&reading, text, sizeof text - 1);
    assert_good(&reading);
    assert_string_equal(reading.file.title, "March #2");
    assert_string_equal(reading.file.summary, "Early.");
    assert_string_equal(reading.file.routine.block[0].name, "a b");
    assert_int_equal(reading.file.routine.block[0].ms, 2 * MIN_MS);
    reading_end(&reading);
}

static void what_is_no_file(void **state)
{
    struct reading reading;
    static char large[(1 << 20) + 1];
    (void)state;
    memset(large, '#', sizeof large);
    read_bytes(&reading, large, sizeof large);
    assert_sentence(&reading,
                    "day.passo: this file is larger than 1 MiB; what is read here is a page of "
                    "text");
    reading_end(&reading);
    read_bytes(&reading, "[block a]\nminutes = 1\0\n", 23);
    assert_sentence(&reading, "day.passo, line 2: a zero byte stands here; a file is plain text");
    reading_end(&reading);
    read_bytes(&reading, "[block a]\ncaption = \xFF\n", 22);
    assert_sentence(&reading, "day.passo, line 2: this is not UTF-8; save the file as UTF-8 text");
    reading_end(&reading);
    read_path(&reading, "nowhere.passo");
    assert_sentence(&reading, "nowhere.passo: there is no such file");
    reading_end(&reading);
    assert_int_equal(mkdir("folder", 0755), 0);
    read_path(&reading, "folder");
    assert_sentence(&reading, "folder: this is a folder; name a file in it");
    reading_end(&reading);
    assert_int_equal(mkfifo("pipe", 0644), 0);
    read_path(&reading, "pipe");
    assert_sentence(&reading, "pipe: this is a pipe or a device; name an ordinary file");
    reading_end(&reading);
    read_path(&reading, "");
    assert_sentence(&reading, "\"\": there is no such file");
    reading_end(&reading);
}

/* A block with a fault for which there is no room any more is not taken for a good one. */
static void more_faults_than_are_told(void **state)
{
    char text[2048] = "[block a]\npasses = 1\ntempo = 60\nmeter = x\n";
    struct reading reading;
    (void)state;
    for (int i = 0; i < 60; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "xyzzy%d = 1\n", i);
    read_text(&reading, text);
    assert_int_equal(reading.faults.faults, 51);
    assert_int_equal(reading.file.routine.block[0].pass_ms, 0);
    reading_end(&reading);
}

/* Files at the limit of their size: many lines of one kind, and of sections. */
static void full_files(void **state)
{
    static const char *const before[] = {"[block a]\n#", "[routine]\nminutes = 5\n#",
                                         "caption = x\n#", "shape = bar 1.", "[block "};
    static const char *const behind[] = {"\n", "\n", "\n", " = tempo 80 %\n", "]\n"};
    (void)state;
    for (size_t i = 0; i < sizeof before / sizeof *before; i++) {
        static char text[1 << 20];
        struct reading reading;
        size_t used = (size_t)snprintf(text, sizeof text, "[block first]\n");
        for (int number = 0; used + 64 < sizeof text; number++)
            used += (size_t)snprintf(text + used, sizeof text - used, "%s%d%s", before[i], number,
                                     behind[i]);
        read_bytes(&reading, text, used);
        assert_true(reading.faults.faults > 0 && reading.faults.faults <= 51);
        reading_end(&reading);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sections),
        cmocka_unit_test(keys_of_lines),
        cmocka_unit_test(values),
        cmocka_unit_test(lines_that_do_not_go_together),
        cmocka_unit_test(each_fault_once),
        cmocka_unit_test(in_the_order_of_the_lines),
        cmocka_unit_test(a_passage_has_no_tempo),
        cmocka_unit_test(too_many_blocks),
        cmocka_unit_test(marks_line_ends_and_tabs),
        cmocka_unit_test(what_is_no_file),
        cmocka_unit_test(more_faults_than_are_told),
        cmocka_unit_test(full_files),
    };
    return cmocka_run_group_tests_name("faults of routine files", tests, enter_folder,
                                       leave_folder);
}
