/* What the player gets before a count-in, in this order: the hearing, the starting note, the pass.
 * They are handed over together and taken back together. Runs on the main thread. */
#include "climb_priv.h"

#include <stdlib.h>
#include "session/tuning.h"

enum { START_NOTE_MS = 1500, START_NOTE_BEFORE_MS = 2000 /* the count-in */ };

static void keep_beats(struct pass *pass, const struct passo_timeline *timeline)
{
    size_t beats = 0;
    for (size_t i = 0; i < timeline->events; i++)
        beats += passo_event_is_beat(&timeline->event[i]);
    free(pass->beat);
    pass->beat = passo_xcalloc(beats + 1, sizeof *pass->beat);
    pass->beats = 0;
    bool played = false; /* from the body on; a fermata's preparation counts as in a count-in */
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        played = played || event->kind == PASSO_EVENT_BODY;
        if (passo_event_is_beat(event))
            pass->beat[pass->beats++] = (struct beat_at){timeline->start.frame + event->frame,
                                                         event->bar, event->beat, played};
    }
}

static struct passo_pass_shape shape_of(const struct climb *climb)
{
    const struct passo_intonation tuned =
        tuning_moved(&climb->setup->setup->intonation, climb->setup->shift);
    struct passo_pass_shape shape = {.passage = climb->passage,
                                     .loop = passo_plan_loop(climb->passage, &climb->plan),
                                     .pulse = &climb->setup->setup->pulse,
                                     .mbpm = climb->plan.mbpm,
                                     .all_bars = rest_is_new_tempo(climb, &climb->plan),
                                     .thin = (enum passo_thin)climb->plan.thin,
                                     .no_clicks = climb->setup->no_clicks,
                                     .seed = (uint64_t)climb->wall_epoch_ns + climb->records};
    passo_intonation_drone(&tuned, climb->setup->drone_level, shape.drone);
    return shape;
}

/* Gives one timeline to the player, who owns it then; false: its ring is full. */
static bool give(struct climb *climb, enum passo_handed what, struct passo_timeline *timeline)
{
    const struct passo_witness *witness = climb->setup->witness;
    if (passo_player_play(climb->sounding->player, timeline) != PASSO_OK) {
        free(timeline);
        return false;
    }
    /* It is freed by this thread alone, and not before it is asked to. */
    if (witness)
        witness->handed(witness->user, what, climb->setup->setup, &climb->plan,
                        (uint32_t)climb->records + 1, timeline);
    return true;
}

static bool give_pass(struct climb *climb, enum passo_handed what, struct pass *pass,
                      const struct passo_pass_shape *shape, struct passo_instant start)
{
    struct passo_timeline *timeline =
        passo_timeline_build(shape, ++climb->sounding->ids, start, climb->rate_hz);
    pass->id = timeline->id;
    pass->plan = climb->plan;
    pass->begun = false;
    pass->start = timeline->start;
    pass->body = timeline->body;
    pass->landing = timeline->landing;
    pass->end = timeline->end;
    keep_beats(pass, timeline);
    strip_keep(climb, pass, shape);
    pass->handed = give(climb, what, timeline);
    return pass->handed;
}

static bool give_hearing(struct climb *climb, const struct passo_pass_shape *pass,
                         struct passo_instant start)
{
    const struct passo_notes *notes = hearing_notes(climb, &climb->plan);
    const struct passo_melody melody = hearing_melody(climb, notes);
    struct passo_pass_shape shape = *pass;
    shape.melody = &melody;
    /* Who listens is to hear where the beat is. */
    shape.all_bars = true;
    shape.thin = PASSO_THIN_NONE;
    climb->heard = false;
    return give_pass(climb, PASSO_HANDED_HEARING, &climb->hearing, &shape, start);
}

/* Of a loop in the middle of the passage its own first note, that of the part: what a variant makes
 * of it is its octave, which is the turn's. So it is where no note was named. False: there is none.
 */
bool hand_start_pitch(const struct climb *climb, const struct passo_plan *plan,
                      struct passo_pitch *out_pitch)
{
    const struct passo_passage *passage = climb->passage;
    const struct passo_setup *setup = climb->setup->setup;
    const struct passo_loop *loop = passo_plan_loop(passage, plan);
    const bool elsewhere = passo_ratio_cmp(passo_notes_at(passage, loop->from),
                                           passo_notes_at(passage, passage->loop[0].from)) != 0;
    const bool named = setup->intonation.starts;
    const struct passo_note *first = !named || (elsewhere && !setup->intonation.start_stays)
                                         ? passo_notes_first(&setup->notes, passage, loop)
                                         : NULL;
    if (!first && !named)
        return false;
    *out_pitch =
        passo_pitch_move(first ? first->pitch : setup->intonation.start, climb->setup->shift);
    return true;
}

static bool give_start(struct climb *climb)
{
    const struct passo_intonation *written = &climb->setup->setup->intonation;
    const struct passo_instant before = passo_instant_from_ms(START_NOTE_BEFORE_MS, climb->rate_hz);
    const int octave = passo_plan_variant(climb->passage, &climb->plan)->octave;
    struct passo_pitch pitch;
    if (!hearing_starts(climb) || !hand_start_pitch(climb, &climb->plan, &pitch))
        return true;
    const struct passo_tone tone = {.hz = (float)passo_intonation_hz(written, pitch, octave),
                                    .level = PASSO_NOTE_LEVEL,
                                    .layer = PASSO_LAYER_NOTE,
                                    .onset = PASSO_ONSET_TONGUED};
    return give(climb, PASSO_HANDED_START,
                passo_timeline_tones(&tone, 1, START_NOTE_MS, ++climb->sounding->ids,
                                     passo_instant_sub(climb->rest_until, before), climb->rate_hz));
}

static bool give_the_pass(struct climb *climb, struct passo_pass_shape shape)
{
    const struct passo_notes *notes =
        climb->setup->plays ? hearing_notes(climb, &climb->plan) : NULL;
    const struct passo_melody melody = hearing_melody(climb, notes);
    struct pass *pass = &climb->pass;
    if (notes)
        shape.melody = &melody;
    pass->mark = PASSO_MARK_NONE;
    pass->changed = false;
    pass->breaking = false;
    pass->miss_bar = INT32_MIN;
    return give_pass(climb, PASSO_HANDED_PASS, pass, &shape, climb->rest_until);
}

void hand_settle(struct climb *climb)
{
    if (climb->stop_owed)
        climb->stop_owed = passo_player_stop(climb->sounding->player, 0) != PASSO_OK;
}

void hand_over(struct climb *climb)
{
    const struct passo_pass_shape shape = shape_of(climb);
    struct passo_instant hearing_start;
    hand_settle(climb);
    if (climb->stop_owed)
        return;
    /* A long pass is large: the one that was played goes before the next is built. */
    passo_player_reclaim(climb->sounding->player);
    const bool hears = hearing_fit(climb, &shape, &hearing_start);
    climb->hearing.handed = false;
    if (hears && !give_hearing(climb, &shape, hearing_start))
        return;
    if (give_start(climb) && give_the_pass(climb, shape))
        return;
    /* What the ring still took goes back, with the next step if there is no room for the word. By
     * then it may have begun, so it is stopped. */
    climb->hearing.handed = false;
    climb->stop_owed = true;
    hand_settle(climb);
}

void hand_take_back(struct climb *climb)
{
    if (!climb->pass.handed)
        return;
    /* One word does for what waits and for what sounds already: whether the audio side has begun it
     * cannot be known here. A ring with no room for one word in a second of silence means that no
     * output runs. */
    PASSO_BUG_ON(passo_player_stop(climb->sounding->player, 0) != PASSO_OK);
    hand_forget(climb);
}

void hand_forget(struct climb *climb)
{
    struct pass *hearing = &climb->hearing;
    climb->heard |= hearing->handed && !hearing_waits(climb) && !hearing_sounds(climb);
    hearing->handed = false;
    hearing->begun = false;
    climb->pass.handed = false;
    climb->pass.begun = false;
}

void hand_shift(struct pass *pass, int64_t late)
{
    pass->start.frame += late;
    pass->body.frame += late;
    pass->landing.frame += late;
    pass->end.frame += late;
    for (size_t i = 0; i < pass->beats; i++)
        pass->beat[i].frame += late;
    for (size_t i = 0; i < pass->notes; i++) {
        pass->note[i].from += late;
        pass->note[i].until += late;
    }
}
