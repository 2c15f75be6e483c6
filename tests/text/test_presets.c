/* The presets that ship: each resolves, says when to use it, lets the lips rest and ends by
 * itself; and the search for files among the player's own and the shipped ones. */
#include "setup_tools.h"

#include <sys/stat.h>

/* What must hold of every stage: it lets the lips rest and is no trap. Returns its rungs. */
static size_t assert_good_stage(const struct passo_stage *stage)
{
    struct passo_ladder ladder;
    assert_true(stage->rule.rest_permille >= 1000);
    assert_true(stage->rule.rest_least_ms >= 6000);
    assert_true(stage->rule.stop_ms > 0 && stage->rule.stop_ms <= 25 * 60000);
    assert_int_equal(passo_ladder_init(&ladder, &stage->rule, stage->turns, NULL, 0), PASSO_OK);
    assert_null(passo_ladder_advice(&ladder));
    return ladder.rungs;
}

static void every_preset_resolves(void **state)
{
    char **names = NULL;
    (void)state;
    size_t count = passo_find_all("presets", &names);
    assert_true(count >= 20);
    for (size_t i = 0; i < count; i++) {
        struct trial trial = {0};
        char summary[256];
        size_t rungs = 0;
        passo_lines_add_preset(&trial.lines, names[i], &trial.faults);
        passo_lines_add_option(&trial.lines, "target", "96", &trial.faults);
        passo_setup_resolve(&trial.lines, true, &trial.setup, &trial.faults);
        if (trial.faults.faults)
            print_error("in %s\n", names[i]);
        assert_no_faults(&trial);
        for (size_t j = 0; j < trial.setup.course.stages; j++) {
            size_t more = assert_good_stage(&trial.setup.course.stage[j]);
            rungs = more > rungs ? more : rungs;
        }
        assert_true(rungs >= 3);
        passo_preset_summary(names[i], summary, sizeof summary);
        assert_true(strlen(summary) > 30);
        assert_int_equal(summary[strlen(summary) - 1], '.');
        trial_end(&trial);
        free(names[i]);
    }
    free(names);
}

static void presets_are_what_their_names_say(void **state)
{
    (void)state;
    struct passo_rule usual = passo_rule_default();
    usual.target_mbpm = 96000;
    static const char *const same[] = {"steady"};
    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        struct trial trial;
        const char *const options[] = {"preset", same[i], "target", "96", NULL};
        try_lines(&trial, NULL, options, true);
        assert_rules_equal(&trial.setup.rule, &usual);
        trial_end(&trial);
    }
    struct trial trial;
    const char *const pair[] = {"preset", "octave-pair", "target", "96", NULL};
    try_lines(&trial, NULL, pair, true);
    assert_int_equal(trial.setup.passage.variants, 3);
    assert_int_equal(trial.setup.passage.variant[1].octave, -1);
    assert_int_equal(trial.setup.passage.variant[2].octave, 0);
    assert_int_equal(trial.setup.rule.miss, PASSO_MISS_FIRST_TURN);
    assert_int_equal(trial.setup.rule.drop_counts, PASSO_DROP_COUNTS_IN_A_ROW_HERE);
    trial_end(&trial);
    const char *const visit[] = {"preset", "short-visit", "target", "96", NULL};
    try_lines(&trial, NULL, visit, true);
    assert_int_equal(trial.setup.rule.stop_passes, 6);
    assert_int_equal(trial.setup.rule.stop_ms, 180000);
    trial_end(&trial);
}

/* A preset's stages keep their targets when a file says the passage's. */
static void halves_join(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, "[passage]\npreset = halves\nbars = 8\ntarget = quarter = 120\n", NULL, true);
    assert_no_faults(&trial);
    const struct passo_course *course = &trial.setup.course;
    assert_int_equal(course->stages, 4);
    assert_int_equal(course->stage[0].rule.target_mbpm, 108000);
    assert_int_equal(course->stage[1].rule.target_mbpm, 108000);
    assert_int_equal(course->stage[2].target.look, PASSO_LOOK_LOWER);
    assert_int_equal(course->stage[3].rule.target_mbpm, 120000);
    assert_int_equal(course->stage[3].start.look, PASSO_LOOK_LOWER);
    assert_int_equal(course->stage[3].turn[0].loop, 0);
    trial_end(&trial);
    const char *const edge[] = {"preset", "find-the-edge", "target", "96", NULL};
    try_lines(&trial, NULL, edge, true);
    assert_int_equal(trial.setup.course.stages, 2);
    assert_int_equal(trial.setup.course.stage[0].rule.climbs, PASSO_CLIMBS_EDGE);
    assert_int_equal(trial.setup.course.stage[0].rule.stage_passes, 6);
    assert_int_equal(trial.setup.course.stage[1].rule.climbs, PASSO_CLIMBS_TEMPO);
    assert_int_equal(trial.setup.course.stage[1].start.permille, 850);
    trial_end(&trial);
    const char *const end[] = {"preset", "from-the-end", "target", "96", "bars", "2", NULL};
    try_lines(&trial, NULL, end, true);
    assert_int_equal(trial.setup.course.stage[0].rule.lengths, 8);
    trial_end(&trial);
}

static void a_preset_has_no_passage(void **state)
{
    struct trial trial;
    (void)state;
    mkdir("config", 0700);
    mkdir("config/passo", 0700);
    mkdir("config/passo/presets", 0700);
    const char *text = "# Mine.\n[ladder]\nraise = 5 clean\n[loops]\na = 1-2\n";
    write_file("config/passo/presets/mine.passo", text, strlen(text));
    const char *const options[] = {"preset", "mine", NULL};
    try_lines(&trial, NULL, options, false);
    assert_int_equal(trial.faults.faults, 1);
    assert_non_null(
        strstr(trial.faults.fault[0],
               "config/passo/presets/mine.passo, line 5: a = 1-2: a preset has no loops"));
    trial_end(&trial);
    text = "# Mine.\n[shape]\nbar 2 = silent\nbar 3 = silent\n";
    write_file("config/passo/presets/mine.passo", text, strlen(text));
    try_lines(&trial, NULL, options, false);
    assert_int_equal(trial.faults.faults, 1);
    assert_non_null(strstr(trial.faults.fault[0],
                           "config/passo/presets/mine.passo, line 2: a preset has no [shape]"));
    trial_end(&trial);
    unlink("config/passo/presets/mine.passo");
}

static void the_players_own_come_first(void **state)
{
    struct trial trial;
    char path[PASSO_PATH_BYTES];
    char summary[64];
    char **names = NULL;
    (void)state;
    mkdir("config", 0700);
    mkdir("config/passo", 0700);
    mkdir("config/passo/presets", 0700);
    size_t before = passo_find_all("presets", &names);
    for (size_t i = 0; i < before; i++)
        free(names[i]);
    free(names);
    const char *text = "\xEF\xBB\xBF\n ;; My\tway.\r\n[ladder]\nraise = 7 clean\n";
    write_file("config/passo/presets/steady.passo", text, strlen(text));
    write_file("config/passo/presets/.hidden.passo", text, strlen(text));
    write_file("config/passo/presets/notes.txt", text, strlen(text));
    assert_true(passo_find("presets", "steady", path));
    assert_non_null(strstr(path, "/config/passo/presets/steady.passo"));
    assert_string_equal(passo_preset_summary("steady", summary, sizeof summary), "My?way.");
    const char *const options[] = {"preset", "steady", NULL};
    try_lines(&trial, NULL, options, false);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.raise_clean, 7);
    trial_end(&trial);
    size_t after = passo_find_all("presets", &names);
    assert_int_equal(after, before); /* each name once; no notes, nothing hidden */
    for (size_t i = 1; i < after; i++)
        assert_true(strcmp(names[i - 1], names[i]) < 0);
    for (size_t i = 0; i < after; i++)
        free(names[i]);
    free(names);
    unlink("config/passo/presets/steady.passo");
}

static void finds_no_paths(void **state)
{
    char path[PASSO_PATH_BYTES];
    char name[PASSO_PATH_BYTES];
    char summary[8] = "x";
    (void)state;
    assert_true(passo_find("presets", "steady", path));
    assert_true(passo_find("presets", "steady.passo", path));
    static const char *const bad[] = {
        "", ".", "..", ".hidden", "../presets/steady", "/etc/passwd", "a/b", "no such"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_false(passo_find("presets", bad[i], path));
    memset(name, 'n', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    assert_false(passo_find("presets", name, path));
    assert_string_equal(passo_preset_summary("no such", summary, sizeof summary), "");
}

/* A click set is a folder, found by its name; a relative XDG folder is to be ignored. */
static void finds_click_sets(void **state)
{
    char path[PASSO_PATH_BYTES];
    char **names = NULL;
    bool listed = false;
    (void)state;
    mkdir("data/passo/sounds", 0700);
    mkdir("data/passo/sounds/marrowby wood", 0700);
    assert_true(passo_find("sounds", "marrowby wood", path));
    size_t count = passo_find_all("sounds", &names);
    for (size_t i = 0; i < count; i++) {
        listed = listed || !strcmp(names[i], "marrowby wood");
        free(names[i]);
    }
    free(names);
    assert_true(listed);
    char *kept = strdup(getenv("XDG_DATA_HOME"));
    setenv("XDG_DATA_HOME", "data", 1);
    assert_false(passo_find("sounds", "marrowby wood", path));
    setenv("XDG_DATA_HOME", kept, 1);
    free(kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_preset_resolves),
        cmocka_unit_test(presets_are_what_their_names_say),
        cmocka_unit_test(halves_join),
        cmocka_unit_test(a_preset_has_no_passage),
        cmocka_unit_test(the_players_own_come_first),
        cmocka_unit_test(finds_no_paths),
        cmocka_unit_test(finds_click_sets),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
