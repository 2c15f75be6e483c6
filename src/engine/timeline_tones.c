/* Tones in a timeline: woven into its events, and timelines of nothing else. Thread: any but the
 * audio thread; it allocates. */
#include <passo/error.h>

#include <stdlib.h>
#include <string.h>

#include "timeline_priv.h"

struct passo_timeline *timeline_with_tones(struct passo_timeline *timeline,
                                           const struct passo_tone *drone, size_t drones,
                                           struct melody_events *melody)
{
    const size_t events = timeline->events + melody->events;
    const size_t tones = drones + melody->tones;
    struct passo_timeline *whole =
        passo_xcalloc(1, sizeof *whole + events * sizeof whole->event[0] +
                             (tones + 1) * sizeof(struct passo_tone));
    struct passo_tone *tone = (struct passo_tone *)(whole->event + events);
    *whole = *timeline;
    whole->events = events;
    size_t taken = 0; /* of the melody */
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        while (event->kind != PASSO_EVENT_TONE_ON && taken < melody->events &&
               melody->event[taken].frame <= event->frame) {
            whole->event[i + taken] = melody->event[taken];
            taken++;
        }
        whole->event[i + taken] = *event;
    }
    memcpy(tone, drone, drones * sizeof *tone);
    if (melody->tones)
        memcpy(tone + drones, melody->tone, melody->tones * sizeof *tone);
    whole->tones = tones;
    whole->tone = tone;
    free(melody->event);
    free(melody->tone);
    free(timeline);
    return whole;
}

struct passo_timeline *passo_timeline_tones(const struct passo_tone *tone, size_t tones,
                                            int64_t length_ms, uint64_t id,
                                            struct passo_instant start, uint32_t rate_hz)
{
    PASSO_BUG_ON(tones < 1 || tones > PASSO_LAYER_COUNT || length_ms < 1);
    const size_t events = 2 * tones + 1;
    struct passo_timeline *made =
        passo_xcalloc(1, sizeof *made + events * sizeof made->event[0] + tones * sizeof *tone);
    struct passo_tone *place = (struct passo_tone *)(made->event + events);
    const struct passo_instant end =
        passo_instant_add(start, passo_instant_from_ms(length_ms, rate_hz));
    const int64_t last = passo_instant_frame(end) - start.frame;
    *made = (struct passo_timeline){.id = id,
                                    .rate_hz = rate_hz,
                                    .start = start,
                                    .body = start,
                                    .landing = end,
                                    .end = end,
                                    .tones = tones,
                                    .tone = place,
                                    .events = events};
    for (size_t i = 0; i < tones; i++) {
        place[i] = tone[i];
        if (place[i].level <= 0)
            place[i].level = PASSO_TONE_LEVEL;
        made->event[i] = (struct passo_event){.frame = passo_instant_frame(start) - start.frame,
                                              .bar = (int32_t)i,
                                              .kind = PASSO_EVENT_TONE_ON};
        made->event[tones + i] =
            (struct passo_event){.frame = last, .bar = (int32_t)i, .kind = PASSO_EVENT_TONE_OFF};
    }
    made->event[events - 1] = (struct passo_event){.frame = last, .kind = PASSO_EVENT_END};
    return made;
}
