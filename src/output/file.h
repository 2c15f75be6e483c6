/* The output into a sound file: a clock that stands still until it is told to move, as of the
 * simulated output, but every frame is synthesized and written. The same player walks the same
 * timelines as on a loudspeaker, so the file has what would be heard, frame by frame. */
#ifndef PASSO_OUTPUT_FILE_H
#define PASSO_OUTPUT_FILE_H

#include "output/output.h"

#define PASSO_FILE_PATH_BYTES 4096

enum passo_file_kind {
    PASSO_FILE_WAV,
    PASSO_FILE_FLAC,
    PASSO_FILE_OGG, /* Vorbis */
    PASSO_FILE_OPUS,
    PASSO_FILE_MP3,
    PASSO_FILE_KIND_COUNT
};
enum passo_file_bits { PASSO_FILE_16, PASSO_FILE_24, PASSO_FILE_FLOAT, PASSO_FILE_BITS_COUNT };

/* One file to write; borrowed by the output until it is closed. */
struct passo_file_job {
    /* asked */
    const char *path;
    const char *pitch_path; /* the tones go here, path has the clicks and cues alone; NULL: both are
                               in path */
    bool sides;             /* two channels: clicks and cues left, tones right */
    enum passo_file_kind kind;
    enum passo_file_bits bits; /* of WAV; of FLAC, but FLOAT */
    int64_t frames;            /* its exact length: what is rendered beyond is left out, what is
                                  missing at the end is silence; 0: as long as was rendered */
    bool rings;                /* with frames: what still sounds at the end is heard up to there */
    const char *title;         /* tags; "" or NULL none. Safe text */
    const char *artist;
    const char *album;
    const char *comment;
    bool force;                                /* in place of what exists */
    bool (*wrote)(void *user, int64_t frames); /* after each piece, so many in all; false: that is
                                                  enough, the file is not wanted. NULL: none */
    void *user;
    /* set by the owner before the output is closed */
    bool discard; /* nothing is to stay */
    /* what came of it */
    bool failed;
    char why[256]; /* one clause: "No space left on device" */
    int64_t written;
};

/* The kind that a path's ending names (.wav .flac .ogg .opus .mp3, in any case); false: another, or
 * none. */
bool passo_file_kind_of(const char *path, enum passo_file_kind *out_kind);
/* The nearest rate of this kind: Opus has 48, 24, 16, 12 and 8 kHz, MP3 goes to 48 kHz. */
uint32_t passo_file_rate_hz(enum passo_file_kind kind, uint32_t wished_hz);
/* Whether libsndfile here can write it. */
bool passo_file_can(enum passo_file_kind kind);

/* passo_output_ask.file is its job. open() makes PATH.part (and that of the pitch):
 * PASSO_ERR_EXISTS if the path is there and not forced, PASSO_ERR_FILE, PASSO_ERR_RANGE of a rate
 * that the kind has not got; the sentence names the path. advance() renders and writes in pieces:
 * memory does not grow with length. What cannot be written ends the writing: `failed` and `why` are
 * set, time goes on. close() brings the files to the disk and gives them their names, whole, or
 * removes them if they failed or are discarded: what was forced out of its place comes back then
 * (of two files on a file system that cannot exchange them, the first may be lost if the second
 * cannot get its name). Thread: the main thread. */
extern const struct passo_output_ops passo_output_file;

#endif
