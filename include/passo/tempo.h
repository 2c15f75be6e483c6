/* Tempo and the exact place of a musical position on the frame line.
 *
 * A tempo is an integer number of thousandths of a beat per minute (mbpm) of a stated beat unit.
 * The frame of a position q (in beats from an origin) at tempo T and rate fs is
 * floor(origin + q*60*fs/T + 1/2), computed in integers; an origin keeps its fraction of a frame
 * to 2^-32, so that nothing drifts (design: "Time, exactly"). Thread: any. */
#ifndef PASSO_TEMPO_H
#define PASSO_TEMPO_H

#include <passo/ratio.h>

#define PASSO_TEMPO_MIN_MBPM 5000    /* 5 beats a minute */
#define PASSO_TEMPO_MAX_MBPM 1000000 /* 1000 beats a minute */
#define PASSO_RATE_MIN_HZ    8000u
#define PASSO_RATE_MAX_HZ    384000u
#define PASSO_BEAT_TERM_MAX  256 /* of a beat unit's num and den, each from 1 */

/* `mbpm` thousandths of a beat a minute, each beat `beat` whole notes long (a quarter: 1/4). */
struct passo_tempo {
    int32_t mbpm;
    struct passo_ratio beat;
};

/* A point on the frame line: frame + fraction/2^32. */
struct passo_instant {
    int64_t frame;
    uint32_t fraction;
};

/* The click frame floor(origin + length + 1/2), where length is `whole_notes` at `tempo` and
 * `rate_hz`, exact in integers. whole_notes from 0 to under 2^24, its denominator up to 2^28;
 * tempo, beat unit and rate within the limits above; origin within 2^62 frames of 0. Anything
 * else is a bug and stops the program. */
int64_t passo_tempo_frame(struct passo_instant origin, struct passo_ratio whole_notes,
                          struct passo_tempo tempo, uint32_t rate_hz);

/* origin + length, rounded to the nearest 2^-32 of a frame. Same ranges. */
struct passo_instant passo_tempo_advance(struct passo_instant origin,
                                         struct passo_ratio whole_notes, struct passo_tempo tempo,
                                         uint32_t rate_hz);

/* How long `whole_notes` last at `tempo`, in nanoseconds, rounded to nearest, half up. Same ranges;
 * the result must fit (292 years). */
int64_t passo_tempo_ns(struct passo_ratio whole_notes, struct passo_tempo tempo);

/* Nearest whole frame, half up. */
int64_t passo_instant_frame(struct passo_instant at);
/* a + b and a - b, exact. Frames that overflow are a bug and stop the program, here and below. */
struct passo_instant passo_instant_add(struct passo_instant a, struct passo_instant b);
struct passo_instant passo_instant_sub(struct passo_instant a, struct passo_instant b);
/* at * permille / 1000, rounded down to 2^-32. at >= 0, 0 <= permille <= 100000. */
struct passo_instant passo_instant_scale(struct passo_instant at, int32_t permille);
/* -1, 0, 1. */
int passo_instant_cmp(struct passo_instant a, struct passo_instant b);
/* ms milliseconds at rate_hz, exact to 2^-32 (rounded to nearest); and back, rounded to nearest. */
struct passo_instant passo_instant_from_ms(int64_t ms, uint32_t rate_hz);
int64_t passo_instant_ns(struct passo_instant at, uint32_t rate_hz);

/* T * permille / 1000 rounded to the nearest mbpm, half up. 0 <= mbpm <= the largest tempo,
 * 0 <= permille <= 100000; the result may lie outside the tempo limits. */
int32_t passo_tempo_share(int32_t mbpm, int32_t permille);

#endif
