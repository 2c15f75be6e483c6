#!/bin/sh
# Installs what is missing, builds passo and its tests, and runs them all with ctest.
#
# CI=true or PASSO_RIG=1 also installs a sound server and runs the rig (real streams, recorded and
# measured); elsewhere a musician's desktop sound is not to be touched and the rig is left out.
# CI=true also builds and tests with clang, with ASan+UBSan and with TSan, and looks at the pages of
# the report in a browser.
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
. "$root/src/need.sh"
build=${PASSO_BUILD:-$root/build-tests}

need cc make cmake pkg-config portaudio-2.0 sndfile samplerate ncursesw inih sqlite3 expat libzip libebur128 cmocka gmp tmux sox sqlite3-shell
rig=0
if [ "${CI:-}" = true ] || [ "${PASSO_RIG:-}" = 1 ]; then rig=1; fi
if [ $rig = 1 ]; then need pulseaudio parec alsa-pulse jackd jack aubioonset; fi
# One after the other: the runtime's package is named after the clang that is there.
if [ "${CI:-}" = true ]; then
    need clang chromium mlr abc2midi
    need clang-rt
fi

# build_and_test NAME RIG CMAKE-OPTIONS...
build_and_test() {
    name=$1
    with_rig=$2
    shift 2
    say "== $name: build"
    cmake -S "$root" -B "$build/$name" -DPASSO_WERROR=ON -DPASSO_RIG="$with_rig" "$@" >/dev/null
    cmake --build "$build/$name" -j "$(cores)" 2>&1 | grep -E 'warning|error|Error' >&2 || true
    cmake --build "$build/$name" >/dev/null
    say "== $name: test"
    ctest --test-dir "$build/$name" --output-on-failure -j "$(($(cores) + more))" ${leave_out:+-E "$leave_out"}
}
leave_out=
more=0

if [ "${CI:-}" = true ]; then
    export UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1
    export TSAN_OPTIONS=halt_on_error=1
    # What is slow with sanitizers and meets nothing else than other tests do is run by gcc alone ...
    more=2 # several tests wait, for keys or for a device, most of their time
    leave_out='^(report/browser|engine/test_(forecast|ladder_(staircase|chain)|standing_drawn|today_property)|sound/test_ring|command/(plan|readme|test_heavy|weeks))$'
    build_and_test clang-asan OFF -DCMAKE_C_COMPILER=clang -DPASSO_SANITIZE=address,undefined \
        -DPASSO_FUZZ=ON
    more=1
    leave_out='^(command/(test_heavy|readme|render|cli)|session/test_(cut|keep|day_property)|view/test_(day|scenes))$' # one thread each
    build_and_test gcc-tsan OFF -DCMAKE_C_COMPILER=gcc -DPASSO_SANITIZE=thread
    # ... and what is mostly waiting, for keys, a climb or a device, with the sanitizers alone.
    more=0
    leave_out='^(command/(screen|keep|after|record|report|today)|session/test_(day_device|recover)|text/test_files)$'
fi
if [ $rig = 1 ]; then
    build_and_test gcc ON
else
    build_and_test gcc OFF
    say "== THE RIG WAS LEFT OUT: no real stream was recorded and measured."
    say "== PASSO_RIG=1 sh tests/run.sh runs it; it starts sound servers of its own."
fi
