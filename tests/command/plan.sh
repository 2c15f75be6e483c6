#!/bin/sh
# `passo plan` of the real program: its table, its forecast, --clean, --against, faults.
# plan.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

# The value behind a label of the forecast, in column 1 or 2 (cells are 17 wide, two apart).
value() { # LABEL [COLUMN]
    awk -v label="$1" -v from=$((${2:-1} * 19 + 26)) \
        'index($0, "  " label) == 1 { v = substr($0, from, 17); gsub(/^ +| +$/, "", v); print v; exit }' out
}
number() { echo "$1" | tr -dc '0-9'; }
narrow() { [ "$(wc -L <out)" -le 80 ]; }

# --- what it always said ---

run plan --target 96 --start 60
check "plan ends with 0, nothing on stderr" eval 'status_is 0 && err_empty'
check "its rungs are 60 64 ... 96" same \
    "$(awk '/s .* s .* s$/ && /%/ { printf "%s ", $2 }' out)" "60 64 68 72 76 80 84 88 92 96 "
check "a pass at 60 is 17.0 s of playing after 4 counts in 4.0 s" grep -q '^ *1 *60 .* 4 in *4.0 s *17.0 s *17.0 s$' out
check "the shortest way is 21 passes" grep -q '^If every pass were clean: 21 passes' out
check "no line is wider than 80" narrow
check "it is plain text" is_plain_text out

# --- what is assumed is said ---

check "it says what is assumed" eval 'out_has "assumed that 95 %" && out_has "60 % at" && out_has "marks are honest"'
check "the bottom rung's chance is the assumed one" grep -q '^ *1 *60 *95 % █' out
check "the target's chance is the assumed one" grep -q '^ *10 *96 *60 % █' out
check "the ends add up to 100 %" eval '[ "$(awk "/ (reach|meet|end|run) .* %$/ && !/under/ { s += \$(NF - 1) } END { print s }" out)" -ge 97 ]'

# --- certain curves have certain forecasts ---

run plan --target 96 --start 96 --clean "99 % at 96" --raise "1 clean" --stop none
check "one rung, 99 % clean: one pass at the median and the ninth decile" same \
    "$(value "half of such climbs need at most") $(value "nine in ten at most")" "1 pass 1 pass"
check "... and nearly all arrive" same "$(value "reach the target")" "100 %"
run plan --target 96 --start 96 --raise "3 clean in a row" --drop hold --stop none --tired none --clean "80 % at 96"
# A run of three (the chain, worked out by powers): P(T <= 3) = .512, P(T <= 7) = .869, P(T <= 8) = .909
check "3 in a row at 80 %: median 3 passes" same "$(value "half of such climbs need at most")" "3 passes"
check "3 in a row at 80 %: ninth decile 8 passes" same "$(value "nine in ten at most")" "8 passes"
run plan --target 96 --start 60 --clean "1 % at 60, 0 % at 96" --runs 200
check "hopeless: over 500 passes" same "$(value "half of such climbs need at most")" "over 500 passes"
check "0 % is taken as 1 %, and it says so" out_has "taken as 1 %"

# --- --clean ---

run plan --target "dotted quarter = 76" --meter 6/8 --start 50 --clean "90 % at dotted quarter = 50, 40 % at 76"
check "two points are met" eval 'grep -q "^ *1 *50 *90 %" out && grep -q " 76 *40 %" out'
check "tempos carry their unit" out_has "40 % at dotted quarter = 76"
run plan --target 96 --clean "85 % at 72"
check "one point: a usual slope, which is told" out_has "usual slope"
run plan --target 96 --clean "95 % at 60, 85 % at 72, 40 % at 96"
check "three points are fitted" out_has "fitted to the 3 points"
refused "--clean without a share" "--clean" "85 % at 72" -- plan --target 96 --clean "85 at 72"
refused "--clean with a share over 100" "--clean" -- plan --target 96 --clean "120 % at 72"
refused "--clean with a tempo twice" "twice" -- plan --target 96 --clean "85 % at 72, 80 % at 72"
refused "--clean, the faster the cleaner" "mixed up" -- plan --target 96 --clean "40 % at 72, 85 % at 96"
refused "--clean: every fault is told" "120 %" "near" -- plan --target 96 --clean "120 % at 72, 80 % near 80"
refused "--runs 0" "--runs" "1 to 1000000" -- plan --target 96 --runs 0
refused "--runs many" "--runs" "whole number" -- plan --target 96 --runs many
refused "climb takes no --clean" "--clean" "does not go" -- climb --target 96 --clean "85 % at 72"

# --- the same again ---

run plan --target 96 --seed 7
cp out seven
run plan --target 96 --seed 7
check "the same seed says the same" cmp -s out seven
run plan --target 96 --seed 8
check "another seed does not" not cmp -s out seven
if command -v taskset >/dev/null; then
    status=0
    limited 30 taskset -c 0 "$passo" plan --target 96 --seed 7 >out 2>err || status=$?
    check "on one core the same" cmp -s out seven
fi
LC_ALL=C run plan --target 96 --seed 7
check "in ASCII where the locale is not UTF-8" eval '! LC_ALL=C grep -q "[^ -~]" out && grep -q "% ####" out'

# --- --against ---

cat >march.passo <<'END'
[passage]
title  = The run up to the trio
piece  = The Marrowby March
bars   = 33-36
target = quarter = 132

[ladder]
start = 84
steps = 8 bpm
raise = 3 clean in a row
drop  = 1 rung after 1 miss
END
run plan march.passo --against steady --clean "85 % at 84, 70 % at 132"
check "--against ends with 0, nothing on stderr" eval 'status_is 0 && err_empty'
check "two columns, named" grep -q 'as planned  *steady$' out
check "the drop after every miss costs passes" eval \
    '[ "$(number "$(value "half of such climbs need at most" 1)")" -gt "$(number "$(value "half of such climbs need at most" 2)")" ]'
check "and it is said in a sentence" out_has "^A drop after every miss is dear: here "
check "no line is wider than 80" narrow
run plan --target 132 --start 84 --clean "85 % at 84, 70 % at 132"
plain=$(value "half of such climbs need at most")
run plan march.passo --target 132 --against steady --clean "85 % at 84, 70 % at 132"
check "the other column is that preset's own ladder, from the same start" same \
    "$(value "half of such climbs need at most" 2)" "$plain"
run plan --target 132 --against march --raise "3 clean of 4"
check "a preset that is not there is a fault that names some" eval 'status_is 2 && err_has "steady"'
check "nothing is said of a dear drop where there is none" \
    eval 'run plan --target 96 --against patient && ! out_has dear'
for preset in "$source"/presets/*.passo; do
    name=$(basename "$preset" .passo)
    run plan --target 112 --start 72 --preset "$name" --against steady --runs 300
    check "plan of preset $name against steady" eval 'status_is 0 && err_empty && narrow'
done

# --- stages, lengths, a ceiling ---

cat >seam.passo <<'END'
[passage]
bars   = 33-36
target = quarter = 132
[loops]
first half  = 33-34
second half = 35-36
[ladder]
start = 84
steps = 8 bpm
[stage first half]
loop = first half
[stage second half]
loop = second half
[stage joined]
loop  = whole
start = 80 % of lower result
END
run plan seam.passo --clean "90 % at 100"
check "stages: 7, 7 and 5 rungs, the last from 80 % of 132" eval \
    'status_is 0 && err_empty && grep -q "^Stage 2 of 3: second half, from quarter = 84 to quarter = 132 in 7 rungs" out &&
     grep -q "^Stage 3 of 3: joined, from quarter = 105.6 to quarter = 132 in 5 rungs, if" out'
check "stages: (7 + 7 + 5) x 2 clean passes and one in context" grep -q '^If every pass were clean: 39 passes' out
check "stages: each says how many end in it" same "$(grep -c 'of all end in it' out)" 3
check "stages: no line is wider than 80" narrow
run plan --target 120 --bars 8 --climbs length --chain "backward by 1 bar"
check "lengths: eight, by their bars" eval 'status_is 0 && err_empty && grep -q "^ *3 *6-8 .* s$" out && grep -q "^ *8 *1-8 *60 %" out'
run plan --target 120 --climbs edge
check "an edge is found, not reached" eval 'status_is 0 && out_has "find the edge" && ! out_has "half of such"'
run plan --target 120 --ceiling 100
check "under a ceiling the forecast is to the ceiling" eval 'status_is 0 && err_empty && out_has "reach the ceiling" && out_has "today no"'

# --- --after ---

run climb --target 112 --start 60 --raise "1 clean" --tired none --plateau none --stop "60 passes" --fast --simulate \
    --seed 3 --csv log.csv
marks=$(tr -d '\r' <log.csv | awk -F, '$7 != "anchor" && ($14 == "clean" || $14 == "miss")' | wc -l)
run plan --target 112 --start 60 --after log.csv
check "--after ends with 0, nothing on stderr" eval 'status_is 0 && err_empty'
check "it says on how many passes the curve rests" out_has "fitted to the marks of $marks pass"
check "of one day nothing fades" eval '! out_has "a week"'
{
    head -n 1 log.csv
    sed '1d; s/20[0-9-]*T/2020-02-01T/' log.csv
    sed '1d; s/20[0-9-]*T/2020-02-08T/; s/,\([^,]*\),/,\1 late,/' log.csv
} >days.csv
run plan --target 112 --start 60 --after days.csv
check "of two days it says that the later weighs more" eval \
    'status_is 0 && out_has "on 2 days" && out_has "weigh more"'
run plan --target 100 --bars 1-4 --chain "backward by 1 bar" --against halves
check "a preset's chain stands in place of the passage's" eval 'status_is 0 && err_empty && out_has "joined"'
run plan --target 112 --start 60 --after log.csv --against patient
check "--after with --against" eval 'status_is 0 && err_empty && grep -q "as planned  *patient$" out'
run plan --target 112 --start 60 --after log.csv --clean "80 % at 100"
check "what the player says goes before the log" eval 'out_has "As you said, 80 %" && ! out_has "fitted to"'
head -n 1 log.csv >empty.csv
run plan --target 112 --start 60 --after empty.csv
check "a log without passes: the assumption holds" eval 'status_is 0 && out_has "It is assumed"'
refused "a log that is not there" "nowhere.csv" -- plan --target 112 --after nowhere.csv
finish
