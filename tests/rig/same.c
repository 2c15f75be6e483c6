/* Holds a recording of the live stream against the file that `passo render` wrote of the same
 * climb.
 *
 *   rig_same CHANNELS RAW FILE CUES TOLERANCE
 *
 * RAW is as in recording.h, FILE is mono of the same rate, CUES the file's own cue sheet. One
 * place, in the last pass, is looked for in the recording; from there every frame of every starting
 * note, hearing and pass, count-in and landing with it, must be the file's own, to within
 * TOLERANCE. Rests are left out: a cue sounds in them when a mark is taken, and that is the
 * player's time. So is the file's first tenth of a second: a sound server may swallow the beginning
 * of a stream. Exit status: 0 the same, 1 not, 2 wrong usage or a file that cannot be read. */
#include "csv.h"

#include <math.h>
#include <sndfile.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ROWS_MAX     4096
#define QUIET        1e-4F
#define FAULTS_SHOWN 8
#define SKIPPED_S    10 /* a tenth */

struct sound {
    int channels;
    int rate_hz;
    int64_t frames;
    float *sample;
};

struct sheet {
    size_t frames, whats; /* rows read of each column */
    int64_t frame[ROWS_MAX];
    bool played[ROWS_MAX]; /* no rest, not the end */
};

static struct sheet sheet;
static int faults;

static void take_frame(const char *cell, void *data)
{
    (void)data;
    if (sheet.frames < ROWS_MAX)
        sheet.frame[sheet.frames++] = strtoll(cell, NULL, 10);
}

static void take_what(const char *cell, void *data)
{
    (void)data;
    if (sheet.whats == ROWS_MAX)
        return;
    sheet.played[sheet.whats++] = strcmp(cell, "rest") != 0 && strcmp(cell, "end") != 0;
}

static bool read_sound(const char *path, SF_INFO info, struct sound *out_sound)
{
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file)
        return false;
    *out_sound = (struct sound){info.channels, info.samplerate, info.frames, NULL};
    size_t room = (size_t)info.frames * (size_t)info.channels + 1;
    out_sound->sample = calloc(room, sizeof *out_sound->sample);
    bool whole =
        out_sound->sample && sf_readf_float(file, out_sound->sample, info.frames) == info.frames;
    sf_close(file);
    return whole;
}

static bool alike(float a, float b, double tolerance)
{
    return fabs((double)a - (double)b) <= tolerance;
}

/* Where the file's frames from `mark` to `end`, the first of which sounds, lie in the recording at
 * first; -1: nowhere. */
static int64_t find(const struct sound *heard, const struct sound *file, int64_t mark, int64_t end,
                    double tolerance)
{
    int64_t frames = end - mark;
    for (int64_t at = 0; at + frames <= heard->frames; at++) {
        int64_t same = 0;
        while (same < frames && alike(heard->sample[(at + same) * heard->channels],
                                      file->sample[mark + same], tolerance))
            same++;
        if (same == frames)
            return at;
    }
    return -1;
}

/* Where frame 0 of the file lies in the recording, by the longest row, the first of equals; false:
 * that row is nowhere in it. */
static bool find_offset(const struct sound *heard, const struct sound *file, double tolerance,
                        int64_t *out_offset)
{
    size_t longest = 0;
    for (size_t row = 1; row + 1 < sheet.frames; row++) {
        int64_t length = sheet.frame[row + 1] - sheet.frame[row];
        if (sheet.played[row] && length > sheet.frame[longest + 1] - sheet.frame[longest])
            longest = row;
    }
    int64_t end = sheet.frame[longest + 1];
    if (sheet.frames < 2 || sheet.frames != sheet.whats || end > file->frames)
        return false;
    int64_t mark = sheet.frame[longest];
    while (mark < end && !(fabsf(file->sample[mark]) > QUIET))
        mark++;
    int64_t at = mark < end ? find(heard, file, mark, end, tolerance) : -1;
    *out_offset = at - mark;
    return at >= 0;
}

static bool same_frame(const struct sound *heard, const struct sound *file, int64_t offset,
                       int64_t frame, double tolerance)
{
    int64_t at = frame + offset;
    if (at < 0 || at >= heard->frames)
        return false;
    for (int c = 0; c < heard->channels; c++) {
        if (!alike(heard->sample[at * heard->channels + c], file->sample[frame], tolerance))
            return false;
    }
    return true;
}

/* The frames of one row of the sheet; returns how many were compared. */
static int64_t compare(const struct sound *heard, const struct sound *file, int64_t offset,
                       size_t row, double tolerance)
{
    int64_t from = sheet.frame[row];
    int64_t end = sheet.frame[row + 1];
    int64_t other = 0;
    if (from < file->rate_hz / SKIPPED_S)
        from = file->rate_hz / SKIPPED_S;
    for (int64_t frame = from; frame < end; frame++)
        other += !same_frame(heard, file, offset, frame, tolerance);
    if (other > 0 && faults++ < FAULTS_SHOWN)
        printf("    row %zu of the sheet, frames %lld to %lld: %lld are not the same\n", row + 1,
               (long long)from, (long long)end, (long long)other);
    return end > from ? end - from : 0;
}

static bool read_all(char **argv, struct sound *out_heard, struct sound *out_file)
{
    if (rig_csv_column(argv[4], "frame", take_frame, NULL) < 0 ||
        rig_csv_column(argv[4], "what", take_what, NULL) < 0)
        return false;
    SF_INFO file = {0};
    if (!read_sound(argv[3], file, out_file) || out_file->channels != 1) {
        fprintf(stderr, "rig: %s cannot be read\n", argv[3]);
        return false;
    }
    SF_INFO raw = {.samplerate = out_file->rate_hz,
                   .channels = atoi(argv[1]),
                   .format = SF_FORMAT_RAW | SF_FORMAT_FLOAT | SF_ENDIAN_CPU};
    if (!read_sound(argv[2], raw, out_heard)) {
        fprintf(stderr, "rig: %s cannot be read\n", argv[2]);
        return false;
    }
    return true;
}

int main(int argc, char **argv)
{
    struct sound heard;
    struct sound file;
    if (argc != 6) {
        fputs("usage: rig_same CHANNELS RAW FILE CUES TOLERANCE\n", stderr);
        return 2;
    }
    if (!read_all(argv, &heard, &file))
        return 2;
    double tolerance = atof(argv[5]);
    int64_t offset;
    if (!find_offset(&heard, &file, tolerance, &offset)) {
        puts("    the file's longest row is nowhere in the recording");
        return 1;
    }
    int64_t compared = 0;
    for (size_t row = 0; row + 1 < sheet.frames; row++) {
        if (sheet.played[row])
            compared += compare(&heard, &file, offset, row, tolerance);
    }
    printf("    frame 0 of the file is frame %lld of the recording; of %lld frames compared, %s\n",
           (long long)offset, (long long)compared,
           faults > 0 ? "some are not the same" : "all are the same");
    free(heard.sample);
    free(file.sample);
    return faults > 0 || compared == 0 ? 1 : 0;
}
