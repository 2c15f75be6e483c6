# shellcheck shell=sh
# Sound servers of the rig's own, sourced by run.sh and by tests/bench/run.sh (POSIX sh).
#
# Each server lives in a folder with a private HOME, runtime folder, socket and ALSA configuration,
# so it meets neither the user's servers nor another rig's. Nothing needs dbus, root or real time.
# Every process that is started is noted in $tmp/pids and ended by its number.

rig_start() { # name of the temporary folder; sets $tmp and cleans up on every exit
    tmp=$(mktemp -d "${TMPDIR:-/tmp}/$1.XXXXXX") || exit 2
    mkdir "$tmp/pids"
    trap rig_clean EXIT
    trap 'exit 130' INT TERM HUP
    unset DBUS_SESSION_BUS_ADDRESS DISPLAY WAYLAND_DISPLAY PULSE_SINK PULSE_SOURCE
    export JACK_NO_AUDIO_RESERVATION=1 JACK_NO_START_SERVER=1 LC_ALL=C
}

rig_clean() {
    # the newest first: players, then recorders, then servers
    for pid in $(ls "$tmp/pids" | sort -rn); do
        kill "$pid" 2>/dev/null
    done
    sleep 0.3
    for pid in "$tmp"/pids/*; do
        kill -9 "${pid##*/}" 2>/dev/null
    done
    if [ -n "${PASSO_RIG_KEEP:-}" ]; then
        echo "kept: $tmp"
    else
        rm -rf "$tmp"
    fi
}

# A library to preload, under a path with no blank in it: LD_PRELOAD takes a blank for a border.
to_preload() { # library
    cp "$1" "$tmp/" && echo "$tmp/${1##*/}"
}

note_pid() {
    : >"$tmp/pids/$1"
}

forget_pid() {
    rm -f "$tmp/pids/$1"
}

# Ends a process that the rig started and waits for it.
end_pid() { # pid [signal]
    kill "-${2:-TERM}" "$1" 2>/dev/null
    wait "$1" 2>/dev/null
    forget_pid "$1"
}

# Waits until a command succeeds, at most so many tenths of a second.
wait_for() { # tenths command...
    tenths=$1
    shift
    while ! "$@" >/dev/null 2>&1; do
        tenths=$((tenths - 1))
        [ "$tenths" -gt 0 ] || return 1
        sleep 0.1
    done
}

# A private home for one client and its server. Sets $home and exports what leads programs there.
home_make() { # name
    home=$tmp/$1
    mkdir -p "$home/run" "$home/home" "$home/data" "$home/config"
    chmod 700 "$home/run"
    cat >"$home/asound.conf" <<END
</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
END
    export HOME="$home/home" XDG_RUNTIME_DIR="$home/run" XDG_DATA_HOME="$home/data"
    export XDG_CONFIG_HOME="$home/config" XDG_STATE_HOME="$home/data"
    export PULSE_SERVER="unix:$home/run/native" ALSA_CONFIG_PATH="$home/asound.conf"
    export JACK_DEFAULT_SERVER="passo-rig-$$-$1"
}

# pulseaudio with one null sink at that rate, and a recorder on its monitor: $home/raw, 2 channels.
# Sets $pulse and $parec (their pids).
pulse_start() { # rate; $pulse_priority: options for its own priority
    cat >"$home/pulse.pa" <<END
load-module module-native-protocol-unix socket=$home/run/native auth-anonymous=1
load-module module-null-sink sink_name=rig rate=$1 format=float32le channels=2
set-default-sink rig
END
    rm -f "$home/run/native"
    pulseaudio -n -F "$home/pulse.pa" --daemonize=no --exit-idle-time=-1 --use-pid-file=no \
        ${pulse_priority:---realtime=no --high-priority=no} --log-target=stderr >>"$home/pulse.log" 2>&1 &
    pulse=$!
    note_pid $pulse
    if ! wait_for 100 pactl info; then
        echo "FAILED: pulseaudio does not start:"
        cat "$home/pulse.log"
        return 1
    fi
    record_start "$1"
}

# The sink runs ahead while nothing reads it, so the recorder is there first, and flows.
record_start() { # rate
    : >"$home/raw"
    parec --raw -d rig.monitor --format=float32le --rate="$1" --channels=2 --latency-msec=50 \
        >"$home/raw" 2>>"$home/pulse.log" &
    parec=$!
    note_pid $parec
    wait_for 100 test -s "$home/raw" || echo "FAILED: nothing comes from the sink's monitor"
}

pulse_stop() {
    end_pid "$parec"
    end_pid "$pulse"
}

# The rate at which a client plays into the sink now; nothing while none does.
stream_rate() {
    pactl list short sink-inputs | sed -n 's/.* \([0-9]*\)Hz.*/\1/p' | head -n 1
}

# jackd without a sound card, in the home's own name, and the recorder (from $rig_bin), which waits
# for PortAudio's port. -S: the server waits for its clients, so that a busy machine delays but loses
# nothing. Sets $jack and $ear.
jack_start() { # rate period
    jackd -n "$JACK_DEFAULT_SERVER" -r -S -d dummy -r "$1" -p "$2" >"$home/jack.log" 2>&1 &
    jack=$!
    note_pid $jack
    if ! wait_for 100 jack_lsp; then
        echo "FAILED: jackd does not start:"
        cat "$home/jack.log"
        return 1
    fi
    "$rig_bin/rig_jack_record" PortAudio "$home/raw" >"$home/record.log" 2>&1 &
    ear=$!
    note_pid $ear
    wait_for 50 grep -q rate "$home/record.log" || echo "FAILED: the JACK recorder does not start"
}

jack_stop() {
    end_pid "$ear"
    end_pid "$jack"
}
