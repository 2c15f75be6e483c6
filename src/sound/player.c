/* The player's control side: it puts commands into the ring, counts what waits so that a full queue
 * is told to the caller, reads notices and frees what comes back. The audio side is walk.c.
 *
 * Ownership of a timeline: caller -> command ring -> waiting -> playing -> return ring -> freed by
 * passo_player_reclaim(). At most OUTSTANDING_MAX are under way, so the return ring never fills. */
#include "sound/player_priv.h"

#include "sound/frames.h"

#include <stdlib.h>
#include <string.h>

/* A frame's time is rounded up to a nanosecond in the stamp and once more in a notice: so much is
 * forgiven, that a notice's heard_ns leads back to its own frame. */
#define ROUNDING_NS 2

struct passo_player *passo_player_create(struct passo_kit *kit, size_t ring_slots)
{
    PASSO_BUG_ON(kit->rate_hz == 0);
    /* The rings keep their counters on cache lines of their own: more than malloc aligns to. */
    struct passo_player *player = aligned_alloc(_Alignof(struct passo_player), sizeof *player);
    PASSO_BUG_ON(!player && "memory is out");
    memset(player, 0, sizeof *player);
    passo_ring_init(&player->commands, ring_slots, sizeof(struct command));
    passo_ring_init(&player->notices, ring_slots, sizeof(struct passo_notice));
    passo_ring_init(&player->returns, OUTSTANDING_MAX, sizeof(struct passo_timeline *));
    player->kit = *kit;
    memset(kit, 0, sizeof *kit);
    passo_waves_init(&player->waves);
    player->wished_gain = 1.0F;
    passo_level_init(&player->level, player->kit.rate_hz);
    passo_walk_reset(player);
    return player;
}

static void forget(struct passo_player *player, struct passo_timeline *timeline)
{
    if (!timeline)
        return;
    free(timeline);
    player->outstanding--;
}

/* Frees every timeline that the audio side has, or that is on the way to it. */
static void drop_all(struct passo_player *player)
{
    struct command command;
    while (passo_ring_get(&player->commands, &command)) {
        if (command.kind == COMMAND_PLAY)
            forget(player, command.timeline);
    }
    forget(player, player->playing);
    for (size_t i = 0; i < player->waiting_count; i++)
        forget(player, player->waiting[i]);
    for (size_t i = 0; i < player->pending_count; i++)
        forget(player, player->pending[(player->pending_first + i) % PENDING_MAX].timeline);
    passo_player_reclaim(player);
    PASSO_BUG_ON(player->outstanding != 0);
}

void passo_player_destroy(struct passo_player *player)
{
    if (!player)
        return;
    drop_all(player);
    passo_ring_deinit(&player->commands);
    passo_ring_deinit(&player->notices);
    passo_ring_deinit(&player->returns);
    passo_kit_deinit(&player->kit);
    free(player);
}

uint32_t passo_player_rate_hz(const struct passo_player *player)
{
    return player->kit.rate_hz;
}

void passo_player_rekit(struct passo_player *player, struct passo_kit *kit)
{
    PASSO_BUG_ON(kit->rate_hz == 0);
    drop_all(player);
    struct passo_notice stale;
    while (passo_ring_get(&player->notices, &stale))
        continue;
    passo_kit_deinit(&player->kit);
    player->kit = *kit;
    memset(kit, 0, sizeof *kit);
    passo_level_init(&player->level, player->kit.rate_hz);
    passo_level_set(&player->level, player->wished_gain, false);
    passo_walk_reset(player);
}

/* --- commands --- */

static size_t tally_waiting(struct tally *tally)
{
    size_t left = atomic_load_explicit(&tally->left, memory_order_relaxed);
    size_t gone = left > tally->settled ? left : tally->settled;
    return tally->sent - gone;
}

static enum passo_error send(struct passo_player *player, struct command command)
{
    return passo_ring_put(&player->commands, &command) ? PASSO_OK : PASSO_ERR_FULL;
}

enum passo_error passo_player_play(struct passo_player *player, struct passo_timeline *timeline)
{
    PASSO_BUG_ON(!timeline || timeline->rate_hz != player->kit.rate_hz);
    if (player->outstanding == OUTSTANDING_MAX)
        passo_player_reclaim(player);
    if (player->outstanding == OUTSTANDING_MAX || tally_waiting(&player->timelines) == WAITING_MAX)
        return PASSO_ERR_FULL;
    struct command command = {.kind = COMMAND_PLAY, .timeline = timeline};
    if (send(player, command) != PASSO_OK)
        return PASSO_ERR_FULL;
    player->outstanding++;
    player->timelines.sent++;
    return PASSO_OK;
}

enum passo_error passo_player_withdraw(struct passo_player *player)
{
    enum passo_error error = send(player, (struct command){.kind = COMMAND_WITHDRAW});
    if (error == PASSO_OK)
        player->timelines.settled = player->timelines.sent;
    return error;
}

enum passo_error passo_player_stop(struct passo_player *player, int64_t at)
{
    enum passo_error error = send(player, (struct command){.kind = COMMAND_STOP, .at = at});
    if (error == PASSO_OK)
        player->timelines.settled = player->timelines.sent;
    return error;
}

enum passo_error passo_player_cue(struct passo_player *player, enum passo_cue cue, int64_t at)
{
    PASSO_BUG_ON((unsigned)cue >= PASSO_CUE_COUNT);
    if (tally_waiting(&player->cues) == CUES_MAX)
        return PASSO_ERR_FULL;
    struct command command = {.kind = COMMAND_CUE, .cue = cue, .at = at};
    if (send(player, command) != PASSO_OK)
        return PASSO_ERR_FULL;
    player->cues.sent++;
    return PASSO_OK;
}

enum passo_error passo_player_hush(struct passo_player *player)
{
    enum passo_error error = send(player, (struct command){.kind = COMMAND_HUSH});
    if (error == PASSO_OK)
        player->cues.settled = player->cues.sent;
    return error;
}

enum passo_error passo_player_level(struct passo_player *player, float gain)
{
    /* Written so that a gain that is no number comes out as 0. */
    float within = gain > 0.0F ? gain : 0.0F;
    if (within > 1.0F)
        within = 1.0F;
    enum passo_error error = send(player, (struct command){.kind = COMMAND_LEVEL, .gain = within});
    if (error == PASSO_OK)
        player->wished_gain = within;
    return error;
}

/* --- what comes back --- */

bool passo_player_notice(struct passo_player *player, struct passo_notice *out_notice)
{
    return passo_ring_get(&player->notices, out_notice);
}

void passo_player_reclaim(struct passo_player *player)
{
    struct passo_timeline *timeline;
    while (passo_ring_get(&player->returns, &timeline))
        forget(player, timeline);
}

int64_t passo_player_rendered(const struct passo_player *player)
{
    return atomic_load_explicit(&player->rendered, memory_order_acquire);
}

int64_t passo_player_heard_frame(const struct passo_player *player, int64_t now_ns)
{
    struct passo_stamp stamp;
    if (!passo_clock_map_read(&player->heard, &stamp))
        return -1;
    int64_t since_ns = now_ns - stamp.heard_ns + ROUNDING_NS;
    return stamp.frame + passo_ns_to_frames(since_ns, player->kit.rate_hz);
}

int64_t passo_player_heard_ns(const struct passo_player *player, int64_t frame)
{
    struct passo_stamp stamp = {0, 0};
    (void)passo_clock_map_read(&player->heard, &stamp);
    return stamp.heard_ns + passo_frames_to_ns(frame - stamp.frame, player->kit.rate_hz);
}
