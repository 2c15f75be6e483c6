#!/bin/sh
# What another program makes of the MusicXML sheets and of the MIDI files, as text:
# goldens_sheets.sh OUT-FOLDER writes NAME.notes there, one for each file in sheets/.
#
# Of a sheet: the npm package webmscore 1.2.1 (a notation program's own reader, in WebAssembly) plays
# it as MIDI, and Debian's python3-mido reads that. It plays grace notes, which are taken out first;
# it reads no timewise files; it ends each note a tick early, and staccato ones after half their
# length. Of a MIDI file: the npm package @tonejs/midi 2.0.28 reads it. Neither package is kept here:
# they are installed in a folder of their own and go with it.
#
# A line is "note PART ONSET LENGTH MIDI" in ticks of 480 a quarter, of all voices and chords; PART
# counts from 1. Of MIDI files also "tempo ONSET MBPM", "meter ONSET N/D".
set -eu
here=$(cd "$(dirname "$0")" && pwd)
out=${1:?usage: goldens_sheets.sh OUT-FOLDER}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
(cd "$work" && npm install --silent webmscore@1.2.1 @tonejs/midi@2.0.28 >/dev/null)

cat >"$work/play.cjs" <<'EOF'
const webmscore = require('webmscore');
const fs = require('fs');
(async () => {
  await webmscore.ready;
  const score = await webmscore.load('musicxml', fs.readFileSync(process.argv[2]));
  fs.writeFileSync(process.argv[3], await score.saveMidi(false, false));
  process.exit(0);
})();
EOF
cat >"$work/list.py" <<'EOF'
import sys, mido
song = mido.MidiFile(sys.argv[1])
assert song.ticks_per_beat == 480
part = 0
for track in song.tracks:
    now, on, notes = 0, {}, []
    for event in track:
        now += event.time
        if event.type == 'note_on' and event.velocity:
            on.setdefault(event.note, []).append(now)
        elif event.type in ('note_on', 'note_off') and on.get(event.note):
            at = on[event.note].pop(0)
            notes.append((at, now - at, event.note))
    part += bool(notes)
    for at, length, key in sorted(notes):
        print('note', part, at, length, key)
EOF
cat >"$work/list.cjs" <<'EOF'
const { Midi } = require('@tonejs/midi');
const song = new Midi(require('fs').readFileSync(process.argv[2]));
const ticks = (n) => (n * 480) / song.header.ppq;
song.header.tempos.forEach((t) => console.log('tempo', ticks(t.ticks), Math.round(t.bpm * 1000)));
song.header.timeSignatures.forEach((t) =>
  console.log('meter', ticks(t.ticks), t.timeSignature.join('/')));
song.tracks.filter((t) => t.notes.length).forEach((t, i) =>
  t.notes.forEach((n) => console.log('note', i + 1, ticks(n.ticks), ticks(n.durationTicks), n.midi)));
EOF
for sheet in "$here"/sheets/*.musicxml; do
    name=$(basename "$sheet" .musicxml)
    [ "$name" = marrowby-timewise ] && continue
    sed 's|<note><grace/>.*</note>||' "$sheet" >"$work/$name.musicxml"
    (cd "$work" && node --no-experimental-fetch play.cjs "$name.musicxml" "$name.mid")
    /usr/bin/python3 "$work/list.py" "$work/$name.mid" >"$out/$name.notes"
done
for song in "$here"/sheets/*.mid; do
    node "$work/list.cjs" "$song" >"$out/$(basename "$song" .mid).mid.notes"
done
