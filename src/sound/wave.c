/* The tables of the steady tone. The phases of the harmonics are Schroeder's (IEEE Trans. Inf.
 * Theory 16, 1970, from memory): each harmonic's delay grows with the power below it, like a sweep
 * once a period, so that the sound has hardly a peak above its mean and is as loud as its peak
 * allows. The first begins at its crest: of the free choices that serves the drones' pitches best
 * (peak at most 1.71 of the root mean square for 10 to 16 harmonics). They belong to a number of
 * harmonics, as does the peak that the table is brought to. */
#include "sound/wave.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

#define MASK           (PASSO_WAVE_POINTS - 1)
#define FRACTION_BITS  24 /* of the place between two points: a float holds them exactly */
#define FRACTION_SHIFT (64 - PASSO_WAVE_BITS - FRACTION_BITS)

static const double level[PASSO_WAVE_HARMONICS] = {.45, .80, 1.0, .90, .75, .62, .50, .42,
                                                   .34, .28, .23, .19, .15, .12, .10, .08};

/* phase[k]: of harmonic k + 1. */
static void set_phases(double phase[PASSO_WAVE_HARMONICS], int harmonics)
{
    double power = 0;
    for (int k = 0; k < harmonics; k++)
        power += level[k] * level[k];
    double below = 0;     /* share of the power that lies below harmonic k */
    double turns = -0.25; /* the first is a cosine */
    for (int k = 0; k < harmonics; k++) {
        turns += below;
        phase[k] = -2 * PI * turns;
        below += level[k] * level[k] / power;
    }
}

static void add_harmonic(double *sum, const double *sine, size_t number, double gain, double phase)
{
    double in_phase = gain * cos(phase);
    double ahead = gain * sin(phase);
    for (size_t i = 0; i < PASSO_WAVE_POINTS; i++) {
        size_t at = number * i;
        sum[i] += in_phase * sine[at & MASK] + ahead * sine[(at + PASSO_WAVE_POINTS / 4) & MASK];
    }
}

/* Returns the phase of its crest. */
static uint64_t make_period(float *period, const double *sine, int harmonics)
{
    double sum[PASSO_WAVE_POINTS] = {0};
    double phase[PASSO_WAVE_HARMONICS];
    set_phases(phase, harmonics);
    for (int k = 0; k < harmonics; k++)
        add_harmonic(sum, sine, (size_t)k + 1, level[k], phase[k]);
    size_t crest = 0;
    for (size_t i = 0; i < PASSO_WAVE_POINTS; i++)
        crest = fabs(sum[i]) > fabs(sum[crest]) ? i : crest;
    double peak = fabs(sum[crest]);
    for (size_t i = 0; i < PASSO_WAVE_POINTS + PASSO_WAVE_GUARD; i++)
        period[i] = (float)(sum[(i + MASK) & MASK] / peak);
    return (uint64_t)crest << (64 - PASSO_WAVE_BITS);
}

/* A tongued tone begins with a short straight part: a raised cosine alone stays under half a step
 * of a 16-bit file for several frames, and the beginning would seem late by them. */
#define TONGUE_SHARE 0.1

static void make_rises(struct passo_waves *waves)
{
    for (size_t i = 0; i <= PASSO_RISE_STEPS + 1; i++) {
        double x = fmin(1, (double)i / PASSO_RISE_STEPS);
        double cosine = 0.5 - 0.5 * cos(PI * x);
        waves->rise[i] = (float)cosine;
        waves->tongue[i] = (float)((1 - TONGUE_SHARE) * cosine + TONGUE_SHARE * x * (2 - x));
    }
}

void passo_waves_init(struct passo_waves *out_waves)
{
    double sine[PASSO_WAVE_POINTS];
    for (size_t i = 0; i < PASSO_WAVE_POINTS; i++)
        sine[i] = sin(2 * PI * (double)i / PASSO_WAVE_POINTS);
    for (int n = 1; n <= PASSO_WAVE_HARMONICS; n++)
        out_waves->crest[n - 1] = make_period(out_waves->period[n - 1], sine, n);
    make_rises(out_waves);
}

int passo_wave_harmonics(double hz, uint32_t rate_hz)
{
    double most_hz = PASSO_WAVE_TOP_SHARE * rate_hz;
    if (!(hz > 0) || hz > most_hz)
        return 0;
    double top_hz = most_hz < PASSO_WAVE_TOP_HZ ? most_hz : PASSO_WAVE_TOP_HZ;
    int harmonics = 1;
    while (harmonics < PASSO_WAVE_HARMONICS && (harmonics + 1) * hz <= top_hz)
        harmonics++;
    return harmonics;
}

float passo_wave_at(const float *period, uint64_t phase)
{
    const float *p = period + (phase >> (64 - PASSO_WAVE_BITS)); /* p[1] is the point before */
    const uint64_t mask = (1U << FRACTION_BITS) - 1;
    float x = (float)(int32_t)(phase >> FRACTION_SHIFT & mask) / (float)(1 << FRACTION_BITS);
    float slope = 0.5F * (p[2] - p[0]);
    float square = p[0] - 2.5F * p[1] + 2.0F * p[2] - 0.5F * p[3];
    float cube = 0.5F * (p[3] - p[0]) + 1.5F * (p[1] - p[2]);
    return ((cube * x + square) * x + slope) * x + p[1];
}

float passo_wave_rise(const float *curve, float x)
{
    float place = x * PASSO_RISE_STEPS;
    int i = (int)place;
    float before = curve[i];
    return before + (curve[i + 1] - before) * (place - (float)i);
}
