/* The player's audio side: reads commands at a block's start, then walks from one due frame to the
 * next, starts voices and tones there, mixes the stretch between, and tells what happened.
 * Everything is due on an absolute frame, so that a block's borders fall anywhere without a trace.
 *
 * Nothing here allocates, locks, waits or reads a clock; loops are bounded by the frames, by the
 * events of the timelines handed over and by the capacity of the command ring. */
#include "sound/player_priv.h"

#include "sound/frames.h"

#define NEVER INT64_MAX

void passo_walk_reset(struct passo_player *player)
{
    passo_voices_init(&player->voices, player->kit.rate_hz);
    passo_tones_init(&player->tones, &player->waves, player->kit.rate_hz);
    passo_clock_map_clear(&player->heard);
    atomic_store_explicit(&player->rendered, 0, memory_order_relaxed);
    atomic_store_explicit(&player->timelines.left, player->timelines.sent, memory_order_relaxed);
    atomic_store_explicit(&player->cues.left, player->cues.sent, memory_order_relaxed);
    player->now = 0;
    player->playing = NULL;
    player->stop_at = NEVER;
    player->waiting_count = 0;
    player->cue_count = 0;
    player->pending_first = 0;
    player->pending_count = 0;
    player->late = false;
}

static void tally_left(struct tally *tally, size_t count)
{
    size_t left = atomic_load_explicit(&tally->left, memory_order_relaxed);
    atomic_store_explicit(&tally->left, left + count, memory_order_relaxed);
}

/* --- notices --- */

static void hand_back(struct passo_player *player, struct passo_timeline *timeline)
{
    if (timeline)
        (void)passo_ring_put(&player->returns, &timeline); /* has room for all outstanding */
}

static void flush_pending(struct passo_player *player)
{
    while (player->pending_count) {
        const struct pending *oldest = &player->pending[player->pending_first];
        if (!passo_ring_put(&player->notices, &oldest->notice))
            return;
        hand_back(player, oldest->timeline);
        player->pending_first = (player->pending_first + 1) % PENDING_MAX;
        player->pending_count--;
    }
}

/* Tells a notice; one that finds the ring full waits in order behind those that wait already. The
 * timeline (NULL: none) goes back once its last notice is through. */
static void tell(struct passo_player *player, const struct passo_notice *notice,
                 struct passo_timeline *ended)
{
    if (!player->pending_count && passo_ring_put(&player->notices, notice)) {
        hand_back(player, ended);
        return;
    }
    size_t last = (player->pending_first + player->pending_count) % PENDING_MAX;
    player->pending[last] = (struct pending){*notice, ended};
    player->pending_count++;
}

static struct passo_notice notice_at(const struct passo_player *player, int64_t frame,
                                     enum passo_notice_kind kind)
{
    int64_t since = frame - player->block.frame;
    return (struct passo_notice){
        .id = player->playing ? player->playing->id : 0,
        .frame = frame,
        .heard_ns = player->block.heard_ns + passo_frames_to_ns(since, player->kit.rate_hz),
        .kind = (uint8_t)kind,
    };
}

static bool crowded(struct passo_player *player)
{
    return player->pending_count ||
           passo_ring_used(&player->notices) > player->notices.capacity / 2;
}

/* A beat is dropped when its reader is far behind; the pass's own milestones are not. */
static void tell_event(struct passo_player *player, const struct passo_event *event,
                       enum passo_notice_kind kind)
{
    bool dropped =
        kind == PASSO_NOTICE_BEAT ? crowded(player) : player->pending_count >= PENDING_OPTIONAL;
    if (dropped)
        return;
    struct passo_notice notice = notice_at(player, player->now, kind);
    notice.bar = event->bar;
    notice.click = event->click;
    notice.beat = event->beat;
    notice.of = event->of;
    notice.silent = event->kind == PASSO_EVENT_SILENT_CLICK;
    tell(player, &notice, NULL);
}

/* One notice for all that was late since the last one that got through. */
static void tell_late(struct passo_player *player)
{
    if (!player->late || crowded(player))
        return;
    struct passo_notice notice = notice_at(player, player->now, PASSO_NOTICE_LATE);
    tell(player, &notice, NULL);
    player->late = false;
}

/* --- timelines --- */

/* Ends the playing timeline with its last notice. Its tone, if it is still on, ends with it. */
static void finish(struct passo_player *player, enum passo_notice_kind kind)
{
    passo_tones_release(&player->tones);
    struct passo_notice notice = notice_at(player, player->now, kind);
    struct passo_timeline *ended = player->playing;
    player->playing = NULL;
    player->stop_at = NEVER;
    tell(player, &notice, ended);
}

static void stop(struct passo_player *player)
{
    passo_voices_fade(&player->voices);
    passo_tones_fade(&player->tones);
    finish(player, PASSO_NOTICE_STOPPED);
}

/* Begins the first waiting timeline if it is due. One whose start was rounded up to the next frame
 * (a fraction of a half or more: its first click too) is not late on that frame. */
static bool begin(struct passo_player *player)
{
    if (!player->waiting_count || player->waiting[0]->start.frame > player->now)
        return false;
    player->playing = player->waiting[0];
    player->waiting_count--;
    for (size_t i = 0; i < player->waiting_count; i++)
        player->waiting[i] = player->waiting[i + 1];
    tally_left(&player->timelines, 1);
    struct passo_instant start = player->playing->start;
    int64_t rounded = start.frame + (start.fraction >> 31);
    player->base = player->now > rounded ? player->now : start.frame;
    player->next = 0;
    struct passo_notice notice = notice_at(player, player->base, PASSO_NOTICE_BEGAN);
    tell(player, &notice, NULL);
    return true;
}

static void click(struct passo_player *player, const struct passo_event *event)
{
    if (event->click < PASSO_CLICK_COUNT_OF)
        passo_voices_start(&player->voices, &player->kit.click[event->click]);
}

/* Carries out one event; false when it ended the timeline. */
static bool carry_out(struct passo_player *player, const struct passo_event *event)
{
    switch ((enum passo_event_kind)event->kind) {
    case PASSO_EVENT_CLICK:
        click(player, event);
        tell_event(player, event, PASSO_NOTICE_BEAT);
        return true;
    case PASSO_EVENT_SILENT_CLICK:
        tell_event(player, event, PASSO_NOTICE_BEAT);
        return true;
    case PASSO_EVENT_BODY:
        tell_event(player, event, PASSO_NOTICE_BODY);
        return true;
    case PASSO_EVENT_LAND:
        tell_event(player, event, PASSO_NOTICE_LAND);
        return true;
    case PASSO_EVENT_TONE_ON:
        passo_tones_start(&player->tones, player->playing->tone[event->bar]);
        return true;
    case PASSO_EVENT_TONE_OFF:
        passo_tones_end(&player->tones, (enum passo_layer)player->playing->tone[event->bar].layer);
        return true;
    case PASSO_EVENT_END:
    case PASSO_EVENT_KIND_COUNT:
        break;
    }
    finish(player, PASSO_NOTICE_ENDED);
    return false;
}

/* The playing timeline's next frame; a timeline without a last event is over. */
static int64_t next_event(const struct passo_player *player)
{
    const struct passo_timeline *timeline = player->playing;
    if (player->next == timeline->events)
        return player->now;
    return player->base + timeline->event[player->next].frame;
}

/* All events that are due; false when the timeline ended. */
static bool walk(struct passo_player *player)
{
    static const struct passo_event end = {.kind = PASSO_EVENT_END};
    while (next_event(player) <= player->now) {
        const struct passo_timeline *timeline = player->playing;
        const struct passo_event *event =
            player->next < timeline->events ? &timeline->event[player->next] : &end;
        player->next++;
        if (!carry_out(player, event))
            return false;
    }
    return true;
}

static void sound_cues(struct passo_player *player)
{
    size_t kept = 0;
    for (size_t i = 0; i < player->cue_count; i++) {
        if (player->cue[i].at > player->now)
            player->cue[kept++] = player->cue[i];
        else
            passo_voices_start(&player->voices, &player->kit.cue[player->cue[i].cue]);
    }
    tally_left(&player->cues, player->cue_count - kept);
    player->cue_count = kept;
}

/* Everything that is due on the frame `now`: the stop first, so that no click of its frame sounds;
 * a timeline that ends makes room for the next on the same frame. */
static void meet(struct passo_player *player)
{
    if (player->playing && player->stop_at <= player->now)
        stop(player);
    while (player->playing || begin(player)) {
        if (walk(player))
            break;
    }
    sound_cues(player);
}

static int64_t earlier(int64_t a, int64_t b)
{
    return a < b ? a : b;
}

/* The next frame on which something is due, not before `now`. */
static int64_t due(const struct passo_player *player)
{
    int64_t at = NEVER;
    if (player->playing)
        at = earlier(next_event(player), player->stop_at);
    else if (player->waiting_count)
        at = player->waiting[0]->start.frame;
    for (size_t i = 0; i < player->cue_count; i++)
        at = earlier(at, player->cue[i].at);
    return at > player->now ? at : player->now;
}

static bool sounds(const struct passo_player *player)
{
    return passo_voices_sound(&player->voices) || passo_tones_sound(&player->tones);
}

/* --- commands --- */

static void drop_waiting(struct passo_player *player)
{
    for (size_t i = 0; i < player->waiting_count; i++)
        hand_back(player, player->waiting[i]);
    tally_left(&player->timelines, player->waiting_count);
    player->waiting_count = 0;
}

static void obey(struct passo_player *player, const struct command *command)
{
    switch (command->kind) {
    case COMMAND_PLAY:
        player->waiting[player->waiting_count++] = command->timeline;
        break;
    case COMMAND_WITHDRAW:
        drop_waiting(player);
        break;
    case COMMAND_STOP:
        drop_waiting(player);
        if (player->playing)
            player->stop_at = earlier(player->stop_at, command->at);
        break;
    case COMMAND_CUE:
        player->cue[player->cue_count++] = (struct waiting_cue){command->at, command->cue};
        break;
    case COMMAND_HUSH:
        tally_left(&player->cues, player->cue_count);
        player->cue_count = 0;
        break;
    case COMMAND_LEVEL:
        passo_level_set(&player->level, command->gain, sounds(player));
        break;
    }
}

/* As many commands as were there when it began to read: a writer cannot keep it busy. */
static void read_commands(struct passo_player *player)
{
    struct command command;
    for (size_t left = passo_ring_used(&player->commands); left; left--) {
        if (passo_ring_get(&player->commands, &command))
            obey(player, &command);
    }
}

/* --- the block --- */

/* Where the sound goes: clicks and cues, and tones; both in one place where `tones` is NULL. */
struct mix {
    float *clicks; /* NULL: nowhere, only walk */
    float *tones;
};

static void clear(float *out, size_t frames)
{
    for (size_t i = 0; out && i < frames; i++)
        out[i] = 0.0F;
}

static void mix(struct passo_player *player, struct mix to, size_t frames)
{
    clear(to.clicks, frames);
    clear(to.tones, frames);
    passo_voices_mix(&player->voices, to.clicks, frames);
    passo_tones_mix(&player->tones, to.tones ? to.tones : to.clicks, frames);
    if (to.tones) {
        struct passo_level same = player->level;
        passo_level_apply(&same, to.tones, frames);
    }
    passo_level_apply(&player->level, to.clicks, frames);
}

static void render(struct passo_player *player, struct mix to, size_t frames, int64_t heard_ns)
{
    player->block = (struct passo_stamp){player->now, heard_ns};
    passo_clock_map_write(&player->heard, player->block);
    flush_pending(player);
    tell_late(player);
    read_commands(player);
    int64_t end = player->now + (int64_t)frames;
    while (player->now < end) {
        meet(player);
        size_t stretch = (size_t)(earlier(due(player), end) - player->now);
        mix(player, to, stretch);
        to.clicks = to.clicks ? to.clicks + stretch : NULL;
        to.tones = to.tones ? to.tones + stretch : NULL;
        player->now += (int64_t)stretch;
    }
    /* release: who sees the count (acquire) also finds the notices of these frames. */
    atomic_store_explicit(&player->rendered, player->now, memory_order_release);
}

void passo_player_render(struct passo_player *player, float *out, size_t frames, int64_t heard_ns)
{
    render(player, (struct mix){out, NULL}, frames, heard_ns);
}

void passo_player_render_apart(struct passo_player *player, float *clicks, float *tones,
                               size_t frames, int64_t heard_ns)
{
    render(player, (struct mix){clicks, tones}, frames, heard_ns);
}

void passo_player_late(struct passo_player *player)
{
    player->late = true;
}

int64_t passo_player_next_due(struct passo_player *player)
{
    return passo_ring_used(&player->commands) ? player->now : due(player);
}

bool passo_player_sounds(const struct passo_player *player)
{
    return sounds(player);
}
