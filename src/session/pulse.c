/* A steady pulse: the passage's bars over and over, without count-in, landing or ladder. Some
 * bars are always handed over ahead; a new tempo comes with the first bar that is not. A drone goes
 * on over them: one of the same pitch that begins where it ends is the same tone. Runs on the main
 * thread. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "session/climb.h"
#include "session/signals.h"
#include "session/sounding.h"
#include "session/tuning.h"
#include "text/notation.h"

enum {
    LEAD_MS = 30,
    AHEAD_MS = 700, /* bars are handed over so early */
    BLOCK_MS = 250,
    BLOCKS = 4,
    SURE_MS = 100, /* what begins sooner may have begun */
    TEMPO_STEP_MBPM = 1000,
    LEVEL_STEP = 50,
    WAIT_MS = 10,
    FADE_MS = 5, /* of what sounds when a pulse is stopped */
    LATE_EVERY_MS = 10000
};

static const char going_words[] = "Up faster, Down slower, q leaves.";

struct pulse {
    const struct passo_climb_setup *setup;
    struct passo_sounding sounding;
    struct passo_snapshot snapshot;
    struct passo_instant next; /* where the next bars begin */
    struct passo_instant begin;
    struct passo_instant waiting[BLOCKS]; /* starts of the bars handed over and not begun */
    size_t waits;
    bool new_tempo; /* what waits has the old one */
    struct passo_notice notice;
    bool has_notice;
    uint64_t ids;
    int64_t late_told_ms; /* 0: never */
    char late_words[48];
    bool paused;
    bool ended;
};

static void set_level(struct pulse *pulse, int32_t level)
{
    pulse->snapshot.level_permille = level < 0 ? 0 : level > 1000 ? 1000 : level;
    float way = (float)pulse->snapshot.level_permille / 1000.0f;
    /* A full ring keeps the old level. */
    if (passo_player_level(pulse->sounding.player, way * way) != PASSO_OK)
        return;
}

static void set_tempo(struct pulse *pulse, int32_t mbpm)
{
    struct passo_snapshot *snapshot = &pulse->snapshot;
    char tempo[PASSO_NAME_MAX + 24];
    if (mbpm < PASSO_TEMPO_MIN_MBPM || mbpm > PASSO_TEMPO_MAX_MBPM)
        return;
    snapshot->mbpm = mbpm;
    pulse->new_tempo = true;
    pulse->setup->view->ops->say(pulse->setup->view, PASSO_SAY_PASS,
                                 passo_tempo_write(mbpm, snapshot->beat, tempo, sizeof tempo));
}

/* Whole bars enough for a quarter of a second: the player holds only a few waiting timelines. */
static struct passo_loop block(const struct pulse *pulse)
{
    const struct passo_passage *passage = &pulse->setup->setup->passage;
    struct passo_loop loop = passage->loop[0];
    struct passo_tempo tempo = {pulse->snapshot.mbpm, passage->beat};
    loop.from = (struct passo_place){passage->first_bar, {0, 1}};
    while (passo_tempo_ns(passo_passage_length(passage, loop.from, loop.to), tempo) <
           BLOCK_MS * INT64_C(1000000))
        loop.to.bar++;
    return loop;
}

/* A new tempo takes the bars back that are sure not to have begun yet. */
static void take_back(struct pulse *pulse)
{
    uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    int64_t rendered = passo_player_rendered(pulse->sounding.player);
    size_t begun = 0;
    while (begun < pulse->waits && pulse->waiting[begun].frame <= rendered)
        begun++;
    pulse->waits -= begun;
    memmove(pulse->waiting, pulse->waiting + begun, pulse->waits * sizeof pulse->waiting[0]);
    if (!pulse->new_tempo || pulse->waits == 0)
        return;
    if (pulse->waiting[0].frame - rendered < (int64_t)rate_hz * SURE_MS / 1000 ||
        passo_player_withdraw(pulse->sounding.player) != PASSO_OK)
        return;
    pulse->next = pulse->waiting[0];
    pulse->waits = 0;
    pulse->new_tempo = false;
}

static void hand_over(struct pulse *pulse, int64_t now)
{
    uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    struct passo_instant ahead = passo_instant_from_ms(AHEAD_MS, rate_hz);
    const struct passo_setup *setup = pulse->setup->setup;
    const struct passo_intonation tuned = tuning_moved(&setup->intonation, pulse->setup->shift);
    struct passo_pass_shape shape = {.passage = &setup->passage,
                                     .pulse = &setup->pulse,
                                     .no_count_in = true,
                                     .no_landing = true,
                                     .no_clicks = pulse->setup->no_clicks};
    passo_intonation_drone(&tuned, pulse->setup->drone_level, shape.drone);
    take_back(pulse);
    passo_player_reclaim(pulse->sounding.player);
    while (pulse->waits < BLOCKS &&
           (pulse->setup->track || pulse->next.frame < now + ahead.frame)) {
        struct passo_loop bars_ahead = block(pulse);
        shape.loop = &bars_ahead;
        shape.mbpm = pulse->snapshot.mbpm;
        struct passo_timeline *bars =
            passo_timeline_build(&shape, ++pulse->ids, pulse->next, rate_hz);
        struct passo_instant end = bars->end;
        if (passo_player_play(pulse->sounding.player, bars) != PASSO_OK) {
            free(bars);
            return;
        }
        pulse->waiting[pulse->waits++] = pulse->next;
        pulse->next = end;
    }
}

/* Told when it happens, but at most once in ten seconds. */
static void tell_late(struct pulse *pulse)
{
    if (pulse->late_told_ms && pulse->snapshot.elapsed_ms - pulse->late_told_ms < LATE_EVERY_MS)
        return;
    pulse->late_told_ms = pulse->snapshot.elapsed_ms;
    snprintf(pulse->late_words, sizeof pulse->late_words, "The sound was late at %lld s.",
             (long long)(pulse->snapshot.elapsed_ms / 1000));
    pulse->setup->view->ops->say(pulse->setup->view, PASSO_SAY_NOTICE, pulse->late_words);
}

static void take_notices(struct pulse *pulse, int64_t now)
{
    struct passo_snapshot *snapshot = &pulse->snapshot;
    for (;;) {
        if (!pulse->has_notice)
            pulse->has_notice = passo_player_notice(pulse->sounding.player, &pulse->notice);
        if (!pulse->has_notice || pulse->notice.frame > now)
            return;
        pulse->has_notice = false;
        if (pulse->notice.kind == PASSO_NOTICE_LATE)
            tell_late(pulse);
        if (pulse->notice.kind != PASSO_NOTICE_BEAT || pulse->notice.click == PASSO_CLICK_SUB)
            continue;
        if (pulse->paused)
            continue;
        snapshot->phase = PASSO_PHASE_PLAYING;
        snapshot->beat_serial++;
        snapshot->bar = pulse->notice.bar;
        snapshot->beat_of_bar = pulse->notice.silent ? 0 : pulse->notice.beat;
        snapshot->beats_of_bar = pulse->notice.of;
        snapshot->click = pulse->notice.click;
    }
}

/* The next bars begin a moment from now; those of a track on its first frame. */
static void begin_anew(struct pulse *pulse)
{
    uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    pulse->next = passo_instant_from_ms(pulse->setup->track ? 0 : LEAD_MS, rate_hz);
    pulse->next.frame += passo_player_rendered(pulse->sounding.player);
    pulse->waits = 0;
    pulse->new_tempo = false;
}

static void pause(struct pulse *pulse)
{
    struct passo_snapshot *snapshot = &pulse->snapshot;
    if (pulse->paused)
        begin_anew(pulse);
    else if (passo_player_stop(pulse->sounding.player, 0) != PASSO_OK)
        return;
    pulse->paused = !pulse->paused;
    snapshot->phase = pulse->paused ? PASSO_PHASE_PAUSED : PASSO_PHASE_PLAYING;
    snprintf(snapshot->next, sizeof snapshot->next, "%s",
             pulse->paused ? "Paused: p goes on, q leaves." : going_words);
    if (pulse->paused)
        pulse->setup->view->ops->say(pulse->setup->view, PASSO_SAY_PAUSE, snapshot->next);
}

static void take_presses(struct pulse *pulse)
{
    struct passo_view *view = pulse->setup->view;
    struct passo_output *output = pulse->sounding.output;
    struct passo_press press;
    while (view->ops->press(view, output->ops->now_ns(output), &press)) {
        if (press.command == PASSO_COMMAND_QUIT)
            pulse->ended = true;
        else if (press.command == PASSO_COMMAND_PAUSE)
            pause(pulse);
        else if (press.command == PASSO_COMMAND_HARDER)
            set_tempo(pulse, pulse->snapshot.mbpm + TEMPO_STEP_MBPM);
        else if (press.command == PASSO_COMMAND_EASIER)
            set_tempo(pulse, pulse->snapshot.mbpm - TEMPO_STEP_MBPM);
        else if (press.command == PASSO_COMMAND_LOUDER)
            set_level(pulse, pulse->snapshot.level_permille + LEVEL_STEP);
        else if (press.command == PASSO_COMMAND_SOFTER)
            set_level(pulse, pulse->snapshot.level_permille - LEVEL_STEP);
    }
    if (passo_signals_ending())
        pulse->ended = true;
}

/* A steady pulse has no rest to wait for: sound comes back at the next bar. */
static void look_after_sound(struct pulse *pulse)
{
    struct passo_view *view = pulse->setup->view;
    int64_t from;
    uint32_t from_hz;
    if (passo_sounding_watch(&pulse->sounding, true) == PASSO_SOUNDING_LOST)
        view->ops->say(view, PASSO_SAY_NOTICE, pulse->sounding.notice);
    if (pulse->sounding.returned) {
        if (passo_sounding_return(&pulse->sounding, &from, &from_hz)) {
            uint32_t to_hz = passo_sounding_rate_hz(&pulse->sounding);
            pulse->begin = passo_sounding_convert(pulse->begin, from, from_hz, to_hz);
            pulse->next = (struct passo_instant){0, 0};
            pulse->waits = 0;
            pulse->has_notice = false;
        }
        set_level(pulse, pulse->snapshot.level_permille);
        if (!pulse->sounding.lost)
            view->ops->say(view, PASSO_SAY_NOTICE, "Sound is back.");
    }
    const char *notice = pulse->sounding.notice[0] ? pulse->sounding.notice : pulse->late_words;
    snprintf(pulse->snapshot.notice, sizeof pulse->snapshot.notice, "%s", notice);
}

static void begin(struct pulse *pulse)
{
    const struct passo_setup *setup = pulse->setup->setup;
    struct passo_snapshot *snapshot = &pulse->snapshot;
    char meter[64];
    snapshot->steady = true;
    snapshot->beat = setup->passage.beat;
    snapshot->best_rung = -1;
    snapshot->note_now = -1;
    passo_note_value_write(snapshot->beat, snapshot->beat_name, sizeof snapshot->beat_name);
    passo_text_clean(setup->passage.title, snapshot->title, sizeof snapshot->title);
    passo_meter_write(&setup->passage.meter, meter, sizeof meter);
    snprintf(snapshot->what, sizeof snapshot->what, "A steady pulse in %s", meter);
    snprintf(snapshot->next, sizeof snapshot->next, "%s", going_words);
    set_level(pulse, setup->volume_permille);
    set_tempo(pulse, setup->rule.target_mbpm);
    begin_anew(pulse);
    pulse->begin = pulse->next;
}

/* One round of all that is to be done. */
static void step(struct pulse *pulse)
{
    int64_t now = passo_sounding_now(&pulse->sounding);
    uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    struct passo_instant played = passo_instant_sub((struct passo_instant){now, 0}, pulse->begin);
    pulse->snapshot.elapsed_ms = passo_instant_ns(played, rate_hz) / 1000000;
    pulse->snapshot.sounding =
        !pulse->sounding.lost && pulse->setup->output != &passo_output_silent;
    if (!pulse->paused)
        hand_over(pulse, now);
    take_notices(pulse, now);
    take_presses(pulse);
    look_after_sound(pulse);
    pulse->setup->view->ops->draw(pulse->setup->view, &pulse->snapshot);
}

static void run(struct pulse *pulse, int64_t limit_ms)
{
    struct passo_view *view = pulse->setup->view;
    while (!pulse->ended) {
        step(pulse);
        if (limit_ms > 0 && pulse->snapshot.elapsed_ms >= limit_ms)
            break;
        struct passo_output *output = pulse->sounding.output;
        if (output->ops->advance)
            output->ops->advance(output, output->ops->now_ns(output) + WAIT_MS * INT64_C(1000000));
        else
            view->ops->wait(view, WAIT_MS * INT64_C(1000000));
    }
}

/* Simulated time goes on so far that this frame is the last one that is rendered. */
static void advance_to(struct pulse *pulse, int64_t frame)
{
    __extension__ typedef __int128 wide;
    struct passo_output *output = pulse->sounding.output;
    const uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    output->ops->advance(output, (int64_t)(((wide)frame * 1000000000 + rate_hz - 1) / rate_hz));
}

/* The beginning of the last bars that were handed over, before `limit`; -1: all have begun, or none
 * lies before it. */
static int64_t stride(const struct pulse *pulse, int64_t limit)
{
    for (size_t i = pulse->waits; i-- > 0;) {
        if (pulse->waiting[i].frame < limit)
            return pulse->waiting[i].frame;
    }
    return -1;
}

/* Into a file: nobody waits, so time goes from bars to bars; it ends on its very frame, and what
 * sounds there has faded. */
static void run_track(struct pulse *pulse, int64_t limit_ms)
{
    const uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    const int64_t frames =
        limit_ms > 0 ? passo_instant_from_ms(limit_ms, rate_hz).frame : INT64_MAX;
    const int64_t fade_at = frames - passo_instant_from_ms(FADE_MS, rate_hz).frame;
    while (!pulse->ended) {
        step(pulse);
        const int64_t next = stride(pulse, fade_at);
        if (next >= 0 && next >= passo_player_rendered(pulse->sounding.player)) {
            advance_to(pulse, next);
            continue;
        }
        /* The bars in which it ends have begun; those behind them are dropped with this word. */
        if (passo_player_stop(pulse->sounding.player, fade_at) == PASSO_OK)
            advance_to(pulse, frames - 1);
        pulse->ended = true;
    }
}

enum passo_error passo_pulse_run(const struct passo_climb_setup *setup, int64_t limit_ms,
                                 char *out_fault, size_t fault_bytes)
{
    struct pulse pulse = {.setup = setup};
    enum passo_error error = passo_sounding_open(&pulse.sounding, setup->output, &setup->ask,
                                                 setup->setup->sounds, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    if (pulse.sounding.notice[0])
        setup->view->ops->say(setup->view, PASSO_SAY_NOTICE, pulse.sounding.notice);
    begin(&pulse);
    if (setup->track && pulse.sounding.output->ops->advance)
        run_track(&pulse, limit_ms);
    else
        run(&pulse, limit_ms);
    passo_sounding_close(&pulse.sounding);
    return PASSO_OK;
}
