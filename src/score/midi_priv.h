/* Inside the MIDI reader: the events of a track, the notes that they make, and the bars that the
 * time signatures make. Ticks are counted from the beginning of the file. Thread: any. */
#ifndef PASSO_SCORE_MIDI_PRIV_H
#define PASSO_SCORE_MIDI_PRIV_H

#include "score/list.h"
#include "score/score_priv.h"

enum { MIDI_KEYS = 128, MIDI_CHANNELS = 16 };

enum midi_meta {
    MIDI_META_NAME = 0x03,
    MIDI_META_END = 0x2F,
    MIDI_META_TEMPO = 0x51,
    MIDI_META_METER = 0x58,
    MIDI_META_KEY = 0x59
};

/* A track that is being read: its bytes are data[at] to data[end - 1]. */
struct midi_track {
    const uint8_t *data;
    size_t at;
    size_t end;
    int64_t tick;
    uint8_t running; /* status that goes on where none stands, 0 none yet */
    bool ended;
};

struct midi_event {
    size_t byte; /* of its status, from 0 as in a dump of the file */
    int64_t tick;
    uint8_t status; /* 0x80 to 0xEF: data[]; 0xF0, 0xF7: passed over; 0xFF: a meta event */
    uint8_t data[2];
    uint8_t meta;
    const uint8_t *body; /* of a meta event */
    size_t bytes;
};

/* A number of up to four bytes, seven bits in each. False: a fault. */
bool midi_variable(struct midi_track *track, uint32_t *out_value, struct score_builder *build);
/* The next event. False: the track's end, or a fault. */
bool midi_next(struct midi_track *track, struct midi_event *out_event, struct score_builder *build);
/* An event that begins a note: not with a velocity of 0, which ends one. */
bool midi_begins(const struct midi_event *event);
bool midi_ends(const struct midi_event *event);

/* What stands in the file for all parts: a meter, a key or a tempo. */
struct midi_mark {
    int64_t tick;
    size_t order; /* in the file */
    size_t track;
    enum midi_meta kind;
    union {
        struct {
            uint8_t count;
            uint8_t unit;
        } meter; /* one that passo_meter_init() takes */
        struct passo_key key;
        uint32_t quarter_us;
    } is;
};

struct midi_marks {
    struct midi_mark *mark; /* ascending by tick and order once midi_marks_sort() was called */
    size_t marks;
};

/* Takes the event if it is one of the three. False: a fault in it. */
bool midi_marks_take(struct midi_marks *marks, const struct midi_event *event, size_t track,
                     struct score_builder *build);
void midi_marks_sort(struct midi_marks *marks);
/* Leaves the keys of one track: of `track` if it has any, else of the first that has. */
void midi_marks_keep_keys(struct midi_marks *marks, size_t track);
bool midi_marks_any_key(const struct midi_marks *marks);
/* The beats of a thousand minutes for so many microseconds a beat: the whole number of beats a
 * minute, or of their tenths, that a writer would have rounded or cut to it, else the nearest. */
int32_t midi_tempo_mbpm(uint32_t quarter_us);

/* One note as the file has it. */
struct midi_sound {
    int64_t on;
    int64_t off;   /* -1: not yet */
    uint32_t next; /* of the same key and channel that is still sounding */
    uint8_t channel;
    uint8_t key;
};

struct midi_sounds {
    struct midi_sound *sound; /* ascending by `on` */
    size_t sounds;
    uint32_t first[MIDI_CHANNELS][MIDI_KEYS]; /* sounding, the oldest first: index + 1, 0 none */
    uint32_t last[MIDI_CHANNELS][MIDI_KEYS];
};

/* False: too many notes. */
bool midi_sounds_take(struct midi_sounds *sounds, const struct midi_event *event,
                      struct score_builder *build);
/* Ends what still sounds. */
void midi_sounds_end(struct midi_sounds *sounds, int64_t tick);
/* Leaves one line: of what begins together the highest note; a note is cut by a higher one that
 * begins in it, and by a lower one that begins in its last quarter (a player's legato); other lower
 * ones are left out. Then notes that were cut short to set them apart (notation programs write 95
 * %) get their length back: one that ends on no sixteenth and no triplet of sixteenths goes on to
 * the next note, or to the end of a quarter, eighth and so on to a thirty-second, if less than an
 * eighth of what sounds is missing. Returns how many were left out. */
size_t midi_sounds_line(struct midi_sounds *sounds, int64_t whole_ticks);

/* The bars up to `end`, and the tempi in them. False: too many bars. */
bool midi_bars(const struct midi_marks *marks, int64_t whole_ticks, int64_t end,
               struct passo_key key, struct score_builder *build);

#endif
