#!/bin/sh
# The rig: the real passo plays through the real PortAudio into pulseaudio's null sink and into
# JACK's dummy driver; what comes out is recorded and every click is held against its exact place.
# Then the sound server is killed, left out, and passo interrupted; the audio callback is watched
# for calls that it must not make; and what is recorded is held against the file that passo renders
# of the same climb, sample by sample.
#   tests/rig/run.sh BUILD     (tests/run.sh calls it under CI=true or PASSO_RIG=1)
# PASSO_RIG_KEEP=1 leaves recordings and logs; PASSO_RIG_PARTS="pulse, trap kill" runs only those
# parts (a comma waits). The whole takes about a minute and a half.
set -u
here=$(cd "$(dirname "$0")" && pwd)
build=$(cd "${1:?usage: run.sh BUILD}" && pwd) || exit 2
bin=$build/tests/rig
rig_bin=$bin
passo=$build/passo
. "$here/lib.sh"

missing=
for tool in pulseaudio parec pactl jackd jack_lsp aubioonset sox; do
    command -v $tool >/dev/null || missing="$missing $tool"
done
for part in "$passo" "$bin/rig_judge" "$bin/rig_cells" "$bin/rig_jack_record" "$bin/rig_trap.so" \
    "$bin/rig_same"; do
    [ -e "$part" ] || missing="$missing $part"
done
if [ -n "$missing" ]; then
    echo "FAILED: the rig cannot run, missing:$missing"
    echo "(Debian: pulseaudio pulseaudio-utils libasound2-plugins jackd2 libjack-jackd2-dev" \
        "aubio-tools sox)"
    echo "0 passed, 1 failed"
    exit 1
fi
rig_start passo-rig
trap_lib=$(to_preload "$bin/rig_trap.so")

ok() {
    echo "ok: $*"
}
bad() {
    echo "FAILED: $*"
}
same() { # what wanted came
    if [ "$2" = "$3" ]; then ok "$1: $3"; else bad "$1: \"$3\", wanted \"$2\""; fi
}

# One climb with raises and a drop over four rungs: 138 (places with fractions), 144, 150 (a bar is
# exactly 1.6 s: one bar of count-in) and 156 (two bars). Won on the last pass. The rest leaves room
# for a mark that changes what comes next (it needs two seconds of breath) on a busy machine.
geometry="beats=4 bars=1 rest_ms=3000"
climb_tempos="138 144 150 144 150 156"
climb_moves="raised raised dropped raised raised won"
climb() { # more options; $preload: what is preloaded into passo, with its settings
    printf 'ccm ccc' >"$home/marks"
    rm -f "$home/out.csv"
    # $preload is meant to fall apart at its blanks
    # shellcheck disable=SC2086
    exec timeout --foreground -s KILL 100 env --default-signal=INT ${preload:-} \
        "$passo" climb --afresh --start 138 --target 156 --steps "6 bpm" --raise "1 clean" \
        --drop "1 rung after 1 miss" --bars 1 --meter 4/4 --rest "3 s" --finish none \
        --plateau none --tired none --marks "$home/marks" --csv "$home/out.csv" --plain "$@" \
        >"$home/out" 2>"$home/err" </dev/null
}

# What passo says of the climb must be what was asked for, before its places mean anything.
check_climb() { # name status
    same "$1: exit status (won)" 0 "$2"
    same "$1: tempos" "$climb_tempos" "$("$bin/rig_cells" "$home/out.csv" tempo 2>&1)"
    same "$1: moves" "$climb_moves" "$("$bin/rig_cells" "$home/out.csv" move 2>&1)"
    if grep -qiE "late|lost" "$home/out"; then
        echo "note: $1: passo itself reported frames that came late:"
        grep -iE "late|lost" "$home/out"
    fi
}

# Both judges on one recording. aubioonset finds a click by its energy in hops of 32 frames
# and gives the time to within 0.3 ms (tried on exact clicks); so it is held to 1 ms.
judge() { # rate channels; prints and returns the verdict of the frame-exact one
    "$bin/rig_judge" "rate=$1 $geometry" "$2" "$home/out.csv" "$home/raw"
}
judge_aubio() { # rate channels
    sox -t raw -e floating-point -b 32 -c "$2" -r "$1" "$home/raw" -b 24 "$home/heard.wav" remix 1 &&
        aubioonset -i "$home/heard.wav" -O energy -H 32 -B 128 -T samples >"$home/onsets" \
            2>"$home/aubio.err" &&
        "$bin/rig_judge" "rate=$1 $geometry" "$2" "$home/out.csv" "$home/raw" "$home/onsets" \
            $(($1 / 1000))
}

# Runs `attempt NAME` (which fills $home and sets $rate, $channels), judges it, and once more if a
# frame was off: other work on this machine may make any sound server drop frames.
check_places() { # name attempt
    home_make "$1"
    "$2" "$1"
    if ! judge "$rate" "$channels" >"$home/verdict" 2>&1; then
        echo "RETRY: $1: not at its places in the first try, which said:"
        cat "$home/verdict"
        home_make "$1-again"
        "$2" "$1"
        judge "$rate" "$channels" >"$home/verdict" 2>&1
        set -- "$1" "$2" $?
    else
        set -- "$1" "$2" 0
    fi
    if [ "$3" -eq 0 ]; then
        ok "$1, $rate Hz: every click on its exact frame"
    else
        bad "$1, $rate Hz: clicks off their places"
    fi
    cat "$home/verdict"
    if judge_aubio "$rate" "$channels" >"$home/verdict" 2>&1; then
        ok "$1: an independent tool (aubioonset) agrees within 1 ms"
    else
        bad "$1: aubioonset disagrees"
    fi
    cat "$home/verdict"
}

# The sink must run at the stream's own rate, or the server resamples: if it does not, the first
# seconds tell which that is and the climb begins again.
play_pulse() { # name
    rate=${pulse_rate:-44100}
    channels=2
    pulse_start "$rate" || return
    climb &
    player=$!
    note_pid $player
    wait_for 50 stream_rate_known
    found=$(stream_rate)
    if [ -z "${pulse_rate:-}" ] && [ -n "$found" ] && [ "$found" != "$rate" ]; then
        end_pid $player
        pulse_stop
        pulse_rate=$found
        play_pulse "$1"
        return
    fi
    wait $player
    status=$?
    forget_pid $player
    sleep 2.5 # the monitor is up to two seconds behind
    pulse_stop
    check_climb "$1" $status
    same "$1: the stream's rate and the sink's" "$rate" "$found"
}
stream_rate_known() {
    [ -n "$(stream_rate)" ]
}

play_jack() { # name
    rate=48000
    channels=1
    jack_start $rate 512 || return
    preload="LD_PRELOAD=$trap_lib PASSO_TRAP_REPORT=$home/trap"
    climb --device system &
    player=$!
    note_pid $player
    wait $player
    status=$?
    forget_pid $player
    sleep 0.3
    jack_stop
    check_climb "$1" $status
    same "$1: the recorder lost nothing" "overflows 0, connected 1" \
        "$(sed -n 's/^xruns.*, overflows/overflows/p' "$home/record.log")"
    check_trap "$1"
}

check_trap() { # name: callbacks were watched and none was caught
    seen=$(sed -n 's/^trap: watched \([0-9]*\) callbacks.*/\1/p' "$home/trap" | head -n 1)
    if grep -q "called inside" "$home/trap" || [ "${seen:-0}" -lt 100 ]; then
        bad "$1: the callback must not do this:"
        cat "$home/trap"
    else
        ok "$1: $seen callbacks made no memory, lock or file call"
    fi
}

# By hand: a raise, a drop, louder and softer, a pause and on, with a click set from files. Then the
# planted faults prove that the trap can catch.
part_trap() {
    home_make trap
    pulse_start 44100 || return
    mkfifo "$home/keys"
    timeout --foreground -s KILL 60 env --default-signal=INT LD_PRELOAD="$trap_lib" PASSO_TRAP_REPORT="$home/trap" \
        "$passo" climb --afresh --start 138 --target 150 --steps "6 bpm" --raise "1 clean" \
        --drop "1 rung after 1 miss" --bars 1 --meter 4/4 --rest "2 s" --finish none \
        --plateau none --tired none --sounds wood --csv "$home/out.csv" --plain \
        <"$home/keys" >"$home/out" 2>"$home/err" &
    player=$!
    note_pid $player
    exec 7>"$home/keys"
    key_in_pass 1 " +"
    key_in_pass 2 "x-"
    key_in_pass 3 "p"
    sleep 1
    press p
    key_in_pass 4 " "
    sleep 3
    exec 7>&-
    end_pid $player INT
    same "trap: moves" "raised dropped" \
        "$("$bin/rig_cells" "$home/out.csv" move 2>&1 | cut -d " " -f 1-2)"
    grep -q "^Paused" "$home/out" && grep -q "^Pass 4" "$home/out"
    same "trap: paused and went on" 0 $?
    check_trap "trap, climb by hand with a click set"
    part_trap_plants
    pulse_stop
}

# Presses keys while pass N is played, just after its count-in.
key_in_pass() { # number keys
    wait_for 150 grep -q "^Pass $1" "$home/out" || bad "trap: pass $1 does not begin"
    sleep 2.2
    press "$2"
}
press() { # keys
    (
        trap '' PIPE # passo may have ended: then the checks say so
        printf '%s' "$1" >&7
    )
}

part_trap_plants() {
    for fault in malloc free lock write open sleep; do
        timeout --foreground -s KILL 10 env LD_PRELOAD="$trap_lib" \
            PASSO_TRAP_REPORT="$home/plant.$fault" PASSO_TRAP_PLANT=$fault "$passo" climb --afresh --start 138 --target 138 --bars 1 --meter 4/4 \
            --csv "$home/plant.$fault.csv" --plain >/dev/null 2>&1 </dev/null
        same "trap, $fault planted in the callback" 99 $?
    done
}

# The sound server dies in mid-climb and comes back: nothing is lost but sound, and sound returns.
part_kill() {
    home_make kill
    pulse_start 44100 || return
    climb &
    player=$!
    note_pid $player
    wait_for 100 grep -q "^Pass 2" "$home/out" || bad "kill: pass 2 does not begin"
    kill -9 $pulse
    end_pid $pulse KILL
    end_pid "$parec"
    wait_for 60 grep -q "No sound" "$home/out"
    same "kill: a notice says that there is no sound" 0 $?
    pulse_start 44100 || return
    wait_for 200 grep -qiE "sound is back" "$home/out"
    same "kill: a notice says that sound is back" 0 $?
    wait $player
    same "kill: exit status (won)" 0 $?
    forget_pid $player
    sleep 2.5
    pulse_stop
    same "kill: all passes are in the CSV" "$climb_tempos" \
        "$("$bin/rig_cells" "$home/out.csv" tempo 2>&1)"
    sounds=$("$bin/rig_judge" onsets 2 "$home/raw")
    if [ "${sounds:-0}" -ge 9 ]; then
        ok "kill: $sounds sounds came from the new server"
    else
        bad "kill: only ${sounds:-no} sounds came from the new server"
    fi
}

# No server at all: the climb is played in silence, says so, and ends like any other.
part_none() {
    home_make none
    printf 'c' >"$home/marks"
    timeout --foreground -s KILL 30 "$passo" climb --afresh --start 156 --target 156 --raise "1 clean" --bars 1 --meter 4/4 --rest "1 s" \
        --finish none --marks "$home/marks" --csv "$home/out.csv" --plain \
        >"$home/out" 2>"$home/err" </dev/null &
    player=$!
    note_pid $player
    wait $player
    same "no server: exit status (won)" 0 $?
    forget_pid $player
    grep -q "No sound" "$home/out"
    same "no server: a notice says so" 0 $?
    same "no server: stderr stays empty" "" "$(cat "$home/err")"
    same "no server: the pass is in the CSV" "won" "$("$bin/rig_cells" "$home/out.csv" move 2>&1)"
}

# Ctrl-C in the second pass: the CSV is whole and the status says that the target was not won.
part_interrupt() {
    home_make interrupt
    pulse_start 44100 || return
    climb &
    player=$!
    note_pid $player
    wait_for 150 grep -q "^Pass 2" "$home/out" || bad "interrupt: pass 2 does not begin"
    sleep 1
    kill -INT $player
    wait $player
    same "interrupt: exit status (ended without its target)" 1 $?
    forget_pid $player
    pulse_stop
    same "interrupt: the CSV is whole and has the first pass" "138" \
        "$("$bin/rig_cells" "$home/out.csv" tempo 2>&1 | cut -d " " -f 1)"
}

# A climb with all that sounds, by ear and by file: starting notes, drones, hearings, count-ins, notes
# and clicks. The floats of the stream are those of a float file; a 16-bit file's are within half a
# step of them. Other work on this machine may make the server drop frames: once more, then.
part_file() {
    home_make file
    play_file
    if ! same_as_file float 0 >"$home/verdict" 2>&1; then
        echo "RETRY: file: not the same in the first try, which said:"
        cat "$home/verdict"
        home_make file-again
        play_file
    fi
    for what in "float 0" "16 1.53e-5"; do
        # shellcheck disable=SC2086
        same_as_file $what >"$home/verdict" 2>&1
        same "file: the stream and the file of the same climb, ${what% *}" 0 $?
        cat "$home/verdict"
    done
}
both_ways() { # what a climb and a render of it are told alike, before that what they are not
    timeout --foreground -s KILL 60 "$passo" "$@" --start 150 --target 156 --steps "6 bpm" \
        --bars 1 --meter 4/4 --rest "3 s" --finish none --plateau none --tired none \
        --key B-flat --start-pitch F3 --drone "root and fifth" --notes "F2A2 (B2d2)" \
        --hear "before each new rung" </dev/null
}
play_file() {
    pulse_start 44100 || return
    printf 'cc' >"$home/marks"
    both_ways climb --afresh --raise "1 clean" --marks "$home/marks" --plain >"$home/out" 2>&1
    same "file: exit status (won)" 0 $?
    sleep 2.5
    pulse_stop
}
same_as_file() { # bits tolerance
    both_ways render "$home/$1.wav" --force --passes 1 --rate 44100 --bits "$1" --cues "$home/$1.csv" &&
        "$bin/rig_same" 2 "$home/raw" "$home/$1.wav" "$home/$1.csv" "$2"
}

# Parts run side by side where their timing does not matter to each other.
run_part() { # name: its report goes to a file
    "part_$1" >"$tmp/report.$1" 2>&1 &
    note_pid $!
    parts="$parts $!"
}
part_pulse() { check_places pulse play_pulse; }
part_jack() { check_places jack play_jack; }
wait_parts() {
    for part in $parts; do
        wait "$part"
        forget_pid "$part"
    done
    parts=
}

parts=
groups=${PASSO_RIG_PARTS:-"pulse jack, trap kill none interrupt file"}
while [ -n "$groups" ]; do
    for part in ${groups%%,*}; do
        run_part "$part"
    done
    wait_parts
    case $groups in
    *,*) groups=${groups#*,} ;;
    *) groups= ;;
    esac
done

for part in pulse jack trap kill none interrupt file; do
    [ -e "$tmp/report.$part" ] || continue
    echo "--- $part"
    cat "$tmp/report.$part"
done
passed=$(cat "$tmp"/report.* | grep -c "^ok: ")
failed=$(cat "$tmp"/report.* | grep -c "^FAILED: ")
[ "$passed" -gt 0 ] || failed=$((failed + 1))
echo "$passed passed, $failed failed"
exit $((failed > 0))
