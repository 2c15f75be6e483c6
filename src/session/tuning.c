/* Another key: intervals and what they move. Pure; any thread. */
#include "session/tuning.h"

enum { TWIN_FIFTHS = 12, SIGNS_MOST = 6, MINOR_FIFTHS = 3 };

struct passo_interval tuning_interval(const struct passo_intonation *intonation, int16_t shift)
{
    struct passo_interval by = passo_interval_of(shift);
    if (shift == 0 || !intonation->keyed)
        return by;
    const int minor = intonation->key.mode == PASSO_MODE_MINOR ? MINOR_FIFTHS : 0;
    const int signs = intonation->key.tonic - minor + by.fifths;
    if (signs > SIGNS_MOST)
        by.fifths = (int8_t)(by.fifths - TWIN_FIFTHS);
    else if (signs < -SIGNS_MOST)
        by.fifths = (int8_t)(by.fifths + TWIN_FIFTHS);
    return by;
}

struct passo_intonation tuning_moved(const struct passo_intonation *intonation, int16_t shift)
{
    const struct passo_interval by = tuning_interval(intonation, shift);
    struct passo_intonation moved = *intonation;
    moved.key = passo_key_move(moved.key, by);
    moved.note = passo_pitch_move(moved.note, by);
    moved.start = passo_pitch_move(moved.start, by);
    return moved;
}
