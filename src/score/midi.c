/* Standard MIDI Files 1.0, formats 0 and 1. The file is gone through twice: once for all that
 * stands in it for every part, the parts' names and which of them have notes; once for the notes of
 * the part that was asked for. A part is a track with notes; of format 0, whose one track holds
 * them all, a channel. */
#include "score/midi_priv.h"

#include <stdlib.h>
#include <string.h>

enum {
    CHUNK_BYTES = 8,
    HEADER_BYTES = 6,
    WHOLE_QUARTERS = 4,
    TIME_CODE = 0x8000, /* of a division that counts frames */
    ALL_CHANNELS = -1
};

struct chunk {
    size_t at;
    size_t end;
};

struct part {
    size_t track;
    int channel; /* ALL_CHANNELS of a track */
};

struct reading {
    const uint8_t *data;
    size_t bytes;
    unsigned format;
    unsigned division; /* ticks a quarter */
    struct chunk *track;
    size_t tracks;
    struct midi_marks marks;
    struct part part[PASSO_SCORE_PARTS_MAX];
    int64_t end; /* the tick of the last note's begin or end, of all parts */
    struct midi_sounds sounds;
    struct gather_fault fault;
};

static uint32_t number(const uint8_t *at, int bytes)
{
    uint32_t value = 0;
    for (int i = 0; i < bytes; i++)
        value = value << 8 | at[i];
    return value;
}

/* --- chunks --- */

static bool read_division(struct reading *reading)
{
    const uint32_t division = number(reading->data + CHUNK_BYTES + 4, 2);
    if (division & TIME_CODE)
        return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                            "byte 12: the file counts frames of a time code; save it with ticks a "
                            "quarter note");
    if (!division)
        return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                            "byte 12: no ticks in a quarter note; this is no MIDI");
    reading->division = division;
    return true;
}

static bool read_header(struct reading *reading, size_t *out_next)
{
    const uint8_t *data = reading->data;
    if (reading->bytes < CHUNK_BYTES + HEADER_BYTES || memcmp(data, "MThd", 4) != 0)
        return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                            "byte 0: no head of a MIDI file (MThd and 6 bytes of it)");
    const uint32_t length = number(data + 4, 4);
    if (length < HEADER_BYTES || length > reading->bytes - CHUNK_BYTES)
        return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                            "byte 4: a head of %lu bytes; it has 6, and the file %zu in all",
                            (unsigned long)length, reading->bytes);
    reading->format = number(data + CHUNK_BYTES, 2);
    if (reading->format > 1)
        return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                            "byte 8: a MIDI file of format %u; format 0 or 1 can be read",
                            reading->format);
    *out_next = CHUNK_BYTES + length;
    return read_division(reading);
}

/* Finds the tracks; chunks of other kinds are passed over, and so is what follows the last track
 * that the head counts. */
static bool find_tracks(struct reading *reading)
{
    size_t at = 0;
    if (!read_header(reading, &at))
        return false;
    const uint32_t count = number(reading->data + CHUNK_BYTES + 2, 2);
    const size_t wanted = reading->format == 0 && count > 1 ? 1 : count;
    while (reading->tracks < wanted) {
        if (reading->bytes - at < CHUNK_BYTES)
            return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                                "byte %zu: the file ends after %zu of its %zu tracks; it was cut "
                                "off",
                                reading->bytes, reading->tracks, wanted);
        const uint32_t length = number(reading->data + at + 4, 4);
        if (length > reading->bytes - at - CHUNK_BYTES)
            return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                                "byte %zu: a track of %lu bytes, and %zu are left; the file was "
                                "cut off",
                                at, (unsigned long)length, reading->bytes - at - CHUNK_BYTES);
        const struct chunk chunk = {at + CHUNK_BYTES, at + CHUNK_BYTES + length};
        if (memcmp(reading->data + at, "MTrk", 4) == 0) {
            reading->track = gather_room(reading->track, reading->tracks, sizeof chunk);
            reading->track[reading->tracks++] = chunk;
        }
        at = chunk.end;
    }
    return true;
}

static struct midi_track open_track(const struct reading *reading, size_t track)
{
    return (struct midi_track){
        .data = reading->data, .at = reading->track[track].at, .end = reading->track[track].end};
}

/* --- the first time through --- */

static bool add_part(struct reading *reading, struct passo_score *score, size_t track, int channel,
                     const char *name)
{
    if (score->parts == PASSO_SCORE_PARTS_MAX)
        return gather_fault(&reading->fault, PASSO_ERR_RANGE,
                            "the file has more than %d parts; a smaller one will do",
                            PASSO_SCORE_PARTS_MAX);
    score->part_name = gather_room(score->part_name, score->parts, PASSO_TEXT_MAX);
    snprintf(score->part_name[score->parts], PASSO_TEXT_MAX, "%s", name);
    reading->part[score->parts++] = (struct part){track, channel};
    return true;
}

static bool add_parts(struct reading *reading, struct passo_score *score, size_t track,
                      unsigned channels, const char *name)
{
    if (channels && reading->format == 1)
        return add_part(reading, score, track, ALL_CHANNELS, name);
    for (int channel = 0; channel < MIDI_CHANNELS; channel++) {
        char numbered[PASSO_TEXT_MAX];
        snprintf(numbered, sizeof numbered, "channel %d", channel + 1);
        if ((channels >> channel & 1) && !add_part(reading, score, track, channel, numbered))
            return false;
    }
    return true;
}

static bool look_through(struct reading *reading, struct passo_score *score, size_t number_of)
{
    struct midi_track track = open_track(reading, number_of);
    struct midi_event event;
    char name[PASSO_TEXT_MAX] = "";
    unsigned channels = 0;
    while (midi_next(&track, &event, &reading->fault)) {
        if (!midi_marks_take(&reading->marks, &event, number_of, &reading->fault))
            return false;
        if (event.status == 0xFF && event.meta == MIDI_META_NAME && !name[0])
            gather_text((const char *)event.body, event.bytes, name);
        if (midi_begins(&event))
            channels |= 1U << (event.status & 0x0F);
        if ((midi_begins(&event) || midi_ends(&event)) && event.tick > reading->end)
            reading->end = event.tick;
    }
    if (number_of == 0)
        memcpy(score->title, name, sizeof name);
    return reading->fault.error == PASSO_OK && add_parts(reading, score, number_of, channels, name);
}

/* --- the second --- */

static bool read_notes(struct reading *reading, const struct part *part)
{
    struct midi_track track = open_track(reading, part->track);
    struct midi_event event;
    while (midi_next(&track, &event, &reading->fault)) {
        const bool ours = part->channel == ALL_CHANNELS || part->channel == (event.status & 0x0F);
        if (ours && (midi_begins(&event) || midi_ends(&event)) &&
            !midi_sounds_take(&reading->sounds, &event, &reading->fault))
            return false;
    }
    midi_sounds_end(&reading->sounds, track.tick);
    return reading->fault.error == PASSO_OK;
}

/* Spelt by the key signature in force at each note. */
static void write_notes(const struct reading *reading, struct passo_key key,
                        struct passo_score *score)
{
    const int64_t whole = (int64_t)reading->division * WHOLE_QUARTERS;
    const struct midi_marks *marks = &reading->marks;
    size_t next = 0;
    for (size_t i = 0; i < reading->sounds.sounds; i++) {
        const struct midi_sound *sound = &reading->sounds.sound[i];
        for (; next < marks->marks && marks->mark[next].tick <= sound->on; next++) {
            if (marks->mark[next].kind == MIDI_META_KEY)
                key = marks->mark[next].is.key;
        }
        score->note = gather_room(score->note, i, sizeof *score->note);
        score->note[i] = (struct passo_note){.at = passo_ratio(sound->on, whole),
                                             .length = passo_ratio(sound->off - sound->on, whole),
                                             .pitch = passo_pitch_of_midi(sound->key, key)};
    }
    score->notes = reading->sounds.sounds;
}

static bool read_part(struct reading *reading, const struct passo_score_ask *ask,
                      struct passo_score *score)
{
    const int64_t whole = (int64_t)reading->division * WHOLE_QUARTERS;
    size_t part = 0;
    if (!score->parts)
        return gather_fault(&reading->fault, PASSO_ERR_SYNTAX, "the file has no notes in it");
    if (!gather_part((const char(*)[PASSO_TEXT_MAX])score->part_name, score->parts, ask->part, 0,
                     &part, &reading->fault) ||
        !read_notes(reading, &reading->part[part]))
        return false;
    memcpy(score->part, score->part_name[part], PASSO_TEXT_MAX);
    score->left_out = midi_sounds_line(&reading->sounds, whole);
    if (!reading->sounds.sounds)
        return gather_fault(&reading->fault, PASSO_ERR_SYNTAX,
                            "part %zu has no notes that last; name another", part + 1);
    const struct midi_sound *last = &reading->sounds.sound[reading->sounds.sounds - 1];
    midi_marks_keep_keys(&reading->marks, reading->part[part].track);
    for (size_t i = 0; i < reading->marks.marks; i++)
        score->keyed = score->keyed || reading->marks.mark[i].kind == MIDI_META_KEY;
    if (!midi_bars(&reading->marks, whole, last->off > reading->end ? last->off : reading->end,
                   ask->key, score, &reading->fault))
        return false;
    write_notes(reading, ask->key, score);
    score->sounding = true;
    return true;
}

enum passo_error passo_midi_read(const uint8_t *data, size_t bytes,
                                 const struct passo_score_ask *ask, struct passo_score *out_score,
                                 char *out_fault, size_t fault_bytes)
{
    struct reading *reading = passo_xcalloc(1, sizeof *reading);
    reading->data = data;
    reading->bytes = bytes;
    reading->fault = (struct gather_fault){.text = out_fault, .bytes = fault_bytes};
    *out_score = (struct passo_score){0};
    bool good = find_tracks(reading);
    for (size_t i = 0; good && i < reading->tracks; i++)
        good = look_through(reading, out_score, i);
    midi_marks_sort(&reading->marks);
    if (!good || !read_part(reading, ask, out_score))
        passo_score_deinit(out_score);
    const enum passo_error error = reading->fault.error;
    free(reading->track);
    free(reading->marks.mark);
    free(reading->sounds.sound);
    free(reading);
    return error;
}
