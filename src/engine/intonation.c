/* What is tuned to, as tones. Pure; any thread. */
#include <passo/intonation.h>

size_t passo_intonation_drone(const struct passo_intonation *intonation, float level,
                              struct passo_tone out_tone[PASSO_DRONES_MAX])
{
    const double a4_hz = intonation->a4_hz > 0 ? intonation->a4_hz : PASSO_A4_HZ;
    if (intonation->drone == PASSO_DRONE_NONE)
        return 0;
    out_tone[0] = (struct passo_tone){
        .hz = (float)passo_pitch_hz(passo_key_drone_midi(intonation->key), a4_hz), .level = level};
    return 1;
}
