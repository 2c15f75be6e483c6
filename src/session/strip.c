/* The strip: the notes of the pass that sounds or comes, as they are written in the part, and which
 * of them is played now. Runs on the main thread. */
#include "climb_priv.h"

#include <stdlib.h>

void strip_show(struct climb *climb, const struct passo_plan *plan)
{
    if (!climb->varied || plan->part == PASSO_PART_DONE)
        return;
    const struct passo_loop *loop = passo_plan_loop(climb->passage, plan);
    const struct passo_variant *variant = passo_plan_variant(climb->passage, plan);
    struct passo_strip *to = &climb->snapshot.strip;
    if (climb->strip_of == loop && climb->strip_in == variant)
        return;
    climb->strip_of = loop;
    climb->strip_in = variant;
    const struct passo_notes *notes = hearing_notes(climb, plan);
    const struct passo_interval by = climb->setup->shift;
    const struct passo_ratio from = passo_notes_at(climb->passage, loop->from);
    const struct passo_ratio end = passo_notes_at(climb->passage, loop->to);
    /* Numbers that no climb before on this stream has used. */
    *to = (struct passo_strip){.note = climb->strip, .serial = (uint32_t)++climb->sounding->ids};
    for (size_t i = 0; notes && i < notes->notes; i++) {
        const struct passo_note *note = &notes->note[i];
        if (!passo_notes_is_played(note, from, end, true))
            continue;
        const struct passo_place place = passo_notes_place(climb->passage, note->at);
        climb->strip[to->notes++] =
            (struct passo_strip_note){.pitch = passo_pitch_move(note->pitch, by),
                                      .bar = place.bar,
                                      .at = place.at,
                                      .length = note->length,
                                      .marks = note->marks};
    }
}

/* The notes are laid out as a melody in which each leads into the next: so each begins and ends on
 * the frames at which it would be heard, but for the space between notes. */
static void keep_notes(struct pass *pass, const struct passo_timeline *timeline)
{
    pass->note = passo_xcalloc(timeline->tones + 1, sizeof *pass->note);
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        const int64_t frame = timeline->start.frame + event->frame;
        const bool on = event->kind == PASSO_EVENT_TONE_ON;
        if (!on && event->kind != PASSO_EVENT_TONE_OFF)
            continue;
        if (pass->notes && pass->note[pass->notes - 1].until > frame)
            pass->note[pass->notes - 1].until = frame;
        if (on)
            pass->note[pass->notes++] = (struct note_at){frame, INT64_MAX};
    }
}

void strip_keep(struct climb *climb, struct pass *pass, const struct passo_pass_shape *shape)
{
    const struct passo_notes *notes = hearing_notes(climb, &climb->plan);
    free(pass->note);
    pass->note = NULL;
    pass->notes = 0;
    if (!notes)
        return;
    *climb->joined = *notes;
    for (size_t i = 0; i < notes->notes; i++)
        climb->joined->note[i].marks = PASSO_NOTE_SLUR;
    const struct passo_melody melody = {.notes = climb->joined};
    struct passo_pass_shape joined = *shape;
    joined.melody = &melody;
    for (size_t i = 0; i < PASSO_DRONES_MAX; i++)
        joined.drone[i] = (struct passo_tone){0};
    struct passo_timeline *timeline =
        passo_timeline_build(&joined, ++climb->sounding->ids, pass->start, climb->rate_hz);
    keep_notes(pass, timeline);
    free(timeline);
}

int32_t strip_now(const struct climb *climb, const struct pass *pass)
{
    const size_t notes =
        pass->notes < climb->snapshot.strip.notes ? pass->notes : climb->snapshot.strip.notes;
    for (size_t i = 0; i < notes; i++)
        if (pass->note[i].from <= climb->now && climb->now < pass->note[i].until)
            return (int32_t)i;
    return -1;
}
