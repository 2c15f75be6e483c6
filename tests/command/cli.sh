#!/bin/sh
# The command line of the real program: options, exit statuses, bad input, marks, CSV, ends of pipes.
# cli.sh PASSO BUILD SOURCE
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
disk=$tmp/disk
on_exit() {
    mountpoint -q "$disk" 2>/dev/null && umount "$disk"
    rm -rf "$tmp"
}
trap on_exit EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1

header=time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s
python=/usr/bin/python3
[ -x $python ] || python=""

# fast ARGUMENTS...: a climb in simulated time.
fast() { run climb --target 96 --fast "$@"; }
# The columns that do not hold the time of day.
timeless() { cut -d, -f2,4- "$1"; }
rows() { grep -c '^20' "$1"; }
# column N FILE: of the rows, in one line.
column() { tail -n +2 "$2" | tr -d '\r' | cut -d, -f"$1" | tr '\n' ' ' | sed 's/ $//'; }

# --- help and version ---

run --version
check "--version ends with 0" status_is 0
version=$(sed -n 's/^project(passo VERSION \([0-9.]*\).*/\1/p' "$source/CMakeLists.txt")
check "--version names the version of CMakeLists.txt" same "$(cat "$tmp/out")" "passo $version"
run --help
check "--help ends with 0, nothing on stderr" eval 'status_is 0 && err_empty'
for command in climb pulse plan demo devices; do
    run --help
    check "--help lists $command" out_has "passo $command"
    run $command --help
    check "$command --help ends with 0, nothing on stderr" eval 'status_is 0 && err_empty'
    check "$command --help says how it is called" out_has "^passo $command"
    check "$command --help is text of at most 130 columns" \
        eval 'is_plain_text "$tmp/out" && [ "$(wc -L <"$tmp/out")" -le 130 ]'
done
run climb --help
for option in --target --start --steps --raise --drop --lift --turn --bars --meter --beat --marks --fast \
    --csv --plain --silent --seed --force --variant --loop --rest --stop --preset; do
    check "climb --help tells of $option" out_has "^  $option "
done
check "climb --help tells what is heard of a variant" same \
    "$(tr -s ' \n' '  ' <out | grep -o 'heard are octave, tongued, slurred, staccato, dotted, reversed dotted, groups of 4; other words are only told to the player')" \
    "heard are octave, tongued, slurred, staccato, dotted, reversed dotted, groups of 4; other words are only told to the player"
for preset in "$source"/presets/*.passo; do
    name=$(basename "$preset" .passo)
    check "climb --help says when to use $name" eval "grep -q '^  $name  *[A-Z]' '$tmp/out'"
done
check "at least six presets ship" eval '[ "$(ls "$source"/presets/*.passo | wc -l)" -ge 6 ]'
run pulse --help
for option in --reference --drone --fifth --mute; do
    check "pulse --help tells of $option" out_has "^  $option "
done
for option in --start --hear; do
    check "pulse --help has no $option" not out_has "^  $option "
done

run climb --help --frobnicate 3
check "--help wins over a wrong option" status_is 0

# --- the command lines of issue item 8 ---

printf 'ccccccccccccccccccccccccccccccc' >marks
status=0
limited 30 "$passo" climb --start 60 --target 96 --steps "4 bpm" --raise "3 clean in a row" --bars 4 \
    --meter 4/4 --marks - --fast --csv - <marks >out 2>err || status=$?
check "the climb of item 8, as written, is won" status_is 0
check "its rungs are 60 64 ... 96, three passes each, and a finish" same \
    "$(column 12 out | tr ' ' '\n' | uniq -c | tr -s ' \n' ' ')" \
    " 3 60 3 64 3 68 3 72 3 76 3 80 3 84 3 88 3 92 4 96 "
check "its CSV is all of stdout" same "$(grep -vc '^20' out)" 1
check "its lines of text go to stderr" grep -q '^Won: quarter = 96' err
check "the moves at the target are held held won" same "$(column 18 out | cut -d' ' -f28-30)" "held held won"
fast --marks marks
check "climb --target 96, with --fast --marks, is won" status_is 0
check "it says so in its last line" eval 'tail -n 1 "$tmp/out" | grep -q "^Won: quarter = 96"'
check "it begins at 60 %: 57.6, to a whole beat or as it is" out_has "from quarter = 5[78]"
fast --simulate --csv -
check "--simulate and --csv - with no other word" eval 'status_is 0 || status_is 1'

# --- exit statuses ---

printf 'cm' >short
fast --marks short
check "a climb without its target ends with 1" status_is 1
check "marks that run out are said in words" out_has "marks ran out"
fast --marks short --csv two.csv
check "marks that run out: exit 1 and both passes saved" eval 'status_is 1 && [ "$(rows two.csv)" = 2 ]'
: >empty
fast --marks empty --csv none.csv
check "an empty file of marks: exit 1" status_is 1
check "an empty file of marks: the CSV is its header" same "$(tr -d '\r' <none.csv)" "$header"
run
check "no command: exit 2, help on stderr, stdout empty" eval 'status_is 2 && out_empty && err_has "passo climb"'
run demo --csv demo.csv
check "a demo ends with 0" status_is 0

# --- bad input: a clear sentence, exit 2 ---

refused "no target" "target" -- climb --fast --marks marks
for value in 0 -5 1000000000 nan inf 96x 0x60 1e3 96,5 99999999999999999999 "quarter = 0" "quarter = -1" \
    "quarter =" "banana = 60" "= 60" "quarter = nan"; do
    refused "target '$value'" "--target" "96" -- climb --target "$value" --fast --marks marks
done
refused "an empty target" "--target" -- climb --target "" --fast --marks marks
refused "a blank target" "--target" -- climb --target " " --fast --marks marks
refused "empty bars" "--bars" -- climb --target 96 --bars "" --fast --marks marks
refused "start above target" "120" "96" "start" -- climb --target 96 --start 120 --fast --marks marks
for value in 0 -1 99999999999 nan 4/4 4-1 1-99999999 four 1-2-3; do
    refused "bars '$value'" "--bars" "33-36" -- climb --target 96 --bars "$value" --fast --marks marks
done
for value in 4/3 17/0 0/4 4 4/ /4 -4/4 4/4/4 "7/8 as 2+2+2" "7/8 as" 999999999999/4 "" x; do
    refused "meter '$value'" "--meter" -- climb --target 96 --meter "$value" --fast --marks marks
done
for value in 0 "0 bpm" "-4 bpm" "nan bpm" "60 50 96" "60,50,96" "96 60" "0 %" "4 bananas" "1 rungs" "" "60 60 96"; do
    refused "steps '$value'" "--steps" -- climb --target 96 --start 60 --steps "$value" --fast --marks marks
done
for value in 0 "0 clean in a row" "-1 clean in a row" "5 clean of 4" "nan clean" "" often; do
    refused "raise '$value'" "--raise" -- climb --target 96 --raise "$value" --fast --marks marks
done
for pair in "drop=1 rung after 0 misses" "drop=x" "lift=0" "lift=-1" "lift=x" "turn=sometimes" "miss=x" \
    "anchor=0 %" "anchor=200 x" "over=1 at 0 %" "close=x" "finish=x" "plateau=0 drops" "tired=6 misses of 5" \
    "stop=x" "stop=-1 min" "unmarked=x" "rest=x" "rest=-3 s" "cold=perhaps" "on-miss=x" "subdivide=7" \
    "subdivide=0" "swing=1:0" "swing=x" "count-in=x" "volume=x" "volume=200 %" "leave-out=x" "pickup=9" \
    "beat=x" "context=9-1" "loop=a=9-10" "loop=a" "variant=low" "variant=low=octave 99" "shape=bar 9=meter 3/4" \
    "preset=nosuch" "preset=../steady" "preset=/etc/passwd" "sounds=nosuch" "count=x"; do
    refused "$pair" "${pair%%=*}" -- climb --target 96 "--$pair" --fast --marks marks
done
refused "two faults are told at once" "--bars" "--meter" -- climb --target 96 --bars 0 --meter 4/3 --fast --marks marks
refused "a seed that is no number" "--seed" abc -- climb --target 96 --simulate --fast --seed abc
refused "--marks and --simulate together" "--marks" "--simulate" -- climb --target 96 --marks marks --simulate --fast
refused "pulse with tempo 0" "--tempo" -- pulse --tempo 0 --silent
refused "pulse with minutes nan" "--minutes" -- pulse --minutes nan --silent
refused "pulse with minutes -1" "--minutes" -- pulse --minutes -1 --silent
refused "plan without a target" "target" -- plan
refused "plan with start above target" "start" "120" -- plan --target 96 --start 120

# --- wrong options ---

refused "a misspelt line: the nearest" "--bras" "--bars" -- climb --target 96 --bras 4 --fast --marks marks
refused "a misspelt switch: the nearest" "--slient" "--silent" -- climb --target 96 --slient --fast --marks marks
refused "a misspelt --fast: the nearest, and no second fault" "--fsat" "--fast" -- climb --target 96 --fsat --marks marks
check "a misspelt switch does not swallow the option behind it" not err_has "fsat --marks"
refused "a misspelt option that takes a file" "--mraks" "--marks" -- climb --target 96 --fast --mraks marks
refused "a misspelt command: the nearest" "climb" -- clim --target 96
refused "an option without its value" "--csv" -- climb --target 96 --fast --marks marks --csv
refused "a switch with a value" "--fast" -- climb --target 96 --fast=yes --marks marks
refused "a short option" "-x" -- climb --target 96 -x --fast --marks marks
refused "two operands" "two.passo" -- climb one.passo two.passo --target 96 --fast --marks marks
refused "devices with an option of climb" "--fast" -- devices --fast
refused "devices with an operand" "extra" -- devices extra
refused "pulse with an operand" "extra" -- pulse extra
refused "an unknown option of devices" "frobnicate" -- devices --frobnicate
refused "control characters in an option" "not known" -- climb --target 96 "--$(printf 'a\033[31mb')" 3
refused "control characters in a command" "no command" -- "$(printf 'a\033[31mb')"
refused "control characters in a value" "--meter" -- climb --target 96 --meter "$(printf '4/\033]0;x\007')" --fast --marks marks
refused "control characters in the name of a passage" "no such file" -- climb "$(printf 'a\033[31mb')" --target 96
refused "control characters in the name of a marks file" "cannot be read" -- climb --target 96 --fast --marks "$(printf 'a\033[31mb')"
refused "an option of 100,000 letters" "not known" -- climb "--$(printf '%100000s' | tr ' ' x)" 3 --target 96
refused "a value of 100,000 letters" "--meter" -- climb --target 96 --meter "$(printf '%100000s' | tr ' ' 4)" --fast --marks marks
check "it is quoted short" eval '[ "$(wc -c <"$tmp/err")" -lt 1000 ]'

# --- files that cannot be read ---

mkdir folder
mkfifo pipe
printf 'c\0c' >zero
head -c 4000 /dev/urandom >noise
refused "a passage that is a folder" "folder" -- climb folder --target 96 --fast --marks marks
refused "a passage that is missing" "nosuch.passo" "no such file" -- climb nosuch.passo --target 96 --fast --marks marks
refused "a passage with a missing folder" "no/such" -- climb no/such/file.passo --target 96 --fast --marks marks
refused "a passage that is a pipe, without waiting" "pipe" -- climb pipe --target 96 --fast --marks marks
refused "a passage with a zero byte" "zero" "line 1" -- climb zero --target 96 --fast --marks marks
refused "a passage of noise" "noise" -- climb noise --target 96 --fast --marks marks
refused "/dev/zero as a passage" "/dev/zero" -- climb /dev/zero --target 96 --fast --marks marks
refused "marks that are a folder" "folder" -- climb --target 96 --fast --marks folder
refused "marks that are missing" "nosuch" -- climb --target 96 --fast --marks nosuch
refused "marks with another letter: line and column" "line 2, column 3" "clean" -- \
    climb --target 96 --fast --marks "$(printf 'cc\nccz' >wrong && echo wrong)"
refused "marks with a zero byte" "zero" -- climb --target 96 --fast --marks zero
refused "/dev/zero as marks" "/dev/zero" -- climb --target 96 --fast --marks /dev/zero
printf 'kept' >kept.csv
refused "a fault elsewhere leaves --force --csv alone" "nosuch" -- \
    climb --target 96 --fast --marks nosuch --csv kept.csv --force
check "the old file is as it was" same "$(cat kept.csv)" kept
printf '[passage]\ntarget = 96\n' >secret.passo
chmod 000 secret.passo
if [ "$(id -u)" != 0 ]; then
    refused "a passage without permission" "secret.passo" -- climb secret.passo --fast --marks marks
elif command -v setpriv >/dev/null && chmod 755 "$tmp" &&
    setpriv --reuid 65534 --clear-groups "$passo" --version >/dev/null 2>&1; then
    real=$passo
    printf '#!/bin/sh\nexec setpriv --reuid 65534 --clear-groups "%s" "$@"\n' "$real" >as-nobody
    chmod 755 as-nobody
    chmod 644 marks
    passo=$tmp/as-nobody
    refused "a passage without permission" "secret.passo" -- climb secret.passo --fast --marks marks
    passo=$real
else
    skip "a passage without permission" "root reads everything, and nobody cannot run the program here"
fi

# file_fault NAME WORDS CONTENT: a passage file with a fault; place and words must be named.
file_fault() {
    printf "$3" >faulty.passo
    refused "file: $1" "faulty.passo" "$2" -- climb faulty.passo --fast --marks marks
}
file_fault "no section" "line 1" 'target = 96\n'
file_fault "an unknown section" "line 1" '[pasage]\ntarget = 96\n'
file_fault "an unknown line: the nearest" "bars" '[passage]\nbras = 4\ntarget = 96\n'
file_fault "an unknown line: its number" "line 2" '[passage]\nbras = 4\ntarget = 96\n'
file_fault "a line in the wrong section" "ladder" '[passage]\ntarget = 96\nraise = 2 clean in a row\n'
file_fault "no = in a line" "line 3" '[passage]\ntarget = 96\nthis is prose\n'
file_fault "a wrong value" "line 2" '[passage]\ntarget = allegro\n'
file_fault "a broken section" "line 1" '[passage\ntarget = 96\n'
refused "file: an empty file" "target" -- climb empty --fast --marks marks
file_fault "a preset that is not there" "line 2" '[passage]\npreset = nosuch\ntarget = 96\n'
printf '\357\273\277[passage]\r\ntarget = quarter = 96\r\nbars = 33-36\r\n' >dos.passo
run climb dos.passo --fast --marks marks
check "a file with a byte order mark and CRLF" eval 'status_is 0 && out_has "ars 33-36"'
run climb dos.passo --target 100 --fast --marks short
check "an option wins over the file" out_has "to quarter = 100"
cat >march.passo <<'EOF'
[passage]
title   = The run up to the trio
piece   = The Marrowby March
meter   = 4/4
bars    = 33-36
target  = quarter = 132
context = 29-40

[ladder]
start = 84
steps = 8 bpm
raise = 2 clean in a row
drop  = 1 rung after 2 misses
EOF
run climb march.passo --fast --marks marks
check "README's passage file" eval 'status_is 0 && head -n 1 "$tmp/out" | grep -q "run up to the trio"'
run plan march.passo
check "plan of README's passage file: 84 92 100 108 116 124 132" \
    same "$(awk '/ in .* s$/ {printf "%s ", $2}' "$tmp/out")" "84 92 100 108 116 124 132 "
run plan --target 96 --start 60
check "plan needs no file" eval 'status_is 0 && err_empty && out_has "100 %"'
run climb --target "dotted quarter = 76" --meter 6/8 --bars 33-40 --context 29-44 --fast --marks short
check "README: dotted quarter = 76 in 6/8" eval 'status_is 1 && err_empty && out_has "dotted quarter = 76"'
run climb --preset octave-pair --target 112 --start 72 --bars 8 --csv monday.csv --fast --marks marks
check "README: --preset octave-pair" eval 'status_is 0 && err_empty && [ "$(rows monday.csv)" = 23 ]'
run pulse --tempo "eighth = 150" --meter "7/8 as 2+2+3" --silent --minutes 0.02
check "README: a pulse in 7/8, ended by --minutes" eval 'status_is 0 && err_empty'

# --- presets ---

for preset in "$source"/presets/*.passo; do
    name=$(basename "$preset" .passo)
    fast --preset "$name" --simulate --csv "preset-$name.csv"
    check "preset $name: a simulated climb comes to an end" \
        eval '{ status_is 0 || status_is 1; } && err_empty && [ "$(rows "preset-$name.csv")" -ge 1 ]'
done

# --- marks ---

# climbed MARKS FILE: a climb with them, its CSV in the file.
climbed() {
    printf "$1" >m
    rm -f "$2"
    fast --start 60 --marks m --csv "$2"
}
climbed 'cmvc.cmcc' lower
climbed 'CMVC.CMCC' upper
check "upper case is the same" same "$(timeless lower)" "$(timeless upper)"
climbed ' cm\n\tvc. \r\nc mc\nc\n\n' blanks
check "blanks and line ends are passed over" same "$(timeless lower)" "$(timeless blanks)"
climbed 'cvcm' void
check "v: logged, does not count, does not break the row" same "$(column 14,18 void)" "clean,held void, clean,raised miss,stopped"
climbed 'c.cm' unmarked
check ".: logged, changes nothing" same "$(column 14,18 unmarked)" "clean,held unmarked, clean,raised miss,stopped"
climbed 'ccucc' undone
climbed 'ccc' straight
check "u and a mark are as the mark alone" \
    same "$(column 12,14,17,18,19 undone)" "$(column 12,14,17,18,19 straight)"
check "the row says that its mark was changed" same "$(column 15 undone)" "key changed key"
climbed 'ccum' other
check "u takes back a raise: the miss stands at 60" same "$(column 12,14,18 other)" "60,clean,held 60,miss,stopped"
climbed 'ccuumm' twice
check "u u takes back two" same "$(column 12,14 twice | tr ' ' '\n' | grep -c miss)" 2
climbed 'cc' won
check "a raise in the last pass stands in its row, though the marks ran out" same "$(column 18 won)" "held raised"
climbed 'u' nothing
check "u before any mark harms nothing" status_is 1
climbed '......' pauses
check "six unmarked in a row: the pause goes on at once" same "$(rows pauses)" 6
climbed 'mm' bottom
check "two misses on the lowest rung hold it" same "$(column 12,18 bottom)" "60,held 60,stopped"

# --- CSV ---

fast --marks marks --csv a.csv
check "CSV: the header to the letter" same "$(head -n 1 a.csv | tr -d '\r')" "$header"
check "CSV: every line ends with CR LF" \
    same "$(LC_ALL=C grep -c "$(printf '\r')\$" a.csv)" "$(wc -l <a.csv | tr -d ' ')"
check "CSV: one row a pass" same "$(column 6 a.csv)" "$(seq -s ' ' "$(rows a.csv)")"
check "CSV: times are ISO 8601 with offset" same \
    "$(grep -cE '^20[0-9]{2}-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9][+-][0-9]{2}:[0-9]{2},' a.csv)" \
    "$(rows a.csv)"
TZ=XYZ-5:45 run climb --target 96 --fast --marks short --csv zone.csv
check "CSV: the offset is the local one" eval 'grep -q "^20.*+05:45," zone.csv'
cp a.csv before.csv
fast --marks short --csv a.csv
check "an existing CSV: exit 2, --force is named" eval 'status_is 2 && err_has "a.csv" && err_has "--force"'
check "an existing CSV is not touched" cmp -s a.csv before.csv
fast --marks short --csv a.csv --force
check "--force writes over it, whole" eval 'status_is 1 && [ "$(rows a.csv)" = 2 ]'
fast --marks short --csv no/such/folder/a.csv
check "a CSV in a missing folder: a sentence, exit 2 or 3" \
    eval '{ status_is 2 || status_is 3; } && out_empty && err_has "no/such/folder/a.csv"'
fast --marks short --csv folder --force
check "a CSV that is a folder: a sentence, exit 2 or 3" \
    eval '{ status_is 2 || status_is 3; } && out_empty && err_has folder'
fast --marks short --csv "$(printf 'no/a\033[31mb')"
check "control characters in the CSV's name do not reach the terminal" is_plain_text "$tmp/err"

cat >judge.py <<'EOF'
"""Second opinion by Python's csv module: rows are whole, nothing in them is a formula."""
import csv, sys
path, title, piece = sys.argv[1:4]
with open(path, newline="", encoding="utf-8") as stream:
    rows = list(csv.reader(stream, strict=True))
assert {len(row) for row in rows} == {22}, {len(row) for row in rows}
for row in rows[1:]:
    for cell in row:
        assert not cell[:1] in ("=", "+", "-", "@", "\t", "\r", "\n"), cell
        assert not any((ord(c) < 32 and c not in "\t\r\n") or 127 <= ord(c) < 160 for c in cell), repr(cell)
    got = row[3].lstrip("'").strip(), row[4].lstrip("'").strip()
    want = title.lstrip("'").strip(), piece.lstrip("'").strip()
    if title != "-":
        assert got == want, (got, want)
EOF
# hostile NAME TITLE SEEN: a title, and what is to be read back of it ("-": anything harmless).
hostile() {
    rm -f h.csv
    fast --marks short --title "$2" --piece "$2" --player "$2" --csv h.csv
    check "title $1: the climb is played" eval 'status_is 1 && err_empty'
    check "title $1: the lines hold no control characters" is_plain_text "$tmp/out"
    if [ -n "$python" ]; then
        check "title $1: harmless to Python's csv" $python judge.py h.csv "$3" "$3"
    else
        skip "title $1: harmless to Python's csv" "THERE IS NO /usr/bin/python3"
    fi
}
hostile "= formula" '=HYPERLINK("http://x","y")' '=HYPERLINK("http://x","y")'
hostile "+ formula" '+1+1' '+1+1'
hostile "- formula" '-2+3' '-2+3'
hostile "@ formula" '@SUM(A1)' '@SUM(A1)'
hostile "blank and formula" ' =1+1' '=1+1'
hostile "quotes and commas" 'a "b", c,"' 'a "b", c,"'
hostile "newlines" "$(printf 'a\nb\r\nc,=1')" -
hostile "tab and formula" "$(printf '\t=1')" -
hostile "../" '../../etc/passwd' '../../etc/passwd'
hostile "HTML" '<script>alert(1)</script>&amp;' '<script>alert(1)</script>&amp;'
hostile "escape sequences" "$(printf '\033[2J\033]0;x\007bell')" -
hostile "C1 controls" "$(printf 'a\302\233 31mb')" -
hostile "broken UTF-8" "$(printf 'a\377\376b')" -
hostile "a letter of four bytes" "$(printf '\360\235\204\236 clef')" "$(printf '\360\235\204\236 clef')"
hostile "percent signs" '%s%n%d' '%s%n%d'
hostile "5,000 letters" "$(printf '%5000s' | tr ' ' x)" -

# --- full disk ---

mkdir -p "$disk"
if [ "$(id -u)" = 0 ] && mount -t tmpfs -o size=4k none "$disk" 2>/dev/null; then
    run climb --start 40 --target 160 --steps "1 bpm" --stop none --fast --simulate --csv "$disk/full.csv"
    check "a disk that fills: exit 3" status_is 3
    check "a disk that fills: a sentence that names the file and the disk" \
        eval 'err_has "full.csv" && err_has "disk full\|No space"'
    check "a disk that fills: the climb went on to its end" eval 'tail -n 1 "$tmp/out" | grep -q "quarter = "'
    check "a disk that fills: whole rows up to then" eval '[ "$(rows "$disk/full.csv")" -ge 10 ]'
    umount "$disk"
else
    skip "a disk that fills" "THIS NEEDS ROOT AND A MOUNT; /dev/full alone is tried"
fi
fast --marks marks --csv /dev/full --force
check "/dev/full: exit 3 and a sentence" eval 'status_is 3 && err_has "/dev/full" && err_has "no space"'

# --- ends of pipes ---

# closed NAME SHELL-COMMAND: it must end by itself, without a crash.
closed() {
    status=0
    PASSO=$passo limited 30 sh -c "$2" >"$tmp/out" 2>"$tmp/err" || status=$?
    check "$1: no crash, no hang" eval '[ "$status" -lt 124 ] || [ "$status" = 141 ]'
}
closed "lines into head -1" '("$PASSO" climb --target 96 --fast --simulate; echo $? >'"$tmp"'/rc) | head -1; exit $(cat '"$tmp"'/rc)'
closed "CSV into head -1" '("$PASSO" climb --target 96 --fast --simulate --csv -; echo $? >'"$tmp"'/rc) | head -1; exit $(cat '"$tmp"'/rc)'
closed "help into head -1" '("$PASSO" climb --help; echo $? >'"$tmp"'/rc) | head -1; exit $(cat '"$tmp"'/rc)'
closed "stdout closed" '"$PASSO" climb --target 96 --fast --simulate >&-'
closed "stdout and stderr closed" '"$PASSO" climb --target 96 --fast --simulate >&- 2>&-'
closed "all three closed" '"$PASSO" climb --target 96 --fast --simulate <&- >&- 2>&-'
closed "demo, all three closed" '"$PASSO" demo <&- >&- 2>&-'
closed "CSV on a closed stdout" '"$PASSO" climb --target 96 --fast --simulate --csv - >&-'
check "CSV on a closed stdout: exit 3 and a sentence" eval 'status_is 3 && err_has "standard output"'
closed "stdin closed for --marks -" '"$PASSO" climb --target 96 --fast --marks - <&-'
check "stdin closed for --marks -: exit 2 and a sentence" eval 'status_is 2 && err_has "standard input"'
for what in "--help" "climb --help" "plan --target 96" "climb --target 96 --fast --simulate"; do
    closed "$what >/dev/full" '"$PASSO" '"$what"' >/dev/full'
    check "$what >/dev/full: what could not be written is not called done (exit 3)" status_is 3
done

# stops_on_signal NAME COMMAND...: started in the background, it ends within 3 s of SIGTERM.
stops_on_signal() {
    name=$1
    shift
    "$@" >"$tmp/out" 2>"$tmp/err" &
    pid=$!
    sleep 0.5
    kill -TERM $pid 2>/dev/null
    waited=0
    while kill -0 $pid 2>/dev/null && [ $waited -lt 30 ]; do
        sleep 0.1
        waited=$((waited + 1))
    done
    if [ $waited -lt 30 ]; then
        pass "$name"
    else
        kill -KILL $pid
        fail "$name" "3 s after SIGTERM it still runs"
    fi
    wait $pid 2>/dev/null
}
waits_for_marks() { exec "$passo" climb --target 96 --fast --marks - <"$tmp/pipe"; }
exec 9<>pipe
stops_on_signal "SIGTERM while --marks - waits for its input" waits_for_marks
exec 9>&-
stops_on_signal "SIGTERM while --marks waits for a pipe" "$passo" climb --target 96 --fast --marks pipe
stops_on_signal "SIGTERM while --csv --force waits for a pipe" "$passo" climb --target 96 --fast --marks marks --csv pipe --force

# In real time, no terminal and no input: a signal ends it and the CSV is whole.
for signal in INT TERM HUP; do
    rm -f signal.csv
    status=0
    limited 20 sh -c '"$0" climb --silent --bars 1 --target 240 --start 200 --rest "2 s" --csv signal.csv </dev/null >out 2>err &
        pid=$!; sleep 1; kill -'$signal' $pid; wait $pid' "$passo" || status=$?
    # A shell starts what runs in its background with SIGINT ignored; so it is to stay.
    if [ $signal = INT ] && [ $status = 124 ]; then skip "SIG$signal, plain" "ignored as its parent said"; continue; fi
    check "SIG$signal, plain, in real time: exit 1" status_is 1
    check "SIG$signal, plain: the CSV has its header" same "$(head -n 1 signal.csv | tr -d '\r')" "$header"
    check "SIG$signal, plain: the result is said" grep -q 'pass' out
done

# --- seeds ---

for seed in 1 1 2 3 4 5; do
    rm -f seed.csv
    fast --simulate --seed $seed --csv seed.csv
    timeless seed.csv | cksum >>seeds
done
check "the same seed gives the same climb" same "$(sed -n 1p seeds)" "$(sed -n 2p seeds)"
check "another seed gives another" eval '[ "$(sort -u seeds | wc -l)" -ge 3 ]'

# --- demo ---

begun=$(date +%s)
status=0
limited 30 "$passo" demo </dev/null >"$tmp/out" 2>"$tmp/err" || status=$?
check "demo with no terminal, no device, no input: exit 0" eval 'status_is 0 && err_empty'
check "demo ends within 5 s" eval '[ $(($(date +%s) - begun)) -le 5 ]'
check "demo says what came of it" eval 'tail -n 1 "$tmp/out" | grep -q "Won"'

check "nothing was left in HOME but the care note and the log" \
    same "$(find "$home" -type f | grep -v -e care-told -e "data/passo/log.sqlite")" ""
finish
