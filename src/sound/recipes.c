/* The recipes. A click is a struck body: a few modes without a common pitch, each a dying cosine,
 * and a cloud of many short ones close together, the noise of the strike. A cue is a row of soft
 * notes with two faint overtones. Every partial is a cosine of known frequency, so nothing lies
 * above the limit; all cosines begin at their crest, so the very first frame already sounds.
 *
 * The six clicks of a set differ in pitch (base), in timbre (bright, cloud, ring) and in level; the
 * count-in is lower, duller and rings longer than the body's clicks. Energy lies about 2 to 4 kHz,
 * over a low brass player's own strong partials (trade.md, 3(l)). Cues stay under 1.1 kHz, soft. */
#include "sound/recipes.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>

#define PI 3.14159265358979323846

#define ATTACK_MS       0.3
#define CUE_ATTACK_MS   6.0
#define RELEASE_SHARE   0.3    /* the last part of a click, in which it is led to 0 */
#define FIRST_FRAME     0.0035 /* at least this much of full scale on the first frame */
#define PARTIAL_MAX     0.45   /* of the rate */
#define PARTIAL_RATE_HZ 44100  /* a faster rate adds no partials: a set sounds alike everywhere */
#define CLOUD_PARTIALS  24

struct mode {
    double ratio; /* to the click's base frequency */
    double level;
    double ring_ms; /* falls to 1/e */
};

/* The peaks make the three equally loud by ITU-R BS.1770, as two bars of four at 120, to within
 * half a LU at 44.1 kHz and over (tests/output/test_loudness.c measures it): the longer a body
 * rings, the louder it is for its peak. */
struct body {
    double peak; /* of the bar's click, the loudest */
    struct mode mode[5];
    double cloud_low, cloud_high; /* band of the cloud, as ratios to the base */
    double cloud_ms;
};

struct strike {
    double base_hz;
    double length_ms;
    double level_db; /* energy against the bar's click of the same set */
    double bright;   /* each further mode's level is multiplied by this once more */
    double cloud;    /* level of the cloud against the first mode */
    double ring;     /* multiplies every ring_ms */
};

static const struct body bodies[PASSO_TIMBRE_COUNT] = {
    [PASSO_TIMBRE_RIM] =
        {.7,
         {{1, 1, 3.2}, {1.47, .8, 2.4}, {1.94, .5, 1.8}, {2.31, .35, 1.4}, {2.87, .2, 1.1}},
         .8,
         2.2,
         1.6},
    [PASSO_TIMBRE_WOOD] =
        {.589,
         {{1, 1, 4.5}, {1.12, .5, 3.6}, {1.74, .3, 2.0}, {2.43, .15, 1.2}, {3.06, .06, .8}},
         .7,
         1.6,
         1.2},
    [PASSO_TIMBRE_BELL] =
        {.412,
         {{1, 1, 7.5}, {1.19, .6, 6.5}, {1.56, .5, 5.5}, {2.01, .3, 4.0}, {2.66, .15, 3.0}},
         .9,
         1.9,
         .8},
};

static const struct strike strikes[PASSO_CLICK_COUNT_OF] = {
    [PASSO_CLICK_BAR] = {3050, 27, 0.0, 1.0, .50, 1.15},
    [PASSO_CLICK_GROUP] = {2800, 23, -2.2, .85, .35, 1.0},
    [PASSO_CLICK_BEAT] = {2550, 20, -3.4, .7, .25, .85},
    [PASSO_CLICK_SUB] = {3550, 15, -13.4, .75, .60, .6}, /* 10 dB under a beat */
    [PASSO_CLICK_COUNT_BAR] = {2300, 30, -1.1, .55, .12, 1.5},
    [PASSO_CLICK_COUNT] = {2050, 25, -4.6, .45, .06, 1.1},
};

struct note {
    double hz;
    double at_ms, length_ms;
};

struct song {
    double peak;
    struct note note[3]; /* length 0: no more */
};

static const struct song songs[PASSO_CUE_COUNT] = {
    [PASSO_CUE_TICK] = {.10, {{1047, 0, 35}}},
    [PASSO_CUE_RAISED] = {.22, {{587, 0, 150}, {880, 150, 230}}},
    [PASSO_CUE_DROPPED] = {.22, {{880, 0, 150}, {587, 150, 230}}},
    [PASSO_CUE_AGAIN] = {.20, {{698, 0, 220}}},
    [PASSO_CUE_WON] = {.22, {{587, 0, 140}, {740, 140, 140}, {988, 280, 340}}},
    [PASSO_CUE_CONTEXT] = {.22, {{784, 0, 110}, {523, 110, 110}, {784, 220, 240}}},
    [PASSO_CUE_TIME] = {.20, {{523, 0, 120}, {523, 200, 120}, {523, 400, 120}}},
    [PASSO_CUE_BREATHE] = {.14, {{392, 0, 400}}},
};

static size_t frames_of(double ms, uint32_t rate_hz)
{
    return (size_t)lround(ms * rate_hz / 1000.0);
}

/* Half a raised cosine, from 0 at `at` 0 to 1 at `length`. */
static double rise(double at, double length)
{
    return at >= length ? 1.0 : 0.5 - 0.5 * cos(PI * at / length);
}

static void add_partial(float *out, size_t frames, uint32_t rate_hz, double hz, double phase,
                        double level, double ring_ms)
{
    uint32_t limit_hz = rate_hz < PARTIAL_RATE_HZ ? rate_hz : PARTIAL_RATE_HZ;
    if (hz > PARTIAL_MAX * limit_hz)
        return;
    /* A phasor that turns and shrinks by the same factor each frame; its real part sounds. */
    double complex turn = cexp(2 * PI * I * hz / rate_hz - 1000.0 / (ring_ms * rate_hz));
    double complex phasor = level * cexp(2 * PI * I * phase);
    for (size_t i = 0; i < frames; i++) {
        out[i] += (float)creal(phasor);
        phasor *= turn;
    }
}

/* A fixed row of numbers in 0 to 1 (a linear congruence, constants common practice): the cloud is
 * the same in every build. */
static double drawn(uint32_t *state)
{
    *state = *state * 1664525U + 1013904223U;
    return (*state >> 8) / 16777216.0;
}

static void add_cloud(float *out, size_t frames, uint32_t rate_hz, const struct body *body,
                      const struct strike *strike)
{
    uint32_t state = 20;
    double span = body->cloud_high - body->cloud_low;
    for (int i = 0; i < CLOUD_PARTIALS; i++) {
        double ratio = body->cloud_low + span * (i + drawn(&state)) / CLOUD_PARTIALS;
        double level = strike->cloud * 3.0 / CLOUD_PARTIALS;
        add_partial(out, frames, rate_hz, strike->base_hz * ratio, drawn(&state), level,
                    body->cloud_ms * strike->ring);
    }
}

static float highest_of(const float *frame, size_t frames)
{
    float highest = 0;
    for (size_t i = 0; i < frames; i++)
        highest = fmaxf(highest, fabsf(frame[i]));
    return highest;
}

static double energy_of(const struct passo_sample *sample)
{
    double energy = 0;
    for (size_t i = 0; i < sample->frames; i++)
        energy += (double)sample->frame[i] * (double)sample->frame[i];
    return energy;
}

static void scale(struct passo_sample *sample, double factor)
{
    for (size_t i = 0; i < sample->frames; i++)
        sample->frame[i] = (float)(sample->frame[i] * factor);
}

static void scale_to_peak(struct passo_sample *sample, double peak)
{
    scale(sample, peak / (double)highest_of(sample->frame, sample->frames));
}

/* Leads the raw sound up from near silence and down to 0. The attack sets in where its curve gives
 * the first frame the height it is to have at least: the faster the rate, the later. */
static void shape(float *raw, size_t frames, double peak, uint32_t rate_hz)
{
    double attack = ATTACK_MS * rate_hz / 1000.0;
    double release = RELEASE_SHARE * (double)frames;
    size_t after = (size_t)attack;
    double full = highest_of(raw + after, frames - after);
    double wished = FIRST_FRAME / peak * full / fabs((double)raw[0]);
    double onset = fmax(1.0, attack * acos(1.0 - 2.0 * fmin(wished, 1.0)) / PI);
    for (size_t i = 0; i < frames; i++)
        raw[i] *=
            (float)(rise((double)i + onset, attack) * rise((double)(frames - 1 - i), release));
}

/* One click, of no particular level but for the height of its first frame. */
static struct passo_sample struck(const struct body *body, const struct strike *strike,
                                  uint32_t rate_hz)
{
    size_t frames = frames_of(strike->length_ms, rate_hz);
    float *out = passo_xcalloc(frames, sizeof *out);
    double tilt = 1.0;
    for (size_t i = 0; i < sizeof body->mode / sizeof *body->mode; i++) {
        const struct mode *mode = &body->mode[i];
        add_partial(out, frames, rate_hz, strike->base_hz * mode->ratio, 0.0, mode->level * tilt,
                    mode->ring_ms * strike->ring);
        tilt *= strike->bright;
    }
    add_cloud(out, frames, rate_hz, body, strike);
    shape(out, frames, body->peak * pow(10.0, strike->level_db / 20.0), rate_hz);
    return (struct passo_sample){out, frames};
}

void passo_recipe_click(struct passo_sample *out_sample, enum passo_timbre timbre,
                        enum passo_click click, uint32_t rate_hz)
{
    struct passo_sample bar = struck(&bodies[timbre], &strikes[PASSO_CLICK_BAR], rate_hz);
    scale_to_peak(&bar, bodies[timbre].peak);
    if (click == PASSO_CLICK_BAR) {
        *out_sample = bar;
        return;
    }
    struct passo_sample other = struck(&bodies[timbre], &strikes[click], rate_hz);
    double wished = energy_of(&bar) * pow(10.0, strikes[click].level_db / 10.0);
    scale(&other, sqrt(wished / energy_of(&other)));
    free(bar.frame);
    *out_sample = other;
}

/* One note of a cue: two faint overtones, a slow rise, a slower fall. */
static void add_note(float *out, const struct note *note, double floor, uint32_t rate_hz)
{
    size_t frames = frames_of(note->length_ms, rate_hz);
    double attack = CUE_ATTACK_MS * rate_hz / 1000.0;
    for (size_t i = 0; i < frames; i++) {
        double turn = 2 * PI * note->hz * (double)i / rate_hz;
        double wave = cos(turn) + .25 * cos(2 * turn) + .06 * cos(3 * turn);
        double up = floor + (1.0 - floor) * rise((double)i, attack);
        out[i] += (float)(wave * up * rise((double)(frames - 1 - i), .8 * (double)frames));
    }
}

void passo_recipe_cue(struct passo_sample *out_sample, enum passo_cue cue, uint32_t rate_hz)
{
    const struct song *song = &songs[cue];
    size_t frames = 0;
    for (size_t i = 0; i < 3 && song->note[i].length_ms > 0; i++)
        frames =
            frames_of(song->note[i].at_ms, rate_hz) + frames_of(song->note[i].length_ms, rate_hz);
    float *out = passo_xcalloc(frames, sizeof *out);
    for (size_t i = 0; i < 3 && song->note[i].length_ms > 0; i++) {
        /* Only the cue's very first frame needs to stand out of silence. */
        double floor = i == 0 ? FIRST_FRAME / song->peak : 0.0;
        add_note(out + frames_of(song->note[i].at_ms, rate_hz), &song->note[i], floor, rate_hz);
    }
    *out_sample = (struct passo_sample){out, frames};
    scale_to_peak(out_sample, song->peak);
}
