#!/bin/sh
# The screen of the real program on a real terminal (tmux), in real time and in silence.
# screen.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
socket=screen
TMUX_TMPDIR=$tmp
export TMUX_TMPDIR
mux() { tmux -L "$socket" -f /dev/null "$@"; }
on_exit() {
    mux kill-server 2>/dev/null
    rm -rf "$tmp"
}
trap on_exit EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
# Typed into a shell, so under a path with no blank.
ln -s "$passo" "$tmp/passo"
passo=$tmp/passo
if ! command -v tmux >/dev/null; then
    skip "the screen" "THERE IS NO tmux"
    finish
fi

# One server for all terminals: a new one might meet the last one's end.
mux start-server \; set-option -g exit-empty off

short="--silent --bars 1 --target 240 --start 200 --rest 3s"
record=--no-log
log=$tmp/log.sqlite
# The pane's own shell is interactive: it has job control, and the program is its child.
cat >profile <<'EOF'
PS1='ready> '
EOF
# open SIZE [VARIABLE=VALUE...]: a new terminal with a shell in it.
open() {
    size=$1
    shift
    mux -u new-session -d -s t -x "${size%x*}" -y "${size#*x}" \
        "exec env $* ENV=$tmp/profile PASSO=$passo sh -i"
    mux set-option -t t status off >/dev/null 2>&1
    mux resize-window -t t -x "${size%x*}" -y "${size#*x}" 2>/dev/null
    wait_for 'ready>' 30 || {
        echo "the shell did not start" >&2
        exit 1
    }
}
shut() { mux kill-session -t t 2>/dev/null; }
keys() { mux send-keys -t t "$@"; }
shot() { mux capture-pane -J -p -t t; }
shows() { shot | grep -qE -- "$1"; }
# wait_for PATTERN SECONDS / wait_gone PATTERN SECONDS: looks ten times a second.
wait_for() {
    looks=0
    while ! shows "$1"; do
        looks=$((looks + 1))
        [ $looks -gt $(($2 * 10)) ] && return 1
        sleep 0.1
    done
}
wait_gone() {
    looks=0
    while shows "$1"; do
        looks=$((looks + 1))
        [ $looks -gt $(($2 * 10)) ] && return 1
        sleep 0.1
    done
}
# sees NAME PATTERN [SECONDS]: the screen comes to show it.
sees() {
    if wait_for "$2" "${3:-5}"; then pass "$label: $1"; else fail "$label: $1" "not seen: $2" "$(mux_shot)"; fi
}
mux_shot() { shot | grep -v '^ *$' | tail -n 11; }
# start [ARGUMENTS]: leaves the terminal's modes in before, runs the climb, says its exit status,
# leaves the modes in after. The pid is the program's.
start() {
    rm -f pid before after s.csv
    keys "clear; stty -a >before; sh -c 'echo \$\$ >pid; exec \"\$PASSO\" climb $short $record --csv s.csv $*'; echo status=\$?.; stty -a >after" Enter
    wait_for 'Space clean|played 0:00' 10 || fail "$label: the screen opens" "$(mux_shot)"
    program=$(cat pid)
}
# ended STATUS: the program has gone, and the terminal is as it was.
ended() {
    sees "exit status $1" "^status=$1[.]" 5
    check "$label: the terminal's modes are as before" eval 'sleep 0.3; cmp -s before after'
    check "$label: the alternate screen is left" same "$(mux display-message -p -t t '#{alternate_on}')" 0
    check "$label: the cursor is shown" same "$(mux display-message -p -t t '#{cursor_flag}')" 1
}
in_rest() { wait_for 'next:|How was it' "$1"; }
csv_marks() { tail -n +2 s.csv | cut -d, -f14 | tr '\n' ' ' | sed 's/ $//'; }
# No line is cut, none wraps: the footer stands on the last line but one or the last.
fits() { shot | tail -n 3 | grep -q 'q finish\|q fin\|? help\|Space clean'; }

climb_by_keys() {
    label=$1
    open "$1"
    start
    check "$label: what is played is said" eval "shows 'bar 1'"
    check "$label: the tempo stands with its beat unit" eval "shows 'quarter ='"
    check "$label: the ladder's target and start are there" eval "shows '240' && shows '200'"
    check "$label: the footer is there" fits
    wait_for 'count-in' 5
    wait_gone 'count-in' 10
    keys Space
    sees "Space while playing marks it clean" '● .*clean'
    in_rest 10
    keys x
    sees "x in the rest: the last press wins" '× .*miss'
    keys u
    sees "u takes it back" 'How was it'
    sleep 1
    keys Space
    sees "Space marks it again" '● .*clean'
    sees "what came of it is said" '1 of 2 clean in a row'
    keys p
    sees "p pauses" 'p to go on'
    clock=$(shot | grep -o 'elapsed [0-9:]*')
    sleep 2
    check "$label: the clock stands in the pause" same "$(shot | grep -o 'elapsed [0-9:]*')" "$clock"
    keys p
    sees "p goes on" 'next:' 3
    sees "the count-in follows" 'count-in' 10
    wait_gone 'count-in' 10
    in_rest 10
    keys Space
    sees "two clean raise to 204" 'Raised to quarter = 204' 3
    sees "the ladder stands on 204" '► 204' 3
    keys Up
    sees "Up: one rung harder" '► 208' 3
    sleep 0.2
    keys Down
    sees "Down: one rung easier" '► 204' 3
    keys l
    sleep 0.2
    keys '?'
    sees "? shows the keys" 'closes this help' 3
    keys '?'
    check "$label: another key closes the help" wait_gone 'closes this help' 3
    check "$label: l gives ten seconds more: the rest still lasts" shows 'next:'
    keys s
    sees "s: the count-in comes soon" 'count-in' 6
    keys +
    keys n
    sleep 0.3
    check "$label: n with one way to play it changes nothing and claims nothing" not shows 'Changed by hand'
    wait_gone 'count-in' 10
    in_rest 10
    keys x
    sees "a miss at 204" '× .*miss' 3
    keys q
    ended 1
    check "$label: the result is on the normal screen" shows 'Best tempo won: quarter = 200'
    check "$label: what stood there before is still there" shows 'ready> clear|status=1'
    check "$label: the CSV has the three marked passes" same "$(csv_marks | sed "s/unmarked //g")" "clean clean miss"
    shut
}
climb_by_keys 80x24
climb_by_keys 60x20

# A climb in halves, one clean pass a stage: where it stands and what comes next is always said.
label="halves 60x20"
cat >halves.passo <<'EOF'
[passage]
bars = 1-2
target = 240
[loops]
first half = 1
second half = 2
[ladder]
start = 240
raise = 1 clean
rest = 3 s
[stage first half]
loop = first half
[stage second half]
loop = second half
[stage joined]
loop = whole
EOF
usual=$short
short="halves.passo --silent"
open 60x20
start
check "$label: the stage is said, of how many" shows 'stage 1/3: first half'
check "$label: what is played is said, and its tempo whole" shows 'play bar 1 · first half · quarter = 240[.]'
# stage_won NUMBER NEXT-NAME: one clean pass wins the stage.
stage_won() {
    wait_for 'count-in' 6
    wait_gone 'count-in' 6
    keys Space
    sees "stage $1 won leads on" "On to stage $(($1 + 1)) of 3, $2[.]" 6
    check "$label: the ladder is that of stage $(($1 + 1))" shows "stage $(($1 + 1))/3: $2"
}
stage_won 1 'second half'
sees "what comes next is said" 'Next: bar 2 · second half · quarter = 240[.]'
keys s
stage_won 2 joined
sees "the whole comes last" 'Next: bars 1-2 · quarter = 240[.]'
check "$label: the chart shows no pass of an earlier stage" not shows '[│▌] [●×○]'
keys q
ended 1
check "$label: the result names the stage" shows 'in stage 3 of 3, joined'
shut
short=$usual

label=resize
open 80x24
start
# resized SIZE: within a second the screen has the new size and a footer at its foot.
resized() {
    mux resize-window -t t -x "${1%x*}" -y "${1#*x}"
    sleep 1
    check "resize to $1 is followed within a second" fits
    check "resize to $1: the tempo is still there" eval "shows 'quarter ='"
}
resized 60x20
resized 200x50
resized 40x10
mux resize-window -t t -x 12 -y 4
sleep 1
check "a window that is far too small says so, and nothing breaks" eval "shows 'Make the|window|larger'"
resized 80x24
for size in 81x25 61x21 30x8 132x43 80x24; do mux resize-window -t t -x "${size%x*}" -y "${size#*x}"; done
resized 80x24
keys q
ended 1
shut

label=Ctrl-C
open 80x24
start
wait_for 'count-in' 5
keys C-c
ended 1
check "Ctrl-C: the result is said" shows 'Finished by the player'
shut

# Signals, after one marked pass: the CSV has it. A hang-up takes the terminal's text with it only if
# the terminal has gone; here it has not.
record="--log $log"
for signal in TERM HUP INT; do
    label="kill -$signal"
    open 80x24
    start
    wait_for 'count-in' 5
    wait_gone 'count-in' 10
    in_rest 10
    keys Space
    wait_for '● .*clean' 3
    kill -$signal "$program"
    ended 1
    check "$label: the CSV has the marked pass" same "$(csv_marks)" "clean"
    over=0
    [ $signal = INT ] && over=1
    check "$label: the log has it, and whether the climb is over or was cut short" same \
        "$(sqlite3 "$log" 'SELECT count(*), (SELECT count(*) FROM ended) FROM pass' 2>&1)" "1|$over"
    rm -f "$log"*
    shut
done
record=--no-log

label="kill -SEGV"
open 80x24
start
wait_for 'count-in' 5
wait_gone 'count-in' 10
in_rest 10
keys Space
wait_for 'count-in' 12
wait_gone 'count-in' 12
kill -SEGV "$program"
sees "the shell hears of the signal" '^status=139[.]|^status=1[.]' 5
check "$label: the terminal's modes are as before" eval 'sleep 0.3; cmp -s before after'
check "$label: the alternate screen is left" same "$(mux display-message -p -t t '#{alternate_on}')" 0
check "$label: the cursor is shown" same "$(mux display-message -p -t t '#{cursor_flag}')" 1
check "$label: the CSV has the pass before the one that sounded" same "$(csv_marks)" "clean"
shut

label="the terminal goes away"
open 80x24
start
wait_for 'count-in' 5
shut
gone() {
    looks=0
    while kill -0 "$program" 2>/dev/null; do
        looks=$((looks + 1))
        [ $looks -gt 50 ] && return 1
        sleep 0.1
    done
}
check "$label: the program ends" gone
check "$label: the CSV is whole" eval 'head -n 1 s.csv | grep -q ^time,'

label="Ctrl-Z and fg"
open 80x24
# Without the sh -c in between, so that the shell stops the job itself.
keys "clear; stty -a >before; \"\$PASSO\" climb $short --csv z.csv" Enter
wait_for 'Space clean' 10
wait_for 'count-in' 5
keys C-z
sees "Ctrl-Z gives the shell back" 'ready> *$' 5
check "$label: stopped, the alternate screen is left" same "$(mux display-message -p -t t '#{alternate_on}')" 0
keys "stty -a >stopped" Enter
sleep 0.5
check "$label: stopped, the terminal's modes are as before" cmp -s before stopped
keys "clear; fg; echo status=\$?.; stty -a >after" Enter
sees "fg brings the screen back" 'Space clean' 5
sleep 1
keys p
sees "keys work again" 'p to go on' 5
keys q
ended 1
shut

# monochrome NAME PATTERN-THAT-MUST-NOT-COME VARIABLES: the screen, with its escape sequences.
plain_ink() {
    label=$1
    colour=$2
    shift 2
    open 80x24 "$@"
    start
    wait_for 'count-in' 5
    mux capture-pane -e -p -t t >coloured
    if [ "$colour" = none ]; then
        check "$label: no colour is set" eval '! LC_ALL=C grep -qE "$(printf "\033")\[([0-9;]*;)?(3[0-7]|4[0-7]|9[0-7]|[34]8;)[0-9;]*m" coloured'
    fi
    check "$label: the tempo and the footer are there" eval "shows 'quarter =' && fits"
    wait_gone 'count-in' 10
    in_rest 10
    keys x
    sees "a key marks" 'last pass: miss|: miss' 3
    keys q
    ended 1
    shut
}
plain_ink "TERM=vt100" none TERM=vt100
plain_ink "NO_COLOR=1" none NO_COLOR=1
plain_ink "TERM=xterm-256color" any TERM=xterm-256color
label=LANG=C
open 80x24 LC_ALL=C LANG=C
start
wait_for 'count-in' 5
shot >letters
check "LANG=C: only ASCII is drawn" eval '! LC_ALL=C grep -q "[^ -~]" letters'
check "LANG=C: the tempo and the footer are there" eval "shows 'quarter =' && fits"
keys q
ended 1
check "LANG=C: only ASCII is said at the end" eval 'shot >letters; ! LC_ALL=C grep -q "[^ -~]" letters'
shut

# refuses TERMINAL: a clear sentence and exit 2.
refuses() {
    label="TERM=$1"
    rm -f dumb.csv
    open 80x24 "TERM=$1"
    keys "clear; stty -a >before; \"\$PASSO\" climb $short --csv dumb.csv; echo status=\$?.; stty -a >after" Enter
    sees "exit status 2" '^status=2[.]' 5
    if shows '--plain'; then
        pass "$label: a sentence says what would do"
    else
        fail "$label: a sentence says what would do" "not seen: --plain" "$(mux_shot)"
    fi
    check "$label: the terminal's modes are as before" eval 'sleep 0.3; cmp -s before after'
    check "$label: no CSV was begun" eval '[ ! -e dumb.csv ]'
    keys "clear; \"\$PASSO\" climb $short --plain; echo status=\$?." Enter
    sees "--plain works there" '^Pass 1: ' 10
    keys q
    sleep 0.3
    keys Enter
    sees "q ends it" '^status=1[.]' 5
    shut
}
refuses dumb
refuses nosuchterminal

label=plain
open 80x24
keys "clear; stty -a >before; \"\$PASSO\" climb $short --plain --csv plain.csv; echo status=\$?.; stty -a >after" Enter
sees "--plain writes lines" '^Pass 1: ' 10
sleep 4.5
keys Space
sees "a key marks, with no Enter" '^Pass 1: clean' 5
keys q
sees "q ends it" '^status=1[.]' 5
check "plain: the terminal's modes are as before" eval 'sleep 0.3; cmp -s before after'
shut

label=demo
open 80x24
keys "clear; \"\$PASSO\" demo --silent; echo status=\$?." Enter
sees "the demo has the screen" 'Space clean' 10
sees "it says that any key takes over" '[Aa]ny key|takes over' 5
keys q
sees "q ends it with 0" '^status=0[.]' 5
shut

label=pulse
open 80x24
keys "clear; \"\$PASSO\" pulse --tempo 'eighth = 150' --meter '7/8 as 2+2+3' --silent; echo status=\$?." Enter
sees "the tempo stands with its unit" 'eighth =' 10
sees "the beat runs" '█+2█+' 5
keys p
sees "p pauses" 'p goes on|p to go on' 4
keys p
sees "p goes on" '█+2█+' 5
keys q
sees "q ends it with 0" '^status=0[.]' 5
shut
finish
