/* The lines of what is tuned to, in every form with what it sets, written out by hand; and what a
 * variant's words are for the notes. */
#include "write_tools.h"

#include "text/routine.h"

static const char keyed[] = "[passage]\nkey = A-flat major, F minor\n";

static struct passo_intonation intonation_of(const char *text, const char *key, const char *value)
{
    const char *const options[] = {key, value, NULL};
    struct trial *trial = try_new(text, key ? options : NULL);
    const struct passo_intonation intonation = trial->setup.intonation;
    assert_reads_back(trial, true);
    free_trial(trial);
    return intonation;
}

static void nothing_said_is_the_default(void **state)
{
    (void)state;
    const struct passo_intonation usual = intonation_of(NULL, NULL, NULL);
    assert_true(usual.a4_hz == 440.0);
    assert_int_equal(usual.transposition, 0);
    assert_false(usual.keyed);
    assert_int_equal(usual.drone, PASSO_DRONE_NONE);
    assert_false(usual.pure_fifth);
    assert_false(usual.starts);
    assert_int_equal(usual.hear, PASSO_HEAR_OFF);
}

static void reads_the_reference(void **state)
{
    static const struct {
        const char *text;
        double hz;
    } forms[] = {{"442", 442},      {"442 Hz", 442},   {"442Hz", 442},     {"A = 442", 442},
                 {"a=442 hz", 442}, {"A4 = 443", 443}, {"A 4 = 443", 443}, {"415", 415},
                 {"466", 466},      {"441.5", 441.5},  {"440", 440},       {"442.125 Hz", 442.125}};
    static const char *const bad[] = {
        "414.999", "466.001", "0",        "-440", "440 kHz", "A",       "A =",
        "A 442",   "B = 442", "A5 = 442", "nan",  "1e3",     "440 442", "99999999999999999999"};
    (void)state;
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        assert_true(intonation_of(NULL, "reference", forms[i].text).a4_hz == forms[i].hz);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_bad("pitch", "reference", bad[i], "415 to 466 Hz");
}

static void reads_the_drone(void **state)
{
    struct trial trial;
    (void)state;
    assert_int_equal(intonation_of(keyed, "drone", "root").drone, PASSO_DRONE_ROOT);
    assert_int_equal(intonation_of(keyed, "drone", "Root And  Fifth").drone,
                     PASSO_DRONE_ROOT_AND_FIFTH);
    assert_int_equal(intonation_of(keyed, "drone", "none").drone, PASSO_DRONE_NONE);
    static const char *const notes[] = {"B-flat 2", "Bb2", "b flat 2"};
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++) {
        const struct passo_intonation named = intonation_of(NULL, "drone", notes[i]);
        assert_int_equal(named.drone, PASSO_DRONE_NOTE);
        assert_int_equal(named.note.fifths, -2);
        assert_int_equal(named.note.octave, 2);
    }
    assert_true(intonation_of(NULL, "fifth", "pure").pure_fifth);
    assert_false(intonation_of(NULL, "fifth", "equal").pure_fifth);
    assert_bad("pitch", "drone", "fifth", "root, root and fifth");
    assert_bad("pitch", "drone", "B-flat", "a note with its octave");
    assert_bad("pitch", "drone", "C 10", "a note with its octave");
    assert_bad("pitch", "fifth", "just", "equal, as a keyboard has it, or pure");
    assert_bad("pitch", "drone", "root", "no key is said; say it: key = E-flat major");
    assert_bad("pitch", "drone", "root and fifth", "no key is said; say it: key = E-flat major");
    try_lines(&trial, "[passage]\nkey = by ear\n[pitch]\ndrone = root\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 4: ", "drone = root: ",
                      "what key = says is no key; E-flat major would do");
    trial_end(&trial);
    const char *const options[] = {"drone", "root", NULL};
    try_lines(&trial, NULL, options, false);
    assert_fault_says(&trial, "--drone", "root", "no key is said");
    trial_end(&trial);
}

static void the_first_key_counts(void **state)
{
    (void)state;
    const struct passo_intonation flat = intonation_of(keyed, NULL, NULL);
    assert_true(flat.keyed);
    assert_int_equal(flat.key.tonic, -4);
    assert_int_equal(flat.key.mode, PASSO_MODE_MAJOR);
    const struct passo_intonation minor = intonation_of(NULL, "key", "c sharp minor");
    assert_int_equal(minor.key.tonic, 7);
    assert_int_equal(minor.key.mode, PASSO_MODE_MINOR);
    /* What is no key is text all the same. */
    assert_false(intonation_of(NULL, "key", "by ear").keyed);
}

static void hearing_needs_notes(void **state)
{
    struct trial trial;
    (void)state;
    assert_bad("pitch", "hear", "sometimes", "before each new rung, every pass, or off");
    assert_bad("pitch", "hear", "before each new rung", "there are no notes to hear; say them");
    assert_bad("pitch", "hear", "every pass", "there are no notes to hear; say them");
    try_lines(&trial, "[passage]\ntarget = 96\n[pitch]\nhear = off\n", NULL, true);
    assert_no_faults(&trial);
    trial_end(&trial);
}

static void the_instrument_or_the_line_transposes(void **state)
{
    (void)state;
    assert_int_equal(intonation_of(NULL, "instrument", "B-flat trumpet").transposition, -2);
    assert_int_equal(intonation_of(NULL, "instrument", "tuba").transposition, 0);
    assert_int_equal(intonation_of(NULL, "instrument", "kazoo").transposition, 0);
    assert_int_equal(intonation_of(NULL, "transposition", "-9").transposition, -9);
    assert_int_equal(intonation_of(NULL, "transposition", "+3 semitones").transposition, 3);
    assert_int_equal(intonation_of(NULL, "transposition", "1 semitone").transposition, 1);
    assert_int_equal(intonation_of(NULL, "transposition", "-48").transposition, -48);
    /* In whatever order they stand. */
    const char one[] = "[passage]\ntransposition = 0\ninstrument = B-flat trumpet\n";
    const char other[] = "[passage]\ninstrument = B-flat trumpet\ntransposition = -14\n";
    assert_int_equal(intonation_of(one, NULL, NULL).transposition, 0);
    assert_int_equal(intonation_of(other, NULL, NULL).transposition, -14);
    static const char *const bad[] = {"49",       "-49", "a tone",       "2.5",
                                      "-2 tones", "- 2", "1000000000000"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_bad("passage", "transposition", bad[i], "from -48 to 48");
}

static void an_instrument_may_be_unknown(void **state)
{
    (void)state;
    assert_false(intonation_of(NULL, NULL, NULL).unknown_instrument);
    assert_true(intonation_of(NULL, "instrument", "kazoo").unknown_instrument);
    assert_true(intonation_of(NULL, "instrument", "horn in B-flat").unknown_instrument);
    /* these sound as written, or are known not to */
    assert_false(intonation_of(NULL, "instrument", "tuba").unknown_instrument);
    assert_false(intonation_of(NULL, "instrument", "C trumpet").unknown_instrument);
    assert_false(intonation_of(NULL, "instrument", "B-flat trumpet").unknown_instrument);
    const char said[] = "[passage]\ntransposition = 0\ninstrument = kazoo\n";
    assert_false(intonation_of(said, NULL, NULL).unknown_instrument);
}

static void the_first_note_is_a_pitch(void **state)
{
    (void)state;
    const struct passo_intonation starts = intonation_of(NULL, "start-pitch", "E-flat 3");
    assert_true(starts.starts);
    assert_int_equal(starts.start.fifths, -3);
    assert_int_equal(starts.start.octave, 3);
}

static void a_preset_may_tune(void **state)
{
    (void)state;
    assert_int_equal(mkdir("config", 0700), 0);
    assert_int_equal(mkdir("config/passo", 0700), 0);
    assert_int_equal(mkdir("config/passo/presets", 0700), 0);
    const char text[] = "[pitch]\nreference = 442\nfifth = pure\n";
    write_file("config/passo/presets/tuned.passo", text, sizeof text - 1);
    const struct passo_intonation tuned = intonation_of(NULL, "preset", "tuned");
    assert_true(tuned.a4_hz == 442.0);
    assert_true(tuned.pure_fifth);
}

static struct passo_variant variant_of(const char *how)
{
    char value[256];
    snprintf(value, sizeof value, "way=%s", how);
    const char *const options[] = {"variant", value, NULL};
    struct trial *trial = try_new(NULL, options);
    const struct passo_variant variant = trial->setup.passage.variant[1];
    assert_reads_back(trial, true);
    free_trial(trial);
    return variant;
}

static void a_variant_says_how_the_notes_are_played(void **state)
{
    enum { W = 0, D = PASSO_RHYTHM_DOTTED, R = PASSO_RHYTHM_REVERSED, H = PASSO_RHYTHM_HELD };
    static const struct {
        const char *how;
        enum passo_touch touch;
        int rhythm;
        int group;
        int octave;
    } ways[] = {
        {"tongued", PASSO_TOUCH_TONGUED, W, 0, 0},
        {"all tongued", PASSO_TOUCH_TONGUED, W, 0, 0},
        {"Slurred", PASSO_TOUCH_SLURRED, W, 0, 0},
        {"all  slurred", PASSO_TOUCH_SLURRED, W, 0, 0},
        {"staccato", PASSO_TOUCH_STACCATO, W, 0, 0},
        {"octave -1, slurred", PASSO_TOUCH_SLURRED, W, 0, -1},
        {"dotted", PASSO_TOUCH_WRITTEN, D, 0, 0},
        {"dotted rhythm", PASSO_TOUCH_WRITTEN, D, 0, 0},
        {"long-short", PASSO_TOUCH_WRITTEN, D, 0, 0},
        {"reversed dotted", PASSO_TOUCH_WRITTEN, R, 0, 0},
        {"short-long", PASSO_TOUCH_WRITTEN, R, 0, 0},
        {"groups of 4", PASSO_TOUCH_WRITTEN, H, 4, 0},
        {"held first of 3", PASSO_TOUCH_WRITTEN, H, 3, 0},
        {"groups of 2", PASSO_TOUCH_WRITTEN, H, 2, 0},
        {"groups of 8", PASSO_TOUCH_WRITTEN, H, 8, 0},
        {"octave up, all tongued, groups of 4", PASSO_TOUCH_TONGUED, H, 4, 1},
        /* Only words. */
        {"as written", PASSO_TOUCH_WRITTEN, W, 0, 0},
        {"groups of 9", PASSO_TOUCH_WRITTEN, W, 0, 0},
        {"groups of 1", PASSO_TOUCH_WRITTEN, W, 0, 0},
        {"groups of 260", PASSO_TOUCH_WRITTEN, W, 0, 0},
        {"slurred in twos", PASSO_TOUCH_WRITTEN, W, 0, 0},
        {"not slurred", PASSO_TOUCH_WRITTEN, W, 0, 0},
        {"soft doo", PASSO_TOUCH_WRITTEN, W, 0, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        const struct passo_variant variant = variant_of(ways[i].how);
        if (variant.touch != ways[i].touch || variant.rhythm != ways[i].rhythm)
            print_error("in %s\n", ways[i].how);
        assert_int_equal(variant.touch, ways[i].touch);
        assert_int_equal(variant.rhythm, ways[i].rhythm);
        assert_int_equal(variant.group, ways[i].group);
        assert_int_equal(variant.octave, ways[i].octave);
    }
    /* The words stay as they are said. */
    assert_string_equal(variant_of("octave -1, all slurred, long-short").caption,
                        "all slurred, long-short");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_said_is_the_default),
        cmocka_unit_test(reads_the_reference),
        cmocka_unit_test(reads_the_drone),
        cmocka_unit_test(the_first_key_counts),
        cmocka_unit_test(hearing_needs_notes),
        cmocka_unit_test(the_instrument_or_the_line_transposes),
        cmocka_unit_test(an_instrument_may_be_unknown),
        cmocka_unit_test(the_first_note_is_a_pitch),
        cmocka_unit_test(a_preset_may_tune),
        cmocka_unit_test(a_variant_says_how_the_notes_are_played),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
