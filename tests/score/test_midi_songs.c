/* MIDI files that another program wrote (songs.py, with python3-mido), read by ours and by a third
 * (@tonejs/midi, goldens_sheets.sh), note by note; and the same tunes as ABC. */
#include "files.h"

static char fault[512];

static struct passo_score read_song(const char *name, const char *part)
{
    struct passo_score score;
    char path[128];
    size_t bytes = 0;
    snprintf(path, sizeof path, "sheets/%s.mid", name);
    char *data = files_read(path, &bytes);
    const enum passo_error error =
        passo_midi_read((const uint8_t *)data, bytes, &(struct passo_score_ask){.part = part},
                        &score, fault, sizeof fault);
    free(data);
    assert_string_equal(fault, "");
    assert_int_equal(error, PASSO_OK);
    scores_check(&score);
    return score;
}

static void check_notes(const struct passo_score *score, const char *name, int part)
{
    static struct files_note note[FILES_NOTES_MAX];
    char path[128];
    snprintf(path, sizeof path, "sheets/%s.mid.notes", name);
    assert_int_equal(files_notes(path, part, note), score->notes);
    for (size_t i = 0; i < score->notes; i++) {
        assert_int_equal(files_ticks(score->note[i].at), note[i].at);
        assert_int_equal(files_ticks(score->note[i].length), note[i].length);
        assert_int_equal(passo_pitch_midi(score->note[i].pitch), note[i].midi);
    }
}

/* The tune in ABC has the same notes, `below` semitones higher, and `rest` more of them. */
static void check_tune(const struct passo_score *score, const char *name, int below, size_t rest)
{
    struct passo_score tune;
    struct passo_score_ask ask = {.part = ""};
    char path[128];
    size_t bytes = 0;
    snprintf(path, sizeof path, "tunes/%s.abc", name);
    char *text = files_read(path, &bytes);
    assert_int_equal(passo_meter_init(&ask.meter, 4, 4), PASSO_OK);
    assert_int_equal(passo_abc_read(text, bytes, &ask, &tune, fault, sizeof fault), PASSO_OK);
    free(text);
    assert_int_equal(score->notes + rest, tune.notes);
    for (size_t i = 0; i < score->notes; i++) {
        assert_int_equal(passo_ratio_cmp(score->note[i].at, tune.note[i].at), 0);
        assert_int_equal(passo_ratio_cmp(score->note[i].length, tune.note[i].length), 0);
        assert_int_equal(passo_pitch_midi(score->note[i].pitch) + below,
                         passo_pitch_midi(tune.note[i].pitch));
    }
    passo_score_deinit(&tune);
}

static void test_a_band_of_two_tracks(void **state)
{
    (void)state;
    struct passo_score score = read_song("lantern-march", "");
    check_notes(&score, "lantern-march", 1);
    check_tune(&score, "lantern-march", 0, 0);
    assert_string_equal(score.title, "The Lantern March");
    assert_string_equal(score.part, "Cornet");
    assert_string_equal(scores_tempi(&score), "112000@0/1=1/4");
    assert_string_equal(scores_pitch(score.note[6].pitch), "Eb5");
    passo_score_deinit(&score);
}

/* Cut to 95 %: each note has its length again, as in the tune. */
static void test_a_track_of_shortened_notes(void **state)
{
    (void)state;
    struct passo_score score = read_song("lantern-march", "trombone");
    assert_string_equal(score.part, "Bass Trombone");
    check_tune(&score, "lantern-march", 24, 0);
    passo_score_deinit(&score);
}

static void test_changes_of_meter(void **state)
{
    (void)state;
    struct passo_score score = read_song("seven-gates", "");
    check_notes(&score, "seven-gates", 1);
    check_tune(&score, "seven-gates", 0, 0);
    assert_string_equal(scores_bars(&score),
                        "1@0/1+7/8:7/8:0 2@7/8+7/8:7/8:0 3@7/4+3/4:3/4:0 4@5/2+7/8:7/8:0 "
                        "5@27/8+7/8:7/8:4 6@17/4+7/8:7/8:4");
    assert_string_equal(scores_tempi(&score), "105000@0/1=1/4");
    passo_score_deinit(&score);
}

static void test_tuplets_on_two_channels(void **state)
{
    (void)state;
    struct passo_score score = read_song("tuplet-drill", "1");
    check_notes(&score, "tuplet-drill", 1);
    check_tune(&score, "tuplet-drill", 0, 10);
    passo_score_deinit(&score);
    score = read_song("tuplet-drill", "channel 10");
    check_notes(&score, "tuplet-drill", 2);
    check_tune(&score, "tuplet-drill", 12, 10);
    passo_score_deinit(&score);
}

static void test_few_ticks_and_six_flats(void **state)
{
    (void)state;
    struct passo_score score = read_song("slow-barge", "");
    check_notes(&score, "slow-barge", 1);
    check_tune(&score, "slow-barge", 0, 0);
    assert_int_equal(score.bar[0].key.tonic, -6);
    passo_score_deinit(&score);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_band_of_two_tracks),
        cmocka_unit_test(test_a_track_of_shortened_notes),
        cmocka_unit_test(test_changes_of_meter),
        cmocka_unit_test(test_tuplets_on_two_channels),
        cmocka_unit_test(test_few_ticks_and_six_flats),
    };
    return cmocka_run_group_tests_name("score/midi_songs", tests, NULL, NULL);
}
