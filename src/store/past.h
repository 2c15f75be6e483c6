/* What earlier days gave of one passage, from a session CSV, the log or any other rows: where
 * today's climb may open (course.h) and which marks fell at which tempo (skill.h), later days
 * weighing more (standing.h). Thread: the main thread. */
#ifndef PASSO_STORE_PAST_H
#define PASSO_STORE_PAST_H

#include <passo/course.h>
#include <passo/skill.h>
#include "store/csv_read.h"
#include "store/log.h"

/* What is looked for. Everything is borrowed. */
struct passo_past_wish {
    const char *passage;     /* the title; "" is a passage without one */
    const char *piece;       /* "": of any piece */
    const char *player;      /* "": of any player; else theirs and what names no player */
    struct passo_ratio beat; /* the beat unit of every tempo that is given back */
    int32_t target_mbpm;     /* no best clean tempo is above it; 0: as it was */
    int32_t today;           /* 20261124, local; rows of later days are passed over */
    /* Reads the name of a beat unit (passo_note_value_read(), which lives in another room). */
    enum passo_error (*read_beat)(const char *name, struct passo_ratio *out_beat);
};

struct passo_past_log {
    struct passo_past *past; /* best clean passes of the last day with practice, in the order in
                                which the file has them; cold, climb, over, close, context and visit
                                passes count */
    size_t pasts;
    uint16_t missed;  /* days between that day and today; 0 also if it is today */
    int32_t last_day; /* 0: no practice was found */
    /* Of every day: the same parts, clean or miss. Ascending by tempo. Each pass weighs
     * passo_fade() of the days from its own to last_day. */
    struct passo_skill_group *group;
    size_t groups; /* at most PASSO_SKILL_GROUPS_MAX: with more tempi the nearest takes the rest */
    uint32_t passes;       /* in the groups; plain counts, as the days are */
    uint32_t days;         /* on which they were played */
    int32_t best_won_mbpm; /* a rung that was won on any day, of any loop and variant, no more than
                              the target; 0: none */
};

struct passo_past_gathering; /* opaque: rows of one passage as they come */

/* Begins to gather. The wish is borrowed until passo_past_settle(). */
struct passo_past_gathering *passo_past_begin(const struct passo_past_wish *wish);
/* Takes a row, of any passage and in any order, as struct passo_csv_taker hands them over: NULL, or
 * what is wrong with it in some words (a beat unit that cannot be read), and it is passed over. */
const char *passo_past_take(void *gathering, const struct passo_row *row);
/* Works out what the rows gave, and frees the gathering. */
void passo_past_settle(struct passo_past_gathering *gathering, struct passo_past_log *out_log);

/* Reads the log of a passage. A day counts as one with practice if it has any pass but a check or
 * a void one. A beat unit that cannot be read is told like a bad row. Errors and faults as of
 * passo_csv_read(); taker says who takes the faults (its row is not called) and may be NULL. After
 * an error the log is empty. Free with passo_past_deinit(). Blocks: on the disk. */
PASSO_MUST_CHECK enum passo_error passo_past_read(const char *path,
                                                  const struct passo_past_wish *wish,
                                                  const struct passo_csv_taker *taker,
                                                  struct passo_past_log *out_log, char *out_fault,
                                                  size_t fault_bytes);
/* The same from the log. There the player is exactly the one that is wished for, and "" is the one
 * without a name. Errors as of passo_log_rows(); a row whose beat unit cannot be read is passed
 * over. */
PASSO_MUST_CHECK enum passo_error passo_past_read_log(struct passo_log *log,
                                                      const struct passo_past_wish *wish,
                                                      struct passo_past_log *out_log,
                                                      char *out_fault, size_t fault_bytes);
void passo_past_deinit(struct passo_past_log *log);

#endif
