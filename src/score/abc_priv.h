/* The ABC reader's insides: what it knows while it reads, and which file does what.
 *
 * The text is gone through twice by the same code. The first time no voice is taken: voices and
 * their notes are counted, so that one can be chosen. The second time its music is read. abc.c
 * walks the lines, abc_field.c reads M L Q V U I, abc_key.c K and clefs, abc_music.c the line of
 * music, abc_bar.c closes bars, abc_note.c reads notes, rests and chords, abc_length.c how long
 * they are. */
#ifndef PASSO_SCORE_ABC_PRIV_H
#define PASSO_SCORE_ABC_PRIV_H

#include "score/score_priv.h"

#define ABC_LETTERS  7
#define ABC_OCTAVES  (PASSO_OCTAVE_MAX - PASSO_OCTAVE_MIN + 1)
#define ABC_NO_VOICE SIZE_MAX

/* A stretch of a line. */
struct abc_span {
    const char *at;
    const char *end;
};

/* What K: and V: say of how written notes are to be taken. */
struct abc_clef {
    bool moves_octave;
    bool transposes;
    int octave;
    int transpose; /* semitones: sounding minus written */
    int eighth;    /* likewise, of the little 8 at a clef */
};

struct abc_voice {
    char id[PASSO_TEXT_MAX];
    char name[PASSO_TEXT_MAX];
    size_t notes;
    struct abc_clef clef;
};

/* How far an accidental reaches in its bar (%%propagate-accidentals). */
enum abc_reach { ABC_REACH_PITCH, ABC_REACH_OCTAVE, ABC_REACH_NOTE };

/* What the last thing with a length was; broken rhythm changes it afterwards. */
enum abc_last { ABC_LAST_NONE, ABC_LAST_REST, ABC_LAST_NOTE };

struct abc_reader {
    struct score_builder build;
    const struct passo_score_ask *ask;

    /* Where it reads. */
    struct abc_span text;
    struct abc_span line;
    const char *at;
    size_t line_number;
    bool many_lines;
    bool header; /* of a tune, until its K: */

    /* Voices. */
    struct abc_voice voice[PASSO_SCORE_PARTS_MAX];
    size_t voices;
    size_t current;       /* ABC_NO_VOICE: none was named yet */
    size_t taken;         /* ABC_NO_VOICE: the first time through */
    struct abc_clef clef; /* of K:, for all voices */

    /* What is in force. */
    struct passo_meter meter;
    struct passo_ratio unit; /* den 0: by the meter, once music comes */
    struct passo_key key;
    int8_t signs[ABC_LETTERS];
    uint8_t symbol[128]; /* marks that a letter stands for */
    enum abc_reach reach;

    /* The bar that is being read. */
    struct passo_ratio now;
    struct passo_score_bar bar;
    bool bar_open;    /* something has sounded or rested in it */
    bool parted;      /* the line before it was a repeat's or a double one */
    int32_t number;   /* of the next bar that is not a pickup */
    bool accidentals; /* any in this bar */
    int8_t by_letter[ABC_LETTERS];
    int8_t by_octave[ABC_OCTAVES][ABC_LETTERS];

    /* What one note leaves for the next. */
    enum abc_last last;
    struct passo_ratio last_length;
    struct passo_ratio next_share; /* of broken rhythm; 1 none */
    bool broken;
    struct passo_ratio tuplet;
    int tuplet_left;
    int slurs;
    bool tied;
    bool tied_chord;
    uint8_t marks;
    size_t left_out;
};

#define ABC_NO_ACCIDENTAL 127

/* A fault at a place of the line: "line 4, bar 3, column 17: ...". Always false. */
bool abc_fault(struct abc_reader *reader, const char *at, enum passo_error error,
               const char *format, ...) __attribute__((format(printf, 4, 5)));
/* What is read there, as it may be shown: some characters, safe. */
#define ABC_SHOWN_BYTES 40
const char *abc_shown(struct abc_span span, char out[ABC_SHOWN_BYTES]);

/* Spans. */
struct abc_span abc_trim(struct abc_span span);
/* The next word, its value in quotes or not; empty at the end. Moves span->at behind it. */
struct abc_span abc_word(struct abc_span *span);
bool abc_is(struct abc_span span, const char *text);
/* "name=": what is behind it, without quotes; false if it is something else. */
bool abc_value(struct abc_span word, const char *name, struct abc_span *out_value);
/* A whole number from least to most and nothing else but blanks. */
bool abc_whole(struct abc_span span, long least, long most, long *out_number);
/* Digits at span->at, at most `most` of value; false if there are none or it is more. */
bool abc_digits(struct abc_span *span, long most, long *out_number);

/* Said of a field that something follows on its line. */
#define ABC_IN_BRACKETS "a field inside a line of music stands in brackets: [M:4/4]"

/* A field, of a line or inline: its letter and what is behind the colon. */
bool abc_field(struct abc_reader *reader, char letter, struct abc_span value);
/* %%name value, or I:name value. */
bool abc_directive(struct abc_reader *reader, struct abc_span value);
/* The marks of a decoration's name: "tenuto", ">"; 0 of others. */
uint8_t abc_decoration(struct abc_span name);
bool abc_key_field(struct abc_reader *reader, struct abc_span value);
/* One word of K: or V: that speaks of clef, octave or transposition; others are let be. */
bool abc_clef_word(struct abc_reader *reader, struct abc_span word, struct abc_clef *clef);
void abc_set_key(struct abc_reader *reader, struct passo_key key);

/* The character that is read next; 0 at the line's end. */
static inline char abc_here(const struct abc_reader *reader)
{
    return reader->at < reader->line.end ? *reader->at : '\0';
}
/* One line of music of the voice in force. */
bool abc_music(struct abc_reader *reader);
/* Whether the music here is that of the voice that is taken. */
bool abc_is_taken(struct abc_reader *reader);

/* Where no L: stands: by the meter, and then for good. */
void abc_settle_unit(struct abc_reader *reader);

/* The bar begins with the first thing in it that lasts. */
void abc_open_bar(struct abc_reader *reader);
/* Ends the bar if anything is in it. `parts`: at a repeat or a double line, where one bar may be
 * written in two shares. */
bool abc_close_bar(struct abc_reader *reader, bool parts);

/* "2", "/", "//", "3/2": times the unit. */
bool abc_length_factor(struct abc_reader *reader, struct passo_ratio *out_factor);
/* The length of a thing that is played or rested, `from` in the line, with tuplet and broken
 * rhythm: the place moves on behind it. */
bool abc_lasts(struct abc_reader *reader, const char *from, struct passo_ratio factor,
               struct passo_ratio *out_length);
/* The fault of places beyond what a score can hold. Always false. */
bool abc_too_odd(struct abc_reader *reader, const char *at);

/* At a rest, a note, a chord, `>`, a tuplet. */
bool abc_rest(struct abc_reader *reader);
bool abc_bars_rest(struct abc_reader *reader);
bool abc_note(struct abc_reader *reader);
bool abc_chord(struct abc_reader *reader);
bool abc_broken(struct abc_reader *reader);
bool abc_tuplet(struct abc_reader *reader);

/* The alterations of a key's signature, by letter from C. */
void abc_signs_of(struct passo_key key, int8_t out_alter[ABC_LETTERS]);

#endif
