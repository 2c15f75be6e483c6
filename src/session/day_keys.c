/* Keys between two items: go on, more rest, pause, leave the coming one out or put it off, louder,
 * softer, leave. Marks and the ladder's keys say nothing here. Runs on the main thread. */
#include "day_priv.h"

#include <signal.h>
#include "session/signals.h"

enum { MORE_MS = 10000, QUIET_MS = 700, LEVEL_STEP = 50 };

/* From here to the count-in it is `frames` at most. */
static void set_left(struct day *day, int64_t frames)
{
    day->between.until = day->now + frames;
    day_hush(day);
}

static void sooner(struct day *day)
{
    struct between *between = &day->between;
    between->listing = false;
    between->offered_until = day->now;
    if (between->until - day->now > day_frames(day, DAY_BREATH_MS))
        set_left(day, day_frames(day, DAY_BREATH_MS));
}

static void go_on(struct day *day)
{
    struct between *between = &day->between;
    int64_t left = between->until - between->paused_at;
    int64_t breath = day_frames(day, DAY_BREATH_MS);
    between->offered_until += day->now - between->paused_at;
    between->paused = false;
    set_left(day, left < breath ? breath : left);
}

static void stop_clock(struct day *day)
{
    struct between *between = &day->between;
    day_say(day, PASSO_SAY_PAUSE, "Paused. p goes on.");
    /* A script has nobody who could press a key: the pause goes on at once. */
    if (day->setup->base.marker)
        return;
    between->paused = true;
    between->paused_at = day->now;
    day_hush(day);
}

/* The same key counts again only after it has been quiet: a foot rests, keys repeat. */
static bool is_repeat(struct day *day, int key)
{
    struct between *between = &day->between;
    bool same = key == between->last_key || between->last_key == DAY_ANY_KEY;
    bool repeat = same && day->now - between->last_key_at < day_frames(day, QUIET_MS);
    between->last_key = key;
    between->last_key_at = day->now;
    return repeat;
}

/* What rest is offered for what was played stays offered, whatever comes next. */
static void another(struct day *day, enum passo_day_doing doing)
{
    day_pass_on(day, doing, NULL);
    day_hush(day);
    if (!day_over(day))
        day_announce(day);
}

static void take(struct day *day, const struct passo_press *press)
{
    struct between *between = &day->between;
    switch (press->command) {
    case PASSO_COMMAND_CLEAN:
    case PASSO_COMMAND_SOONER:
    case PASSO_COMMAND_TURN:
        if (between->paused)
            go_on(day);
        else
            sooner(day);
        break;
    case PASSO_COMMAND_LONGER:
        if (between->listing)
            break;
        between->until += day_frames(day, MORE_MS);
        day_hush(day);
        break;
    case PASSO_COMMAND_PAUSE:
        if (between->paused)
            go_on(day);
        else if (!between->listing)
            stop_clock(day);
        break;
    case PASSO_COMMAND_SKIP:
    case PASSO_COMMAND_PUT_OFF:
        if (!between->listing)
            another(day, press->command == PASSO_COMMAND_SKIP ? PASSO_DOING_SKIPPED
                                                              : PASSO_DOING_PUT_OFF);
        break;
    case PASSO_COMMAND_LOUDER:
    case PASSO_COMMAND_SOFTER:
        day->level_by_hand = true;
        day_set_level(day, day->level_permille +
                               (press->command == PASSO_COMMAND_LOUDER ? LEVEL_STEP : -LEVEL_STEP));
        break;
    case PASSO_COMMAND_QUIT:
        day_end(day, press->hung_up);
        break;
    case PASSO_COMMAND_MISS:
    case PASSO_COMMAND_VOID:
    case PASSO_COMMAND_UNDO:
    case PASSO_COMMAND_EASIER:
    case PASSO_COMMAND_HARDER:
    case PASSO_COMMAND_EXTEND:
    case PASSO_COMMAND_NONE:
    case PASSO_COMMAND_HELP:
    case PASSO_COMMAND_COUNT:
        break;
    }
}

bool day_obey_signals(struct day *day)
{
    if (passo_signals_ending())
        day_end(day, passo_signals_ending() != SIGINT);
    return day_over(day);
}

void day_take_presses(struct day *day)
{
    struct passo_view *view = day->setup->base.view;
    struct passo_output *output = day->sounding.output;
    struct passo_press press;
    while (!day_over(day) && view->ops->press(view, output->ops->now_ns(output), &press)) {
        bool fader = press.command == PASSO_COMMAND_LOUDER || press.command == PASSO_COMMAND_SOFTER;
        int64_t frame = passo_sounding_frame_at(&day->sounding, press.at_ns);
        if (frame > day->now)
            day->now = frame;
        if (press.command == PASSO_COMMAND_QUIT || fader || !is_repeat(day, press.key))
            take(day, &press);
    }
    day_obey_signals(day);
}
