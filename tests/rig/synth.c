/* Makes a recording as the judge expects one, with or without a planted fault, and prints the plan:
 * this is how the judge itself is tested, with no sound server and no passo.
 *
 *   rig_synth SHAPE CHANNELS CSV RAW FAULT     SHAPE as in rig_judge
 *
 * FAULT: none, late (one click one frame late), early, missing, extra (a second click inside a
 * pass), lost (one frame of the stream lost), deaf (no cue in a rest), drift (beats added up from a
 * rounded length), apart (the channels differ), plan (no recording: prints each click's frame). */
#include "plan.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LEAD_FRAMES  12345
#define SOUND_FRAMES 900

static struct rig_plan plan;

static void sound_at(float *out, int64_t frame, float peak)
{
    for (int i = 0; i < SOUND_FRAMES; i++) {
        float left = (float)(SOUND_FRAMES - i) / SOUND_FRAMES;
        out[frame + i] += peak * left * left * cosf((float)i * 0.3f);
    }
}

static int64_t faulty_place(size_t k, const char *fault)
{
    int64_t frame = plan.click[k].frame;
    bool chosen = k == plan.clicks / 2;
    if (strcmp(fault, "late") == 0 && chosen)
        return frame + 1;
    if (strcmp(fault, "early") == 0 && chosen)
        return frame - 1;
    if (strcmp(fault, "lost") == 0 && k > plan.clicks / 2)
        return frame - 1;
    if (strcmp(fault, "drift") == 0 && plan.click[k].beat > 1) {
        int64_t first = plan.span[plan.click[k].pass - 1].first;
        size_t start = k - (size_t)plan.click[k].beat + 1;
        return first + (plan.click[k].beat - 1) * (plan.click[start + 1].frame - first);
    }
    return frame;
}

static void fill(float *out, const char *fault)
{
    for (size_t k = 0; k < plan.clicks; k++) {
        if (strcmp(fault, "missing") == 0 && k == plan.clicks / 2)
            continue;
        sound_at(out, LEAD_FRAMES + faulty_place(k, fault), plan.click[k].beat == 1 ? 0.7f : 0.2f);
    }
    if (strcmp(fault, "extra") == 0)
        sound_at(out, LEAD_FRAMES + plan.click[plan.clicks / 2].frame + 5000, 0.2f);
    for (size_t p = 0; p + 1 < plan.passes; p++) {
        if (strcmp(fault, "deaf") != 0 || p != 0)
            sound_at(out, LEAD_FRAMES + plan.span[p].end + 2000, 0.1f);
    }
    sound_at(out, 2000, 0.1f); /* a cue before the first count-in */
}

static int write_recording(const char *path, int channels, const char *fault)
{
    size_t frames = (size_t)plan.span[plan.passes - 1].end + LEAD_FRAMES + SOUND_FRAMES;
    float *out = calloc(frames, sizeof *out);
    FILE *file = fopen(path, "wb");
    if (out == NULL || file == NULL) {
        perror(path);
        free(out);
        if (file != NULL)
            fclose(file);
        return 1;
    }
    fill(out, fault);
    bool apart = strcmp(fault, "apart") == 0;
    for (size_t i = 0; i < frames; i++) {
        for (int c = 0; c < channels; c++) {
            float sample = apart && c > 0 ? out[i] * 0.5f : out[i];
            fwrite(&sample, sizeof sample, 1, file);
        }
    }
    free(out);
    return fclose(file) == 0 ? 0 : 1;
}

int main(int argc, char **argv)
{
    struct rig_shape shape;
    int32_t mbpm[RIG_PASSES_MAX];
    if (argc != 6 || sscanf(argv[1], "rate=%u beats=%u bars=%u rest_ms=%u", &shape.rate_hz,
                            &shape.beats_of_bar, &shape.bars, &shape.rest_ms) != 4) {
        fputs("usage: rig_synth SHAPE CHANNELS CSV RAW FAULT\n", stderr);
        return 2;
    }
    size_t passes = rig_tempos(argv[3], mbpm);
    if (passes == 0 || rig_plan_make(&shape, mbpm, passes, &plan) != 0)
        return 2;
    if (strcmp(argv[5], "plan") != 0)
        return write_recording(argv[4], atoi(argv[2]), argv[5]);
    for (size_t k = 0; k < plan.clicks; k++)
        printf("%d %d %lld\n", plan.click[k].pass, plan.click[k].beat,
               (long long)plan.click[k].frame);
    return 0;
}
