/* What the log has of a passage: counts and days by hand, the level in each of its cases, the rate
 * by its formula. */
#include "practice_tools.h"

static void test_nothing_is_known(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    practise(trial.log, "Other", 3, "cc", (int[]){80, 0}, 100);
    commit_log(trial.log);
    struct passo_practice_ask ask[] = {ask_of("Run", QUARTER, 100), ask_of("Run", QUARTER, 0), {0}};
    struct passo_practice practice[3];
    read_many(trial.log, ask, 3, practice);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(practice[i].passes, 0);
        assert_int_equal(practice[i].last_day, 0);
        assert_true(practice[i].due && practice[i].held_back == 0);
        assert_int_equal(practice[i].secure.kind, PASSO_SECURE_UNKNOWN);
        assert_true(practice[i].guessed);
        assert_near(practice[i].level, log(0.7));
        assert_near(practice[i].rate, PASSO_RATE_PRIOR);
        assert_int_equal(practice[i].rate_days, 0);
    }
    read_many(trial.log, NULL, 0, NULL);
    end_trial(&trial);
}

static void test_counts_by_hand(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    practise(trial.log, "Run", 20, "mcr", (int[]){60, 70, 80, 0}, 100);
    practise(trial.log, "Run", 22, "cmv", (int[]){84, 88, 96, 0}, 100);
    play_session(trial.log,
                 (struct session){"Run", 22, "c", (int[]){90, 0}, 100, .player = "C.D."});
    commit_log(trial.log);
    struct passo_practice practice = practice_of(trial.log, "Run", QUARTER, 100);
    assert_int_equal(practice.passes, 5); /* the void one is none, nor is another's */
    assert_int_equal(practice.play_ns, 150 * SECOND);
    assert_int_equal(practice.best_mbpm, 80000); /* the only rung that was won */
    assert_int_equal(practice.last_day, 20261123);
    assert_true(practice.due);
    assert_int_equal(practice.secure.kind, PASSO_SECURE_UNKNOWN); /* under eight passes */
    assert_true(practice.guessed);
    assert_near(practice.level, log(0.84) - 0.05); /* clean of the whole passage */
    practice = practice_of(trial.log, "Walk", QUARTER, 100);
    assert_int_equal(practice.passes, 0);
    end_trial(&trial);
}

/* Held on the 24th, 25th, 26th and 27th: in 2 days after three, in 4 after four (standing.h). */
static void test_when_it_is_due(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    const struct passo_practice_wish days[] = {
        {"A.B.", 0, 20261125, 20261126}, {"A.B.", 0, 20261126, 20261126},
        {"A.B.", 0, 20261126, 20261127}, {"A.B.", 0, 20261126, 20261128},
        {"A.B.", 0, 20261127, 20261128}, {"A.B.", 0, 20261127, 20261130},
        {"A.B.", 0, 20261127, 20261201}, {"A.B.", 0, 20261128, 20261128},
        {"A.B.", 0, 20261128, 20261129},
    };
    static const int held_back[] = {0, 2, 1, 0, 3, 1, 0, 1, 0};
    for (int day = 23; day < 27; day++) {
        practise(trial.log, "Run", day, "cm", (int[]){95, 104, 0}, 100);
        /* later that day toward another target, which says nothing of this one */
        play_session(trial.log, (struct session){.passage = "Run",
                                                 .day = day,
                                                 .marks = "c",
                                                 .bpm = (int[]){60, 0},
                                                 .target_bpm = 96,
                                                 .hour = 1});
    }
    practise(trial.log, "Run", 27, "m", (int[]){95, 0}, 100); /* a bad day */
    commit_log(trial.log);
    const struct passo_practice_ask ask = ask_of("Run", QUARTER, 100);
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        struct passo_practice practice;
        char fault[FAULT_BYTES];
        assert_int_equal(
            passo_practice_read(trial.log, &days[i], &ask, 1, &practice, fault, sizeof fault),
            PASSO_OK);
        if (practice.held_back != held_back[i] || practice.due != (held_back[i] == 0))
            fail_msg("case %zu: held back for %d days", i, practice.held_back);
    }
    /* at another target it has never held, and is due the day after */
    const struct passo_practice_ask other = ask_of("Run", QUARTER, 88);
    struct passo_practice practice;
    char fault[FAULT_BYTES];
    assert_int_equal(
        passo_practice_read(trial.log, &days[2], &other, 1, &practice, fault, sizeof fault),
        PASSO_OK);
    assert_int_equal(practice.held_back, 0);
    end_trial(&trial);
}

/* --- where it is secure, and its level --- */

static void test_levels(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    static const int up[] = {60, 64, 68, 72, 76, 80, 84, 88, 92, 96, 100, 104, 0};
    practise(trial.log, "Fitted", 25, "cccccccmcmmm", up, 100);
    practise(trial.log, "At least", 25, "cccccccccccc", up, 100);
    practise(trial.log, "Under", 25, "mmmmmmmmmmmm", up, 100);
    play_session(trial.log, (struct session){"Loops", 25, "rr", up, 100, .loop = "A"});
    play_session(trial.log, (struct session){"Parts", 25, "rrrrrrrrrrrr", up, 100, .loop = "A"});
    play_session(trial.log, (struct session){"Both", 25, "rr", up, 100, .loop = "A"});
    practise(trial.log, "Both", 26, "c", up, 100);
    practise(trial.log, "None", 25, "mmm", up, 100);
    commit_log(trial.log);
    struct passo_practice practice = practice_of(trial.log, "Fitted", QUARTER, 100);
    assert_int_equal(practice.secure.kind, PASSO_SECURE_FITTED);
    assert_true(practice.secure.bpm > 60 && practice.secure.bpm < 104 && !practice.guessed);
    assert_near(practice.level, log(practice.secure.bpm / 100));
    assert_near(practice_of(trial.log, "Fitted", QUARTER, 132).level,
                log(practice.secure.bpm / 132));
    practice = practice_of(trial.log, "At least", QUARTER, 100);
    assert_int_equal(practice.secure.kind, PASSO_SECURE_AT_LEAST);
    assert_near(practice.level, log(1.04));
    practice = practice_of(trial.log, "Under", QUARTER, 100);
    assert_int_equal(practice.secure.kind, PASSO_SECURE_UNDER);
    assert_near(practice.level, log(0.6));
    assert_false(practice.guessed);
    practice = practice_of(trial.log, "Loops", QUARTER, 100); /* of a loop, and nothing better */
    assert_near(practice.level, log(0.64) - PASSO_PRACTICE_MARGIN - PASSO_PRACTICE_PARTS);
    assert_true(practice.guessed);
    practice = practice_of(trial.log, "Parts", QUARTER, 100); /* secure, but only in parts */
    assert_int_equal(practice.secure.kind, PASSO_SECURE_AT_LEAST);
    assert_near(practice.level, log(1.04) - PASSO_PRACTICE_PARTS);
    assert_true(practice.guessed);
    practice = practice_of(trial.log, "Both", QUARTER, 100); /* the whole, though it is slower */
    assert_near(practice.level, log(0.60) - PASSO_PRACTICE_MARGIN);
    practice = practice_of(trial.log, "None", QUARTER, 100);
    assert_near(practice.level, log(PASSO_PRACTICE_GUESS));
    assert_true(practice.guessed);
    practice = practice_of(trial.log, "Fitted", QUARTER, 0); /* of no target there is no level */
    assert_near(practice.level, log(PASSO_PRACTICE_GUESS));
    assert_true(practice.guessed && practice.secure.kind == PASSO_SECURE_FITTED);
    end_trial(&trial);
}

/* A passage is the same whatever unit its beat is told in: 90 quarters are 60 dotted ones. */
static void test_in_another_beat(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    static const int up[] = {60, 66, 72, 78, 84, 90, 96, 102, 0};
    practise(trial.log, "Run", 20, "cccccrcm", up, 90);
    practise(trial.log, "Run", 21, "ccrcmmmm", up, 90);
    commit_log(trial.log);
    struct passo_practice one = practice_of(trial.log, "Run", QUARTER, 90);
    struct passo_practice two = practice_of(trial.log, "Run", DOTTED, 60);
    assert_int_equal(one.best_mbpm, 90000);
    assert_int_equal(two.best_mbpm, 60000);
    assert_int_equal(one.secure.kind, PASSO_SECURE_FITTED);
    assert_int_equal(two.secure.kind, PASSO_SECURE_FITTED);
    assert_near(two.secure.bpm, one.secure.bpm * 2 / 3);
    assert_near(two.secure.low_bpm, one.secure.low_bpm * 2 / 3);
    assert_near(two.secure.high_bpm, one.secure.high_bpm * 2 / 3);
    assert_near(two.level, one.level);
    assert_near(two.rate, one.rate);
    assert_int_equal(two.held_back, one.held_back);
    /* the curve is the same one */
    assert_near(passo_skill_clean(&two.secure.skill, 60000),
                passo_skill_clean(&one.secure.skill, 90000));
    end_trial(&trial);
}

/* --- what a minute adds --- */

/* Four days: 1, 1.5 and 1 minutes are played on the first three, so they stand at 0, 1, 2.5 and 3.5
 * minutes, whose middle is 1.75 and Sxx 7.25. The formula is budget.h's. */
static double rate_of(const double *level)
{
    static const double minutes[] = {0, 1, 2.5, 3.5};
    double middle = (level[0] + level[1] + level[2] + level[3]) / 4;
    double sxy = 0;
    for (int i = 0; i < 4; i++)
        sxy += (minutes[i] - 1.75) * (level[i] - middle);
    double rate = (0.005 / (0.003 * 0.003) + sxy / (0.05 * 0.05)) /
                  (1 / (0.003 * 0.003) + 7.25 / (0.05 * 0.05));
    return rate < 0.001 ? 0.001 : rate > 0.02 ? 0.02 : rate;
}

static void test_rate_by_its_formula(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    static const int bpm[] = {64, 72, 80, 96};
    for (int day = 0; day < 4; day++) {
        /* the first three toward a lower target: today's counts */
        const int tempo[] = {bpm[day], bpm[day] + 20, 0};
        practise(trial.log, "Run", 20 + day, "cm", tempo, day < 3 ? 92 : 100);
        /* another passage, of which only loops were won */
        play_session(trial.log, (struct session){"Loops", 20 + day, "rm", tempo, 100, .loop = "A"});
    }
    for (int loops = 0; loops < 2; loops++)
        play_session(trial.log, (struct session){.passage = loops ? "Loops" : "Run",
                                                 .day = 21,
                                                 .marks = "m",
                                                 .bpm = (int[]){72, 0},
                                                 .target_bpm = 96,
                                                 .hour = 1});
    /* loops beside the whole say nothing, on a day of their own or not */
    for (int day = 23; day < 25; day++)
        play_session(trial.log, (struct session){"Run", day, "r", (int[]){120, 0}, 100, .loop = "A",
                                                 .hour = 1});
    /* so long before that it says nothing */
    practise(trial.log, "Run", -42, "c", (int[]){140, 0}, 100);
    commit_log(trial.log);
    const double level[] = {log(0.64), log(0.72), log(0.8), log(0.96)};
    struct passo_practice practice = practice_of(trial.log, "Run", QUARTER, 100);
    assert_int_equal(practice.rate_days, 4);
    assert_near(practice.rate, rate_of(level));
    assert_true(practice.rate > PASSO_RATE_PRIOR);
    practice = practice_of(trial.log, "Loops", QUARTER, 100);
    assert_int_equal(practice.rate_days, 4);
    assert_near(practice.rate, rate_of(level));
    practice = practice_of(trial.log, "Run", QUARTER, 0);
    assert_int_equal(practice.rate_days, 0);
    assert_near(practice.rate, PASSO_RATE_PRIOR);
    end_trial(&trial);
}

/* A visit's passes are as those of a climb; a check's are nothing. */
static void test_visits_and_checks(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    static const int up[] = {60, 64, 68, 72, 76, 80, 84, 88, 92, 96, 0};
    for (int day = 20; day < 23; day++) {
        practise(trial.log, "Climbed", day, "ccrccrcmcm", up, 100);
        play_session(trial.log, (struct session){"Visited", day, "ccrccrcmcm", up, 100,
                                                 .extra = PASSO_EXTRA_VISIT});
    }
    play_session(trial.log, (struct session){"Visited", 25, "mmmmmmmmmr", up, 100,
                                             .extra = PASSO_EXTRA_CHECK});
    commit_log(trial.log);
    struct passo_practice climbed = practice_of(trial.log, "Climbed", QUARTER, 100);
    struct passo_practice visited = practice_of(trial.log, "Visited", QUARTER, 100);
    assert_int_equal(climbed.best_mbpm, 80000);
    assert_int_equal(climbed.passes, 30);
    assert_same_practice(&climbed, &visited);
    end_trial(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_is_known),  cmocka_unit_test(test_counts_by_hand),
        cmocka_unit_test(test_when_it_is_due),    cmocka_unit_test(test_levels),
        cmocka_unit_test(test_in_another_beat),   cmocka_unit_test(test_rate_by_its_formula),
        cmocka_unit_test(test_visits_and_checks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
