#!/bin/sh
# The notes of a passage, heard by the real program in simulated time.
# hear.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

cat >jig.passo <<'EOF'
[passage]
title = Marrowby jig
meter = 4/4
bars = 1-2
key = B-flat major
target = quarter = 96
notes = B,4 C2 D2 | E2 F2 G2 A2 |
[loops]
second = 2
[variants]
low = octave -1
EOF

run hear jig.passo --fast
check "heard once" status_is 0
check "at the target" same "$(grep -c 'quarter = 96' "$tmp/out")" 1
check "nothing is asked of the player" not out_has "mark"
check "nothing is kept" not test -e "$home/data/passo/log.sqlite"
run hear jig.passo --fast --tempo "50 %" --times 3 --only "second, low"
check "slower" out_has "quarter = 48"
check "three times" out_has "Pass 3 of 3: listen"
run hear jig.passo --fast --alternate
check "in turns" test "$(grep -ci 'listen' "$tmp/out")" -ge 4
run hear jig.passo --fast --keys fourths
check "through twelve keys" status_is 0
for key in "C major" "F major" "B-flat major" "G-flat major" "G major"; do
    check "also $key" out_has "$key"
done
run hear jig.passo --fast --key "G minor" --keys fourths
check "a cycle has the passage's mode" out_has "C minor"
check "to the spelling" out_has "C-sharp minor"
check "and no key of eight signs" not out_has "D-flat minor"
run hear jig.passo --fast --octave -1
check "an octave down" out_has "bar 1: B-flat 2 half, C 3 quarter"
check "said once" not out_has "as written"
run hear jig.passo --fast --octave -1 --only low
check "an octave under an octave down" out_has "bar 1: B-flat 1 half"
run hear jig.passo --fast --key "G minor" --keys "F, B-flat"
check "so have the keys of a list" out_has "B-flat minor"
check "in every word" not out_has "major"
run hear jig.passo --fast --keys "G-flat" --instrument "B-flat trumpet"
check "one key, one spelling" out_has "concert E major; your G-flat major"
check "also of its notes" out_has "G-flat 3 half, A-flat 3 quarter"
run hear jig.passo --fast --keys "F, D major"
check "through two, in that order" same "$(grep -o '^.*F major\.\|^.*D major\.' "$tmp/out" | tr '\n' ' ')" \
    "F major. Next: D major. "
check "moved as far as the keys are apart" out_has "bar 1: F 3 half, G 3 quarter"
check "no others" not out_has "C major"

printf '[passage]\ntitle = Bare\nmeter = 4/4\nbars = 1-2\ntarget = 96\n' >bare.passo
refused "a passage without notes" "Bare has no notes" "notes = " -- hear bare.passo --fast
refused "nothing at all" "a passage is wanted" -- hear
refused "keys that are none" "fourths" "X-sharp" -- hear jig.passo --fast --keys "X-sharp"
refused "keys of the other mode" "D minor" "B-flat major" -- hear jig.passo --fast --keys "F, D minor"
refused "keys from nowhere" "in which key" -- hear bare.passo --notes "C8 | D8" --fast --keys fifths
refused "a loop that is none" "second" "no loop or variant" -- hear jig.passo --fast --only third
refused "octaves beyond" "-4" -- hear jig.passo --fast --octave 5
refused "a tempo that is none" "share of the target" -- hear jig.passo --fast --tempo slow
finish
