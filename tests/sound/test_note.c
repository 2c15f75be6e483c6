/* Notes as the player plays them: where they begin to a frame, what tells tongued, accented,
 * slurred and short ones apart, that no border clicks, and that layers leave one another alone.
 * Levels are means over a period of the wave, so that they tell the gain. */
#include "tone_tools.h"

#define TONGUE   384  /* 8 ms */
#define SLUR     576  /* 12 ms */
#define END      1200 /* 25 ms */
#define BLOOM    4320 /* 90 ms */
#define B_FLAT_3 233.08188F
#define C_4      261.62557F

struct played {
    float hz;
    enum passo_onset onset;
    size_t on;
    size_t off; /* 0: none, the next takes its place */
};

/* --- playing --- */

static struct passo_tone note_of(float hz, enum passo_onset onset)
{
    return (struct passo_tone){
        .hz = hz, .level = LEVEL, .layer = PASSO_LAYER_NOTE, .onset = (uint8_t)onset};
}

/* A line of notes in `out`. */
static void play(const struct played *note, size_t notes, float *out)
{
    struct passo_tones tones = quiet();
    size_t at = 0;
    for (size_t i = 0; i < notes; i++) {
        mix(&tones, out + at, note[i].on - at);
        passo_tones_start(&tones, note_of(note[i].hz, note[i].onset));
        at = note[i].on;
        if (!note[i].off)
            continue;
        mix(&tones, out + at, note[i].off - at);
        passo_tones_end(&tones, PASSO_LAYER_NOTE);
        at = note[i].off;
    }
    mix(&tones, out + at, FRAMES - at);
}

/* The level over 10 ms from a frame on, in dB of that of a steady tone at full LEVEL. */
static double level_db(const float *out, size_t from)
{
    static float steady[FRAMES];
    static double full;
    double sum = 0;
    if (full <= 0) {
        struct passo_tones tones = quiet();
        start(&tones, B_FLAT_3);
        mix(&tones, steady, FRAMES);
        for (size_t i = FRAMES / 2; i < FRAMES; i++)
            full += (double)steady[i] * (double)steady[i] / (FRAMES / 2.0);
    }
    for (size_t i = from; i < from + 480; i++)
        sum += (double)out[i] * (double)out[i] / 480;
    return 10 * log10(sum / full + 1e-12);
}

/* The lowest level of any 10 ms between two frames. */
static double dip_db(const float *out, size_t from, size_t to)
{
    double least = 100;
    for (size_t i = from; i + 480 <= to; i += 24)
        least = fmin(least, level_db(out, i));
    return least;
}

/* How sharply a line bends: what a click would raise. */
static float sharpest(const float *out, size_t from, size_t to)
{
    float most = 0;
    for (size_t i = from + 1; i + 1 < to; i++)
        most = fmaxf(most, fabsf(out[i + 1] - 2 * out[i] + out[i - 1]));
    return most;
}

/* --- where it begins --- */

/* At any pitch and rate the first frame is silent and the second is heard, in a file of 16 bits
 * too; so is the beginning after a note that has ended. */
static void test_the_beginning_is_exact(void **state)
{
    (void)state;
    static const uint32_t rates[] = {8000, 22050, 44100, 48000, 96000, 192000};
    for (size_t r = 0; r < sizeof rates / sizeof *rates; r++) {
        for (int midi = 22; midi <= 82; midi++) {
            struct passo_tones tones;
            passo_tones_init(&tones, &waves, rates[r]);
            for (int again = 0; again < 2; again++) {
                struct passo_tone tone = note_of(440.0F * exp2f((float)(midi - 69) / 12),
                                                 again ? PASSO_ONSET_ACCENT : PASSO_ONSET_TONGUED);
                tone.level = PASSO_NOTE_LEVEL;
                passo_tones_start(&tones, tone);
                mix(&tones, whole, 2);
                assert_true(whole[0] == 0.0F);
                assert_true(lrintf(fabsf(whole[1]) * 32767) > 0);
                passo_tones_end(&tones, PASSO_LAYER_NOTE);
                passo_tones_mix(&tones, NULL, rates[r]);
                assert_false(passo_tones_sound(&tones));
            }
        }
    }
}

/* --- how it goes on --- */

/* A tongued note is at its level after 8 ms and has lost 3 dB of it 90 ms later; an accented one
 * begins 3 dB higher and loses more; a slurred one by itself has no beginning of its own. */
static void test_a_tongue_is_heard(void **state)
{
    (void)state;
    static const struct {
        enum passo_onset onset;
        double first_db;
        double settled_db;
    } rows[] = {{PASSO_ONSET_TONGUED, -0.2, -3.1},
                {PASSO_ONSET_ACCENT, 2.7, -1.9},
                {PASSO_ONSET_SLURRED, -3.1, -3.1}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct played one = {B_FLAT_3, rows[i].onset, 0, 30000};
        play(&one, 1, whole);
        assert_true(fabs(level_db(whole, SLUR) - rows[i].first_db) < 0.3);
        assert_true(fabs(level_db(whole, SLUR + BLOOM) - rows[i].settled_db) < 0.3);
        assert_true(fabs(level_db(whole, 29000) - rows[i].settled_db) < 0.3);
        assert_true(whole[30000 + END] == 0.0F && whole[30000 + END / 2] != 0.0F);
    }
}

/* --- from note to note --- */

/* Quarters at 120: tongued (7/8), slurred and staccato (1/2) between B-flat 3 and C 4. The border
 * of a tongued pair is a silence, of a slurred pair no dip at all; the next tongue stands out. */
static void test_touches_are_told_apart(void **state)
{
    (void)state;
    static const struct played tongued[] = {{B_FLAT_3, PASSO_ONSET_TONGUED, 0, 21000},
                                            {C_4, PASSO_ONSET_TONGUED, 24000, 45000}};
    static const struct played slurred[] = {{B_FLAT_3, PASSO_ONSET_TONGUED, 0, 0},
                                            {C_4, PASSO_ONSET_SLURRED, 24000, 45000}};
    static const struct played staccato[] = {{B_FLAT_3, PASSO_ONSET_TONGUED, 0, 12000},
                                             {C_4, PASSO_ONSET_TONGUED, 24000, 36000}};
    play(tongued, 2, whole);
    assert_true(dip_db(whole, 20000, 25000) < -60);
    assert_true(level_db(whole, 24000 + SLUR) - level_db(whole, 20000) > 2.5);
    assert_true(level_db(whole, 20400) > -3.5);
    play(slurred, 2, whole);
    assert_true(dip_db(whole, 20000, 30000) > -5.5);
    assert_true(level_db(whole, 24000 + SLUR) - level_db(whole, 20000) < 0.5);
    play(staccato, 2, whole);
    assert_true(level_db(whole, 11400) > -3.5);
    assert_true(dip_db(whole, 12000 + END, 12000 + END + 480) < -60); /* silent 9,800 frames long */
    assert_true(steepest(whole + 12000 + END, 24000 - 12000 - END) == 0.0F);
}

/* At no border, whatever the pitches and the phase at which they meet, is the line bent sharper
 * than by both notes sounding together, and the gap of a slur is none. */
static void test_no_border_clicks(void **state)
{
    (void)state;
    static const enum passo_onset onsets[] = {PASSO_ONSET_SLURRED, PASSO_ONSET_TONGUED,
                                              PASSO_ONSET_ACCENT};
    float alone = 0;
    double least_db = 0;
    for (int k = 0; k < 60; k++) {
        struct played pair[] = {{B_FLAT_3, PASSO_ONSET_TONGUED, 0, 0},
                                {B_FLAT_3 * exp2f((float)(k % 13 - 6) / 12), onsets[k % 3],
                                 9000 + (size_t)k * 7, 20000}};
        play(&pair[0], 1, whole);
        alone = sharpest(whole, 6000, 9000);
        play(pair, 2, whole);
        float both = alone + sharpest(whole, 16000, 19000) * (k % 3 == 2 ? 1.75F : 1.45F);
        float border = sharpest(whole, 8900, 12000);
        assert_true(border < both);
        if (k % 3 == 0)
            least_db = fmin(least_db, dip_db(whole, 8000, 12000));
    }
    assert_true(least_db > -6.5);
}

/* A slur is 12 ms in which the note before goes and the next comes, each by a raised cosine. */
static void test_a_slur_is_a_crossfade(void **state)
{
    (void)state;
    static float before[FRAMES];
    static const struct played pair[] = {{B_FLAT_3, PASSO_ONSET_TONGUED, 0, 0},
                                         {C_4, PASSO_ONSET_SLURRED, 10000, 30000}};
    play(&pair[0], 1, before);
    play(&pair[1], 1, split);
    play(pair, 2, whole);
    for (size_t i = 10000; i < FRAMES; i++) {
        float gone = i < 10000 + SLUR ? 0.5F + 0.5F * cosf(PI * (float)(i - 10000) / SLUR) : 0;
        assert_true(fabsf(whole[i] - gone * before[i] - split[i]) < 2e-6F);
    }
    struct passo_tones tones = quiet();
    passo_tones_start(&tones, note_of(C_4, PASSO_ONSET_SLURRED));
    tones.slot[0].left = 0; /* at its level from the first frame on */
    mix(&tones, before, SLUR);
    for (size_t i = 0; i < SLUR; i++) {
        float come = 0.5F - 0.5F * cosf(PI * (float)i / SLUR);
        assert_true(fabsf(split[10000 + i] - come * before[i]) < 2e-6F);
    }
}

/* A slurred note of the pitch that sounds is that note going on. */
static void test_a_slur_on_one_pitch(void **state)
{
    (void)state;
    static const struct played one[] = {{B_FLAT_3, PASSO_ONSET_TONGUED, 0, 30000}};
    static const struct played two[] = {{B_FLAT_3, PASSO_ONSET_TONGUED, 0, 0},
                                        {B_FLAT_3, PASSO_ONSET_SLURRED, 12345, 30000}};
    play(one, 1, whole);
    play(two, 2, split);
    assert_memory_equal(split, whole, sizeof whole);
}

/* Thirty-seconds at quarter = 300 are 25 ms; here 5 ms, slurred and then tongued: each is heard. */
static void test_the_fastest_runs(void **state)
{
    (void)state;
    for (int tongued = 0; tongued < 2; tongued++) {
        struct passo_tones tones = quiet();
        for (int i = 0; i < 200; i++) {
            const enum passo_onset onset = tongued ? PASSO_ONSET_TONGUED : PASSO_ONSET_SLURRED;
            const struct passo_tone tone = note_of(200 + (float)i, onset);
            passo_tones_start(&tones, tone);
            size_t found = 0;
            for (size_t k = 0; k < PASSO_TONE_SLOTS; k++)
                found += tones.slot[k].period && tones.slot[k].to > 0;
            assert_int_equal(found, 1);
            mix(&tones, whole, 240);
        }
        passo_tones_end(&tones, PASSO_LAYER_NOTE);
        passo_tones_mix(&tones, NULL, END);
        assert_false(passo_tones_sound(&tones));
    }
}

/* --- layers --- */

/* Two drones and a line of notes are the sum of what each is by itself. */
static void test_layers_do_not_meet(void **state)
{
    (void)state;
    static float sum[FRAMES];
    static const struct played line[] = {{LOW_HZ, PASSO_ONSET_TONGUED, 5000, 9000},
                                         {HIGH_HZ, PASSO_ONSET_TONGUED, 10000, 0},
                                         {LOW_HZ, PASSO_ONSET_SLURRED, 15000, 20000}};
    const struct passo_tone root = {.hz = LOW_HZ, .level = LEVEL};
    const struct passo_tone fifth = {.hz = HIGH_HZ, .level = LEVEL / 2, .layer = PASSO_LAYER_FIFTH};
    play(line, 3, sum);
    struct passo_tones tones = quiet();
    passo_tones_start(&tones, root);
    passo_tones_start(&tones, fifth);
    float *out = mix(&tones, split, 17000);
    passo_tones_end(&tones, PASSO_LAYER_FIFTH);
    mix(&tones, out, FRAMES - 17000);
    tones = quiet();
    passo_tones_start(&tones, root);
    passo_tones_start(&tones, fifth);
    out = mix(&tones, whole, 5000);
    passo_tones_start(&tones, note_of(LOW_HZ, PASSO_ONSET_TONGUED));
    out = mix(&tones, out, 4000);
    passo_tones_end(&tones, PASSO_LAYER_NOTE);
    out = mix(&tones, out, 1000);
    passo_tones_start(&tones, note_of(HIGH_HZ, PASSO_ONSET_TONGUED));
    out = mix(&tones, out, 5000);
    passo_tones_start(&tones, note_of(LOW_HZ, PASSO_ONSET_SLURRED));
    out = mix(&tones, out, 2000);
    passo_tones_end(&tones, PASSO_LAYER_FIFTH);
    out = mix(&tones, out, 3000);
    passo_tones_end(&tones, PASSO_LAYER_NOTE);
    mix(&tones, out, FRAMES - 20000);
    for (size_t i = 0; i < FRAMES; i++)
        assert_true(fabsf(whole[i] - split[i] - sum[i]) < 1e-6F);
    passo_tones_release(&tones); /* what is left: the root */
    passo_tones_mix(&tones, NULL, RELEASE);
    assert_false(passo_tones_sound(&tones));
}

/* Any split into blocks, walking only in between too. */
static void test_any_split_gives_the_same(void **state)
{
    (void)state;
    static const size_t blocks[] = {1, 7, 64, 4096};
    const struct passo_tone tone = note_of(B_FLAT_3, PASSO_ONSET_ACCENT);
    struct passo_tones tones = quiet();
    passo_tones_start(&tones, tone);
    mix(&tones, whole, 20000);
    for (size_t b = 0; b < sizeof blocks / sizeof *blocks; b++) {
        for (int every = 1; every <= 3; every += 2) {
            tones = quiet();
            passo_tones_start(&tones, tone);
            size_t at = 0;
            for (int turn = 0; at < 20000; turn++) {
                size_t frames = at + blocks[b] < 20000 ? blocks[b] : 20000 - at;
                memset(split, 0, frames * sizeof *split);
                passo_tones_mix(&tones, turn % every ? NULL : split, frames);
                if (turn % every == 0)
                    assert_memory_equal(split, whole + at, frames * sizeof *split);
                at += frames;
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_beginning_is_exact),   cmocka_unit_test(test_a_tongue_is_heard),
        cmocka_unit_test(test_touches_are_told_apart),   cmocka_unit_test(test_no_border_clicks),
        cmocka_unit_test(test_a_slur_is_a_crossfade),    cmocka_unit_test(test_a_slur_on_one_pitch),
        cmocka_unit_test(test_the_fastest_runs),         cmocka_unit_test(test_layers_do_not_meet),
        cmocka_unit_test(test_any_split_gives_the_same),
    };
    return cmocka_run_group_tests(tests, make_waves, NULL);
}
