/* The clock map: one stamp "this frame is heard at that time", written by the audio thread once a
 * block and read by any thread: a sequence lock of C11 atomics (the writer never waits).
 *
 * `sequence` is even while the stamp is whole, odd while it is being written, 0 if there is none.
 * Memory orders. The writer makes it odd (relaxed), stores both fields (release each), makes it
 * even (release). A reader loads it (acquire), both fields (acquire each), and it again (relaxed).
 *  - A reader that saw the even count sees at least that stamp's fields: release/acquire on
 *    `sequence`.
 *  - A reader that saw a field of a newer stamp sees at its second look at least the odd count
 *    that was stored before that field: release/acquire on the field. Then the counts differ, and
 *    it reads again. So no mixed stamp is ever taken.
 * Every access is atomic, so there is no data race either; no fence is needed. */
#ifndef PASSO_SOUND_CLOCK_MAP_H
#define PASSO_SOUND_CLOCK_MAP_H

#include "sound/ring.h"

#include <stdint.h>

struct passo_clock_map {
    atomic_uint sequence;
    _Atomic int64_t frame;
    _Atomic int64_t heard_ns;
};

struct passo_stamp {
    int64_t frame;
    int64_t heard_ns;
};

/* Forgets the stamp. Thread: control, while nobody writes. */
void passo_clock_map_clear(struct passo_clock_map *map);
/* Writer: publishes a stamp. */
PASSO_REALTIME void passo_clock_map_write(struct passo_clock_map *map, struct passo_stamp stamp);
/* The newest stamp; false if there is none. Thread: any. Waits only while a write is under way. */
bool passo_clock_map_read(const struct passo_clock_map *map, struct passo_stamp *out_stamp);

#endif
