# Sourced by the scripts of this folder: one line a check, a sandbox of their own, a count at the end.
#
# Every script works as root, with no terminal and no sound device. It has its own HOME, its own XDG
# folders and its own temporary folder, and leaves nothing behind.

passed=0
failed=0
skipped=0
status=0
tmp=$(mktemp -d)
home=$tmp/home
mkdir -p "$home"
HOME=$home
XDG_CONFIG_HOME=$home/config
XDG_DATA_HOME=$home/data
XDG_STATE_HOME=$home/state
export HOME XDG_CONFIG_HOME XDG_DATA_HOME XDG_STATE_HOME
unset NO_COLOR CLICOLOR COLORTERM LANG LANGUAGE LC_CTYPE COLUMNS LINES TMUX
LC_ALL=C.UTF-8
export LC_ALL

pass() {
    passed=$((passed + 1))
    printf 'ok    %s\n' "$1"
}

# fail NAME DETAIL...
fail() {
    failed=$((failed + 1))
    printf 'FAIL  %s\n' "$1"
    shift
    for detail in "$@"; do printf '%s\n' "$detail" | head -n 12 | visible | sed 's/^/      | /'; done
}

skip() {
    skipped=$((skipped + 1))
    printf 'SKIP  %s: %s\n' "$1" "$2"
}

# check NAME COMMAND...: passes if the command does.
check() {
    check_name=$1
    shift
    if "$@"; then pass "$check_name"; else fail "$check_name" "not so: $*" "$(seen)"; fi
}

visible() { LC_ALL=C sed 's/\x1b/^[/g' | LC_ALL=C tr '\000-\010\013-\037' '?'; }

# What the last run did, for the report of a failed check.
seen() {
    printf 'exit status %s\n' "$status"
    [ -s "$tmp/err" ] && { echo 'stderr:'; head -n 5 "$tmp/err"; }
    [ -s "$tmp/out" ] && { echo 'stdout (end):'; tail -n 4 "$tmp/out"; }
    return 0
}

# limited SECONDS COMMAND...: never longer than that; the exit status is then 124 or 137.
limited() { timeout -k 2 "$@"; }

# run ARGUMENTS...: the program with no input; status, $tmp/out and $tmp/err.
run() {
    status=0
    limited 30 "$passo" "$@" <"${input:-/dev/null}" >"$tmp/out" 2>"$tmp/err" || status=$?
}

status_is() { [ "$status" = "$1" ]; }
err_has() { grep -qi -- "$1" "$tmp/err"; }
out_has() { grep -q -- "$1" "$tmp/out"; }
out_empty() { [ ! -s "$tmp/out" ]; }
err_empty() { [ ! -s "$tmp/err" ]; }
same() { [ "$1" = "$2" ]; }
not() { ! "$@"; }

# No control characters but line ends: neither C0 with DEL, nor C1 as UTF-8.
is_plain_text() {
    [ "$(LC_ALL=C tr -d '\n\040-\176\200-\377' <"$1" | wc -c)" -eq 0 ] &&
        ! LC_ALL=C grep -q "$(printf '\302[\200-\237]')" "$1"
}

# refused NAME WORDS... -- ARGUMENTS...: exit 2, nothing on stdout, and on stderr sentences that hold
# each of the words and begin with the program's name.
refused() {
    refused_name=$1
    shift
    words=""
    while [ "$1" != -- ]; do
        words="$words$1
"
        shift
    done
    shift
    run "$@"
    wrong=""
    status_is 2 || wrong="exit status $status, not 2"
    out_empty || wrong="$wrong; stdout is not empty"
    [ -s "$tmp/err" ] || wrong="$wrong; stderr is empty"
    grep -qv '^passo: ' "$tmp/err" && wrong="$wrong; a line does not begin with passo:"
    is_plain_text "$tmp/err" || wrong="$wrong; control characters on stderr"
    while IFS= read -r word; do
        [ -z "$word" ] || err_has "$word" || wrong="$wrong; no \"$word\" on stderr"
    done <<EOF
$words
EOF
    if [ -z "$wrong" ]; then pass "$refused_name"; else fail "$refused_name" "$wrong" "$(seen)"; fi
}

# Ends with the count and an exit status.
finish() {
    printf '%d passed, %d failed%s\n' "$passed" "$failed" \
        "$([ "$skipped" = 0 ] || echo ", $skipped LEFT OUT (see SKIP)")"
    [ "$failed" = 0 ]
    exit
}
