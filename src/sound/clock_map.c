/* The sequence lock of sound/clock_map.h, which tells why its memory orders suffice. */
#include "sound/clock_map.h"

void passo_clock_map_clear(struct passo_clock_map *map)
{
    atomic_store_explicit(&map->sequence, 0, memory_order_release);
}

void passo_clock_map_write(struct passo_clock_map *map, struct passo_stamp stamp)
{
    unsigned sequence = atomic_load_explicit(&map->sequence, memory_order_relaxed);
    unsigned next = sequence + 2 ? sequence + 2 : 2; /* 0 means: no stamp */
    atomic_store_explicit(&map->sequence, next - 1, memory_order_relaxed);
    atomic_store_explicit(&map->frame, stamp.frame, memory_order_release);
    atomic_store_explicit(&map->heard_ns, stamp.heard_ns, memory_order_release);
    atomic_store_explicit(&map->sequence, next, memory_order_release);
}

bool passo_clock_map_read(const struct passo_clock_map *map, struct passo_stamp *out_stamp)
{
    for (;;) {
        unsigned before = atomic_load_explicit(&map->sequence, memory_order_acquire);
        if (before == 0)
            return false;
        struct passo_stamp stamp = {
            .frame = atomic_load_explicit(&map->frame, memory_order_acquire),
            .heard_ns = atomic_load_explicit(&map->heard_ns, memory_order_acquire),
        };
        unsigned after = atomic_load_explicit(&map->sequence, memory_order_relaxed);
        if (before == after && (before & 1) == 0) {
            *out_stamp = stamp;
            return true;
        }
    }
}
