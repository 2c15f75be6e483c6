/* The day's own state, shared by its files: day.c (the order of the items, what became of them),
 * day_wait.c (the time between two), day_keys.c (keys in that time), day_words.c (the list, offers,
 * the end as a sentence), day_show.c (what a view draws meanwhile). All on the main thread. */
#ifndef PASSO_SESSION_DAY_PRIV_H
#define PASSO_SESSION_DAY_PRIV_H

#include "session/day.h"
#include <limits.h>
#include "session/sounding.h"

enum {
    DAY_BREATH_MS = 2000, /* the least between a word about what comes and its count-in */
    DAY_ANY_KEY = INT_MIN
};

/* The time between two items. Frames as heard. */
struct between {
    int64_t from;          /* the playing before it ended here, or the day began */
    int64_t until;         /* the next begins */
    int64_t offered_until; /* so long a rest is offered; a key cuts it */
    bool offers_long;
    bool listing; /* the list is shown, and a key begins */
    bool paused;
    int64_t paused_at;
    bool breathe_sent;
    int last_key; /* the same key counts again only after it was quiet */
    int64_t last_key_at;
};

struct day {
    const struct passo_day_setup *setup;
    struct passo_sounding sounding;
    uint32_t rate_hz;
    int64_t now;      /* the frame that is heard */
    int64_t began_ns; /* the wall clock at the start of the output's */
    size_t *order;    /* items to come when the day began, those put off last */
    size_t orders;
    size_t at;     /* order[at] is played or comes next */
    bool *put_off; /* by item: once today */
    struct passo_day_line *line;
    struct passo_day_show show;
    struct passo_balance balance;
    int64_t declined_ms; /* since the last long rest, when another was offered and cut short */
    int64_t stopped_ms;  /* of the item in which the day was left */
    struct between between;
    bool told;              /* what came before has told what comes now */
    int32_t level_permille; /* what sounds */
    bool level_by_hand;
    bool ended; /* by the player, a signal, or for want of marks */
    bool cut_short;
    bool marks_ran_out;
    bool missed;
    bool csv_failed;
    size_t done;
    size_t skipped;
    char then_words[PASSO_WORDS_BYTES]; /* of the next item, while one is played */
    char last_words[PASSO_WORDS_BYTES]; /* of the item before, or what is offered */
    struct passo_snapshot snapshot;
};

/* --- day.c --- */
const struct passo_day_item *day_coming(const struct day *day);
bool day_simulated(const struct day *day);
/* Nothing more is to come, or nothing more is wanted. */
bool day_over(const struct day *day);
int64_t day_frames(const struct day *day, int64_t ms);
/* One sentence to the view (printf). */
void day_say(struct day *day, enum passo_say kind, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* What became of the coming item, or the one just played; the next one comes. result: NULL if it
 * had not begun. */
void day_pass_on(struct day *day, enum passo_day_doing doing,
                 const struct passo_climb_result *result);
/* The player, a terminal or a machine ends the day. */
void day_end(struct day *day, bool cut_short);
void day_set_level(struct day *day, int32_t level_permille);

/* --- day_wait.c --- */
/* Shows the list until a key; at once in simulated time or with a marker. */
void day_list(struct day *day);
/* The time before the coming item, whichever that is at its end. Where nothing is to be read and
 * no rest is due it takes none. Afterwards day_over() may hold. */
void day_wait(struct day *day);
/* Another item comes now: it is announced, with the time that it asks for. */
void day_announce(struct day *day);
/* Cues that were sent are taken back: the moment they are for has moved. */
void day_hush(struct day *day);

/* --- day_keys.c --- */
void day_take_presses(struct day *day);
/* A signal that asks to end ends the day; what day_over() then says. */
bool day_obey_signals(struct day *day);

/* --- day_words.c --- */
void day_say_list(struct day *day);
/* Why a rest is offered and how long, and what cuts it. Returns out. */
const char *day_offer_words(const struct day *day, const struct passo_rest_offer *offer, char *out,
                            size_t bytes);
/* What comes, as one sentence. Returns out. */
const char *day_prompt(const struct day *day, char *out, size_t bytes);
void day_result_words(const struct day *day, char *out, size_t bytes);

/* --- day_show.c --- */
/* Lines and sums, from the items. */
void day_show_begin(struct day *day);
/* Another line is the one that is played or comes next. */
void day_show_now(struct day *day, size_t item, enum passo_day_state state);
void day_show_state(struct day *day, size_t item, enum passo_day_state state);
void day_draw(struct day *day);
void day_draw_end(struct day *day, const char *words);

#endif
