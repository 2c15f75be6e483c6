/* Lines joined to a setup: defaults, who wins, beat unit, loops, pickup, context, and that every
 * bad input is told where it stands, what was read and what would do. */
#include "setup_tools.h"

static void nothing_said_is_the_default(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, NULL, NULL, false);
    assert_no_faults(&trial);
    struct passo_rule usual = passo_rule_default();
    assert_rules_equal(&trial.setup.rule, &usual);
    const struct passo_passage *passage = &trial.setup.passage;
    assert_int_equal(passage->meter.count, 4);
    assert_int_equal(passage->meter.unit, 4);
    assert_ratio(passage->beat, 1, 4);
    assert_int_equal(passage->first_bar, 1);
    assert_int_equal(passage->bars, 4);
    assert_int_equal(passage->pickup.num, 0);
    assert_int_equal(passage->loops, 1);
    assert_string_equal(passage->loop[0].name, "whole");
    assert_int_equal(passage->variants, 1);
    assert_string_equal(passage->variant[0].name, "as written");
    assert_int_equal(trial.setup.on_miss, PASSO_ON_MISS_PLAY_ON);
    assert_int_equal(trial.setup.volume_permille, 500);
    assert_string_equal(trial.setup.sounds, "");
    trial_end(&trial);
}

static void the_table_says_the_defaults(void **state)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    struct passo_setup said;
    struct trial silent;
    size_t count = 0;
    (void)state;
    const struct passo_setting *setting = passo_settings(&count);
    assert_true(count > 30);
    for (size_t i = 0; i < count; i++) {
        assert_true(*setting[i].key && *setting[i].section && *setting[i].value &&
                    *setting[i].help);
        assert_ptr_equal(passo_setting_find(setting[i].key), &setting[i]);
        if (*setting[i].usual)
            passo_lines_add_option(&lines, setting[i].key, setting[i].usual, &faults);
    }
    passo_setup_resolve(&lines, false, &said, &faults);
    assert_int_equal(faults.faults, 0);
    try_lines(&silent, NULL, NULL, false);
    assert_rules_equal(&said.rule, &silent.setup.rule);
    assert_memory_equal(&said.pulse, &silent.setup.pulse, sizeof said.pulse);
    assert_int_equal(said.passage.bars, silent.setup.passage.bars);
    assert_int_equal(said.volume_permille, silent.setup.volume_permille);
    trial_end(&silent);
    passo_lines_deinit(&lines);
    passo_faults_deinit(&faults);
}

/* Every option has the sentence that an unreadable value is told, and it names the option. */
static void every_setting_refuses_nonsense(void **state)
{
    size_t count = 0;
    (void)state;
    const struct passo_setting *setting = passo_settings(&count);
    static const char *const free_text[] = {"title",      "piece", "key",
                                            "instrument", "tags",  "sounds"};
    for (size_t i = 0; i < count; i++) {
        struct trial trial;
        char place[64];
        bool any = false;
        for (size_t j = 0; j < sizeof free_text / sizeof *free_text; j++)
            any = any || !strcmp(setting[i].key, free_text[j]);
        const char *const nonsense[] = {setting[i].key, "$ nonsense 7", NULL};
        const char *const empty[] = {setting[i].key, " ", NULL};
        snprintf(place, sizeof place, "--%s", setting[i].key);
        try_lines(&trial, NULL, any ? empty : nonsense, false);
        assert_fault_says(&trial, place, any ? "\"\"" : "$ nonsense 7", ": ");
        trial_end(&trial);
    }
}

static void finds_the_word_that_was_meant(void **state)
{
    (void)state;
    assert_string_equal(passo_setting_nearest("rase")->key, "raise");
    assert_string_equal(passo_setting_nearest("traget")->key, "target");
    assert_string_equal(passo_setting_nearest("count_in")->key, "count-in");
    assert_string_equal(passo_setting_nearest("mater")->key, "meter");
    assert_string_equal(passo_setting_nearest("STEP")->key, "steps");
    assert_null(passo_setting_nearest("trombone"));
    assert_null(passo_setting_nearest(""));
    assert_null(passo_setting_nearest("steps and so on for more than thirty-two letters"));
    assert_null(passo_setting_find("rase"));
}

/* preset < file < option, whatever the order in which lines stand or are added. */
static void the_later_of_preset_file_option_wins(void **state)
{
    (void)state;
    static const char *const files[] = {
        "[passage]\npreset = patient\ntarget = 96\n[ladder]\nsteps = 2 bpm\n",
        "[ladder]\nsteps = 2 bpm\n[passage]\ntarget = 96\npreset = patient\n",
    };
    for (size_t i = 0; i < 2; i++)
        for (int first = 0; first < 2; first++) {
            struct trial trial = {0};
            write_file("march.passo", files[i], strlen(files[i]));
            if (first)
                passo_lines_add_option(&trial.lines, "drop", "hold", &trial.faults);
            passo_lines_add_file(&trial.lines, "march.passo", &trial.faults);
            if (!first)
                passo_lines_add_option(&trial.lines, "drop", "hold", &trial.faults);
            passo_setup_resolve(&trial.lines, true, &trial.setup, &trial.faults);
            assert_no_faults(&trial);
            const struct passo_rule *rule = &trial.setup.rule;
            assert_int_equal(rule->drop, PASSO_DROP_HOLD);  /* the option, over the preset */
            assert_int_equal(rule->steps, PASSO_STEPS_BPM); /* the file, over the preset */
            assert_int_equal(rule->step_mbpm, 2000);
            assert_int_equal(rule->raise_of, 4); /* the preset */
            assert_int_equal(rule->start_permille, 700);
            trial_end(&trial);
        }
}

/* A file says a thing once; of options the last counts, and it counts over the file's. */
static void a_thing_is_said_once(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"target", "100", "target", "104", "loop", "a=2-3", NULL};
    try_lines(&trial, "[passage]\ntarget = 90\nmeter = 3/4\n[loops]\na = 1-2\nb = 3-4\n", options,
              true);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.target_mbpm, 104000);
    assert_int_equal(trial.setup.passage.loops, 3);
    assert_string_equal(trial.setup.passage.loop[1].name, "a");
    assert_int_equal(trial.setup.passage.loop[1].from.bar, 2);
    trial_end(&trial);
    static const struct {
        const char *text;
        const char *place;
        const char *read;
        const char *would_do;
    } twice[] = {
        {"[passage]\ntarget = 90\ntarget = 92\n", "march.passo, line 3: ", "target = 92",
         "said already (line 2)"},
        {"[passage]\ntarget = 90\n[ladder]\ntarget = 92\n", "march.passo, line 4: ", "target = 92",
         "said already (line 2)"},
        {"[passage]\ntarget = 90\n[loops]\na = 1-2\na = 2-3\n", "march.passo, line 5: ", "a = 2-3",
         "said already (line 4)"},
        {"[passage]\ntarget = 90\n[shape]\nbar 2 = tempo 70 %\nbar 2 = meter 3/4\n",
         "march.passo, line 5: ", "bar 2", "on one line, with a comma"},
        {"[passage]\ntarget = 90\n[stage x]\nstart = 70 %\n[stage y]\n[stage X]\nstart = 60 %\n",
         "march.passo, line 7: ", "start = 60 %", "said already (line 4)"},
    };
    for (size_t i = 0; i < sizeof twice / sizeof *twice; i++) {
        try_lines(&trial, twice[i].text, NULL, true);
        assert_fault_says(&trial, twice[i].place, twice[i].read, twice[i].would_do);
        trial_end(&trial);
    }
}

static void a_preset_named_by_an_option_replaces_the_files(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"preset", "over-the-top", NULL};
    const char *text = "[passage]\npreset = patient\ntarget = 96\n";
    try_lines(&trial, text, options, true);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.raise_of, 0);
    assert_int_equal(trial.setup.rule.over_passes, 1);
    assert_int_equal(trial.setup.rule.stop_ms, 20 * 60000); /* patient's 25 min are gone */
    trial_end(&trial);
    /* ... also if it is added first, by either door. */
    for (int door = 0; door < 2; door++) {
        struct trial other = {0};
        if (door)
            passo_lines_add_preset(&other.lines, "over-the-top", &other.faults);
        else
            passo_lines_add_option(&other.lines, "preset", "over-the-top", &other.faults);
        passo_lines_add_file(&other.lines, "march.passo", &other.faults);
        passo_setup_resolve(&other.lines, true, &other.setup, &other.faults);
        assert_no_faults(&other);
        assert_int_equal(other.setup.rule.raise_of, 0);
        assert_int_equal(other.setup.rule.over_passes, 1);
        trial_end(&other);
    }
}

static void one_beat_unit_for_all(void **state)
{
    struct trial trial;
    (void)state;
    const char *const dotted[] = {"target", "dotted quarter = 88", NULL};
    try_lines(&trial, "[passage]\nmeter = 4/4\n", dotted, true);
    assert_no_faults(&trial);
    assert_ratio(trial.setup.passage.beat, 3, 8);
    assert_int_equal(trial.setup.rule.target_mbpm, 88000);
    trial_end(&trial);
    try_lines(&trial, "[passage]\nmeter = 6/8\n", NULL, false);
    assert_ratio(trial.setup.passage.beat, 3, 8);
    trial_end(&trial);
    try_lines(&trial, "[passage]\nmeter = 6/8\nbeat = eighth\ntarget = quaver = 200\n", NULL, true);
    assert_no_faults(&trial);
    assert_ratio(trial.setup.passage.beat, 1, 8);
    trial_end(&trial);
    try_lines(&trial, "[passage]\ntarget = quarter = 96\n[ladder]\nstart = half = 40\n", NULL,
              true);
    assert_fault(&trial, "march.passo, line 4: start = half = 40: this counts in half, but target "
                         "(march.passo, line 2) in quarter; all tempi have one beat unit");
    trial_end(&trial);
    try_lines(&trial, "[passage]\nbeat = quarter\n", dotted, true);
    assert_fault(&trial, "--target dotted quarter = 88: this counts in dotted quarter, but beat "
                         "(march.passo, line 2) in quarter; all tempi have one beat unit");
    trial_end(&trial);
}

static void places_loops(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial,
              "[passage]\nbars = 33-36\npickup = quarter\n[shape]\nbar 35 = meter 3/4\n"
              "[loops]\nhead = 33-34\nseam = 34.3-35.1\none = 36\ntail = 34.4 \xE2\x80\x93 36.3\n"
              "to the bar = 33.2-34.4\nup = 32.4-33\nbeat = 33.2\n",
              NULL, false);
    assert_no_faults(&trial);
    const struct passo_loop *loop = trial.setup.passage.loop;
    assert_int_equal(trial.setup.passage.loops, 8);
    assert_place(loop[0].from, 32, 3, 4); /* whole: its pickup counted in */
    assert_place(loop[0].to, 37, 0, 1);
    assert_string_equal(loop[1].name, "head");
    assert_place(loop[1].from, 33, 0, 1);
    assert_place(loop[1].to, 35, 0, 1);
    assert_place(loop[2].from, 34, 1, 2);
    assert_place(loop[2].to, 35, 1, 4); /* the end of beat 1 */
    assert_place(loop[3].from, 36, 0, 1);
    assert_place(loop[3].to, 37, 0, 1);
    assert_place(loop[4].from, 34, 3, 4);
    assert_place(loop[4].to, 37, 0, 1); /* bar 36 is in 3/4: beat 3 ends it */
    assert_place(loop[5].to, 35, 0, 1);
    assert_place(loop[6].from, 32, 3, 4);
    assert_place(loop[7].from, 33, 1, 4);
    assert_place(loop[7].to, 33, 1, 2);
    trial_end(&trial);
}

static void assert_loop_fault(const char *passage, const char *loop, const char *would_do)
{
    struct trial trial;
    char text[512];
    char read[128];
    snprintf(text, sizeof text, "[loops]\na = %s\n[passage]\n%s\n", loop, passage);
    snprintf(read, sizeof read, "a = %s: ", loop);
    try_lines(&trial, text, NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", read, would_do);
    trial_end(&trial);
}

static void refuses_loops(void **state)
{
    struct trial trial;
    (void)state;
    assert_loop_fault("", "3-5", "bars 1 to 4");
    assert_loop_fault("", "0-2", "bars 1 to 4");
    assert_loop_fault("bars = 33-36", "1-2", "bars 33 to 36");
    assert_loop_fault("pickup = quarter", "0.3-2", "bars 1 to 4");
    assert_loop_fault("", "3-2", "turn them round");
    assert_loop_fault("", "2.4-2.3", "turn them round");
    assert_loop_fault("", "2.5-3", "bar 2 has no beat 5: 4 beats fill it");
    assert_loop_fault("meter = 7/8\nbeat = quarter", "2.5-3", "bar 2 has no beat 5: 4 beats");
    assert_loop_fault("", "2.0-3", "2.3-4.1");
    assert_loop_fault("", "first two", "1-2");
    assert_loop_fault("", "1-2-3", "1-2");
    assert_loop_fault("", "1-", "1-2");
    assert_loop_fault("", "99999999999-99999999999999", "1-2");
    try_lines(&trial, "[loops]\nWhole = 1-2\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", "Whole = 1-2", "choose another");
    trial_end(&trial);
    try_lines(&trial, "[loops]\n= 1-2\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", "= 1-2", "a name is missing");
    trial_end(&trial);
    const char *const bare[] = {"loop", "1-2", NULL};
    try_lines(&trial, NULL, bare, false);
    assert_fault(&trial, "--loop 1-2: this is written NAME=BARS");
    trial_end(&trial);
    const char *const outside[] = {"loop", "a=3-9", NULL};
    try_lines(&trial, NULL, outside, false);
    assert_fault(&trial, "--loop a=3-9: the passage has bars 1 to 4");
    trial_end(&trial);
}

static void too_many_of_a_kind(void **state)
{
    struct trial trial;
    char text[8192] = "[loops]\n";
    (void)state;
    for (int i = 0; i < 127; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "l%d = 1-2\n", i);
    strcat(text, "[stage one]\nloop = l126\n");
    try_lines(&trial, text, NULL, false);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.passage.loops, 128);
    trial_end(&trial);
    strcat(text, "[loops]\none more = 1-2\n");
    try_lines(&trial, text, NULL, false);
    assert_fault_says(&trial, "march.passo, line 132: ", "one more", "at most 127 loops");
    trial_end(&trial);
    strcpy(text, "[loops]\n");
    for (int i = 0; i < 65; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "l%d = 1-2\n", i);
    try_lines(&trial, text, NULL, false);
    assert_fault_says(&trial, "march.passo, line 66: ", "65 loops in 1 variants", "64 turns");
    trial_end(&trial);
    strcpy(text, "[loops]\n");
    for (int i = 0; i < 22; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "l%d = 1-2\n", i);
    strcat(text, "[variants]\na = tongued\nb = slurred\nc = octave down\n");
    try_lines(&trial, text, NULL, false);
    assert_fault_says(&trial, "march.passo, line 23: ", "22 loops in 3 variants", "64 turns");
    trial_end(&trial);
    strcpy(text, "[loops]\n");
    for (int i = 0; i < 300; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "l%d = 1-2\n", i);
    try_lines(&trial, text, NULL, false);
    assert_true(trial.faults.faults > 1);
    trial_end(&trial);
}

static void reads_variants(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"variant", "soft=all mp , octave up", NULL};
    try_lines(&trial,
              "[variants]\nlow = octave -1, tongued\nBoth = octave -2\npitch = as written\n"
              "long = dotted, octave down, slurred\nsoft = loud\n",
              options, false);
    assert_no_faults(&trial);
    const struct passo_variant *variant = trial.setup.passage.variant;
    assert_int_equal(trial.setup.passage.variants, 6);
    assert_string_equal(variant[1].name, "low");
    assert_int_equal(variant[1].octave, -1);
    assert_string_equal(variant[1].caption, "tongued");
    assert_string_equal(variant[2].name, "Both");
    assert_int_equal(variant[2].octave, -2);
    assert_string_equal(variant[2].caption, "");
    assert_int_equal(variant[3].octave, 0);
    assert_string_equal(variant[3].caption, "as written");
    assert_int_equal(variant[4].octave, -1);
    assert_string_equal(variant[4].caption, "dotted, slurred");
    assert_string_equal(variant[5].name, "soft");
    assert_int_equal(variant[5].octave, 1);
    assert_string_equal(variant[5].caption, "all mp");
    trial_end(&trial);
    try_lines(&trial, "[variants]\nlow = octave -5\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", "low = octave -5: ", "octave -1");
    trial_end(&trial);
    try_lines(&trial, "[variants]\nlow = octave lots\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", "low = octave lots: ", "octave down");
    trial_end(&trial);
    try_lines(&trial, "[variants]\nas written = tongued\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 2: ", "as written = tongued: ", "choose another");
    trial_end(&trial);
}

static void reads_pickup_and_context(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, "[passage]\nmeter = 6/8\npickup = 1 beat\ncontext = 1-4\n", NULL, false);
    assert_no_faults(&trial);
    assert_ratio(trial.setup.passage.pickup, 3, 8);
    assert_string_equal(trial.setup.passage.context.name, "context");
    assert_place(trial.setup.passage.context.from, 0, 3, 8); /* with the pickup */
    trial_end(&trial);
    try_lines(&trial, "[passage]\nbars = 33-36\ncontext = 29-40\n", NULL, false);
    assert_no_faults(&trial);
    assert_place(trial.setup.passage.context.from, 29, 0, 1);
    assert_place(trial.setup.passage.context.to, 41, 0, 1);
    trial_end(&trial);
    try_lines(&trial, "[passage]\nbars = 33-36\ncontext = 4\n", NULL, false);
    assert_place(trial.setup.passage.context.from, 29, 0, 1);
    assert_place(trial.setup.passage.context.to, 41, 0, 1);
    trial_end(&trial);
    try_lines(&trial, "[passage]\nbars = 33-36\ncontext = 4 before, 2 after\n", NULL, false);
    assert_place(trial.setup.passage.context.from, 29, 0, 1);
    assert_place(trial.setup.passage.context.to, 39, 0, 1);
    trial_end(&trial);
    try_lines(&trial, "[passage]\nbars = 3-6\ncontext = 4\n", NULL, false);
    assert_place(trial.setup.passage.context.from, 1, 0, 1); /* a part begins with bar 1 */
    trial_end(&trial);
    try_lines(&trial, "[passage]\nbars = 33-36\ncontext = 32.3-37.2\n", NULL, false);
    assert_place(trial.setup.passage.context.from, 32, 1, 2);
    assert_place(trial.setup.passage.context.to, 37, 1, 2);
    trial_end(&trial);
    try_lines(&trial, "[passage]\nbars = 33-36\n", NULL, false);
    assert_string_equal(trial.setup.passage.context.name, "whole");
    trial_end(&trial);
}

/* One line that is wrong, its number in the file, and what must be told. */
static void tells_what_is_wrong_with_a_line(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        const char *place;
        const char *read;
        const char *would_do;
    } bad[] = {
        {"[passage]\ntarget = 96\n\n# a note\n\n\nmeter = 4/3\n", "march.passo, line 7: ",
         "meter = 4/3: ", "the lower number is a note value: 1, 2, 4, 8, 16, 32 or 64"},
        {"[passage]\ntarget = 96\nmeter = 17/0\n",
         "march.passo, line 3: ", "meter = 17/0: ", "the lower number is a note value"},
        {"[passage]\ntarget = 96\nmeter = 65/4\n",
         "march.passo, line 3: ", "meter = 65/4: ", "1 to 64"},
        {"[passage]\ntarget = 96\nmeter = 7/8 as 2+2+2\n",
         "march.passo, line 3: ", "meter = 7/8 as 2+2+2: ", "together they make the upper number"},
        {"[passage]\ntarget = 0\n", "march.passo, line 2: ", "target = 0: ", "5 to 1000"},
        {"[passage]\ntarget = -96\n", "march.passo, line 2: ", "target = -96: ", "5 to 1000"},
        {"[passage]\ntarget = 1e9\n", "march.passo, line 2: ", "target = 1e9: ", "5 to 1000"},
        {"[passage]\ntarget = nan\n", "march.passo, line 2: ", "target = nan: ", "5 to 1000"},
        {"[passage]\ntarget = 96\nbars = 0\n",
         "march.passo, line 3: ", "bars = 0: ", "1 to 2000 bars"},
        {"[passage]\ntarget = 96\nbars = -4\n", "march.passo, line 3: ", "bars = -4: ", "2000"},
        {"[passage]\ntarget = 96\nbars = 36-33\n",
         "march.passo, line 3: ", "bars = 36-33: ", "33-36"},
        {"[passage]\ntarget = 96\nbars = 1-9999\n",
         "march.passo, line 3: ", "bars = 1-9999: ", "1 to 2000"},
        {"[passage]\ntarget = 96\nbars = 33.2-36\n",
         "march.passo, line 3: ", "bars = 33.2-36: ", "33-36"},
        {"[passage]\ntarget = 96\nbeat = cow\n",
         "march.passo, line 3: ", "beat = cow: ", "dotted quarter"},
        {"[passage]\ntarget = 96\npickup = whole\n",
         "march.passo, line 3: ", "pickup = whole: ", "shorter than a bar"},
        {"[passage]\ntarget = 96\npickup = 4 beats\n",
         "march.passo, line 3: ", "pickup = 4 beats: ", "shorter than a bar"},
        {"[passage]\ntarget = 96\npickup = some\n",
         "march.passo, line 3: ", "pickup = some: ", "2 beats"},
        {"[passage]\ntarget = 96\ncontext = 2-3\n",
         "march.passo, line 3: ", "context = 2-3: ", "around the passage, bars 1 to 4"},
        {"[passage]\ntarget = 96\ncontext = 1-90000\n",
         "march.passo, line 3: ", "context = 1-90000: ", "at most 2000 bars"},
        {"[passage]\ntarget = 96\ncontext = all\n",
         "march.passo, line 3: ", "context = all: ", "29-40"},
        {"[passage]\ntarget = 96\n[ladder]\nstart = 120\n", "march.passo, line 4: ", "120", "96"},
        {"[passage]\ntarget = 96\ntitle =\n", "march.passo, line 3: ", "title = : ", "say TEXT"},
        {"[passage]\ntarget = 96\n[ladder]\nraise =\n",
         "march.passo, line 4: ", "raise = : ", "as in 2 clean in a row"},
        {"[passage]\ntarget = 96\n[ladder]\nrase = 2 clean\n",
         "march.passo, line 4: ", "rase = 2 clean: ", "did you mean raise?"},
        {"[passage]\ntarget = 96\nmute = 2 of 4\n",
         "march.passo, line 3: ", "mute = 2 of 4: ", "belongs under [pulse]"},
        {"[passage]\ntarget = 96\nlook = 2 of 4\n",
         "march.passo, line 3: ", "look = 2 of 4: ", "not known here"},
        {"[passage]\ntarget = 96\nraise = 2 clean\n",
         "march.passo, line 3: ", "raise = 2 clean: ", "belongs under [ladder]"},
        {"[passage]\ntarget = 96\nloop = a=1-2\n",
         "march.passo, line 3: ", "loop = a=1-2: ", "under [loops]"},
        {"[passage]\ntarget = 96\n[lader]\nraise = 1 clean\ndrop = hold\n",
         "march.passo, line 3: ", "[lader]", "did you mean [ladder]?"},
        {"[passage]\ntarget = 96\n[music]\nraise = 1 clean\n", "march.passo, line 3: ", "[music]",
         "[variants]"},
        {"[passage]\ntarget = 96\n[shape]\nbar 3 = slower\n",
         "march.passo, line 4: ", "bar 3 = slower: ", "tempo 80 %"},
        {"[passage]\ntarget = 96\n[shape]\nbar 3 = meter 3/5\n",
         "march.passo, line 4: ", "bar 3 = meter 3/5: ", "the lower number"},
        /* a beat that the change would have made is no fault of its own */
        {"[passage]\ntarget = 96\n[shape]\nbar 3 = meter 5/5\n[loops]\na = 3.5-4\n",
         "march.passo, line 4: ", "bar 3 = meter 5/5: ", "the lower number"},
        {"[passage]\ntarget = 96\n[shape]\nbar 1 = meter 3/4\n",
         "march.passo, line 4: ", "bar 1 = meter 3/4: ", "first bar"},
        {"[passage]\ntarget = 96\n[shape]\nbar 5 = meter 3/4\n",
         "march.passo, line 4: ", "bar 5 = meter 3/4: ", "bars 1 to 4"},
        {"[passage]\ntarget = 96\n[shape]\nbar 2 = meter 3/4\nbar  2 = meter 2/4\n",
         "march.passo, line 5: ", "meter 2/4: ", "already"},
        {"[passage]\npreset = stedy\ntarget = 96\n", "march.passo, line 2: ", "stedy", "steady"},
        {"[passage]\npreset =\ntarget = 96\n",
         "march.passo, line 2: ", "preset = : ", "nothing is said; say NAME, or leave it out"},
        {"[passage]\npreset = ../steady\ntarget = 96\n", "march.passo, line 2: ", "../steady",
         "there are: "},
        {"target = 96\n", "march.passo, line 1: ", "no section yet", "[passage]"},
        {"[passage]\ntarget = 96\nquite wrong\n", "march.passo, line 3: ", "no =", "key = value"},
        {"[passage]\ntarget = 96\n[ladder\nraise = 1 clean\n", "march.passo, line 3: ", "[ladder]",
         "a section is written"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct trial trial;
        bool other_needed = !strncmp(bad[i].text, "target", 6);
        try_lines(&trial, bad[i].text, NULL, !other_needed);
        assert_fault_says(&trial, bad[i].place, bad[i].read, bad[i].would_do);
        trial_end(&trial);
    }
}

static void tells_everything_at_once(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"steps", "4 bpn", "stepz", "4 bpm", NULL};
    try_lines(&trial,
              "[passage]\nmeter = 4/3\nbars = 0\ntarget = 0\n[ladder]\nraise = often\n"
              "[loops]\na = 3-9\n",
              options, true);
    static const char *const want[] = {
        "--stepz 4 bpm: not known here; did you mean --steps?",
        "march.passo, line 2: meter = 4/3: the lower number is a note value: 1, 2, 4, 8, 16, 32 "
        "or 64",
        "march.passo, line 3: bars = 0: a passage has 1 to 2000 bars: 4, or 33-36",
        "march.passo, line 4: target = 0: a tempo is 5 to 1000 beats a minute, as 96 or 63.7",
        "--steps 4 bpn: steps are 4 bpm, 5 %, 10 points, 8 rungs, marks, quarter of the rest, or "
        "a list of tempi: 60 66 72 80",
        "march.passo, line 6: raise = often: a rung is won by 2 clean in a row, 3 clean of 4, 1 "
        "clean or 5 coins",
    };
    /* The loop is not judged by bars that are themselves wrong. */
    assert_int_equal(trial.faults.faults, sizeof want / sizeof *want);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_string_equal(trial.faults.fault[i], want[i]);
    trial_end(&trial);
}

static void asks_for_the_target(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, "[passage]\nmeter = 3/4\n", NULL, true);
    assert_fault(&trial, "say the target tempo: --target 96, or `target = quarter = 96` in a file");
    trial_end(&trial);
    try_lines(&trial, "[ladder]\ntarget = 96\n", NULL, true); /* a part of the ladder too */
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.target_mbpm, 96000);
    trial_end(&trial);
}

static void the_engine_names_the_line_at_fault(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"start", "120", "target", "96", NULL};
    try_lines(&trial, NULL, options, true);
    assert_fault_says(&trial, "--start: ", "120", "96");
    trial_end(&trial);
    const char *const fine[] = {"steps", "0.001 bpm", "target", "96", NULL};
    try_lines(&trial, NULL, fine, true);
    assert_fault_says(&trial, "--steps: ", "1024", "would do");
    trial_end(&trial);
    const char *const over[] = {"over", "1 at 1000 %", "target", "400", NULL};
    try_lines(&trial, NULL, over, true);
    assert_fault_says(&trial, "--over: ", "1000 %", "5 to 1000");
    trial_end(&trial);
}

static void hostile_text_is_cleaned(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {
        "title", "a\x1B]0;b\x07\xE2\x80\xAE", "meter", "4\x1B[2J/4", "st\x1B[2Jep", "4 bpm", NULL};
    try_lines(&trial, NULL, options, false);
    assert_string_equal(trial.setup.passage.title, "a?]0;b??");
    assert_int_equal(trial.faults.faults, 2);
    for (size_t i = 0; i < 2; i++)
        assert_null(strchr(trial.faults.fault[i], '\x1B'));
    assert_non_null(strstr(trial.faults.fault[0], "--st?[2Jep 4 bpm: not known here"));
    assert_non_null(strstr(trial.faults.fault[1], "--meter 4?[2J/4: a meter is written"));
    trial_end(&trial);
}

static void long_text_is_cut_at_a_character(void **state)
{
    struct trial trial;
    (void)state;
    char title[400] = "x"; /* then two bytes a character: 127 bytes end in the middle of none */
    char caption[400] = "low=";
    char meter[400];
    for (int i = 0; i < 150; i++) {
        strcat(title, "\xC3\xA9");
        strcat(caption, "\xE2\x99\xAD");
        if (strlen(caption) > 390)
            break;
    }
    memset(meter, '4', sizeof meter - 1);
    meter[sizeof meter - 1] = '\0';
    const char *const options[] = {"title", title, "variant", caption, NULL};
    try_lines(&trial, NULL, options, false);
    assert_no_faults(&trial);
    assert_int_equal(strlen(trial.setup.passage.title), 127);
    assert_memory_equal(trial.setup.passage.title, title, 127);
    assert_int_equal(strlen(trial.setup.passage.variant[1].caption), 126);
    assert_memory_equal(trial.setup.passage.variant[1].caption, caption + 4, 126);
    trial_end(&trial);
    const char *const huge[] = {"meter", meter, "key",
                                "E-flat major, then something else with "
                                "very many words",
                                NULL};
    try_lines(&trial, NULL, huge, false);
    assert_fault_says(&trial, "--meter 4444", "444...: ", "the upper number is 1 to 64");
    assert_true(strlen(trial.faults.fault[0]) < 300);
    assert_int_equal(strlen(trial.setup.passage.key), PASSO_NAME_MAX - 1);
    trial_end(&trial);
    char name[80];
    memset(name, 'n', sizeof name);
    strcpy(name + 50, "=1-2");
    const char *const long_name[] = {"loop", name, NULL};
    try_lines(&trial, NULL, long_name, false);
    assert_fault_says(&trial, "--loop nnn", "=1-2", "at most 47 bytes");
    trial_end(&trial);
}

static void options_are_lines_too(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"title",      "March",
                                   "piece",      "Marrowby Suite",
                                   "key",        "E-flat major",
                                   "instrument", "tuba",
                                   "meter",      "2+2+3/8",
                                   "bars",       "33-36",
                                   "target",     "eighth = 240",
                                   "shape",      "bar 35=meter 3/4",
                                   "loop",       "seam = 33.7-34.1",
                                   "variant",    "low=octave -1",
                                   "Steps",      "6 %",
                                   NULL};
    try_lines(&trial, NULL, options, true);
    assert_no_faults(&trial);
    const struct passo_passage *passage = &trial.setup.passage;
    assert_string_equal(passage->title, "March");
    assert_string_equal(passage->piece, "Marrowby Suite");
    assert_string_equal(passage->key, "E-flat major");
    assert_string_equal(passage->instrument, "tuba");
    assert_int_equal(passage->changes, 1);
    assert_int_equal(passage->change[0].bar, 35);
    assert_string_equal(passage->loop[1].name, "seam");
    assert_place(passage->loop[1].from, 33, 3, 4);
    assert_place(passage->loop[1].to, 34, 1, 8);
    assert_int_equal(trial.setup.rule.step_permille, 60);
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_said_is_the_default),
        cmocka_unit_test(the_table_says_the_defaults),
        cmocka_unit_test(every_setting_refuses_nonsense),
        cmocka_unit_test(finds_the_word_that_was_meant),
        cmocka_unit_test(the_later_of_preset_file_option_wins),
        cmocka_unit_test(a_thing_is_said_once),
        cmocka_unit_test(a_preset_named_by_an_option_replaces_the_files),
        cmocka_unit_test(one_beat_unit_for_all),
        cmocka_unit_test(places_loops),
        cmocka_unit_test(refuses_loops),
        cmocka_unit_test(too_many_of_a_kind),
        cmocka_unit_test(reads_variants),
        cmocka_unit_test(reads_pickup_and_context),
        cmocka_unit_test(tells_what_is_wrong_with_a_line),
        cmocka_unit_test(tells_everything_at_once),
        cmocka_unit_test(asks_for_the_target),
        cmocka_unit_test(the_engine_names_the_line_at_fault),
        cmocka_unit_test(hostile_text_is_cleaned),
        cmocka_unit_test(long_text_is_cut_at_a_character),
        cmocka_unit_test(options_are_lines_too),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
