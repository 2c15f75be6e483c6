/* The one key table: footer, help overlay, `--help` and both views' input come from it. Key codes
 * are curses' (KEY_LEFT ...) and plain characters. Thread: the main thread. */
#ifndef PASSO_VIEW_KEYS_H
#define PASSO_VIEW_KEYS_H

#include <stdbool.h>
#include "view/views.h"

#define KEY_CODES_MAX 8
#define KEY_ROWS_MAX  20

/* Where the player is, as far as keys go: each place has uses for some of them. */
enum key_place {
    KEYS_CLIMB,
    KEYS_STEADY,  /* `passo pulse` */
    KEYS_VISIT,   /* of a day: a visit, or a spot of a check */
    KEYS_BLOCK,   /* of a day: no marks */
    KEYS_BETWEEN, /* of a day: the next item is announced */
    KEYS_LISTING, /* of a day: nothing is played yet */
    KEYS_END,     /* of a day: it is over */
    KEYS_LISTEN,  /* `passo hear`: the machine plays, nobody else */
    KEYS_IN_TURN, /* `passo hear`: the machine plays, then the player */
    KEY_PLACES
};

struct key_row {
    struct passo_key_help help;
    const char *footer_key;  /* one short name, for the footer */
    const char *footer_word; /* one word */
    unsigned uses;           /* bit 1 << enum key_place */
    int code[KEY_CODES_MAX]; /* 0 ends */
};

/* A key in one place. */
struct key_use {
    const struct key_row *row;
    const char *words;       /* of the help */
    const char *footer_word; /* one word or two */
};

/* All rows, in the table's order. */
const struct key_row *keys_rows(size_t *out_count);
/* Where a snapshot stands. */
enum key_place keys_place(const struct passo_snapshot *snapshot);
/* `passo hear`: nobody marks, nothing is climbed. */
bool keys_of_hear(enum key_place place);
/* The keys that have a use there, most needed first, but help and finish last. Returns how many. */
size_t keys_of(enum key_place place, struct key_use out_use[KEY_ROWS_MAX]);
/* What a key asks for; NONE if it is not in the table. Letters in either case. */
enum passo_command keys_command(int code);
/* Reads one key from the front of raw terminal bytes, escape sequences included. Returns how many
 * bytes it took and its code in *out_code (0: an unknown sequence); 0 while a sequence is still
 * incomplete. bytes > 0. */
size_t keys_read(const char *bytes, size_t count, int *out_code);

#endif
