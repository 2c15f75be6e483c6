#!/usr/bin/env python3
"""Writes the MIDI files of the tests with Debian's python3-mido: songs.py FOLDER. Run it with
/usr/bin/python3.

The notes are those that abc2midi makes of the tunes (tunes/NAME.abc2midi), in files as others write
them: format 1 with a track for the tempi, format 0 on one channel or two, divisions that are few or
odd, notes that are cut to 95 %. goldens_sheets.sh says what another program reads in them."""
import os
import sys
from fractions import Fraction as F

import mido

HERE = os.path.dirname(os.path.abspath(__file__))


def tune(name):
    notes, meters, tempi, keys = [], [], [], []
    with open(HERE + '/tunes/%s.abc2midi' % name) as lines:
        for kind, *rest in (line.split() for line in lines):
            if kind == 'note':
                notes.append(tuple(int(n) for n in rest))
            elif kind == 'meter':
                meters.append((int(rest[0]), *(int(n) for n in rest[1].split('/'))))
            elif kind == 'tempo':
                tempi.append((int(rest[0]), int(rest[1])))
            elif kind == 'key':
                keys.append((int(rest[0]), int(rest[1])))
    return notes, meters, tempi, keys


MAJOR = {-7: 'Cb', -6: 'Gb', -5: 'Db', -4: 'Ab', -3: 'Eb', -2: 'Bb', -1: 'F', 0: 'C', 1: 'G',
         2: 'D', 3: 'A', 4: 'E', 5: 'B', 6: 'F#', 7: 'C#'}


def track_of(events, division, name=None):
    """Events (tick of 480, order, message) with the times between them."""
    track, now = mido.MidiTrack(), 0
    if name:
        track.append(mido.MetaMessage('track_name', name=name))
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        at = F(tick * division, 480)
        assert at.denominator == 1
        track.append(message.copy(time=int(at) - now))
        now = int(at)
    track.append(mido.MetaMessage('end_of_track', time=0))
    return track


def conductor(meters, tempi, keys):
    events = [(at, 0, mido.MetaMessage('time_signature', numerator=n, denominator=d))
              for at, n, d in meters]
    events += [(at, 1, mido.MetaMessage('set_tempo', tempo=us)) for at, us in tempi]
    events += [(at, 2, mido.MetaMessage('key_signature', key=MAJOR[signs])) for at, signs in keys]
    return events


def playing(notes, channel, share=F(1)):
    events = []
    for at, length, key in notes:
        events.append((at, 5, mido.Message('note_on', note=key, channel=channel)))
        events.append((at + int(length * share), 4,
                       mido.Message('note_off', note=key, channel=channel)))
    return events


def save(folder, name, kind, division, tracks):
    song = mido.MidiFile(type=kind, ticks_per_beat=division)
    song.tracks += tracks
    song.save('%s/%s.mid' % (folder, name))


def main(folder):
    notes, *marks = tune('lantern-march')
    low = [(at, length, key - 24) for at, length, key in notes]
    save(folder, 'lantern-march', 1, 480,
         [track_of(conductor(*marks), 480, 'The Lantern March'),
          track_of(playing(notes, 0), 480, 'Cornet'),
          track_of(playing(low, 1, F(95, 100)), 480, 'Bass Trombone')])
    notes, *marks = tune('seven-gates')
    save(folder, 'seven-gates', 0, 96, [track_of(conductor(*marks) + playing(notes, 3), 96)])
    notes, *marks = tune('tuplet-drill')
    notes = notes[:-10]  # before those that are in no whole tick of 480
    low = [(at, length, key - 12) for at, length, key in notes]
    save(folder, 'tuplet-drill', 0, 10080,
         [track_of(conductor(*marks) + playing(notes, 0) + playing(low, 9), 10080)])
    notes, *marks = tune('slow-barge')
    save(folder, 'slow-barge', 1, 48,
         [track_of(conductor(*marks) + playing(notes, 0), 48, 'Slow Barge')])


main(sys.argv[1])
