/* The kinds of sound file: which ending names them, which rates they have, and what libsndfile
 * calls them. */
#include "output/sink.h"

#include <sndfile.h>
#include <string.h>
#include <strings.h>

/* libsndfile has names for these since 1.1; with an older one they are numbers that it refuses. */
#define FORMAT_MP3 (0x230000 | 0x0082)

#define RATES_MAX 9

struct kind {
    const char *ending;
    uint32_t least_hz, most_hz;
    uint32_t only_hz[RATES_MAX]; /* these and no others, rising; all 0: any within the ends */
};

/* The rates of MP3 are those of MPEG-1, 2 and 2.5 (from memory of ISO 11172-3, 13818-3 and what
 * came after); those of Opus are of RFC 7845, section 5.1. Vorbis' ends are libvorbis' own. */
static const struct kind kinds[PASSO_FILE_KIND_COUNT] = {
    [PASSO_FILE_WAV] = {".wav", 1, 384000, {0}},
    [PASSO_FILE_FLAC] = {".flac", 1, 384000, {0}},
    [PASSO_FILE_OGG] = {".ogg", 8000, 192000, {0}},
    [PASSO_FILE_OPUS] = {".opus", 8000, 48000, {8000, 12000, 16000, 24000, 48000}},
    [PASSO_FILE_MP3] = {".mp3",
                        8000,
                        48000,
                        {8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000}},
};

bool passo_file_kind_of(const char *path, enum passo_file_kind *out_kind)
{
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    for (int i = 0; dot && i < PASSO_FILE_KIND_COUNT; i++) {
        if (strcasecmp(dot, kinds[i].ending) == 0) {
            *out_kind = (enum passo_file_kind)i;
            return true;
        }
    }
    return false;
}

static uint32_t distance(uint32_t a, uint32_t b)
{
    return a > b ? a - b : b - a;
}

uint32_t passo_file_rate_hz(enum passo_file_kind kind, uint32_t wished_hz)
{
    const struct kind *of = &kinds[kind];
    uint32_t nearest = wished_hz;
    if (nearest < of->least_hz)
        nearest = of->least_hz;
    if (nearest > of->most_hz)
        nearest = of->most_hz;
    if (!of->only_hz[0])
        return nearest;
    nearest = of->only_hz[0];
    for (size_t i = 1; i < RATES_MAX && of->only_hz[i]; i++) {
        if (distance(of->only_hz[i], wished_hz) <= distance(nearest, wished_hz))
            nearest = of->only_hz[i];
    }
    return nearest;
}

int passo_sink_format(enum passo_file_kind kind, enum passo_file_bits bits, bool large)
{
    static const int samples[PASSO_FILE_BITS_COUNT] = {
        [PASSO_FILE_16] = SF_FORMAT_PCM_16,
        [PASSO_FILE_24] = SF_FORMAT_PCM_24,
        [PASSO_FILE_FLOAT] = SF_FORMAT_FLOAT,
    };
    switch (kind) {
    case PASSO_FILE_WAV:
        return (large ? SF_FORMAT_RF64 : SF_FORMAT_WAV) | samples[bits];
    case PASSO_FILE_FLAC:
        return SF_FORMAT_FLAC | samples[bits];
    case PASSO_FILE_OGG:
        return SF_FORMAT_OGG | SF_FORMAT_VORBIS;
    case PASSO_FILE_OPUS:
        return SF_FORMAT_OGG | SF_FORMAT_OPUS;
    case PASSO_FILE_MP3:
        return FORMAT_MP3;
    case PASSO_FILE_KIND_COUNT:
        break;
    }
    return 0;
}

/* Is the number in one of libsndfile's lists of what was built into it? */
static bool listed(int count_command, int command, int wanted)
{
    int count = 0;
    sf_command(NULL, count_command, &count, sizeof count);
    for (int i = 0; i < count; i++) {
        SF_FORMAT_INFO info = {.format = i};
        if (sf_command(NULL, command, &info, sizeof info) == 0 && info.format == wanted)
            return true;
    }
    return false;
}

bool passo_file_can(enum passo_file_kind kind)
{
    int format = passo_sink_format(kind, PASSO_FILE_16, false);
    return listed(SFC_GET_FORMAT_MAJOR_COUNT, SFC_GET_FORMAT_MAJOR, format & SF_FORMAT_TYPEMASK) &&
           listed(SFC_GET_FORMAT_SUBTYPE_COUNT, SFC_GET_FORMAT_SUBTYPE, format & SF_FORMAT_SUBMASK);
}
