/* A sound file on its way: its place (part.c), libsndfile in front of it, and a buffer of one
 * piece.
 *
 * libsndfile writes through this file's own calls, not on its own: so the first fault of the disk
 * is known by its number, also where an encoder goes on as if nothing were.
 *
 * Whole numbers are rounded to the nearest, without dither: silence stays silence, where dither
 * would hiss between two clicks, and the same work gives the same bytes. What rounding does to a
 * tone lies 98 dB under full scale. The scale is 2^15 (2^23), as libsndfile and its like read it,
 * so that what is read back is within half a step of what was rendered. */
#include "output/sink.h"

#include "output/part.h"

#include <errno.h>
#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define CHANNELS_MAX 2
#define WAV_MOST     INT64_C(4294901760) /* bytes of sound, a header's room under 4 GiB */

enum numbers { NUMBERS_16, NUMBERS_24, NUMBERS_FLOAT };
struct sink {
    struct part part;
    int fd; /* -1: not open */
    SNDFILE *file;
    sf_count_t at;     /* where in the file the next byte goes */
    sf_count_t length; /* of the file, bytes */
    size_t channels;
    enum numbers numbers;
    int64_t most;    /* frames that this kind of file holds; 0: any number */
    int64_t written; /* frames */
    size_t held;     /* frames in `piece` */
    union {
        int16_t *of_16;
        int32_t *of_24; /* in the upper bits */
        float *of_float;
        void *any;
    } piece;
    char fault[256]; /* "": none */
};

/* --- faults --- */

static bool fail(struct sink *sink, const char *why)
{
    if (!sink->fault[0])
        snprintf(sink->fault, sizeof sink->fault, "%s", why);
    return false;
}

static enum passo_error refuse(enum passo_error error, const char *path, const char *why,
                               char *out_fault, size_t fault_bytes)
{
    snprintf(out_fault, fault_bytes, "%s: %s", path, why);
    return error;
}

/* --- what libsndfile calls --- */

static sf_count_t length_of(void *user)
{
    return ((struct sink *)user)->length;
}

static sf_count_t seek(sf_count_t offset, int whence, void *user)
{
    struct sink *sink = user;
    sf_count_t from = whence == SEEK_CUR ? sink->at : whence == SEEK_END ? sink->length : 0;
    sink->at = from + offset;
    return sink->at;
}

/* Nothing is ever read of a file that is only written. */
static sf_count_t read_none(void *bytes, sf_count_t count, void *user)
{
    (void)bytes;
    (void)count;
    (void)user;
    return 0;
}

/* After a fault the bytes go nowhere, and libsndfile is not told: some of its encoders lose their
 * memory when a write fails. */
static sf_count_t write_all(const void *bytes, sf_count_t count, void *user)
{
    struct sink *sink = user;
    for (sf_count_t done = 0; done < count && !sink->fault[0];) {
        ssize_t wrote = pwrite(sink->fd, (const char *)bytes + done, (size_t)(count - done),
                               (off_t)(sink->at + done));
        if (wrote > 0)
            done += wrote;
        else if (wrote == 0 || errno != EINTR)
            fail(sink, strerror(wrote == 0 ? ENOSPC : errno));
    }
    sink->at += count;
    if (sink->at > sink->length)
        sink->length = sink->at;
    return count;
}

static sf_count_t tell(void *user)
{
    return ((struct sink *)user)->at;
}

/* --- opening --- */

static size_t bytes_of(enum numbers numbers)
{
    return numbers == NUMBERS_16 ? sizeof(int16_t) : sizeof(float);
}

/* Sets what the file's samples are and how many of them a WAV file holds; returns whether RF64,
 * its heir without a limit, is to be written. */
static bool measure(struct sink *sink, const struct passo_file_job *job)
{
    static const int64_t file_bytes[PASSO_FILE_BITS_COUNT] = {2, 3, 4};
    static const enum numbers numbers[PASSO_FILE_BITS_COUNT] = {NUMBERS_16, NUMBERS_24,
                                                                NUMBERS_FLOAT};
    bool whole_numbers = job->kind == PASSO_FILE_WAV || job->kind == PASSO_FILE_FLAC;
    sink->numbers = whole_numbers ? numbers[job->bits] : NUMBERS_FLOAT;
    int64_t most = WAV_MOST / file_bytes[job->bits] / (int64_t)sink->channels;
    bool large = job->frames > most;
    sink->most = job->kind == PASSO_FILE_WAV && !large ? most : 0;
    return large;
}

static void tag(SNDFILE *file, int what, const char *text)
{
    if (text && *text)
        (void)sf_set_string(file, what, text); /* a kind without such a tag goes without */
}

static enum passo_error open_sound(struct sink *sink, const struct passo_file_job *job,
                                   uint32_t rate_hz, char *out_fault, size_t fault_bytes)
{
    static SF_VIRTUAL_IO calls = {length_of, seek, read_none, write_all, tell};
    bool large = measure(sink, job);
    SF_INFO info = {
        .samplerate = (int)rate_hz,
        .channels = (int)sink->channels,
        .format = passo_sink_format(job->kind, job->bits, large),
    };
    sink->file = sf_open_virtual(&calls, SFM_WRITE, &info, sink);
    if (!sink->file) {
        const char *why = sf_error(NULL) > 0 ? sf_strerror(NULL) : "the encoder failed";
        return refuse(PASSO_ERR_FILE, sink->part.path, why, out_fault, fault_bytes);
    }
    if (sink->fault[0])
        return refuse(PASSO_ERR_FILE, sink->part.path, sink->fault, out_fault, fault_bytes);
    /* The chunk of peaks has the time of day in it: the same work would not give the same file. */
    sf_command(sink->file, SFC_SET_ADD_PEAK_CHUNK, NULL, SF_FALSE);
    tag(sink->file, SF_STR_TITLE, job->title);
    tag(sink->file, SF_STR_ARTIST, job->artist);
    tag(sink->file, SF_STR_ALBUM, job->album);
    tag(sink->file, SF_STR_COMMENT, job->comment);
    sink->piece.any = passo_xcalloc(SINK_PIECE_FRAMES * sink->channels, bytes_of(sink->numbers));
    return PASSO_OK;
}

enum passo_error passo_sink_open(const struct passo_file_job *job, const char *path,
                                 uint32_t rate_hz, int channels, struct sink **out_sink,
                                 char *out_fault, size_t fault_bytes)
{
    PASSO_BUG_ON(channels < 1 || channels > CHANNELS_MAX);
    if (passo_file_rate_hz(job->kind, rate_hz) != rate_hz)
        return refuse(PASSO_ERR_RANGE, path, "this kind of file has not got that sample rate",
                      out_fault, fault_bytes);
    struct sink *sink = passo_xcalloc(1, sizeof *sink);
    sink->fd = -1;
    sink->channels = (size_t)channels;
    enum passo_error error =
        part_open(&sink->part, path, job->force, &sink->fd, out_fault, fault_bytes);
    if (!error)
        error = open_sound(sink, job, rate_hz, out_fault, fault_bytes);
    if (error)
        passo_sink_close(sink);
    else
        *out_sink = sink;
    return error;
}

/* --- writing --- */

static bool write_piece(struct sink *sink)
{
    if (sink->most && sink->written + (int64_t)sink->held > sink->most)
        return fail(sink, "a WAV file holds no more than 4 GiB (FLAC holds any length)");
    sf_count_t frames = (sf_count_t)sink->held;
    sf_count_t wrote = 0;
    switch (sink->numbers) {
    case NUMBERS_16:
        wrote = sf_writef_short(sink->file, sink->piece.of_16, frames);
        break;
    case NUMBERS_24:
        wrote = sf_writef_int(sink->file, sink->piece.of_24, frames);
        break;
    case NUMBERS_FLOAT:
        wrote = sf_writef_float(sink->file, sink->piece.of_float, frames);
        break;
    }
    if (wrote != frames)
        fail(sink, "the encoder failed");
    sink->written += frames;
    sink->held = 0;
    return !sink->fault[0];
}

static int32_t rounded(float sample, float scale)
{
    float whole = rintf(sample * scale);
    if (whole > scale - 1.0F)
        whole = scale - 1.0F;
    if (whole < -scale)
        whole = -scale;
    return (int32_t)whole;
}

static void fill_channel(struct sink *sink, const float *from, size_t channel, size_t frames)
{
    size_t to = sink->held * sink->channels + channel;
    for (size_t i = 0; i < frames; i++, to += sink->channels) {
        switch (sink->numbers) {
        case NUMBERS_16:
            sink->piece.of_16[to] = (int16_t)rounded(from[i], 0x1p15F);
            break;
        case NUMBERS_24:
            sink->piece.of_24[to] = rounded(from[i], 0x1p23F) * 256;
            break;
        case NUMBERS_FLOAT:
            sink->piece.of_float[to] = from[i];
            break;
        }
    }
}

static void fill(struct sink *sink, const float *left, const float *right, size_t frames)
{
    if (left) {
        fill_channel(sink, left, 0, frames);
        if (sink->channels > 1)
            fill_channel(sink, right, 1, frames);
        return;
    }
    size_t bytes = bytes_of(sink->numbers) * sink->channels;
    memset((char *)sink->piece.any + sink->held * bytes, 0, frames * bytes);
}

void passo_sink_put(struct sink *sink, const float *left, const float *right, size_t frames)
{
    for (size_t done = 0; done < frames && !sink->fault[0];) {
        size_t part = SINK_PIECE_FRAMES - sink->held;
        if (part > frames - done)
            part = frames - done;
        fill(sink, left ? left + done : NULL, right ? right + done : NULL, part);
        sink->held += part;
        done += part;
        if (sink->held == SINK_PIECE_FRAMES)
            (void)write_piece(sink);
    }
}

int64_t passo_sink_written(const struct sink *sink)
{
    return sink->written;
}

const char *passo_sink_fault(const struct sink *sink)
{
    return sink->fault[0] ? sink->fault : NULL;
}

/* --- the end --- */

bool passo_sink_finish(struct sink *sink)
{
    if (sink->held && !sink->fault[0])
        (void)write_piece(sink);
    if (sf_close(sink->file) != 0)
        fail(sink, "cannot be written to its end");
    sink->file = NULL;
    int fd = sink->fd;
    sink->fd = -1;
    /* A disk may tell only now that it is full: before the file takes another's place. One that
     * takes nobody's can be made anew, and is not waited for. */
    if (!sink->fault[0] && part_replaces(&sink->part) && fsync(fd) != 0)
        fail(sink, strerror(errno));
    if (close(fd) != 0)
        fail(sink, strerror(errno));
    return !sink->fault[0];
}

bool passo_sink_name(struct sink *sink, bool keep_old)
{
    return part_name(&sink->part, keep_old) || fail(sink, strerror(errno));
}

void passo_sink_drop(struct sink *sink)
{
    part_drop(&sink->part);
}

void passo_sink_close(struct sink *sink)
{
    if (!sink)
        return;
    if (sink->file)
        sf_close(sink->file);
    if (sink->fd >= 0)
        close(sink->fd);
    part_close(&sink->part);
    free(sink->piece.any);
    free(sink);
}
