/* Scores from outside: one part of ABC, of a Standard MIDI File or of MusicXML, read as notes with
 * the bars, meters, keys and tempi that stand there. Each reader knows its own format and nothing
 * of passages; passo_score_fit() lays a score over a passage. Thread: any but the audio thread. */
#ifndef PASSO_SCORE_SCORE_H
#define PASSO_SCORE_SCORE_H

#include <passo/error.h>
#include <passo/notes.h>

#include <stdio.h>

#define PASSO_SCORE_BYTES_MAX (8 * 1024 * 1024) /* of a file, and of what is packed in it */
#define PASSO_SCORE_NOTES_MAX 200000
#define PASSO_SCORE_BARS_MAX  20000
#define PASSO_SCORE_PARTS_MAX 256

/* One bar. Two bars may have one number: two shares of a bar that a repeat parts, which are looked
 * for as one, or else the later goes by it. */
struct passo_score_bar {
    int32_t number;            /* as printed; a pickup's is one less than the next bar's */
    bool pickup;               /* shorter than its meter, and the first */
    struct passo_ratio at;     /* from the first bar's line, in whole notes */
    struct passo_ratio length; /* what its notes and rests come to */
    struct passo_meter meter;  /* in force */
    struct passo_key key;      /* in force, by its signs; a major key where nothing says minor */
};

struct passo_score_tempo {
    struct passo_ratio at;
    int32_t mbpm;
    struct passo_ratio beat;
};

/* What was read. Owns its arrays; zero-initialize, free with passo_score_deinit(). */
struct passo_score {
    char title[PASSO_TEXT_MAX]; /* safe to show; "" none */
    char part[PASSO_TEXT_MAX];  /* the name of the part that was read; "" none */
    struct passo_note *note;    /* `at` from the first bar's line; ties joined; none over another */
    size_t notes;
    struct passo_score_bar *bar; /* ascending by `at`, each begins where the one before ends */
    size_t bars;
    struct passo_score_tempo *tempo;
    size_t tempi;
    bool keyed;            /* a key signature stands there */
    bool transposes;       /* the file says how the part transposes */
    int16_t transposition; /* then: sounding minus written, in semitones */
    bool sounding;         /* the pitches are those that sound (MIDI), not those that are written */
    size_t left_out;       /* notes of chords and of other voices: the highest of the first voice
                              was taken */
    char (
        *part_name)[PASSO_TEXT_MAX]; /* of all parts in the file, for a sentence on which to name */
    size_t parts;
};

/* How a file is to be read. */
struct passo_score_ask {
    const char
        *part; /* a number from 1, or (part of) a name in any case; "" the first with notes */
    struct passo_meter meter; /* of ABC, where no M: stands */
    struct passo_key key;     /* of ABC, where no K: stands; of MIDI, to spell by, likewise */
};

/* Reads ABC 2.1: a tune with its header (the first of a file), or a bare line of music; a part is a
 * voice. Accidentals hold to the bar's end in all octaves, as the standard's default is, unless
 * propagate-accidentals says otherwise. A MIDI file, format 0 or 1. A
 * MusicXML file (partwise or timewise). `bytes` is not 0-terminated. On a fault *out_score is empty
 * and out_fault is one sentence without a full stop, with the place ("bar 3, column 17", "byte
 * 214", "line 40"), what was read and what would do. PASSO_ERR_SYNTAX; PASSO_ERR_RANGE of what is
 * beyond the limits above. Whatever the bytes are, time and memory stay within a small multiple of
 * them. */
PASSO_MUST_CHECK enum passo_error passo_abc_read(const char *text, size_t bytes,
                                                 const struct passo_score_ask *ask,
                                                 struct passo_score *out_score, char *out_fault,
                                                 size_t fault_bytes);
PASSO_MUST_CHECK enum passo_error passo_midi_read(const uint8_t *data, size_t bytes,
                                                  const struct passo_score_ask *ask,
                                                  struct passo_score *out_score, char *out_fault,
                                                  size_t fault_bytes);
PASSO_MUST_CHECK enum passo_error passo_musicxml_read(const char *text, size_t bytes,
                                                      const struct passo_score_ask *ask,
                                                      struct passo_score *out_score,
                                                      char *out_fault, size_t fault_bytes);
/* Takes the score out of a packed MusicXML file (.mxl). The result is malloc()ed: free it. */
PASSO_MUST_CHECK enum passo_error passo_mxl_unpack(const uint8_t *data, size_t bytes,
                                                   char **out_text, size_t *out_bytes,
                                                   char *out_fault, size_t fault_bytes);
/* Reads a file of any of these kinds, told by what is in it: MThd, PK, <, else ABC. A regular file
 * of at most PASSO_SCORE_BYTES_MAX. PASSO_ERR_FILE too. */
PASSO_MUST_CHECK enum passo_error passo_score_load(const char *path,
                                                   const struct passo_score_ask *ask,
                                                   struct passo_score *out_score, char *out_fault,
                                                   size_t fault_bytes);
void passo_score_deinit(struct passo_score *score);

/* A bar that does not add up: what its notes come to, and what its meter asks for. A first bar that
 * is too short is a pickup, a last one is let be; so are two shares of one bar at a repeat. */
struct passo_score_odd {
    int32_t number;
    struct passo_ratio has;
    struct passo_ratio wants;
};
/* The bars that do not add up, at most `most`; returns how many there are in all. */
size_t passo_score_odds(const struct passo_score *score, struct passo_score_odd *out_odd,
                        size_t most);

/* Lays a score over a passage: the score's bar numbered `number` is the passage's bar `bar`. Notes
 * of the passage, its pickup and its context are taken; those of before and behind are not. Of a
 * score that sounds (MIDI) the pitches are moved to what is written: `transposition` is the
 * passage's. A bar that is too short leaves silence and does not move the next. Bars whose meters
 * differ in length, that come to more than theirs, or that the score has not got (but of the
 * context alone they may be missing), are one sentence in out_fault. PASSO_ERR_RANGE; also if there
 * are more than PASSO_NOTES_MAX, or none at all. */
PASSO_MUST_CHECK enum passo_error passo_score_fit(const struct passo_score *score, int32_t number,
                                                  const struct passo_passage *passage, int32_t bar,
                                                  int16_t transposition,
                                                  struct passo_notes *out_notes, char *out_fault,
                                                  size_t fault_bytes);

/* Writes a passage's notes as one line of ABC 2.1 that reads back to the same notes: bar lines at
 * the passage's bars, rests between, ties over bar lines, the key's signs left out of the notes. It
 * begins with [L:1/16], or a shorter unit where one is needed. Bar 1 of it is the passage's first:
 * notes of before stand in bars below, which [I:setbarnb] says. False: a length that ABC cannot
 * write. */
bool passo_abc_write(const struct passo_notes *notes, const struct passo_passage *passage,
                     struct passo_key key, FILE *to);

#endif
