#!/bin/sh
# The benches: one table, goal beside measure, and a peer that did the same in this very run.
#   tests/bench/run.sh BUILD
# Prints only; writes no file (what it needs lies in a temporary folder). Takes about a minute.
# Exit status: 0 all goals met, 1 a goal missed or a measure not taken.
#
# How it is measured:
#  - start-up: bench_launch, wall clock from just before the program is started to its end.
#  - first click: from just before passo is started to the moment when PortAudio says that its first
#    sounding sample reaches the converter (bench_probe.so), into a null sink and JACK's dummy driver.
#  - a running climb: /proc/PID/stat (user and system time, all threads) over 20 s of a pass that
#    sounds, and VmRSS at their end; the peer is pacat, playing silence into the same sink.
set -u
here=$(cd "$(dirname "$0")" && pwd)
build=$(cd "${1:?usage: run.sh BUILD}" && pwd) || exit 2
bin=$build/tests/bench
rig_bin=$build/tests/rig
passo=$build/passo
. "$here/../rig/lib.sh"

missing=
for tool in pulseaudio parec pactl pacat jackd jack_lsp tmux sqlite3; do
    command -v $tool >/dev/null || missing="$missing $tool"
done
for part in "$passo" "$bin/bench_launch" "$bin/bench_probe.so" "$bin/bench_callback" \
    "$bin/bench_forecast" "$bin/bench_today" "$bin/bench_thirty_days" \
    "$rig_bin/rig_jack_record"; do
    [ -x "$part" ] || missing="$missing $part"
done
if [ -n "$missing" ]; then
    echo "FAILED: the benches cannot run, missing:$missing"
    exit 1
fi
rig_start passo-bench
probe_lib=$(to_preload "$bin/bench_probe.so")
missed=0

row() { # what, goal, number, unit, peer, peer's number, limit
    verdict=$(awk -v n="$3" -v l="$7" 'BEGIN { print n == "-" ? "not taken" : n + 0 < l + 0 ? "met" : "MISSED" }')
    ratio=$(awk -v n="$3" -v p="$6" 'BEGIN { if (n != "-" && p + 0 > 0) printf "%.2f", n / p; else print "-" }')
    [ "$verdict" = met ] || missed=$((missed + 1))
    echo "| $1 | $2 | $3 $4 | $verdict | $5 | $ratio |"
}
first_word() {
    echo "${1:--}" | cut -d " " -f 1
}

# --- start-up
home_make startup
echo "| what | goal | measured | | peer | ratio |"
echo "| --- | --- | --- | --- | --- | --- |"
nothing=$(first_word "$("$bin/bench_launch" exit 100 /bin/true)")
other=$(first_word "$("$bin/bench_launch" exit 100 sqlite3 --version)")
version=$(first_word "$("$bin/bench_launch" exit 100 "$passo" --version)")
row "\`passo --version\`, median of 100" "under 10 ms" "$version" ms "/bin/true: $nothing ms" "$nothing" 10
row "the same" "under 10 ms" "$version" ms "sqlite3 --version: $other ms" "$other" 10

# --- first click
first_click() { # more options; median over 9 starts
    PASSO_PROBE_FILE=$home/moment "$bin/bench_launch" first 9 "$home/moment" \
        env LD_PRELOAD="$probe_lib" "$passo" climb --afresh --target 96 --plain "$@"
}
spread() { # "MEDIAN BEST WORST"
    echo "$1" | awk 'NF == 3 { printf "best %s, worst %s ms", $2, $3 }'
}
pulse_start 44100 && click=$(first_click)
row "start to first click, pulseaudio, median of 9" "under 150 ms" "$(first_word "${click:-}")" ms \
    "($(spread "${click:-}"))" 0 150
home_make jack
jack_start 48000 128 && click=$(first_click --device system)
row "start to first click, JACK at 128 frames, median of 9" "under 150 ms" "$(first_word "${click:-}")" ms \
    "($(spread "${click:-}"))" 0 150
jack_stop

# --- a running climb
cpu_ticks() { # pid
    awk '{ sub(/.*\) /, ""); print $12 + $13 }' "/proc/$1/stat"
}
resident_mib() { # pid
    awk '$1 == "VmRSS:" { printf "%.1f", $2 / 1024 }' "/proc/$1/status"
}
share() { # ticks before, after: percent of a core over $seconds
    awk -v a="$1" -v b="$2" -v s="$seconds" -v h="$(getconf CLK_TCK)" \
        'BEGIN { printf "%.2f", 100 * (b - a) / h / s }'
}
seconds=20
home_make running
PULSE_SERVER=unix:$tmp/startup/run/native
"$passo" climb --afresh --start 66 --target 132 --bars 4 --plain >"$home/out" 2>&1 </dev/null &
plain=$!
note_pid $plain
tmux -L "passo-bench-$$" -f /dev/null new-session -d -x 80 -y 24 \
    "exec '$passo' climb --start 66 --target 132 --bars 4"
note_pid "$(tmux -L "passo-bench-$$" display -p '#{pid}')"
screen=$(tmux -L "passo-bench-$$" list-panes -F '#{pane_pid}')
note_pid "$screen"
pacat --raw --format=float32le --rate=44100 --channels=1 --latency-msec=10 </dev/zero 2>/dev/null &
peer=$!
note_pid $peer
sleep 1
plain_before=$(cpu_ticks $plain)
screen_before=$(cpu_ticks "$screen")
peer_before=$(cpu_ticks $peer)
sleep $seconds
plain_cpu=$(share "$plain_before" "$(cpu_ticks $plain)")
screen_cpu=$(share "$screen_before" "$(cpu_ticks "$screen")")
peer_cpu=$(share "$peer_before" "$(cpu_ticks $peer)")
peer_mib=$(resident_mib $peer)
row "a running climb, lines: of one core" "under 2 %" "$plain_cpu" % "pacat: $peer_cpu %" "$peer_cpu" 2
row "a running climb, screen 80x24: of one core" "under 2 %" "$screen_cpu" % "pacat: $peer_cpu %" \
    "$peer_cpu" 2
row "a running climb, lines: resident" "under 24 MiB" "$(resident_mib $plain)" MiB \
    "pacat: $peer_mib MiB" "$peer_mib" 24
row "a running climb, screen: resident" "under 24 MiB" "$(resident_mib "$screen")" MiB \
    "pacat: $peer_mib MiB" "$peer_mib" 24

# --- the audio callback
echo
"$bin/bench_callback" || missed=$((missed + 1))

# --- the forecast of `passo plan`
echo
"$bin/bench_forecast" || missed=$((missed + 1))

# --- the plan of `passo today`, and what its minutes are good for
echo
"$bin/bench_today" || missed=$((missed + 1))
echo
"$bin/bench_thirty_days" || missed=$((missed + 1))

# --- the record
echo
"$here/bench_record.sh" "$build" || missed=$((missed + 1))

# --- what is rendered into files
echo
"$here/bench_render.sh" "$build" || missed=$((missed + 1))
echo
if [ $missed -gt 0 ]; then
    echo "$missed goals missed or not measured"
    exit 1
fi
