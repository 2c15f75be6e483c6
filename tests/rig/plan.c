/* The rig's own arithmetic. A pass is: count-in (one bar, two if a bar lasts under 1.6 s), the
 * bars, one landing beat, then the rest. Click k of a pass falls at origin + k * 60 * rate / T,
 * rounded half up; the next origin is this one plus the whole pass and the rest. Origins are kept
 * as reduced fractions of 64-bit integers, and a number that outgrows them is an error, never a
 * rounding. */
#include "plan.h"
#include "csv.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct fraction {
    int64_t num;
    int64_t den;
};

static int64_t common_divisor(int64_t a, int64_t b)
{
    while (b != 0) {
        int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* at += num/den. False if it does not fit. */
static bool add(struct fraction *at, int64_t num, int64_t den)
{
    int64_t left;
    int64_t right;
    struct fraction sum;
    if (__builtin_mul_overflow(at->num, den, &left) ||
        __builtin_mul_overflow(num, at->den, &right) ||
        __builtin_add_overflow(left, right, &sum.num) ||
        __builtin_mul_overflow(at->den, den, &sum.den))
        return false;
    int64_t divisor = common_divisor(sum.num, sum.den);
    at->num = sum.num / divisor;
    at->den = sum.den / divisor;
    return true;
}

/* floor(at + 1/2); at >= 0. */
static int64_t nearest_frame(struct fraction at)
{
    int64_t whole = at.num / at.den;
    int64_t part = at.num % at.den;
    return whole + (part >= at.den - part ? 1 : 0);
}

/* The place of beat k behind the origin. */
static bool beat_place(struct fraction origin, int64_t k, int32_t mbpm, uint32_t rate_hz,
                       struct fraction *out)
{
    int64_t divisor = common_divisor(60000 * (int64_t)rate_hz, mbpm);
    *out = origin;
    return add(out, k * (60000 * (int64_t)rate_hz / divisor), mbpm / divisor);
}

static uint32_t beats_of_pass(const struct rig_shape *shape, int32_t mbpm)
{
    /* bar < 1.6 s, with bar = beats * 60000 / mbpm seconds */
    bool two = (int64_t)shape->beats_of_bar * 600000 < (int64_t)16 * mbpm;
    return shape->beats_of_bar * ((two ? 2 : 1) + shape->bars) + 1;
}

static bool plan_pass(const struct rig_shape *shape, int32_t mbpm, struct rig_plan *plan,
                      struct fraction *origin)
{
    uint32_t beats = beats_of_pass(shape, mbpm);
    if (plan->clicks + beats > RIG_CLICKS_MAX || plan->passes == RIG_PASSES_MAX)
        return false;
    struct fraction at;
    for (uint32_t k = 0; k < beats; k++) {
        if (!beat_place(*origin, k, mbpm, shape->rate_hz, &at))
            return false;
        plan->click[plan->clicks++] = (struct rig_click){
            .frame = nearest_frame(at), .pass = (int)plan->passes + 1, .beat = (int)k + 1};
    }
    if (!beat_place(*origin, beats, mbpm, shape->rate_hz, &at))
        return false;
    plan->span[plan->passes++] =
        (struct rig_span){.first = nearest_frame(*origin), .end = nearest_frame(at)};
    *origin = at;
    return add(origin, (int64_t)shape->rest_ms * shape->rate_hz, 1000);
}

int rig_plan_make(const struct rig_shape *shape, const int32_t *mbpm, size_t passes,
                  struct rig_plan *out_plan)
{
    struct fraction origin = {0, 1};
    memset(out_plan, 0, sizeof *out_plan);
    for (size_t i = 0; i < passes; i++) {
        if (!plan_pass(shape, mbpm[i], out_plan, &origin)) {
            fprintf(stderr, "rig: pass %zu does not fit the rig's integers or tables\n", i + 1);
            return -1;
        }
    }
    return 0;
}

/* "88" or "88.5" or "88.375" to thousandths; -1 if it is none. */
static int32_t thousandths(const char *text)
{
    char *end;
    long whole = strtol(text, &end, 10);
    if (end == text || whole < 1 || whole > 1000)
        return -1;
    long value = whole * 1000;
    if (*end == '.') {
        long place = 100;
        for (end++; *end >= '0' && *end <= '9' && place > 0; end++, place /= 10)
            value += (*end - '0') * place;
    }
    return *end == '\0' ? (int32_t)value : -1;
}

struct tempos {
    int32_t *mbpm;
    size_t passes;
    bool failed;
};

static void take_tempo(const char *cell, void *data)
{
    struct tempos *tempos = data;
    int32_t mbpm = thousandths(cell);
    if (mbpm < 0 || tempos->passes == RIG_PASSES_MAX) {
        fprintf(stderr, "rig: `%s` is no tempo, or there are too many passes\n", cell);
        tempos->failed = true;
        return;
    }
    tempos->mbpm[tempos->passes++] = mbpm;
}

size_t rig_tempos(const char *csv_path, int32_t out_mbpm[RIG_PASSES_MAX])
{
    struct tempos tempos = {.mbpm = out_mbpm};
    if (rig_csv_column(csv_path, "tempo", take_tempo, &tempos) < 0 || tempos.failed)
        return 0;
    if (tempos.passes == 0)
        fprintf(stderr, "rig: %s: no passes\n", csv_path);
    return tempos.passes;
}
