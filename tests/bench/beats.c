/* Holds a recording of a steady pulse against its exact places.
 *   bench_beats RATE BPM < RAW      raw 32-bit floats, two channels (the left one is looked at)
 * One anchor, the first onset; beat k lies k * 60 * rate / bpm frames on, rounded half up. After a
 * slip (frames lost or late) it takes a new anchor and counts the slip, so that one lost block is
 * one slip; of such an anchor the fraction of a frame is not known, and a frame is allowed. Prints
 * "clicks N slips M worst W" (frames); exit status 1 when nothing was heard. */
#include <inttypes.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

enum { QUIET_FRAMES = 4000, BLOCK = 65536 };

struct count {
    int64_t rate;
    int64_t bpm;
    int64_t anchor;
    int64_t beat; /* since the anchor */
    int64_t clicks;
    int64_t slips;
    int64_t worst;
};

static void onset(struct count *count, int64_t frame)
{
    if (count->clicks++ == 0) {
        count->anchor = frame;
        return;
    }
    int64_t beat = ++count->beat;
    int64_t place = (2 * beat * 60 * count->rate + count->bpm) / (2 * count->bpm);
    int64_t off = frame - count->anchor - place;
    int64_t size = off < 0 ? -off : off;
    if (size <= (count->slips > 0))
        return;
    printf("slip of %" PRId64 " frames at %.3f s\n", off, (double)frame / (double)count->rate);
    count->slips++;
    count->worst = size > count->worst ? size : count->worst;
    count->anchor = frame;
    count->beat = 0;
}

int main(int argc, char **argv)
{
    static float block[BLOCK];
    struct count count = {0};
    int64_t frame = 0;
    int64_t sounded = -QUIET_FRAMES;
    size_t got;
    if (argc != 3 || (count.rate = atoll(argv[1])) < 1 || (count.bpm = atoll(argv[2])) < 1) {
        fputs("usage: bench_beats RATE BPM < RAW\n", stderr);
        return 2;
    }
    while ((got = fread(block, sizeof block[0], BLOCK, stdin)) > 0) {
        for (size_t i = 0; i + 1 < got; i += 2, frame++) {
            if (block[i] < 1e-4f && block[i] > -1e-4f)
                continue;
            if (frame - sounded >= QUIET_FRAMES)
                onset(&count, frame);
            sounded = frame;
        }
    }
    printf("clicks %" PRId64 " slips %" PRId64 " worst %" PRId64 "\n", count.clicks, count.slips,
           count.worst);
    return count.clicks == 0;
}
