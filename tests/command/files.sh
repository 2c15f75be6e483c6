#!/bin/sh
# Passages as files: add, its questions on a real terminal (tmux), list, show, and reading back what
# they wrote.
# files.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
socket=files
disk=$tmp/disk
TMUX_TMPDIR=$tmp
export TMUX_TMPDIR
mux() { tmux -L "$socket" -f /dev/null "$@"; }
on_exit() {
    command -v tmux >/dev/null && mux kill-server 2>/dev/null
    mountpoint -q "$disk" 2>/dev/null && umount "$disk"
    rm -rf "$tmp"
}
trap on_exit EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
filed=$XDG_DATA_HOME/passo/passages

# What lies in the folder of filed passages, hidden files too, in one line.
in_folder() { ls -A "$filed" 2>/dev/null | tr '\n' ' ' | sed 's/ $//'; }
# No line of the output is wider than a terminal.
is_80_wide() { [ "$(wc -L <"$tmp/out")" -le 80 ]; }
csv_of() { cut -d, -f4- "$1"; }

# --- help ---

for command in add list show; do
    run --help
    check "--help lists $command" out_has "passo $command"
    run $command --help
    check "$command --help ends with 0, nothing on stderr" eval 'status_is 0 && err_empty && out_has "^passo $command"'
done
run add --help
check "add --help tells of its own --force, not of a CSV" eval 'out_has "--force .*place" && not out_has CSV'

# --- list with nothing there ---

run list
check "nothing filed: list says how to begin" eval 'status_is 0 && err_empty && out_has "passo add --new NAME"'
check "the passage that ships is told apart" eval 'out_has "^Shipped with passo" && out_has "marrowby-march"'
check "its bars, meter, target and title stand there" out_has "33-34 .*4/4 .*quarter = 112 .*The run up to the trio"
check "list has lines of at most 80 columns" is_80_wide
run list presets
check "list presets: each with its sentence" eval 'status_is 0 && out_has "^  steady  *The everyday climb"'
check "list presets: at most 80 columns" is_80_wide
run list sounds
check "list sounds" eval 'status_is 0 && out_has "built in" && out_has "^  wood .*shipped"'
refused "a list of what is not" "presets" -- list bananas
refused "two lists" "one list" -- list presets sounds
run list routines
check "list routines: each with the first line of its file" \
    eval 'status_is 0 && err_empty && out_has "^  forty-five  *The everyday forty-five" && out_has "passo show NAME"'
check "list routines: at most 80 columns" is_80_wide
check "list routines: all that ship" \
    same "$(grep -c '^  [a-z]' "$tmp/out")" "$(ls "$source"/presets/routines/*.passo | wc -l)"

# --- add ---

cat >march.passo <<'END'
# The hard run, from the second book.

[passage]
title   = The run
meter   = 6/8
bars    = 33-36
target  = dotted quarter = 88
preset  = tongue-then-slur

[loops]
first half = 33-34
END
run add march.passo
check "a file is filed: exit 0, where it is, what to type next" \
    eval 'status_is 0 && err_empty && out_has "$filed/march.passo" && out_has "passo climb march"'
check "the copy is the same to the byte" cmp -s march.passo "$filed/march.passo"
check "its mode is that of data" same "$(stat -c %a "$filed" "$filed/march.passo" | tr '\n' ' ')" "755 644 "
refused "a second time" "march is filed already" "--force" -- add march.passo
sed 's/36/38/' march.passo >longer.passo
run add longer.passo --name march --force
check "--force puts it in its place" eval 'status_is 0 && cmp -s longer.passo "$filed/march.passo"'
run add longer.passo --name march.passo
check "NAME.passo is NAME" eval 'status_is 2 && err_has "march is filed already"'
run climb march --fast --simulate --seed 3
check "climb by name finds it" eval 'status_is 0 || status_is 1'
check "nothing else lies in the folder" same "$(in_folder)" march.passo

for name in "" . .. .hidden ../up a/b /etc/passwd -dash "$(printf 'a\nb')" "$(printf 'a\033[31m')" \
    "$(printf 'a\377')" "$(printf '%0101d' 0)"; do
    refused "the name '$(printf %s "$name" | visible | head -n 1 | LC_ALL=C tr -d '\200-\377' | cut -c1-20)'" "name" -- add march.passo "--name=$name"
    refused "the new name '$(printf %s "$name" | visible | head -n 1 | LC_ALL=C tr -d '\200-\377' | cut -c1-20)'" "name" -- add "--new=$name" --target 96
done
check "none of them was filed" same "$(in_folder)" march.passo
long=$(printf '%0100d' 0)
run add march.passo --name "$long"
check "a name of 100 bytes is filed" eval 'status_is 0 && [ -f "$filed/$long.passo" ]'
rm -f "$filed/$long.passo"
run add march.passo --name "Jo's run"
check "a name with a blank is told as a shell takes it" out_has "passo climb 'Jo'\\\\''s run'"
run climb "Jo's run" --fast --simulate
check "and found by it" eval 'status_is 0 || status_is 1'
rm -f "$filed/Jo's run.passo"

printf '[passage]\nmeter = 4/3\nbars = x\ntarget = 96\n' >bad.passo
refused "all faults of a file are told" "line 2" "line 3" -- add bad.passo
check "and nothing is filed" same "$(in_folder)" march.passo
printf '[passage]\nbars = 4\n' >aimless.passo
refused "a passage without a target" "target" -- add aimless.passo
refused "a preset is no passage" "target" -- add "$source/presets/steady.passo"
refused "a file that is not there" "nosuch.passo" -- add nosuch.passo
refused "a folder" "folder" -- add "$tmp"
refused "no file" "--new NAME" -- add
refused "--name with two files" "one file" -- add march.passo bad.passo --name x
refused "--target with a file" "--new" -- add march.passo --target 96
refused "--new with a file" "--new" -- add march.passo --new x
refused "--fast does not go with add" "--fast" -- add march.passo --fast
cp march.passo second.passo
run add bad.passo second.passo nosuch.passo
check "of several files the right ones are filed, and the status says that some were not" \
    eval 'status_is 2 && err_has "bad.passo, line 2" && err_has "nosuch" && [ -f "$filed/second.passo" ]'
mkdir other
cp march.passo other/second.passo
run add third.passo other/second.passo
check "two files of one name: the first stays" eval 'status_is 2 && cmp -s second.passo "$filed/second.passo"'
rm -f "$filed/second.passo"

for i in 1 2 3 4 5 6 7 8; do
    (
        sed "s/The run/The run of $i/" march.passo >"$i.passo"
        "$passo" add "$i.passo" --name race >/dev/null 2>&1 && echo "$i" >>won
    ) &
done
wait
check "eight at once under one name: one is filed, whole" eval '[ "$(wc -l <won)" = 1 ] && cmp -s "$(cat won).passo" "$filed/race.passo"'
rm -f "$filed/race.passo"
check "and nothing else is left" same "$(in_folder)" march.passo

# --- what the machine may refuse ---

at() { env XDG_DATA_HOME="$1" "$passo" add march.passo >"$tmp/out" 2>"$tmp/err" </dev/null; }
status=0
env -u HOME -u XDG_DATA_HOME "$passo" add march.passo >"$tmp/out" 2>"$tmp/err" || status=$?
check "no HOME: a sentence, exit 3" eval 'status_is 3 && err_has "HOME is not set" && out_empty'
status=0
env XDG_DATA_HOME=relative HOME="$tmp/h2" "$passo" add march.passo >"$tmp/out" 2>"$tmp/err" || status=$?
check "a relative XDG folder is not used" eval 'status_is 0 && [ -f h2/.local/share/passo/passages/march.passo ] && [ ! -e relative ]'
: >afile
status=0
at "$tmp/afile" || status=$?
check "a file where the folder should be: a sentence, exit 3" eval 'status_is 3 && err_has "afile/passo/passages/march.passo cannot be written"'
mkdir -p "$disk"
if [ "$(id -u)" = 0 ] && mount -t tmpfs -o size=16k none "$disk" 2>/dev/null; then
    mkdir -p "$disk/passo/passages"
    cat /dev/zero >"$disk/filler" 2>/dev/null
    status=0
    at "$disk" || status=$?
    check "a full disk: a sentence, exit 3, no debris" \
        eval 'status_is 3 && err_has "No space" && out_empty && [ -z "$(ls -A "$disk/passo/passages")" ]'
    rm "$disk/filler"
    mount -o remount,ro "$disk"
    status=0
    at "$disk" || status=$?
    check "a read-only folder: a sentence, exit 3" eval 'status_is 3 && err_has "Read-only"'
    umount "$disk"
else
    skip "a full disk" "THIS NEEDS ROOT AND A MOUNT"
    mkdir -p locked/passo/passages
    chmod 555 locked/passo/passages
    status=0
    at "$tmp/locked" || status=$?
    if [ "$(id -u)" = 0 ]; then
        skip "a read-only folder" "ROOT MAY WRITE EVERYWHERE"
    else
        check "a read-only folder: a sentence, exit 3" eval 'status_is 3 && err_has "Permission denied"'
    fi
fi
{ cat march.passo; for i in $(seq 2000); do echo "# filling"; done; } >large.passo
status=0
(
    ulimit -f 1
    "$passo" add large.passo 2>&1
) | cat >"$tmp/out"
check "a file over the allowed size: a sentence" out_has "large.passo cannot be written: File too large; nothing was filed"
check "and no debris" same "$(in_folder)" march.passo

# --- list with own, shipped and unreadable ones ---

printf '[passage]\ntitle = \033[31mred \302\233 \342\200\256 \346\227\245\346\234\254\350\252\236\343\201\256\350\241\214\351\200\262\346\233\262 and on and on and on and on\ntarget = 96\n' >"$filed/red.passo"
cp bad.passo "$filed/bad.passo"
ln -s nowhere "$filed/gone.passo"
mkdir "$filed/folder.passo"
cp march.passo "$filed/A name that is longer than its column.passo"
run list
check "list: exit 0, nothing on stderr, plain text" eval 'status_is 0 && err_empty && is_plain_text "$tmp/out"'
check "list: at most 80 columns, of wide letters too" is_80_wide
check "list: a fault in a few words" out_has '^  bad  *line 2: meter = 4/3'
check "list: a folder and a broken link too" eval 'out_has "^  folder .*folder" && out_has "^  gone .*no such file"'
mkdir -p "$tmp/alone/passo/passages"
cp "$filed/red.passo" "$tmp/alone/passo/passages/"
XDG_DATA_HOME=$tmp/alone run list
check "list: a title that is too long is cut" eval 'is_80_wide && out_has "^  red .*red ? .*\.\.\.$"'
run list
check "list: own ones stand first, under their head" eval 'head -n 1 "$tmp/out" | grep -q "^Your own" && out_has "^Shipped"'
check "list: a long name stands whole" out_has '^  A name that is longer than its column$'
rm -rf "$filed/folder.passo" "$filed/gone.passo" "$filed/bad.passo" "$filed/A name that is longer than its column.passo"
run show red
check "show: no control characters" eval 'status_is 0 && is_plain_text "$tmp/out"'
run show red
cp "$tmp/out" red2.passo
run show red2.passo
check "show: a title with control characters reads back" cmp -s "$tmp/out" red2.passo
rm -f "$filed/red.passo"

# --- show ---

run show steady
check "show of a preset: its sentence first, no [passage]" \
    eval 'status_is 0 && head -n 1 "$tmp/out" | grep -q "^# The everyday climb" && not out_has "passage" && out_has "^steps  *= 4 bpm"'
check "show: at most 80 columns but for a comment of the file's own" \
    eval '[ "$(grep -v "^#" "$tmp/out" | wc -L)" -le 80 ]'
for preset in "$source"/presets/*.passo; do
    name=$(basename "$preset" .passo)
    run show "$name"
    cp "$tmp/out" shown.passo
    run show ./shown.passo
    run climb --preset "$name" --target 96 --bars 2 --fast --simulate --seed 7 --csv a.csv --force
    run climb ./shown.passo --target 96 --bars 2 --fast --simulate --seed 7 --csv b.csv --force
    check "show $name >FILE: the same climb" same "$(csv_of a.csv)" "$(csv_of b.csv)"
done
mkdir -p "$XDG_CONFIG_HOME/passo/presets"
run show halves --raise "3 clean of 4"
cp "$tmp/out" "$XDG_CONFIG_HOME/passo/presets/mine.passo"
run show mine
check "show of a preset is a preset of one's own" cmp -s "$tmp/out" "$XDG_CONFIG_HOME/passo/presets/mine.passo"
run list presets
check "list presets tells one's own apart" eval 'grep -A 3 "^  mine " "$tmp/out" | grep -q "your own"'
run show march
cp "$tmp/out" shown.passo
check "show of a passage: its heading, and which preset is written out" \
    eval 'out_has "^# The hard run" && out_has "^# The lines of the preset tongue-then-slur" && not out_has "^preset"'
run show ./shown.passo
check "show of what show wrote is the same" cmp -s "$tmp/out" shown.passo
run climb march --fast --simulate --seed 7 --csv a.csv --force
run climb ./shown.passo --fast --simulate --seed 7 --csv b.csv --force
check "show march >FILE: the same climb" same "$(csv_of a.csv)" "$(csv_of b.csv)"
run show march --preset steady --target "dotted quarter = 96"
check "options show what would hold" eval 'out_has "^target  *= dotted quarter = 96" && out_has "preset steady are" && not out_has tongued'
run show steady --target 96
check "a preset with a target" eval 'status_is 0 && out_has "^target  *= 96" && not out_has "^.passage"'
run show steady --bars 33-36
check "a preset with bars is a passage" eval 'status_is 0 && out_has "^bars  *= 33-36"'
run show marrowby-march
check "show of a shipped passage" eval 'status_is 0 && out_has "^title  *= The run up to the trio"'
refused "show of nothing" "passo list" -- show
refused "show of what is not" "nosuch" "preset" -- show nosuch
refused "show of what cannot be read" "line 2" "line 3" -- show bad.passo
refused "show ../steady is a path" "no such file" -- show ../steady
refused "a preset over a preset" "--preset" -- show steady --preset marks
refused "climb of a preset's name" "--preset steady" -- climb steady --fast --simulate

# --- show and list of routines ---

for routine in "$source"/presets/routines/*.passo; do
    name=$(basename "$routine" .passo)
    run show "$name"
    check "show $name: a routine, its heading first" \
        eval 'status_is 0 && err_empty && head -n 1 "$tmp/out" | grep -qF "$(head -n 1 "$routine")" && out_has "^.block "'
    check "show $name: at most 80 columns but for a comment of the file's own" \
        eval '[ "$(grep -v "^#" "$tmp/out" | wc -L)" -le 80 ]'
    cp "$tmp/out" shown.passo
    run show ./shown.passo
    check "show $name >FILE: the same routine" cmp -s "$tmp/out" shown.passo
done
mkdir -p "$XDG_DATA_HOME/passo/routines"
printf '# What I do daily.\n[block notes]\nminutes = 2\ntempo = 60\n' \
    >"$XDG_DATA_HOME/passo/routines/today.passo"
printf '[block notes]\nminutes = two\ntempo = 60\n' >"$XDG_DATA_HOME/passo/routines/torn.passo"
printf '# As I like it.\n[block a]\nminutes = 1\nfree = yes\n' >"$XDG_DATA_HOME/passo/routines/school.passo"
run list routines
check "list routines: one's own are told apart, and stand in place of those that ship" \
    eval 'out_has "^  today  *What I do daily. (your own)" && out_has "^  school  *As I like it. (your own)"'
check "list routines: a fault in a few words" out_has '^  torn  *line 2: minutes = two'
check "list routines: at most 80 columns with faults too" is_80_wide
run show school
check "show of a routine: one's own stands in place of the shipped one" out_has "^# As I like it"
refused "show of a routine that cannot be read" "torn.passo, line 2: minutes = two" -- show torn
refused "show of a routine takes no options" "school is a routine" -- show school --target 96
rm -r "$XDG_DATA_HOME/passo/routines"
run climb ./shown.passo --fast --simulate
check "a routine is no passage to climb" eval 'status_is 2 && err_has "routine"'

check "show into a pipe that closes is no fault" eval '"$passo" show march | head -n 1 >/dev/null'

# --- add --new without a terminal ---

refused "no target, no terminal" "target" -- add --new quiet
# --- notes that are in a file of their own come along ---
printf 'X:1\nM:3/4\nL:1/8\nQ:1/4=92\nK:F\nc2|f2 a2 c2|f6|\n' >tune.abc
printf '# As it is.\n[passage]\nkey = F\nnotes-from = tune.abc ; there\n' >tune.passo
run add tune.passo
check "add: the notes are taken in, and that is said" eval 'status_is 0 && err_empty && out_has "notes are in the filed passage now"'
run show tune
check "add: no file is named any more" eval 'status_is 0 && not out_has "^notes-from" && out_has "^notes .*c4 | f4 a4 c4 | f12 |" && out_has "^bars .*1-2" && out_has "^target .*quarter = 92"'
check "add: all else stays as it was" eval '[ "$(head -n 3 "$filed/tune.passo")" = "$(head -n 3 tune.passo)" ]'
run add --new tune-2 --notes-from tune.abc --key F
check "add --new: likewise" eval 'status_is 0 && grep -q "^notes .*c4 | f4 a4 c4 | f12 |" "$filed/tune-2.passo"'
refused "notes that are nowhere" "nowhere.mid" "no such file" -- add --new tune-3 --notes-from nowhere.mid --target 96
rm -f "$filed/tune.passo" "$filed/tune-2.passo"

run add --new quiet --target 63 --meter 6/8 --title "The ;quiet \"run\"" --loop "a:b=1-2" --steps "5 %"
check "all from options: filed" eval 'status_is 0 && out_has "passo climb quiet"'
check "the target carries its beat unit" grep -q '^target  *= dotted quarter = 63 ' "$filed/quiet.passo"
check "only what was said stands there" eval 'grep -q "^steps" "$filed/quiet.passo" && not grep -q "^raise" "$filed/quiet.passo"'
check "what else could be said is a comment" grep -q '^#piece' "$filed/quiet.passo"
run list
check "list shows its target, and that it is due" out_has '^  quiet  *dotted quarter = 63 .*not yet, due'
run climb quiet --fast --simulate
check "it can be climbed" eval 'status_is 0 || status_is 1'
refused "a second time" "filed already" -- add --new quiet --target 96
refused "--new with a wrong line" "--meter" -- add --new other --target 96 --meter 4/3
check "nothing of it was filed" same "$(in_folder)" "march.passo quiet.passo"

# --- add --new on a terminal ---

if ! command -v tmux >/dev/null; then
    skip "the questions" "THERE IS NO tmux"
    finish
fi
ln -s "$passo" "$tmp/passo"
mux start-server \; set-option -g exit-empty off
shot() { mux capture-pane -J -p -S -200 -t t 2>/dev/null; }
shows() { shot | grep -qE -- "$1"; }
wait_for() {
    looks=0
    while ! shows "$1"; do
        looks=$((looks + 1))
        [ $looks -gt 100 ] && return 1
        sleep 0.1
    done
}
sees() {
    if wait_for "$2"; then pass "$1"; else fail "$1" "not seen: $2" "$(shot | grep -v '^ *$' | tail -n 11)"; fi
}
# ask ARGUMENTS: add --new in a terminal of 80x24; says its exit status at its end.
ask() {
    mux kill-session -t t 2>/dev/null
    printf 'trap : INT; echo begun.; "%s" add --new %s; echo status=$?.; exec cat\n' "$tmp/passo" "$*" >ask.sh
    mux -u new-session -d -s t -x 80 -y 24 "exec env HOME=$HOME XDG_DATA_HOME=$XDG_DATA_HOME \
        XDG_CONFIG_HOME=$XDG_CONFIG_HOME LC_ALL=C.UTF-8 sh ask.sh"
    wait_for 'begun[.]'
}
# answer QUESTION TEXT: waits for the question, then types.
answer() {
    looks=0
    while ! shot | grep -v '^ *$' | tail -n 1 | grep -qE "^$1 *\$"; do
        looks=$((looks + 1))
        if [ $looks -gt 100 ]; then
            fail "asked: $1" "$(shot | grep -v '^ *$' | tail -n 11)"
            break
        fi
        sleep 0.1
    done
    [ -z "$2" ] || mux send-keys -t t -l "$2"
    mux send-keys -t t Enter
}

ask run
answer 'Title \[run\]:' 'The run; down'
answer 'Piece \[none\]:' ''
answer 'Meter \[4/4\]:' '4/3'
sees "a wrong meter gets the reader's sentence" '^  4/3: the lower number is a note value'
answer 'Meter \[4/4\]:' '6/8'
answer 'Bars.*\[4\]:' '33-36'
answer 'Beat unit, dotted quarter or eighth \[dotted quarter\]:' ''
target='Target tempo, 96 or dotted quarter = 96:'
answer "$target" ''
sees "the target has no default" 'must be said'
answer "$target" fast
sees "a wrong target" '^  fast: a tempo is a number'
answer "$target" 88
answer 'Last run in context.*\[none\]:' '2'
answer 'Preset.*\[steady\]:' '?'
sees "? lists the presets" '^  patient  *For a passage'
answer 'Preset.*\[steady\]:' nosuch
sees "a wrong preset" 'there is no preset called nosuch'
answer 'Preset.*\[steady\]:' ''
sees "it says where the passage is" 'Filed as run: '
sees "and what to type next" '^To play it: passo climb run$'
sees "exit status 0" '^status=0[.]'
check "no sentence is broken by the terminal: all are folded at blanks" \
    eval '[ "$(shot | sed "s/ *\$//" | wc -L)" -le 80 ]'
for line in 'title  *= The run; down ' 'meter  *= 6/8 ' 'bars  *= 33-36 ' 'beat  *= dotted quarter ' \
    'target  *= dotted quarter = 88 ' 'context  *= 2 ' 'preset  *= steady '; do
    check "the file says $line" grep -q "^$line" "$filed/run.passo"
done
check "the file says nothing of a piece" eval 'not grep -q "^piece" "$filed/run.passo"'
run climb run --fast --simulate
check "it can be climbed" eval 'status_is 0 || status_is 1'

ask short --bars 1-2 --meter 3/4 --title Short --piece None --context 1 --preset none-such
sees "a wrong option ends it before a question" '^status=2[.]'
ask short --bars 1-2 --meter 3/4 --title Short --piece None --context 1 --preset marks
answer 'Target tempo, 96 or quarter = 96:' 'quarter = 120'
sees "what was given as an option is not asked" '^status=0[.]'
check "only the target was" eval 'not shows "Title|Piece|Meter|Bars|Beat|context|Preset,"'
check "the short one is filed" grep -q '^target  *= quarter = 120' "$filed/short.passo"

ask six --target 88 --title Six --bars 1-2 --context 1
answer 'Piece \[none\]:' NONE
answer 'Meter \[4/4\]:' 6/8
answer 'Beat unit, dotted quarter or eighth \[dotted quarter\]:' eighth
answer 'Preset.*\[steady\]:' none
sees "a bare target waits for its beat unit" '^status=0[.]'
check "and then carries it" eval 'grep -q "^target  *= eighth = 88" "$filed/six.passo" && not grep -q "^p" "$filed/six.passo"'
rm -f "$filed/six.passo"

ask broken
answer 'Title \[broken\]:' ''
wait_for 'Piece'
mux send-keys -t t C-c
sees "Ctrl-C: one sentence" '^passo: the questions were broken off; nothing was filed$'
sees "Ctrl-C: exit status 130" '^status=130[.]'
ask ended
wait_for 'Title \[ended\]: *$'
mux send-keys -t t C-d
sees "the end of input: exit status 2" '^status=2[.]'
sees "and a sentence" '^passo: the questions were broken off; nothing was filed$'
ask keys
wait_for 'Title \[keys\]: *$'
mux send-keys -t t Up Enter
sees "an arrow key is no text" 'no text'
mux send-keys -t t C-c
sees "then Ctrl-C" '^status=130[.]'
ask run
sees "a name that is taken is told before any question" 'passo: a passage called run is filed already'
check "no question was asked" eval 'not shows Title'
check "nothing was filed by those" same "$(in_folder)" "march.passo quiet.passo run.passo short.passo"

finish
