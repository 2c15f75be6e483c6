/* A passage: a stretch of a piece that needs work, its loops (ranges of bars) and its variants
 * (ways to play it). Plain values, filled by text/ and read by everyone. Thread: any. */
#ifndef PASSO_PASSAGE_H
#define PASSO_PASSAGE_H

#include <passo/meter.h>
#include <passo/tempo.h>

#define PASSO_TEXT_MAX     128 /* bytes of a title, terminating 0 included */
#define PASSO_NAME_MAX     48
#define PASSO_LOOPS_MAX    128
#define PASSO_VARIANTS_MAX 16
#define PASSO_CHANGES_MAX  64
#define PASSO_WRITTEN_MAX  64
#define PASSO_TURNS_MAX    64
#define PASSO_BARS_MAX     2000
#define PASSO_BAR_MAX      1000000 /* printed bar numbers lie within this of 0 */

#define PASSO_SHARE_TERM_MAX  1000000 /* of a written share's num and den, each from 1 */
#define PASSO_PREPARATION_MAX 16      /* beats after a fermata */

/* A place in the printed part: bar number and offset from the bar's start in whole notes, from 0
 * to the bar's length (which is the next bar's start). A denominator of 0 stands for offset 0. */
struct passo_place {
    int32_t bar;
    struct passo_ratio at;
};

/* A named range [from, to); `to` is where the landing falls. */
struct passo_loop {
    char name[PASSO_NAME_MAX];
    struct passo_place from;
    struct passo_place to;
};

/* How all notes are tongued in a variant, and what becomes of their rhythm (notes.h). */
enum passo_touch {
    PASSO_TOUCH_WRITTEN,
    PASSO_TOUCH_TONGUED,
    PASSO_TOUCH_SLURRED,
    PASSO_TOUCH_STACCATO,
    PASSO_TOUCH_COUNT
};
enum passo_rhythm {
    PASSO_RHYTHM_WRITTEN,
    PASSO_RHYTHM_DOTTED,   /* long, short */
    PASSO_RHYTHM_REVERSED, /* short, long */
    PASSO_RHYTHM_HELD,     /* the first of each group held */
    PASSO_RHYTHM_COUNT
};

/* A way to play it. octave: -4 to 4, 0 at pitch. caption: what the player is told ("tongued"); what
 * it says of touch and rhythm is in these too, and is heard where the notes are known. */
struct passo_variant {
    char name[PASSO_NAME_MAX];
    char caption[PASSO_TEXT_MAX];
    int8_t octave;
    uint8_t touch;  /* enum passo_touch */
    uint8_t rhythm; /* enum passo_rhythm */
    uint8_t group;  /* of HELD: 2 to 8 notes */
};

/* From this bar on, this meter (until the next change). */
struct passo_meter_change {
    int32_t bar;
    struct passo_meter meter;
};

/* What is written into the passage about its time, and scales with the rung. At one place a breath
 * comes before a new tempo, and that before an even change or a fermata, in whatever order they
 * are listed. */
enum passo_written_kind {
    PASSO_WRITTEN_TEMPO,     /* from `from` on: `share` of the rung's tempo */
    PASSO_WRITTEN_SAME_NOTE, /* from `from` on: `share` times the tempo in force (quarter = dotted
                                quarter: the new note over the old, 3/2) */
    PASSO_WRITTEN_TO,        /* from `from` to `to`: evenly, linear over the notated beats, from the
                                tempo in force to `share` of the rung's, which then stays (rit.,
                                accel.) */
    PASSO_WRITTEN_FERMATA,   /* the note from `from` to `to` lasts `share` times its written length:
                                a click at its start, then none; then `beats` beats of preparation
                                at the tempo that follows. At most 64 whole notes are written. A
                                loop that begins inside it plays what is left, in proportion */
    PASSO_WRITTEN_BREATH,    /* at `from` the music stands still for `share` of a beat at the tempo
                                in force before it */
    PASSO_WRITTEN_SILENT,    /* from `from` to `to` no click sounds: a general pause */
    PASSO_WRITTEN_COUNT
};

struct passo_written {
    enum passo_written_kind kind;
    struct passo_place from;
    struct passo_place to;    /* of TO, FERMATA and SILENT; the others: equal to `from` */
    struct passo_ratio share; /* 1/16 to 16; SILENT: 1 */
    uint8_t beats;            /* FERMATA: 0 to 16, in the passage's beat unit */
};

/* One way of standing in the ladder: a loop played in a variant. */
struct passo_turn {
    uint8_t loop;    /* index into loops */
    uint8_t variant; /* index into variants */
};

struct passo_passage {
    char title[PASSO_TEXT_MAX];
    char piece[PASSO_TEXT_MAX];
    char key[PASSO_NAME_MAX];
    char instrument[PASSO_NAME_MAX];
    char tags[PASSO_TEXT_MAX];        /* "chromatic, low register": set apart by ", "; "" none */
    char start_pitch[PASSO_NAME_MAX]; /* written, in the octave at pitch: "E-flat 3"; "" none */
    struct passo_meter meter;         /* of the first bar */
    struct passo_meter_change change[PASSO_CHANGES_MAX];
    size_t changes; /* ascending by bar */
    struct passo_written written[PASSO_WRITTEN_MAX];
    size_t writtens;           /* ascending by `from` */
    struct passo_ratio beat;   /* the beat unit of every tempo of this passage */
    int32_t first_bar;         /* printed number of the first full bar */
    int32_t bars;              /* full bars, 1 to PASSO_BARS_MAX */
    struct passo_ratio pickup; /* 0, or how much is played before first_bar; under one bar */
    struct passo_loop loop[PASSO_LOOPS_MAX];
    size_t loops; /* loop[0] is `whole`, always there */
    struct passo_variant variant[PASSO_VARIANTS_MAX];
    size_t variants;           /* variant[0] is `as written`, always there */
    struct passo_loop context; /* the run in context; equal to `whole` if none was given */
};

/* The meter in force in a bar; bars outside the passage have the nearest bar's meter. */
const struct passo_meter *passo_passage_meter(const struct passo_passage *passage, int32_t bar);

/* Length in whole notes from one place to a later one (0 if not later). */
struct passo_ratio passo_passage_length(const struct passo_passage *passage,
                                        struct passo_place from, struct passo_place to);

/* Sets loop[0] and variant[0] and, when no context is set (name empty), the context, from
 * first_bar, bars and pickup. Call once the other fields are in place. PASSO_ERR_RANGE if bars,
 * pickup, beat or a bar number is out of range, or if a loop or the context does not run forward,
 * reaches more than PASSO_BARS_MAX bars out of the passage, or has a place outside its bar or
 * finer than 1/PASSO_BEAT_TERM_MAX of a sixty-fourth; or if the written changes do not ascend, two
 * of TO, FERMATA overlap, a new tempo falls inside one of these or a breath inside a fermata, one
 * lies outside the passage (pickup included; at its end one may stand), has no length where it
 * needs one, or a share or `beats` out of range, or the tempo in force leaves 1/16 to 16 times the
 * rung's: after PASSO_OK every loop can be timed. */
PASSO_MUST_CHECK enum passo_error passo_passage_complete(struct passo_passage *passage);

/* The turns of the ladder: every loop beyond `whole` (or `whole` if there is none) in every
 * variant beyond `as written` (or that one), loops outside, variants inside. Returns how many, at
 * most PASSO_TURNS_MAX: what goes beyond is left out. */
size_t passo_passage_turns(const struct passo_passage *passage,
                           struct passo_turn out_turns[PASSO_TURNS_MAX]);

#endif
