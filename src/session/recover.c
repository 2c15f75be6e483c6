/* A device that goes away or comes back in mid-climb. The silent clock takes over at once and the
 * pass goes on; sound returns in a rest. Runs on the main thread. */
#include "climb_priv.h"

#include <string.h>

/* A device with another rate: everything held in frames is counted anew. */
static void convert_instants(struct climb *climb, int64_t from, uint32_t from_hz)
{
    struct passo_instant *held[] = {&climb->rest_from,  &climb->rest_until, &climb->rest_sooner,
                                    &climb->rest_ruled, &climb->epoch,      &climb->paused,
                                    &climb->clear};
    uint32_t to_hz = passo_sounding_rate_hz(climb->sounding);
    for (size_t i = 0; i < sizeof held / sizeof held[0]; i++) {
        bool length = held[i] == &climb->rest_ruled || held[i] == &climb->paused;
        *held[i] = passo_sounding_convert(*held[i], length ? 0 : from, from_hz, to_hz);
    }
    memset(climb->held, 0, sizeof climb->held);
    climb->rate_hz = to_hz;
    climb->now = 0;
    climb->from_frame = 0;
    climb->has_notice = false;
}

/* Brings a returned device into use in a rest; what was handed over is handed over again. */
static void return_to_sound(struct climb *climb)
{
    int64_t from = 0;
    uint32_t from_hz = 0;
    bool rest = climb->phase == PASSO_PHASE_REST || climb->phase == PASSO_PHASE_PAUSED;
    if (!rest || !climb->sounding->returned)
        return;
    if (passo_sounding_return(climb->sounding, &from, &from_hz)) {
        hand_forget(climb);
        convert_instants(climb, from, from_hz);
        if (climb->phase == PASSO_PHASE_PAUSED)
            climb->paused_at = 0;
        rest_hand_over_again(climb);
    }
    climb_set_level(climb);
    if (!climb->sounding->lost)
        climb_say(climb, PASSO_SAY_NOTICE, "Sound is back.");
}

void climb_look_after_sound(struct climb *climb)
{
    /* A device is looked for in rests only: nothing is held up while the player plays. */
    bool rest = climb->phase == PASSO_PHASE_REST || climb->phase == PASSO_PHASE_PAUSED;
    if (passo_sounding_watch(climb->sounding, rest) == PASSO_SOUNDING_LOST)
        climb_say(climb, PASSO_SAY_NOTICE, "%s", climb->sounding->notice);
    return_to_sound(climb);
}
