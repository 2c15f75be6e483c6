/* Keys and the orders in which a day goes through them. Thread: any. Pure: no I/O, no clock, no
 * allocation. */
#ifndef PASSO_KEY_H
#define PASSO_KEY_H

#include <passo/error.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define PASSO_KEYS_MAX  24 /* of a cycle */
#define PASSO_TONIC_MAX 15 /* fifths away from C: from F double flat to G double sharp */

enum passo_mode { PASSO_MODE_MAJOR, PASSO_MODE_MINOR, PASSO_MODE_COUNT };

/* A tonic by its place on the line of fifths (F -1, C 0, G 1, B-flat -2, F-sharp 6, C-flat -7), so
 * that enharmonic twins stay apart as they are written. -15 to 15. */
struct passo_key {
    int8_t tonic;
    uint8_t mode; /* enum passo_mode */
};

/* C 0, C-sharp and D-flat 1 ... B 11. */
int passo_key_pitch_class(struct passo_key key);
/* The relative minor of a major key (A-flat major: F minor), the relative major of a minor one.
 * Where that lies beyond PASSO_TONIC_MAX, its enharmonic twin. */
struct passo_key passo_key_relative(struct passo_key key);

/* How well two keys agree, the nearest first. */
enum passo_key_match {
    PASSO_KEY_SAME,
    PASSO_KEY_ENHARMONIC, /* the same keys to the ear: C-flat and B, D-flat and C-sharp */
    PASSO_KEY_RELATIVE,   /* one is the relative of the other, enharmonic twins among them */
    PASSO_KEY_APART,
    PASSO_KEY_MATCH_COUNT
};
enum passo_key_match passo_key_match(struct passo_key a, struct passo_key b);

enum passo_cycle_kind {
    PASSO_CYCLE_NONE,    /* no keys: the block is played as it is */
    PASSO_CYCLE_FOURTHS, /* C F B-flat E-flat A-flat D-flat G-flat B E A D G (common practice) */
    PASSO_CYCLE_FIFTHS,  /* the same backwards: C G D A E B G-flat D-flat ... F */
    PASSO_CYCLE_CHROMATIC_UP,   /* C D-flat D E-flat E F G-flat G A-flat A B-flat B */
    PASSO_CYCLE_CHROMATIC_DOWN, /* C B B-flat ... D-flat */
    PASSO_CYCLE_LIST,           /* the player's own */
    PASSO_CYCLE_COUNT
};

/* mode: of all but LIST; the minor keys of a cycle are spelt with the fewest signs: C-sharp minor,
 * G-sharp minor, F-sharp minor, E-flat minor, B-flat minor. */
struct passo_cycle {
    enum passo_cycle_kind kind;
    enum passo_mode mode;
    struct passo_key list[PASSO_KEYS_MAX];
    uint8_t listed;
};

/* 12, the length of the list, or 0 of NONE. */
size_t passo_cycle_length(const struct passo_cycle *cycle);
/* The key at a place from 0, going round. Not of NONE. */
struct passo_key passo_cycle_key(const struct passo_cycle *cycle, size_t place);

/* The tonic as a MIDI note, in the octave from F2 (41) to E3 (52): low enough for low brass, and
 * high enough for the loudspeaker of a laptop. */
int passo_key_drone_midi(struct passo_key key);

#endif
