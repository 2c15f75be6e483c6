#!/bin/sh
# What `passo render` costs: one hour of clicks, mono, 16 bit, 48 kHz, beside sox making the same
# file, `cp` of it on the same disk, and libsndfile encoding the same frames from memory.
#   tests/bench/bench_render.sh BUILD
# It needs 1.1 GB under TMPDIR. Prints only. Exit status: 0 all goals met, 1 a goal missed or a
# measure not taken.
#
# How it is measured: bench_launch, wall clock from just before a program is started to its end,
# five runs of each in turn, so that all have the same weather; the median. No file is there when a
# run begins. sox repeats the file's first bar. That sox' file is the same is looked at, frame by
# frame.
set -u
build=$(cd "${1:?usage: bench_render.sh BUILD}" && pwd) || exit 2
bin=$build/tests/bench
passo=$build/passo

missing=
for part in "$passo" "$bin/bench_launch" "$bin/bench_encode"; do
    [ -x "$part" ] || missing="$missing $part"
done
command -v sox >/dev/null || missing="$missing sox"
if [ -n "$missing" ]; then
    echo "FAILED: the benches of render cannot run, missing:$missing"
    exit 1
fi
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
export HOME="$tmp" XDG_DATA_HOME="$tmp/data" XDG_CONFIG_HOME="$tmp/config"
missed=0

once() { # name, command: its milliseconds go to the name's list
    "$bin/bench_launch" exit 1 sh -c "exec $2" 2>/dev/null | cut -d " " -f 1 >>"$tmp/$1.ms"
}
median() { # name, runs: - if one is missing
    sort -n "$tmp/$1.ms" | awk -v runs="$2" '{ ms[NR] = $1 }
        END { print NR == runs ? ms[int((NR + 1) / 2)] : "-" }'
}
row() { # what, goal, ms, peer, peer's ms, most
    awk -v what="$1" -v goal="$2" -v ms="$3" -v peer="$4" -v other="$5" -v most="$6" 'BEGIN {
        ratio = (ms != "-" && other + 0 > 0) ? sprintf("%.2f", ms / other) : "-"
        met = ratio != "-" && ratio + 0 <= most + 0
        printf "| %s | %s | %s ms | %s | %s: %s ms | %s |\n", what, goal, ms, met ? "met" : "MISSED",
            peer, other, ratio
        exit !met }' || missed=$((missed + 1))
}

pulse="'$passo' render --pulse 'quarter = 120' --minutes 60 --rate 48000"
"$passo" render --pulse "quarter = 120" --minutes 1 --rate 48000 minute.wav >/dev/null
sox minute.wav bar.wav trim 0 96000s 2>/dev/null
for _ in 1 2 3 4 5; do
    rm -f ours.wav theirs.wav copy.wav
    once ours "$pulse ours.wav"
    once sox "sox bar.wav theirs.wav repeat 1799"
    once cp "cp ours.wav copy.wav"
done
ours=$(median ours 5)
echo "| one hour of clicks | goal | measured | | peer | ratio |"
echo "| --- | --- | --- | --- | --- | --- |"
row "\`passo render\`, WAV" "no slower than sox" "$ours" "sox repeat" "$(median sox 5)" 1
row "the same" "at most 1.5 x cp" "$ours" "cp" "$(median cp 5)" 1.5
# Of the last click a file may have less: it ends there.
frames=$((172800000 - 480))
for one in ours theirs; do
    sox $one.wav -t raw - trim 0 ${frames}s | cksum >$one.sum
done
cmp -s ours.sum theirs.sum && grep -q " $((frames * 2))" ours.sum || {
    echo "FAILED: sox' file is not the same"
    missed=$((missed + 1))
}
rm -f theirs.wav copy.wav
for _ in 1 2 3; do
    rm -f ours.flac
    once flac "$pulse ours.flac"
done
theirs=$("$bin/bench_encode" 3 ours.wav theirs.flac) || theirs=-
row "\`passo render\`, FLAC" "no goal: at most 1.1 x" "$(median flac 3)" "libsndfile, from memory" \
    "$theirs" 1.1
if [ $missed -gt 0 ]; then
    echo "$missed goals of render missed or not measured"
    exit 1
fi
