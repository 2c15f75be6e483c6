/* A recording of the rig: raw interleaved 32-bit floats, and where sounds begin in it. */
#ifndef RIG_RECORDING_H
#define RIG_RECORDING_H

#include <stddef.h>
#include <stdint.h>

#define RIG_ONSETS_MAX 16384

struct rig_onsets {
    size_t count;
    int64_t frame[RIG_ONSETS_MAX];
};

/* Finds every onset: the first frame over 1e-4 of full scale after quiet_frames frames that are
 * not. The channels must hold the same samples. Returns 0, or -1 with a line on stderr. */
int rig_onsets_find(const char *raw_path, int channels, int quiet_frames,
                    struct rig_onsets *out_onsets);

/* Reads a list of onsets, one frame number a line (fractions are cut), as aubioonset prints it.
 * Returns 0, or -1 with a line on stderr. */
int rig_onsets_read(const char *path, struct rig_onsets *out_onsets);

#endif
