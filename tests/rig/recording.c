/* Onsets by one threshold. The null sink at full volume and JACK pass floats on unchanged, passo's
 * sounds begin with a frame that is clearly not 0 and end at 0: so no more is needed, and the place
 * is exact to the frame. */
#include "recording.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define BLOCK_FRAMES 4096
#define CHANNELS_MAX 8
static const float threshold = 1e-4f;

struct scan {
    int64_t frame;
    int64_t quiet;  /* frames under the threshold up to here */
    int64_t unlike; /* frames whose channels differ */
};

static void scan_block(struct scan *scan, const float *sample, size_t frames, int channels,
                       int quiet_frames, struct rig_onsets *onsets)
{
    for (size_t i = 0; i < frames; i++, scan->frame++) {
        const float *here = sample + i * (size_t)channels;
        for (int c = 1; c < channels; c++) {
            if (fabsf(here[c] - here[0]) > 0.0f)
                scan->unlike++;
        }
        if (!(fabsf(here[0]) > threshold)) {
            scan->quiet++;
            continue;
        }
        if (scan->quiet >= quiet_frames && onsets->count < RIG_ONSETS_MAX)
            onsets->frame[onsets->count++] = scan->frame;
        scan->quiet = 0;
    }
}

int rig_onsets_find(const char *raw_path, int channels, int quiet_frames,
                    struct rig_onsets *out_onsets)
{
    static float block[BLOCK_FRAMES * CHANNELS_MAX];
    FILE *file = fopen(raw_path, "rb");
    if (file == NULL || channels < 1 || channels > CHANNELS_MAX) {
        fprintf(stderr, "rig: %s cannot be read\n", raw_path);
        if (file != NULL)
            fclose(file);
        return -1;
    }
    struct scan scan = {.quiet = quiet_frames};
    out_onsets->count = 0;
    size_t got;
    size_t frame_bytes = sizeof(float) * (size_t)channels;
    while ((got = fread(block, frame_bytes, BLOCK_FRAMES, file)) > 0)
        scan_block(&scan, block, got, channels, quiet_frames, out_onsets);
    fclose(file);
    if (scan.unlike > 0) {
        fprintf(stderr, "rig: %s: the channels differ in %lld frames\n", raw_path,
                (long long)scan.unlike);
        return -1;
    }
    return 0;
}

int rig_onsets_read(const char *path, struct rig_onsets *out_onsets)
{
    FILE *file = fopen(path, "r");
    if (file == NULL) {
        perror(path);
        return -1;
    }
    char line[128];
    out_onsets->count = 0;
    while (out_onsets->count < RIG_ONSETS_MAX && fgets(line, sizeof line, file) != NULL)
        out_onsets->frame[out_onsets->count++] = (int64_t)strtod(line, NULL);
    fclose(file);
    return 0;
}
