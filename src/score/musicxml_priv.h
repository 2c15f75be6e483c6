/* Inside the MusicXML reader: the elements that it knows, and what it knows while it goes through a
 * file. Thread: any. */
#ifndef PASSO_SCORE_MUSICXML_PRIV_H
#define PASSO_SCORE_MUSICXML_PRIV_H

#include "score/list.h"
#include "score/xml.h"

#define MUSICXML_ELEMENTS(X)                                                                       \
    X(ACCENT, "accent")                                                                            \
    X(ALTER, "alter")                                                                              \
    X(ARTICULATIONS, "articulations")                                                              \
    X(BACKUP, "backup")                                                                            \
    X(BEAT_TYPE, "beat-type")                                                                      \
    X(BEAT_UNIT, "beat-unit")                                                                      \
    X(BEAT_UNIT_DOT, "beat-unit-dot")                                                              \
    X(BEATS, "beats")                                                                              \
    X(CHORD, "chord")                                                                              \
    X(CHROMATIC, "chromatic")                                                                      \
    X(CUE, "cue")                                                                                  \
    X(DETACHED_LEGATO, "detached-legato")                                                          \
    X(DIVISIONS, "divisions")                                                                      \
    X(DURATION, "duration")                                                                        \
    X(FIFTHS, "fifths")                                                                            \
    X(FORWARD, "forward")                                                                          \
    X(GRACE, "grace")                                                                              \
    X(KEY, "key")                                                                                  \
    X(MEASURE, "measure")                                                                          \
    X(METRONOME, "metronome")                                                                      \
    X(MODE, "mode")                                                                                \
    X(MOVEMENT_TITLE, "movement-title")                                                            \
    X(NOTE, "note")                                                                                \
    X(OCTAVE, "octave")                                                                            \
    X(OCTAVE_CHANGE, "octave-change")                                                              \
    X(PART, "part")                                                                                \
    X(PART_NAME, "part-name")                                                                      \
    X(PER_MINUTE, "per-minute")                                                                    \
    X(PITCH, "pitch")                                                                              \
    X(SCORE_PART, "score-part")                                                                    \
    X(SCORE_PARTWISE, "score-partwise")                                                            \
    X(SCORE_TIMEWISE, "score-timewise")                                                            \
    X(SLUR, "slur")                                                                                \
    X(SOUND, "sound")                                                                              \
    X(SPICCATO, "spiccato")                                                                        \
    X(STACCATISSIMO, "staccatissimo")                                                              \
    X(STACCATO, "staccato")                                                                        \
    X(STEP, "step")                                                                                \
    X(STRONG_ACCENT, "strong-accent")                                                              \
    X(TENUTO, "tenuto")                                                                            \
    X(TIE, "tie")                                                                                  \
    X(TIED, "tied")                                                                                \
    X(TIME, "time")                                                                                \
    X(TRANSPOSE, "transpose")                                                                      \
    X(VOICE, "voice")                                                                              \
    X(WORK_TITLE, "work-title")

enum musicxml_element {
#define X(name, text) MUSICXML_##name,
    MUSICXML_ELEMENTS(X)
#undef X
        MUSICXML_OTHER
};

enum { MUSICXML_VOICES = 8, MUSICXML_VOICE_BYTES = 8, MUSICXML_ID_BYTES = 64 };

/* A part of the file and where its reading stands. */
struct musicxml_part {
    char id[MUSICXML_ID_BYTES];
    /* Its first voices in the order in which they come, and which of them have notes. */
    struct {
        char name[MUSICXML_VOICE_BYTES];
        bool pitched;
    } voice[MUSICXML_VOICES];
    uint8_t voices;
    int64_t divisions;        /* of a quarter */
    struct passo_ratio at;    /* in the measure, in whole notes */
    struct passo_ratio reach; /* the furthest of them */
    size_t measure;           /* of the one that is read, from 0 */
};

/* The note that is read, or the backup or forward. */
struct musicxml_note {
    bool grace, cue, chord, pitched, timed;
    bool tie_start, tie_stop;
    uint8_t marks;
    uint32_t slur_start, slur_stop; /* bits of their numbers */
    int letter, alter, octave;
    bool lettered, octaved;
    struct passo_ratio length;
    char voice[MUSICXML_VOICE_BYTES];
};

/* The last note of the line that is built, which may grow by a tie or rise by a chord. */
struct musicxml_line {
    bool open; /* a chord may still add to `note` */
    bool tied; /* the last note that was written goes on */
    bool tie_start, tie_stop;
    struct passo_note note;
    uint32_t slurs; /* open ones */
};

/* What a key, a time, a transpose or a metronome element holds, until it ends. */
struct musicxml_taking {
    bool taken; /* false of what is for another staff */
    int fifths;
    bool minor, keyed;
    uint8_t group[PASSO_METER_COUNT_MAX];
    uint8_t group_unit[PASSO_METER_COUNT_MAX]; /* 0 until its beat type is read */
    size_t groups;
    int chromatic, octaves;
    struct passo_ratio unit;
    int dots;
    int32_t mbpm;
};

struct musicxml_tempo {
    size_t measure;
    struct passo_ratio at; /* in the measure */
    bool printed;          /* a metronome mark, which goes before a sound's tempo */
    int32_t mbpm;
    struct passo_ratio beat;
    size_t order;
};

struct musicxml {
    struct xml_reading *xml;
    struct score_builder build;
    struct passo_score *score;
    enum musicxml_element path[XML_DEPTH_MAX + 1]; /* path[depth] is the element that is open */
    int depth;
    bool timewise;
    bool reads; /* the second time through: notes and bars are taken of part[chosen] */
    struct musicxml_part *part;
    size_t parts;
    size_t current; /* the part that is open; SIZE_MAX none */
    size_t chosen;
    const char *voice; /* of the chosen part */
    size_t measures;   /* of a timewise file, begun so far */
    int32_t number;    /* of the measure that is open */
    struct passo_meter meter;
    struct passo_key key;
    struct musicxml_note note;
    struct musicxml_line line;
    struct musicxml_taking taking;
    struct musicxml_tempo *tempo;
    size_t tempi;
};

/* --- musicxml_text.c: numbers as they stand in texts --- */

/* A whole number from `least` to `most`; zeros behind a point are let be. */
bool musicxml_whole(const char *text, int64_t least, int64_t most, int64_t *out_value);
/* The first number of a text such as "c. 96" in thousandths, 0 if there is none. */
int64_t musicxml_thousandths(const char *text);
/* The length of "quarter", "16th"; 0 of none. */
struct passo_ratio musicxml_note_type(const char *text);

/* --- musicxml_time.c: where reading stands --- */

/* *at + by, if it stays within what a score can hold. */
bool musicxml_add(struct musicxml *music, struct passo_ratio *at, struct passo_ratio by);
void musicxml_measure_begin(struct musicxml *music);
void musicxml_measure_end(struct musicxml *music);
/* A measure of a timewise file in which the chosen part is not. */
void musicxml_measure_skip(struct musicxml *music);
/* Moves the part's place by the note's length; forward or back. */
void musicxml_move(struct musicxml *music, bool forward);
void musicxml_tempo_add(struct musicxml *music, bool printed, int64_t mbpm,
                        struct passo_ratio beat);
/* Numbers the pickup, and lays the tempi over the bars. */
void musicxml_finish(struct musicxml *music);

/* --- musicxml_attributes.c --- */

void musicxml_attributes_begin(struct musicxml *music, enum musicxml_element element,
                               const char **attribute);
void musicxml_attributes_end(struct musicxml *music, enum musicxml_element element,
                             const char *text);

/* --- musicxml_note.c --- */

void musicxml_note_begin(struct musicxml *music, enum musicxml_element element,
                         const char **attribute);
void musicxml_note_end(struct musicxml *music, enum musicxml_element element, const char *text);
/* Writes the last note; at the end of what may be a chord. */
void musicxml_line_close(struct musicxml *music);

#endif
