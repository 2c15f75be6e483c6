/* One pass as it is recorded: a row of the session CSV, of the log, of an export. The columns are
 * those of design.md section 8. Thread: any. */
#ifndef PASSO_STORE_ROW_H
#define PASSO_STORE_ROW_H

#include <passo/ladder.h>

/* A part that is no part of a ladder. */
enum passo_extra { PASSO_EXTRA_NONE, PASSO_EXTRA_VISIT, PASSO_EXTRA_CHECK, PASSO_EXTRA_COUNT };

/* Texts are borrowed and may be anything. Of a row that was read: what its file leaves out is "",
 * 0, or what stands here for none. */
struct passo_row {
    int64_t time_ns;  /* CLOCK_REALTIME of the first count-in of this pass; before 1970 negative */
    int32_t offset_s; /* of the place's time from UTC, east counts up */
    int32_t day;      /* the calendar day there: 20261124 */
    const char *player;
    const char *session;
    const char *passage; /* the title */
    const char *piece;
    uint32_t pass; /* from 1 */
    enum passo_part part;
    enum passo_extra extra; /* if not NONE: part is PASSO_PART_COUNT */
    const char *loop;
    const char *bars; /* "33-36" */
    const char *variant;
    bool off_pitch; /* an octave away: no pass of this kind makes the level. Known where it is
                       played; of a CSV told from the variant's name: it speaks of an octave */
    const char *beat_unit; /* "dotted quarter" */
    int32_t tempo_mbpm;
    int32_t target_mbpm;
    enum passo_mark mark;
    const char *marked_by; /* "key", "assumed", "changed", or "" */
    int32_t miss_bar;      /* where a miss pressed while playing fell; INT32_MIN: none */
    uint32_t clean_in_a_row;
    enum passo_move move;
    int32_t next_mbpm; /* 0: nothing follows */
    int64_t play_ns;
    int64_t rest_ns;
    int64_t elapsed_ns;
    uint64_t line; /* where it begins in the file that it was read from, from 1; 0: in none */
};

/* A row with nothing in it: every text is "". */
struct passo_row passo_row_empty(void);
/* Whether its mark says how well the passage goes: the climb and what goes around it, but for the
 * easy passes and the slow ones between; visits. */
bool passo_row_shows(const struct passo_row *row);
/* Whether it makes the level: the whole passage or its context, at pitch. */
bool passo_row_is_level(const struct passo_row *row);
/* Whether its mark won a rung; of a clean pass a drop is a `lift` that goes back. */
bool passo_row_wins(const struct passo_row *row);
/* Sets the time, and the day that it is there. */
void passo_row_time(struct passo_row *row, int64_t time_ns, int32_t offset_s);
/* Sets the time, with this machine's offset then. Reads the time zone. */
void passo_row_time_here(struct passo_row *row, int64_t time_ns);
/* "climb", "visit" ...; static. */
const char *passo_row_part_name(const struct passo_row *row);
/* What a CSV adds to the variant's name, which alone says there whether it is an octave away: any
 * name with "octave" in it is, and for the others it says so; static, "" for most. */
const char *passo_row_pitch_words(const struct passo_row *row);
/* Sets off_pitch from the variant's name, and cuts off what a CSV added; name is row->variant. */
void passo_row_pitch_read(struct passo_row *row, char *name);
/* How a day or a climb ended that had this move last: it was won, came to a plateau, or the player
 * was tired; any other move was not the end, so it was stopped. */
enum passo_move passo_move_as_end(enum passo_move last);
/* Reads such a name. False if there is none of that name. */
bool passo_row_part_read(struct passo_row *row, const char *name);

#endif
