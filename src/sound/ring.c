/* The ring of sound/ring.h. Each of the two counters runs free and is stored by one side alone, so
 * `written - read` is the fill also after they wrap. The memory orders are told in the header. */
#include "sound/ring.h"

#include <stdlib.h>
#include <string.h>

void passo_ring_init(struct passo_ring *ring, size_t capacity, size_t element_bytes)
{
    PASSO_BUG_ON(capacity < 2 || (capacity & (capacity - 1)) != 0 || element_bytes == 0);
    ring->slots = passo_xcalloc(capacity, element_bytes);
    ring->element_bytes = element_bytes;
    ring->capacity = capacity;
    atomic_init(&ring->written, 0);
    atomic_init(&ring->read, 0);
}

void passo_ring_deinit(struct passo_ring *ring)
{
    free(ring->slots);
    ring->slots = NULL;
    ring->capacity = 0;
}

static unsigned char *slot_of(struct passo_ring *ring, size_t counter)
{
    return ring->slots + (counter & (ring->capacity - 1)) * ring->element_bytes;
}

bool passo_ring_put(struct passo_ring *ring, const void *element)
{
    size_t written = atomic_load_explicit(&ring->written, memory_order_relaxed);
    size_t read = atomic_load_explicit(&ring->read, memory_order_acquire);
    if (written - read == ring->capacity)
        return false;
    memcpy(slot_of(ring, written), element, ring->element_bytes);
    atomic_store_explicit(&ring->written, written + 1, memory_order_release);
    return true;
}

bool passo_ring_get(struct passo_ring *ring, void *out_element)
{
    size_t read = atomic_load_explicit(&ring->read, memory_order_relaxed);
    size_t written = atomic_load_explicit(&ring->written, memory_order_acquire);
    if (written == read)
        return false;
    memcpy(out_element, slot_of(ring, read), ring->element_bytes);
    atomic_store_explicit(&ring->read, read + 1, memory_order_release);
    return true;
}

size_t passo_ring_used(struct passo_ring *ring)
{
    /* `read` first: it only grows, so the difference cannot come out negative. A third thread
     * could still see more than the capacity between the two loads; writer and reader cannot. */
    size_t read = atomic_load_explicit(&ring->read, memory_order_acquire);
    size_t written = atomic_load_explicit(&ring->written, memory_order_acquire);
    return written - read;
}
