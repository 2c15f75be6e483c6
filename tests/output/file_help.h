/* What the tests of the file output share: a player with a small tune of clicks, cues and tones, a
 * job in the test's folder, and what was written read back by libsndfile. */
#ifndef PASSO_TEST_OUTPUT_FILE_HELP_H
#define PASSO_TEST_OUTPUT_FILE_HELP_H

#include "help.h"

#include "output/file.h"
#include "sound/frames.h"

static const struct passo_output_ops *const ops = &passo_output_file;
static char fault[512];

/* A path in the folder that stays valid, unlike path_of()'s. */
static inline const char *place_of(char out_place[256], const char *name)
{
    snprintf(out_place, 256, "%s", path_of(name));
    return out_place;
}

static inline bool is_there(const char *path)
{
    struct stat status;
    return lstat(path, &status) == 0;
}

static inline enum passo_error try_open(struct passo_file_job *job, uint32_t rate_hz,
                                        struct passo_output **out_output)
{
    const struct passo_output_ask ask = {.rate_hz = rate_hz, .file = job};
    memset(fault, '?', sizeof fault);
    return ops->open(&ask, out_output, fault, sizeof fault);
}

static inline struct passo_output *open_job(struct passo_file_job *job, uint32_t rate_hz)
{
    struct passo_output *output = NULL;
    enum passo_error error = try_open(job, rate_hz, &output);
    if (error)
        print_message("%s\n", fault);
    assert_int_equal(error, PASSO_OK);
    return output;
}

/* A player of the real sounds with four clicks a third of a second apart, begun at 0.1 s, with a
 * faint tone under them, and a cue after. The last click is at 1.1 s, the timeline's end at 1.43 s.
 */
static inline struct passo_player *tune(uint32_t rate_hz)
{
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_RIM, rate_hz);
    struct passo_player *player = passo_player_create(&kit, 64);
    int64_t third = rate_hz / 3;
    struct passo_timeline *clicks = steady(7, rate_hz, rate_hz / 10, third, 4);
    assert_int_equal(passo_player_play(player, toned(clicks, 220.0F, 0.08F)), PASSO_OK);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_WON, rate_hz * 3 / 2), PASSO_OK);
    return player;
}

/* The same player's frames, all at once. */
static inline float *tune_frames(uint32_t rate_hz, size_t frames)
{
    float *out = calloc(frames, sizeof *out);
    struct passo_player *player = tune(rate_hz);
    passo_player_render(player, out, frames, 0);
    passo_player_destroy(player);
    return out;
}

/* Writes the tune for so many frames; the job says what came of it. */
static inline void write_tune(struct passo_file_job *job, uint32_t rate_hz, int64_t frames)
{
    struct passo_output *output = open_job(job, rate_hz);
    struct passo_player *player = tune(rate_hz);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    ops->advance(output, passo_frames_to_ns(frames - 1, rate_hz));
    ops->close(output);
    passo_player_destroy(player);
}

/* All samples of a file, of every channel in turn. Free with free(). */
static inline float *read_back(const char *path, SF_INFO *out_info)
{
    *out_info = (SF_INFO){0};
    SNDFILE *file = sf_open(path, SFM_READ, out_info);
    assert_non_null(file);
    size_t room = (size_t)(out_info->frames * out_info->channels);
    float *samples = calloc(room + 1, sizeof *samples);
    assert_int_equal(sf_readf_float(file, samples, out_info->frames), out_info->frames);
    sf_close(file);
    return samples;
}

static inline unsigned char *bytes_of_file(const char *path, size_t *out_count)
{
    struct stat status;
    assert_int_equal(stat(path, &status), 0);
    *out_count = (size_t)status.st_size;
    unsigned char *bytes = malloc(*out_count + 1);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    assert_int_equal(fread(bytes, 1, *out_count, file), *out_count);
    fclose(file);
    return bytes;
}

#endif
