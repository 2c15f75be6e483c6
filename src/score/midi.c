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
    struct score_builder build;
    struct passo_score *score; /* that is built */
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
        return score_fault(&reading->build, PASSO_ERR_SYNTAX,
                           "byte 12: the file counts frames of a time code; save it with ticks a "
                           "quarter note");
    if (!division)
        return score_fault(&reading->build, PASSO_ERR_SYNTAX,
                           "byte 12: no ticks in a quarter note; this is no MIDI");
    reading->division = division;
    return true;
}

static bool read_header(struct reading *reading, size_t *out_next)
{
    const uint8_t *data = reading->data;
    if (reading->bytes < CHUNK_BYTES + HEADER_BYTES || memcmp(data, "MThd", 4) != 0)
        return score_fault(&reading->build, PASSO_ERR_SYNTAX,
                           "byte 0: no head of a MIDI file (MThd and 6 bytes of it)");
    const uint32_t length = number(data + 4, 4);
    if (length < HEADER_BYTES || length > reading->bytes - CHUNK_BYTES)
        return score_fault(&reading->build, PASSO_ERR_SYNTAX,
                           "byte 4: a head of %lu bytes; it has 6, and the file %zu in all",
                           (unsigned long)length, reading->bytes);
    reading->format = number(data + CHUNK_BYTES, 2);
    if (reading->format > 1)
        return score_fault(&reading->build, PASSO_ERR_SYNTAX,
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
            return score_fault(&reading->build, PASSO_ERR_SYNTAX,
                               "byte %zu: the file ends after %zu of its %zu tracks; it was cut "
                               "off",
                               reading->bytes, reading->tracks, wanted);
        const uint32_t length = number(reading->data + at + 4, 4);
        if (length > reading->bytes - at - CHUNK_BYTES)
            return score_fault(&reading->build, PASSO_ERR_SYNTAX,
                               "byte %zu: a track of %lu bytes, and %zu are left; the file was "
                               "cut off",
                               at, (unsigned long)length, reading->bytes - at - CHUNK_BYTES);
        const struct chunk chunk = {at + CHUNK_BYTES, at + CHUNK_BYTES + length};
        if (memcmp(reading->data + at, "MTrk", 4) == 0) {
            reading->track = list_room(reading->track, reading->tracks, sizeof chunk);
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

static bool add_part(struct reading *reading, size_t track, int channel, const char *name)
{
    const size_t part = reading->score->parts;
    if (!score_add_part(&reading->build, name, strlen(name)))
        return false;
    reading->part[part] = (struct part){track, channel};
    return true;
}

static bool add_parts(struct reading *reading, size_t track, unsigned channels, const char *name)
{
    if (channels && reading->format == 1)
        return add_part(reading, track, ALL_CHANNELS, name);
    for (int channel = 0; channel < MIDI_CHANNELS; channel++) {
        char numbered[PASSO_TEXT_MAX];
        snprintf(numbered, sizeof numbered, "channel %d", channel + 1);
        if ((channels >> channel & 1) && !add_part(reading, track, channel, numbered))
            return false;
    }
    return true;
}

static bool look_through(struct reading *reading, size_t number_of)
{
    struct midi_track track = open_track(reading, number_of);
    struct midi_event event;
    char name[PASSO_TEXT_MAX] = "";
    unsigned channels = 0;
    while (midi_next(&track, &event, &reading->build)) {
        if (!midi_marks_take(&reading->marks, &event, number_of, &reading->build))
            return false;
        if (event.status == 0xFF && event.meta == MIDI_META_NAME && !name[0])
            score_text((const char *)event.body, event.bytes, name);
        if (midi_begins(&event))
            channels |= 1U << (event.status & 0x0F);
        if ((midi_begins(&event) || midi_ends(&event)) && event.tick > reading->end)
            reading->end = event.tick;
    }
    if (number_of == 0)
        memcpy(reading->score->title, name, sizeof name);
    return reading->build.error == PASSO_OK && add_parts(reading, number_of, channels, name);
}

/* --- the second --- */

static bool read_notes(struct reading *reading, const struct part *part)
{
    struct midi_track track = open_track(reading, part->track);
    struct midi_event event;
    while (midi_next(&track, &event, &reading->build)) {
        const bool ours = part->channel == ALL_CHANNELS || part->channel == (event.status & 0x0F);
        if (ours && (midi_begins(&event) || midi_ends(&event)) &&
            !midi_sounds_take(&reading->sounds, &event, &reading->build))
            return false;
    }
    midi_sounds_end(&reading->sounds, track.tick);
    return reading->build.error == PASSO_OK;
}

/* Spelt by the key signature in force at each note. */
static bool write_notes(struct reading *reading, struct passo_key key)
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
        const struct passo_note note = {.at = passo_ratio(sound->on, whole),
                                        .length = passo_ratio(sound->off - sound->on, whole),
                                        .pitch = passo_pitch_of_midi(sound->key, key)};
        if (!score_add_note(&reading->build, &note, false))
            return false;
    }
    return true;
}

static bool choose_part(struct reading *reading, const char *asked, size_t *out_part)
{
    size_t notes[PASSO_SCORE_PARTS_MAX];
    for (size_t i = 0; i < PASSO_SCORE_PARTS_MAX; i++)
        notes[i] = 1; /* a part is one only if it has any */
    if (!reading->score->parts)
        return score_fault(&reading->build, PASSO_ERR_SYNTAX, "the file has no notes in it");
    return score_choose_part(&reading->build, asked, notes, out_part);
}

static bool read_part(struct reading *reading, const struct passo_score_ask *ask)
{
    const int64_t whole = (int64_t)reading->division * WHOLE_QUARTERS;
    const struct midi_sounds *sounds = &reading->sounds;
    size_t part = 0;
    if (!choose_part(reading, ask->part, &part) || !read_notes(reading, &reading->part[part]))
        return false;
    reading->score->left_out = midi_sounds_line(&reading->sounds, whole);
    if (!sounds->sounds)
        return score_fault(&reading->build, PASSO_ERR_SYNTAX,
                           "part %zu has no notes that last; name another", part + 1);
    const int64_t last = sounds->sound[sounds->sounds - 1].off;
    midi_marks_keep_keys(&reading->marks, reading->part[part].track);
    reading->score->keyed = midi_marks_any_key(&reading->marks);
    reading->score->sounding = true;
    return midi_bars(&reading->marks, whole, last > reading->end ? last : reading->end, ask->key,
                     &reading->build) &&
           write_notes(reading, ask->key);
}

enum passo_error passo_midi_read(const uint8_t *data, size_t bytes,
                                 const struct passo_score_ask *ask, struct passo_score *out_score,
                                 char *out_fault, size_t fault_bytes)
{
    struct reading *reading = passo_xcalloc(1, sizeof *reading);
    reading->data = data;
    reading->bytes = bytes;
    reading->score = out_score;
    score_begin(&reading->build, out_score, out_fault, fault_bytes);
    bool good = find_tracks(reading);
    for (size_t i = 0; good && i < reading->tracks; i++)
        good = look_through(reading, i);
    midi_marks_sort(&reading->marks);
    if (good)
        read_part(reading, ask);
    const enum passo_error error = score_end(&reading->build);
    free(reading->track);
    free(reading->marks.mark);
    free(reading->sounds.sound);
    free(reading);
    return error;
}
