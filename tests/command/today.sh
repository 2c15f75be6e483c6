#!/bin/sh
# The day of the real program: the plan that it shows and why, the day played in simulated time and by
# keys, stopped, killed and gone on with, and what the log and the CSV have of it.
# today.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

# passage NAME TITLE KEY TAGS TARGET
passage() {
    {
        printf '[passage]\ntitle = %s\npiece = Marrowby Suite\nbars = 4\ntarget = quarter = %s\n' "$2" "$5"
        [ -z "$3" ] || printf 'key = %s\n' "$3"
        [ -z "$4" ] || printf 'tags = %s\n' "$4"
    } >"$1.passo"
    run add "$1.passo"
}
# stands TITLE TARGET SHARE: a week in which it was clean up to that share of the target.
stands() {
    awk -v title="$1" -v target="$2" -v share="$3" 'BEGIN {
        print "time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark"
        for (day = 23; day <= 29; day++)
            for (pass = 1; pass <= 6; pass++) {
                tempo = target * share / 100 * (0.94 + 0.02 * pass)
                mark = pass <= 4 || (pass == 5 && day % 2) ? "clean" : "miss"
                printf "2026-11-%d T18:%02d:00+00:00,,s%d,%s,Marrowby Suite,%d,climb,whole,1-4,as written,", day, pass, day, title, pass
                printf "quarter,%.2f,%d,%s\n", tempo, target, mark
            }
    }' | sed 's/ T18/T18/' >stands.csv
    run import stands.csv
}
# place TEXT: the line of the list that has it.
place() { grep -n -- "$1" "$tmp/flat" | head -n 1 | cut -d: -f1; }
# The list with every item on one line: folded lines begin far to the right.
flatten() { awk '/^                 / { sub(/^ +/, " "); printf "%s", $0; next } { if (NR > 1) print ""; printf "%s", $0 } END { print "" }' "$tmp/out" >"$tmp/flat"; }
flat_has() { grep -q -- "$1" "$tmp/flat"; }

# --- session 10 of the trade page: six passages, fifteen minutes, visits of three ---

cat >flow.passo <<'EOF'
# Session 10: the flow study through all keys, then the chromatic pattern.
[routine]
title    = Flow and chromatic
passages = 15
visit    = 3 min
least    = 2 min
most     = 3 min
[block flow study]
minutes = 12
keys    = fourths
tempo   = quarter = 80
bars    = 4
[block chromatic pattern]
minutes = 3
tempo   = quarter = 80
bars    = 4
tags    = chromatic
EOF
passage p1 "First" "A-flat major" "" 100
passage p2 "Second" "F minor" "" 100
passage p3 "Third" "D major" "" 100
passage p4 "Fourth" "C-sharp minor" "" 100
passage p5 "Fifth" "" "chromatic" 100
passage p6 "Sixth" "C-flat major" "" 100
stands First 100 84
stands Second 100 71
stands Third 100 90
stands Fourth 100 78
stands Fifth 100 80
stands Sixth 100 88
run today ./flow.passo --list --date 2026-11-30
flatten
check "the day is shown" status_is 0
check "P6 comes after B, the same to the ear" flat_has "Sixth.*after B major: it is in C-flat major, the same to the ear"
check "P4 after E, its relative" flat_has "Fourth.*after E major: it is in C-sharp minor, the relative key"
check "P3 after D, its own" flat_has "Third.*after D major, its own key"
check "P2 after A-flat, its relative" flat_has "Second.*after A-flat major: it is in F minor"
check "P5 after the chromatic pattern" flat_has "Fifth.*after chromatic pattern: both are marked chromatic"
check "P1 is owed: its key is another's today" flat_has "First:.*its key is Second's today, its turn comes another day"
check "five visits of three minutes" same "$(grep -c '3 min  *visit:' "$tmp/flat")" 5
cp "$tmp/flat" first
run today ./flow.passo --list --date 2026-11-30
flatten
check "the same day shows the same plan" cmp -s first "$tmp/flat"

# visits LOG DAY...: the passages that were visited, in order.
visits() { sqlite3 "$1" "SELECT text FROM deed JOIN text ON item = text.id WHERE kind = 0 AND day = $2 AND text LIKE 'visit/%' ORDER BY deed.id" | sed 's,.*/,,' | tr '\n' ' '; }

own=$XDG_DATA_HOME/passo/log.sqlite
play() { run today "$@" --fast --simulate --log "$own"; }
play ./flow.passo --date 2026-11-30 --csv day.csv
check "the day is played to its end" status_is 0
check "and says so" out_has "The day is done"
check "every pass of a visit is in the CSV" test "$(grep -c ',visit,' day.csv)" -ge 15
check "no block is" same "$(tail -n +2 day.csv | grep -cv ',visit,')" 0
play ./flow.passo --date 2026-11-30
check "what is done is done" out_has "is done for today; --afresh begins it anew"
play ./flow.passo --date 2026-12-01 --list
flatten
check "tomorrow P1 comes first in its key" flat_has "First.*after A-flat major, its own key"
check "and P2 waits" flat_has "Second:.*its key is First's today"
day=1
before=$(visits "$own" 20261130)
differs=yes
while [ $day -le 6 ]; do
    play ./flow.passo --date "2026-12-0$day"
    now=$(visits "$own" "2026120$day")
    [ -n "$now" ] && [ "$now" != "$before" ] || differs="no: $before and $now"
    before=$now
    day=$((day + 1))
done
check "no two of seven days share an order" same "$differs" yes

# --- visits bring a passage up: a long one too, of which a visit has room for two passes ---

printf '[passage]\ntitle = Evening hymn\nbars = 8\ntarget = quarter = 66\nkey = C major\n' >hymn.passo
run add hymn.passo
printf '[passage]\nbars = 4\ntarget = quarter = 120\n[ladder]\nsteps = 4 bpm\n' >nameless.passo
run add nameless.passo
day=1
first=
firsts() { tail -n +2 day.csv | awk -F, -v title="$1" '$4 == title { print int($12); exit }'; }
while [ $day -le 6 ]; do
    run today thirty --only "hymn, nameless" --fast --simulate --log rising.sqlite \
        --date "2026-12-0$day" --csv day.csv --force
    first="$first $(firsts "Evening hymn") $(firsts nameless)"
    day=$((day + 1))
done
set -- $first
check "a long passage opens higher from day to day" test "$1" -lt "$3" -a "$3" -lt "$5" -a "$5" -lt "$7"
check "so does a short one" test "$2" -lt "$4" -a "$4" -lt "$6"
run list --log rising.sqlite --date 2026-12-06
check "one without a title is known by its name" out_has "nameless .* today "

# --- stopped, and gone on with the same day ---

printf 'ccc' >marks
run today ./flow.passo --fast --marks marks --log stopped.sqlite --date 2026-11-30
check "marks that run out end the day for now" status_is 1
check "and it says why" out_has "The marks ran out after"
done_of() { sqlite3 "$1" 'SELECT count(*) FROM deed WHERE kind = 1'; }
before=$(done_of stopped.sqlite)
run today --fast --simulate --log stopped.sqlite --date 2026-11-30
check "today without a name goes on with that routine" status_is 0
check "what was done is not played again" same "$(sqlite3 stopped.sqlite 'SELECT count(*) FROM (SELECT item FROM deed WHERE kind = 1 GROUP BY item HAVING count(*) > 1)')" 0
check "and the rest is" test "$(done_of stopped.sqlite)" -gt "$before"

# --- by keys, in real time ---

cat >short.passo <<'EOF'
[routine]
title = A minute
[block tones]
passes = 2
tempo  = quarter = 240
bars   = 1
rest   = 0.3 s
[block open]
minutes = 0.2
free    = yes
[block scales]
passes = 1
keys   = B-flat, E-flat
tempo  = quarter = 240
bars   = 1
rest   = 0.3 s
EOF
# keyed LOG KEYS...: a second between two keys.
keyed() {
    log=$1
    shift
    status=0
    (
        for key in "$@"; do
            sleep 1
            printf '%s' "$key"
        done
        sleep 1
    ) | limited 40 "$passo" today ./short.passo --only none --plain --silent --log "$log" \
        >"$tmp/out" 2>"$tmp/err" || status=$?
}
keyed keys.sqlite s . . . . . . . . . o . k q
check "q leaves the rest for later today" status_is 1
check "and says how to go on" out_has "passo today goes on where you left"
check "a block was put off" out_has "Put off"
check "a key left out" out_has "Left out"
deeds() { sqlite3 "$1" 'SELECT group_concat(kind) FROM (SELECT kind FROM deed ORDER BY id)'; }
check "began, done, skipped and put off are in the log" sh -c "echo '$(deeds keys.sqlite)' | grep -q '^6,0,1,3,2'"
run today ./short.passo --only none --list --log keys.sqlite
check "the list says what is done" out_has "tones (done)"
check "what was put off" out_has "open (put off to the end)"
check "and what was left out" out_has "B-flat major (left out)"
run today --only none --list --log keys.sqlite
check "the plan goes on without its name" out_has "tones (done)"
run today ./short.passo --only none --fast --simulate --log keys.sqlite
check "what was put off comes last" sh -c "grep -n 'open\\|E-flat' $tmp/out | tail -n 1 | grep -q open"

# killed in the middle, then gone on with
"$passo" today ./short.passo --only none --plain --silent --log killed.sqlite >killed.out 2>&1 </dev/null &
pid=$!
sleep 18
kill -9 $pid 2>/dev/null
wait $pid 2>/dev/null
check "after a kill the log is whole" same "$(sqlite3 killed.sqlite 'PRAGMA integrity_check')" ok
check "something had been done" test "$(done_of killed.sqlite)" -ge 1
run today ./short.passo --only none --fast --simulate --log killed.sqlite
check "the day goes on after it" status_is 0
check "and does nothing twice" same "$(sqlite3 killed.sqlite 'SELECT count(*) FROM (SELECT item FROM deed WHERE kind = 1 GROUP BY item HAVING count(*) > 1)')" 0

# --- a click set, by its name ---

sed 's/^bars   = 1$/bars = 1\nsounds = wood/' short.passo >wood.passo
run today ./wood.passo --only none --fast --simulate --no-log
check "a block may name a click set" status_is 0
sed 's/^bars   = 1$/bars = 1\nsounds = tin/' short.passo >tin.passo
refused "one that is not there is told" "no click set of that name" -- today ./tin.passo --only none --fast --simulate

# --- a log that takes nothing more ---

if mkdir -p disk && mount -t tmpfs -o size=300k tmpfs disk 2>/dev/null; then
    run today ./flow.passo --only "p1, p2" --fast --simulate --log disk/log.sqlite --date 2026-11-30
    head -c 400000 /dev/zero >disk/fill 2>/dev/null
    run today ./flow.passo --only "p1, p2" --afresh --fast --simulate --log disk/log.sqlite --date 2026-11-30
    umount disk
    check "a full disk is a fault of the machine" status_is 3
    check "the day goes on all the same" out_has "The day is done"
    check "each visit is in a rescue file" test "$(grep -c 'passo import' "$tmp/err")" -ge 2
else
    skip "a full disk" "tmpfs cannot be mounted here"
fi

# --- minutes, order, faults ---

for routine in sixty forty-five thirty fifteen school before-a-performance; do
    run today $routine --list
    check "$routine makes a day" status_is 0
    play $routine --afresh --date 2026-12-09
    check "$routine is played to its end" status_is 0
done
run today forty-five --minutes 20 --list
check "a day may be shorter" out_has "of blocks"
run today --minutes 20 --order blocked --list
check "or blocked" status_is 0
refused "an unknown routine" "no routine of that name" "passo list routines" -- today nonsuch
refused "an unknown order" "mixed or blocked" -- today --order sideways
refused "an unknown passage" "nobody" -- today --only nobody
refused "minutes that are none" "--minutes" -- today --minutes 0
refused "a date that is to be played" "--date goes with --fast" -- today --date 2026-11-30
refused "two routines" "one routine at a time" -- today thirty fifteen
run today --only none --list
check "a day without passages" out_has "No passage is set in, as you say"

finish
