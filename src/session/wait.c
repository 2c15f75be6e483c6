/* How long the conductor may sleep: until a phase ends, a cue is due, or the next beat is heard and
 * is to be seen. Runs on the main thread. */
#include "climb_priv.h"

#include "session/signals.h"

enum { WAIT_MAX_MS = 40, SIMULATED_HOURS = 24, SIMULATED_PASSES = 10000 };

/* The next frame at which a phase ends or something is due. */
static int64_t due_frame(const struct climb *climb)
{
    const struct pass *pass = &climb->pass;
    int64_t landing = passo_instant_frame(pass->landing);
    int64_t end = passo_instant_frame(pass->end);
    switch (climb->phase) {
    case PASSO_PHASE_LEAD:
    case PASSO_PHASE_REST:
        return rest_due(climb);
    case PASSO_PHASE_COUNT_IN:
        return passo_instant_frame(pass->body);
    case PASSO_PHASE_PLAYING:
        return landing < end ? landing : end;
    case PASSO_PHASE_LANDING:
        return end;
    case PASSO_PHASE_PAUSED:
    case PASSO_PHASE_OVER:
    case PASSO_PHASE_COUNT:
        break;
    }
    return INT64_MAX;
}

/* The next beat of a pass that sounds, and the next beginning or end of a note in it, so that the
 * screen shows it when the ear hears it. */
static int64_t next_seen(const struct pass *pass, int64_t now)
{
    int64_t next = INT64_MAX;
    for (size_t i = 0; pass->handed && i < pass->beats && next == INT64_MAX; i++) {
        if (pass->beat[i].frame > now)
            next = pass->beat[i].frame;
    }
    for (size_t i = 0; pass->handed && i < pass->notes; i++) {
        const struct note_at *note = &pass->note[i];
        const int64_t frame = note->from > now ? note->from : note->until;
        if (frame <= now)
            continue;
        return frame < next ? frame : next;
    }
    return next;
}

/* A simulated player goes round for ever where a rule has no end, and nobody is there to stop; so
 * does a block. */
static bool has_played_a_day(const struct climb *climb)
{
    const bool goes_round = climb_is_block(climb) || (climb->marker && !climb->marker->script);
    return goes_round &&
           (climb->records >= SIMULATED_PASSES ||
            (climb->now - climb->from_frame) / climb->rate_hz >= SIMULATED_HOURS * 3600);
}

void climb_wait_simulated(struct climb *climb)
{
    struct passo_view *view = climb->setup->view;
    struct passo_output *output = climb->sounding->output;
    int64_t due_ns = INT64_MAX;
    int64_t frame = due_frame(climb);
    if (has_played_a_day(climb)) {
        climb_say(climb, PASSO_SAY_NOTICE, "The simulated player has played for a day and stops.");
        leave_quit(climb);
        return;
    }
    passo_signals_wait(-1, 0); /* time is not waited for, but a signal is let through */
    if (frame != INT64_MAX) {
        __extension__ typedef __int128 wide;
        if (frame <= climb->now)
            frame = climb->now + 1;
        due_ns = (int64_t)(((wide)frame * 1000000000 + climb->rate_hz - 1) / climb->rate_hz);
    }
    if (view->ops->due_ns && view->ops->due_ns(view) < due_ns)
        due_ns = view->ops->due_ns(view);
    /* Nobody will ever press a key: the climb is over. */
    if (due_ns == INT64_MAX)
        leave_quit(climb);
    else
        output->ops->advance(output, due_ns);
}

void climb_wait(struct climb *climb)
{
    struct passo_view *view = climb->setup->view;
    int64_t frame = due_frame(climb);
    int64_t beat = next_seen(&climb->pass, climb->now);
    int64_t heard = next_seen(&climb->hearing, climb->now);
    int64_t wait_ns = WAIT_MAX_MS * INT64_C(1000000);
    if (heard < beat)
        beat = heard;
    if (beat < frame)
        frame = beat;
    if (frame != INT64_MAX) {
        int64_t ns = (frame - climb->now) * 1000000000 / climb->rate_hz;
        if (ns < wait_ns)
            wait_ns = ns < 1000000 ? 1000000 : ns;
    }
    view->ops->wait(view, wait_ns);
}
