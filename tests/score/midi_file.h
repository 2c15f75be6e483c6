/* MIDI files put together byte by byte, for tests. */
#ifndef PASSO_TESTS_MIDI_FILE_H
#define PASSO_TESTS_MIDI_FILE_H

#include "scores_text.h"

struct midi_file {
    uint8_t *data;
    size_t bytes;
    size_t track; /* where the open track's length stands */
};

__attribute__((unused)) static void midi_put(struct midi_file *file, const void *bytes,
                                             size_t count)
{
    file->data = realloc(file->data, file->bytes + count);
    assert_non_null(file->data);
    memcpy(file->data + file->bytes, bytes, count);
    file->bytes += count;
}

__attribute__((unused)) static void midi_number(struct midi_file *file, uint32_t value, int bytes)
{
    for (int i = bytes - 1; i >= 0; i--)
        midi_put(file, &(uint8_t){(uint8_t)(value >> 8 * i)}, 1);
}

__attribute__((unused)) static void midi_begin(struct midi_file *file, unsigned format,
                                               unsigned tracks, unsigned division)
{
    *file = (struct midi_file){0};
    midi_put(file, "MThd", 4);
    midi_number(file, 6, 4);
    midi_number(file, format, 2);
    midi_number(file, tracks, 2);
    midi_number(file, division, 2);
}

__attribute__((unused)) static void midi_track(struct midi_file *file)
{
    midi_put(file, "MTrk", 4);
    file->track = file->bytes;
    midi_number(file, 0, 4);
}

__attribute__((unused)) static void midi_time(struct midi_file *file, uint32_t ticks)
{
    for (int shift = 21; shift > 0; shift -= 7) {
        if (ticks >> shift)
            midi_number(file, 0x80 | (ticks >> shift & 0x7F), 1);
    }
    midi_number(file, ticks & 0x7F, 1);
}

__attribute__((unused)) static void midi_voice(struct midi_file *file, uint32_t ticks, int status,
                                               int first, int second)
{
    midi_time(file, ticks);
    midi_number(file, (uint32_t)status, 1);
    midi_number(file, (uint32_t)first, 1);
    midi_number(file, (uint32_t)second, 1);
}

__attribute__((unused)) static void midi_meta(struct midi_file *file, uint32_t ticks, int kind,
                                              const char *body, size_t bytes)
{
    midi_time(file, ticks);
    midi_number(file, 0xFF00 | (uint32_t)kind, 2);
    midi_time(file, (uint32_t)bytes);
    midi_put(file, body, bytes);
}

/* A note of channel 1 after a rest. */
__attribute__((unused)) static void midi_note(struct midi_file *file, uint32_t rest, int key,
                                              uint32_t ticks)
{
    midi_voice(file, rest, 0x90, key, 64);
    midi_voice(file, ticks, 0x80, key, 64);
}

__attribute__((unused)) static void midi_track_end(struct midi_file *file, uint32_t ticks)
{
    midi_meta(file, ticks, 0x2F, "", 0);
    for (int i = 0; i < 4; i++)
        file->data[file->track + (size_t)i] =
            (uint8_t)((file->bytes - file->track - 4) >> 8 * (3 - i));
}

#endif
