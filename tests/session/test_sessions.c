/* Sessions 1, 2, 3, 4, 5 (its ladder) and 12 of the trade page, played pass by pass through the
 * real conductor in simulated time, with their clock totals. The rules are common practice among
 * players and teachers; the numbers of the sessions are invented. */
#include "stage_band.h"

/* No limit acts unless the session names it. */
#define FREE_CLIMB "stop", "none", "plateau", "none", "tired", "none"

static void session_1_streak(void **state)
{
    (void)state;
    static const char *const options[] = {"bars",     "33-36",
                                          "meter",    "4/4",
                                          "target",   "quarter = 132",
                                          "start",    "84",
                                          "steps",    "8 bpm",
                                          "raise",    "2 clean in a row",
                                          "drop",     "1 rung after 2 misses",
                                          "context",  "29-40",
                                          FREE_CLIMB, NULL};
    struct band *band = band_new();
    band_play(band, options, "CCCCCMCCCCMMCCCCCCCC M");
    BAND_EXPECT(band, 84, 84, 92, 92, 100, 100, 100, 100, 108, 108, 116, 116, 108, 108, 116, 116,
                124, 124, 132, 132);
    BAND_CLOCK(band->row[19].elapsed_s, 429.4);
    assert_string_equal(band->row[5].move, "held");
    assert_string_equal(band->row[11].move, "dropped");
    assert_string_equal(band->row[19].move, "won");
    assert_int_equal(band->rows, 21);
    assert_string_equal(band->row[20].part, "context");
    assert_string_equal(band->row[20].bars, "29-40");
    assert_string_equal(band->row[20].mark, "miss");
    assert_true(band->row[20].tempo == 132);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_WON);
    band_free(band);
}

static void session_2_octave_pair(void **state)
{
    (void)state;
    static const char *const options[] = {"bars",     "8",
                                          "meter",    "3/4",
                                          "target",   "112",
                                          "start",    "72",
                                          "steps",    "8 bpm",
                                          "raise",    "1 clean",
                                          "drop",     "1 rung after 2 misses here",
                                          "miss",     "first turn",
                                          "variant",  "octave down=octave -1",
                                          "variant",  "at pitch=as written",
                                          "finish",   "none",
                                          FREE_CLIMB, NULL};
    static const char ways[] = "dpdpdpdpdpdpdpdpdpdp"; /* down, at pitch, always in turn here */
    struct band *band = band_new();
    band_play(band, options, "CCCCCMCCCMCMCCCCCCCC");
    BAND_EXPECT(band, 72, 72, 80, 80, 88, 88, 88, 88, 96, 96, 96, 96, 88, 88, 96, 96, 104, 104, 112,
                112);
    assert_int_equal(band->rows, 20);
    for (int i = 0; i < 20; i++)
        assert_string_equal(band->row[i].variant, ways[i] == 'd' ? "octave down" : "at pitch");
    BAND_CLOCK(band->row[19].elapsed_s, 701.3);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_WON);
    band_free(band);
}

static void session_3_in_six_and_in_two(void **state)
{
    (void)state;
    static const char *const options[] = {"bars",     "8",
                                          "meter",    "6/8",
                                          "target",   "dotted quarter = 76",
                                          "start",    "52",
                                          "steps",    "6 bpm",
                                          "raise",    "3 clean of 4",
                                          "drop",     "1 rung after 4 misses here",
                                          "count",    "eighth below 60",
                                          "finish",   "none",
                                          FREE_CLIMB, NULL};
    struct band *band = band_new();
    band_play(band, options, "CCC CCMC CMCC MCM MCCC CCC");
    BAND_EXPECT(band, 52, 52, 52, 58, 58, 58, 58, 64, 64, 64, 64, 70, 70, 70, 70, 70, 70, 70, 76,
                76, 76);
    assert_int_equal(band->rows, 21);
    /* In six the landing is one eighth, a third of the beat; in two a whole beat. */
    double beat = 60.0 / 52;
    BAND_CLOCK(band->row[0].play_s, 16 * beat + beat / 3);
    BAND_CLOCK(band->row[20].play_s, 17 * 60.0 / 76);
    /* Count-ins: 6 eighths at 52 (2.308 s), 2 beats at 64 (1.875 s), 4 beats at 76 (3.158 s). */
    double total = 0;
    static const double count_in[] = {2, 2, 2, 4}; /* beats at 52 58 64|70 76 */
    for (int i = 0; i < 21; i++) {
        double tempo = band->row[i].tempo;
        double of = tempo < 60 ? count_in[0] : tempo < 75 ? count_in[2] : count_in[3];
        double landing = tempo < 60 ? 1.0 / 3 : 1;
        total += (of + 2 * (16 + landing)) * 60 / tempo;
    }
    BAND_CLOCK(band->row[20].elapsed_s, total);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_WON);
    band_free(band);
}

static void session_4_seven_eight(void **state)
{
    (void)state;
    static const char *const options[] = {"bars",     "10",
                                          "meter",    "7/8 as 2+2+3",
                                          "shape",    "bar 5=meter 3/4",
                                          "shape",    "bar 6=meter 7/8 as 2+2+3",
                                          "target",   "eighth = 240",
                                          "start",    "150",
                                          "steps",    "6 %",
                                          "raise",    "1 clean",
                                          "drop",     "1 rung after 2 misses",
                                          "over",     "1 at 105 %",
                                          "close",    "2 clean",
                                          "count",    "eighth below 210",
                                          "finish",   "none",
                                          FREE_CLIMB, NULL};
    struct band *band = band_new();
    band_play(band, options, "CCCMCCMMCCCCC M CC");
    BAND_EXPECT(band, 150, 159, 168.54, 178.65, 178.65, 189.37, 200.73, 200.73, 189.37, 200.73,
                212.78, 225.54, 240, 252, 240, 240);
    assert_int_equal(band->rows, 16);
    assert_string_equal(band->row[12].move, "won");
    assert_string_equal(band->row[13].part, "over");
    assert_string_equal(band->row[15].part, "close");
    /* 69 eighths and the landing: an eighth at 150, a group of two from 210. */
    BAND_CLOCK(band->row[0].play_s, 27.6 + 0.4);
    BAND_CLOCK(band->row[12].play_s, 17.25 + 0.5);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_WON);
    band_free(band);
}

static void session_5_ten_points(void **state)
{
    (void)state;
    static const char *const options[] = {"bars", "40-48", "target",    "96",    "start",
                                          "60 %", "steps", "10 points", "raise", "2 clean in a row",
                                          "drop", "hold",  "finish",    "none",  FREE_CLIMB,
                                          NULL};
    struct band *band = band_new();
    band_play(band, options, "CC CC CMCC CC CC");
    BAND_EXPECT(band, 57.6, 57.6, 67.2, 67.2, 76.8, 76.8, 76.8, 76.8, 86.4, 86.4, 96, 96);
    assert_int_equal(band->rows, 12);
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_WON);
    band_free(band);
}

static void session_12_tired(void **state)
{
    (void)state;
    static const char *const options[] = {"bars",    "6",
                                          "meter",   "4/4",
                                          "target",  "92",
                                          "start",   "66",
                                          "steps",   "4 bpm",
                                          "raise",   "1 clean",
                                          "drop",    "1 rung after 2 misses",
                                          "tired",   "3 misses of 5",
                                          "stop",    "none",
                                          "plateau", "none",
                                          NULL};
    struct band *band = band_new();
    band_play(band, options, "CCCMCMM C");
    BAND_EXPECT(band, 66, 70, 74, 78, 78, 82, 82, 70);
    assert_int_equal(band->rows, 8);
    assert_string_equal(band->row[6].move, "tired");
    BAND_CLOCK(band->row[6].rest_s, 90);
    assert_string_equal(band->row[7].part, "easy");
    assert_int_equal(band->result.outcome, PASSO_OUTCOME_TIRED);
    assert_int_equal(band->result.best_mbpm, 78000);
    band_free(band);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(session_1_streak),
        cmocka_unit_test(session_2_octave_pair),
        cmocka_unit_test(session_3_in_six_and_in_two),
        cmocka_unit_test(session_4_seven_eight),
        cmocka_unit_test(session_5_ten_points),
        cmocka_unit_test(session_12_tired),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
