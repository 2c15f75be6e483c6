/* What the tests of the output room share: a folder of their own that is gone afterwards, audio
 * files written by libsndfile, small files of any bytes. */
#ifndef PASSO_TEST_OUTPUT_HELP_H
#define PASSO_TEST_OUTPUT_HELP_H

#include "sound/help.h"

#include <ftw.h>
#include <sndfile.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[64];

static inline int make_folder(void **state)
{
    (void)state;
    snprintf(folder, sizeof folder, "/tmp/passo-test-XXXXXX");
    return mkdtemp(folder) ? 0 : -1;
}

static inline int remove_entry(const char *path, const struct stat *status, int flag,
                               struct FTW *place)
{
    (void)status;
    (void)flag;
    (void)place;
    return remove(path);
}

static inline int remove_folder(void **state)
{
    (void)state;
    return nftw(folder, remove_entry, 8, FTW_DEPTH | FTW_PHYS);
}

static inline const char *path_of(const char *name)
{
    static char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static inline void write_bytes(const char *name, const void *bytes, size_t count)
{
    FILE *file = fopen(path_of(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, count, file), count);
    assert_int_equal(fclose(file), 0);
}

/* frame holds frames x channels samples. */
static inline void write_audio(const char *name, int format, int rate_hz, int channels,
                               const float *frame, size_t frames)
{
    SF_INFO info = {.samplerate = rate_hz, .channels = channels, .format = format};
    SNDFILE *file = sf_open(path_of(name), SFM_WRITE, &info);
    assert_non_null(file);
    assert_int_equal(sf_writef_float(file, frame, (sf_count_t)frames), (sf_count_t)frames);
    assert_int_equal(sf_close(file), 0);
}

#endif
