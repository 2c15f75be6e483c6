/* The judge of the rig: compares the onsets of a recording with the plan.
 *
 *   rig_judge "rate=44100 beats=4 bars=1 rest_ms=2000" CHANNELS CSV RAW [LIST TOLERANCE]
 *
 * One onset, the first click, is the anchor; every other click of every pass must then lie exactly
 * on its planned frame, none may be missing, and between a pass's first click and the end of its
 * landing beat nothing else may sound. Cues sound in the rests, where time tells them apart; each
 * rest must hold at least one. With LIST, the onsets that an independent tool found in the same
 * recording (frames, one a line) are held against the same places within TOLERANCE frames.
 *   rig_judge onsets CHANNELS RAW     prints how many sounds begin in a recording
 * Exit status: 0 all as planned, 1 not, 2 wrong usage or no recording. */
#include "plan.h"
#include "recording.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ANCHOR_TRIES 16
#define FAULTS_SHOWN 8

static struct rig_plan plan;
static struct rig_onsets heard;
static struct rig_onsets listed;
static int faults;

static void fault(const char *what, int pass, int beat, int64_t frame, int64_t off)
{
    if (faults++ < FAULTS_SHOWN)
        printf("    %s: pass %d, beat %d, frame %lld, off by %lld\n", what, pass, beat,
               (long long)frame, (long long)off);
}

/* The onset nearest to `frame`, as its distance; INT64_MAX if there is no onset at all. */
static int64_t nearest_off(const struct rig_onsets *onsets, int64_t frame)
{
    int64_t best = INT64_MAX;
    for (size_t i = 0; i < onsets->count; i++) {
        int64_t off = onsets->frame[i] - frame;
        if (best == INT64_MAX || llabs(off) < llabs(best))
            best = off;
    }
    return best;
}

/* A cue may sound before the first count-in: the anchor is that early onset on which most of the
 * planned clicks fall. It can only choose among onsets, never shift one. */
static int64_t find_anchor(void)
{
    int64_t anchor = 0;
    size_t best = 0;
    for (size_t i = 0; i < heard.count && i < ANCHOR_TRIES; i++) {
        size_t hits = 0;
        for (size_t k = 0; k < plan.clicks; k++)
            hits += nearest_off(&heard, heard.frame[i] + plan.click[k].frame) == 0 ? 1u : 0u;
        if (hits > best) {
            best = hits;
            anchor = heard.frame[i];
        }
    }
    return anchor;
}

static void judge_clicks(const struct rig_onsets *onsets, int64_t anchor, int64_t tolerance)
{
    int64_t low = 0;
    int64_t high = 0;
    size_t found = 0;
    for (size_t k = 0; k < plan.clicks; k++) {
        const struct rig_click *click = &plan.click[k];
        int64_t off = nearest_off(onsets, anchor + click->frame);
        if (llabs(off) > tolerance) {
            fault("no click at its place, nearest onset", click->pass, click->beat,
                  anchor + click->frame, off);
            continue;
        }
        low = off < low ? off : low;
        high = off > high ? off : high;
        found++;
    }
    printf("    %zu of %zu clicks of %zu passes lie %lld to %lld frames from their places "
           "(allowed: %lld)\n",
           found, plan.clicks, plan.passes, (long long)low, (long long)high, (long long)tolerance);
}

/* The planned click nearest to `frame` (counted from the anchor), as its distance. */
static int64_t nearest_click(int64_t frame)
{
    int64_t best = INT64_MAX;
    for (size_t k = 0; k < plan.clicks; k++) {
        int64_t off = frame - plan.click[k].frame;
        if (llabs(off) < llabs(best))
            best = off;
    }
    return best;
}

static void judge_others(const struct rig_onsets *onsets, int64_t anchor, int64_t tolerance)
{
    for (size_t i = 0; i < onsets->count; i++) {
        int64_t frame = onsets->frame[i] - anchor;
        for (size_t p = 0; p < plan.passes; p++) {
            bool playing = frame >= plan.span[p].first && frame < plan.span[p].end;
            if (playing && llabs(nearest_click(frame)) > tolerance)
                fault("a sound that is no click", (int)p + 1, 0, onsets->frame[i],
                      nearest_click(frame));
        }
    }
}

static void judge_rests(int64_t anchor)
{
    size_t cues = 0;
    for (size_t p = 0; p + 1 < plan.passes; p++) {
        size_t here = 0;
        for (size_t i = 0; i < heard.count; i++) {
            int64_t frame = heard.frame[i] - anchor;
            here += frame >= plan.span[p].end && frame < plan.span[p + 1].first ? 1u : 0u;
        }
        if (here == 0)
            fault("no cue in the rest after the pass", (int)p + 1, 0, anchor + plan.span[p].end, 0);
        cues += here;
    }
    printf("    %zu sounds of cues in %zu rests\n", cues, plan.passes - 1);
}

static int read_all(int argc, char **argv)
{
    struct rig_shape shape;
    int32_t mbpm[RIG_PASSES_MAX];
    if ((argc != 5 && argc != 7) ||
        sscanf(argv[1], "rate=%u beats=%u bars=%u rest_ms=%u", &shape.rate_hz, &shape.beats_of_bar,
               &shape.bars, &shape.rest_ms) != 4) {
        fputs("usage: rig_judge \"rate=N beats=N bars=N rest_ms=N\" CHANNELS CSV RAW "
              "[LIST TOLERANCE]\n",
              stderr);
        return -1;
    }
    size_t passes = rig_tempos(argv[3], mbpm);
    if (passes == 0 || rig_plan_make(&shape, mbpm, passes, &plan) != 0)
        return -1;
    /* clicks last about 30 ms and are 90 ms or more apart: 5 ms of quiet parts any two */
    if (rig_onsets_find(argv[4], atoi(argv[2]), (int)shape.rate_hz / 200, &heard) != 0)
        return -1;
    return argc == 7 ? rig_onsets_read(argv[5], &listed) : 0;
}

int main(int argc, char **argv)
{
    if (argc == 4 && strcmp(argv[1], "onsets") == 0) {
        if (rig_onsets_find(argv[3], atoi(argv[2]), 200, &heard) != 0)
            return 2;
        printf("%zu\n", heard.count);
        return 0;
    }
    if (read_all(argc, argv) != 0)
        return 2;
    int64_t anchor = find_anchor();
    if (argc == 7) {
        judge_clicks(&listed, anchor, atoll(argv[6]));
        judge_others(&listed, anchor, atoll(argv[6]));
    } else {
        printf("    anchor: the first click, recorded frame %lld\n", (long long)anchor);
        judge_clicks(&heard, anchor, 0);
        judge_others(&heard, anchor, 0);
        judge_rests(anchor);
    }
    if (faults > FAULTS_SHOWN)
        printf("    and %d more\n", faults - FAULTS_SHOWN);
    return faults > 0 ? 1 : 0;
}
