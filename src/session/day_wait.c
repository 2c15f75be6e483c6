/* The time between two items: what comes is announced, a rest is offered where one is due, and the
 * count-in comes when both are over, or sooner if a key says so. The device is looked after as in a
 * climb's rest. A visit is told by a cue of its own (AGAIN: one note, and no mark is open that it
 * could be taken for), a long rest by the one of the time. Runs on the main thread. */
#include "text/notation.h"
#include "day_priv.h"

#include <stdio.h>
#include "session/signals.h"

enum {
    BREATHE_CUE_MS = 3000, /* as in a climb */
    CUE_AHEAD_MS = 250,
    CUE_AFTER_MS = 450,
    WAIT_MAX_MS = 40,
    OFFER_AGAIN_MS = 5 * 60000 /* of playing, after a long rest was cut short */
};

static void cue(struct day *day, enum passo_cue which, int64_t frame)
{
    /* A full ring drops a cue: it is not worth a wait. */
    if (passo_player_cue(day->sounding.player, which, frame) != PASSO_OK)
        return;
}

void day_hush(struct day *day)
{
    day->between.breathe_sent = false;
    /* A full ring: the cue sounds once too often. */
    if (passo_player_hush(day->sounding.player) != PASSO_OK)
        return;
}

/* --- what is offered --- */

/* Whoever cuts a long rest short is not asked again at once. */
static struct passo_rest_offer offer(struct day *day)
{
    struct passo_balance balance = day->balance;
    if (balance.since_long_ms < day->declined_ms)
        day->declined_ms = 0;
    if (day->declined_ms && balance.since_long_ms - day->declined_ms < OFFER_AGAIN_MS)
        balance.since_long_ms = 0;
    return passo_balance_offer(&balance);
}

static void offer_rest(struct day *day)
{
    struct between *between = &day->between;
    char words[PASSO_WORDS_BYTES];
    struct passo_rest_offer rest = offer(day);
    if (rest.ms <= day_coming(day)->prepare_ms)
        return;
    between->offers_long = rest.why == PASSO_REST_LONG;
    between->offered_until = day->now + day_frames(day, rest.ms);
    day_offer_words(day, &rest, words, sizeof words);
    day_say(day, PASSO_SAY_NOTICE, "%s", words);
    snprintf(day->last_words, sizeof day->last_words, "%s", words);
    if (between->offers_long)
        cue(day, PASSO_CUE_TIME, day->now + day_frames(day, CUE_AFTER_MS));
}

void day_announce(struct day *day)
{
    struct between *between = &day->between;
    const struct passo_day_item *item = day_coming(day);
    char prompt[PASSO_WORDS_BYTES];
    char span[40];
    int64_t from = between->paused ? between->paused_at : day->now;
    int64_t ms = item->prepare_ms;
    if (!day->told && ms < DAY_BREATH_MS)
        ms = DAY_BREATH_MS;
    between->until = from + day_frames(day, ms);
    if (between->until < between->offered_until)
        between->until = between->offered_until;
    between->breathe_sent = false;
    day_show_now(day, day->order[day->at], PASSO_DAY_TO_COME);
    if (between->until == from)
        return; /* it was told in the rest before */
    ms = (between->until - from) * 1000 / day->rate_hz;
    day_say(day, PASSO_SAY_PASS, "%s In %s.", day_prompt(day, prompt, sizeof prompt),
            passo_span_write(ms, span, sizeof span));
    if (item->visit && !between->offers_long)
        cue(day, PASSO_CUE_AGAIN, day->now + day_frames(day, CUE_AFTER_MS));
}

/* --- the clock --- */

static int64_t breathe_frame(const struct day *day)
{
    return day->between.until - day_frames(day, BREATHE_CUE_MS);
}

static void breathe(struct day *day)
{
    struct between *between = &day->between;
    if (between->listing || between->paused || between->breathe_sent ||
        day->now < breathe_frame(day) - day_frames(day, CUE_AHEAD_MS))
        return;
    between->breathe_sent = true;
    if (breathe_frame(day) >= day->now)
        cue(day, PASSO_CUE_BREATHE, breathe_frame(day));
}

/* A device with another rate: what is held in frames is counted anew. */
static void convert_frames(struct day *day, int64_t from, uint32_t from_hz)
{
    struct between *between = &day->between;
    int64_t *held[] = {&between->from, &between->until, &between->offered_until,
                       &between->paused_at, &between->last_key_at};
    day->rate_hz = passo_sounding_rate_hz(&day->sounding);
    for (size_t i = 0; i < sizeof held / sizeof held[0]; i++)
        *held[i] =
            passo_sounding_convert((struct passo_instant){*held[i], 0}, from, from_hz, day->rate_hz)
                .frame;
    day->now = 0;
    between->breathe_sent = false;
}

static void look_after_sound(struct day *day)
{
    int64_t from = 0;
    uint32_t from_hz = 0;
    if (passo_sounding_watch(&day->sounding, true) == PASSO_SOUNDING_LOST)
        day_say(day, PASSO_SAY_NOTICE, "%s", day->sounding.notice);
    if (!day->sounding.returned)
        return;
    if (passo_sounding_return(&day->sounding, &from, &from_hz))
        convert_frames(day, from, from_hz);
    day_set_level(day, day->level_permille);
    if (!day->sounding.lost)
        day_say(day, PASSO_SAY_NOTICE, "Sound is back.");
}

/* The next frame at which something is due. */
static int64_t due_frame(const struct day *day)
{
    const struct between *between = &day->between;
    if (between->listing || between->paused)
        return INT64_MAX;
    int64_t ahead = breathe_frame(day) - day_frames(day, CUE_AHEAD_MS);
    return !between->breathe_sent && ahead > day->now ? ahead : between->until;
}

static void sleep_simulated(struct day *day)
{
    struct passo_view *view = day->setup->base.view;
    struct passo_output *output = day->sounding.output;
    int64_t frame = due_frame(day);
    int64_t due_ns = INT64_MAX;
    passo_signals_wait(-1, 0); /* time is not waited for, but a signal is let through */
    if (frame != INT64_MAX) {
        __extension__ typedef __int128 wide;
        due_ns = (int64_t)(((wide)frame * 1000000000 + day->rate_hz - 1) / day->rate_hz);
    }
    if (view->ops->due_ns && view->ops->due_ns(view) < due_ns)
        due_ns = view->ops->due_ns(view);
    /* Nobody will ever press a key: the day is over. */
    if (due_ns == INT64_MAX)
        day_end(day, false);
    else
        output->ops->advance(output, due_ns);
}

static void sleep_until_due(struct day *day)
{
    struct passo_view *view = day->setup->base.view;
    int64_t frame = due_frame(day);
    int64_t wait_ns = WAIT_MAX_MS * INT64_C(1000000);
    if (frame != INT64_MAX) {
        int64_t ns = (frame - day->now) * 1000000000 / day->rate_hz;
        if (ns < wait_ns)
            wait_ns = ns < 1000000 ? 1000000 : ns;
    }
    view->ops->wait(view, wait_ns);
}

static bool waits(const struct day *day)
{
    const struct between *between = &day->between;
    return !day_over(day) && (between->listing || between->paused || day->now < between->until);
}

static void wait_for_it(struct day *day)
{
    if (waits(day))
        day_draw(day);
    while (waits(day)) {
        if (day_simulated(day))
            sleep_simulated(day);
        else
            sleep_until_due(day);
        day->now = passo_sounding_now(&day->sounding);
        day_take_presses(day);
        if (day_over(day))
            break;
        breathe(day);
        look_after_sound(day);
        day_draw(day);
    }
}

/* --- the whole of it --- */

static void begin_between(struct day *day)
{
    day->now = passo_sounding_now(&day->sounding);
    /* A key that is still down, or a second press meant for what has just ended, is none for what
     * comes: all keys must have been quiet. */
    day->between = (struct between){.from = day->now,
                                    .until = day->now,
                                    .offered_until = day->now,
                                    .last_key = DAY_ANY_KEY,
                                    .last_key_at = day->now};
}

void day_list(struct day *day)
{
    if (!day->setup->asks || day_over(day) || day_simulated(day) || day->setup->base.marker)
        return;
    begin_between(day);
    day->between.listing = true;
    day->show.listing = true;
    day->show.serial++;
    day_say(day, PASSO_SAY_PASS, "Space begins, q leaves.");
    wait_for_it(day);
    day->show.listing = false;
    day->show.serial++;
}

void day_wait(struct day *day)
{
    struct between *between = &day->between;
    const bool played = day->balance.played_ms > day->setup->balance.played_ms;
    begin_between(day);
    if (day->setup->offers_rest && played)
        offer_rest(day);
    day_announce(day);
    wait_for_it(day);
    /* What is waited before the first item is no rest: nothing was played. */
    int64_t rested_ms = (day->now - between->from) * 1000 / day->rate_hz;
    if (played)
        passo_balance_rest(&day->balance, rested_ms);
    if (between->offers_long)
        day->declined_ms = day->balance.since_long_ms;
}
