#!/bin/sh
# Practice tracks by the real program, read back with other people's tools: session 13 of the trade
# page to the sample, stems, kinds of file, cue sheets, what goes wrong.
# render.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

cat >march.passo <<'EOF'
[passage]
title = Run up to the trio
piece = Marrowby march
meter = 4/4
bars = 33-40
target = quarter = 96
[loops]
first half = 33-36
[ladder]
start = 80
steps = 8 bpm
rest = as played, at least 8 s
finish = none
EOF

cat >look.py <<'EOF'
# look.py FILE FRAME...: whether a sound begins on each frame, after silence, and the number of frames
import array, sys, wave
w = wave.open(sys.argv[1])
a = array.array("h", w.readframes(w.getnframes()))
for frame in map(int, sys.argv[2:]):
    before = a[max(0, frame - 100):frame]
    print("on" if not any(before) and a[frame] else "off", end=" ")
print(len(a))
EOF

# Session 13: 8 bars of 4/4, 80 88 96 twice each; the first downbeats at 3, 55.5 and 107.727 s, the
# end at 267.330 s without the last rest. Both loops would be two turns: the whole alone is played.
run render march.passo s13.wav --only whole --cues s13.csv
check "a practice track" status_is 0
check "it is told in one line" same "$(cat "$tmp/out")" "s13.wav: 4:27, 6 passes, quarter = 80 to 96."
check "nothing else is said" err_empty
check "its downbeats lie on their samples" same \
    "$(python3 look.py s13.wav 144000 2664000 5170909)" "on on on 12831818"
check "the sample before and behind are not taken for one" same \
    "$(python3 look.py s13.wav 143999 144001)" "off off 12831818"
cat >cues.py <<'EOF'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1], newline="")))
first = [r["time_s"] for r in rows if r["bar"] == "33"]
print(*first[:3], rows[-1]["what"], rows[-1]["time_s"], rows[-1]["frame"])
print(sum(r["bar"] != "" for r in rows), sum(r["what"] == "rest" for r in rows),
      *sorted({r["tempo"] for r in rows}), *{r["beat_unit"] for r in rows if r["beat_unit"]},
      *{r["turn"] for r in rows if r["turn"]})
EOF
python3 cues.py s13.csv >cues
check "the cue sheet has the same times" same "$(head -n 1 cues)" \
    "3.000 55.500 107.727 end 267.330 12831818"
check "a row a bar, and the rests" same "$(tail -n 1 cues)" "48 5  80 88 96 quarter whole, as written"

run render march.passo turn.wav --only "first half" --tempo "dotted half = 32" --passes 3 --rate 8000 --cues - \
    --finish "1 in context" --cold yes --anchor "60 %"
check "a turn at one tempo" status_is 0
check "three passes of it" same "$(grep -c 'count-in  quarter = 96  first half, as written' "$tmp/out")" 3
check "the list is on standard output alone" not out_has "turn.wav"
check "and what was written is told beside it" err_has "turn.wav: 1:01, 3 passes, quarter = 96."
run render march.passo again.wav --only "first half" --tempo "100 %" --passes 3 --rate 8000
check "the same again is the same file" cmp -s turn.wav again.wav
run render march.passo drawn.wav --only "first half" --tempo 96 --mute "50 % of bars" --rate 8000
run render march.passo drawn2.wav --only "first half" --tempo 96 --mute "50 % of bars" --rate 8000
check "what is drawn is drawn alike" cmp -s drawn.wav drawn2.wav

# --- pulse, drone, stems, sides ---
run render --pulse "quarter = 120" --minutes 0.1 --rate 8000 pulse.wav
check "a pulse" same "$(cat "$tmp/out")" "pulse.wav: 0:06, quarter = 120."
check "as long as was asked, and on its beats" same \
    "$(python3 look.py pulse.wav 4000 8000 44000)" "on on on 48000"
run render --drone "B-flat 2" --minutes 0.05 --rate 8000 drone.wav
check "a drone" same "$(cat "$tmp/out")" "drone.wav: 0:03."
run render --drone "B-flat 2" --minutes 0.05 --rate 8000 --stems drone.wav
check "without a click" same "$(sox drone-pulse.wav -n stat 2>&1 | awk '/Maximum amp/ { print $3 }')" 0.000000
check "it sounds all the time" test "$(sox drone.wav -n trim 1 1 stat 2>&1 |
    awk '/RMS.*amplitude/ { print ($3 > 0.005) }')" = 1
set -- --pulse "quarter = 120" --drone "B-flat 2" --minutes 0.05 --rate 8000
run render "$@" both.wav
run render "$@" --stems both.wav
check "stems are two files" test -e both-pulse.wav -a -e both-pitch.wav
check "both are told" out_has "both-pulse.wav and both-pitch.wav: 0:03"
run render "$@" --sides sides.wav
cat >sum.py <<'EOF'
import array, wave
def read(name):
    w = wave.open(name)
    return array.array("h", w.readframes(w.getnframes()))
both, pulse, pitch, sides = map(read, ("both.wav", "both-pulse.wav", "both-pitch.wav", "sides.wav"))
print(max(abs(b - x - y) for b, x, y in zip(both, pulse, pitch)) <= 1, sides[::2] == pulse,
      sides[1::2] == pitch, any(pulse), any(pitch), len(both) == len(pulse) == len(pitch))
EOF
check "together they are the whole, and the sides of one file" same "$(python3 sum.py)" \
    "True True True True True True"
run render --routine fifteen --rate 8000 day.wav --cues day.txt
check "a routine" out_has "day.wav: 1[0-9]:"
check "it begins after a breath" same "$(head -n 1 day.txt | cut -c 1-10)" "  0:02.000"
check "its blocks, in order" test "$(grep -c count-in day.txt)" -gt 8

# --- kinds of file ---
set -- march.passo --only "first half" --tempo 96 --passes 1
# written KIND READER...: the track in that kind, and a reader of others that finds no fault.
written() {
    kind=$1
    shift
    run render march.passo --only "first half" --tempo 96 --passes 1 "t.$kind"
    if [ "$kind" = mp3 ] && [ "$status" = 2 ]; then
        skip "mp3" "this libsndfile has none"
        return
    fi
    check "a track as $kind" status_is 0
    if command -v "$1" >/dev/null; then
        check "$1 reads the $kind" "$@" "t.$kind" >/dev/null
    else
        skip "$1 reads the $kind" "there is no $1"
    fi
}
written flac flac -s -t
written ogg soxi
written opus opusinfo
written mp3 sndfile-info
check "FLAC is to the frame as long as the track" same "$(soxi -s t.flac)" 630000
check "so is Ogg Vorbis" same "$(soxi -s t.ogg)" 630000
soxi -a t.flac >tags
check "it has the title" grep -qix 'title=Run up to the trio' tags
check "and the piece" grep -qix 'album=Marrowby march' tags
check "and the tempo" grep -qi '=quarter = 96, 1 pass each$' tags
run render "$@" --rate 8000 --bits 24 t24.wav
check "24 bits" same "$(soxi -b t24.wav)" 24
mkdir phone
run render "$@" --rate 8000 --title "A/B: low <entry>" phone/
check "in a folder it is named by title and tempo" test -e "phone/A-B- low -entry-, quarter 96.wav"

# --- what goes wrong ---
refused "nothing to write" "a file to write is wanted" -- render
refused "no ending" ".flac" "t.doc" -- render march.passo t.doc
refused "no passage" "no such file here" -- render nope t2.wav
refused "no such loop" "first half" "no loop or variant" -- render march.passo t2.wav --only "last half"
refused "two kinds at once" "exclude each other" -- render march.passo t2.wav --stems --sides
refused "a number that is none" "from 8000 to 192000" -- render march.passo t2.wav --rate 7
refused "bits that MP3 has not" "no bits of their own" -- render march.passo t2.ogg --bits 24
refused "minutes of a climb" "as long as its passes" -- render march.passo t2.wav --minutes 5
refused "a file that is there" "t24.wav" "--force" -- render "$@" t24.wav
refused "a list that is there" "s13.csv" "--force" -- render "$@" t2.wav --cues s13.csv
check "then there is no sound file either" not test -e t2.wav
# Neither the list nor a stem takes another's place, whatever it is called.
for name in ./turn.wav "$tmp/turn.wav" phone/../turn.wav; do
    cp again.wav turn.wav
    refused "the list in the sound file's place: $name" "that is the sound file" \
        -- render "$@" --rate 8000 turn.wav --cues "$name" --force
    check "the old one is still there: $name" cmp -s turn.wav again.wav
done
ln -s turn.wav list.txt
refused "the list in its place by a link" "that is the sound file" \
    -- render "$@" --rate 8000 turn.wav --cues list.txt --force
refused "the list in the pulse's place" "that is the sound file" \
    -- render "$@" --rate 8000 --stems both.wav --cues both-pulse.wav --force
refused "the list in the pitch's place" "that is the sound file" \
    -- render "$@" --rate 8000 --stems both.wav --cues ./both-pitch.wav --force
refused "the list where a sound file is to be" "that is the sound file" \
    -- render "$@" --rate 8000 t2.wav --cues ./t2.wav
refused "where both stems are to be" "that is the sound file" \
    -- render "$@" --rate 8000 --stems t2.wav --cues t2-pitch.wav
check "nothing is written then" same "$(ls t2.wav t2-*.wav 2>/dev/null)" ""
ln both.wav one-pulse.wav && ln -s one-pulse.wav one-pitch.wav
refused "stems that are one file" "the other of the two" \
    -- render "$@" --rate 8000 --stems one.wav --force
ln -s gone.wav nothing.wav
run render "$@" nothing.wav
check "a link to nothing is a fault of the machine" status_is 3
check "it is told" err_has "nothing.wav: is a link to what is not there"
refused "a list at such a link" "is a link to what is not there" \
    -- render "$@" t2.wav --cues nothing.wav
mkdir other
run render "$@" --rate 8000 t2.wav --cues other/t2.wav
check "the same name in another folder is another file" status_is 0
check "both are there" test -s t2.wav -a -s other/t2.wav
rm t2.wav

run render "$@" --rate 8000 t24.wav --force
check "but with --force" status_is 0
check "it is another now" same "$(soxi -b t24.wav)" 16
run render "$@" nowhere/t.wav
check "a folder that is not there" status_is 3
check "is told by its name" err_has "nowhere/t.wav: "

# A drone that nobody would hear.
run render --drone none --minutes 0.1 none.wav
check "no drone is a slip" eval 'status_is 2 && err_has "nothing to hear"'
run render --drone "C 9" --minutes 0.1 --rate 8000 none.wav
check "nor is one above the rate's limit written" eval 'status_is 2 && err_has "8372 Hz is too high"'

# A list that cannot be is told before the work; one of a file that did not come about goes with it.
run render "$@" t2.wav --rate 8000 --cues nowhere/t2.txt
check "no place for the list: nothing is written" eval 'status_is 3 && [ ! -e t2.wav ] && err_has "nowhere/t2.txt"'
run render "$@" nowhere/t2.wav --rate 8000 --cues t2.txt
check "no place for the file: no list is left" eval 'status_is 3 && [ ! -e t2.txt ]'

# A full disk: a file that may not grow beyond 100 KiB.
(
    ulimit -f 200
    run render --pulse 120 --minutes 1 --rate 48000 full.wav
    echo "$status" >"$tmp/full"
)
check "a full disk is a fault of the machine" same "$(cat full)" 3
check "told in one line" same "$(grep -c 'full.wav' err)" 1
check "and nothing is left" same "$(ls full.wav* 2>/dev/null)" ""

# Ctrl-C in the middle of a day of FLAC.
status=0
timeout -k 10 --preserve-status -s INT 0.5 "$passo" render --pulse 120 --minutes 1440 long.flac \
    </dev/null >"$tmp/out" 2>"$tmp/err" || status=$?
check "Ctrl-C ends it" status_is 130
check "and removes the half file" same "$(ls long.flac* 2>/dev/null)" ""

# On a terminal a bar tells how far it is; a pipe gets none.
if command -v script >/dev/null; then
    TERM=xterm limited 30 script -qec "\"$passo\" render --pulse 120 --minutes 10 --rate 8000 bar.wav" \
        seen </dev/null >/dev/null 2>&1
    check "a bar of progress" grep -q '\[=* *\] *[0-9]* %' seen
else
    skip "the bar of progress" "no script(1)"
fi
finish
