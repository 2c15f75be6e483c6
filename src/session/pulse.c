/* A steady pulse: the passage's bars over and over, without count-in, landing or ladder. Some
 * bars are always handed over ahead; a new tempo comes with the first bar that is not. Runs on the
 * main thread. */
#include <stdio.h>
#include <stdlib.h>
#include "session/climb.h"
#include "session/signals.h"
#include "session/sounding.h"
#include "text/notation.h"

enum {
    LEAD_MS = 30,
    AHEAD_MS = 700,
    BLOCK_MS = 250,
    TEMPO_STEP_MBPM = 1000,
    LEVEL_STEP = 50,
    WAIT_MS = 10
};

struct pulse {
    const struct passo_climb_setup *setup;
    struct passo_sounding sounding;
    struct passo_snapshot snapshot;
    struct passo_instant next; /* where the next bars begin */
    struct passo_instant begin;
    struct passo_notice notice;
    bool has_notice;
    uint64_t ids;
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

static void hand_over(struct pulse *pulse, int64_t now)
{
    uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    struct passo_instant ahead = passo_instant_from_ms(AHEAD_MS, rate_hz);
    const struct passo_setup *setup = pulse->setup->setup;
    struct passo_pass_shape shape = {.passage = &setup->passage,
                                     .pulse = &setup->pulse,
                                     .no_count_in = true,
                                     .no_landing = true};
    while (pulse->next.frame < now + ahead.frame) {
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
        pulse->next = end;
    }
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
        if (pulse->notice.kind != PASSO_NOTICE_BEAT || pulse->notice.click == PASSO_CLICK_SUB)
            continue;
        snapshot->phase = PASSO_PHASE_PLAYING;
        snapshot->beat_serial++;
        snapshot->bar = pulse->notice.bar;
        snapshot->beat_of_bar = pulse->notice.beat;
        snapshot->beats_of_bar = pulse->notice.of;
        snapshot->click = pulse->notice.click;
    }
}

static void take_presses(struct pulse *pulse)
{
    struct passo_view *view = pulse->setup->view;
    struct passo_output *output = pulse->sounding.output;
    struct passo_press press;
    while (view->ops->press(view, output->ops->now_ns(output), &press)) {
        if (press.command == PASSO_COMMAND_QUIT)
            pulse->ended = true;
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
    if (passo_sounding_watch(&pulse->sounding) == PASSO_SOUNDING_LOST)
        view->ops->say(view, PASSO_SAY_NOTICE, pulse->sounding.notice);
    if (pulse->sounding.returned) {
        if (passo_sounding_return(&pulse->sounding, &from, &from_hz)) {
            uint32_t to_hz = passo_sounding_rate_hz(&pulse->sounding);
            pulse->begin = passo_sounding_convert(pulse->begin, from, from_hz, to_hz);
            pulse->next = (struct passo_instant){0, 0};
            pulse->has_notice = false;
        }
        set_level(pulse, pulse->snapshot.level_permille);
        if (!pulse->sounding.lost)
            view->ops->say(view, PASSO_SAY_NOTICE, "Sound is back.");
    }
    snprintf(pulse->snapshot.notice, sizeof pulse->snapshot.notice, "%s", pulse->sounding.notice);
}

static void begin(struct pulse *pulse)
{
    const struct passo_setup *setup = pulse->setup->setup;
    struct passo_snapshot *snapshot = &pulse->snapshot;
    uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
    char meter[64];
    snapshot->steady = true;
    snapshot->beat = setup->passage.beat;
    snapshot->best_rung = -1;
    passo_note_value_write(snapshot->beat, snapshot->beat_name, sizeof snapshot->beat_name);
    passo_text_clean(setup->passage.title, snapshot->title, sizeof snapshot->title);
    passo_meter_write(&setup->passage.meter, meter, sizeof meter);
    snprintf(snapshot->what, sizeof snapshot->what, "A steady pulse in %s", meter);
    snprintf(snapshot->next, sizeof snapshot->next, "Up faster, Down slower, q leaves.");
    set_level(pulse, setup->volume_permille);
    set_tempo(pulse, setup->rule.target_mbpm);
    pulse->next = passo_instant_from_ms(LEAD_MS, rate_hz);
    pulse->next.frame += passo_player_rendered(pulse->sounding.player);
    pulse->begin = pulse->next;
}

static void run(struct pulse *pulse, int64_t limit_ms)
{
    struct passo_view *view = pulse->setup->view;
    while (!pulse->ended) {
        int64_t now = passo_sounding_now(&pulse->sounding);
        uint32_t rate_hz = passo_sounding_rate_hz(&pulse->sounding);
        struct passo_instant played =
            passo_instant_sub((struct passo_instant){now, 0}, pulse->begin);
        pulse->snapshot.elapsed_ms = passo_instant_ns(played, rate_hz) / 1000000;
        pulse->snapshot.sounding =
            !pulse->sounding.lost && pulse->setup->output != &passo_output_silent;
        hand_over(pulse, now);
        take_notices(pulse, now);
        take_presses(pulse);
        look_after_sound(pulse);
        view->ops->draw(view, &pulse->snapshot);
        if (limit_ms > 0 && pulse->snapshot.elapsed_ms >= limit_ms)
            break;
        struct passo_output *output = pulse->sounding.output;
        if (output->ops->advance)
            output->ops->advance(output, output->ops->now_ns(output) + WAIT_MS * INT64_C(1000000));
        else
            view->ops->wait(view, WAIT_MS * INT64_C(1000000));
    }
}

enum passo_error passo_pulse_run(const struct passo_climb_setup *setup, int64_t limit_ms,
                                 char *out_fault, size_t fault_bytes)
{
    struct pulse pulse = {.setup = setup};
    enum passo_error error = passo_sounding_open(&pulse.sounding, setup->output, setup->device,
                                                 setup->setup->sounds, out_fault, fault_bytes);
    if (error != PASSO_OK)
        return error;
    if (pulse.sounding.notice[0])
        setup->view->ops->say(setup->view, PASSO_SAY_NOTICE, pulse.sounding.notice);
    begin(&pulse);
    run(&pulse, limit_ms);
    passo_sounding_close(&pulse.sounding);
    return PASSO_OK;
}
