/* Finds frames that a device lost or delayed without saying so (a sound server's own underrun does
 * not always reach its client). Private to the room. Thread: the callback's. Pure arithmetic.
 *
 * Clock time less the time that the frames written so far last is the lag. It swings with the fill
 * of the buffers, but its least value over a second, when the buffers were fullest, stays
 * where it is while the device plays on; silence put between two frames moves it up for good. */
#ifndef PASSO_OUTPUT_LAG_H
#define PASSO_OUTPUT_LAG_H

#include "sound/ring.h"

#include <stdint.h>

struct lag {
    int64_t frames;  /* written so far */
    double least_s;  /* in this window */
    double before_s; /* in the last one */
    double window_end_s;
    unsigned windows; /* ended so far; the first few are a device that wakes up */
};

/* A block of `frames` frames is asked for at now_s. True if frames before it were late. Begin with
 * a zeroed struct. */
PASSO_REALTIME bool passo_lag_slipped(struct lag *lag, double now_s, unsigned long frames,
                                      uint32_t rate_hz);

#endif
