#!/bin/sh
# README.md, tried as a reader would try it: its files are written, its commands are run one after the
# other in one folder, and what it quotes must be what is printed.
# readme.sh PASSO BUILD SOURCE
#
# What is tried is what stands in fences:
#   ```ini NAME    a file of that name
#   ```ini         a few lines of one, tried together with a passage of 16 bars and its notes
#   ```console     commands behind "$ ", each with what it prints below it (none: nothing is compared);
#                  a line "..." stands for any lines
# Nobody plays here: a climb takes place in simulated time with a simulated player, and is kept as if
# it had been played, and a pulse ends soon and is silent. Nothing else is changed.
set -u
passo=$1
source=$3
. "$source/tests/command/lib.sh"
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
mkdir "$tmp/bin" "$tmp/page" "$tmp/parts"
cd "$tmp/page" || exit 1

cat >"$tmp/bin/passo" <<END
#!/bin/sh
case "\$1 \$*" in
climb\ *--fast* | today\ *--list* | check\ *--list*) ;;
climb\ * | today\ * | check\ *) set -- "\$@" --fast --simulate --seed 1 --log "$XDG_DATA_HOME/passo/log.sqlite" ;;
pulse\ *) set -- "\$@" --silent --minutes 0.01 ;;
hear\ *) set -- "\$@" --fast ;;
devices\ *) export ASAN_OPTIONS=detect_leaks=0 TSAN_OPTIONS=exitcode=0 ;; # the sound libraries' own
esac
exec timeout -k 2 30 "$passo" "\$@" </dev/null
END
chmod +x "$tmp/bin/passo"
PATH=$tmp/bin:$PATH
export PATH

# Takes a page apart: parts/001.ini, 002.console ... in the order of the page, and parts/list with
# their names and, for a file, its own.
take_apart() {
    awk -v into="$2" '
        /^```/ && !inside { inside = 1; split($0, word, /[` ]+/); kind = word[2]
                            if (kind != "ini" && kind != "console") { kind = ""; next }
                            part = sprintf("%s/%03d.%s", into, ++parts, kind)
                            printf "" >part
                            print part, word[3] >(into "/list"); next }
        /^```/ { inside = 0; kind = ""; next }
        inside && kind { print >part }
        END { exit inside || !parts }' "$1"
}

# Whether what was printed ($2) is what is quoted ($1): each run of lines between two "..." as it
# stands, one run after the other; without "..." at an end nothing more may stand there.
is_as_quoted() {
    awk '
        function fits(at, run,    i) {
            for (i = 1; i <= size[run]; i++)
                if (quoted[run, i] != printed[at + i - 1]) return 0
            return at + size[run] - 1 <= lines
        }
        BEGIN { runs = 0 } # as a subscript, what was never set is no 0
        FNR == NR { if ($0 == "...") runs++; else quoted[runs, ++size[runs]] = $0; next }
        { printed[++lines] = $0 }
        END {
            for (run = 0; run <= runs; run++) {
                first = at + 1
                last = run ? lines + 1 : 1
                if (run && run == runs && size[run]) first = lines - size[run] + 1
                if (first <= at) exit 1
                for (at = first; at <= last && !fits(at, run); at++);
                if (at > last) exit 1
                at += size[run] - 1
            }
            exit !runs && at != lines
        }' "$1" "$2"
}

# Runs the command of $tmp/line; its exit status may be 1 only if it is a climb.
try_command() {
    command=$(cat "$tmp/line")
    status=0
    sh -c "$command" >"$tmp/out" 2>"$tmp/err" || status=$?
    case "$command" in
    "passo climb"*) check "$command" eval '{ status_is 0 || status_is 1; } && err_empty' ;;
    "passo devices"*) check "$command" status_is 0 ;;
    *) check "$command" eval 'status_is 0 && err_empty' ;;
    esac
    [ ! -s "$tmp/quoted" ] || check "... prints what is quoted" is_as_quoted "$tmp/quoted" "$tmp/out"
}

try_console() {
    : >"$tmp/line"
    while IFS= read -r line; do
        case "$line" in
        '$ '*)
            [ ! -s "$tmp/line" ] || try_command
            printf '%s\n' "${line#??}" >"$tmp/line"
            : >"$tmp/quoted"
            ;;
        *) printf '%s\n' "$line" >>"$tmp/quoted" ;;
        esac
    done <"$1"
    try_command
}

notes="C4 G4 | C4 G4 | C4 G4 | C4 G4 |" # ABC, in eighths
notes="$notes $notes $notes $notes"

# $1 the part, $2 the file's name or nothing.
try_file() {
    name=${2:-some-lines.passo}
    looks=plan
    ! grep -q '^\[routine\]' "$1" || looks=show
    [ $looks = show ] || grep -q '^\[passage\]' "$1" || printf '[passage]\nbars = 33-48\ntarget = quarter = 120\nkey = C major\nnotes = %s\n\n' "$notes" >"$tmp/passage"
    cat "$tmp/passage" "$1" >"$name"
    : >"$tmp/passage"
    run $looks "./$name"
    check "file ${2:-with $(grep '^\[' "$1" | tr '\n' ' ')} is read" eval 'status_is 0 && err_empty'
}

# --- the checks themselves ---

printf 'a\nb\nc\nd\n' >"$tmp/printed"
quote() { printf '%b' "$1" >"$tmp/quoted"; is_as_quoted "$tmp/quoted" "$tmp/printed"; }
check "quoted whole" quote 'a\nb\nc\nd\n'
check "quoted from the start" quote 'a\nb\n...\n'
check "quoted to the end" quote '...\nc\nd\n'
check "quoted from the middle" quote '...\nb\nc\n...\n'
check "quoted in two places" quote 'a\n...\nc\n...\n'
check "not what was printed" not quote 'a\nx\nc\nd\n'
check "more than was printed" not quote 'a\nb\nc\nd\ne\n'
check "less than was printed" not quote 'a\nb\nc\n'
check "not from the start" not quote 'b\n...\n'
check "not to the end" not quote '...\nc\n'
check "in another order" not quote '...\nc\n...\na\n...\n'
check "not one after the other" not quote '...\na\nc\n...\n'
printf 'no fence\n' >"$tmp/plain.md"
check "a page without fences is no page" not take_apart "$tmp/plain.md" "$tmp/parts"

# --- the page ---

check "README.md is taken apart" take_apart "$source/README.md" "$tmp/parts"
: >"$tmp/passage"
exec 3<"$tmp/parts/list"
while read -r part name <&3; do
    case "$part" in
    *.ini) try_file "$part" "$name" ;;
    *) try_console "$part" ;;
    esac
done
exec 3<&-
check "README.md has commands" test "$(cat "$tmp"/parts/*.console | grep -c '^\$ passo ')" -ge 20
check "README.md has files" test "$(grep -c '\.ini .*passo$' "$tmp/parts/list")" -ge 3
finish
