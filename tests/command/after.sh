#!/bin/sh
# --after LOG of the real program: where an earlier day lets a climb open, and logs that cannot be
# read. Days are counted back from today by date(1).
# after.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

# Not across midnight.
[ "$(date +%H%M)" = 2359 ] && sleep 61
LC_ALL=C
header=time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s

# row DAYS_AGO PASS TEMPO MARK: one row of the march.
row() {
    printf '%s,,s%s,The Marrowby March,,%s,climb,whole,33-36,as written,quarter,%s,104,%s,key,,0,held,60,8.000,8.000,20.000\r\n' \
        "$(date -d "$1 days ago 12:00" +%Y-%m-%dT%H:%M:%S%:z)" "$1" "$2" "$3" "$4"
}
# words DAYS_AGO: that day as the program says it.
words() {
    if [ "$(date -d "$1 days ago 12:00" +%Y)" = "$(date +%Y)" ]; then
        date -d "$1 days ago 12:00" '+%-d %B'
    else
        date -d "$1 days ago 12:00" '+%-d %B %Y'
    fi
}
march() { verb=$1; shift; run "$verb" --title "The Marrowby March" --target 104 --start 60 "$@"; }

{ printf '%s\r\n' "$header"; row 4 1 92 clean; row 3 1 84 clean; row 3 2 88 miss; } >log.csv
march plan --after log.csv
check "a plan after a log is made" eval 'status_is 0 && err_empty'
check "it says what it took from the log" out_has "^Last practised on $(words 3): clean up to quarter = 84; today begins at quarter = [0-9]"
march climb --fast --simulate --after log.csv --csv today.csv
check "a climb after a log runs" eval 'status_is 0 || status_is 1'
check "its CSV is a log in its turn" eval 'march plan --after today.csv; status_is 0 && err_empty'
check "the same day counts" out_has "^Practised today already: "
run plan --title "Another March" --target 104 --start 60 --after log.csv
check "a passage that the log does not know begins at the start" \
    out_has "^The log has no pass of this passage up to today; today begins at quarter = 60\.$"
march plan --beat "dotted quarter" --after log.csv
check "a log in another beat unit is converted" out_has "clean up to dotted quarter = 56;"
{ printf '%s\n' "$header"; row 1 1 84 miss; } >misses.csv
march plan --after misses.csv
check "a day without a clean pass" out_has "^Last practised on $(words 1): no pass was clean; today begins at quarter = 60\.$"

# --- bad rows are told, the rest is kept ---

{ cat log.csv; row 1 1 xx clean; row 1 2 90 clean; row 1 3 91 clean | head -c 60; } >torn.csv
march plan --after torn.csv
check "a log with bad rows will do" eval 'status_is 0 && out_has "clean up to quarter = 90;"'
check "a wrong number is told by file and line" err_has '^passo: torn.csv, line 5: tempo is "xx"'
check "a torn last row is told by file and line" err_has '^passo: torn.csv, line 7: torn, with'
printf '%s\n2026-01-01T00:00:00Z,,s,\033[2J,,1,\033]0;x\007,w,,a,quarter,84,,clean,,,,,,,,\n' "$header" >evil.csv
march plan --after evil.csv
check "what a log holds cannot move the terminal" eval 'status_is 0 && err_has "part is" && is_plain_text "$tmp/err"'

# --- logs that cannot be read ---

: >empty.csv
mkdir folder
mkfifo pipe
head -c 4096 /dev/zero >zero.csv
printf '[passage]\ntitle = x\n' >march.passo
for verb in climb plan; do
    fast=""
    [ $verb = climb ] && fast=--fast
    refused "$verb --after a missing file" "nolog.csv: there is no such file" -- $verb --target 104 $fast --after nolog.csv
    refused "$verb --after a folder" "folder: this is a folder" -- $verb --target 104 $fast --after folder
    refused "$verb --after a pipe that nobody writes to" "pipe: this is a pipe" -- $verb --target 104 $fast --after pipe
    refused "$verb --after an empty file" "empty.csv: this file is empty" -- $verb --target 104 $fast --after empty.csv
    refused "$verb --after zeros" "zero.csv: this is no session CSV" -- $verb --target 104 $fast --after zero.csv
    refused "$verb --after a passage file" "march.passo: this is no session CSV" -- $verb --target 104 $fast --after march.passo
done
refused "a CSV in the place of the log" "would write over the log" -- climb --target 104 --fast --after log.csv --csv ./log.csv --force
check "and the log is as it was" eval '[ "$(wc -l <log.csv)" = 4 ]'
refused "--after needs a file" "needs a value" -- climb --target 104 --after
refused "a pulse comes after nothing" "does not go with this command" -- pulse --after log.csv
cut -d, -f1-11,13- log.csv >short.csv
refused "a log without tempi" "no column named tempo" -- plan --target 104 --after short.csv

finish
