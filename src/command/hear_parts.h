/* The pieces of `passo hear`. Thread: the main thread. */
#ifndef PASSO_COMMAND_HEAR_PARTS_H
#define PASSO_COMMAND_HEAR_PARTS_H

#include <passo/key.h>
#include "command/staging.h"

struct hear {
    struct passo_options *options;
    struct passo_staging staging;
    struct passo_setup *setup; /* a block: one turn, so many passes at one tempo */
    struct passo_cycle cycle;  /* NONE: in its own key alone */
};

/* --- hear_keys.c --- */
/* "fourths", "chromatic up", "F, B-flat": all of them of one mode, the passage's. False: it is
 * neither. */
bool hear_keys_read(const char *text, enum passo_mode mode, struct passo_cycle *out_cycle);
/* The first of the keys of a list in which the other mode is said, 0-ended; false: none is. */
bool hear_keys_other(const char *text, enum passo_mode mode, char *out, size_t bytes);
/* The tonic from which the passage's loop is found: at its first note, or the next one below. */
struct passo_pitch hear_tonic(const struct passo_setup *setup, const struct passo_loop *loop);
/* The setup of the passage as it is heard in a key: called by it, and told by the passage's own
 * tonic, which is moved with the notes. */
void hear_in_key(const struct passo_setup *own, struct passo_key key, struct passo_setup *out);
/* One key after the other. */
enum passo_error hear_keys_run(struct hear *hear, char *out_fault, size_t fault_bytes);

#endif
