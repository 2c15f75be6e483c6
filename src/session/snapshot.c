/* Fills the snapshot that a view draws: copies and sentences, no pointer into the conductor but to
 * the ladder, which does not change while a climb runs. */
#include "climb_priv.h"

#include <stdio.h>
#include <string.h>
#include "session/words.h"
#include "text/notation.h"

void snapshot_beat(struct climb *climb, const struct passo_notice *notice)
{
    struct passo_snapshot *snapshot = &climb->snapshot;
    if (notice->click == PASSO_CLICK_SUB)
        return;
    snapshot->beat_serial++;
    snapshot->bar = notice->bar;
    /* Where the ear is to find the beat alone, the eye gets no help. */
    snapshot->beat_of_bar = notice->silent ? 0 : notice->beat;
    snapshot->beats_of_bar = notice->of;
    snapshot->click = notice->click;
}

static int64_t rest_left_ms(const struct climb *climb)
{
    if (rest_is_open(climb))
        return -1;
    struct passo_instant now = {climb->now, 0};
    if (passo_instant_cmp(climb->rest_until, now) <= 0)
        return 0;
    return passo_instant_ns(passo_instant_sub(climb->rest_until, now), climb->rate_hz) / 1000000;
}

/* Of a slow pass between, and in a block, nobody asks how it was. */
static bool is_asked(const struct climb *climb)
{
    return climb->snapshot.mark == PASSO_MARK_NONE && climb->records > 0 &&
           climb->record[climb->records - 1].plan.part != PASSO_PART_ANCHOR &&
           !climb_is_block(climb);
}

/* Between two passes: what to say of the one before, then to listen or to play. */
static void fill_next_rest(struct climb *climb, const char *tempo)
{
    struct passo_snapshot *to = &climb->snapshot;
    const char *what = to->what;
    if (hearing_sounds(climb))
        snprintf(to->next, sizeof to->next, "Listen: %s · %s. Then you play.", what, tempo);
    else if (is_asked(climb))
        snprintf(to->next, sizeof to->next, "How was it? Space clean, x miss. Then %s%s · %s.",
                 hearing_waits(climb) ? "listen: " : "", what, tempo);
    else
        snprintf(to->next, sizeof to->next, "Next: %s%s · %s.",
                 hearing_waits(climb) ? "listen to " : "", what, tempo);
}

/* In the last rest: of a day, what comes then. */
static void fill_next_last(struct climb *climb)
{
    struct passo_snapshot *to = &climb->snapshot;
    const char *then = leave_then(climb);
    if (is_asked(climb))
        snprintf(to->next, sizeof to->next, "How was it? Space clean, x miss.%s%s",
                 then[0] ? " Then " : "", then);
    else if (then[0])
        snprintf(to->next, sizeof to->next, "Next: %s", then);
    else
        snprintf(to->next, sizeof to->next, "%s",
                 climb->setup->in_day ? "Done." : "Done. q leaves.");
}

/* What comes next and what to do now. */
static void fill_next(struct climb *climb)
{
    struct passo_snapshot *to = &climb->snapshot;
    const char *what = to->what;
    char tempo[PASSO_NAME_MAX + 24];
    const bool goes_on = climb->phase != PASSO_PHASE_PAUSED && climb->phase != PASSO_PHASE_OVER &&
                         climb->plan.part != PASSO_PART_DONE;
    passo_tempo_write(to->mbpm, to->beat, tempo, sizeof tempo);
    if (climb_is_block(climb) && goes_on) {
        block_next(climb);
        return;
    }
    switch (climb->phase) {
    case PASSO_PHASE_LEAD:
    case PASSO_PHASE_COUNT_IN:
        if (climb->phase == PASSO_PHASE_LEAD && climb->hearing.handed)
            fill_next_rest(climb, tempo);
        else
            snprintf(to->next, sizeof to->next, "Count-in, then play %s · %s.", what, tempo);
        break;
    case PASSO_PHASE_PLAYING:
    case PASSO_PHASE_LANDING:
        snprintf(to->next, sizeof to->next, "Play %s · %s.", what, tempo);
        break;
    case PASSO_PHASE_REST:
        if (climb->plan.part == PASSO_PART_DONE)
            fill_next_last(climb);
        else
            fill_next_rest(climb, tempo);
        break;
    case PASSO_PHASE_PAUSED:
        snprintf(to->next, sizeof to->next, "%s",
                 climb->paused_unmarked ? "Mark the last pass, or press p, to go on."
                                        : "Press p to go on: a breath, then the count-in.");
        break;
    case PASSO_PHASE_OVER:
        passo_words_result(climb->course, climb->passage, &climb->state, (uint32_t)climb->records,
                           climb->marks_ran_out, to->next, sizeof to->next);
        break;
    case PASSO_PHASE_COUNT:
        PASSO_BUG_ON(climb->phase == PASSO_PHASE_COUNT);
    }
}

static void fill_curve(struct climb *climb)
{
    struct passo_snapshot *to = &climb->snapshot;
    size_t first = climb->records > PASSO_CURVE_POINTS ? climb->records - PASSO_CURVE_POINTS : 0;
    to->points = climb->records - first;
    for (size_t i = 0; i < to->points; i++) {
        const struct record *record = &climb->record[first + i];
        to->curve[i] = (struct passo_curve_point){.mbpm = record->plan.mbpm,
                                                  .rung = record->plan.rung,
                                                  .stage = record->plan.stage,
                                                  .mark = (uint8_t)record->mark,
                                                  .part = (uint8_t)record->plan.part};
    }
}

/* The times, with what is played or rested at this moment. */
static void fill_times(struct climb *climb)
{
    struct passo_snapshot *to = &climb->snapshot;
    struct passo_instant now = {climb->now, 0};
    if (climb->phase == PASSO_PHASE_PAUSED)
        now.frame = climb->paused_at;
    int64_t elapsed_ns = climb_elapsed_ns(climb, now);
    int64_t played_ns = climb->played_ns;
    int64_t rested_ns = climb->rested_ns;
    if (!climb->setup->plays &&
        (climb->phase == PASSO_PHASE_PLAYING || climb->phase == PASSO_PHASE_LANDING))
        played_ns += passo_instant_ns(passo_instant_sub(now, climb->pass.body), climb->rate_hz);
    if (climb->records && climb->record[climb->records - 1].open)
        rested_ns += climb->phase == PASSO_PHASE_COUNT_IN
                         ? climb_elapsed_ns(climb, climb->pass.start) - climb->rest_from_ns
                         : elapsed_ns - climb->rest_from_ns;
    to->played_ms = played_ns / 1000000;
    to->rested_ms = rested_ns / 1000000;
    to->elapsed_ms = elapsed_ns > 0 ? elapsed_ns / 1000000 : 0;
}

/* 0 where a rung is won otherwise, and around the climbing. */
static uint8_t cleans_needed(const struct passo_rule *rule, enum passo_part part)
{
    bool asks = rule->climbs == PASSO_CLIMBS_TEMPO || rule->climbs == PASSO_CLIMBS_LENGTH;
    bool climbing = part == PASSO_PART_CLIMB || part == PASSO_PART_ANCHOR;
    return asks && climbing ? rule->raise_clean : 0;
}

/* What is played, with the bars that are silent in it. */
static void fill_what(struct climb *climb, const struct passo_plan *plan)
{
    struct passo_snapshot *to = &climb->snapshot;
    const struct passo_pulse *pulse = &climb->setup->setup->pulse;
    const bool mutes = pulse->mute_of > 0 || pulse->mute_permille > 0;
    if (climb_is_block(climb) && !hearing_is_block(climb))
        block_what(climb, to->what, sizeof to->what);
    else
        passo_words_what(climb->passage, plan, to->what, sizeof to->what);
    size_t used = strlen(to->what);
    if (!mutes || used + 48 > sizeof to->what || climb->phase == PASSO_PHASE_OVER ||
        rest_is_new_tempo(climb, plan))
        return;
    if (pulse->mute_of > 0)
        snprintf(to->what + used, sizeof to->what - used, " \u00b7 %d of %d bars silent",
                 pulse->mute_bars, pulse->mute_of);
    else
        snprintf(to->what + used, sizeof to->what - used, " \u00b7 %d %% of the bars silent",
                 pulse->mute_permille / 10);
}

/* The notes, and whether one plays them or listens. */
static void fill_notes(struct climb *climb, const struct passo_plan *plan, bool sounding)
{
    struct passo_snapshot *to = &climb->snapshot;
    const bool heard = hearing_sounds(climb);
    strip_show(climb, plan);
    to->listening = heard || (sounding && climb->setup->plays);
    to->block = climb_is_block(climb);
    to->plays = climb->setup->plays;
    to->note_now = heard      ? strip_now(climb, &climb->hearing)
                   : sounding ? strip_now(climb, &climb->pass)
                              : -1;
    /* Who listens before the first count-in rests. */
    if (heard)
        to->phase = PASSO_PHASE_REST;
}

static const char *log_waits(const struct climb *climb, char *out, size_t bytes)
{
    snprintf(out, bytes, KEEP_WAITS, passo_log_why(climb->log));
    return out;
}

/* One lasting notice: the gravest. */
static void fill_notice(struct climb *climb)
{
    char waits[PASSO_WORDS_BYTES];
    const char *notice = climb->notice_words;
    if (climb->csv_failed)
        notice = "The CSV cannot be written: its rows wait. Is the disk full?";
    else if (climb->log_failed)
        notice = log_waits(climb, waits, sizeof waits);
    else if (climb->sounding->notice[0])
        notice = climb->sounding->notice;
    snprintf(climb->snapshot.notice, sizeof climb->snapshot.notice, "%s", notice);
}

void snapshot_fill(struct climb *climb)
{
    struct passo_snapshot *to = &climb->snapshot;
    bool sounding = climb->pass.handed && climb->phase != PASSO_PHASE_REST &&
                    climb->phase != PASSO_PHASE_LEAD && climb->phase != PASSO_PHASE_PAUSED;
    struct passo_plan plan = sounding ? climb->pass.plan : climb->plan;
    const struct record *record = record_for_mark(climb);
    /* After the last pass the screen goes on to show it. */
    if (plan.part == PASSO_PART_DONE && climb->records > 0)
        plan = climb->record[climb->records - 1].plan;
    to->phase = climb->phase;
    to->part = plan.part;
    to->mbpm = climb->setup->free ? 0 : plan.mbpm;
    to->pass = (uint32_t)climb->records + (climb->plan.part != PASSO_PART_DONE);
    /* A pass of the stage before may still sound, or be shown: its rung is none of this ladder. */
    to->rung = plan.part == PASSO_PART_CLIMB && plan.stage == climb->state.stage
                   ? plan.rung
                   : climb->state.now.rung;
    to->best_rung = climb->state.now.best_rung;
    to->stage = climb->state.stage;
    to->stages = (uint8_t)climb->course->stages;
    memcpy(to->stage_name, climb->course->stage[to->stage].name, sizeof to->stage_name);
    to->mark = record ? record->mark : sounding ? climb->pass.mark : PASSO_MARK_NONE;
    to->cleans = passo_cleans_now(&climb->state.ladder, &climb->state.now);
    to->cleans_needed = cleans_needed(&climb->state.ladder.rule, climb->state.now.part);
    memcpy(to->put_away, climb->state.now.put_away, sizeof to->put_away);
    to->outcome = climb->state.now.outcome;
    to->rest_left_ms = rest_left_ms(climb);
    to->level_permille = climb->level_permille;
    to->sounding = !climb->sounding->lost && climb->sounding->wanted != &passo_output_silent;
    fill_times(climb);
    fill_notes(climb, &plan, sounding);
    fill_what(climb, &plan);
    passo_words_count(&climb->state.ladder, &climb->state.now, to->count, sizeof to->count);
    memcpy(to->move, climb->move_words, sizeof to->move);
    fill_notice(climb);
    fill_curve(climb);
    fill_next(climb);
}
