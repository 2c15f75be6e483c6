#!/bin/sh
# What abc2midi (Debian's abcmidi, an implementation that is not ours) makes of the tunes, as text:
# goldens.sh OUT-FOLDER writes NAME.abc2midi there for each tune; goldens.sh --check compares with
# those that lie beside the tunes. A line is "note ONSET LENGTH MIDI", in ticks of 480 a quarter, the
# highest of a chord; "meter ONSET N/D", "key ONSET SHARPS", "tempo ONSET MICROSECONDS".
#
# Repeats and endings are taken out first, since our notes are those that are printed, not those
# that are played. Grace notes, chord symbols and fermatas are ignored (-NGRA -NGUI -NFER), and the
# notes of a chord begin at once (chordattack 0). abc2midi begins notes one tick late; a staccato
# note has half its length. The first track with notes is taken.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# golden TUNE
golden() {
    sed -e '/^[A-Zw]:/!{s/::/||/g; s/|:/|/g; s/:|[]0-9]*/|/g; s/|[0-9]/|/g;}' \
        -e '/^K:/a %%MIDI chordattack 0' "$1" >"$work/tune.abc"
    # What mftext prints is in no order within a tick.
    abc2midi "$work/tune.abc" -silent -NGRA -NGUI -NFER -o "$work/tune.mid" >/dev/null
    mftext "$work/tune.mid" | awk '
        /^Track start/ { track++ }
        { time = $1; sub("Time=", "", time); time += 0 }
        /Note on/ { if (!taken) taken = track }
        /Note (on|off)/ && track == taken {
            split($5, part, "="); pitch = part[2] + 0
            if ($3 ~ /^on/) start[pitch] = time
            else {
                at = start[pitch] - 1; long = time - at
                if (!(at in high) || pitch > high[at]) { high[at] = pitch; length_of[at] = long }
            }
        }
        /Time signature=/ { meter[time] = $3; sub("signature=", "", meter[time]) }
        /Key signature/ { signs = $0; sub(".*flats=", "", signs); sub(" .*", "", signs); keys[time] = signs }
        /Tempo, micro/ { tempo = $0; sub(".*quarter-note=", "", tempo); tempi[time] = tempo }
        END {
            for (at in meter) print "meter", at, meter[at]
            for (at in keys) print "key", at, keys[at]
            for (at in tempi) print "tempo", at, tempi[at]
            for (at in high) print "note", at, length_of[at], high[at]
        }' | sort -k2,2n -k1,1
}

case ${1:-} in
--check)
    command -v abc2midi >/dev/null && command -v mftext >/dev/null || {
        echo "abc2midi is not installed (Debian: abcmidi); nothing was compared" >&2
        exit 77
    }
    for tune in "$here"/tunes/*.abc; do
        golden "$tune" >"$work/golden"
        diff -u "${tune%.abc}.abc2midi" "$work/golden" || { echo "$tune: abc2midi says otherwise" >&2; exit 1; }
    done
    ;;
?*)
    for tune in "$here"/tunes/*.abc; do
        name=$(basename "$tune" .abc)
        golden "$tune" >"$1/$name.abc2midi"
    done
    ;;
*)
    echo "usage: goldens.sh OUT-FOLDER | --check" >&2
    exit 2
    ;;
esac
