/* Files as they come: byte order marks, line ends, tabs, comments, long lines; everything that is
 * no passage file gets one sentence and never halts or crashes the reader; and 2000 files with
 * random damage. */
#include "setup_tools.h"

#include <fcntl.h>
#include <signal.h>

static void try_bytes(struct trial *trial, const void *bytes, size_t length)
{
    memset(trial, 0, sizeof *trial);
    write_file("march.passo", bytes, length);
    passo_lines_add_file(&trial->lines, "march.passo", &trial->faults);
    passo_setup_resolve(&trial->lines, false, &trial->setup, &trial->faults);
}

#define TRY_BYTES(trial, bytes) try_bytes(trial, bytes, sizeof bytes - 1)

static void line_ends_marks_tabs_and_comments(void **state)
{
    struct trial trial;
    (void)state;
    TRY_BYTES(&trial, "\xEF\xBB\xBF# A march\r\n[passage]\r\n\ttitle\t=\tMarch No. 4 #2\r\n"
                      "   ; a comment\r\n\r\n  target = 96 ; so it is printed\r\n"
                      "\tmeter : 3/4\r\n[ Ladder ]\r\n\tSTART = quarter = 60\r\n\traise=1 clean");
    assert_no_faults(&trial);
    assert_string_equal(trial.setup.passage.title, "March No. 4 #2");
    assert_int_equal(trial.setup.rule.target_mbpm, 96000);
    assert_int_equal(trial.setup.passage.meter.count, 3);
    assert_int_equal(trial.setup.rule.start_mbpm, 60000);
    assert_int_equal(trial.setup.rule.raise_clean, 1);
    trial_end(&trial);
    TRY_BYTES(&trial, "\xEF\xBB\xBF[passage]\ntarget = 96\n");
    assert_no_faults(&trial);
    trial_end(&trial);
    TRY_BYTES(&trial, "");
    assert_no_faults(&trial);
    trial_end(&trial);
    TRY_BYTES(&trial, "\xEF\xBB\xBF");
    assert_no_faults(&trial);
    trial_end(&trial);
}

/* An indented line is a line of its own, never the continuation of the one before. */
static void indented_lines_are_lines(void **state)
{
    struct trial trial;
    (void)state;
    TRY_BYTES(&trial, "[ladder]\nsteps = 4 bpm\n  raise = 3 clean\n  nonsense\n");
    assert_fault(&trial, "march.passo, line 4: there is no = here; a line is written key = value");
    assert_int_equal(trial.setup.rule.raise_clean, 3);
    trial_end(&trial);
}

/* inih's buffer of 200 bytes holds 198 and the line end: what is longer is read all the same. */
static void long_lines_are_never_cut(void **state)
{
    (void)state;
    for (size_t length = 20; length < 1000; length++) {
        struct trial trial;
        char text[1200] = "[passage]\ntarget = 96\n[ladder]\n";
        size_t used = strlen(text);
        size_t blanks = length - strlen("steps =60 66") - 1;
        /* The last number is what a cut would lose. */
        snprintf(text + used, sizeof text - used, "steps =60%*s66 96 ;a comment\nraise = 1 clean\n",
                 (int)blanks, "");
        try_bytes(&trial, text, strlen(text));
        assert_no_faults(&trial);
        assert_int_equal(trial.setup.rule.list_count, 3);
        assert_int_equal(trial.setup.rule.list_mbpm[2], 96000);
        assert_int_equal(trial.setup.rule.raise_clean, 1);
        trial_end(&trial);
    }
}

static void long_comments_and_sections(void **state)
{
    struct trial trial;
    char text[3000] = "# ";
    (void)state;
    memset(text + 2, 'c', 1000);
    strcpy(text + 1002, "\n[passage]\ntarget = 96\n");
    try_bytes(&trial, text, strlen(text));
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.target_mbpm, 96000);
    trial_end(&trial);
    /* Nor does a comment behind a section's name. */
    snprintf(text, sizeof text, "[passage] ; %0*d\ntarget = 96\n[ladder]%*s;\nraise = 1 clean\n",
             500, 0, 500, "");
    try_bytes(&trial, text, strlen(text));
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.target_mbpm, 96000);
    assert_int_equal(trial.setup.rule.raise_clean, 1);
    trial_end(&trial);
    /* inih would cut this to [ladder] and blanks */
    snprintf(text, sizeof text, "[ladder%*sx]\nraise = 1 clean\n", 60, "");
    try_bytes(&trial, text, strlen(text));
    assert_fault_says(&trial, "march.passo, line 1: ", "", "a section is written [passage]");
    assert_int_equal(trial.setup.rule.raise_clean, 2);
    trial_end(&trial);
}

/* A section that cannot be read does not lend its lines to the one before. */
static void a_broken_section_keeps_its_lines_out(void **state)
{
    struct trial trial;
    (void)state;
    TRY_BYTES(&trial, "[ladder]\nraise = 3 clean\n[pulse\nvolume = 10 %\n[ladder]\nlift = 2 -1\n");
    assert_fault_says(&trial, "march.passo, line 3: ", "", "a section is written");
    assert_int_equal(trial.setup.volume_permille, 500);
    assert_int_equal(trial.setup.rule.lifts, 2);
    trial_end(&trial);
    TRY_BYTES(&trial, "[ladder]\nraise = 3 clean\n[pulse ; ]\nvolume = 10 %\n");
    assert_true(trial.faults.faults > 0);
    trial_end(&trial);
}

static void what_is_no_text(void **state)
{
    struct trial trial;
    (void)state;
    TRY_BYTES(&trial, "[passage]\ntarget = 96\ntitle = a\0b\n");
    assert_fault_says(&trial, "march.passo, line 3: ", "zero byte", "plain text");
    trial_end(&trial);
    TRY_BYTES(&trial, "[passage]\ntitle = \xC9tude\n");
    assert_fault_says(&trial, "march.passo, line 2: ", "not UTF-8", "save the file as UTF-8");
    trial_end(&trial);
    TRY_BYTES(&trial, "\xFF\xFE[\0p\0");
    assert_fault_says(&trial, "march.passo, line 1: ", "not UTF-8", "save");
    trial_end(&trial);
}

static void assert_path_fault(const char *path, const char *sentence)
{
    struct trial trial = {0};
    passo_lines_add_file(&trial.lines, path, &trial.faults);
    assert_fault(&trial, sentence);
    assert_int_equal(trial.lines.lines, 0);
    trial_end(&trial);
}

static void what_is_no_file(void **state)
{
    (void)state;
    assert_path_fault("nothing.passo", "nothing.passo: there is no such file");
    assert_path_fault("", "\"\": there is no such file");
    assert_path_fault("no\x1Bthing", "no?thing: there is no such file");
    assert_path_fault("data", "data: this is a folder; name a file in it");
    assert_path_fault("/dev/zero", "/dev/zero: this is a pipe or a device; name an ordinary file");
    /* Nobody writes to it: a reader that waits would wait for ever. */
    assert_int_equal(mkfifo("pipe", 0600), 0);
    alarm(20);
    assert_path_fault("pipe", "pipe: this is a pipe or a device; name an ordinary file");
    alarm(0);
    write_file("secret.passo", "x", 1);
    assert_int_equal(chmod("secret.passo", 0), 0);
    if (access("secret.passo", R_OK)) /* root may read everything */
        assert_path_fault("secret.passo",
                          "secret.passo: this file may not be read; look at its permissions");
    assert_path_fault("secret.passo/x", "secret.passo/x: there is no such file");
}

static void one_mebibyte_is_the_most(void **state)
{
    struct trial trial;
    size_t most = 1u << 20;
    char *bytes = calloc(most + 1, 1);
    (void)state;
    memset(bytes, '\n', most + 1);
    memcpy(bytes, "[passage]\ntarget = 96\n", 22);
    try_bytes(&trial, bytes, most);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.target_mbpm, 96000);
    trial_end(&trial);
    try_bytes(&trial, bytes, most + 1);
    assert_fault_says(&trial, "march.passo: ", "larger than 1 MiB", "a page of text");
    trial_end(&trial);
    /* A page of nonsense: fifty faults and the word that there are more. */
    for (size_t i = 0; i < most; i++)
        bytes[i] = "a=\n"[i % 3];
    memcpy(bytes, "[ladder]\n", 9);
    try_bytes(&trial, bytes, most);
    assert_int_equal(trial.faults.faults, 51);
    assert_string_equal(trial.faults.fault[50], "there are more; set these right first");
    trial_end(&trial);
    free(bytes);
}

static uint64_t chance_state = 7;

/* Reproducible: a linear congruential generator (Knuth's MMIX constants, from memory). */
static uint32_t chance(uint32_t below)
{
    chance_state = chance_state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(chance_state >> 33) % below;
}

static size_t damage(char *text, size_t length, size_t room)
{
    static const char *const grafts[] = {"=",
                                         "[",
                                         "]",
                                         "\n",
                                         "-1",
                                         "99999999999999999",
                                         "nan",
                                         "\t",
                                         ";",
                                         "#",
                                         " %",
                                         "octave",
                                         "\xC3",
                                         "\0x\n",
                                         "0",
                                         ".",
                                         "/",
                                         "below",
                                         "preset = steady\n",
                                         "[loops]\n",
                                         "x = 1.1-4.4\n"};
    for (uint32_t wounds = 1 + chance(3); wounds; wounds--) {
        size_t at = length ? chance((uint32_t)length) : 0;
        const char *graft = grafts[chance(sizeof grafts / sizeof *grafts)];
        size_t graft_length = strlen(graft);
        switch (chance(4)) {
        case 0: /* a random byte */
            if (length)
                text[at] = (char)chance(256);
            break;
        case 1: /* a piece gone */
            if (length) {
                size_t gone = 1 + chance((uint32_t)(length - at < 20 ? length - at : 20));
                memmove(text + at, text + at + gone, length - at - gone);
                length -= gone;
            }
            break;
        case 2: /* a piece put in */
            if (length + graft_length < room) {
                memmove(text + at + graft_length, text + at, length - at);
                memcpy(text + at, graft, graft_length);
                length += graft_length;
            }
            break;
        case 3: /* a piece of it twice */
            graft_length = length ? chance((uint32_t)(length - at)) : 0;
            if (length + graft_length < room) {
                memmove(text + at + graft_length, text + at, length - at);
                length += graft_length;
            }
            break;
        }
    }
    return length;
}

static const char march[] =
    "[passage]\ntitle = March\nmeter = 7/8 as 2+2+3\nbars = 33-42\npickup = 1 beat\n"
    "target = eighth = 240\ncontext = 4 before, 2 after\npreset = octave-pair\n"
    "[shape]\nbar 37 = meter 3/4\nbar 38 = meter 2+2+3/8\n[loops]\nhead = 33-35\n"
    "seam = 34.3-36.1\n[variants]\nlow = octave -1, tongued\n[ladder]\nstart = 60 %\n"
    "steps = quarter of the rest\nraise = 3 clean of 4\ndrop = to start after 3 misses\n"
    "lift = 2 -1\nover = 1 at 105 %\ntired = 3 misses of 5\nstop = 6 passes, 3 min\n"
    "rest = 1.5 x played, at least 6 s\n[pulse]\ncount = eighth below 210\nswing = 2:1\n"
    "silent = sub, beat\nvolume = 40 %\n";

/* With all that stages, chains and written changes can say. */
static const char stages[] =
    "[passage]\nmeter = 6/8\nbars = 1-8\npickup = eighth\ntarget = 96\ntags = slur\n"
    "start-pitch = Eb3\n[shape]\nbar 3 = tempo 80 %, breath 2 beats\nbar 3.2 = a tempo\n"
    "bars 4-5 = to 70 %\nbar 6 = meter 3/4, dotted quarter = quarter, fermata x 2, then 1 beat\n"
    "bar 7 = meter 6/8\nbar 7.1 = silent\n[loops]\nrun = 2.2-3\n"
    "chain = halves, overlapping 2 beats\n[ladder]\n"
    "climbs = tempo\nraise = 5 coins\nplateau = 2 drops, then 2 clean\n"
    "ceiling = Tue 96, 2026-12-01 98, 97\nresume = 1 rung below\n[stage parts]\n"
    "loop = run, second half\ntarget = 90 %\nstop = 6 passes\n[stage ends]\nclimbs = length\n"
    "chain = backward by 1 bar\n[stage edge]\nclimbs = edge within 3 bpm\nsteps = 8 bpm\n"
    "target = higher result\n[stage joined]\nloop = whole\nstart = 80 % of lower result\n"
    "close = thinning\nfinish = 1 in context, 1 at 60 %\n[pulse]\nmute = 2 of 4\n"
    "thin = halves\nplace = 2 and 4\n";

/* A setup without a fault is one that the engine plays. */
static void assert_playable(const struct trial *trial)
{
    const struct passo_course *course = &trial->setup.course;
    struct passo_turn turn[PASSO_TURNS_MAX];
    assert_true(passo_passage_turns(&trial->setup.passage, turn) >= 1);
    assert_true(course->stages >= 1 && course->stages <= PASSO_STAGES_MAX);
    if (!trial->setup.rule.target_mbpm)
        return;
    struct passo_course_state *now = passo_xcalloc(1, sizeof *now);
    passo_course_begin(course, now);
    for (int64_t pass = 1; pass <= 40; pass++) {
        struct passo_plan plan = passo_course_next(course, now);
        if (plan.part == PASSO_PART_DONE)
            break;
        struct passo_pass_shape shape = {.passage = &trial->setup.passage,
                                         .loop = passo_plan_loop(&trial->setup.passage, &plan),
                                         .pulse = &trial->setup.pulse,
                                         .mbpm = plan.mbpm};
        struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                           .mark = chance(4) ? PASSO_MARK_CLEAN : PASSO_MARK_MISS,
                                           .part = plan.part,
                                           .rung = plan.rung,
                                           .turn = plan.turn,
                                           .stage = plan.stage,
                                           .elapsed_ms = pass * 20000,
                                           .played_ms = pass * 10000};
        assert_true(passo_pass_span(&shape).body.num > 0);
        passo_course_apply(course, now, &event);
    }
    free(now);
}

/* The sentence that names no line is for what no reader has understood: there is no such thing. */
static void assert_told_well(const struct trial *trial)
{
    for (size_t i = 0; i < trial->faults.faults; i++) {
        assert_null(strstr(trial->faults.fault[i], "do not fit together"));
        for (const char *at = trial->faults.fault[i]; *at; at++)
            assert_true((unsigned char)*at >= 0x20 && *at != 0x7F);
    }
}

static void damage_often(const char *whole)
{
    size_t good = 0;
    for (int i = 0; i < 2000; i++) {
        struct trial *trial = passo_xcalloc(1, sizeof *trial);
        char text[4096];
        size_t length = strlen(whole);
        memcpy(text, whole, length);
        if (i) /* the first is whole */
            length = damage(text, length, sizeof text);
        if (i % 10 == 9)
            for (size_t j = 0; j < length; j++)
                text[j] = (char)chance(256);
        try_bytes(trial, text, length);
        if (!i)
            assert_no_faults(trial);
        good += !trial->faults.faults;
        if (!trial->faults.faults)
            assert_playable(trial);
        assert_told_well(trial);
        trial_end(trial);
        free(trial);
    }
    print_message("%zu of 2000 files resolved\n", good);
    assert_true(good > 20 && good < 1500); /* the damage is neither nothing nor everything */
}

static void damaged_files_are_read_or_refused(void **state)
{
    (void)state;
    damage_often(march);
    damage_often(stages);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_ends_marks_tabs_and_comments),
        cmocka_unit_test(indented_lines_are_lines),
        cmocka_unit_test(long_lines_are_never_cut),
        cmocka_unit_test(long_comments_and_sections),
        cmocka_unit_test(a_broken_section_keeps_its_lines_out),
        cmocka_unit_test(what_is_no_text),
        cmocka_unit_test(what_is_no_file),
        cmocka_unit_test(one_mebibyte_is_the_most),
        cmocka_unit_test(damaged_files_are_read_or_refused),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
