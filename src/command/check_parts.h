/* The pieces of `passo check`. Thread: the main thread. */
#ifndef PASSO_COMMAND_CHECK_PARTS_H
#define PASSO_COMMAND_CHECK_PARTS_H

#include "command/spots.h"
#include "command/staging.h"
#include "session/day.h"

#define CHECK_MOST_MS        (8 * 60000) /* a last look, not a practice (common practice) */
#define CHECK_REST_PERMILLE  2000        /* twice as long as played, */
#define CHECK_REST_LEAST_MS  15000       /* and no less */
#define CHECK_AGAIN_PERMILLE 800         /* after a miss once more, at this share of the target */

/* How it is played: as written, or so that nobody next door hears it. */
enum check_quiet { CHECK_ALOUD, CHECK_OCTAVE_DOWN, CHECK_SOFT, CHECK_FINGERS, CHECK_QUIET_COUNT };

/* A spot of the check, with the texts that the session borrows. */
struct check_item {
    size_t spot;
    int64_t ms; /* count-in, pass and rest */
    bool moved; /* to the end, since it is the most secure */
    char line[PASSO_WORDS_BYTES];
    char why[PASSO_WORDS_BYTES];
    char prompt[3 * PASSO_WORDS_BYTES];
};

struct check {
    struct passo_options *options;
    struct passo_staging staging;
    int32_t today;
    int32_t at_permille; /* of the target: 850 to 1000 */
    enum check_quiet quiet;
    struct spots spots;
    struct check_item *item; /* in the order of playing */
    size_t items;
    bool *left_out; /* one a spot: for want of time */
    struct passo_setup *setup;
    struct passo_lines lines;
    int64_t began_ns;                                        /* of the first pass; 0: not yet */
    int64_t now_ns;                                          /* what was told last */
    struct passo_climb_result log_failed[PASSO_RESCUES_MAX]; /* spots that the log did not take */
    size_t fails;
};

/* --- check_order.c --- */
/* Which spots in which order: the programme's, or drawn; what would go beyond CHECK_MOST_MS is left
 * out, the most secure first; a comfortable one last. */
void check_order(struct check *check);
/* One pass with its count-in and its rest, at a share of the target. */
int64_t check_time_ms(const struct spot *spot, int32_t permille);
/* Whether the log calls a spot comfortable: secure at 95 % of its target or faster. */
bool check_is_comfortable(const struct spot *spot);

/* --- check_run.c --- */
void check_list_print(const struct check *check);
enum passo_exit check_run(struct check *check);

#endif
