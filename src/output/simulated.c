/* The simulated output: a clock that stands still until it is told to move. It has no thread; the
 * player is rendered, without synthesis, by whoever calls advance(), so scripts and tests run a
 * whole evening in a moment and always the same way.
 *
 * Frame f is heard at the time of f frames exactly (rounded up to a nanosecond); advance(t) renders
 * every frame heard at or before t. So after an advance to the time of a due frame, that frame's
 * notices are there. A stretch without events costs one step of the player's walk. */
#include "output/output.h"

#include "sound/frames.h"

#include <stdlib.h>

#define DEFAULT_RATE_HZ 48000

struct simulated {
    struct passo_output output;
    struct passo_player *player; /* NULL: stopped */
    uint32_t rate_hz;
    int64_t now_ns;
    int64_t rendered; /* frames since time 0, also those that passed while stopped */
};

static enum passo_error simulated_open(const struct passo_output_ask *ask,
                                       struct passo_output **out_output, char *out_fault,
                                       size_t fault_bytes)
{
    if (fault_bytes)
        out_fault[0] = '\0';
    struct simulated *simulated = passo_xcalloc(1, sizeof *simulated);
    simulated->output.ops = &passo_output_simulated;
    simulated->rate_hz = ask->rate_hz ? ask->rate_hz : DEFAULT_RATE_HZ;
    *out_output = &simulated->output;
    return PASSO_OK;
}

/* The frames before now have passed unheard; the player's next frame is heard from now on. */
static enum passo_error simulated_start(struct passo_output *output, struct passo_player *player)
{
    struct simulated *simulated = (struct simulated *)output;
    PASSO_BUG_ON(simulated->player || passo_player_rate_hz(player) != simulated->rate_hz);
    simulated->player = player;
    if (simulated->now_ns > 0)
        simulated->rendered = passo_ns_to_frames(simulated->now_ns, simulated->rate_hz) + 1;
    return PASSO_OK;
}

static void simulated_stop(struct passo_output *output)
{
    ((struct simulated *)output)->player = NULL;
}

static void simulated_close(struct passo_output *output)
{
    free(output);
}

static uint32_t simulated_rate_hz(const struct passo_output *output)
{
    return ((const struct simulated *)output)->rate_hz;
}

static int64_t simulated_now_ns(const struct passo_output *output)
{
    return ((const struct simulated *)output)->now_ns;
}

static bool simulated_alive(struct passo_output *output)
{
    (void)output;
    return true;
}

static void simulated_advance(struct passo_output *output, int64_t until_ns)
{
    struct simulated *simulated = (struct simulated *)output;
    if (until_ns < simulated->now_ns)
        return;
    simulated->now_ns = until_ns;
    int64_t end = passo_ns_to_frames(until_ns, simulated->rate_hz) + 1;
    if (!simulated->player || end <= simulated->rendered)
        return;
    int64_t heard_ns = passo_frames_to_ns(simulated->rendered, simulated->rate_hz);
    passo_player_render(simulated->player, NULL, (size_t)(end - simulated->rendered), heard_ns);
    simulated->rendered = end;
}

const struct passo_output_ops passo_output_simulated = {
    .name = "simulated",
    .open = simulated_open,
    .start = simulated_start,
    .stop = simulated_stop,
    .close = simulated_close,
    .rate_hz = simulated_rate_hz,
    .now_ns = simulated_now_ns,
    .alive = simulated_alive,
    .advance = simulated_advance,
};
