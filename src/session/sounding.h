/* The sounding side of a session: one player, and the output that drives it just now. It falls to
 * the silent clock when there is no device or the device goes away, tries again every few seconds,
 * and brings sound back when the conductor says that a pass boundary is there. Time is counted in
 * frames as heard. Thread: the main thread. */
#ifndef PASSO_SESSION_SOUNDING_H
#define PASSO_SESSION_SOUNDING_H

#include <passo/tempo.h>
#include "output/output.h"

struct passo_sounding {
    struct passo_player *player;
    struct passo_output *output;   /* drives the player now */
    struct passo_output *returned; /* a device that came back and waits for a pass boundary */
    const struct passo_output_ops *wanted;
    struct passo_output_ask ask; /* what it points to is borrowed */
    const char *sounds;          /* borrowed: folder of a click set, "" built in */
    bool lost;                   /* silent for want of a device */
    int64_t retry_ns;            /* monotonic time of the next try */
    int64_t retry_s;             /* the try after it comes so much later, or twice as much */
    int64_t last_frame;          /* the clock never goes back */
    uint64_t ids;                /* of the timelines handed over so far: no two climbs share one */
    char minded[PASSO_NAME_MAX]; /* the instrument that was last said not to be known */
    char notice[256];            /* why there is no sound; "" if there is or none was wanted */
};

/* What passo_sounding_watch() saw. */
enum passo_sounding_change {
    PASSO_SOUNDING_SAME,
    PASSO_SOUNDING_LOST,   /* the device went away; the silent clock goes on from here */
    PASSO_SOUNDING_RETURNS /* a device is there again: call passo_sounding_return() in a rest */
};

/* Opens `wanted` (ask: NULL its defaults), or the silent clock with a notice if that fails, and
 * starts to drive a new player. out_fault: one sentence when the click set cannot be loaded
 * (PASSO_ERR_FILE, _SYNTAX, _RANGE) or not even the silent clock starts (PASSO_ERR_DEVICE). An
 * output of simulated time has no stand-in: its own error and sentence. */
PASSO_MUST_CHECK enum passo_error passo_sounding_open(struct passo_sounding *sounding,
                                                      const struct passo_output_ops *wanted,
                                                      const struct passo_output_ask *ask,
                                                      const char *sounds, char *out_fault,
                                                      size_t fault_bytes);
/* Stops and frees all; a zeroed struct is fine. */
void passo_sounding_close(struct passo_sounding *sounding);
uint32_t passo_sounding_rate_hz(const struct passo_sounding *sounding);
/* The frame that is heard now, never less than told before. */
int64_t passo_sounding_now(struct passo_sounding *sounding);
/* The frame that was or will be heard at a press's time; not under `since`. */
int64_t passo_sounding_frame_at(struct passo_sounding *sounding, int64_t at_ns);
/* Looks after the device; call several times a second. may_probe: a lost device may be looked for
 * now, which can hold the caller up (a tenth of a second; up to four if a sound server hangs). */
enum passo_sounding_change passo_sounding_watch(struct passo_sounding *sounding, bool may_probe);
/* Takes the returned device into use. Frame counts go on if its rate is the same (returns false);
 * else they start again at 0 with the new rate, and the caller converts what it holds with
 * passo_sounding_convert() (returns true; *out_from is the old frame that is 0 now, *out_from_hz
 * the old rate). */
bool passo_sounding_return(struct passo_sounding *sounding, int64_t *out_from,
                           uint32_t *out_from_hz);
/* An instant of the old count in the new one. */
struct passo_instant passo_sounding_convert(struct passo_instant at, int64_t from, uint32_t from_hz,
                                            uint32_t to_hz);

#endif
