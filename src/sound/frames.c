/* Frames to nanoseconds and back, in integers: whole seconds first, then the rest of a second,
 * whose product with the other unit fits 64 bits at every rate. */
#include "sound/frames.h"

#define NS_PER_S 1000000000
/* 7e9 s in nanoseconds leave room to add a clock that counts from 1970. */
#define SECONDS_MAX INT64_C(7000000000)

/* value / by rounded down, with the rest in 0 ... by-1. */
static int64_t floor_div(int64_t value, int64_t by, int64_t *out_rest)
{
    int64_t quotient = value / by;
    int64_t rest = value % by;
    if (rest < 0) {
        quotient--;
        rest += by;
    }
    *out_rest = rest;
    return quotient;
}

static int64_t clamped(int64_t seconds)
{
    if (seconds > SECONDS_MAX)
        return SECONDS_MAX;
    return seconds < -SECONDS_MAX ? -SECONDS_MAX : seconds;
}

int64_t passo_frames_to_ns(int64_t frames, uint32_t rate_hz)
{
    int64_t rest;
    int64_t seconds = clamped(floor_div(frames, rate_hz, &rest));
    return seconds * NS_PER_S + (rest * NS_PER_S + rate_hz - 1) / rate_hz;
}

int64_t passo_ns_to_frames(int64_t ns, uint32_t rate_hz)
{
    int64_t rest;
    int64_t seconds = clamped(floor_div(ns, NS_PER_S, &rest));
    return seconds * rate_hz + rest * rate_hz / NS_PER_S;
}
