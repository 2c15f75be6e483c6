/* The day's plan: the blocks of a routine in order, and the passages set in where their key or
 * their pattern comes up. A pure function of what is asked, so that the same day gives the same
 * plan.
 *
 * - Which passages: those that are due; of those that share their only places, one a key and day,
 * the one whose turn it is (owed, then the weakest), while there are not whole visits for more.
 * - How long: water-filling (budget.h), at least `least` or not at all.
 * - Where: a visit stands right after a key that agrees with its passage's, or after a block that
 *   shares a tag; a passage without a place at the end of the block that suits best. What a passage
 *   has beyond one visit is parted, and its visits lie as far apart as places allow.
 * - In which order: start keys and free places are drawn by the day, so that the order of visits is
 *   not that of the last day.
 * Thread: any. No I/O, no clock; allocates what passo_today_free() frees. */
#ifndef PASSO_TODAY_H
#define PASSO_TODAY_H

#include <passo/budget.h>
#include <passo/key.h>
#include <passo/passage.h>

/* Nobody is sent to a hard spot cold: a visit without a place of its own comes after so much of the
 * blocks, or after a third of them if that is less (common practice: first the warm-up). Nor does
 * one come after the last of three blocks or more, which is there to end on, unless it suits there.
 */
#define PASSO_WARM_UP_MS (5 * 60000)

#define PASSO_BLOCKS_MAX       24
#define PASSO_PASSAGE_KEYS_MAX 8
#define PASSO_VISITS_MAX       8 /* of one passage on one day */

enum passo_order {
    PASSO_ORDER_MIXED,   /* visits of one passage are spread over the routine */
    PASSO_ORDER_BLOCKED, /* they follow one another at its first place */
    PASSO_ORDER_COUNT
};

/* A block as the planner sees it. */
struct passo_block {
    char name[PASSO_NAME_MAX];
    char tags[PASSO_TEXT_MAX]; /* set apart by ", "; the name, and each word of it, count as well */
    struct passo_cycle cycle;
    uint8_t keys_a_day; /* 0: all of the cycle */
    int64_t ms;         /* the whole block; 0: `passes` of each key */
    uint16_t passes;    /* a key; 0: as many as fit into ms */
    int64_t pass_ms;    /* one pass with its count-in and rest; 0: a free block, which has ms */
};

struct passo_routine {
    struct passo_block block[PASSO_BLOCKS_MAX];
    size_t blocks; /* may be 0: passages alone */
    enum passo_order order;
    bool relative;    /* a passage in the relative minor or major comes up with the key */
    int64_t visit_ms; /* the most for one visit */
    int64_t least_ms; /* a passage gets this or nothing */
    int64_t most_ms;  /* the most for one passage and day */
};

/* A passage that may be set in. Texts are borrowed. */
struct passo_today_passage {
    const char *name; /* tells it apart, today and tomorrow */
    const char *tags; /* set apart by ", "; "" none */
    struct passo_key key[PASSO_PASSAGE_KEYS_MAX];
    size_t keys;
    double level; /* ln of the secure tempo over the target */
    double rate;  /* a minute */
    bool due;     /* false: it holds its level and comes back another day */
    bool owed;    /* its turn was another's on the last day */
};

/* Everything is borrowed. */
struct passo_today_ask {
    const struct passo_routine *routine;
    const struct passo_today_passage *passage;
    size_t passages;
    int64_t passages_ms; /* for all visits together */
    int64_t day;         /* counted in days; the draws of a day are its own */
    /* Where each block's cycle goes on: keys already played, all days together, of a block with
     * keys_a_day; -1: nothing is known, the start is drawn by the day. Of a block that goes through
     * all its keys it is not looked at, but start_place is. NULL: nothing is known of any. */
    const int64_t *carried;
    const int32_t *start_place; /* the place of each cycle's first key, forced; -1 drawn. NULL: all
                                   drawn */
    const int32_t *last_start;  /* of the last day: no cycle of several keys begins there today; -1
                                   not known. NULL: none known */
    /* The visits of the last day, in order; none: not known. */
    const char *const *last_order;
    size_t last_visits;
};

enum passo_item_kind { PASSO_ITEM_BLOCK, PASSO_ITEM_VISIT };

/* Why a visit stands where it stands. */
enum passo_place_why {
    PASSO_PLACE_KEY,        /* after its own key */
    PASSO_PLACE_ENHARMONIC, /* after the same key, spelt otherwise */
    PASSO_PLACE_RELATIVE,   /* after the relative key */
    PASSO_PLACE_TAG,        /* after a block that shares a tag */
    PASSO_PLACE_SUITS,      /* no place matches: at the end of the block that suits best (most words
                               in common; else drawn among those with the fewest visits) */
    PASSO_PLACE_SPREAD,     /* one of its further visits, away from the others */
    PASSO_PLACE_FREE,       /* there are no blocks: drawn */
    PASSO_PLACE_WHY_COUNT
};

struct passo_today_item {
    enum passo_item_kind kind;
    int64_t ms;
    /* BLOCK: one key of it, or all of it */
    size_t block;
    bool keyed;
    struct passo_key key; /* also of a VISIT: the passage's key that matched */
    uint8_t number; /* of the block's keys today, from 1; of a VISIT: which of the passage's */
    uint8_t of;
    uint16_t passes; /* BLOCK: to play here; 0 of a free one */
    size_t place;    /* BLOCK: of the key in its cycle */
    /* VISIT */
    size_t passage;
    enum passo_place_why why;
    struct passo_key after;   /* of KEY, ENHARMONIC and RELATIVE: the block's key */
    char tag[PASSO_NAME_MAX]; /* of TAG: which */
    bool drawn;               /* of SUITS: no block had a word in common with it */
};

/* What a passage gets, and why. */
enum passo_part_why {
    PASSO_GETS_LEVEL,   /* it is brought to the common level */
    PASSO_GETS_LEAST,   /* it stands higher than that: the least */
    PASSO_GETS_MOST,    /* it would need more than the most */
    PASSO_GETS_NOT_DUE, /* nothing: it holds its level and rests today */
    PASSO_GETS_TURN,    /* nothing: its key is another's today; `other` says whose. Owed tomorrow */
    PASSO_GETS_TIME,    /* nothing: too few minutes, and others need them more */
    PASSO_GETS_COUNT
};

struct passo_today_part {
    int64_t ms;
    uint8_t visits;
    enum passo_part_why why;
    size_t other;
    double after; /* the level expected after today; of nothing: as it is */
};

struct passo_today {
    struct passo_today_item *item;
    size_t items;
    struct passo_today_part *part; /* one a passage, in their order */
    int64_t blocks_ms;             /* all blocks together */
    int64_t visits_ms;
    double level;    /* to which the minutes bring those that get LEVEL; INFINITY: none does */
    bool same_order; /* no other order of visits than the last day's is possible; where nothing is
                        known of it: perhaps it is the same */
};

/* Makes the plan. Visits last whole seconds (visit_ms and most_ms a second at least; the bounds are
 * taken inwards to whole ones). PASSO_ERR_RANGE: a block without time, or values out of their
 * ranges. Zero it before; free it also after an error. */
PASSO_MUST_CHECK enum passo_error passo_today_plan(const struct passo_today_ask *ask,
                                                   struct passo_today *out_today);
void passo_today_free(struct passo_today *today);
/* How long a routine's blocks take, by the same rules: all keys of today counted. */
int64_t passo_routine_ms(const struct passo_routine *routine);
/* The blocks in more or less time than the routine says: those with ms become to_ms (0 or more) of
 * what was of_ms (above 0) together, half up, but each of today's keys keeps a second; those by
 * passes stay. */
void passo_routine_stretch(struct passo_routine *routine, int64_t to_ms, int64_t of_ms);

#endif
