/* One turn of a passage by its names, and one tempo, in place of its climb: for a practice track
 * and for hearing. Thread: any. */
#ifndef PASSO_COMMAND_TURN_H
#define PASSO_COMMAND_TURN_H

#include "text/setup.h"

/* What was named; -1: nothing. */
struct turn_named {
    int loop;    /* index into the passage's loops */
    int variant; /* index into its variants */
};

/* "first half", "octave down", or both with a comma between, in any order and any case; a name that
 * is both is the loop. NULL or "" names nothing. An unknown name is a fault. */
struct turn_named turn_find(const struct passo_passage *passage, const char *names,
                            struct passo_faults *faults);
/* "80", "quarter = 80", or "80 %" of the setup's target, in the passage's beat unit, in thousandths
 * of a beat a minute; 0: it is none, or out of range, which is a fault. */
int32_t turn_tempo(const char *text, const struct passo_setup *setup, struct passo_faults *faults);

#endif
