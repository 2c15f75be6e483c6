/* A forecast: the real course run many times against a skill curve. Each climb has its own stream
 * of random numbers, drawn from the seed and its number, so the same seed gives the same climbs
 * however they are shared out over threads. Thread: any; each call with its own results. No I/O, no
 * clock. */
#ifndef PASSO_FORECAST_H
#define PASSO_FORECAST_H

#include <passo/course.h>
#include <passo/skill.h>

struct passo_forecast_ask {
    const struct passo_course *course; /* has passed passo_course_check() */
    const struct passo_passage *passage;
    const struct passo_pulse *pulse;
    struct passo_skill skill;
    uint64_t seed;
    uint32_t passes_max; /* a climb is given up after so many passes */
    bool no_limits;      /* leave out stop, plateau and tired: how long the target itself takes */
};

/* How one simulated climb went. */
struct passo_forecast_climb {
    uint32_t
        passes; /* played, of every part, until the last stage's target rung was won, or the end */
    int64_t ms; /* of the audio clock, count-ins and rests counted in, until then */
    enum passo_outcome outcome; /* OPEN: given up */
    uint8_t stage;              /* where it ended: the stage, */
    int32_t stuck_mbpm;         /* and the tempo of the lowest rung not won; 0 if won */
    uint16_t stuck_rung;
};

/* Plays the climbs `first` to `first + climbs - 1` into out_climb[0 ...]. May allocate a table of
 * pass lengths; aborts on out of memory. */
void passo_forecast_run(const struct passo_forecast_ask *ask, uint32_t first, uint32_t climbs,
                        struct passo_forecast_climb *out_climb);

/* What many climbs say. A climb that was not won counts as longer than any that was. */
struct passo_forecast {
    uint32_t climbs;
    uint32_t won;
    uint32_t median_passes; /* 0: half of them or more were not won */
    uint32_t ninth_passes;  /* of the ninth decile; 0: a tenth or more were not won */
    int64_t median_ms;
    int64_t ninth_ms;
    uint32_t ended[PASSO_OUTCOME_COUNT]; /* how many ended so */
    uint8_t stuck_stage;                 /* where those that were not won most often stood */
    int32_t stuck_mbpm;                  /* 0: all were won */
    uint16_t stuck_rung;
    uint32_t stuck; /* how many stood there */
};

/* Sums the climbs up; they may be reordered. */
void passo_forecast_sum(struct passo_forecast_climb *climb, uint32_t climbs,
                        struct passo_forecast *out_forecast);

#endif
