/* The bytes of a MIDI track as events. Each step takes at least one byte, and none looks beyond the
 * track's end. */
#include "score/midi_priv.h"

enum { META = 0xFF, SYSTEM = 0xF0, ESCAPE = 0xF7, VARIABLE_BYTES = 4 };

static bool torn(const struct midi_track *track, struct score_builder *build)
{
    return score_fault(build, PASSO_ERR_SYNTAX,
                       "byte %zu: the track ends in the middle of an event; the file was cut off",
                       track->end);
}

static bool take_byte(struct midi_track *track, uint8_t *out_byte, struct score_builder *build)
{
    if (track->at == track->end)
        return torn(track, build);
    *out_byte = track->data[track->at++];
    return true;
}

bool midi_variable(struct midi_track *track, uint32_t *out_value, struct score_builder *build)
{
    const size_t from = track->at;
    uint8_t byte = 0;
    *out_value = 0;
    for (int i = 0; i < VARIABLE_BYTES; i++) {
        if (!take_byte(track, &byte, build))
            return false;
        *out_value = *out_value << 7 | (byte & 0x7F);
        if (byte < 0x80)
            return true;
    }
    return score_fault(build, PASSO_ERR_SYNTAX,
                       "byte %zu: a time or a length of more than four bytes; this is no MIDI",
                       from);
}

/* A system exclusive or a meta event: its bytes are passed over, and may be looked at. */
static bool take_body(struct midi_track *track, struct midi_event *event,
                      struct score_builder *build)
{
    uint32_t length = 0;
    if (event->status == META && !take_byte(track, &event->meta, build))
        return false;
    if (!midi_variable(track, &length, build))
        return false;
    if (length > track->end - track->at)
        return torn(track, build);
    event->body = track->data + track->at;
    event->bytes = length;
    track->at += length;
    return true;
}

static bool take_data(struct midi_track *track, struct midi_event *event,
                      struct score_builder *build)
{
    const uint8_t kind = event->status & 0xF0;
    const int count = kind == 0xC0 || kind == 0xD0 ? 1 : 2;
    for (int i = 0; i < count; i++) {
        if (!take_byte(track, &event->data[i], build))
            return false;
        if (event->data[i] >= 0x80)
            return score_fault(build, PASSO_ERR_SYNTAX,
                               "byte %zu: %02X where an event of a channel goes on; this is no "
                               "MIDI",
                               track->at - 1, event->data[i]);
    }
    return true;
}

/* The status, or the one that goes on. The specification has system exclusive and meta events end
 * it; files in which it goes on are read by every player, so here too. */
static bool take_status(struct midi_track *track, struct midi_event *event,
                        struct score_builder *build)
{
    event->byte = track->at;
    if (!take_byte(track, &event->status, build))
        return false;
    if (event->status < 0x80 && track->running) {
        track->at--;
        event->status = track->running;
        return true;
    }
    if (event->status < SYSTEM)
        track->running = event->status;
    if (event->status >= 0x80 &&
        (event->status <= SYSTEM || event->status == ESCAPE || event->status == META))
        return true;
    return score_fault(build, PASSO_ERR_SYNTAX,
                       "byte %zu: %02X where an event begins; this is no MIDI", event->byte,
                       event->status);
}

bool midi_next(struct midi_track *track, struct midi_event *out_event, struct score_builder *build)
{
    uint32_t delta = 0;
    *out_event = (struct midi_event){0};
    if (track->ended || track->at == track->end)
        return false;
    if (!midi_variable(track, &delta, build) || !take_status(track, out_event, build))
        return false;
    track->tick += delta;
    out_event->tick = track->tick;
    if (out_event->status < SYSTEM)
        return take_data(track, out_event, build);
    if (!take_body(track, out_event, build))
        return false;
    track->ended = out_event->status == META && out_event->meta == MIDI_META_END;
    return !track->ended;
}

bool midi_begins(const struct midi_event *event)
{
    return (event->status & 0xF0) == 0x90 && event->data[1] > 0;
}

bool midi_ends(const struct midi_event *event)
{
    return (event->status & 0xF0) == 0x80 ||
           ((event->status & 0xF0) == 0x90 && event->data[1] == 0);
}
