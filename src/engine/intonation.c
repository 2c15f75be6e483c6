/* What is tuned to, as tones. Pure; any thread. */
#include <passo/intonation.h>

#include <math.h>

enum { OCTAVE = 12, FIFTH = 7 };

static double a4_of(const struct passo_intonation *intonation)
{
    return intonation->a4_hz > 0 ? intonation->a4_hz : PASSO_A4_HZ;
}

double passo_intonation_hz(const struct passo_intonation *intonation, struct passo_pitch written,
                           int octave)
{
    int midi = passo_pitch_midi(written) + intonation->transposition + OCTAVE * octave;
    return passo_pitch_hz(midi, a4_of(intonation));
}

static double root_hz(const struct passo_intonation *intonation)
{
    if (intonation->drone == PASSO_DRONE_NOTE)
        return passo_intonation_hz(intonation, intonation->note, 0);
    struct passo_key sounds =
        passo_key_move(intonation->key, passo_interval_of(intonation->transposition));
    return passo_pitch_hz(passo_key_drone_midi(sounds), a4_of(intonation));
}

size_t passo_intonation_drone(const struct passo_intonation *intonation, float level,
                              struct passo_tone out_tone[PASSO_DRONES_MAX])
{
    if (intonation->drone == PASSO_DRONE_NONE)
        return 0;
    if (level <= 0)
        level = PASSO_TONE_LEVEL;
    double hz = root_hz(intonation);
    out_tone[0] = (struct passo_tone){.hz = (float)hz, .level = level};
    if (intonation->drone != PASSO_DRONE_ROOT_AND_FIFTH)
        return 1;
    double fifth_hz = hz * (intonation->pure_fifth ? 1.5 : exp2((double)FIFTH / OCTAVE));
    out_tone[0].level = level / 2;
    out_tone[1] =
        (struct passo_tone){.hz = (float)fifth_hz, .level = level / 2, .layer = PASSO_LAYER_FIFTH};
    return 2;
}

bool passo_intonation_starts(const struct passo_intonation *intonation, bool notes)
{
    return intonation->starts || (notes && intonation->hear != PASSO_HEAR_OFF);
}
