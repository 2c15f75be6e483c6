/* Keys as places on the line of fifths, and the cycles that a day goes through.
 *
 * Seven semitones are a fifth, and 7 * 7 is 1 modulo 12, so the same multiplication leads from a
 * place to its pitch class and back to one of its places. A cycle needs no table: it steps by so
 * many semitones, and each key is spelt with the fewest signs. Pure; any thread. */
#include <passo/key.h>

#define SEMITONES      12
#define SHARPS_MOST    5 /* of a cycle's keys: six signs are flats, G-flat major and E-flat minor */
#define RELATIVE_APART 3 /* fifths from a major tonic up to the tonic of its relative minor */

/* The remainder from 0 to 11. */
static int around(int number)
{
    const int rest = number % SEMITONES;
    return rest < 0 ? rest + SEMITONES : rest;
}

int passo_key_pitch_class(struct passo_key key)
{
    return around(key.tonic * 7);
}

struct passo_key passo_key_relative(struct passo_key key)
{
    const bool major = key.mode == PASSO_MODE_MAJOR;
    int tonic = major ? key.tonic + RELATIVE_APART : key.tonic - RELATIVE_APART;
    if (tonic > PASSO_TONIC_MAX)
        tonic -= SEMITONES;
    if (tonic < -PASSO_TONIC_MAX)
        tonic += SEMITONES;
    return (struct passo_key){.tonic = (int8_t)tonic,
                              .mode = major ? PASSO_MODE_MINOR : PASSO_MODE_MAJOR};
}

enum passo_key_match passo_key_match(struct passo_key a, struct passo_key b)
{
    if (a.mode != b.mode)
        return passo_key_pitch_class(passo_key_relative(a)) == passo_key_pitch_class(b)
                   ? PASSO_KEY_RELATIVE
                   : PASSO_KEY_APART;
    if (a.tonic == b.tonic)
        return PASSO_KEY_SAME;
    return passo_key_pitch_class(a) == passo_key_pitch_class(b) ? PASSO_KEY_ENHARMONIC
                                                                : PASSO_KEY_APART;
}

size_t passo_cycle_length(const struct passo_cycle *cycle)
{
    switch (cycle->kind) {
    case PASSO_CYCLE_FOURTHS:
    case PASSO_CYCLE_FIFTHS:
    case PASSO_CYCLE_CHROMATIC_UP:
    case PASSO_CYCLE_CHROMATIC_DOWN:
        return SEMITONES;
    case PASSO_CYCLE_LIST:
        return cycle->listed;
    case PASSO_CYCLE_NONE:
    case PASSO_CYCLE_COUNT:
        break;
    }
    return 0;
}

/* Upwards from one key to the next. */
static int semitones_of(enum passo_cycle_kind kind)
{
    switch (kind) {
    case PASSO_CYCLE_FOURTHS:
        return 5;
    case PASSO_CYCLE_FIFTHS:
        return 7;
    case PASSO_CYCLE_CHROMATIC_UP:
        return 1;
    case PASSO_CYCLE_CHROMATIC_DOWN:
        return SEMITONES - 1;
    case PASSO_CYCLE_NONE:
    case PASSO_CYCLE_LIST:
    case PASSO_CYCLE_COUNT:
        break;
    }
    return 0;
}

/* The key on a pitch class with the fewest signs. A key's signature is that of the major key whose
 * tonic is so many fifths away. */
static struct passo_key spelt(int pitch_class, enum passo_mode mode)
{
    const int apart = mode == PASSO_MODE_MINOR ? RELATIVE_APART : 0;
    int sharps = around(pitch_class * 7 - apart);
    if (sharps > SHARPS_MOST)
        sharps -= SEMITONES;
    return (struct passo_key){.tonic = (int8_t)(sharps + apart), .mode = (uint8_t)mode};
}

struct passo_key passo_cycle_key(const struct passo_cycle *cycle, size_t place)
{
    const size_t length = passo_cycle_length(cycle);
    PASSO_BUG_ON(length == 0 || length > PASSO_KEYS_MAX);
    const size_t at = place % length;
    if (cycle->kind == PASSO_CYCLE_LIST)
        return cycle->list[at];
    return spelt(around((int)at * semitones_of(cycle->kind)), cycle->mode);
}
