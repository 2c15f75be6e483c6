/* The notes of a pass: which of them are played in it, where each begins and how long it sounds.
 * What is notated is laid out as the clicks are: a position of its own for each beginning and end,
 * and only then a frame. Thread: any but the audio thread; it allocates. */
#include <passo/error.h>

#include "grain_priv.h"
#include "timeline_priv.h"

/* How much of its written length a note sounds (common practice). */
static const struct passo_ratio staccato = {1, 2};
static const struct passo_ratio tenuto = {31, 32};
static const struct passo_ratio plain = {7, 8};

struct singer {
    const struct melody_ground *ground;
    struct passo_ratio offset; /* of score places against the notes' line */
    struct passo_ratio entry;  /* score place */
    struct melody_events *out;
    size_t first_tone;
    bool slurred; /* the note before leads into this one */
};

static void add(struct singer *singer, struct passo_ratio position, enum passo_event_kind kind)
{
    const struct melody_ground *ground = singer->ground;
    struct melody_events *out = singer->out;
    out->event[out->events++] = (struct passo_event){
        .frame = passo_tempo_frame(ground->origin, position, ground->tempo, ground->rate_hz),
        .bar = (int32_t)(singer->first_tone + out->tones - 1),
        .kind = (uint8_t)kind};
}

static void add_tone(struct singer *singer, const struct passo_note *note)
{
    const struct passo_melody *melody = singer->ground->shape->melody;
    const double a4_hz = melody->a4_hz > 0 ? melody->a4_hz : PASSO_A4_HZ;
    const int midi = passo_pitch_midi(note->pitch) + melody->semitones;
    enum passo_onset onset = singer->slurred                   ? PASSO_ONSET_SLURRED
                             : note->marks & PASSO_NOTE_ACCENT ? PASSO_ONSET_ACCENT
                                                               : PASSO_ONSET_TONGUED;
    singer->out->tone[singer->out->tones++] =
        (struct passo_tone){.hz = (float)passo_pitch_hz(midi, a4_hz),
                            .level = melody->level > 0 ? melody->level : PASSO_NOTE_LEVEL,
                            .layer = PASSO_LAYER_NOTE,
                            .onset = (uint8_t)onset};
}

/* From the pass's start; of a place behind the body, at the landing's tempo. */
static struct passo_ratio position_of(const struct singer *singer, struct passo_ratio score,
                                      bool ends)
{
    const struct melody_ground *ground = singer->ground;
    if (passo_ratio_cmp(score, ground->to_score) > 0) {
        struct passo_ratio behind = grain_div(passo_ratio_sub(score, ground->to_score),
                                              warp_share(ground->warp, ground->to_score));
        return grain_add(ground->landing, behind);
    }
    return grain_add(ground->body,
                     ends ? warp_until(ground->warp, score) : warp_at(ground->warp, score));
}

static struct passo_ratio sounding(const struct passo_note *note)
{
    return note->marks & PASSO_NOTE_STACCATO ? staccato
           : note->marks & PASSO_NOTE_TENUTO ? tenuto
                                             : plain;
}

/* Whether time stands still between what ends at a place and what begins there: a breath, a
 * fermata's preparation. */
static bool stands_still(const struct singer *singer, struct passo_ratio score)
{
    const struct warp *warp = singer->ground->warp;
    return passo_ratio_cmp(warp_until(warp, score), warp_at(warp, score)) != 0;
}

/* Whether the note leads into the next, which is played in this pass too. */
static bool leads_on(const struct singer *singer, const struct passo_note *note,
                     const struct passo_note *next, struct passo_ratio end)
{
    if (!next || !(note->marks & PASSO_NOTE_SLUR) ||
        passo_ratio_cmp(passo_ratio_add(note->at, note->length), next->at) != 0)
        return false;
    int order = passo_ratio_cmp(end, singer->ground->to_score);
    return (order < 0 || (order == 0 && !singer->ground->shape->no_landing)) &&
           !stands_still(singer, end);
}

static void sing(struct singer *singer, const struct passo_note *note,
                 const struct passo_note *next)
{
    const struct melody_ground *ground = singer->ground;
    struct passo_ratio from = passo_ratio_sub(note->at, singer->offset);
    struct passo_ratio end = passo_ratio_add(from, note->length);
    if (passo_ratio_cmp(from, singer->entry) < 0)
        from = singer->entry;
    struct passo_ratio on = passo_ratio_cmp(from, ground->to_score) < 0
                                ? position_of(singer, from, false)
                                : ground->landing;
    struct passo_ratio written = grain_sub(position_of(singer, end, true), on);
    struct passo_ratio off = grain_add(on, grain_mul(written, sounding(note)));
    add_tone(singer, note);
    add(singer, on, PASSO_EVENT_TONE_ON);
    singer->slurred = leads_on(singer, note, next, end);
    if (!singer->slurred)
        add(singer, passo_ratio_cmp(off, ground->end) < 0 ? off : ground->end,
            PASSO_EVENT_TONE_OFF);
}

void timeline_melody(const struct melody_ground *ground, size_t first_tone,
                     struct melody_events *out_events)
{
    const struct passo_notes *notes = ground->shape->melody->notes;
    const struct passo_place line = {ground->from.bar, {0, 1}};
    const struct passo_ratio offset = passo_notes_at(ground->shape->passage, line);
    const struct passo_ratio from = passo_ratio_add(ground->from.at, offset);
    const struct passo_ratio to = passo_ratio_add(ground->to_score, offset);
    *out_events = (struct melody_events){
        .event = passo_xcalloc(2 * notes->notes + 1, sizeof *out_events->event),
        .tone = passo_xcalloc(notes->notes + 1, sizeof *out_events->tone)};
    struct singer singer = {.ground = ground,
                            .offset = offset,
                            .entry = ground->from.at,
                            .out = out_events,
                            .first_tone = first_tone};
    for (size_t i = 0; i < notes->notes; i++) {
        const struct passo_note *next = i + 1 < notes->notes ? &notes->note[i + 1] : NULL;
        if (passo_notes_is_played(&notes->note[i], from, to, !ground->shape->no_landing))
            sing(&singer, &notes->note[i], next);
    }
}
