/* Click sets from files: finds a click's file in the folder, reads it in small pieces into mono,
 * cuts leading silence, leads its end to 0, and resamples it to the kit's rate. The set as a whole
 * is brought to the loudness of the one whose place it takes. All six clicks are made before the
 * kit is touched, so that a failure changes nothing. Thread: control. */
#include "output/samples.h"

#include "output/loudness.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <samplerate.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define SILENCE       0.001F      /* -60 dB of full scale */
#define SUB_GAIN      0.31622777F /* -10 dB */
#define END_MS        5
#define RATE_LEAST_HZ 1000 /* libsamplerate's ratio ends at 256 */
#define RATE_MOST_HZ  1000000
#define PIECE_FRAMES  512
#define PATH_BYTES    4096

struct fault {
    char *text;
    size_t bytes;
};

static enum passo_error failed(struct fault fault, enum passo_error error, const char *path,
                               const char *why)
{
    snprintf(fault.text, fault.bytes, "%s: %s", path, why);
    return error;
}

/* --- finding --- */

static bool is_stem(const char *name, const char *stem)
{
    const char *dot = strrchr(name, '.');
    size_t length = strlen(stem);
    return dot && (size_t)(dot - name) == length && memcmp(name, stem, length) == 0;
}

/* The file `stem`.ANYTHING of the folder, the first by name. False: none; true: out_path. */
static bool find(const char *folder, DIR *entries, const char *stem, char out_path[PATH_BYTES])
{
    char best[256] = "";
    rewinddir(entries);
    for (const struct dirent *entry; (entry = readdir(entries));) {
        if (is_stem(entry->d_name, stem) && (!*best || strcmp(entry->d_name, best) < 0))
            snprintf(best, sizeof best, "%s", entry->d_name);
    }
    if (*best)
        snprintf(out_path, PATH_BYTES, "%s/%s", folder, best);
    return *best != '\0';
}

/* --- reading --- */

/* A regular file only: a pipe of that name would wait for ever. */
static enum passo_error open_regular(const char *path, int *out_fd, struct fault fault)
{
    *out_fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (*out_fd < 0)
        return failed(fault, PASSO_ERR_FILE, path, strerror(errno));
    struct stat status;
    if (fstat(*out_fd, &status) == 0 && S_ISREG(status.st_mode))
        return PASSO_OK;
    close(*out_fd);
    return failed(fault, PASSO_ERR_FILE, path, "is not a file");
}

/* The mean of the channels; what is no number (a broken float file) is silence. */
static float mean_of(const float *channel, int channels)
{
    double sum = 0;
    for (int c = 0; c < channels; c++)
        sum += isfinite(channel[c]) ? channel[c] : 0.0F;
    return (float)(sum / channels);
}

/* Reads at most PASSO_SAMPLE_MAX_S seconds, mixed to mono; a file that is longer or lies about its
 * length costs no more than that. */
static struct passo_sample read_mono(SNDFILE *file, const SF_INFO *info)
{
    size_t channels = (size_t)info->channels;
    size_t most = (size_t)info->samplerate * PASSO_SAMPLE_MAX_S;
    float *piece = passo_xcalloc(PIECE_FRAMES * channels, sizeof *piece);
    struct passo_sample mono = {NULL, 0};
    size_t room = 0;
    for (sf_count_t got = 1; got > 0 && mono.frames < most;) {
        size_t wanted = most - mono.frames < PIECE_FRAMES ? most - mono.frames : PIECE_FRAMES;
        got = sf_readf_float(file, piece, (sf_count_t)wanted);
        if (mono.frames + PIECE_FRAMES > room) {
            room = 2 * room + PIECE_FRAMES;
            mono.frame = passo_xrealloc(mono.frame, room * sizeof *mono.frame);
        }
        for (sf_count_t i = 0; i < got; i++)
            mono.frame[mono.frames++] = mean_of(piece + (size_t)i * channels, info->channels);
    }
    free(piece);
    return mono;
}

static enum passo_error read_file(const char *path, struct passo_sample *out_mono,
                                  uint32_t *out_rate_hz, struct fault fault)
{
    int fd;
    enum passo_error error = open_regular(path, &fd, fault);
    if (error)
        return error;
    SF_INFO info = {0};
    SNDFILE *file = sf_open_fd(fd, SFM_READ, &info, SF_FALSE);
    if (!file)
        error = failed(fault, PASSO_ERR_SYNTAX, path, "is not an audio file that can be read");
    else if (info.samplerate < RATE_LEAST_HZ || info.samplerate > RATE_MOST_HZ)
        error = failed(fault, PASSO_ERR_RANGE, path, "its sample rate is out of range");
    else
        *out_mono = read_mono(file, &info);
    if (file)
        sf_close(file);
    close(fd);
    *out_rate_hz = (uint32_t)info.samplerate;
    return error;
}

/* --- making a click of it --- */

/* Cuts what lies before the first frame over -60 dB. False: there is none. */
static bool cut_silence(struct passo_sample *sample)
{
    size_t onset = 0;
    while (onset < sample->frames && fabsf(sample->frame[onset]) < SILENCE)
        onset++;
    sample->frames -= onset;
    if (sample->frames && onset)
        memmove(sample->frame, sample->frame + onset, sample->frames * sizeof *sample->frame);
    return sample->frames > 0;
}

/* Leads the last frames to exactly 0 where a sound is cut, or breaks off: it shall end without a
 * click of its own. One that dies away by itself is left as it is. */
static void lead_out(struct passo_sample *sample, uint32_t rate_hz)
{
    if (fabsf(sample->frame[sample->frames - 1]) < SILENCE)
        return;
    size_t length = rate_hz * END_MS / 1000;
    if (length > sample->frames / 2)
        length = sample->frames / 2;
    float *end = sample->frame + sample->frames - length;
    for (size_t i = 0; i < length; i++)
        end[i] *= (float)(length - 1 - i) / (float)length;
}

/* A sound beyond full scale is brought to it: the limiter would only flatten it. */
static void tame(struct passo_sample *sample)
{
    float highest = 0;
    for (size_t i = 0; i < sample->frames; i++)
        highest = fmaxf(highest, fabsf(sample->frame[i]));
    for (size_t i = 0; i < sample->frames && highest > 1.0F; i++)
        sample->frame[i] /= highest;
}

/* To the kit's rate. The filter has no delay: the first frame stays the onset, and what it would
 * ring before that falls away. */
static void resample(struct passo_sample *sample, uint32_t from_hz, uint32_t to_hz)
{
    if (from_hz == to_hz)
        return;
    double ratio = (double)to_hz / from_hz;
    size_t room = (size_t)((double)sample->frames * ratio) + 16;
    float *fresh = passo_xcalloc(room, sizeof *fresh);
    SRC_DATA data = {
        .data_in = sample->frame,
        .data_out = fresh,
        .input_frames = (long)sample->frames,
        .output_frames = (long)room,
        .src_ratio = ratio,
    };
    int refused = src_simple(&data, SRC_SINC_BEST_QUALITY, 1);
    PASSO_BUG_ON(refused != 0); /* rates are checked, and memory out stops the program anyway */
    free(sample->frame);
    *sample = (struct passo_sample){fresh, (size_t)data.output_frames_gen};
}

static enum passo_error load_click(const char *path, uint32_t rate_hz,
                                   struct passo_sample *out_sample, struct fault fault)
{
    struct passo_sample mono = {NULL, 0};
    uint32_t file_hz = 0;
    enum passo_error error = read_file(path, &mono, &file_hz, fault);
    if (error)
        return error;
    const char *why = mono.frames ? "holds only silence" : "holds no sound";
    if (cut_silence(&mono)) {
        resample(&mono, file_hz, rate_hz);
        why = "is too short to be heard";
        if (cut_silence(&mono)) {
            tame(&mono);
            lead_out(&mono, rate_hz);
            *out_sample = mono;
            return PASSO_OK;
        }
    }
    free(mono.frame);
    return failed(fault, PASSO_ERR_RANGE, path, why);
}

/* --- the set --- */

static void copy_scaled(struct passo_sample *out_copy, const struct passo_sample *of, float gain)
{
    out_copy->frame = passo_xcalloc(of->frames, sizeof *out_copy->frame);
    out_copy->frames = of->frames;
    for (size_t i = 0; i < of->frames; i++)
        out_copy->frame[i] = of->frame[i] * gain;
}

/* What a set may leave out is made of its bar and beat. */
static void fill_in(struct passo_sample click[PASSO_CLICK_COUNT_OF])
{
    static const struct {
        enum passo_click of;
        float gain;
    } stand_in[PASSO_CLICK_COUNT_OF] = {
        [PASSO_CLICK_BAR] = {PASSO_CLICK_BAR, 1.0F},
        [PASSO_CLICK_GROUP] = {PASSO_CLICK_BEAT, 1.0F},
        [PASSO_CLICK_BEAT] = {PASSO_CLICK_BEAT, 1.0F},
        [PASSO_CLICK_SUB] = {PASSO_CLICK_BEAT, SUB_GAIN},
        [PASSO_CLICK_COUNT_BAR] = {PASSO_CLICK_BAR, 1.0F},
        [PASSO_CLICK_COUNT] = {PASSO_CLICK_BEAT, 1.0F},
    };
    for (size_t i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        if (!click[i].frame)
            copy_scaled(&click[i], &click[stand_in[i].of], stand_in[i].gain);
    }
}

static void scale_set(struct passo_sample click[PASSO_CLICK_COUNT_OF], float gain)
{
    for (size_t i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        for (size_t k = 0; k < click[i].frames; k++)
            click[i].frame[k] *= gain;
    }
}

static enum passo_error load_all(struct passo_sample click[PASSO_CLICK_COUNT_OF],
                                 const char *folder, DIR *entries, uint32_t rate_hz,
                                 struct fault fault)
{
    char path[PATH_BYTES];
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        const char *stem = passo_click_name((enum passo_click)i);
        if (find(folder, entries, stem, path)) {
            enum passo_error error = load_click(path, rate_hz, &click[i], fault);
            if (error)
                return error;
        } else if (i == PASSO_CLICK_BAR || i == PASSO_CLICK_BEAT) {
            snprintf(fault.text, fault.bytes, "%s: has no file %s.wav (or .flac, .ogg ...)", folder,
                     stem);
            return PASSO_ERR_FILE;
        }
    }
    fill_in(click);
    return PASSO_OK;
}

enum passo_error passo_samples_load(struct passo_kit *kit, const char *folder, char *out_fault,
                                    size_t fault_bytes)
{
    struct fault fault = {out_fault, fault_bytes};
    DIR *entries = opendir(folder);
    if (!entries)
        return failed(fault, PASSO_ERR_FILE, folder, strerror(errno));
    struct passo_sample click[PASSO_CLICK_COUNT_OF] = {{NULL, 0}};
    enum passo_error error = load_all(click, folder, entries, kit->rate_hz, fault);
    closedir(entries);
    if (!error)
        scale_set(click, passo_loudness_gain(click, kit->click, kit->rate_hz));
    for (size_t i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        struct passo_sample unused = error ? click[i] : kit->click[i];
        if (!error)
            kit->click[i] = click[i];
        free(unused.frame);
    }
    return error;
}

static enum passo_error save_click(const struct passo_sample *sample, uint32_t rate_hz,
                                   const char *path, struct fault fault)
{
    SF_INFO info = {
        .samplerate = (int)rate_hz, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    if (!file)
        return failed(fault, PASSO_ERR_FILE, path, "cannot be written");
    sf_command(file, SFC_SET_CLIPPING, NULL, SF_TRUE);
    sf_count_t wanted = (sf_count_t)sample->frames;
    bool whole = sf_writef_float(file, sample->frame, wanted) == wanted;
    bool closed = sf_close(file) == 0;
    if (!whole || !closed)
        return failed(fault, PASSO_ERR_FILE, path, "cannot be written to its end");
    return PASSO_OK;
}

enum passo_error passo_samples_save(const struct passo_kit *kit, const char *folder,
                                    char *out_fault, size_t fault_bytes)
{
    struct fault fault = {out_fault, fault_bytes};
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        char path[PATH_BYTES];
        snprintf(path, sizeof path, "%s/%s.wav", folder, passo_click_name((enum passo_click)i));
        enum passo_error error = save_click(&kit->click[i], kit->rate_hz, path, fault);
        if (error)
            return error;
    }
    return PASSO_OK;
}
