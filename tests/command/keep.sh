#!/bin/sh
# The log of the real program, and what happens to a laptop on a music stand: killed, its disk full,
# its log in use, read-only, cut off or of another kind, its terminal closed, its clock set back.
# Independent: the sqlite3 shell looks into the log.
# keep.sh PASSO BUILD SOURCE; PASSO_KILLS: how many climbs are killed (60).
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
disk=$tmp/disk
on_exit() {
    umount "$disk" 2>/dev/null
    rm -rf "$tmp"
}
trap on_exit EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
if ! command -v sqlite3 >/dev/null; then
    skip "the log" "THERE IS NO sqlite3"
    finish
fi

own=$XDG_DATA_HOME/passo/log.sqlite
# It may write: a log that was killed while its tables were made is first put right.
sql() { sqlite3 "$@"; }
whole() { [ "$(sql "$1" 'PRAGMA integrity_check')" = ok ]; }
passes() { sql "$1" 'SELECT count(*) FROM pass'; }
# A pass of these lasts a second, with its count-in and its rest.
cat >lively.passo <<'END'
[passage]
title = Lantern March
bars = 1
meter = 2/4
target = 900
[ladder]
start = 600
rest = 0.2 s
stop = 40 passes
END
short() {
    verb=$1
    shift
    run "$verb" lively.passo --silent --plain "$@"
}

# --- where it lies, and who may read it ---

umask 000
printf 'cccc' >marks
short climb --marks marks
check "practice is kept in the data folder" test -f "$own"
check "nobody else may read it" same "$(stat -c %a "$own")" 600
check "nor look into its folder" same "$(stat -c %a "$XDG_DATA_HOME/passo")" 700
check "each pass is there" same "$(passes "$own")" 4
check "and the log is sound" whole "$own"
umask 022
short climb --fast --marks marks
check "simulated time is no practice" same "$(passes "$own")" 4
short climb --fast --marks marks --log other.sqlite
check "unless a log is named" same "$(passes other.sqlite)" 4
short climb --marks marks --no-log
check "--no-log keeps nothing" same "$(passes "$own")" 4

# --- killed ---

kills=${PASSO_KILLS:-60}
printf 'cmcccmcuccccccccmccccc.cccccvcccccccccccccc' >long
# killed LOG SECONDS SPEED...: a climb that is killed after so long; LOG.out has its lines.
killed() {
    log=$1
    after=$2
    shift 2
    "$passo" climb lively.passo --plain --marks long --log "$log" "$@" >"$log.out" 2>&1 </dev/null &
    pid=$!
    sleep "$after"
    kill -9 $pid 2>/dev/null
    wait $pid 2>/dev/null
}
# Every pass before the one that was being played is there, and nothing is torn.
kept() {
    began=$(grep -c '^Pass [0-9]*: .*quarter = ' "$1.out")
    [ -f "$1" ] || { [ "$began" -le 1 ]; return; }
    whole "$1" || return 1
    # Killed before the log had its tables.
    have=$(passes "$1" 2>/dev/null) || { [ "$began" -le 1 ]; return; }
    [ "${have:-0}" -ge $((began - 1)) ] &&
        [ "$(sql "$1" 'SELECT count(*) = coalesce(max(number), 0) FROM pass')" = 1 ]
}
lost=0
torn=""
at=0
while [ $at -lt "$kills" ]; do
    at=$((at + 1))
    rm -f fast.sqlite*
    killed fast.sqlite "0.0$(printf '%02d' $((at * 37 % 100)))" --fast
    kept fast.sqlite || { lost=$((lost + 1)); torn=$at; }
done
check "killed in $kills fast climbs: at most the pass being played is lost (last fault: ${torn:-none})" same "$lost" 0
lost=0
going_on=0
cut=0
rounds=$(((kills + 19) / 20))
while [ $rounds -gt 0 ]; do
    rounds=$((rounds - 1))
    for one in 1 2 3 4 5 6 7 8 9 10; do
        killed "real$one.sqlite" "$((one % 4)).$((rounds * 17 % 10))$((one * 7 % 10))" --silent &
    done
    wait
    for one in 1 2 3 4 5 6 7 8 9 10; do
        log=real$one.sqlite
        kept "$log" || lost=$((lost + 1))
        if [ -f "$log" ] && [ "$(passes "$log")" -gt 0 ]; then
            cut=$((cut + 1))
            before=$(passes "$log")
            run climb lively.passo --plain --marks marks --log "$log" --fast
            out_has "^Going on where the climb of .* broke off: $before pass" &&
                out_has "^Pass $((before + 1)): " && kept "$log" && going_on=$((going_on + 1))
        fi
        rm -f "$log"*
    done
done
check "killed in real time: at most the pass being played is lost" same "$lost" 0
check "the next start goes on where each of $cut broke off, and says so" same "$going_on" "$cut"
check "and most were cut in mid-climb" test "$cut" -gt 5

# A climb that is gone on with is the climb that was: the same marks give the same course.
printf 'cmcccmcucccccc' >first
printf 'cccmccccc' >second
cat first second >both
climb_to() { run climb --title "Lantern March" --bars 1 --meter 2/4 --target 300 --start 200 --rest "1 s" --fast --plain "$@"; }
climb_to --marks both --log one.sqlite
sql one.sqlite "SELECT number, tempo_mbpm, part, rung, turn FROM pass" >course.one
climb_to --marks first --log two.sqlite
sqlite3 two.sqlite "DELETE FROM ended"
climb_to --marks second --log two.sqlite
check "it goes on" out_has "^Going on where the climb of "
sql two.sqlite "SELECT number, tempo_mbpm, part, rung, turn FROM pass" >course.two
check "as if it had never been cut" cmp -s course.one course.two
climb_to --marks second --log two.sqlite
check "one that has ended is not gone on with" not out_has "^Going on"
sqlite3 two.sqlite "DELETE FROM ended"
climb_to --marks second --log two.sqlite --afresh
check "nor with --afresh" not out_has "^Going on"
sqlite3 two.sqlite "DELETE FROM ended"
climb_to --marks second --log two.sqlite --steps "8 bpm"
check "nor under another rule" not out_has "^Going on"

# --- the terminal closed, suspended ---

"$passo" climb lively.passo --plain --silent --marks long --log hup.sqlite >hup.out 2>&1 </dev/null &
pid=$!
sleep 2.5
kill -STOP $pid
check "while it is suspended, others may write" sqlite3 hup.sqlite "BEGIN IMMEDIATE; COMMIT"
kill -CONT $pid
sleep 0.5
kill -HUP $pid
wait $pid 2>/dev/null
check "a closed terminal ends it in order" whole hup.sqlite
check "with all that was played" test "$(passes hup.sqlite)" -ge 1
check "each with the end of its window" same \
    "$(sql hup.sqlite "SELECT count(*) FROM pass WHERE NOT EXISTS (SELECT 1 FROM change WHERE change.climb = pass.climb AND change.number = pass.number)")" 0
run climb lively.passo --plain --fast --marks marks --log hup.sqlite
check "and the next start goes on" out_has "^Going on"

# --- in use ---

# hold LOG: another program begins to write to it, until let_go.
mkfifo hold
hold() {
    sqlite3 "$1" >/dev/null 2>&1 <hold &
    holder=$!
    exec 9>hold
    echo "BEGIN IMMEDIATE;" >&9
    sleep 0.3
}
let_go() {
    exec 9>&-
    wait $holder
}
hold other.sqlite
before=$(passes other.sqlite)
(sleep 2.5; echo "COMMIT;" >&9) &
short climb --marks marks --log other.sqlite --afresh
let_go
check "a log that is in use holds nothing up" out_has "log cannot be written: another program is writing"
check "and is written when it is free" out_has "log is written again"
check "all of it" same "$(passes other.sqlite)" $((before + 4))
hold other.sqlite
climb_to --marks marks --log other.sqlite --afresh
let_go
check "a log that stays in use: the passes are in a rescue file, and the exit says so" \
    eval 'status_is 3 && err_has "rescue"'
rescue=$(grep -o '/[^ ]*passo-rescue[^ ]*\.csv' err | head -n 1)
check "with every pass" same "$(grep -c . "${rescue:-none}")" 5
rm -f "${rescue:-none}"

# Two at once.
climb_two() {
    "$passo" climb --title "$1" --bars 1 --target 300 --start 200 --fast --plain --marks long \
        --log both.sqlite >"$1.out" 2>&1 </dev/null
}
for one in A B C D; do climb_two "$one" & done
wait
said=$(cat A.out B.out C.out D.out | grep -c '^Pass [0-9]*: .*quarter = ')
check "four climbs at once in one log lose nothing" same "$(passes both.sqlite)" "$said"
check "and leave it sound" whole both.sqlite

# --- the disk full ---

mkdir -p "$disk"
if [ "$(id -u)" = 0 ] && mount -t tmpfs -o size=2m none "$disk" 2>/dev/null; then
    climb_to --marks marks --log "$disk/log.sqlite"
    before=$(passes "$disk/log.sqlite")
    dd if=/dev/zero of="$disk/filler" bs=1k 2>/dev/null
    (sleep 3; rm -f "$disk/filler") &
    short climb --marks marks --stop "8 passes" --log "$disk/log.sqlite" --afresh
    check "on a full disk the climb goes on, and says so" out_has "log cannot be written: the disk is full"
    check "when there is room, all is written" out_has "log is written again"
    check "every pass" same "$(passes "$disk/log.sqlite")" \
        $((before + $(grep -c '^Pass [0-9]*: .*quarter = ' out)))
    before=$(passes "$disk/log.sqlite")
    dd if=/dev/zero of="$disk/filler" bs=1k 2>/dev/null
    climb_to --marks long --log "$disk/log.sqlite" --afresh
    check "a disk that stays full: a rescue file elsewhere, exit 3" \
        eval 'status_is 3 && err_has "disk is full" && err_has "passo import"'
    rescue=$(grep -o '/[^ ]*passo-rescue[^ ]*\.csv' err | head -n 1)
    rm -f "$disk/filler"
    check "the log is as it was" \
        eval 'whole "$disk/log.sqlite" && same "$(passes "$disk/log.sqlite")" "$before"'
    run import --log "$disk/log.sqlite" "$rescue"
    check "which passo import takes in" same "$(passes "$disk/log.sqlite")" \
        $((before + $(grep -c . "$rescue") - 1))
    rm -f "$rescue"
    mount -o remount,ro "$disk"
    run climb --target 96 --log "$disk/log.sqlite" --marks marks --fast
    check "a log that is read-only: nothing is played" eval 'status_is 3 && out_empty && err_has "log.sqlite"'
    run list --log "$disk/log.sqlite"
    check "but it can be looked at" status_is 0
    umount "$disk"
else
    skip "a full disk and a read-only one" "NO TMPFS CAN BE MOUNTED HERE"
fi

# --- of another kind ---

# refuses NAME LOG WORD: one sentence, and nothing is played.
refuses() {
    name=$1
    run climb --target 96 --fast --marks marks --log "$2"
    wrong=""
    status_is 2 || status_is 3 || wrong="exit status $status"
    out_empty || wrong="$wrong; stdout is not empty"
    [ "$(wc -l <err)" = 1 ] || wrong="$wrong; not one sentence"
    err_has "$3" || wrong="$wrong; no \"$3\""
    if [ -z "$wrong" ]; then pass "$name: one sentence, and nothing is played"; else fail "$name" "$wrong" "$(seen)"; fi
}
echo "Dear diary, today I practised." >diary.txt
refuses "a text" diary.txt "diary.txt"
sqlite3 one.sqlite "PRAGMA wal_checkpoint(TRUNCATE)" >/dev/null
head -c 9000 one.sqlite >cut.sqlite
refuses "a log that was cut off" cut.sqlite "damaged"
sqlite3 stamps.sqlite "CREATE TABLE stamps (country TEXT)"
refuses "a database of something else" stamps.sqlite "stamps.sqlite"
cp one.sqlite newer.sqlite
sqlite3 newer.sqlite "PRAGMA user_version = 99" >/dev/null
refuses "a log of a newer passo" newer.sqlite "newer"
mkdir folder
refuses "a folder" folder "folder"
mkfifo fifo
refuses "a pipe" fifo "fifo"
refuses "a folder that cannot be made" /proc/at/all/log.sqlite "/proc/at/all"
: >empty.sqlite
climb_to --marks marks --log empty.sqlite
check "an empty file becomes a log" same "$(passes empty.sqlite)" 4

# --- the clock set back ---

climb_to --marks marks --log clock.sqlite --date "2026-11-25 18:00"
climb_to --marks marks --log clock.sqlite --date "2026-11-24 18:00" --afresh
climb_to --marks marks --log clock.sqlite --date "2026-11-25 18:00" --afresh
check "a clock that was set back, and one that shows the same again: nothing is lost" \
    same "$(passes clock.sqlite)" 12
check "and each climb has a name of its own" \
    same "$(sql clock.sqlite 'SELECT count(DISTINCT session) FROM climb')" 3
climb_to --marks marks --log clock.sqlite --date "2026-11-24 19:00"
check "a later day is passed over, and the day itself counts" out_has "^Practised today already"

# --- nothing is written over the log ---

ln -s clock.sqlite clock.link
before=$(passes clock.sqlite)
for one in clock.sqlite ./clock.sqlite clock.link; do
    run report --log clock.sqlite --out $one --force
    check "a page over the log, as $one: refused" eval 'status_is 2 && err_has "is the log itself"'
    climb_to --marks marks --log clock.sqlite --csv $one --force
    check "a CSV over the log, as $one: refused" eval 'status_is 2 && err_has "is the log itself"'
done
check "and the log is as it was" eval 'whole clock.sqlite && same "$(passes clock.sqlite)" "$before"'

finish
