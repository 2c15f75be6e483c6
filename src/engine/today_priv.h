/* The parts of the day's planner: the stops of a day, who is set in and where, how the visits lie,
 * and one attempt at all of it. Everything is counted over the entries: the passages by need, so
 * that no plan hangs on the order in which they were given. Thread: any. */
#ifndef PASSO_ENGINE_TODAY_PRIV_H
#define PASSO_ENGINE_TODAY_PRIV_H

#include <passo/random.h>
#include <passo/today.h>

#define TODAY_STOPS_MAX  ((size_t)PASSO_BLOCKS_MAX * PASSO_KEYS_MAX)
#define TODAY_KEYS       (2 * (2 * PASSO_TONIC_MAX + 1)) /* all that can be written */
#define TODAY_LONGEST_MS (24 * 3600000LL)
#define TODAY_ATTEMPTS   64
#define TODAY_NOBODY     SIZE_MAX
#define TODAY_SECOND_MS  1000 /* visits last whole seconds */

/* Where a visit can follow: a key of a block, or a block without keys. */
struct today_stop {
    size_t block;
    size_t place; /* of the key in its cycle */
    struct passo_key key;
    bool keyed;
    bool warm; /* the warm-up is over: a visit may follow without a place of its own ... */
    bool open; /* ... also one that nothing calls here: it is not there to end on */
    bool last; /* of its block: visits without a key of their own stand after it, any number */
    uint8_t number;
    uint8_t of;
    uint16_t passes;
    int64_t ms;
    int64_t until_ms; /* of the blocks alone: what two stops are apart */
    uint32_t draw;    /* which of equals comes first in this attempt */
    size_t holder;    /* the entry whose turn its key is */
    size_t visits;
};

/* A passage, and what this attempt gives it. */
struct today_entry {
    const struct passo_today_passage *passage;
    size_t index; /* in the ask */
    /* once for all attempts */
    uint8_t match[TODAY_KEYS]; /* enum passo_key_match: its best to each key ... */
    uint8_t which[TODAY_KEYS]; /* ... and which of its keys that is */
    uint8_t words[PASSO_BLOCKS_MAX];
    bool tagged[PASSO_BLOCKS_MAX];
    /* of this attempt */
    uint32_t draw;
    bool placed; /* it is visited; without a stop it suits somewhere */
    size_t stop; /* of its first visit */
    enum passo_place_why why;
    struct passo_today_part part;
};

struct today_visit {
    size_t entry;
    size_t stop;
    enum passo_place_why why;
    uint8_t number;
    int64_t ms;
};

struct today_work {
    const struct passo_today_ask *ask;
    const struct passo_routine *routine;
    struct today_entry *entry; /* by need: the owed, then the lowest level, then by name */
    size_t entries;
    uint8_t start[PASSO_BLOCKS_MAX][PASSO_KEYS_MAX]; /* the day's drawn order of starts */
    size_t starts[PASSO_BLOCKS_MAX];
    /* of this attempt */
    struct passo_random random;
    struct today_stop stop[TODAY_STOPS_MAX];
    size_t stops;
    size_t placed;
    double level;
    struct today_visit *visit; /* in the order of the day once they are arranged */
    size_t visits;
};

/* --- stops (today_stops.c) */

/* How many keys of a block are played today; 1 of a block without. */
size_t today_keys(const struct passo_block *block);
/* Draws the order in which the starts of each cycle are tried. */
void today_draw_starts(struct today_work *work);
/* The day's stops with the starts of this attempt. */
void today_lay_stops(struct today_work *work, size_t attempt);
/* All values within their ranges. */
bool today_routine_fits(const struct passo_routine *routine);

/* --- words (today_words.c) */

/* The first of the tags that the block shares, by its tags, its name or a word of its name; NULL:
 * none. Not terminated: *out_bytes. */
const char *today_shared_tag(const char *tags, const struct passo_block *block, size_t *out_bytes);
/* How many words of a passage's name and tags are among the block's. */
size_t today_shared_words(const struct passo_today_passage *passage,
                          const struct passo_block *block);

/* --- places (today_places.c) */

/* How well a stop's key agrees with one of the entry's; APART too where the routine leaves relative
 * keys out. */
enum passo_key_match today_match(const struct today_work *work, const struct today_entry *entry,
                                 const struct today_stop *stop);
/* Which of the entry's keys that is. */
struct passo_key today_matched_key(const struct today_entry *entry, const struct today_stop *stop);
enum passo_place_why today_why(enum passo_key_match match);
void today_learn_matches(struct today_work *work);
/* Gives places to as many as the minutes allow, by need. */
void today_place(struct today_work *work);
/* A stop for those that were placed without one. */
void today_place_suited(struct today_work *work);

/* --- minutes (today_minutes.c) */

/* The whole seconds between which each passage's time lies, and how many there are in all. */
int64_t today_least_s(const struct passo_routine *routine);
int64_t today_most_s(const struct passo_routine *routine);
int64_t today_visit_s(const struct passo_routine *routine);
/* How many passages can have their least. */
size_t today_room(const struct today_work *work);
/* Shares the seconds among those placed: ms, visits, why and after of their parts. */
PASSO_MUST_CHECK enum passo_error today_share(struct today_work *work);

/* --- visits (today_visits.c, today_arrange.c) */

/* The visits of all that are placed, each at a stop; without blocks at none. work->visit has room
 * for PASSO_VISITS_MAX of each entry. */
void today_make_visits(struct today_work *work);
/* Puts them into the order of the day and gives them their numbers and times. */
void today_arrange(struct today_work *work);

#endif
