/* Frames and nanoseconds. A frame's time is rounded up and a time's frame down, so that the frame
 * of a frame's own time is that frame again. Both ends saturate at 7e9 s, so that INT64_MAX may be
 * handed in. Thread: any; nothing blocks. */
#ifndef PASSO_SOUND_FRAMES_H
#define PASSO_SOUND_FRAMES_H

#include "sound/ring.h"

#include <stdint.h>

/* Nanoseconds that `frames` last at rate_hz, rounded up. */
PASSO_REALTIME int64_t passo_frames_to_ns(int64_t frames, uint32_t rate_hz);
/* Whole frames in `ns` nanoseconds at rate_hz, rounded down. */
PASSO_REALTIME int64_t passo_ns_to_frames(int64_t ns, uint32_t rate_hz);

#endif
