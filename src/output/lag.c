/* See lag.h. Runs on the callback's thread: no call leaves this file. */
#include "output/lag.h"

#define WINDOW_S 1.0
#define SLIP_S   0.004 /* under the least shift of a beat that an ear notices (6 ms) */
#define WAKING   3     /* windows */

static void begin_window(struct lag *lag, double now_s, double lag_s)
{
    lag->window_end_s = now_s + WINDOW_S;
    lag->least_s = lag_s;
}

bool passo_lag_slipped(struct lag *lag, double now_s, unsigned long frames, uint32_t rate_hz)
{
    double lag_s = now_s - (double)lag->frames / rate_hz;
    if (lag->frames == 0)
        begin_window(lag, now_s, lag_s);
    lag->frames += (int64_t)frames;
    if (lag_s < lag->least_s)
        lag->least_s = lag_s;
    if (now_s < lag->window_end_s)
        return false;
    bool slipped = lag->windows >= WAKING && lag->least_s - lag->before_s > SLIP_S;
    lag->before_s = lag->least_s;
    lag->windows++;
    begin_window(lag, now_s, lag_s);
    return slipped;
}
