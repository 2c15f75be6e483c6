/* Where every click of a climb must fall, worked out for the rig from tempo and meter alone: it
 * shares no code with passo, so that the two can disagree. All places are exact fractions. */
#ifndef RIG_PLAN_H
#define RIG_PLAN_H

#include <stddef.h>
#include <stdint.h>

#define RIG_PASSES_MAX 64
#define RIG_CLICKS_MAX 4096

/* The geometry that all passes of the climb share; beats are counted beats. */
struct rig_shape {
    uint32_t rate_hz;
    uint32_t beats_of_bar;
    uint32_t bars;
    uint32_t rest_ms;
};

struct rig_click {
    int64_t frame; /* from the first click of the climb */
    int pass;      /* from 1 */
    int beat;      /* of the pass, from 1, count-in counted */
};

/* [first, end): from the first click of the count-in to the end of the landing beat. */
struct rig_span {
    int64_t first;
    int64_t end;
};

struct rig_plan {
    size_t passes;
    size_t clicks;
    struct rig_span span[RIG_PASSES_MAX];
    struct rig_click click[RIG_CLICKS_MAX];
};

/* Thousandths of a beat a minute of each pass, read from the `tempo` column of passo's session CSV
 * (RFC 4180). Returns how many passes; 0 with a line on stderr if the file cannot be used. */
size_t rig_tempos(const char *csv_path, int32_t out_mbpm[RIG_PASSES_MAX]);

/* Fills the plan. Returns 0, or -1 if a number does not fit (a line on stderr says which). */
int rig_plan_make(const struct rig_shape *shape, const int32_t *mbpm, size_t passes,
                  struct rig_plan *out_plan);

#endif
