/* The peer of `passo render OUT.flac`: libsndfile encoding the same frames from memory. Reads a WAV
 * file whole, then takes the time from opening the FLAC file to its end.
 *
 *   bench_encode TIMES IN.wav OUT.flac       prints the median in milliseconds
 *
 * Exit status: 0, 1 a file cannot be read or written. */
#include <sndfile.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define TIMES_MAX    100
#define PIECE_FRAMES (1 << 19) /* as many as the file output writes at a time */

static int64_t now_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

static int16_t *read_all(const char *path, SF_INFO *out_info)
{
    SNDFILE *file = sf_open(path, SFM_READ, out_info);
    if (!file)
        return NULL;
    int16_t *frames = calloc((size_t)out_info->frames, sizeof *frames);
    if (frames && sf_readf_short(file, frames, out_info->frames) != out_info->frames) {
        free(frames);
        frames = NULL;
    }
    sf_close(file);
    return frames;
}

/* Nanoseconds; -1 if it failed. */
static int64_t encode(const char *path, const int16_t *frames, const SF_INFO *of)
{
    SF_INFO info = {
        .samplerate = of->samplerate, .channels = 1, .format = SF_FORMAT_FLAC | SF_FORMAT_PCM_16};
    int64_t began = now_ns();
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return -1;
    sf_count_t done = 0;
    while (done < of->frames) {
        sf_count_t part = of->frames - done < PIECE_FRAMES ? of->frames - done : PIECE_FRAMES;
        if (sf_writef_short(file, frames + done, part) != part)
            break;
        done += part;
    }
    return sf_close(file) == 0 && done == of->frames ? now_ns() - began : -1;
}

static int by_size(const void *a, const void *b)
{
    int64_t one = *(const int64_t *)a;
    int64_t other = *(const int64_t *)b;
    return (one > other) - (one < other);
}

int main(int argc, char **argv)
{
    static int64_t took[TIMES_MAX];
    int times = argc == 4 ? atoi(argv[1]) : 0;
    if (times < 1 || times > TIMES_MAX) {
        fputs("usage: bench_encode TIMES IN.wav OUT.flac\n", stderr);
        return 2;
    }
    SF_INFO info = {0};
    int16_t *frames = read_all(argv[2], &info);
    for (int i = 0; frames && i < times; i++)
        took[i] = encode(argv[3], frames, &info);
    free(frames);
    qsort(took, (size_t)times, sizeof *took, by_size);
    if (!frames || took[0] < 0)
        return 1;
    printf("%.1f\n", (double)took[times / 2] / 1e6);
    return 0;
}
