/* The pieces of `passo today`: the passages, what the log has of earlier days, the plan, its words,
 * its list, and playing it. Thread: the main thread. */
#ifndef PASSO_COMMAND_TODAY_PARTS_H
#define PASSO_COMMAND_TODAY_PARTS_H

#include "command/spots.h"
#include "command/staging.h"
#include "session/day.h"
#include "text/routine.h"

/* The time before a visit and before another block: to read what comes and turn the page. It is
 * part of their minutes. */
#define TODAY_PREPARE_MS 8000
/* Straight back to the next key of a block. */
#define TODAY_BACK_MS 4000

/* What was done of an item today. */
struct today_deed {
    char *item;
    enum passo_log_deed deed;
    int64_t time_ns;
    int64_t played_ms;
    int64_t rested_ms;
};

struct today_names {
    char **name;
    size_t count;
};

/* What the log has of the days before, and of this one so far. */
struct today_past {
    bool begun;                   /* today */
    bool goes_on;                 /* with that plan */
    char routine[PASSO_TEXT_MAX]; /* of today's plan, by its name */
    /* What today's plan was made from: */
    int64_t whole_ms;
    enum passo_order order;
    bool all;
    char *path;
    char *only;              /* "" all of the player's own */
    struct today_deed *deed; /* since it was made */
    size_t deeds;
    struct today_names last_visits; /* of the last day with visits, in order: "visit/N/PASSAGE" */
    int32_t last_day;
    struct today_names owed; /* passages whose turn was another's, and that had none since */
    int64_t carried[PASSO_BLOCKS_MAX];
    int32_t last_start[PASSO_BLOCKS_MAX];
    int32_t last_key_day[PASSO_BLOCKS_MAX];
};

/* An item of the plan, with the texts that the session borrows. */
struct today_item {
    char *id; /* in the log: "block/NAME/KEY" (KEY "-" without keys), "visit/N/PASSAGE" */
    char line[PASSO_WORDS_BYTES];
    char why[PASSO_WORDS_BYTES];
    char prompt[PASSO_WORDS_BYTES];
    int32_t prepare_ms;
};

struct today {
    struct passo_options *options;
    struct passo_staging staging;
    int32_t day;
    char path[PASSO_PATH_BYTES]; /* of the routine */
    const char *only;            /* --only, of now or of the plan that goes on; NULL: not said */
    bool all;                    /* --all, likewise */
    struct passo_routine_file file;
    struct spots spots;
    struct today_past past;
    int64_t whole_ms;
    int64_t passages_ms;
    int64_t between_ms; /* to read what comes */
    struct passo_today plan;
    struct today_item *item; /* one an item of the plan */
    struct passo_day_item *shown;
    /* of the item that is played */
    struct passo_setup *setup;
    struct passo_lines lines;
    char opening_words[PASSO_WORDS_BYTES];
    struct passo_climb_result log_failed[PASSO_RESCUES_MAX]; /* items that the log did not take */
    size_t fails;
    struct passo_player_model *model; /* of the simulated player: one a passage */
};

/* --- today_past.c --- */
/* Reads the deeds of all days; of today only what came after the plan was last made. log NULL:
 * nothing is known. An error is told. */
enum passo_error today_past_read(struct today *today, struct passo_log *log);
/* The same of this routine's blocks: how far their keys have come. */
enum passo_error today_keys_read(struct today *today, struct passo_log *log);
/* The passage of "visit/N/PASSAGE"; NULL: no visit. */
const char *today_visited(const char *item);
bool today_has(const struct today_names *names, const char *name);
void today_past_free(struct today_past *past);

/* --- today_done.c --- */
/* What a plan was made from, as DAY_BEGAN keeps it; free it. */
char *today_note_write(const struct today *today);
/* Reads it into the past; what cannot be read is not there. */
void today_note_read(struct today_past *past, const char *note);
/* What today's deeds say of an item of the plan: done, left out, put off. */
void today_done(const struct today_past *past, const char *item, struct passo_day_item *out_item);
/* Play and rest so far today, the time away counted as rest. */
void today_balance(const struct today *today, int64_t now_ns, struct passo_balance *out_balance);

/* --- today_plan.c --- */
/* Makes the plan and its texts. False: a fault was added to the options'. */
bool today_plan_make(struct today *today);
void today_plan_free(struct today *today);

/* --- today_words.c: sentences and lines; each returns out --- */
const char *today_item_line(const struct today *today, size_t item, char *out, size_t bytes);
const char *today_item_why(const struct today *today, size_t item, char *out, size_t bytes);
const char *today_item_prompt(const struct today *today, size_t item, char *out, size_t bytes);
/* Why a passage gets its minutes, or none. */
const char *today_part_why(const struct today *today, size_t passage, char *out, size_t bytes);

/* --- today_list.c --- */
/* Prints the day: what, where, how long, why. */
void today_list_print(const struct today *today);

/* --- today_run.c --- */
/* A visit to a spot: how long, how many passes (0: any number), and the routine's rest ("" none).
 */
struct today_visit {
    const struct spot *spot;
    int64_t ms;
    uint16_t passes;
    const char *rest;
    const char *reference; /* what the day is tuned to, where the passage does not say; NULL */
};
/* What a visit is: adds to a passage's lines what makes them one. For spot_load(). */
void today_visit_lines(void *user, struct passo_lines *lines, struct passo_faults *faults);
/* Fills in what an item's climb needs: a passo_day_setup.ready, whose user is the day. */
bool today_ready(void *user, size_t at, struct passo_climb_setup *run, char *out_why, size_t bytes);
/* One click set for the whole stream: the first that a block asks for; "" built in. */
const char *today_sounds(const struct today *today);
enum passo_exit today_run(struct today *today);

#endif
