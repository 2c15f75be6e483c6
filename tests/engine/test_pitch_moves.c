/* Intervals: against a library that is not ours (tonal_pitches.h), the transpositions of brass
 * instruments, and the circle of fourths. */
#include "pitch_tools.h"
#include "tonal_pitches.h"

/* A row of twelve notes, moved by one to twelve semitones up or down. One that would need three
 * signs is an enharmonic twin of it. */
static void row_is(const char *name, int direction, const char *row)
{
    char words[128];
    snprintf(words, sizeof words, "%s", row);
    char *rest = NULL;
    int semitones = 0;
    for (char *word = strtok_r(words, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
        semitones += direction;
        const struct passo_pitch from = pitch_named(name);
        const struct passo_interval by = passo_interval_of(semitones);
        const struct passo_pitch moved = passo_pitch_move(from, by);
        assert_int_equal(passo_pitch_midi(moved), passo_pitch_midi(from) + semitones);
        if (strcmp(word, "-") == 0)
            assert_int_equal(abs(from.fifths + by.fifths - moved.fifths), 12);
        else
            is_pitch(moved, word);
    }
    assert_int_equal(abs(semitones), 12);
}

static void spellings_move_as_tonal_says(void **unused)
{
    (void)unused;
    assert_int_equal(COUNT(tonal_moves), COUNT(line_of_fifths));
    for (size_t i = 0; i < COUNT(tonal_moves); i++) {
        row_is(tonal_moves[i].name, 1, tonal_moves[i].up);
        row_is(tonal_moves[i].name, -1, tonal_moves[i].down);
    }
}

/* trade.md (i): sounding minus written in semitones; what a written note and the key of C sound as
 * is what the instrument is named after (common practice). */
static void instruments_sound_as_they_are_named(void **unused)
{
    (void)unused;
    static const struct {
        int semitones;
        const char *written;
        const char *sounds;
        const char *key_of_c;
    } instruments[] = {
        {0, "Bb2", "Bb2", "C"},  /* trombone, euphonium, tuba in bass clef */
        {-2, "C5", "Bb4", "Bb"}, /* B-flat trumpet, cornet, flugelhorn */
        {-2, "F#4", "E4", "Bb"},
        {-2, "B4", "A4", "Bb"}, /* what it tunes to an orchestra's A with */
        {-7, "C5", "F4", "F"},  /* horn in F */
        {-7, "B3", "E3", "F"},
        {-9, "C5", "Eb4", "Eb"},  /* alto (tenor) horn in E-flat */
        {-14, "C5", "Bb3", "Bb"}, /* baritone, euphonium, band trombone in treble clef */
        {-21, "C5", "Eb3", "Eb"}, /* E-flat tuba in treble clef */
        {-21, "G4", "Bb2", "Eb"},
        {-26, "C5", "Bb2", "Bb"}, /* B-flat tuba in treble clef */
        {3, "C5", "Eb5", "Eb"},   /* E-flat soprano cornet, trumpet in E-flat */
        {2, "C5", "D5", "D"},     /* trumpet in D */
        {-8, "C5", "E4", "E"},    /* horn in E */
        {-12, "C3", "C2", "C"},   /* an octave, whatever reads so */
    };
    const struct passo_key c = {0, PASSO_MODE_MAJOR};
    for (size_t i = 0; i < COUNT(instruments); i++) {
        const struct passo_interval by = passo_interval_of(instruments[i].semitones);
        is_pitch(passo_pitch_move(pitch_named(instruments[i].written), by), instruments[i].sounds);
        is_key(passo_key_move(c, by), instruments[i].key_of_c);
    }
    /* trade.md (e) 3: concert A-flat is a B-flat instrument's B-flat */
    is_key(passo_key_move(key_named("Bb", PASSO_MODE_MAJOR), passo_interval_of(-2)), "Ab");
    /* the mode stays, and what has too many signs is its twin: a fifth over G double sharp is E */
    const struct passo_key minor = key_named("D", PASSO_MODE_MINOR);
    assert_int_equal(passo_key_move(minor, passo_interval_of(-7)).mode, PASSO_MODE_MINOR);
    is_key(passo_key_move(minor, passo_interval_of(-7)), "G");
    is_key(passo_key_move(key_named("G##", PASSO_MODE_MAJOR), passo_interval_of(7)), "E");
    is_key(passo_key_move(key_named("Fbb", PASSO_MODE_MAJOR), passo_interval_of(-7)), "Ab");
}

static bool agrees(struct passo_interval interval)
{
    return (interval.semitones - 7 * interval.fifths) % 12 == 0;
}

static void intervals_agree_with_themselves(void **unused)
{
    (void)unused;
    for (int semitones = -60; semitones <= 60; semitones++) {
        const struct passo_interval by = passo_interval_of(semitones);
        assert_int_equal(by.semitones, semitones);
        assert_true(agrees(by));
        assert_true(by.fifths >= -5 && by.fifths <= 6);
        for (int more = -12; more <= 12; more++) {
            const struct passo_interval sum = passo_interval_sum(by, passo_interval_of(more));
            assert_int_equal(sum.semitones, semitones + more);
            assert_int_equal(sum.fifths, by.fifths + passo_interval_of(more).fifths);
        }
    }
    /* a major third and a minor one are a fifth; two whole tones a major third */
    const struct passo_interval thirds =
        passo_interval_sum(passo_interval_of(4), passo_interval_of(3));
    is_pitch(passo_pitch_move(pitch_named("Eb3"), thirds), "Bb3");
    is_pitch(passo_pitch_move(pitch_named("E3"),
                              passo_interval_sum(passo_interval_of(2), passo_interval_of(2))),
             "G#3");
}

/* Every note by every interval: the sound is exact inside the octaves, and octaves off outside. */
static void every_move_is_exact_or_octaves_off(void **unused)
{
    (void)unused;
    for (int i = 0; i < (int)COUNT(line_of_fifths) * 11; i++) {
        const struct passo_pitch from = {(int8_t)(i / 11 + PASSO_FIFTHS_MIN),
                                         (int8_t)(i % 11 + PASSO_OCTAVE_MIN)};
        for (int semitones = -48; semitones <= 48; semitones++) {
            const struct passo_pitch to = passo_pitch_move(from, passo_interval_of(semitones));
            const int off = passo_pitch_midi(to) - passo_pitch_midi(from) - semitones;
            assert_true(to.fifths >= PASSO_FIFTHS_MIN && to.fifths <= PASSO_FIFTHS_MAX);
            assert_true(to.octave >= PASSO_OCTAVE_MIN && to.octave <= PASSO_OCTAVE_MAX);
            assert_int_equal(off % 12, 0);
            assert_true(off == 0 || (off > 0 && to.octave == PASSO_OCTAVE_MIN) ||
                        (off < 0 && to.octave == PASSO_OCTAVE_MAX));
        }
    }
    is_pitch(passo_pitch_move(pitch_named("C9"), passo_interval_of(14)), "D9");
    is_pitch(passo_pitch_move(pitch_named("C-1"), passo_interval_of(-2)), "Bb-1");
}

static void keys_are_reached_by_the_nearest_way(void **unused)
{
    (void)unused;
    for (int a = -PASSO_TONIC_MAX; a <= PASSO_TONIC_MAX; a++) {
        for (int b = -PASSO_TONIC_MAX; b <= PASSO_TONIC_MAX; b++) {
            const struct passo_key from = {(int8_t)a, PASSO_MODE_MINOR};
            const struct passo_key to = {(int8_t)b, PASSO_MODE_MAJOR};
            const struct passo_interval by = passo_interval_between(from, to);
            assert_true(by.semitones >= -6 && by.semitones <= 5);
            assert_true(agrees(by));
            assert_int_equal(passo_key_move(from, by).tonic, b);
        }
    }
    static const struct {
        const char *from, *to;
        int semitones;
    } ways[] = {{"C", "G", -5}, {"C", "F", 5},   {"C", "F#", -6}, {"C", "Gb", -6}, {"Bb", "C", 2},
                {"C", "B", -1}, {"B", "Cb", 0},  {"Eb", "Gb", 3}, {"E", "A", 5},   {"A", "Eb", -6},
                {"D", "D", 0},  {"Db", "C#", 0}, {"Ab", "E", -4}};
    for (size_t i = 0; i < COUNT(ways); i++)
        assert_int_equal(passo_interval_between(key_named(ways[i].from, PASSO_MODE_MAJOR),
                                                key_named(ways[i].to, PASSO_MODE_MAJOR))
                             .semitones,
                         ways[i].semitones);
}

/* references.md 5: C F Bb Eb Ab Db Gb B E A D G. Each is a fourth up from the one before; once
 * round a tune is back at its own sound, and at its spelling too, as Gb goes on as B. */
static void the_circle_of_fourths_closes(void **unused)
{
    (void)unused;
    static const char *const circle[] = {"C",  "F", "Bb", "Eb", "Ab", "Db",
                                         "Gb", "B", "E",  "A",  "D",  "G"};
    struct passo_pitch tune = pitch_named("E4");
    for (size_t i = 0; i < COUNT(circle); i++) {
        const struct passo_key from = key_named(circle[i], PASSO_MODE_MAJOR);
        const struct passo_key to = key_named(circle[(i + 1) % COUNT(circle)], PASSO_MODE_MAJOR);
        const struct passo_interval by = passo_interval_between(from, to);
        assert_int_equal(by.semitones, 5);
        tune = passo_pitch_move(tune, by);
        tune.octave = 4;
    }
    is_pitch(tune, "E4");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spellings_move_as_tonal_says),
        cmocka_unit_test(instruments_sound_as_they_are_named),
        cmocka_unit_test(intervals_agree_with_themselves),
        cmocka_unit_test(every_move_is_exact_or_octaves_off),
        cmocka_unit_test(keys_are_reached_by_the_nearest_way),
        cmocka_unit_test(the_circle_of_fourths_closes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
