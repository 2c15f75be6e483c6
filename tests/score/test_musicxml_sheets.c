/* The sheets (sheets.py) as ours reads them and as another program plays them (goldens_sheets.sh),
 * note by note; and the tunes among them as ABC, with their slurs and marks. */
#include "files.h"

static char fault[512];

static struct passo_score read_sheet(const char *name, const char *part)
{
    struct passo_score score;
    char path[128];
    size_t bytes = 0;
    snprintf(path, sizeof path, "sheets/%s.musicxml", name);
    char *text = files_read(path, &bytes);
    const enum passo_error error = passo_musicxml_read(
        text, bytes, &(struct passo_score_ask){.part = part}, &score, fault, sizeof fault);
    free(text);
    assert_string_equal(fault, "");
    assert_int_equal(error, PASSO_OK);
    assert_false(score.sounding);
    scores_check(&score);
    return score;
}

/* Each of our notes is among those that are played; those of other voices and of chords that are
 * left out are the rest. Played ones end a tick early, and staccato ones at half their length. */
static void check_played(const struct passo_score *score, const char *name, int part)
{
    static struct files_note note[FILES_NOTES_MAX];
    char path[128];
    snprintf(path, sizeof path, "sheets/%s.notes", name);
    const size_t played = files_notes(path, part, note);
    assert_int_equal(played, score->notes + score->left_out);
    for (size_t i = 0; i < score->notes; i++) {
        const struct passo_note *ours = &score->note[i];
        const int64_t length =
            files_ticks(ours->length) / (ours->marks & PASSO_NOTE_STACCATO ? 2 : 1);
        size_t found = 0;
        for (size_t j = 0; j < played; j++)
            found += note[j].at == files_ticks(ours->at) &&
                     note[j].midi == passo_pitch_midi(ours->pitch) + score->transposition &&
                     length - note[j].length >= 0 && length - note[j].length <= 1;
        assert_int_equal(found, 1);
    }
}

static void check_tune(const char *name)
{
    struct passo_score tune;
    struct passo_score_ask ask = {.part = ""};
    char path[128];
    char notes[SCORES_TEXT_BYTES / 8];
    char bars[SCORES_TEXT_BYTES / 8];
    size_t bytes = 0;
    struct passo_score score = read_sheet(name, "");
    check_played(&score, name, 1);
    snprintf(path, sizeof path, "tunes/%s.abc", name);
    char *text = files_read(path, &bytes);
    assert_int_equal(passo_meter_init(&ask.meter, 4, 4), PASSO_OK);
    assert_int_equal(passo_abc_read(text, bytes, &ask, &tune, fault, sizeof fault), PASSO_OK);
    free(text);
    snprintf(notes, sizeof notes, "%s", scores_notes(&tune));
    assert_string_equal(scores_notes(&score), notes);
    snprintf(bars, sizeof bars, "%s", scores_bars(&tune));
    assert_string_equal(scores_bars(&score), bars);
    if (tune.tempi) {
        snprintf(notes, sizeof notes, "%s", scores_tempi(&tune));
        assert_string_equal(scores_tempi(&score), notes);
    }
    assert_string_equal(score.title, tune.title);
    passo_score_deinit(&tune);
    passo_score_deinit(&score);
}

static void test_sheets_of_tunes(void **state)
{
    (void)state;
    check_tune("lantern-march");
    check_tune("seven-gates");
    check_tune("staccato-hill");
}

static void check_suite(const char *name)
{
    struct passo_score score = read_sheet(name, "");
    check_played(&score, "marrowby-suite", 1);
    assert_string_equal(score.title, "Marrowby Suite");
    assert_string_equal(score.part, "Cornet in B-flat");
    assert_true(score.transposes);
    assert_int_equal(score.transposition, -2);
    /* Typed from the sheet as sheets.py has it: grace notes are no notes, tied ones are one. */
    assert_string_equal(
        scores_notes(&score),
        "D5@0/1+1/8~ E5@1/8+1/8 F#5@1/4+3/8 F#5@5/8+1/8~ E5@3/4+1/4 D5@1/1+1/4 A5@5/4+3/4> "
        "A4@2/1+1/4. B4@9/4+1/12~ C#5@7/3+1/12~ D5@29/12+1/12 E5@5/2+1/20 F#5@51/20+1/20 "
        "G5@13/5+1/20 A5@53/20+1/20 B5@27/10+1/20 A5@11/4+1/4_ D5@3/1+1/4 D5@17/4+1/8 E5@35/8+1/8 "
        "F5@9/2+1/8 G5@37/8+1/8 A5@19/4+1/8 Bb5@39/8+1/4 D5@41/8+3/8~ C5@11/2+1/4 C5@23/4+1/4 "
        "C5@6/1+3/4");
    assert_string_equal(
        scores_bars(&score),
        "0p@0/1+1/4:4/4:2 1@1/4+1/1:4/4:2 2@5/4+1/1:4/4:2 3@9/4+1/1:4/4:2 "
        "4@13/4+1/1:4/4:2 5@17/4+5/8:3+2/8:2m 6@39/8+5/8:3+2/8:2m 7@11/2+3/4:3/4:2m "
        "8@25/4+3/4:3/4:2m");
    assert_string_equal(scores_tempi(&score), "96000@0/1=1/4 54500@17/4=3/8");
    passo_score_deinit(&score);

    score = read_sheet(name, "bass");
    check_played(&score, "marrowby-suite", 2);
    assert_false(score.transposes);
    assert_int_equal(score.left_out, 5); /* three of the second voice, two of chords */
    /* The tempi are printed over the first part only. */
    assert_string_equal(scores_tempi(&score), "96000@0/1=1/4 54500@17/4=3/8");
    passo_score_deinit(&score);
}

static void test_a_band_partwise_and_timewise(void **state)
{
    (void)state;
    check_suite("marrowby-suite");
    check_suite("marrowby-timewise");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sheets_of_tunes),
        cmocka_unit_test(test_a_band_partwise_and_timewise),
    };
    return cmocka_run_group_tests_name("score/musicxml_sheets", tests, NULL, NULL);
}
