#!/bin/sh
# Installs what is missing, builds passo in build/ and runs `passo demo`.
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
. "$root/src/need.sh"

need cc make cmake pkg-config portaudio-2.0 sndfile samplerate ncursesw inih sqlite3 expat libzip libebur128
log=$(mktemp)
trap 'rm -f "$log"' EXIT
say "building (a moment) ..."
if ! { cmake -S "$root" -B "$root/build" -DPASSO_TESTS=OFF &&
    cmake --build "$root/build" -j "$(cores)"; } >"$log" 2>&1; then
    tail -n 40 "$log" >&2
    say "the build failed; the last lines are above"
    exit 3
fi
say "ready: $root/build/passo"
"$root/build/passo" demo
