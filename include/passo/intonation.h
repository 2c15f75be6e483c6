/* What is tuned to: the reference pitch, the instrument's transposition, the drone, the starting
 * note, and how the machine plays before the player does. Plain values. Thread: any. Pure. */
#ifndef PASSO_INTONATION_H
#define PASSO_INTONATION_H

#include <passo/pitch.h>
#include <passo/timeline.h>

enum passo_drone {
    PASSO_DRONE_NONE,
    PASSO_DRONE_ROOT,
    PASSO_DRONE_ROOT_AND_FIFTH,
    PASSO_DRONE_NOTE, /* one that is named */
    PASSO_DRONE_COUNT
};

/* When the passage is heard before it is played. */
enum passo_hear {
    PASSO_HEAR_OFF,
    PASSO_HEAR_NEW_RUNG, /* before the first pass at each new tempo, loop or variant */
    PASSO_HEAR_EVERY_PASS,
    PASSO_HEAR_COUNT
};

struct passo_intonation {
    double a4_hz;          /* 415 to 466; 0 stands for 440 */
    int16_t transposition; /* sounding minus written, in semitones: B-flat trumpet -2; -48 to 48 */
    bool unknown_instrument; /* one is named whose transposition nothing tells; 0 stands for it */
    bool keyed;
    struct passo_key key;     /* as written: the first of the passage's keys */
    enum passo_drone drone;   /* ROOT and ROOT_AND_FIFTH: keyed */
    struct passo_pitch note;  /* of NOTE, as written */
    bool pure_fifth;          /* 3:2 over the root, else that of the equal temperament */
    bool starts;              /* a starting note sounds before the count-in */
    struct passo_pitch start; /* as written, at pitch: the passage's first note */
    bool start_stays;     /* `start` is given whatever the loop (it is a tonic); else a loop that
                             begins elsewhere than the passage gives its own first note, if the
                             notes are known */
    enum passo_hear hear; /* needs notes */
};

/* The frequency at which a written note sounds, moved by octaves. */
double passo_intonation_hz(const struct passo_intonation *intonation, struct passo_pitch written,
                           int octave);
/* The drone's tones, lowest first: none, one or two. The root lies from F 2 to E 3 as it sounds
 * (key.h), a named note where it is written. level: the peak of both together, which share it; 0:
 * PASSO_TONE_LEVEL. */
size_t passo_intonation_drone(const struct passo_intonation *intonation, float level,
                              struct passo_tone out_tone[PASSO_DRONES_MAX]);

/* Whether a note sounds before the player's count-in: one that was named, or, where the machine
 * plays too, the first of the loop, to say whose turn it is. notes: they are known. */
bool passo_intonation_starts(const struct passo_intonation *intonation, bool notes);

#endif
