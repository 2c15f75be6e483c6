/* Pitch: notes as they are written, moved by intervals, and as they sound. Names are scientific:
 * C 4 is middle C, B-flat 2 two lines below it in the bass clef; the octave goes with the letter
 * (B-sharp 3 sounds as C 4). Thread: any. Pure: no I/O, no clock, no allocation. */
#ifndef PASSO_PITCH_H
#define PASSO_PITCH_H

#include <passo/key.h>

#define PASSO_FIFTHS_MIN (-15) /* F double flat */
#define PASSO_FIFTHS_MAX 19    /* B double sharp */
#define PASSO_OCTAVE_MIN (-1)
#define PASSO_OCTAVE_MAX 9

#define PASSO_A4_HZ     440.0 /* ISO 16:1975 */
#define PASSO_A4_MIN_HZ 415.0
#define PASSO_A4_MAX_HZ 466.0

/* A note by its place on the line of fifths (C 0, G 1, F -1, B-flat -2 ...) and its octave. */
struct passo_pitch {
    int8_t fifths;
    int8_t octave;
};

/* The MIDI number: C 4 is 60, A 4 is 69. From -2 to 133 for what the limits above allow. */
int passo_pitch_midi(struct passo_pitch pitch);
/* The letter, 0 C ... 6 B, and what alters it: -2 double flat ... 2 double sharp. */
int passo_pitch_letter(struct passo_pitch pitch);
int passo_pitch_alter(struct passo_pitch pitch);
/* Of a letter and what alters it. Values outside the limits are a bug. */
struct passo_pitch passo_pitch_of(int letter, int alter, int octave);
/* The spelling of a MIDI number, 0 to 127 (else a bug), that fits a key best: of the twelve places
 * of the line of fifths from five below the key's tonic to six above, the harmonic chromatic scale
 * (common practice): in C minor E-flat, A-flat and the leading note B, in A minor G-sharp. */
struct passo_pitch passo_pitch_of_midi(int midi, struct passo_key key);
/* Steps of the staff from C 0: C 4 is 28, D 4 29. */
int passo_pitch_step(struct passo_pitch pitch);

/* An interval up (or down: negative): its place on the line of fifths and its semitones, which
 * agree: semitones = 7 * fifths, modulo 12. */
struct passo_interval {
    int8_t fifths;
    int16_t semitones;
};
/* The usual name of so many semitones: minor and major seconds to sevenths, the augmented fourth;
 * -2 is a major second down, -6 a diminished fifth down (C to F-sharp too), -14 a major ninth. */
struct passo_interval passo_interval_of(int semitones);
/* From one key's tonic to the nearest place of another's: from a tritone down (-6) to under one up
 * (5), spelt as the keys are. Modes are not looked at. */
struct passo_interval passo_interval_between(struct passo_key from, struct passo_key to);
/* a after b. */
struct passo_interval passo_interval_sum(struct passo_interval a, struct passo_interval b);
/* Moved by an interval; a spelling beyond the limits gives way to its nearest enharmonic twin, and
 * what lies beyond the octaves is moved back by octaves. */
struct passo_pitch passo_pitch_move(struct passo_pitch pitch, struct passo_interval by);
/* The key moved likewise: a B-flat trumpet's C major sounds as B-flat major. */
struct passo_key passo_key_move(struct passo_key key, struct passo_interval by);

/* The frequency of a note of the equal temperament: a4_hz * 2^((m - 69) / 12), as in the MIDI
 * tuning table for 440 Hz (ISO 16:1975 for the 440). */
double passo_pitch_hz(int midi, double a4_hz);

#endif
