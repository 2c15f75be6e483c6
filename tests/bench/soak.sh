#!/bin/sh
# A long steady pulse on a busy machine: as many busy loops as there are cores, the real passo into
# a null sink, every click held against its exact place, and slips against what passo itself said.
#   tests/bench/soak.sh BUILD [MINUTES]      (30 minutes if not said; keeps no file)
set -u
here=$(cd "$(dirname "$0")" && pwd)
build=$(cd "${1:?usage: soak.sh BUILD [MINUTES]}" && pwd) || exit 2
minutes=${2:-30}
rate=44100
bpm=132
. "$here/../rig/lib.sh"
rig_start passo-soak
home_make soak
# As on a desktop: the server may have priority (where it is allowed to); passo asks for its own.
pulse_priority="--realtime=yes --high-priority=yes"
pulse_start $rate || exit 1

for core in $(seq "$(getconf _NPROCESSORS_ONLN)"); do
    sh -c 'while :; do :; done' &
    note_pid $!
done
env HOME="$home" timeout --foreground -s KILL "$(awk -v m="$minutes" 'BEGIN { print int(m * 60 + 60) }')" "$build/passo" pulse --tempo $bpm \
    --meter 1/4 --minutes "$minutes" --plain </dev/null >"$home/out" 2>&1
sleep 1
pulse_stop
said=$(grep -c 'sound was late' "$home/out")
heard=$("$build/tests/bench/bench_beats" $rate $bpm <"$home/raw")
echo "$heard" | head -n 10
echo "$heard" | tail -n 1
echo "passo said so $said times (at most once in ten seconds)"
case $heard in
*" slips 0 "*) ;;
*) [ "$said" -gt 0 ] || {
    echo "FAILED: slips that passo did not report"
    exit 1
} ;;
esac
