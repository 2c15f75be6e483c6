/* Another key: what an interval moves, and what sounds. Pure; any thread. */
#include "session/tuning.h"

enum { TWIN_FIFTHS = 12, SIGNS_MOST = 6, MINOR_FIFTHS = 3 };

struct passo_intonation tuning_moved(const struct passo_intonation *intonation,
                                     struct passo_interval by)
{
    struct passo_intonation moved = *intonation;
    moved.key = passo_key_move(moved.key, by);
    moved.note = passo_pitch_move(moved.note, by);
    moved.start = passo_pitch_move(moved.start, by);
    return moved;
}

struct passo_key tuning_concert(const struct passo_intonation *intonation)
{
    struct passo_key key =
        passo_key_move(intonation->key, passo_interval_of(intonation->transposition));
    const int sharps = key.tonic - (key.mode == PASSO_MODE_MINOR ? MINOR_FIFTHS : 0);
    if (sharps > SIGNS_MOST)
        key.tonic = (int8_t)(key.tonic - TWIN_FIFTHS);
    else if (sharps < -SIGNS_MOST)
        key.tonic = (int8_t)(key.tonic + TWIN_FIFTHS);
    return key;
}
