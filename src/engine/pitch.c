/* Notes as frequencies of the equal temperament, and the note of a drone. Pure; any thread. */
#include <passo/intonation.h>

#include <math.h>

#define A4_MIDI          69
#define DRONE_LOWEST     41 /* F2 */
#define F_PITCH_CLASS    5
#define SEMITONES_OCTAVE 12

double passo_pitch_hz(int midi, double a4_hz)
{
    return a4_hz * exp2((double)(midi - A4_MIDI) / SEMITONES_OCTAVE);
}

int passo_key_drone_midi(struct passo_key key)
{
    const int above_f = passo_key_pitch_class(key) + SEMITONES_OCTAVE - F_PITCH_CLASS;
    return DRONE_LOWEST + above_f % SEMITONES_OCTAVE;
}
