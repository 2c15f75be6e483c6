/* Routine files: what each line means, how long a pass of a block takes, and that what holds is
 * written and reads back. The times are worked out by hand from design.md section 3 (count-in one
 * bar, two if a bar lasts under 1.6 s; the landing is one beat) and 5 (the usual rest). */
#include "routine_tools.h"

static void a_whole_file(void **state)
{
    static const char text[] = "# For Tuesdays.\n"
                               "# The rest of it.\n"
                               "[Routine]\n"
                               "title = Tuesday\nminutes = 40\npassages = 12 min\norder = Blocked\n"
                               "visit = 90 s, 4 passes\nleast = 1.5\nmost = 7 min\nrelative = no\n"
                               "rest = 10 s\noffer-rests = no\n"
                               "[Block  Long Tones]\n"
                               "caption = soft entries, even sound\nminutes = 2.5\n"
                               "tempo = quarter = 60\ntags = long tones ,, low register\n"
                               "[block scales]\n"
                               "passes = 2\nkeys = Fourths, minor\neach-day = 3\n"
                               "sound = pulse and drone\ntempo = dotted quarter = 60\nmeter = 6/8\n"
                               "bars = 2\nsubdivide = 3\nvolume = 40 %\nrest = as played\n"
                               "shape = bar 2 = tempo 50 %\n"
                               "[block buzzing]\nminutes = 1\nfree = yes\ntags = mouthpiece\n";
    struct reading reading;
    const struct passo_routine_file *file = &reading.file;
    const struct passo_block *block = reading.file.routine.block;
    (void)state;
    read_text(&reading, text);
    assert_good(&reading);
    assert_string_equal(file->title, "Tuesday");
    assert_string_equal(file->name, "day");
    assert_string_equal(file->summary, "For Tuesdays.");
    assert_int_equal(file->whole_ms, 40 * MIN_MS);
    assert_int_equal(file->passages_ms, 12 * MIN_MS);
    assert_int_equal(file->visit_passes, 4);
    assert_false(file->rests);
    assert_true(file->rest_said);
    assert_int_equal(file->rest.rest_fixed_ms, 10000);
    assert_int_equal(file->rest.rest_permille, 0);
    assert_string_equal(file->rest_value, "10 s");
    assert_int_equal(file->routine.order, PASSO_ORDER_BLOCKED);
    assert_false(file->routine.relative);
    assert_int_equal(file->routine.visit_ms, 90000);
    assert_int_equal(file->routine.least_ms, 90000);
    assert_int_equal(file->routine.most_ms, 7 * MIN_MS);
    assert_int_equal(file->routine.blocks, 3);

    assert_string_equal(block[0].name, "Long Tones");
    assert_string_equal(block[0].tags, "long tones, low register");
    assert_int_equal(block[0].ms, 150000);
    assert_int_equal(block[0].passes, 0);
    assert_int_equal(block[0].cycle.kind, PASSO_CYCLE_NONE);
    /* 4/4 at 60: count-in 4 s, four bars and the landing 17 s, and the routine's rest. */
    assert_int_equal(block[0].pass_ms, 4000 + 17000 + 10000);
    assert_string_equal(file->block[0].caption, "soft entries, even sound");
    assert_int_equal(file->block[0].sound, PASSO_SOUND_PULSE);
    const struct passo_setup *setup = file->block[0].setup;
    assert_string_equal(setup->passage.title, "Long Tones");
    assert_int_equal(setup->rule.target_mbpm, 60000);
    assert_int_equal(setup->rule.start_mbpm, 60000);
    assert_int_equal(setup->rule.finish_passes, 0);
    assert_int_equal(setup->rule.rest_fixed_ms, 10000);
    assert_int_equal(setup->course.stages, 1);
    assert_rules_equal(&setup->course.stage[0].rule, &setup->rule);

    assert_string_equal(block[1].name, "scales");
    assert_int_equal(block[1].ms, 0);
    assert_int_equal(block[1].passes, 2);
    assert_int_equal(block[1].cycle.kind, PASSO_CYCLE_FOURTHS);
    assert_int_equal(block[1].cycle.mode, PASSO_MODE_MINOR);
    assert_int_equal(block[1].keys_a_day, 3);
    assert_int_equal(file->block[1].sound, PASSO_SOUND_PULSE_AND_DRONE);
    setup = file->block[1].setup;
    assert_ratio(setup->passage.beat, 3, 8);
    assert_int_equal(setup->pulse.subdivide, 3);
    assert_int_equal(setup->volume_permille, 400);
    assert_int_equal(setup->passage.writtens, 1);
    /* 6/8 at two beats a bar: count-in 2 s; a bar of 2 s, one of 4 s at half the tempo, whose
     * landing is 2 s; the rest is as long as the 8 s played. */
    assert_int_equal(block[1].pass_ms, 2000 + 8000 + 8000);

    assert_null(file->block[2].setup);
    assert_int_equal(block[2].pass_ms, 0);
    assert_int_equal(block[2].ms, MIN_MS);
    assert_string_equal(block[2].tags, "mouthpiece");
    reading_end(&reading);
}

static void what_holds_unsaid(void **state)
{
    struct reading reading;
    const struct passo_routine *routine = &reading.file.routine;
    (void)state;
    read_text(&reading, "[block a]\nminutes = 5\ntempo = 96\n");
    assert_good(&reading);
    assert_string_equal(reading.file.title, "day");
    assert_string_equal(reading.file.summary, "");
    assert_int_equal(reading.file.whole_ms, 0);
    assert_int_equal(reading.file.passages_ms, 0);
    assert_int_equal(reading.file.visit_passes, 6);
    assert_true(reading.file.rests);
    assert_false(reading.file.rest_said);
    assert_int_equal(routine->order, PASSO_ORDER_MIXED);
    assert_true(routine->relative);
    assert_int_equal(routine->visit_ms, 3 * MIN_MS);
    assert_int_equal(routine->least_ms, 2 * MIN_MS);
    assert_int_equal(routine->most_ms, 8 * MIN_MS);
    assert_int_equal(routine->block[0].keys_a_day, 0);
    assert_ratio(reading.file.block[0].setup->passage.beat, 1, 4);
    assert_int_equal(reading.file.block[0].setup->passage.bars, 4);
    /* 2.5 s of count-in, 17 beats of 0.625 s, and as much rest. */
    assert_int_equal(routine->block[0].pass_ms, 2500 + 10625 + 10625);
    reading_end(&reading);
}

/* One of a visit's two limits alone: the other holds nothing back. */
static void a_visit_by_one_limit(void **state)
{
    struct reading reading;
    (void)state;
    read_text(&reading, "[routine]\nvisit = 5 passes\nmost = 6\n[block a]\nminutes=1\nfree=yes\n");
    assert_good(&reading);
    assert_int_equal(reading.file.visit_passes, 5);
    assert_int_equal(reading.file.routine.visit_ms, 6 * MIN_MS);
    reading_end(&reading);
    read_text(&reading, "[routine]\nvisit = 2\n[block a]\nminutes = 1\nfree = yes\n");
    assert_good(&reading);
    assert_int_equal(reading.file.visit_passes, 0);
    assert_int_equal(reading.file.routine.visit_ms, 2 * MIN_MS);
    reading_end(&reading);
}

static void times_of_a_pass(void **state)
{
    static const struct {
        const char *lines;
        int64_t ms;
    } times[] = {
        /* a bar of 1 s: two bars of count-in; the rest is at least 6 s */
        {"tempo = 120\nmeter = 2/4\nbars = 2", 2000 + 2500 + 6000},
        {"tempo = 60\nbars = 2\nrest = 1.5 x played, at least 20 s", 4000 + 9000 + 20000},
        {"tempo = 60\nbars = 20", 4000 + 81000 + 60000}, /* at most 60 s */
        {"tempo = 60\nbars = 2\npickup = 1 beat\nrest = 1 s", 4000 + 3000 + 1000 + 9000 + 1000},
        {"tempo = 60\nbars = 2\ncount-in = 2 bars\nrest = 1 s", 8000 + 9000 + 1000},
        {"tempo = half = 60\nbars = 2\nrest = 1 s", 2000 + 5000 + 1000},
        {"tempo = 5\nbars = 1\nmeter = 1/4\nrest = 1 s", 12000 + 24000 + 1000},
    };
    (void)state;
    for (size_t i = 0; i < sizeof times / sizeof *times; i++) {
        struct reading reading;
        char text[256];
        snprintf(text, sizeof text, "[block a]\npasses = 1\n%s\n", times[i].lines);
        read_text(&reading, text);
        assert_good(&reading);
        if (llabs(reading.file.routine.block[0].pass_ms - times[i].ms) > 1)
            print_error("%s: %lld\n", times[i].lines,
                        (long long)reading.file.routine.block[0].pass_ms);
        assert_true(llabs(reading.file.routine.block[0].pass_ms - times[i].ms) <= 1);
        reading_end(&reading);
    }
}

static void cycles_of_keys(void **state)
{
    static const struct {
        const char *value;
        enum passo_cycle_kind kind;
        enum passo_mode mode;
        size_t length;
        int third; /* the tonic at place 2, by the circle of fifths (from memory) */
    } keys[] = {
        {"fourths", PASSO_CYCLE_FOURTHS, PASSO_MODE_MAJOR, 12, -2},
        {"circle of fourths", PASSO_CYCLE_FOURTHS, PASSO_MODE_MAJOR, 12, -2},
        {"fifths, major", PASSO_CYCLE_FIFTHS, PASSO_MODE_MAJOR, 12, 2},
        {"Fifths Minor", PASSO_CYCLE_FIFTHS, PASSO_MODE_MINOR, 12, 2},
        {"chromatic up", PASSO_CYCLE_CHROMATIC_UP, PASSO_MODE_MAJOR, 12, 2},
        {"chromatic down , minor", PASSO_CYCLE_CHROMATIC_DOWN, PASSO_MODE_MINOR, 12, -2},
        {"B-flat, E♭, f minor", PASSO_CYCLE_LIST, PASSO_MODE_MAJOR, 3, -1},
        {"C,D,G", PASSO_CYCLE_LIST, PASSO_MODE_MAJOR, 3, 1},
    };
    (void)state;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        struct reading reading;
        char text[256];
        snprintf(text, sizeof text, "[block a]\nminutes = 9\ntempo = 60\nkeys = %s\n",
                 keys[i].value);
        read_text(&reading, text);
        assert_good(&reading);
        const struct passo_cycle *cycle = &reading.file.routine.block[0].cycle;
        assert_int_equal(cycle->kind, keys[i].kind);
        assert_int_equal(cycle->mode, keys[i].mode);
        assert_int_equal(passo_cycle_length(cycle), keys[i].length);
        assert_int_equal(passo_cycle_key(cycle, 2).tonic, keys[i].third);
        reading_end(&reading);
    }
}

/* Every field that a reader sets. */
static void assert_same(const struct passo_routine_file *a, const struct passo_routine_file *b)
{
    assert_string_equal(a->title, b->title);
    assert_string_equal(a->summary, b->summary);
    assert_int_equal(a->whole_ms, b->whole_ms);
    assert_int_equal(a->passages_ms, b->passages_ms);
    assert_int_equal(a->visit_passes, b->visit_passes);
    assert_int_equal(a->rests, b->rests);
    assert_int_equal(a->rest_said, b->rest_said);
    assert_rules_equal(&a->rest, &b->rest);
    assert_string_equal(a->rest_value, b->rest_value);
    assert_string_equal(a->reference_value, b->reference_value);
    assert_memory_equal(&a->routine, &b->routine, sizeof a->routine);
    for (size_t i = 0; i < a->routine.blocks; i++) {
        const struct passo_setup *one = a->block[i].setup;
        const struct passo_setup *other = b->block[i].setup;
        assert_string_equal(a->block[i].caption, b->block[i].caption);
        assert_int_equal(a->block[i].sound, b->block[i].sound);
        assert_int_equal(!one, !other);
        if (!one)
            continue;
        assert_rules_equal(&one->rule, &other->rule);
        assert_int_equal(one->passage.writtens, other->passage.writtens);
        assert_memory_equal(&one->pulse, &other->pulse, sizeof one->pulse);
        assert_true(one->intonation.a4_hz == other->intonation.a4_hz);
        assert_int_equal(one->intonation.transposition, other->intonation.transposition);
        assert_int_equal(one->intonation.drone, other->intonation.drone);
        assert_memory_equal(&one->intonation.note, &other->intonation.note,
                            sizeof one->intonation.note);
        assert_int_equal(one->intonation.pure_fifth, other->intonation.pure_fifth);
        assert_int_equal(one->volume_permille, other->volume_permille);
        assert_string_equal(one->sounds, other->sounds);
        assert_string_equal(one->passage.title, other->passage.title);
        assert_string_equal(one->passage.tags, other->passage.tags);
        assert_int_equal(one->passage.bars, other->passage.bars);
        assert_ratio(one->passage.beat, other->passage.beat.num, other->passage.beat.den);
    }
}

static char *write_out(const char *path)
{
    char *text = NULL;
    size_t bytes = 0;
    struct passo_faults faults = {0};
    FILE *to = open_memstream(&text, &bytes);
    assert_non_null(to);
    passo_routine_write(path, to, &faults);
    assert_int_equal(fclose(to), 0);
    for (size_t i = 0; i < faults.faults; i++)
        print_error("fault: %s\n", faults.fault[i]);
    assert_int_equal(faults.faults, 0);
    passo_faults_deinit(&faults);
    return text;
}

/* What is written of a file reads back the same, and is then written the same. */
static void assert_reads_back(const char *path)
{
    struct reading first;
    struct reading second;
    char *text = write_out(path);
    read_path(&first, path);
    assert_good(&first);
    write_text("again.passo", text);
    read_path(&second, "again.passo");
    assert_good(&second);
    assert_same(&first.file, &second.file);
    char *again = write_out("again.passo");
    assert_string_equal(again, text);
    reading_end(&first);
    reading_end(&second);
    free(again);
    free(text);
}

static void what_is_written_reads_back(void **state)
{
    static const char *const shipped[] = {"forty-five", "thirty", "fifteen",
                                          "sixty",      "school", "before-a-performance"};
    static const char odd[] =
        "; a comment\n[routine]\ntitle = \"a ;b\"\nvisit = 2 passes\nrest = 2 x played\n"
        "[block A]\nminutes = 2\nfree = yes\nkeys = C, F#m\ntags = x, y\n"
        "[block one \xC3\xA9]\ncaption = \"\\x1B[31m red\"\npasses = 2\ntempo = dotted half = "
        "30.5\n"
        "meter = 7/8 as 2+2+3\ncount = eighth\nswing = straight\nthin = halves\npickup = eighth\n"
        "shape = bar 2 = fermata\nshape = bar 3 = meter 3/4\nsilent = beat\nrest = 4 s\n"
        "[block b]\npasses = 3\ntempo = 3/16 = 80\nkeys = fifths, minor\neach-day = 1\n"
        "sound = drone\ncount-in = 1 bar\nsounds = wood\nvolume = 10 %\n";
    (void)state;
    for (size_t i = 0; i < sizeof shipped / sizeof *shipped; i++) {
        char path[512];
        snprintf(path, sizeof path, PASSO_SOURCE_DIR "/presets/routines/%s.passo", shipped[i]);
        assert_reads_back(path);
    }
    write_text("odd.passo", odd);
    assert_reads_back("odd.passo");
    write_text("tuned.passo",
               "[routine]\nreference = 442\ninstrument = B-flat trumpet\ndrone = root and fifth\n"
               "fifth = pure\n[block a]\nminutes = 2\nkeys = fourths\nsound = drone\ntempo = 60\n"
               "[block b]\nminutes = 2\ntempo = 60\ndrone = B-flat 2\ntransposition = 0\n"
               "[block c]\nminutes = 2\ntempo = 60\nkeys = C\ndrone = none\n"
               "[block d]\nminutes = 2\nfree = yes\n");
    assert_reads_back("tuned.passo");
    write_text("bare.passo", "[block a]\nminutes=1\ntempo=60\nbars=1\n");
    assert_reads_back("bare.passo");
}

/* What `show` says of a block is what it takes. */
static void what_is_written_tells_the_times(void **state)
{
    char *text = write_out(PASSO_SOURCE_DIR "/presets/routines/thirty.passo");
    (void)state;
    assert_non_null(strstr(text, "\n# the blocks take 20 min; for passages there are 10 min\n"));
    /* quarter = 80: 3 s, and twice 17 beats of 0.75 s */
    assert_non_null(strstr(text, "[block flow study]\n# 4 min, 4 keys; one pass takes 29 s with "
                                 "count-in and rest\n"));
    assert_non_null(strstr(text, "[block breathing]\n# 1 min\n"));
    free(text);
}

/* A routine is told from a passage by its sections. */
static void what_is_a_routine(void **state)
{
    (void)state;
    assert_true(passo_routine_is(PASSO_SOURCE_DIR "/presets/routines/school.passo"));
    assert_false(passo_routine_is(PASSO_SOURCE_DIR "/presets/steady.passo"));
    assert_false(passo_routine_is(PASSO_SOURCE_DIR "/presets/passages/marrowby-march.passo"));
    assert_false(passo_routine_is("no such file"));
    assert_false(passo_routine_is("."));
    write_text("x.passo", "[routine]\nminutes = 0\n");
    assert_true(passo_routine_is("x.passo"));
    write_text("x.passo", "[block a]\n");
    assert_true(passo_routine_is("x.passo"));
}

/* Routines are found as presets are, the player's own before one that ships. */
static void found_by_name(void **state)
{
    char path[PASSO_PATH_BYTES];
    char command[256];
    char **name = NULL;
    bool today = false;
    bool shipped = false;
    (void)state;
    snprintf(command, sizeof command, "mkdir -p '%s/passo/routines' '%s/passo/routines'",
             getenv("XDG_DATA_HOME"), getenv("XDG_CONFIG_HOME"));
    assert_int_equal(system(command), 0);
    snprintf(command, sizeof command, "%s/passo/routines/today.passo", getenv("XDG_DATA_HOME"));
    write_text(command, "# Mine.\n[block a]\nminutes = 1\nfree = yes\n");
    assert_true(passo_find("routines", "today", path));
    assert_string_equal(path, command);
    assert_true(passo_find_is_own("routines", path));
    assert_true(passo_find("routines", "school", path));
    assert_false(passo_find_is_own("routines", path));
    assert_non_null(strstr(path, "/data/routines/school.passo"));
    assert_false(passo_find("routines", "steady", path));
    assert_false(passo_find("presets", "school", path));
    snprintf(command, sizeof command, "%s/passo/routines/notes.txt", getenv("XDG_CONFIG_HOME"));
    write_text(command, "x");
    size_t names = passo_find_all("routines", &name);
    for (size_t i = 0; i < names; i++) {
        today |= !strcmp(name[i], "today");
        shipped |= !strcmp(name[i], "forty-five");
        assert_null(strstr(name[i], "notes"));
        free(name[i]);
    }
    free(name);
    assert_int_equal(names, 7);
    assert_true(today && shipped);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_file),
        cmocka_unit_test(what_holds_unsaid),
        cmocka_unit_test(a_visit_by_one_limit),
        cmocka_unit_test(times_of_a_pass),
        cmocka_unit_test(cycles_of_keys),
        cmocka_unit_test(what_is_written_reads_back),
        cmocka_unit_test(what_is_written_tells_the_times),
        cmocka_unit_test(what_is_a_routine),
        cmocka_unit_test(found_by_name),
    };
    return cmocka_run_group_tests_name("routine files", tests, enter_folder, leave_folder);
}
