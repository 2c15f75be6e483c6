/* A single-producer single-consumer ring of fixed-size elements.
 *
 * Memory orders. `written` and `read` are free-running counters; the writer alone stores
 * `written`, the reader alone stores `read`.
 *  - The writer loads `read` with acquire: it pairs with the reader's release store, so that a
 *    slot is written again only after the reader has copied it out.
 *  - The writer copies the element in, then stores `written` with release: it pairs with the
 *    reader's acquire load, so that a reader that sees the new count sees the element's bytes.
 *  - Each side loads its own counter relaxed: nobody else writes it.
 * No operation waits; a full or an empty ring is told to the caller. */
#ifndef PASSO_SOUND_RING_H
#define PASSO_SOUND_RING_H

#include <passo/error.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

/* Marks what may be called on the audio thread: no allocation, lock, system call or unbounded
 * loop. tests/sound/test_realtime.c traps what breaks it. */
#define PASSO_REALTIME

struct passo_ring {
    unsigned char *slots;
    size_t element_bytes;
    size_t capacity; /* a power of two */
    _Alignas(64) atomic_size_t written;
    _Alignas(64) atomic_size_t read;
};

/* Allocates `capacity` slots (a power of two, at least 2; anything else is a bug). Thread:
 * control, before the other side runs. */
void passo_ring_init(struct passo_ring *ring, size_t capacity, size_t element_bytes);
/* Frees the slots. Thread: control, when both sides are idle. */
void passo_ring_deinit(struct passo_ring *ring);
/* Writer: copies one element in; false if the ring is full. */
PASSO_REALTIME bool passo_ring_put(struct passo_ring *ring, const void *element);
/* Reader: copies the oldest element out; false if the ring is empty. */
PASSO_REALTIME bool passo_ring_get(struct passo_ring *ring, void *out_element);
/* Elements waiting, as seen by either side at this moment. */
PASSO_REALTIME size_t passo_ring_used(struct passo_ring *ring);

#endif
