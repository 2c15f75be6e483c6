/* Ways to play the notes: rhythms, tongue and octaves, rule by rule. A dotted eighth and a
 * sixteenth are 3:1 (common practice). */
#include "notes_tools.h"

static struct passo_notes plain;
static struct passo_notes varied;

static void vary(const struct passo_passage *passage, struct passo_variant variant)
{
    passo_notes_vary(&plain, passage, &variant, &varied);
    assert_int_equal(varied.notes, plain.notes);
}

static void rhythm_is(const struct passo_passage *passage, struct passo_ratio at, const char *text,
                      struct passo_variant variant, const char *wanted)
{
    char words[512];
    notes_of(&plain, at, text);
    vary(passage, variant);
    assert_string_equal(told(&varied, at, words, sizeof words), wanted);
}

static const struct passo_ratio line = {0, 1};
static const struct passo_variant dotted = {.rhythm = PASSO_RHYTHM_DOTTED};
static const struct passo_variant reversed = {.rhythm = PASSO_RHYTHM_REVERSED};

static struct passo_variant held(uint8_t group)
{
    return (struct passo_variant){.rhythm = PASSO_RHYTHM_HELD, .group = group};
}

static void pairs_and_groups_share_their_time(void **unused)
{
    (void)unused;
    const struct passo_passage four = passage_of(meter_of(4, 4), ratio(1, 4), 7, 4);
    rhythm_is(&four, line, "1/8 1/8 1/8 1/8", dotted, "3/16 1/16 3/16 1/16");
    rhythm_is(&four, line, "1/8 1/8 1/8 1/8", reversed, "1/16 3/16 1/16 3/16");
    rhythm_is(&four, line, "1/16 1/16 1/16 1/16", held(4), "1/8 1/24 1/24 1/24");
    rhythm_is(&four, line, "1/12 1/12 1/12", held(3), "1/8 1/16 1/16");
    rhythm_is(&four, line, "1/8 1/8", held(2), "1/8 1/8");
    rhythm_is(&four, line, "1/32 1/32 1/32 1/32 1/32 1/32 1/32 1/32", held(8),
              "1/8 1/56 1/56 1/56 1/56 1/56 1/56 1/56");
    /* each run by its own length */
    rhythm_is(&four, line, "1/8 1/8 1/16 1/16 1/16 1/16 1/4 1/4", dotted,
              "3/16 1/16 3/32 1/32 3/32 1/32 3/8 1/8");
    rhythm_is(&four, line, "1/8 1/8 1/4 1/2", (struct passo_variant){0}, "1/8 1/8 1/4 1/2");
}

static void what_does_not_fit_stays(void **unused)
{
    (void)unused;
    const struct passo_passage four = passage_of(meter_of(4, 4), ratio(1, 4), 1, 4);
    /* a first note without a partner: one rest before it, one pair behind it */
    rhythm_is(&four, line, "r1/8 1/8 1/8 1/8", dotted, "r1/8 1/8 3/16 1/16");
    rhythm_is(&four, line, "1/8 1/8 1/8", dotted, "3/16 1/16 1/8");
    /* a longer note, a tied one, a rest in between */
    rhythm_is(&four, line, "1/8 1/4 1/8", dotted, "1/8 1/4 1/8");
    rhythm_is(&four, line, "3/16 1/16 1/8 1/8", dotted, "3/16 1/16 3/16 1/16");
    rhythm_is(&four, line, "1/8 r1/8 1/8 1/8", dotted, "1/8 r1/8 3/16 1/16");
    rhythm_is(&four, line, "1/8 r1/4 1/8", dotted, "1/8 r1/4 1/8");
    rhythm_is(&four, line, "1/16 1/16 1/16 r1/16 1/16 1/16 1/16 1/16", held(4),
              "1/16 1/16 1/16 r1/16 1/8 1/24 1/24 1/24");
    rhythm_is(&four, line, "1/16 1/16 1/16 1/8", held(4), "1/16 1/16 1/16 1/8");
    /* groups that cannot be */
    static const uint8_t groups[] = {0, 1, 9, 255};
    for (size_t i = 0; i < sizeof groups; i++)
        rhythm_is(&four, line, "1/8 1/8 1/8 1/8", held(groups[i]), "1/8 1/8 1/8 1/8");
    rhythm_is(&four, line, "1/32 1/32 1/32 1/32 1/32 1/32 1/32 1/32 1/32", held(9),
              "1/32 1/32 1/32 1/32 1/32 1/32 1/32 1/32 1/32");
    rhythm_is(&four, line, "", dotted, "");
    /* nor is what was there before a partner */
    rhythm_is(&four, line, "1/8 1/8 1/8 1/8", (struct passo_variant){0}, "1/8 1/8 1/8 1/8");
    rhythm_is(&four, line, "1/8 1/8 1/8", dotted, "3/16 1/16 1/8");
}

/* Pairs are counted from the bar line, and end within their bar. */
static void rhythms_keep_to_their_bar(void **unused)
{
    (void)unused;
    const struct passo_passage three = passage_of(meter_of(3, 4), ratio(1, 4), 1, 4);
    rhythm_is(&three, line, "1/4 1/4 1/4 1/4 1/4 1/4", dotted, "3/8 1/8 1/4 3/8 1/8 1/4");
    rhythm_is(&three, line, "r1/4 1/4 1/4 1/4 1/4", dotted, "r1/4 1/4 1/4 3/8 1/8");
    const struct passo_passage five = passage_of(meter_of(5, 8), ratio(1, 8), 1, 4);
    rhythm_is(&five, line, "1/8 1/8 1/8 1/8 1/8 1/8 1/8", reversed,
              "1/16 3/16 1/16 3/16 1/8 1/16 3/16");
    const struct passo_passage four = passage_of(meter_of(4, 4), ratio(1, 4), 1, 4);
    rhythm_is(&four, line, "1/8 1/8 1/8 1/8 1/8 1/8 1/8 1/8 1/8 1/8 1/8", held(3),
              "3/16 3/32 3/32 3/16 3/32 3/32 1/8 1/8 3/16 3/32 3/32");
    /* a pickup is the end of the bar before */
    struct passo_passage pickup = four;
    pickup.pickup = ratio(3, 8);
    assert_int_equal(passo_passage_complete(&pickup), PASSO_OK);
    rhythm_is(&pickup, ratio(-3, 8), "1/8 1/8 1/8 1/8 1/8", dotted, "1/8 3/16 1/16 3/16 1/16");
    /* 7/8, then 3/4 from bar 2: its pairs begin anew */
    struct passo_passage change = passage_of(groups_of(8, 3, 2, 2, 3), ratio(1, 8), 1, 4);
    change.change[change.changes++] = (struct passo_meter_change){2, meter_of(3, 4)};
    rhythm_is(&change, ratio(5, 8), "1/8 1/8 1/8 1/8 1/4 1/4", dotted, "1/8 1/8 3/16 1/16 1/4 1/4");
}

/* --- the tongue --- */

enum {
    SLUR = PASSO_NOTE_SLUR,
    DOT = PASSO_NOTE_STACCATO,
    LINE = PASSO_NOTE_TENUTO,
    ACCENT = PASSO_NOTE_ACCENT
};

static void marks_are(const struct passo_passage *passage, enum passo_touch touch,
                      const int wanted[6])
{
    vary(passage, (struct passo_variant){.touch = (uint8_t)touch});
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(varied.note[i].marks, wanted[i]);
}

static void a_touch_takes_the_place_of_the_marks(void **unused)
{
    (void)unused;
    const struct passo_passage four = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    static const uint8_t marks[] = {SLUR, ACCENT, DOT, LINE | ACCENT, SLUR, 0};
    notes_of(&plain, line, "1/8 1/8 1/8 1/8 r1/8 1/8 1/8");
    for (size_t i = 0; i < 6; i++)
        plain.note[i].marks = marks[i];
    marks_are(&four, PASSO_TOUCH_WRITTEN, (const int[]){SLUR, ACCENT, DOT, LINE | ACCENT, SLUR, 0});
    marks_are(&four, PASSO_TOUCH_TONGUED, (const int[]){0, ACCENT, 0, ACCENT, 0, 0});
    /* over the rest, and behind the last note, nothing is slurred */
    marks_are(&four, PASSO_TOUCH_SLURRED,
              (const int[]){SLUR, SLUR | ACCENT, SLUR, ACCENT, SLUR, 0});
    marks_are(&four, PASSO_TOUCH_STACCATO,
              (const int[]){DOT, DOT | ACCENT, DOT, DOT | ACCENT, DOT, DOT});
}

static void slurs_lead_to_another_note(void **unused)
{
    (void)unused;
    const struct passo_passage four = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    notes_of(&plain, line, "1/8 1/8 1/8 r1/8 1/8 1/8 1/8");
    plain.note[1].pitch = plain.note[0].pitch;
    plain.note[3].pitch = (struct passo_pitch){6, 4}; /* F-sharp, then its twin G-flat */
    plain.note[4].pitch = (struct passo_pitch){-6, 4};
    marks_are(&four, PASSO_TOUCH_SLURRED, (const int[]){LINE, SLUR, 0, LINE, SLUR, 0});
    /* written ones too: nowhere to go, to the same pitch, under a dot */
    for (size_t i = 0; i < 6; i++)
        plain.note[i].marks = SLUR;
    plain.note[3].marks = SLUR | DOT;
    marks_are(&four, PASSO_TOUCH_WRITTEN, (const int[]){LINE, SLUR, 0, DOT, SLUR, 0});
}

/* What is dotted still touches, and keeps its marks and pitches. */
static void rhythm_and_touch_go_together(void **unused)
{
    (void)unused;
    const struct passo_passage four = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    notes_of(&plain, line, "1/16 1/16 1/16 1/16 1/16 1/16 1/16 1/16");
    plain.note[2].marks = ACCENT;
    vary(&four,
         (struct passo_variant){
             .octave = -1, .touch = PASSO_TOUCH_SLURRED, .rhythm = PASSO_RHYTHM_HELD, .group = 4});
    char words[256];
    assert_string_equal(told(&varied, line, words, sizeof words),
                        "1/8 1/24 1/24 1/24 1/8 1/24 1/24 1/24");
    for (size_t i = 0; i < varied.notes; i++) {
        const unsigned accent = i == 2 ? ACCENT : 0;
        assert_int_equal(varied.note[i].marks, i < 7 ? SLUR | accent : 0);
        assert_int_equal(passo_pitch_midi(varied.note[i].pitch),
                         passo_pitch_midi(plain.note[i].pitch) - 12);
    }
}

static void octaves_move_the_pitch_and_keep_its_letter(void **unused)
{
    (void)unused;
    const struct passo_passage four = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    notes_of(&plain, line, "1/4 1/4 1/4");
    plain.note[0].pitch = (struct passo_pitch){12, 4};  /* B-sharp */
    plain.note[1].pitch = (struct passo_pitch){-14, 4}; /* C double flat */
    plain.note[2].pitch = (struct passo_pitch){3, 8};   /* A: the highest octave is the ninth */
    for (int octave = -4; octave <= 4; octave++) {
        vary(&four, (struct passo_variant){.octave = (int8_t)octave});
        for (size_t i = 0; i < 3; i++) {
            const int wanted = plain.note[i].pitch.octave + octave;
            assert_int_equal(varied.note[i].pitch.fifths, plain.note[i].pitch.fifths);
            assert_int_equal(varied.note[i].pitch.octave, wanted < 9 ? wanted : 9);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pairs_and_groups_share_their_time),
        cmocka_unit_test(what_does_not_fit_stays),
        cmocka_unit_test(rhythms_keep_to_their_bar),
        cmocka_unit_test(a_touch_takes_the_place_of_the_marks),
        cmocka_unit_test(slurs_lead_to_another_note),
        cmocka_unit_test(rhythm_and_touch_go_together),
        cmocka_unit_test(octaves_move_the_pitch_and_keep_its_letter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
