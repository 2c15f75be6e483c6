/* What a MIDI file says of meters, keys and tempi. They may stand in any track; tempi and meters
 * are everyone's. */
#include "score/midi_priv.h"

#include <stdlib.h>

enum { METER_BYTES = 4, KEY_BYTES = 2, TEMPO_BYTES = 3, SIGNS_MAX = 7, UNIT_POWER_MAX = 6 };
#define MINUTE_US INT64_C(60000000)

static bool take_meter(struct midi_mark *mark, const struct midi_event *event,
                       struct score_builder *build)
{
    if (event->bytes < 2)
        return score_fault(build, PASSO_ERR_SYNTAX,
                           "byte %zu: a time signature of %zu bytes; it has %d", event->byte,
                           event->bytes, METER_BYTES);
    const uint8_t power = event->body[1];
    struct passo_meter meter;
    mark->is.meter.count = event->body[0];
    mark->is.meter.unit = (uint8_t)(power <= UNIT_POWER_MAX ? 1U << power : 0);
    if (passo_meter_init(&meter, mark->is.meter.count, mark->is.meter.unit) == PASSO_OK)
        return true;
    return score_fault(build, PASSO_ERR_RANGE,
                       "byte %zu: a time signature of %d notes of 1/2^%d; 1 to %d, of 1/1 to 1/64, "
                       "can be counted",
                       event->byte, event->body[0], power, PASSO_METER_COUNT_MAX);
}

static bool take_key(struct midi_mark *mark, const struct midi_event *event,
                     struct score_builder *build)
{
    const int signs = event->bytes ? (int8_t)event->body[0] : 0;
    const int minor = event->bytes > 1 ? event->body[1] : 2;
    if (signs < -SIGNS_MAX || signs > SIGNS_MAX || minor > 1)
        return score_fault(build, PASSO_ERR_SYNTAX,
                           "byte %zu: a key signature that is none; up to seven sharps or flats, "
                           "then 0 for major or 1 for minor",
                           event->byte);
    mark->is.key = (struct passo_key){(int8_t)(signs + 3 * minor),
                                      (uint8_t)(minor ? PASSO_MODE_MINOR : PASSO_MODE_MAJOR)};
    return true;
}

static bool take_tempo(struct midi_mark *mark, const struct midi_event *event,
                       struct score_builder *build)
{
    if (event->bytes >= TEMPO_BYTES)
        mark->is.quarter_us =
            (uint32_t)event->body[0] << 16 | (uint32_t)event->body[1] << 8 | event->body[2];
    if (mark->is.quarter_us)
        return true;
    return score_fault(build, PASSO_ERR_SYNTAX,
                       "byte %zu: a tempo that is none; three bytes of microseconds a quarter",
                       event->byte);
}

bool midi_marks_take(struct midi_marks *marks, const struct midi_event *event, size_t track,
                     struct score_builder *build)
{
    struct midi_mark mark = {.tick = event->tick,
                             .order = marks->marks,
                             .track = track,
                             .kind = (enum midi_meta)event->meta};
    if (event->status != 0xFF || (mark.kind != MIDI_META_METER && mark.kind != MIDI_META_KEY &&
                                  mark.kind != MIDI_META_TEMPO))
        return true;
    const bool taken = mark.kind == MIDI_META_METER ? take_meter(&mark, event, build)
                       : mark.kind == MIDI_META_KEY ? take_key(&mark, event, build)
                                                    : take_tempo(&mark, event, build);
    if (!taken)
        return false;
    if (marks->marks == PASSO_SCORE_NOTES_MAX)
        return score_fault(build, PASSO_ERR_RANGE,
                           "byte %zu: more than %d meters, keys and tempi; a shorter file will do",
                           event->byte, PASSO_SCORE_NOTES_MAX);
    marks->mark = list_room(marks->mark, marks->marks, sizeof mark);
    marks->mark[marks->marks++] = mark;
    return true;
}

static int compare(const void *left, const void *right)
{
    const struct midi_mark *a = left;
    const struct midi_mark *b = right;
    if (a->tick != b->tick)
        return a->tick < b->tick ? -1 : 1;
    return (a->order > b->order) - (a->order < b->order);
}

void midi_marks_sort(struct midi_marks *marks)
{
    if (marks->marks)
        qsort(marks->mark, marks->marks, sizeof *marks->mark, compare);
}

void midi_marks_keep_keys(struct midi_marks *marks, size_t track)
{
    size_t from = SIZE_MAX;
    size_t kept = 0;
    for (size_t i = 0; i < marks->marks; i++) {
        const struct midi_mark *mark = &marks->mark[i];
        if (mark->kind == MIDI_META_KEY && from != track &&
            (mark->track == track || mark->track < from))
            from = mark->track;
    }
    for (size_t i = 0; i < marks->marks; i++) {
        if (marks->mark[i].kind != MIDI_META_KEY || marks->mark[i].track == from)
            marks->mark[kept++] = marks->mark[i];
    }
    marks->marks = kept;
}

bool midi_marks_any_key(const struct midi_marks *marks)
{
    for (size_t i = 0; i < marks->marks; i++) {
        if (marks->mark[i].kind == MIDI_META_KEY)
            return true;
    }
    return false;
}

/* Whether a writer who meant `beats` in `minute_us` may have written `quarter_us`. */
static bool meant(int64_t minute_us, int64_t beats, int64_t quarter_us)
{
    return beats > 0 &&
           (minute_us / beats == quarter_us || (2 * minute_us + beats) / (2 * beats) == quarter_us);
}

int32_t midi_tempo_mbpm(uint32_t quarter_us)
{
    /* Of beats a minute, of their tenths, and of their thousandths, which are what is counted. */
    static const int32_t part[] = {1, 10, 1000};
    int64_t mbpm = 0;
    for (size_t i = 0; i < sizeof part / sizeof part[0]; i++) {
        const int64_t minute = MINUTE_US * part[i];
        const int64_t beats = (2 * minute + quarter_us) / (2 * (int64_t)quarter_us);
        mbpm = beats * (1000 / part[i]);
        if (meant(minute, beats, quarter_us))
            break;
    }
    return (int32_t)(mbpm < PASSO_TEMPO_MIN_MBPM   ? PASSO_TEMPO_MIN_MBPM
                     : mbpm > PASSO_TEMPO_MAX_MBPM ? PASSO_TEMPO_MAX_MBPM
                                                   : mbpm);
}
