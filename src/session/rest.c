/* The time between two passes: what comes next, when its count-in begins, the soft cue before it,
 * pauses. The next pass is handed over as soon as the rest begins, so that a stalled main thread
 * cannot be late; a mark that changes it takes it back. */
#include "climb_priv.h"

#include <stdlib.h>
#include <string.h>
#include "session/words.h"

enum {
    BREATH_MS = 2000,      /* from a late change to the fresh count-in */
    BREATHE_CUE_MS = 3000, /* the soft cue comes so long before the count-in */
    CUE_AHEAD_MS = 250,    /* cues are sent to the audio thread so early */
    MORE_MS = 10000,
    TIME_CUE_MS = 1800,  /* after the playing, clear of tick and cue */
    LAST_WORD_MS = 60000 /* time nearly up: told once, when less than this is left */
};

static struct passo_instant later(struct passo_instant a, struct passo_instant b)
{
    return passo_instant_cmp(a, b) < 0 ? b : a;
}

static struct passo_instant after_now(const struct climb *climb, int64_t ms)
{
    return (struct passo_instant){climb->now + climb_frames(climb, ms), 0};
}

/* The rest that the rule gives to the pass just played. */
static struct passo_instant ruled_rest(const struct climb *climb)
{
    struct passo_instant played = {0, 0};
    if (passo_instant_cmp(climb->rest_from, climb->pass.body) > 0)
        played = passo_instant_sub(climb->rest_from, climb->pass.body);
    return passo_rule_rest(&climb->state.ladder.rule, played, climb->rate_hz);
}

static void set_rest_until(struct climb *climb)
{
    struct passo_instant length = climb->rest_ruled;
    if (climb->plan.rest_ms > 0)
        length = passo_instant_from_ms(climb->plan.rest_ms, climb->rate_hz);
    length = passo_instant_add(length, passo_instant_from_ms(climb->rest_more_ms, climb->rate_hz));
    climb->rest_until = passo_instant_add(climb->rest_from, length);
    if (climb->rest_cut)
        climb->rest_until =
            passo_instant_add(climb->rest_sooner, passo_instant_from_ms(BREATH_MS, climb->rate_hz));
}

bool rest_is_open(const struct climb *climb)
{
    return climb->plan.wait && !climb->told_to_go_on && !marks_ended(climb);
}

/* A pass is to be played when this rest ends. */
static bool playable(const struct climb *climb)
{
    if (climb->plan.part == PASSO_PART_DONE || marks_ended(climb) || rest_is_open(climb))
        return false;
    return !climb->plan.pause || climb->told_to_go_on;
}

/* A counted beat, heard or not. */
static bool is_beat(const struct passo_event *event)
{
    bool click = event->kind == PASSO_EVENT_CLICK || event->kind == PASSO_EVENT_SILENT_CLICK;
    return click && event->click != PASSO_CLICK_SUB;
}

static void keep_beats(struct pass *pass, const struct passo_timeline *timeline)
{
    size_t beats = 0;
    for (size_t i = 0; i < timeline->events; i++)
        beats += is_beat(&timeline->event[i]);
    free(pass->beat);
    pass->beat = passo_xcalloc(beats + 1, sizeof *pass->beat);
    pass->beats = 0;
    bool played = false; /* from the body on; a fermata's preparation counts as in a count-in */
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        played = played || event->kind == PASSO_EVENT_BODY;
        if (is_beat(event))
            pass->beat[pass->beats++] = (struct beat_at){timeline->start.frame + event->frame,
                                                         event->bar, event->beat, played};
    }
}

bool rest_is_new_tempo(const struct climb *climb, const struct passo_plan *plan)
{
    for (size_t i = climb->records; i-- > 0;) {
        const struct record *record = &climb->record[i];
        if (record->mark != PASSO_MARK_VOID && record->plan.part == plan->part)
            return record->plan.mbpm != plan->mbpm;
    }
    return true;
}

static void hand_over(struct climb *climb)
{
    struct pass *pass = &climb->pass;
    struct passo_pass_shape shape = {.passage = climb->passage,
                                     .loop = passo_plan_loop(climb->passage, &climb->plan),
                                     .pulse = &climb->setup->setup->pulse,
                                     .mbpm = climb->plan.mbpm,
                                     .all_bars = rest_is_new_tempo(climb, &climb->plan),
                                     .thin = (enum passo_thin)climb->plan.thin,
                                     .no_clicks = climb->setup->no_clicks,
                                     .seed = (uint64_t)climb->wall_epoch_ns + climb->records};
    passo_intonation_drone(&climb->setup->setup->intonation, climb->setup->drone_level,
                           shape.drone);
    /* A long pass is large: the one that was played goes before the next is built. */
    passo_player_reclaim(climb->sounding->player);
    struct passo_timeline *timeline =
        passo_timeline_build(&shape, ++climb->sounding->ids, climb->rest_until, climb->rate_hz);
    struct passo_timeline copy = *timeline;
    keep_beats(pass, timeline);
    /* A full ring: the rest goes on, and the next step tries again. */
    pass->handed = passo_player_play(climb->sounding->player, timeline) == PASSO_OK;
    if (!pass->handed) {
        free(timeline);
        return;
    }
    pass->begun = false;
    pass->plan = climb->plan;
    pass->id = copy.id;
    pass->start = copy.start;
    pass->body = copy.body;
    pass->landing = copy.landing;
    pass->end = copy.end;
    pass->mark = PASSO_MARK_NONE;
    pass->changed = false;
    pass->breaking = false;
    pass->miss_bar = INT32_MIN;
}

void rest_arrange(struct climb *climb)
{
    climb->plan = passo_course_next(climb->course, &climb->state);
    climb->rest_ruled = ruled_rest(climb);
    climb->breathe_sent = false;
    set_rest_until(climb);
    if (playable(climb))
        hand_over(climb);
}

void rest_first(struct climb *climb, int64_t lead_ms)
{
    int64_t rendered = passo_player_rendered(climb->sounding->player);
    climb->plan = passo_course_next(climb->course, &climb->state);
    climb->rest_until = (struct passo_instant){rendered + climb_frames(climb, lead_ms), 0};
    if (playable(climb))
        hand_over(climb);
}

void rest_hand_over_again(struct climb *climb)
{
    climb->breathe_sent = false;
    if (climb->phase == PASSO_PHASE_REST && playable(climb))
        hand_over(climb);
}

static bool same_pass(const struct passo_plan *a, const struct passo_plan *b)
{
    return a->part == b->part && a->mbpm == b->mbpm && a->turn == b->turn && a->rung == b->rung &&
           a->stage == b->stage && a->loop == b->loop && a->variant == b->variant &&
           a->thin == b->thin && a->rest_ms == b->rest_ms;
}

/* Takes back the pass that was handed over. One word does for a pass that waits and for one that
 * sounds already: whether the audio side has begun it cannot be known here. */
static void take_back(struct climb *climb)
{
    struct pass *pass = &climb->pass;
    if (!pass->handed)
        return;
    /* A ring with no room for one word in a second of silence means that no output runs. */
    PASSO_BUG_ON(passo_player_stop(climb->sounding->player, 0) != PASSO_OK);
    pass->handed = false;
    pass->begun = false;
}

void rest_replan(struct climb *climb)
{
    struct passo_plan plan = passo_course_next(climb->course, &climb->state);
    if (climb->phase == PASSO_PHASE_PLAYING || climb->phase == PASSO_PHASE_LANDING)
        return;
    if (climb->phase == PASSO_PHASE_PAUSED) {
        climb->plan = plan;
        return;
    }
    bool still_open = plan.wait && !climb->told_to_go_on;
    if (climb->pass.handed && same_pass(&plan, &climb->pass.plan) && !still_open && !plan.pause)
        return;
    take_back(climb);
    climb->phase = PASSO_PHASE_REST;
    climb->plan = plan;
    set_rest_until(climb);
    climb->rest_until = later(climb->rest_until, after_now(climb, BREATH_MS));
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
}

void rest_cue(struct climb *climb, enum passo_cue cue, int64_t frame)
{
    /* A full ring drops a cue: it is not worth a wait. */
    if (passo_player_cue(climb->sounding->player, cue, frame) != PASSO_OK)
        return;
}

void rest_hush(struct climb *climb)
{
    if (passo_player_hush(climb->sounding->player) != PASSO_OK)
        return;
    climb->breathe_sent = false;
    /* The word about the time is said once only, so it is not lost with the others. */
    if (climb->time_cue > climb->now)
        rest_cue(climb, PASSO_CUE_TIME, climb->time_cue + climb_frames(climb, TIME_CUE_MS));
    climb->time_cue = 0;
}

static void tell_time(struct climb *climb)
{
    int64_t stop_ms = passo_ladder_stop_ms(&climb->state.ladder, &climb->state.now);
    int64_t last_ms = stop_ms / 5 < LAST_WORD_MS ? stop_ms / 5 : LAST_WORD_MS;
    if (stop_ms == 0 || climb->time_told || climb->records == 0 ||
        passo_rule_is_once(&climb->state.ladder.rule) || climb->plan.part != PASSO_PART_CLIMB)
        return;
    if (climb->rest_from_ns / 1000000 < stop_ms - last_ms)
        return;
    climb->time_told = true;
    climb->time_cue = climb->rest_from.frame + climb_frames(climb, TIME_CUE_MS);
    rest_cue(climb, PASSO_CUE_TIME, climb->time_cue);
    climb_say(climb, PASSO_SAY_NOTICE, "The time is nearly up.");
}

static int64_t breathe_frame(const struct climb *climb)
{
    return climb->rest_until.frame - climb_frames(climb, BREATHE_CUE_MS);
}

static void rest_over(struct climb *climb)
{
    if (climb->plan.part == PASSO_PART_DONE) {
        record_close_windows(climb, climb->rest_until);
        climb->phase = PASSO_PHASE_OVER;
    } else if (marks_ended(climb)) {
        climb->marks_ran_out = true;
        leave_quit(climb);
    } else if (climb->plan.pause && !climb->told_to_go_on) {
        rest_pause(climb, true);
    }
}

/* A count-in comes when this rest is over: of this climb, or of a day's next item. */
static bool count_in_comes(const struct climb *climb)
{
    const bool next_item = climb->phase == PASSO_PHASE_REST &&
                           climb->plan.part == PASSO_PART_DONE && leave_then(climb)[0];
    return climb->records > 0 && (climb->pass.handed || next_item);
}

void rest_step(struct climb *climb)
{
    bool open = rest_is_open(climb);
    tell_time(climb);
    if (!climb->breathe_sent && count_in_comes(climb) &&
        climb->now >= breathe_frame(climb) - climb_frames(climb, CUE_AHEAD_MS)) {
        climb->breathe_sent = true;
        if (breathe_frame(climb) >= climb->now)
            rest_cue(climb,
                     climb->plan.part == PASSO_PART_CONTEXT ? PASSO_CUE_CONTEXT : PASSO_CUE_BREATHE,
                     breathe_frame(climb));
    }
    if (open && climb->marker && !climb->told_to_go_on) {
        climb->told_to_go_on = true;
        hand_over(climb);
    }
    if (open || climb->pass.handed || climb->now < climb->rest_until.frame)
        return;
    if (playable(climb))
        hand_over(climb);
    else
        rest_over(climb);
}

int64_t rest_due(const struct climb *climb)
{
    if (climb->phase == PASSO_PHASE_PAUSED || rest_is_open(climb))
        return INT64_MAX;
    if (!climb->breathe_sent && count_in_comes(climb)) {
        int64_t cue = breathe_frame(climb) - climb_frames(climb, CUE_AHEAD_MS);
        if (cue > climb->now)
            return cue;
    }
    /* One frame on: the audio side has then walked the first event of the count-in. */
    return climb->rest_until.frame + climb->pass.handed;
}

void rest_pause(struct climb *climb, bool unmarked)
{
    take_back(climb);
    climb->paused_at = climb->now;
    climb->paused_unmarked = unmarked;
    climb->phase = PASSO_PHASE_PAUSED;
    climb_say(climb, PASSO_SAY_PAUSE, "%s",
              unmarked ? "Paused: three passes without a mark. A mark or p goes on."
                       : "Paused. p goes on.");
    /* A script has nobody who could press a key: the pause goes on at once. */
    if (climb->marker)
        rest_resume(climb);
}

void rest_resume(struct climb *climb)
{
    struct passo_instant pause = {climb->now - climb->paused_at, 0};
    climb->paused = passo_instant_add(climb->paused, pause);
    climb->rest_from = passo_instant_add(climb->rest_from, pause);
    climb->rest_until = passo_instant_add(climb->rest_until, pause);
    climb->rest_sooner = passo_instant_add(climb->rest_sooner, pause);
    climb->plan = passo_course_next(climb->course, &climb->state);
    if (climb->rest_cut || climb->plan.rest_ms > 0)
        set_rest_until(climb);
    climb->phase = PASSO_PHASE_REST;
    climb->told_to_go_on = true;
    if (!climb->marker)
        climb->rest_until = later(climb->rest_until, after_now(climb, BREATH_MS));
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
}

/* A rest that a hand may change: one between two passes, and the last one where a day goes on. */
static bool is_changeable(const struct climb *climb)
{
    const bool last = climb->plan.part == PASSO_PART_DONE;
    return climb->phase == PASSO_PHASE_REST && (!last || climb->setup->in_day);
}

void rest_sooner(struct climb *climb)
{
    if (!is_changeable(climb))
        return;
    climb->told_to_go_on = true;
    const bool certain = climb->pass.handed || climb->plan.part == PASSO_PART_DONE;
    if (certain && climb->rest_until.frame - climb->now <= climb_frames(climb, BREATH_MS))
        return;
    take_back(climb);
    climb->rest_cut = true;
    climb->rest_sooner = (struct passo_instant){climb->now, 0};
    set_rest_until(climb);
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
}

void rest_longer(struct climb *climb)
{
    if (!is_changeable(climb))
        return;
    take_back(climb);
    climb->rest_more_ms += MORE_MS;
    climb->rest_until =
        passo_instant_add(climb->rest_until, passo_instant_from_ms(MORE_MS, climb->rate_hz));
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
}
