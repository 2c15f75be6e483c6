/* A timeline: one pass as an array of events sorted by frame, built outside the audio thread,
 * walked there, handed back and freed by the control side. The same timeline feeds the
 * loudspeaker, the silent clock and a file. */
#ifndef PASSO_TIMELINE_H
#define PASSO_TIMELINE_H

#include <passo/notes.h>

/* Where the clicks of the body fall. */
enum passo_click_place {
    PASSO_PLACE_ON_BEAT,
    PASSO_PLACE_OFF_BEAT,  /* half way between the counted beats, as strong as the beat before
                              (where all beats are equal at the end of swing's long part); beats
                              are silent. These clicks stand in for subdivisions: there are none */
    PASSO_PLACE_BACK_BEAT, /* 2 and 4: the even beats of a bar of an even number of beats, others
                              as ON_BEAT. A subdivision goes with its beat */
    PASSO_PLACE_COUNT
};

/* How the pulse sounds a pass. A zero-initialized pulse is the default one. */
struct passo_pulse {
    struct passo_ratio count; /* counted unit, see passo_meter_beats(); den 0: the beat unit */
    int32_t count_below_mbpm; /* > 0: `count` holds below this tempo only, from it on the groups */
    uint8_t subdivide;        /* 0 or 1 none, 2 to 6 clicks a counted beat; where the beats of
                                 a bar are unequal (7/8 in three), the meter's own notes */
    int32_t subdivide_below_mbpm; /* > 0: subdivide below this tempo only */
    uint8_t swing_long;           /* swing as long:short, in 1 to 9; 0:0 or 1:1 is straight. Moves
                                     every other click of 2, 4 or 6; beats never move */
    uint8_t swing_short;
    uint8_t count_in_bars; /* 0: one bar, two if a bar lasts under 1.6 s */
    uint8_t silent;        /* bit (1 << enum passo_click): that strength is not sounded */
    /* Silent bars, to test the inner pulse: of every mute_of full bars of the body the last
     * mute_bars (2 of 4: two heard, two silent); or, mute_of 0 and mute_permille > 0, that share of
     * the bars (to the nearest whole one), drawn. A part of a bar at the end is one of them. Never
     * the count-in, a part of a bar before the first full one, or the landing. */
    uint8_t mute_bars;
    uint8_t mute_of;        /* 0 none; at most 64, more than mute_bars */
    uint16_t mute_permille; /* at most 1000 */
    /* Leaves no subdivisions. What it leaves of a BACK_BEAT is the second beat and its like, of an
     * OFF_BEAT the click after the beat that it would leave. Bars count as silent bars do. */
    enum passo_thin thin;
    enum passo_click_place place;
};

enum passo_event_kind {
    PASSO_EVENT_CLICK,        /* sound `click` and give notice of bar and beat */
    PASSO_EVENT_BODY,         /* the first played beat: notice */
    PASSO_EVENT_LAND,         /* the landing begins: notice */
    PASSO_EVENT_END,          /* the pass is over, silence follows: notice. Always the last event */
    PASSO_EVENT_SILENT_CLICK, /* a silenced click: notice of bar and beat, no sound */
    PASSO_EVENT_TONE_ON,      /* one of the timeline's tones begins: no notice */
    PASSO_EVENT_TONE_OFF,     /* it ends, softly: no notice */
    PASSO_EVENT_KIND_COUNT
};

/* frame: from the timeline's first frame. bar, beat: printed bar and counted beat (from 1); in the
 * count-in, bar is 0 (so is the bar of a pickup to bar 1: the click tells them apart). of: counted
 * beats of that bar. Of a tone's events `bar` says which tone it is, and the others are 0. */
struct passo_event {
    int64_t frame;
    int32_t bar;
    uint8_t kind;  /* enum passo_event_kind */
    uint8_t click; /* enum passo_click */
    uint8_t beat;  /* 1 ... ; of a subdivision, the beat that it divides */
    uint8_t of;
};

/* Whether it is a counted beat, heard or silenced; a subdivision is none. */
bool passo_event_is_beat(const struct passo_event *event);

/* The usual level of a drone, 20 dB under full scale: the loudest click peaks 17 dB above it, so
 * that a player tunes to the tone and still plays with the pulse. */
#define PASSO_TONE_LEVEL 0.1F

/* Tones of one layer never sound together: one that begins takes the place of the one before. */
enum passo_layer {
    PASSO_LAYER_DRONE,
    PASSO_LAYER_FIFTH, /* a second drone over the first */
    PASSO_LAYER_NOTE,  /* the notes of the passage, and the starting note */
    PASSO_LAYER_COUNT
};

/* How a tone begins and ends (sound/tone.h gives the times). */
enum passo_onset {
    PASSO_ONSET_SOFT,    /* a drone: slowly in and out; one of the same pitch in its layer that
                            begins while it sounds is the same tone going on */
    PASSO_ONSET_TONGUED, /* a clear beginning */
    PASSO_ONSET_ACCENT,  /* a stronger one */
    PASSO_ONSET_SLURRED, /* out of the tone before, with no beginning of its own: an accent under a
                            slur is not heard */
    PASSO_ONSET_COUNT
};

struct passo_tone {
    float hz;      /* of the fundamental; 0: none. Above 0.45 of the rate it does not sound */
    float level;   /* its peak, 0 to 1 of full scale before the output level; 0: PASSO_TONE_LEVEL.
                      An accent peaks above it */
    uint8_t layer; /* enum passo_layer */
    uint8_t onset; /* enum passo_onset */
};

#define PASSO_DRONES_MAX 2

/* The level of notes that are played by themselves, and of those over a pulse: a listener hears
 * the notes first, and the clicks through them. */
#define PASSO_NOTE_LEVEL 0.3F

/* The notes that sound in a pass, of a way to play it already (passo_notes_vary()). */
struct passo_melody {
    const struct passo_notes *notes;
    double a4_hz;      /* 440 as a rule */
    int16_t semitones; /* sounding minus written, and what else moves them (another key) */
    float level;       /* 0: PASSO_NOTE_LEVEL */
};

/* One pass. Positions are relative to `start`, which is absolute; the exact ends keep fractions. */
struct passo_timeline {
    uint64_t id; /* the caller's, shown in every notice */
    uint32_t rate_hz;
    struct passo_instant start;   /* first click of the count-in, absolute */
    struct passo_instant body;    /* first played beat, absolute */
    struct passo_instant landing; /* landing beat, absolute */
    struct passo_instant end;     /* end of the landing, absolute */
    size_t tones;
    const struct passo_tone *tone; /* what TONE_ON begins, at its true level; in this very block of
                                      memory, behind the events */
    size_t events;
    struct passo_event event[];
};

/* What is to be built. The passage has passed passo_passage_complete(), the loop runs forward and
 * the tempo is within its limits: anything else is a bug and stops the program. */
struct passo_pass_shape {
    const struct passo_passage *passage;
    const struct passo_loop *loop; /* of that passage, or its context */
    const struct passo_pulse *pulse;
    int32_t mbpm;         /* of the passage's beat unit */
    bool no_count_in;     /* a steady pulse: begin with the body */
    bool no_landing;      /* a steady pulse: end with the body */
    bool all_bars;        /* no silent bars in this pass: the first at a new tempo */
    enum passo_thin thin; /* of this pass; the thinner of it and the pulse's holds */
    uint64_t seed;        /* of the drawn silent bars */
    struct passo_tone drone[PASSO_DRONES_MAX]; /* hz > 0: sounds from the first click of the
                                                  count-in to the end, in layer DRONE, FIFTH */
    const struct passo_melody *melody;         /* its notes sound from the body on; NULL: none */
    bool no_clicks;                            /* only the count-in's clicks sound */
};

/* The lengths of a pass in whole notes at the rung's tempo: where a change of tempo is written they
 * are longer or shorter than the notes, as long as it takes to play them. Exact where all tempi are
 * steps; of an even change (PASSO_WRITTEN_TO) to 2^-28 of a whole note. */
struct passo_pass_span {
    struct passo_ratio count_in;
    struct passo_ratio body;
    struct passo_ratio landing;
};

/* Lengths of a pass, by the rules of design.md section 3: the count-in is so many full bars of
 * the entry bar's meter plus what lies before the entry; the landing is the counted beat that
 * begins at its place, or the rest of the beat in which its place lies. The count-in goes at the
 * tempo in force at the entry, the landing at that of its place; a fermata there is not held. */
struct passo_pass_span passo_pass_span(const struct passo_pass_shape *shape);

/* How long a pass lasts at its tempo, each rounded to the nearest nanosecond: the count-in, and
 * what is played (body and landing together). No timeline is built. */
struct passo_pass_times {
    int64_t count_in_ns;
    int64_t played_ns;
};
struct passo_pass_times passo_pass_times(const struct passo_pass_shape *shape);

/* Builds the pass. Body clicks keep their bar's accents and numbers. Count-in clicks are
 * COUNT_BAR and COUNT and never subdivided; the landing is one click with the strength of its
 * place in the bar (BEAT between counted beats). A body that enters between counted beats has its
 * first click at the next counted beat or subdivision. A silenced click (by strength, silent bars,
 * thinning, place, a fermata or a general pause) becomes a SILENT_CLICK; the landing's is silenced
 * by its strength and by THIN_COUNT_IN only. A fermata that begins between clicks has one of BEAT
 * strength at its start. Beats inside it keep their even places in the held time, silent; the beats
 * of preparation are clicks of COUNT strength, bar and beat of the fermata's last, silenced by that
 * strength, by THIN_COUNT_IN and by a general pause that goes on after the fermata. A breath or a
 * preparation at the loop's end is played before the landing, one at its entry is not.
 * At one frame, BODY and LAND come before the click. Without a landing there is no LAND event.
 * With no_clicks all clicks from the body on are SILENT_CLICKs, those of preparation too. A
 * drone's TONE_ON is one of the very first events, its TONE_OFF comes right before END, on END's
 * frame; a drone of negative or endless hz, or of a level outside 0 to 1, is a bug.
 *
 * A melody's note begins at its place in the body, on the frame of a click there and before it. One
 * that is under way at the entry begins with the body; one that begins where the landing falls, or
 * is under way there, sounds to the landing's end, if it is that long. A slurred note ends where
 * the next begins, with no TONE_OFF between if they touch; one before a breath or a preparation
 * ends as if it had no slur, and the next is tongued. A staccato note lasts half as long as it is
 * written, a tenuto one 31/32, any other 7/8.
 *
 * Of an even change of tempo from share p0 to p1 over n beats the beat b falls after
 * n/(p1 - p0) * ln(p(b)/p0) beats at the rung's tempo, p(b) = p0 + (p1 - p0) b/n: the integral of
 * 1/p (calculus; references.md gives the numbers of 96 -> 72 over 8).
 *
 * An event falls at passo_tempo_frame() of its position from `start`; body, landing and end are
 * passo_tempo_advance() from it. Free the result with free(). Aborts on out of memory. Thread: any
 * but the audio thread. */
struct passo_timeline *passo_timeline_build(const struct passo_pass_shape *shape, uint64_t id,
                                            struct passo_instant start, uint32_t rate_hz);

/* Tones by themselves, from `start` on and so long: a starting note, a drone. Events: TONE_ON,
 * TONE_OFF, END. Each has a layer of its own. tones: 1 to PASSO_LAYER_COUNT; length_ms from 1. Free
 * with free(). */
struct passo_timeline *passo_timeline_tones(const struct passo_tone *tone, size_t tones,
                                            int64_t length_ms, uint64_t id,
                                            struct passo_instant start, uint32_t rate_hz);

#endif
