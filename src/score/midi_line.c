/* The notes of a MIDI part: begun and ended, then thinned to one line. */
#include "score/midi_priv.h"

#include <stdlib.h>

/* Of an overlap that is a player's legato, and of a length that is missing. */
enum { LEGATO_PART = 4, MISSING_PART = 8 };

bool midi_sounds_take(struct midi_sounds *sounds, const struct midi_event *event,
                      struct score_builder *build)
{
    const uint8_t channel = event->status & 0x0F;
    uint32_t *first = &sounds->first[channel][event->data[0]];
    uint32_t *last = &sounds->last[channel][event->data[0]];
    if (midi_ends(event) && *first) {
        struct midi_sound *sound = &sounds->sound[*first - 1];
        sound->off = event->tick;
        *first = sound->next;
        if (!*first)
            *last = 0;
    }
    if (!midi_begins(event))
        return true;
    if (sounds->sounds == PASSO_SCORE_NOTES_MAX)
        return score_fault(build, PASSO_ERR_RANGE,
                           "byte %zu: the part has more than %d notes; a shorter file will do",
                           event->byte, PASSO_SCORE_NOTES_MAX);
    sounds->sound = list_room(sounds->sound, sounds->sounds, sizeof *sounds->sound);
    sounds->sound[sounds->sounds++] = (struct midi_sound){
        .on = event->tick, .off = -1, .channel = channel, .key = event->data[0]};
    if (*last)
        sounds->sound[*last - 1].next = (uint32_t)sounds->sounds;
    else
        *first = (uint32_t)sounds->sounds;
    *last = (uint32_t)sounds->sounds;
    return true;
}

void midi_sounds_end(struct midi_sounds *sounds, int64_t tick)
{
    for (size_t i = 0; i < sounds->sounds; i++) {
        if (sounds->sound[i].off < 0)
            sounds->sound[i].off = tick;
    }
}

/* --- one line --- */

/* What does not last sounds in no part: such notes are dropped. */
static size_t drop_empty(struct midi_sounds *sounds)
{
    size_t kept = 0;
    for (size_t i = 0; i < sounds->sounds; i++) {
        if (sounds->sound[i].off > sounds->sound[i].on)
            sounds->sound[kept++] = sounds->sound[i];
    }
    const size_t dropped = sounds->sounds - kept;
    sounds->sounds = kept;
    return dropped;
}

/* Whether a note that begins while another sounds takes its place. */
static bool takes_over(const struct midi_sound *before, const struct midi_sound *sound)
{
    const int64_t old = before->off - before->on;
    const int64_t new = sound->off - sound->on;
    const int64_t over = before->off - sound->on;
    return over <= 0 || sound->key > before->key || over * LEGATO_PART <= (old < new ? old : new);
}

static size_t thin(struct midi_sounds *sounds)
{
    size_t kept = 0;
    for (size_t i = 0; i < sounds->sounds;) {
        struct midi_sound sound = sounds->sound[i++];
        for (; i < sounds->sounds && sounds->sound[i].on == sound.on; i++) {
            if (sounds->sound[i].key > sound.key)
                sound = sounds->sound[i];
        }
        struct midi_sound *before = kept ? &sounds->sound[kept - 1] : NULL;
        if (before && !takes_over(before, &sound))
            continue;
        if (before && before->off > sound.on)
            before->off = sound.on;
        sounds->sound[kept++] = sound;
    }
    const size_t left_out = sounds->sounds - kept;
    sounds->sounds = kept;
    return left_out;
}

/* The first tick from `off` on that a note of 1/`part` ends on, counted from the beginning; -1:
 * there are no whole ticks in one. */
static int64_t grid(int64_t off, int64_t whole_ticks, int64_t part)
{
    const int64_t step = whole_ticks % part ? 0 : whole_ticks / part;
    return step ? (off + step - 1) / step * step : -1;
}

static void lengthen(struct midi_sound *sound, int64_t next, int64_t whole_ticks)
{
    static const int64_t parts[] = {4, 8, 12, 16, 24, 32};
    const size_t count = sizeof parts / sizeof parts[0];
    const size_t meant = count - 1; /* those on which a note ends that is as it should be */
    const int64_t length = sound->off - sound->on;
    for (size_t i = 0; i < meant; i++) {
        if (grid(sound->off, whole_ticks, parts[i]) == sound->off)
            return;
    }
    if ((next - sound->off) * MISSING_PART < length) {
        sound->off = next;
        return;
    }
    for (size_t i = 0; i < count; i++) {
        const int64_t to = grid(sound->off, whole_ticks, parts[i]);
        if (to >= 0 && to <= next && (to - sound->off) * MISSING_PART < length) {
            sound->off = to;
            return;
        }
    }
}

size_t midi_sounds_line(struct midi_sounds *sounds, int64_t whole_ticks)
{
    size_t left_out = drop_empty(sounds);
    left_out += thin(sounds);
    for (size_t i = 0; i < sounds->sounds; i++) {
        /* Behind the last note the file may go on for as long as it likes. */
        const int64_t next =
            i + 1 < sounds->sounds ? sounds->sound[i + 1].on : sounds->sound[i].off + whole_ticks;
        lengthen(&sounds->sound[i], next, whole_ticks);
    }
    return left_out;
}
