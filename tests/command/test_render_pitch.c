/* A whole track by the real command, read back by libsndfile: what sounds in the file is what a
 * trumpet in B-flat would sound, an octave down and tuned to 442 Hz, and begins where it is
 * written.
 *
 * Pitch is measured apart from the program: by the phase that a Fourier sum at the third harmonic
 * gains between two windows. Wanted are 442 * 2^((m - 69) / 12) Hz (MIDI numbers, references.md 5),
 * two semitones under what is written (common practice). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include <complex.h>
#include <math.h>
#include <sndfile.h>
#include <stdbool.h>

#include "command/command.h"

#define PI 3.14159265358979323846

enum { RATE_HZ = 22050, TEMPO = 96, COUNT_IN = 4, HARMONIC = 3 };

/* What is written, in quarters; shares of a note's length that sound are timeline.h's. */
static const struct {
    double beat;  /* from the first bar line */
    double sound; /* quarters */
    int midi;     /* as written */
    bool tongued;
} written[] = {
    {0, 7.0 / 8, 72, true},     /* C 5 */
    {1, 1.0 / 2, 76, true},     /* E 5, staccato */
    {2, 1, 79, true},           /* G 5, slurred to ... */
    {3, 7.0 / 8, 81, false},    /* ... A 5 */
    {4, 2 * 7.0 / 8, 82, true}, /* B-flat 5, a half */
    {7, 7.0 / 8, 78, true},     /* F-sharp 5 behind a rest */
};
static const char abc[] = "[L:1/4]c.e(ga)|_b2z^f|";

enum { NOTES = sizeof written / sizeof *written, RELEASE = RATE_HZ * 25 / 1000 + 1 };

static float *sound;
static size_t frames;

static double frame_of(double beat)
{
    return (COUNT_IN + beat) * RATE_HZ * 60 / TEMPO;
}

/* --- the file --- */

static int render(void **state)
{
    (void)state;
    char folder[] = "/tmp/passo-render-XXXXXX";
    char out[64];
    char pulse[64];
    char pitch[64];
    assert_non_null(mkdtemp(folder));
    snprintf(out, sizeof out, "%s/track.wav", folder);
    snprintf(pulse, sizeof pulse, "%s/track-pulse.wav", folder);
    snprintf(pitch, sizeof pitch, "%s/track-pitch.wav", folder);
    const char *const words[] = {out,           "--stems",    "--bits",       "float",
                                 "--rate",      "22050",      "--meter",      "4/4",
                                 "--bars",      "1-2",        "--target",     "96",
                                 "--tempo",     "96",         "--passes",     "1",
                                 "--hear",      "every pass", "--instrument", "B-flat trumpet",
                                 "--reference", "442",        "--variant",    "low=octave -1",
                                 "--only",      "whole, low", "--notes",      abc};
    const struct passo_program_command self = {.name = "render", .operand = "", .text = ""};
    char *argv[sizeof words / sizeof *words];
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        argv[i] = (char *)words[i];
    assert_int_equal(passo_command_render(&self, sizeof words / sizeof *words, argv),
                     PASSO_EXIT_DONE);
    SF_INFO info = {0};
    SNDFILE *file = sf_open(pitch, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.samplerate, RATE_HZ);
    assert_int_equal(info.channels, 1);
    frames = (size_t)info.frames;
    sound = calloc(frames, sizeof *sound);
    assert_int_equal(sf_readf_float(file, sound, info.frames), info.frames);
    sf_close(file);
    assert_int_equal(unlink(pitch) | unlink(pulse) | rmdir(folder), 0);
    return 0;
}

static int drop(void **state)
{
    (void)state;
    free(sound);
    return 0;
}

/* --- onsets --- */

/* Before a note that is tongued there is silence; its own first frame is 0 too (tone.h), so that it
 * begins one frame before the first that is not. */
static void tongued_notes_begin_on_their_frames(void **state)
{
    (void)state;
    size_t at = 0;
    for (size_t i = 0; i < NOTES; i++) {
        const double wanted = frame_of(written[i].beat);
        const double end = frame_of(written[i].beat + written[i].sound);
        if (written[i].tongued) {
            while (at < frames && sound[at] == 0)
                at++;
            assert_true(at < frames);
            assert_true(fabs((double)at - 1 - wanted) <= 0.5);
        }
        /* it sounds to its end, and rings out then, but where it leads into the next */
        for (; (double)at < end - 8; at += 8) {
            bool sounds = false;
            for (size_t k = 0; k < 8; k++)
                sounds |= sound[at + k] != 0;
            assert_true(sounds);
        }
        at = (size_t)end + RELEASE;
        if (i + 1 < NOTES && !written[i + 1].tongued)
            at = (size_t)end;
        else
            assert_true(sound[at] == 0);
    }
}

/* The pass behind the hearing is the player's own, but for the note that says so, from 1.5 s to 3 s
 * behind the hearing. */
static void nothing_else_sounds(void **state)
{
    (void)state;
    const size_t begin = (size_t)frame_of(0);
    const size_t end = (size_t)frame_of(written[NOTES - 1].beat + 1);
    assert_true(frames > 2 * end);
    const size_t heard = (size_t)frame_of(9); /* with its landing */
    const size_t note = heard + (size_t)RATE_HZ * 3 / 2;
    const size_t note_end = heard + (size_t)RATE_HZ * 3 + RELEASE + 1;
    for (size_t i = 0; i < frames; i++)
        assert_true(sound[i] == 0 || (i > begin && i < end) || (i > note && i < note_end));
}

/* --- pitch --- */

/* The Fourier sum at so many turns a frame over [from, from + count), under a Hann window: the
 * amplitude there. */
static double complex fourier(size_t from, size_t count, double turns)
{
    double complex sum = 0;
    for (size_t i = 0; i < count; i++) {
        const double window = 0.5 - 0.5 * cos(2 * PI * ((double)i + 0.5) / (double)count);
        sum += window * (double)sound[from + i] * cexp(-2 * PI * I * turns * (double)(from + i));
    }
    return sum * 4 / (double)count;
}

/* How far the sound from one frame to another is from a pitch, in cents. */
static double cents_off(size_t from, size_t to, double hz)
{
    const size_t step = (to - from) / 3;
    const double third_hz = HARMONIC * hz;
    const double complex early = fourier(from, 2 * step, third_hz / RATE_HZ);
    const double complex late = fourier(from + step, 2 * step, third_hz / RATE_HZ);
    assert_true(cabs(early) > 0.01 && cabs(late) > 0.01); /* it is there */
    const double off_hz = carg(late / early) / (2 * PI) * RATE_HZ / (double)step;
    return 1200 * log2((third_hz + off_hz) / third_hz);
}

static void every_note_has_its_pitch(void **state)
{
    (void)state;
    double worst = 0;
    for (size_t i = 0; i < NOTES; i++) {
        const double hz = 442 * pow(2, (written[i].midi - 2 - 12 - 69) / 12.0);
        const size_t from = (size_t)frame_of(written[i].beat) + RATE_HZ / 50;
        const size_t to = (size_t)frame_of(written[i].beat + written[i].sound) - 1;
        const double off = fabs(cents_off(from, to, hz));
        worst = fmax(worst, off);
        assert_true(off < 1);
    }
    print_message("six notes of a track: at most %.4f cent off\n", worst);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tongued_notes_begin_on_their_frames),
        cmocka_unit_test(nothing_else_sounds),
        cmocka_unit_test(every_note_has_its_pitch),
    };
    return cmocka_run_group_tests(tests, render, drop);
}
