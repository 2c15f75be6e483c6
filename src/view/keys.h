/* The one key table: footer, help overlay, `--help` and both views' input come from it. Key codes
 * are curses' (KEY_LEFT ...) and plain characters. Thread: the main thread. */
#ifndef PASSO_VIEW_KEYS_H
#define PASSO_VIEW_KEYS_H

#include <stdbool.h>
#include "view/views.h"

#define KEY_CODES_MAX 8

struct key_row {
    struct passo_key_help help;
    const char *steady;      /* the words in `passo pulse`; NULL: the key has no use there */
    const char *footer_key;  /* one short name, for the footer */
    const char *footer_word; /* one word */
    int code[KEY_CODES_MAX]; /* 0 ends */
};

/* The rows, most needed first. */
const struct key_row *keys_rows(size_t *out_count);
/* What a key asks for; NONE if it is not in the table. Letters in either case. */
enum passo_command keys_command(int code);
/* Reads one key from the front of raw terminal bytes, escape sequences included. Returns how many
 * bytes it took and its code in *out_code (0: an unknown sequence); 0 while a sequence is still
 * incomplete. bytes > 0. */
size_t keys_read(const char *bytes, size_t count, int *out_code);

#endif
