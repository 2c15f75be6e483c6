/* The conductor's own state, shared by the files of this room: climb.c (the loop and the phases),
 * start.c (what is said first), leave.c (how it ends), rest.c (what comes next and when),
 * hand_over.c (what the player gets of it), hearing.c (what the machine plays first), strip.c (the
 * notes that a view shows), keys.c (presses), marks.c (marks, undo), record.c (passes played, their
 * rows), keep.c (the log), snapshot.c (what a view draws), recover.c (the device), wait.c (when to
 * wake). All on the main thread. */
#ifndef PASSO_SESSION_CLIMB_PRIV_H
#define PASSO_SESSION_CLIMB_PRIV_H

#include "session/climb.h"
#include "session/sounding.h"

/* A counted beat of the pass, kept from its timeline, absolute as planned. */
struct beat_at {
    int64_t frame;
    int32_t bar;
    uint8_t beat;
    bool played; /* not of the count-in */
};

/* Where a note of the strip lies, absolute as planned. */
struct note_at {
    int64_t from;
    int64_t until;
};

/* The pass that was handed to the player last: it waits, or it sounds. Or the hearing before it,
 * which is a pass that the machine plays: nothing is marked in it. */
struct pass {
    struct passo_plan plan;
    uint64_t id;
    bool handed; /* the player has it */
    bool begun;  /* its count-in was heard to begin */
    struct passo_instant start;
    struct passo_instant body;
    struct passo_instant landing;
    struct passo_instant end;
    struct beat_at *beat;
    size_t beats;
    struct note_at *note; /* of the strip of its loop and variant */
    size_t notes;
    enum passo_mark mark; /* pressed while playing */
    bool changed;         /* pressed again with another mark */
    bool breaking;        /* ends at its bar's end */
    int32_t miss_bar;
};

/* One pass that was played. */
struct record {
    struct passo_plan plan;
    uint32_t number;
    enum passo_mark mark;
    bool changed; /* the mark was replaced or undone */
    int32_t miss_bar;
    bool broken_off; /* void by a pause, not by a key */
    bool open;       /* its window is open */
    bool reopened;   /* an undo took its mark; the next mark is for it */
    bool written;    /* its row is in the CSV */
    bool corrected;  /* changed since then: a correcting row is due */
    int64_t time_ns;
    int64_t play_ns;
    int64_t rest_ns;
    int64_t ended_ns; /* the climb's clock when its playing was over */
    int64_t elapsed_ns;
    struct passo_decision decision;
    int32_t next_mbpm;
};

struct held_key {
    int key;
    int64_t frame; /* of its last press, taken or not */
};

enum { HELD_KEYS = 8 };

struct climb {
    const struct passo_climb_setup *setup;
    const struct passo_passage *passage;
    const struct passo_course *course;
    struct passo_course_state state;
    struct passo_marker *marker;
    struct passo_sounding *sounding; /* the session's, or `own` */
    struct passo_sounding own;
    struct passo_csv *csv; /* the setup's; NULL of what is not recorded */
    struct passo_log *log; /* likewise */
    uint32_t rate_hz;
    int64_t now;        /* the frame that is heard */
    int64_t from_frame; /* the one that was heard when it began */
    enum passo_phase phase;
    struct pass pass;

    /* what the machine plays before the count-in */
    struct pass hearing;        /* handed: it waits, sounds, or is over and the pass waits */
    bool heard;                 /* played to its end, or cut: not again in this rest */
    struct passo_instant clear; /* it plays nothing sooner: what was played has died away, and the
                                   cues of a mark have sounded */
    struct passo_notes *varied; /* the notes in the variant `varied_of`; NULL: none are known */
    const struct passo_variant *varied_of;
    struct passo_notes *joined;        /* the same, each led into the next */
    struct passo_strip_note *strip;    /* as it is shown; of ... */
    const struct passo_loop *strip_of; /* ... this loop and the variant `strip_in` */
    const struct passo_variant *strip_in;

    bool stop_owed; /* the player has part of what should have been handed over, and no room for
                       the word that takes it back */

    /* the rest, or the breath before a new count-in */
    struct passo_plan plan;         /* what comes next */
    struct passo_instant rest_from; /* end of the playing */
    int64_t rest_from_ns;           /* the climb's clock then */
    struct passo_instant rest_until;
    struct passo_instant rest_ruled;  /* how long the rule lets this rest be */
    int64_t rest_more_ms;             /* by hand */
    bool rest_cut;                    /* a key cut it short ... */
    struct passo_instant rest_sooner; /* ... then */
    bool told_to_go_on;               /* a rest or pause without end was ended by hand */
    bool breathe_sent;
    bool time_told;
    int64_t time_cue;            /* frame of the cue that says so, 0 none waits */
    bool arranged;               /* the next pass is planned: a new mark must replan it */
    int64_t paused_at;           /* frame, while PAUSED */
    bool paused_unmarked;        /* for want of marks, not by a key */
    struct passo_instant paused; /* sum of pauses: the climb's clock stood still */

    struct passo_instant epoch; /* start of the first count-in */
    int64_t wall_epoch_ns;

    struct record *record;
    size_t records;
    struct passo_ladder_event *event;
    ptrdiff_t *event_record; /* index of the pass of an event, -1: by hand */
    size_t events;
    size_t replay_from;                    /* events from here on are to be worked in (again) */
    struct passo_course_state before_last; /* the state before the last event, */
    size_t before_last_at;                 /* which is this one */
    size_t reopened;                       /* passes whose mark was taken back */
    size_t rows_from; /* rows of the passes before this one are written and right */
    int64_t played_ns;
    int64_t rested_ns;
    uint32_t late; /* frames were lost or late so often since it was last told */
    bool csv_failed;
    char session[PASSO_SESSION_BYTES]; /* "" before there is something to record */
    bool log_failed;                   /* its rows wait */
    bool cut_short;                    /* ended by a terminal or a machine that is gone */
    enum passo_climb_end end;          /* RULE until it is left otherwise */
    bool passed_on;                    /* a block that a hand ended as done */
    int64_t log_retry_ms;              /* not before this, of CLOCK_MONOTONIC */
    size_t restored;                   /* passes that were played before the climb was cut short, */
    int64_t before_ns;                 /* and the climb's clock then, */
    int64_t played_before_ns;          /* what was played */
    int64_t rested_before_ns;          /* and rested */
    bool marks_ran_out;

    struct held_key held[HELD_KEYS];
    struct passo_notice notice; /* fetched, not yet heard */
    bool has_notice;
    int32_t level_permille;
    bool level_by_hand;
    bool then_told; /* what comes after it */
    char move_words[PASSO_WORDS_BYTES];
    char notice_words[PASSO_WORDS_BYTES];
    struct passo_snapshot snapshot;
};

/* --- climb.c --- */
/* Frames of ms milliseconds. */
int64_t climb_frames(const struct climb *climb, int64_t ms);
/* Climb clock at an instant: from the first count-in, pauses left out, in nanoseconds. */
int64_t climb_elapsed_ns(const struct climb *climb, struct passo_instant at);
/* One sentence to the view (printf). */
void climb_say(struct climb *climb, enum passo_say kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* The playing of this pass is over at `end`: it becomes a record and the rest begins. */
void climb_end_play(struct climb *climb, struct passo_instant end, bool broken_off);
/* A block is played without marks; a check neither climbs nor is moved by hand. */
bool climb_is_block(const struct climb *climb);
bool climb_is_check(const struct climb *climb);
/* Breaks a pass that sounds off, here and now. */
void climb_break_off(struct climb *climb);
/* The pause key: a pass that sounds is broken off and void; pressed again, the climb goes on. */
void climb_pause(struct climb *climb);
/* Sends the level to the player. */
void climb_set_level(struct climb *climb);

/* --- start.c --- */
/* What is climbed, and what the player should know of it beforehand. */
void start_say(struct climb *climb);
/* Which ladder begins in this stage, of a climb with several. */
void start_say_stage(struct climb *climb);
/* --- start_notes.c: its notes and keys in words, for who does not see them --- */
void start_say_notes(struct climb *climb);

/* --- leave.c --- */
/* The player ends the climb, or nobody is there to go on. */
void leave_quit(struct climb *climb);
/* The same by another key of a day. */
void leave_by(struct climb *climb, enum passo_climb_end end);
/* The next key, please: a block is over, and done. */
void leave_block(struct climb *climb);
/* Says once, of a climb of a day whose last pass is played, what comes then. */
void leave_say_then(struct climb *climb);
/* "G-flat major." of "Then G-flat major."; "" if nothing is known to come. */
const char *leave_then(const struct climb *climb);
/* The result; the stream is silent, and the record has all it can have. */
void leave_end(struct climb *climb, struct passo_climb_result *out_result);

/* --- block.c: the words of a block --- */
/* "G-flat major · flow study". */
void block_what(const struct climb *climb, char *out, size_t bytes);
/* Says the pass whose count-in begins: what is played, and then only its number. */
void block_say_pass(struct climb *climb);
/* What comes next; of a free block the time that is left. */
void block_next(struct climb *climb);
/* In the last rest: from here on the title and the notes of what comes after it are shown. */
void block_show_then(struct climb *climb);

/* --- wait.c --- */
/* Sleeps in the view until something is due, a key is pressed or a signal comes. */
void climb_wait(struct climb *climb);
/* Moves simulated time to the next thing that is due; ends the climb if nothing ever will be. */
void climb_wait_simulated(struct climb *climb);

/* --- recover.c --- */
/* Watches the device; falls silent with it and returns with it. */
void climb_look_after_sound(struct climb *climb);

/* --- hand_over.c --- */
/* Hands the coming pass over, to begin when the rest ends, and with it what comes before it: the
 * rest grows if that asks for more time. A full ring: nothing is handed over, and a step soon
 * after tries again. */
void hand_over(struct climb *climb);
/* Takes back what a full ring kept from being taken back, if there is room by now. */
void hand_settle(struct climb *climb);
/* Takes all of it back, what sounds too. */
void hand_take_back(struct climb *climb);
/* The player has nothing of it any more; a hearing that is over by now stays heard. Before frames
 * are counted anew. */
void hand_forget(struct climb *climb);
/* The note before the count-in of a plan, as written, in the key that is played, at pitch. False:
 * there is none. */
bool hand_start_pitch(const struct climb *climb, const struct passo_plan *plan,
                      struct passo_pitch *out_pitch);
/* It was handed over late (a stalled machine) and lies so many frames later. */
void hand_shift(struct pass *pass, int64_t late);

/* --- hearing.c --- */
/* Makes room for the notes, if they are known; frees all that was made of them. */
void hearing_init(struct climb *climb);
void hearing_deinit(struct climb *climb);
/* The notes of a plan, as its variant makes them; NULL: none are played in its loop. Valid until
 * the next call. */
const struct passo_notes *hearing_notes(struct climb *climb, const struct passo_plan *plan);
/* The same as a melody. */
struct passo_melody hearing_melody(const struct climb *climb, const struct passo_notes *notes);
/* Whether a note sounds before the count-in, where there is one to give. */
bool hearing_starts(const struct climb *climb);
/* Lets the rest grow so that what comes before the count-in has its time. True if a hearing is
 * among it: it begins at *out_start. */
bool hearing_fit(struct climb *climb, const struct passo_pass_shape *shape,
                 struct passo_instant *out_start);
/* False: the pass that was handed over is to be heard now and was not, or the other way. */
bool hearing_holds(struct climb *climb);
/* It begins to sound, at the frame `began`. */
void hearing_begin(struct climb *climb, int64_t began);
/* It waits before the count-in; it sounds. */
bool hearing_waits(const struct climb *climb);
bool hearing_sounds(const struct climb *climb);
/* The machine plays at some time from `from` to `until`, before the count-in. */
bool hearing_covers(const struct climb *climb, int64_t from, int64_t until);
/* A block in which one listens: `passo hear`. */
bool hearing_is_block(const struct climb *climb);

/* --- strip.c --- */
/* Makes the strip that of a plan, if it is not yet. */
void strip_show(struct climb *climb, const struct passo_plan *plan);
/* Keeps where the strip's notes lie in a pass of this shape, whether the machine plays them or the
 * player. */
void strip_keep(struct climb *climb, struct pass *pass, const struct passo_pass_shape *shape);
/* The note of the strip that is heard or to be played in that pass now; -1 none. */
int32_t strip_now(const struct climb *climb, const struct pass *pass);

/* --- rest.c --- */
/* Plans and hands over the first pass, its count-in lead_ms from now. */
void rest_first(struct climb *climb, int64_t lead_ms);
/* Plans the next pass from the ladder and hands it over, if one is to be played. */
void rest_arrange(struct climb *climb);
/* After a change of rate the player holds nothing: the pass that waited is handed over again. */
void rest_hand_over_again(struct climb *climb);
/* A mark, an undo or a hand has changed what comes next: takes back what was handed over if it is
 * another pass now; a count-in that sounds is stopped and two seconds of breath begin. */
void rest_replan(struct climb *climb);
/* What is due in a rest at this moment: the soft cue, the hand-over, the end. */
void rest_step(struct climb *climb);
/* The next frame at which rest_step() has something to do. */
int64_t rest_due(const struct climb *climb);
/* unmarked: for want of marks. */
void rest_pause(struct climb *climb, bool unmarked);
void rest_resume(struct climb *climb);
void rest_sooner(struct climb *climb);
void rest_longer(struct climb *climb);
/* Sounds a cue at a frame (a past one: at once). */
void rest_cue(struct climb *climb, enum passo_cue cue, int64_t frame);
/* Takes back the cues that wait, but for the one that is said only once. */
void rest_hush(struct climb *climb);
/* Whether both are the same pass to play, after the same rest. */
bool rest_is_same(const struct passo_plan *a, const struct passo_plan *b);
/* True if all bars are heard in a pass of this plan, as it is the first of its kind at its tempo.
 */
bool rest_is_new_tempo(const struct climb *climb, const struct passo_plan *plan);
/* True when a rest has no end of its own: it waits for a mark. */
bool rest_is_open(const struct climb *climb);

/* --- keys.c --- */
/* Works one press in. */
void keys_press(struct climb *climb, const struct passo_press *press, int64_t frame);

/* --- marks.c --- */
/* A mark by key, for the pass that sounds or the one it is for; taking the last one back. */
void marks_mark(struct climb *climb, enum passo_mark mark);
void marks_undo(struct climb *climb);
/* Lets the marker mark the pass just played. */
void marks_from_marker(struct climb *climb);
/* True when marks come from a script and it has nothing more. */
bool marks_ended(const struct climb *climb);
/* Works the changed list of events in, sounds what came of it and says it, or `words` instead if
 * not NULL. part: of the pass that was marked. */
void marks_moved(struct climb *climb, enum passo_part part, const char *words);

/* --- record.c --- */
/* A new record for the pass that was played, with its event. broken_off: by a pause or the end,
 * and void for that, not by a key. */
struct record *record_add(struct climb *climb, enum passo_mark mark, struct passo_instant end,
                          bool broken_off);
/* An event by hand. */
void record_hand(struct climb *climb, enum passo_event_type type);
/* The mark of a pass has changed: it is worked in by the next replay. */
void record_changed(struct climb *climb, const struct record *record);
/* Replays the events into the state, from the first that is new or has changed on, or from the
 * start if that one is not the last; the decision of the last one. */
struct passo_decision record_replay(struct climb *climb);
/* The windows of all passes close: the rest before the next pass lasted until `rest_end`. Rows
 * that are due are written. */
void record_close_windows(struct climb *climb, struct passo_instant rest_end);
/* The record that a mark is for now, or NULL: the pass that sounds, or none. */
struct record *record_for_mark(struct climb *climb);

/* Room for the texts of a row that are made for it. */
struct row_room {
    char bars[64];
    char beat[PASSO_NAME_MAX];
};
/* A pass as a row; its texts are valid as long as room and climb are. */
void record_row(const struct climb *climb, const struct record *record, struct row_room *room,
                struct passo_row *out_row);
/* An event of a climb that was cut short, to be replayed, with the pass that it is of, or NULL. */
void record_restore(struct climb *climb, const struct record *record,
                    const struct passo_ladder_event *event);

/* --- keep.c: into the log, if there is one --- */
#define KEEP_WAITS                                                                                 \
    "The log cannot be written: %s. What you play is kept in memory and written when it can be."
/* Gives the climb its name in the record, once there is something to record. */
void keep_begin(struct climb *climb);
/* A pass whose playing is over; a change to one that was played; a hand. */
void keep_played(struct climb *climb, const struct record *record);
void keep_change(struct climb *climb, enum passo_log_change change, const struct record *record);
void keep_hand(struct climb *climb, const struct passo_ladder_event *event);
/* Writes what waits, if the log is not known to be out of order for the moment. */
void keep_commit(struct climb *climb);
/* The last try, and the rescue. */
void keep_end(struct climb *climb, struct passo_climb_result *out_result);
/* Brings back what was played before the climb was cut short. */
void keep_restore(struct climb *climb);

/* --- snapshot.c --- */
void snapshot_fill(struct climb *climb);
/* A notice of the player, as heard. */
void snapshot_beat(struct climb *climb, const struct passo_notice *notice);

#endif
