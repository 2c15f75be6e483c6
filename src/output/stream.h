/* What PortAudio's callback works on: the player, the gate that shuts it off from the player, and
 * the fade before that. Private to the room.
 *
 * The gate. OPEN: blocks are rendered. FADING (asked by the control side): the next frames fade
 * out, then the callback shuts the gate itself. SHUT: the callback never touches the player again
 * and gives silence. `inside` is set while a callback may be past the gate. Both are sequentially
 * consistent: the control side shuts the gate and then reads `inside`, a callback sets `inside` and
 * then reads the gate; one of the two must see the other (the weaker orders allow neither to). */
#ifndef PASSO_OUTPUT_STREAM_H
#define PASSO_OUTPUT_STREAM_H

#include "output/lag.h"
#include "output/output.h"

#include <portaudio.h>
#include <pthread.h>
#include <stdatomic.h>

#define STREAM_FADE_MS      5
#define STREAM_BLOCK_FRAMES 1024

enum gate { GATE_SHUT, GATE_OPEN, GATE_FADING };

struct stream {
    /* written before the stream runs */
    struct passo_player *player;
    uint32_t rate_hz;
    int channels;
    double latency_s; /* what PortAudio tells of the stream */

    /* both sides */
    atomic_int gate;
    atomic_bool inside;
    atomic_uint blocks;       /* callbacks so far; relaxed: a sign of life */
    _Atomic pthread_t thread; /* of the callback; valid once blocks > 0 */

    /* the callback's own */
    uint32_t fade_left;
    struct lag lag;
    float mono[STREAM_BLOCK_FRAMES];
};

/* The callback, of type PaStreamCallback; user is a struct stream. */
PASSO_REALTIME int passo_stream_callback(const void *in, void *out, unsigned long frames,
                                         const PaStreamCallbackTimeInfo *time,
                                         PaStreamCallbackFlags flags, void *user);
/* Shuts the gate; when it returns no callback touches the player. Thread: control. Blocks: while a
 * callback that is under way ends. */
void passo_stream_shut(struct stream *stream);

#endif
