/* The time between two passes: what comes next, when its count-in begins, the soft cue before it,
 * pauses. The next pass is handed over as soon as the rest begins, with what the machine plays
 * before it, so that a stalled main thread cannot be late; a mark that changes it takes it back. */
#include "climb_priv.h"

enum {
    BREATH_MS = 2000,      /* from a late change to the fresh count-in */
    BREATHE_CUE_MS = 3000, /* the soft cue comes so long before the count-in */
    CUE_AHEAD_MS = 250,    /* cues are sent to the audio thread so early */
    MORE_MS = 10000,
    CLEAR_MS = 1500, /* from the playing to what the machine plays: a mark's cue lies between */
    CLEAR_OF_CUES_MS = 1100, /* from a mark to what the machine plays */
    CLEAR_OF_KEY_MS = 500,   /* from a key without a cue */
    RETRY_MS = 20,           /* to the next try at a full ring */
    TIME_CUE_MS = 1800,      /* after the playing, clear of tick and cue */
    TIME_CUE_LASTS_MS = 700,
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

/* What the machine plays before the count-in begins so late at least. */
static void keep_clear(struct climb *climb, struct passo_instant until)
{
    climb->clear = later(climb->clear, until);
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

bool rest_is_new_tempo(const struct climb *climb, const struct passo_plan *plan)
{
    for (size_t i = climb->records; i-- > 0;) {
        const struct record *record = &climb->record[i];
        if (record->mark != PASSO_MARK_VOID && record->plan.part == plan->part)
            return record->plan.mbpm != plan->mbpm;
    }
    return true;
}

void rest_cue(struct climb *climb, enum passo_cue cue, int64_t frame)
{
    /* A full ring drops a cue: it is not worth a wait. */
    if (passo_player_cue(climb->sounding->player, cue, frame) != PASSO_OK)
        return;
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

void rest_arrange(struct climb *climb)
{
    climb->plan = passo_course_next(climb->course, &climb->state);
    climb->rest_ruled = ruled_rest(climb);
    climb->breathe_sent = false;
    set_rest_until(climb);
    tell_time(climb);
    climb->clear =
        passo_instant_add(climb->rest_from, passo_instant_from_ms(CLEAR_MS, climb->rate_hz));
    if (climb->time_cue > climb->now)
        keep_clear(climb, (struct passo_instant){
                              climb->time_cue + climb_frames(climb, TIME_CUE_LASTS_MS), 0});
    if (playable(climb))
        hand_over(climb);
}

void rest_first(struct climb *climb, int64_t lead_ms)
{
    int64_t rendered = passo_player_rendered(climb->sounding->player);
    climb->plan = passo_course_next(climb->course, &climb->state);
    climb->rest_until = (struct passo_instant){rendered + climb_frames(climb, lead_ms), 0};
    climb->clear = climb->rest_until;
    if (playable(climb))
        hand_over(climb);
}

void rest_hand_over_again(struct climb *climb)
{
    climb->breathe_sent = false;
    if (climb->phase == PASSO_PHASE_REST && playable(climb))
        hand_over(climb);
}

bool rest_is_same(const struct passo_plan *a, const struct passo_plan *b)
{
    return a->part == b->part && a->mbpm == b->mbpm && a->turn == b->turn && a->rung == b->rung &&
           a->stage == b->stage && a->loop == b->loop && a->variant == b->variant &&
           a->thin == b->thin && a->rest_ms == b->rest_ms;
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
    if (climb->pass.handed && rest_is_same(&plan, &climb->pass.plan) && !still_open &&
        !plan.pause && hearing_holds(climb))
        return;
    hand_take_back(climb);
    climb->phase = PASSO_PHASE_REST;
    climb->plan = plan;
    set_rest_until(climb);
    climb->rest_until = later(climb->rest_until, after_now(climb, BREATH_MS));
    keep_clear(climb, after_now(climb, CLEAR_OF_CUES_MS));
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
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

static int64_t breathe_frame(const struct climb *climb)
{
    return climb->rest_until.frame - climb_frames(climb, BREATHE_CUE_MS);
}

/* Of a track there is nothing to hear once its last landing is: no rest follows, unless another
 * item of a day comes. */
static bool is_over(const struct climb *climb)
{
    return climb->setup->track && climb->phase == PASSO_PHASE_REST &&
           climb->plan.part == PASSO_PART_DONE && !leave_then(climb)[0];
}

static void rest_over(struct climb *climb)
{
    if (climb->plan.part == PASSO_PART_DONE) {
        record_close_windows(climb, is_over(climb) ? climb->rest_from : climb->rest_until);
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
    /* Before the very first nobody has to be called, but for who is listening. */
    const bool rests = climb->records > 0 || climb->hearing.handed;
    return rests && (climb->pass.handed || next_item);
}

/* Where a starting note comes so soon that there is no time for the soft cue before it, the note is
 * cue enough. */
static void breathe(struct climb *climb)
{
    const int64_t frame = breathe_frame(climb);
    const bool starts = hearing_starts(climb) && climb->pass.handed;
    if (climb->breathe_sent || !count_in_comes(climb) ||
        climb->now < frame - climb_frames(climb, CUE_AHEAD_MS))
        return;
    climb->breathe_sent = true;
    if (frame >= climb->now && !(starts && frame < climb->clear.frame))
        rest_cue(climb,
                 climb->plan.part == PASSO_PART_CONTEXT ? PASSO_CUE_CONTEXT : PASSO_CUE_BREATHE,
                 frame);
}

void rest_step(struct climb *climb)
{
    bool open = rest_is_open(climb);
    tell_time(climb);
    breathe(climb);
    if (open && climb->marker && !climb->told_to_go_on) {
        climb->told_to_go_on = true;
        hand_over(climb);
    }
    if (open || climb->pass.handed)
        return;
    /* Not when the rest is over: what comes before the count-in would be late. */
    if (playable(climb))
        hand_over(climb);
    else if (climb->now >= climb->rest_until.frame || is_over(climb))
        rest_over(climb);
}

int64_t rest_due(const struct climb *climb)
{
    if (climb->phase == PASSO_PHASE_PAUSED || rest_is_open(climb))
        return INT64_MAX;
    if (!climb->pass.handed && playable(climb))
        return climb->now + climb_frames(climb, RETRY_MS);
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
    hand_take_back(climb);
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
    keep_clear(climb, after_now(climb, CLEAR_OF_KEY_MS));
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
}

/* A rest that a hand may change: one between two passes, and the last one where a day goes on. */
static bool is_changeable(const struct climb *climb)
{
    const bool last = climb->plan.part == PASSO_PART_DONE;
    /* Before the first count-in one may be listening. */
    const bool listens = climb->phase == PASSO_PHASE_LEAD && climb->hearing.handed;
    return listens || (climb->phase == PASSO_PHASE_REST && (!last || climb->setup->in_day));
}

/* How long it is from a key to the count-in at least. */
static int64_t breath_ms(const struct climb *climb)
{
    return hearing_starts(climb) ? BREATH_MS + CLEAR_OF_KEY_MS : BREATH_MS;
}

void rest_sooner(struct climb *climb)
{
    if (!is_changeable(climb))
        return;
    climb->told_to_go_on = true;
    const bool certain = climb->pass.handed || climb->plan.part == PASSO_PART_DONE;
    if (certain && climb->rest_until.frame - climb->now <= climb_frames(climb, breath_ms(climb)))
        return;
    /* What waits to be heard comes at once; what is heard already is enough. */
    climb->heard |= hearing_sounds(climb);
    hand_take_back(climb);
    climb->rest_cut = true;
    climb->rest_sooner = (struct passo_instant){climb->now, 0};
    set_rest_until(climb);
    keep_clear(climb, after_now(climb, CLEAR_OF_KEY_MS));
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
}

void rest_longer(struct climb *climb)
{
    if (!is_changeable(climb))
        return;
    hand_take_back(climb);
    climb->rest_more_ms += MORE_MS;
    climb->rest_until =
        passo_instant_add(climb->rest_until, passo_instant_from_ms(MORE_MS, climb->rate_hz));
    climb->breathe_sent = false;
    if (playable(climb))
        hand_over(climb);
}
