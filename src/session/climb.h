/* The conductor: one climb from the first count-in to the last rest. It joins ladder, timeline,
 * output, record and view, and knows no terminal and no device. Thread: the main thread. */
#ifndef PASSO_SESSION_CLIMB_H
#define PASSO_SESSION_CLIMB_H

#include "output/output.h"
#include "session/marker.h"
#include "session/view.h"
#include "store/csv.h"
#include "store/log.h"
#include "text/setup.h"

/* What is handed to the player, in the order in which it sounds. */
enum passo_handed {
    PASSO_HANDED_HEARING, /* the machine plays the pass that follows */
    PASSO_HANDED_START,   /* the starting note */
    PASSO_HANDED_PASS
};
/* Is told of each timeline that was handed over. In real time one may be taken back; of a track
 * each is told once. pass: from 1. */
struct passo_witness {
    void *user;
    void (*handed)(void *user, enum passo_handed what, const struct passo_setup *setup,
                   const struct passo_plan *plan, uint32_t pass,
                   const struct passo_timeline *timeline);
};

/* What a climb needs. Everything is borrowed and must outlive it. */
struct passo_climb_setup {
    const struct passo_setup *setup;
    const struct passo_output_ops *output; /* the wish; the silent clock takes over if need be */
    struct passo_output_ask ask;           /* device, rate, file */
    struct passo_sounding *sounding; /* open already, and left open: silent, with nothing waiting;
                                        its notice is the opener's to say. NULL: the climb's own */
    struct passo_view *view;
    struct passo_marker *marker;     /* NULL: only hands mark */
    bool hand_takes_over;            /* any key ends the marker's work (demo) */
    struct passo_csv *csv;           /* NULL: none */
    struct passo_log *log;           /* NULL: none */
    const char *setup_text;          /* for the log (restore.h) */
    const struct passo_log_cut *cut; /* the climb to go on with; NULL: a new one */
    const char *const *rescue; /* files to try, in this order, for what the log did not take; NULL
                                  behind the last */
    int64_t wall_ns;           /* when it begins, of a climb in simulated time; 0: now */
    const char *player;        /* for the record; "" none */
    /* Of a routine or a check (session/day.h): */
    enum passo_extra
        extra;         /* what its passes of the climbing are in the record; NONE: the climb's */
    bool free;         /* no pulse: time alone; the snapshot has no tempo */
    bool in_day;       /* SKIP and PUT_OFF end it; how it ends is in the result's `end`; a hand may
                          shorten or lengthen its last rest */
    bool unrecorded;   /* a block: neither CSV nor log takes its passes */
    float drone_level; /* of the drone that the setup asks for; 0: the usual */
    bool no_clicks;    /* the drone without the pulse */
    bool plays;        /* of a block: the machine plays the notes in every pass (passo hear) */
    struct passo_interval shift; /* by which the notes, the starting note and the drone are moved:
                                    another key */
    bool track; /* for somebody who only listens: the first count-in (or what comes before it)
                   begins on frame 0, no ticks sound, and the climb is over with its last landing */
    const struct passo_witness *witness; /* NULL: none */
    int32_t level_permille; /* where the player's hand has set the level today, from 1; 0 (or
                               less): the setup's */
    const char *then_words; /* what comes after it, for its last rest: "Then G-flat major."; "" or
                               NULL none */
    const char *then_title; /* of a block: the title of what comes after it, shown */
    struct passo_interval then_shift; /* in its last rest with the notes moved by so much; NULL:
                                         its own */
    const struct passo_day_show *day; /* for the snapshot; NULL: none */
    const char *opening_words; /* what an earlier day says of today, as one sentence; "" or NULL
                                  none */
};

/* How a climb within a day came to its end. */
enum passo_climb_end {
    PASSO_END_RULE,    /* by its rule; or in its last rest, by a hand that would skip it or put it
                          off; or a block, by the key for the next turn: it is done */
    PASSO_END_QUIT,    /* the player stops for now, or a signal, or the marks ran out; in its last
                          rest `outcome` says that it was done */
    PASSO_END_SKIP,    /* by hand: leave this out */
    PASSO_END_PUT_OFF, /* by hand: later today */
    PASSO_END_COUNT
};

/* What came of it. */
struct passo_climb_result {
    enum passo_climb_end end;
    bool by_hand;           /* a key, a signal or the marks' end ended it, or its last rest */
    int64_t played_ns;      /* of passes of every part, not of those before it was cut short */
    int64_t rested_ns;      /* likewise */
    int32_t level_permille; /* as the hand left it, from 1; 0: no hand was on it */
    bool cut_short;         /* QUIT by a terminal or a machine that is gone */
    enum passo_outcome outcome;
    int32_t best_mbpm; /* best tempo won, or the start */
    uint32_t passes;   /* played, of every part */
    int64_t elapsed_ns;
    bool csv_failed;               /* rows could not be written until the end */
    const char *log_failed;        /* why the log did not take everything, as passo_log_why() says;
                                      NULL: it did */
    const char *rescued;           /* the rescue file that has every pass instead; NULL: none */
    char words[PASSO_WORDS_BYTES]; /* the result as one sentence */
};

/* Runs a climb to its end. PASSO_ERR_RANGE, PASSO_ERR_FILE, PASSO_ERR_SYNTAX or PASSO_ERR_DEVICE
 * with one sentence in out_fault when it cannot begin. */
PASSO_MUST_CHECK enum passo_error passo_climb_run(const struct passo_climb_setup *setup,
                                                  struct passo_climb_result *out_result,
                                                  char *out_fault, size_t fault_bytes);

/* Runs a steady pulse (setup->setup's target is its tempo), over the drone that the setup asks for,
 * until the player stops. Marker and CSV are not looked at. limit_ms > 0: ends after so long; of a
 * track, on that very frame. */
PASSO_MUST_CHECK enum passo_error passo_pulse_run(const struct passo_climb_setup *setup,
                                                  int64_t limit_ms, char *out_fault,
                                                  size_t fault_bytes);

#endif
