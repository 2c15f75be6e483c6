/* Pitches on the line of fifths: a letter is a place from F (-1) to B (5), a flat or a sharp seven
 * places. Pure; any thread. */
#include <passo/pitch.h>

#include <math.h>

enum {
    A4_MIDI = 69,
    MIDI_MOST = 127,
    C_MIDI = 12,       /* of octave 0 */
    DRONE_LOWEST = 41, /* F 2 */
    F_PITCH_CLASS = 5,
    SEMITONES = 12, /* of an octave */
    LETTERS = 7,
    FIFTH = 7,        /* in semitones */
    COMMA_FIFTHS = 12 /* so many fifths are an enharmonic twin away */
};

/* a modulo b, never negative. */
static int modulo(int a, int b)
{
    int rest = a % b;
    return rest < 0 ? rest + b : rest;
}

static bool in_limits(int fifths, int octave)
{
    return fifths >= PASSO_FIFTHS_MIN && fifths <= PASSO_FIFTHS_MAX && octave >= PASSO_OCTAVE_MIN &&
           octave <= PASSO_OCTAVE_MAX;
}

/* A fifth is four letters up. */
int passo_pitch_letter(struct passo_pitch pitch)
{
    return modulo(4 * pitch.fifths, LETTERS);
}

/* F, the first of the plain letters, is at -1. */
int passo_pitch_alter(struct passo_pitch pitch)
{
    int from_f = pitch.fifths + 1;
    return (from_f - modulo(from_f, LETTERS)) / LETTERS;
}

static int plain_semitones(int letter)
{
    static const int semitones[LETTERS] = {0, 2, 4, 5, 7, 9, 11};
    return semitones[letter];
}

int passo_pitch_midi(struct passo_pitch pitch)
{
    return C_MIDI + SEMITONES * pitch.octave + plain_semitones(passo_pitch_letter(pitch)) +
           passo_pitch_alter(pitch);
}

struct passo_pitch passo_pitch_of(int letter, int alter, int octave)
{
    static const int fifths[LETTERS] = {0, 2, 4, -1, 1, 3, 5};
    PASSO_BUG_ON(letter < 0 || letter >= LETTERS);
    int place = fifths[letter] + LETTERS * alter;
    /* Three signs lie beyond the line's ends, whatever the letter. */
    PASSO_BUG_ON(!in_limits(place, octave));
    return (struct passo_pitch){(int8_t)place, (int8_t)octave};
}

/* The octave in which a spelling has this MIDI number. */
static int octave_of(int fifths, int midi)
{
    return (midi - passo_pitch_midi((struct passo_pitch){(int8_t)fifths, 0})) / SEMITONES;
}

/* The same sound in letters that can be written. */
static int within_limits(int fifths)
{
    while (fifths > PASSO_FIFTHS_MAX)
        fifths -= COMMA_FIFTHS;
    while (fifths < PASSO_FIFTHS_MIN)
        fifths += COMMA_FIFTHS;
    return fifths;
}

struct passo_pitch passo_pitch_of_midi(int midi, struct passo_key key)
{
    PASSO_BUG_ON(midi < 0 || midi > MIDI_MOST);
    /* Fifths whose pitch class this is lie twelve apart. */
    int first = key.tonic - 5;
    int fifths = within_limits(first + modulo(FIFTH * midi - first, COMMA_FIFTHS));
    /* B-sharp below the lowest C is that C. */
    if (octave_of(fifths, midi) < PASSO_OCTAVE_MIN)
        fifths -= COMMA_FIFTHS;
    return (struct passo_pitch){(int8_t)fifths, (int8_t)octave_of(fifths, midi)};
}

int passo_pitch_step(struct passo_pitch pitch)
{
    return LETTERS * pitch.octave + passo_pitch_letter(pitch);
}

struct passo_interval passo_interval_of(int semitones)
{
    /* From five fifths down (a minor second up) to six up (the augmented fourth). */
    int fifths = modulo(FIFTH * semitones + 5, COMMA_FIFTHS) - 5;
    return (struct passo_interval){(int8_t)fifths, (int16_t)semitones};
}

struct passo_interval passo_interval_between(struct passo_key from, struct passo_key to)
{
    int fifths = to.tonic - from.tonic;
    int semitones = modulo(FIFTH * fifths + 6, SEMITONES) - 6;
    return (struct passo_interval){(int8_t)fifths, (int16_t)semitones};
}

struct passo_interval passo_interval_sum(struct passo_interval a, struct passo_interval b)
{
    return (struct passo_interval){(int8_t)(a.fifths + b.fifths),
                                   (int16_t)(a.semitones + b.semitones)};
}

struct passo_pitch passo_pitch_move(struct passo_pitch pitch, struct passo_interval by)
{
    int midi = passo_pitch_midi(pitch) + by.semitones;
    int fifths = within_limits(pitch.fifths + by.fifths);
    int octave = octave_of(fifths, midi);
    if (octave < PASSO_OCTAVE_MIN)
        octave = PASSO_OCTAVE_MIN;
    if (octave > PASSO_OCTAVE_MAX)
        octave = PASSO_OCTAVE_MAX;
    return (struct passo_pitch){(int8_t)fifths, (int8_t)octave};
}

struct passo_key passo_key_move(struct passo_key key, struct passo_interval by)
{
    int tonic = key.tonic + by.fifths;
    while (tonic > PASSO_TONIC_MAX)
        tonic -= COMMA_FIFTHS;
    while (tonic < -PASSO_TONIC_MAX)
        tonic += COMMA_FIFTHS;
    return (struct passo_key){(int8_t)tonic, key.mode};
}

double passo_pitch_hz(int midi, double a4_hz)
{
    return a4_hz * exp2((double)(midi - A4_MIDI) / SEMITONES);
}

int passo_key_drone_midi(struct passo_key key)
{
    const int above_f = passo_key_pitch_class(key) + SEMITONES - F_PITCH_CLASS;
    return DRONE_LOWEST + above_f % SEMITONES;
}
