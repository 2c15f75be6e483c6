#!/bin/sh
# Tests the judge of the rig: it must pass a faultless recording and refuse each planted fault, and
# its places must be those of published arithmetic. Needs no sound server and no passo.
#   tests/rig/selftest.sh BUILD
set -u
bin=${1:?usage: selftest.sh BUILD}/tests/rig
tmp=$(mktemp -d "${TMPDIR:-/tmp}/passo-judge.XXXXXX") || exit 2
trap 'rm -rf "$tmp"' EXIT
trap 'exit 130' INT TERM HUP
failed=0

check() { # what, status that is wanted, status that came
    if [ "$2" -eq "$3" ]; then
        echo "ok: $1"
    else
        echo "FAILED: $1 (status $3, wanted $2)"
        failed=$((failed + 1))
    fi
}

# a quoted cell with a comma and a doubled quote stands before the tempo, as RFC 4180 allows
climb() {
    printf 'pass,piece,tempo,mark\r\n'
    pass=0
    for tempo in "$@"; do
        pass=$((pass + 1))
        printf '%d,"March, ""slow""",%s,clean\r\n' "$pass" "$tempo"
    done
}

climb 138 144 150 144.5 150 156 >"$tmp/climb.csv"
shape="rate=44100 beats=4 bars=1 rest_ms=2000"
for fault in none late early missing extra lost deaf drift apart; do
    "$bin/rig_synth" "$shape" 2 "$tmp/climb.csv" "$tmp/raw" $fault || exit 2
    "$bin/rig_judge" "$shape" 2 "$tmp/climb.csv" "$tmp/raw" >"$tmp/out" 2>&1
    status=$?
    case $fault in
    none) wanted=0 ;;
    apart) wanted=2 ;;
    *) wanted=1 ;;
    esac
    check "judge, fault planted: $fault" $wanted $status
    [ $wanted -eq $status ] || cat "$tmp/out"
done

# Frames of beats 0 to 4 and 100 at 48 kHz: k * 48000 * 60 / BPM, rounded half up (worked out by
# hand with bc; 92 and 140 BPM).
climb 92 >"$tmp/92.csv"
climb 140 >"$tmp/140.csv"
places() { # CSV
    "$bin/rig_synth" "rate=48000 beats=4 bars=25 rest_ms=0" 1 "$1" - plan |
        awk '$2 <= 5 || $2 == 101 { printf "%s ", $3 }'
}
[ "$(places "$tmp/92.csv")" = "0 31304 62609 93913 125217 3130435 " ]
check "places at 92 BPM" 0 $?
[ "$(places "$tmp/140.csv")" = "0 20571 41143 61714 82286 2057143 " ]
check "places at 140 BPM" 0 $?

# One bar of count-in, two where a bar lasts under 1.6 s: 150 BPM in 4/4 is exactly 1.6 s.
count() { # tempo: clicks of a pass of one bar
    climb "$1" >"$tmp/one.csv"
    "$bin/rig_synth" "$shape" 1 "$tmp/one.csv" - plan | wc -l
}
[ "$(count 150)" -eq 9 ] && [ "$(count 150.001)" -eq 13 ]
check "two bars of count-in where one lasts under 1.6 s" 0 $?

# The file and the stream: the same recording as a file (sox), its sheet from the plan; then one of
# the planted faults in the stream, all of them inside a pass or before one.
"$bin/rig_synth" "$shape" 1 "$tmp/climb.csv" "$tmp/mono" none
sox -t raw -r 44100 -e floating-point -b 32 -c 1 "$tmp/mono" -e floating-point "$tmp/file.wav" trim 12345s
"$bin/rig_synth" "$shape" 1 "$tmp/climb.csv" - plan | awk '
    BEGIN { print "frame,what\r" }
    $2 == 1 && NR > 1 { print end "," "rest\r" }
    $2 == 1 { print $3 ",\"pass " $1 ", count-in\"\r" }
    { end = $3 + 900 }
    END { print end ",end\r" }' >"$tmp/sheet.csv"
for fault in none late early missing extra lost drift apart; do
    "$bin/rig_synth" "$shape" 2 "$tmp/climb.csv" "$tmp/raw" $fault || exit 2
    "$bin/rig_same" 2 "$tmp/raw" "$tmp/file.wav" "$tmp/sheet.csv" 1e-6 >"$tmp/out" 2>&1
    status=$?
    wanted=1
    [ $fault = none ] && wanted=0
    check "file and stream, fault planted: $fault" $wanted $status
    [ $wanted -eq $status ] || cat "$tmp/out"
done

exit $((failed > 0))
