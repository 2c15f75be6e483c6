/* The lines of [passage], [ladder] and [pulse] that say what the rungs are, what depends on the day
 * and how the pulse thins out: value by value, and what a bad one is told. What each sets is
 * written out by hand from design.md section 5 and the headers. */
#include "setup_tools.h"

static void reads_what_is_climbed(void **state)
{
    (void)state;
    RULE("climbs = tempo", want.climbs = PASSO_CLIMBS_TEMPO; want.edge_within_mbpm = 4000);
    RULE("climbs = mixed", want.climbs = PASSO_CLIMBS_MIXED; want.edge_within_mbpm = 4000);
    RULE("climbs = edge", want.climbs = PASSO_CLIMBS_EDGE; want.edge_within_mbpm = 4000);
    RULE("climbs = edge within 2.5 bpm", want.climbs = PASSO_CLIMBS_EDGE;
         want.edge_within_mbpm = 2500);
    assert_bad("ladder", "climbs", "mountains", "edge within 4 bpm");
    /* What the program makes for a day is no climb that a file could ask for. */
    assert_bad("ladder", "climbs", "check", "edge within 4 bpm");
    assert_bad("ladder", "climbs", "block", "edge within 4 bpm");
    assert_bad("ladder", "climbs", "edge within 0 bpm", "more than 0");
    assert_bad("ladder", "climbs", "edge within 4", "edge within 4 bpm");
    assert_bad("ladder", "climbs", "length", "chain = backward by 1 bar");
}

static void reads_coins_and_drops(void **state)
{
    (void)state;
    RULE("raise = 5 coins", want.raise_clean = 5; want.raise_coins = true);
    RULE("raise = 1 coin", want.raise_clean = 1; want.raise_coins = true);
    RULE("drop = 1 rung after 2 misses in a row here",
         want.drop_counts = PASSO_DROP_COUNTS_IN_A_ROW_HERE);
    RULE("drop = to start after 3 misses in a row here", want.drop = PASSO_DROP_TO_START;
         want.drop_misses = 3; want.drop_counts = PASSO_DROP_COUNTS_IN_A_ROW_HERE);
    assert_bad("ladder", "raise", "0 coins", "5 coins");
    assert_bad("ladder", "raise", "256 coins", "5 coins");
    assert_bad("ladder", "drop", "1 rung after 2 misses in a line here", "in a row here");
    assert_bad("ladder", "drop", "after 2 misses", "1 rung after 2 misses");
}

static void reads_how_it_ends(void **state)
{
    (void)state;
    RULE("close = thinning", want.close_thins = true);
    RULE("plateau = 2 drops, then 2 clean", want.plateau_clean = 2);
    RULE("plateau = 1 drop,then 3 clean", want.plateau_drops = 1; want.plateau_clean = 3);
    RULE("tired = 3 misses of 5, 15 min played", want.tired_played_ms = 900000);
    RULE("tired = 90 s played", want.tired_misses = 0; want.tired_played_ms = 90000);
    RULE("finish = 1 in context, 1 at 60 %", want.put_away_passes = 1;
         want.put_away_permille = 600);
    RULE("finish = 2 at 62.5 %", want.finish_passes = 0; want.put_away_passes = 2;
         want.put_away_permille = 625);
    assert_bad("ladder", "close", "thin", "thinning");
    assert_bad("ladder", "plateau", "2 drops, 2 clean", "2 drops, then 2 clean");
    assert_bad("ladder", "plateau", "2 drops, then 0 clean", "2 drops, then 2 clean");
    assert_bad("ladder", "tired", "15 min", "15 min played");
    assert_bad("ladder", "tired", "0 min played", "15 min played");
    assert_bad("ladder", "tired", "3 misses of 5,", "15 min played");
    assert_bad("ladder", "finish", "1 at 60", "1 at 60 %");
    assert_bad("ladder", "finish", "1 in context, 0 at 60 %", "put away slow");
}

static void reads_where_the_next_day_opens(void **state)
{
    (void)state;
    RULE("resume = 85 %", want.resume_permille = 850; want.resume_rungs = 0);
    RULE("resume = 72.5 %", want.resume_permille = 725);
    RULE("resume = 1 rung below", want.resume_permille = 0; want.resume_rungs = 1);
    RULE("resume = 2 rungs below", want.resume_permille = 0; want.resume_rungs = 2);
    RULE("resume = start", want.resume_permille = 0);
    assert_bad("ladder", "resume", "0 %", "85 %");
    assert_bad("ladder", "resume", "101 %", "85 %");
    assert_bad("ladder", "resume", "0 rungs below", "1 rung below");
    assert_bad("ladder", "resume", "yesterday", "start");
}

static int32_t ceiling_on(const char *value, int32_t today)
{
    struct trial trial = {0};
    trial.lines.today_yyyymmdd = today;
    passo_lines_add_option(&trial.lines, "target", "96", &trial.faults);
    passo_lines_add_option(&trial.lines, "ceiling", value, &trial.faults);
    passo_setup_resolve(&trial.lines, true, &trial.setup, &trial.faults);
    assert_no_faults(&trial);
    int32_t ceiling = trial.setup.rule.ceiling_mbpm;
    trial_end(&trial);
    return ceiling;
}

/* Weekdays from the calendar: 2026-11-24 is a Tuesday, 2024-02-29 a Thursday, 2000-01-01 a
 * Saturday. */
static void reads_the_ceiling_of_today(void **state)
{
    (void)state;
    static const char dates[] = "2026-12-01 80, 2026-12-08 quarter = 88.5";
    static const char days[] = "Tue 80, thursday 84, 2026-11-24 90, Sat 70";
    assert_int_equal(ceiling_on("none", 20261124), 0);
    assert_int_equal(ceiling_on("80", 0), 80000);
    assert_int_equal(ceiling_on("quarter = 80", 20261124), 80000);
    assert_int_equal(ceiling_on(dates, 20261201), 80000);
    assert_int_equal(ceiling_on(dates, 20261208), 88500);
    assert_int_equal(ceiling_on(dates, 20261202), 0);
    assert_int_equal(ceiling_on(dates, 0), 0);
    assert_int_equal(ceiling_on(days, 20261117), 80000);
    assert_int_equal(ceiling_on(days, 20261124), 90000); /* its date is nearer than its day */
    assert_int_equal(ceiling_on(days, 20240229), 84000);
    assert_int_equal(ceiling_on(days, 20000101), 70000);
    assert_int_equal(ceiling_on(days, 20261125), 0);
    assert_int_equal(ceiling_on(days, 0), 0);
    assert_int_equal(ceiling_on("84, Wed 76", 20261125), 76000);
    assert_int_equal(ceiling_on("84, Wed 76", 20261126), 84000);
    assert_bad("ladder", "ceiling", "high", "Tue 80, Thu 84");
    assert_bad("ladder", "ceiling", "Tue", "Tue 80, Thu 84");
    assert_bad("ladder", "ceiling", "Tuefoo 80", "Tue 80, Thu 84");
    assert_bad("ladder", "ceiling", "2026-02-29 80", "no such day");
    assert_bad("ladder", "ceiling", "2026-13-01 80", "no such day");
    assert_bad("ladder", "ceiling", "2026-1 80", "no such day");
    assert_bad("ladder", "ceiling", "Tue 0", "5 to 1000");
    assert_bad("ladder", "ceiling", "80,", "or none");
}

/* Every preset put in later keeps the day. */
static void a_preset_keeps_the_day(void **state)
{
    struct trial trial = {0};
    (void)state;
    trial.lines.today_yyyymmdd = 20261124;
    passo_lines_add_preset(&trial.lines, "steady", &trial.faults);
    passo_lines_add_option(&trial.lines, "ceiling", "Tue 80", &trial.faults);
    passo_lines_add_preset(&trial.lines, "patient", &trial.faults);
    passo_lines_add_option(&trial.lines, "target", "96", &trial.faults);
    passo_setup_resolve(&trial.lines, true, &trial.setup, &trial.faults);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.rule.ceiling_mbpm, 80000);
    trial_end(&trial);
}

#define PULSE_OF(line, field, value)                                                               \
    do {                                                                                           \
        struct trial trial;                                                                        \
        try_lines(&trial, "[pulse]\n" line "\n", NULL, false);                                     \
        assert_no_faults(&trial);                                                                  \
        assert_int_equal(trial.setup.pulse.field, value);                                          \
        trial_end(&trial);                                                                         \
    } while (0)

static void reads_how_the_pulse_thins_out(void **state)
{
    (void)state;
    PULSE_OF("mute = none", mute_of, 0);
    PULSE_OF("mute = 2 of 4", mute_bars, 2);
    PULSE_OF("mute = 2 of 4", mute_of, 4);
    PULSE_OF("mute = 63 bars of 64", mute_bars, 63);
    PULSE_OF("mute = 30 % of bars", mute_permille, 300);
    PULSE_OF("mute = 30 % of the bars", mute_of, 0);
    PULSE_OF("thin = none", thin, PASSO_THIN_NONE);
    PULSE_OF("thin = halves", thin, PASSO_THIN_HALVES);
    PULSE_OF("thin = bars", thin, PASSO_THIN_BARS);
    PULSE_OF("thin = two bars", thin, PASSO_THIN_TWO_BARS);
    PULSE_OF("thin = count-in only", thin, PASSO_THIN_COUNT_IN);
    PULSE_OF("place = on the beat", place, PASSO_PLACE_ON_BEAT);
    PULSE_OF("place = off the beat", place, PASSO_PLACE_OFF_BEAT);
    PULSE_OF("place = 2 and 4", place, PASSO_PLACE_BACK_BEAT);
    assert_bad("pulse", "mute", "some", "2 of 4");
    assert_bad("pulse", "mute", "4 of 4", "some bars must sound");
    assert_bad("pulse", "mute", "0 of 4", "some bars must sound");
    assert_bad("pulse", "mute", "0 of 0", "some bars must sound");
    assert_bad("pulse", "mute", "2 of 65", "at most 64");
    assert_bad("pulse", "mute", "100 % of bars", "some bars must sound");
    assert_bad("pulse", "mute", "30 %", "30 % of bars");
    assert_bad("pulse", "thin", "a little", "two bars");
    assert_bad("pulse", "place", "1 and 3", "2 and 4");
}

static void assert_pitch(const char *value, const char *want)
{
    struct trial trial;
    const char *const options[] = {"start-pitch", value, NULL};
    try_lines(&trial, NULL, options, false);
    assert_no_faults(&trial);
    assert_string_equal(trial.setup.passage.start_pitch, want);
    trial_end(&trial);
}

static void reads_tags_and_the_first_note(void **state)
{
    struct trial trial;
    (void)state;
    try_lines(&trial, "[passage]\ntags =  chromatic ,low register,, slur\x1B\n", NULL, false);
    assert_no_faults(&trial);
    assert_string_equal(trial.setup.passage.tags, "chromatic, low register, slur?");
    trial_end(&trial);
    assert_bad("passage", "tags", ", ,", "chromatic, low register");
    assert_pitch("E-flat 3", "E-flat 3");
    assert_pitch("e flat 3", "E-flat 3");
    assert_pitch("Eb3", "E-flat 3");
    assert_pitch("bb1", "B-flat 1");
    assert_pitch("b 1", "B 1");
    assert_pitch("F#2", "F-sharp 2");
    assert_pitch("F sharp 2", "F-sharp 2");
    assert_pitch("C\xE2\x99\xAF"
                 "9",
                 "C-sharp 9");
    assert_pitch("A\xE2\x99\xAD 0", "A-flat 0");
    assert_pitch("C 4", "C 4");
    assert_pitch("g5", "G 5");
    assert_pitch("Ebb3", "E-double-flat 3");
    assert_pitch("C -1", "C -1");
    static const char *const bad[] = {"H 3", "E-flat", "3", "E flat 3.5", "E-flat 3 4", "C#b 4"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_bad("passage", "start-pitch", bad[i], "E-flat 3, Eb3, F#2, C 4");
    assert_bad("passage", "start-pitch", "E-flat 10", "octaves are -1 to 9");
    assert_bad("passage", "start-pitch", "C -2", "octaves are -1 to 9");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_what_is_climbed),
        cmocka_unit_test(reads_coins_and_drops),
        cmocka_unit_test(reads_how_it_ends),
        cmocka_unit_test(reads_where_the_next_day_opens),
        cmocka_unit_test(reads_the_ceiling_of_today),
        cmocka_unit_test(a_preset_keeps_the_day),
        cmocka_unit_test(reads_how_the_pulse_thins_out),
        cmocka_unit_test(reads_tags_and_the_first_note),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
