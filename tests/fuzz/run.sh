#!/bin/sh
# Runs a fuzz target for some seconds from the shipped corpus; what it finds worth keeping goes to
# BUILD/tests/fuzz/new/TARGET, an input that fails to BUILD/tests/fuzz/found-TARGET-*.
# run.sh BUILD TARGET SECONDS [libFuzzer's own options ...]
set -eu
source=$(cd "$(dirname "$0")" && pwd)
build=$1/tests/fuzz
target=$2
seconds=$3
shift 3
# The sanitizers' own tables and freed memory that they hold back are not the program's: its own
# memory is bounded by the targets themselves.
export ASAN_OPTIONS="quarantine_size_mb=4:detect_leaks=1${ASAN_OPTIONS:+:$ASAN_OPTIONS}"
export UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1
mkdir -p "$build/new/$target"
exec "$build/fuzz_$target" -max_total_time="$seconds" -max_len=8192 -timeout=10 -malloc_limit_mb=50 \
    -rss_limit_mb=400 -dict="$source/$target.dict" -artifact_prefix="$build/found-$target-" \
    -print_final_stats=1 "$@" "$build/new/$target" "$source/corpus/$target"
