/* Views: what shows a climb and takes its keys. One interface; view/ has two rooms that are one
 * (screen, plain), tests have theirs. The conductor copies what it shows into a snapshot; a view
 * never sees engine state. */
#ifndef PASSO_SESSION_VIEW_H
#define PASSO_SESSION_VIEW_H

#include <passo/ladder.h>
#include <passo/timeline.h>

#define PASSO_WORDS_BYTES  256
#define PASSO_CURVE_POINTS 512

/* Where the climb is at this moment, as heard. */
enum passo_phase {
    PASSO_PHASE_LEAD, /* the first moments, before the first count-in; or a new breath */
    PASSO_PHASE_COUNT_IN,
    PASSO_PHASE_PLAYING,
    PASSO_PHASE_LANDING,
    PASSO_PHASE_REST,
    PASSO_PHASE_PAUSED,
    PASSO_PHASE_OVER, /* the last rest is done; the climb has ended */
    PASSO_PHASE_COUNT
};

/* What a key asks for. */
enum passo_command {
    PASSO_COMMAND_NONE,
    PASSO_COMMAND_CLEAN,
    PASSO_COMMAND_MISS,
    PASSO_COMMAND_VOID,
    PASSO_COMMAND_UNDO,
    PASSO_COMMAND_PAUSE,
    PASSO_COMMAND_EASIER,
    PASSO_COMMAND_HARDER,
    PASSO_COMMAND_TURN,
    PASSO_COMMAND_SOONER,  /* cut the rest short: a breath, then the count-in */
    PASSO_COMMAND_LONGER,  /* ten seconds more rest */
    PASSO_COMMAND_EXTEND,  /* two minutes and four passes more */
    PASSO_COMMAND_SKIP,    /* of a day: leave this out, go on */
    PASSO_COMMAND_PUT_OFF, /* of a day: this one later */
    PASSO_COMMAND_LOUDER,
    PASSO_COMMAND_SOFTER,
    PASSO_COMMAND_HELP, /* handled by the view itself */
    PASSO_COMMAND_QUIT,
    PASSO_COMMAND_COUNT
};

/* A key press. key tells keys apart (the same key is ignored until it has been quiet). */
struct passo_press {
    enum passo_command command;
    int key;
    int64_t at_ns; /* the output's clock */
    bool hung_up;  /* a QUIT that nobody pressed: the terminal is gone */
};

/* One past pass of the curve. */
struct passo_curve_point {
    int32_t mbpm;
    uint16_t rung;
    uint8_t stage;
    uint8_t mark; /* enum passo_mark */
    uint8_t part; /* enum passo_part */
};

/* One line of a day's list. */
enum passo_day_state {
    PASSO_DAY_TO_COME,
    PASSO_DAY_NOW,
    PASSO_DAY_DONE,
    PASSO_DAY_SKIPPED,
    PASSO_DAY_PUT_OFF, /* to come, but last */
    PASSO_DAY_STATE_COUNT
};

struct passo_day_line {
    char what[PASSO_WORDS_BYTES]; /* "flow study · D-flat major", "visit: The run up to the trio" */
    char why[PASSO_WORDS_BYTES];  /* "after A-flat major, its relative key"; "" */
    int64_t ms;                   /* how long it is to take */
    bool visit;                   /* stands in from the left */
    enum passo_day_state state;
};

/* A day, of a routine or a check. Lines and texts do not move while it runs; what changes in them
 * raises the serial. */
struct passo_day_show {
    char title[PASSO_TEXT_MAX];
    const struct passo_day_line *line;
    size_t lines;
    size_t now; /* the line that is played or comes next */
    uint32_t serial;
    int64_t done_ms;  /* of the day, before this item */
    int64_t whole_ms; /* as planned */
    bool listing;     /* nothing is played yet: the list fills the screen */
    bool block;       /* what is played now is a block: no marks, no ladder */
};

/* A note as it is written in the part, in the way in which it is played now. */
struct passo_strip_note {
    struct passo_pitch pitch;
    int32_t bar;               /* printed number */
    struct passo_ratio at;     /* from its bar's line, in whole notes */
    struct passo_ratio length; /* likewise */
    uint8_t marks;             /* enum passo_note_mark */
};
/* The notes of what sounds or comes next; it moves only where `serial` grows. */
struct passo_strip {
    const struct passo_strip_note *note; /* in order */
    size_t notes;                        /* 0: none are known */
    uint32_t serial;
};

/* What a view draws. Texts are clean (no control characters), UTF-8. */
struct passo_snapshot {
    bool steady; /* `passo pulse`: no ladder, no marks, no rest */
    enum passo_phase phase;
    char title[PASSO_TEXT_MAX];
    char piece[PASSO_TEXT_MAX];
    /* the pass that sounds, or the one to come while resting or paused */
    uint32_t pass; /* from 1 */
    enum passo_part part;
    int32_t mbpm;
    struct passo_ratio beat;        /* the beat unit */
    char beat_name[PASSO_NAME_MAX]; /* "dotted quarter" */
    char what[PASSO_WORDS_BYTES];   /* "bars 33-36 · octave down" */
    /* in words */
    char next[2 * PASSO_WORDS_BYTES]; /* what comes next and what to do now */
    char move[PASSO_WORDS_BYTES];     /* the last move and why; "" before the first */
    char count[PASSO_WORDS_BYTES];    /* "1 of 2 clean in a row" */
    char notice[PASSO_WORDS_BYTES];   /* a lasting notice (no sound device ...); "" none */
    /* the beat that is heard now */
    uint64_t beat_serial; /* grows with every beat heard */
    int32_t bar;          /* 0 in the count-in */
    uint8_t beat_of_bar;  /* from 1; 0: no click was to be heard (a silent bar) */
    uint8_t beats_of_bar;
    uint8_t click; /* enum passo_click */
    struct passo_strip strip;
    int32_t note_now; /* of the strip: the one that sounds, or is to be played; -1 between */
    bool listening;   /* the machine plays: the player only listens (phase REST, or of a block) */
    bool block;       /* nobody marks, nothing is climbed */
    bool plays;       /* the machine plays every pass, nobody else */
    /* the mark of the pass whose window is open */
    enum passo_mark mark;
    /* the stage's ladder; it changes with the stage only. NULL when steady, and between the items
     * of a day */
    const struct passo_ladder *ladder;
    uint8_t stage; /* from 0 */
    uint8_t stages;
    char stage_name[PASSO_NAME_MAX]; /* "" of a climb with one stage */
    uint16_t rung;
    int32_t best_rung; /* highest rung won, -1 none */
    uint64_t
        put_away[PASSO_RUNGS_MAX / 64]; /* where tempi come in drawn order: those that are won */
    uint8_t cleans;
    uint8_t cleans_needed;
    /* the last PASSO_CURVE_POINTS passes, oldest first */
    struct passo_curve_point curve[PASSO_CURVE_POINTS];
    size_t points;
    /* times, of the audio clock */
    int64_t played_ms;
    int64_t rested_ms;
    int64_t elapsed_ms;
    int64_t rest_left_ms;   /* in REST; -1: the rest goes on until a key */
    int32_t level_permille; /* output level, 0 to 1000 */
    bool sounding;          /* false: silent by choice or for want of a device */
    enum passo_outcome outcome;
    const struct passo_day_show *day; /* NULL: no day */
};

/* A line for views that write lines; screens pass over it. */
enum passo_say {
    PASSO_SAY_START, /* the passage and the ladder */
    PASSO_SAY_PASS,  /* a count-in begins: what is played */
    PASSO_SAY_MARK,  /* a mark was taken */
    PASSO_SAY_MOVE,  /* what it did, and what comes next */
    PASSO_SAY_PAUSE,
    PASSO_SAY_NOTICE, /* sound lost, sound back, marks ran out ... */
    PASSO_SAY_END,    /* the result */
    PASSO_SAY_COUNT
};

struct passo_view;

struct passo_view_ops {
    const char *name;
    /* Shows the snapshot; redraws only what changed. Called at most some 50 times a second. */
    void (*draw)(struct passo_view *view, const struct passo_snapshot *snapshot);
    /* One event, as a full sentence without line end. */
    void (*say)(struct passo_view *view, enum passo_say kind, const char *line);
    /* The next press, stamped now_ns, or with its own time if the view has timed presses (tests).
     * False when there is none now. */
    bool (*press)(struct passo_view *view, int64_t now_ns, struct passo_press *out_press);
    /* Sleeps until a key, a signal or timeout_ns. Not called in simulated time. */
    void (*wait)(struct passo_view *view, int64_t timeout_ns);
    /* Simulated time only, may be NULL: when the next timed press is due (INT64_MAX: none). */
    int64_t (*due_ns)(struct passo_view *view);
    /* Gives the terminal back and frees the view. NULL is fine. */
    void (*close)(struct passo_view *view);
};

/* The first member of each view's own struct. */
struct passo_view {
    const struct passo_view_ops *ops;
};

#endif
