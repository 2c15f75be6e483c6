/* Keeps a player driven, whatever the sound device does. Outputs take turns at the player: one is
 * always stopped before the next is started. */
#include "session/sounding.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include "output/samples.h"

/* Tries get rarer: each probe of the sound libraries costs time, and a little memory in some. */
enum { RETRY_FIRST_S = 3, RETRY_MOST_S = 30, RING_SLOTS = 1024 };
static const uint32_t silent_rate_hz = 48000;

static int64_t monotonic_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

static enum passo_error make_kit(const char *sounds, uint32_t rate_hz, struct passo_kit *out_kit,
                                 char *out_fault, size_t fault_bytes)
{
    passo_kit_init(out_kit, PASSO_TIMBRE_RIM, rate_hz);
    if (!sounds[0])
        return PASSO_OK;
    enum passo_error error = passo_samples_load(out_kit, sounds, out_fault, fault_bytes);
    if (error != PASSO_OK)
        passo_kit_deinit(out_kit);
    return error;
}

/* The silent clock, at the rate of the player that it is to drive. */
static struct passo_output *open_silent(uint32_t rate_hz)
{
    char fault[128];
    struct passo_output_ask ask = {.rate_hz = rate_hz};
    struct passo_output *silent = NULL;
    if (passo_output_silent.open(&ask, &silent, fault, sizeof fault) != PASSO_OK)
        return NULL;
    return silent;
}

static void say_why(struct passo_sounding *sounding, const char *why)
{
    snprintf(sounding->notice, sizeof sounding->notice, "No sound: %s. Silent till it is back.",
             why);
}

static void say_lost(struct passo_sounding *sounding, const char *why)
{
    say_why(sounding, why);
    sounding->lost = true;
    sounding->retry_s = RETRY_FIRST_S;
    sounding->retry_ns = monotonic_ns() + sounding->retry_s * INT64_C(1000000000);
}

/* The output that is wanted, or the silent clock and why in `out_why`. */
static enum passo_error open_output(struct passo_sounding *sounding, char *out_why,
                                    size_t why_bytes, char *out_fault, size_t fault_bytes)
{
    const struct passo_output_ops *wanted = sounding->wanted;
    if (wanted->advance) /* nothing stands in for it: its own words are the caller's */
        return wanted->open(&sounding->ask, &sounding->output, out_fault, fault_bytes);
    if (wanted->open(&sounding->ask, &sounding->output, out_why, why_bytes) == PASSO_OK)
        return PASSO_OK;
    sounding->output = open_silent(silent_rate_hz);
    if (sounding->output)
        return PASSO_OK;
    snprintf(out_fault, fault_bytes, "no clock could be started: %s", out_why);
    return PASSO_ERR_DEVICE;
}

enum passo_error passo_sounding_open(struct passo_sounding *sounding,
                                     const struct passo_output_ops *wanted,
                                     const struct passo_output_ask *ask, const char *sounds,
                                     char *out_fault, size_t fault_bytes)
{
    struct passo_kit kit;
    char why[192] = "";
    *sounding = (struct passo_sounding){.wanted = wanted, .sounds = sounds};
    if (ask)
        sounding->ask = *ask;
    enum passo_error error = open_output(sounding, why, sizeof why, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    error = make_kit(sounds, sounding->output->ops->rate_hz(sounding->output), &kit, out_fault,
                     fault_bytes);
    if (error != PASSO_OK) {
        passo_sounding_close(sounding);
        return error;
    }
    sounding->player = passo_player_create(&kit, RING_SLOTS);
    error = sounding->output->ops->start(sounding->output, sounding->player);
    if (error != PASSO_OK && !why[0]) {
        snprintf(why, sizeof why, "the device did not start");
        sounding->output->ops->close(sounding->output);
        sounding->output = open_silent(passo_sounding_rate_hz(sounding));
        error = sounding->output ? sounding->output->ops->start(sounding->output, sounding->player)
                                 : PASSO_ERR_DEVICE;
    }
    if (error != PASSO_OK) {
        snprintf(out_fault, fault_bytes, "no clock could be started: %s", why);
        passo_sounding_close(sounding);
        return PASSO_ERR_DEVICE;
    }
    if (why[0])
        say_lost(sounding, why);
    return PASSO_OK;
}

void passo_sounding_close(struct passo_sounding *sounding)
{
    if (sounding->output)
        sounding->output->ops->close(sounding->output);
    if (sounding->returned)
        sounding->returned->ops->close(sounding->returned);
    passo_player_destroy(sounding->player);
    *sounding = (struct passo_sounding){0};
}

uint32_t passo_sounding_rate_hz(const struct passo_sounding *sounding)
{
    return passo_player_rate_hz(sounding->player);
}

int64_t passo_sounding_frame_at(struct passo_sounding *sounding, int64_t at_ns)
{
    int64_t frame = passo_player_heard_frame(sounding->player, at_ns);
    int64_t rendered = passo_player_rendered(sounding->player);
    /* What is not rendered cannot be heard: a stalled device does not move the clock. */
    return frame < rendered ? frame : rendered;
}

int64_t passo_sounding_now(struct passo_sounding *sounding)
{
    int64_t now_ns = sounding->output->ops->now_ns(sounding->output);
    int64_t frame = passo_sounding_frame_at(sounding, now_ns);
    if (frame > sounding->last_frame)
        sounding->last_frame = frame;
    return sounding->last_frame;
}

static enum passo_sounding_change fall_silent(struct passo_sounding *sounding)
{
    sounding->output->ops->close(sounding->output);
    sounding->output = open_silent(passo_sounding_rate_hz(sounding));
    bool runs = sounding->output &&
                sounding->output->ops->start(sounding->output, sounding->player) == PASSO_OK;
    PASSO_BUG_ON(!runs);
    say_lost(sounding, "the device went away");
    return PASSO_SOUNDING_LOST;
}

enum passo_sounding_change passo_sounding_watch(struct passo_sounding *sounding, bool may_probe)
{
    char fault[192];
    passo_player_reclaim(sounding->player);
    if (!sounding->lost) {
        if (!sounding->output->ops->alive(sounding->output))
            return fall_silent(sounding);
        return PASSO_SOUNDING_SAME;
    }
    if (!may_probe || sounding->returned || monotonic_ns() < sounding->retry_ns)
        return PASSO_SOUNDING_SAME;
    sounding->retry_s = sounding->retry_s * 2 < RETRY_MOST_S ? sounding->retry_s * 2 : RETRY_MOST_S;
    sounding->retry_ns = monotonic_ns() + sounding->retry_s * INT64_C(1000000000);
    struct passo_output_ask ask = sounding->ask;
    ask.rate_hz = passo_sounding_rate_hz(sounding);
    if (sounding->wanted->open(&ask, &sounding->returned, fault, sizeof fault) != PASSO_OK) {
        say_why(sounding, fault);
        return PASSO_SOUNDING_SAME;
    }
    return PASSO_SOUNDING_RETURNS;
}

bool passo_sounding_return(struct passo_sounding *sounding, int64_t *out_from,
                           uint32_t *out_from_hz)
{
    struct passo_output *device = sounding->returned;
    bool new_rate = false;
    char fault[192];
    if (!device)
        return false;
    uint32_t rate_hz = device->ops->rate_hz(device);
    sounding->returned = NULL;
    sounding->output->ops->close(sounding->output);
    if (rate_hz != passo_sounding_rate_hz(sounding)) {
        struct passo_kit kit;
        *out_from = sounding->last_frame;
        *out_from_hz = passo_sounding_rate_hz(sounding);
        /* A set that has vanished meanwhile is no reason to stay silent. */
        if (make_kit(sounding->sounds, rate_hz, &kit, fault, sizeof fault) != PASSO_OK)
            passo_kit_init(&kit, PASSO_TIMBRE_RIM, rate_hz);
        passo_player_rekit(sounding->player, &kit);
        sounding->last_frame = 0;
        new_rate = true;
    }
    sounding->output = device;
    sounding->lost = false;
    sounding->notice[0] = '\0';
    if (device->ops->start(device, sounding->player) != PASSO_OK)
        fall_silent(sounding);
    return new_rate;
}

struct passo_instant passo_sounding_convert(struct passo_instant at, int64_t from, uint32_t from_hz,
                                            uint32_t to_hz)
{
    __extension__ typedef __int128 wide;
    const wide whole = (wide)1 << 32;
    wide parts = ((wide)(at.frame - from) * whole + at.fraction) * to_hz / from_hz;
    int64_t frame = (int64_t)(parts / whole) - (parts % whole < 0);
    return (struct passo_instant){frame, (uint32_t)(parts - (wide)frame * whole)};
}
