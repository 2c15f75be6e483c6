#!/bin/sh
# The record's benches: invented practice of thirty students, four passages each, over two years,
# taken into the log and out of it, each beside the sqlite3 shell doing the same on the same disk.
#   tests/bench/bench_record.sh BUILD
# PASSO_BENCH_PASSES says how many passes (200000); by hand 5000000, which takes some minutes and 4
# GB under TMPDIR. Prints only. Exit status: 0 all goals met, 1 a goal missed or a measure not taken.
#
# How it is measured: bench_launch, wall clock from just before a program is started to its end,
# median of three runs. An import begins each time with no log. The peer of the import is the
# shell's own `.import --csv` of the same file into a new table, that of the export its CSV of that
# table's rows. Of one passage: the share of one player and title.
set -u
build=$(cd "${1:?usage: bench_record.sh BUILD}" && pwd) || exit 2
bin=$build/tests/bench
passo=$build/passo
passes=${PASSO_BENCH_PASSES:-200000}

missing=
for part in "$passo" "$bin/bench_launch" "$bin/bench_make_passes"; do
    [ -x "$part" ] || missing="$missing $part"
done
command -v sqlite3 >/dev/null || missing="$missing sqlite3"
if [ -n "$missing" ]; then
    echo "FAILED: the benches of the record cannot run, missing:$missing"
    exit 1
fi
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
trap 'exit 1' HUP INT TERM
cd "$tmp" || exit 1
export HOME="$tmp" XDG_DATA_HOME="$tmp/data" XDG_CONFIG_HOME="$tmp/config"
"$bin/bench_make_passes" "$passes" >passes.csv || exit 1
missed=0

# median COMMAND...: milliseconds of a run with the shell's words, median of three; - if one failed.
median() {
    times=$("$bin/bench_launch" exit 3 sh -c "$1" 2>"$tmp/err") || times=-
    echo "${times:--}" | cut -d " " -f 1
}
row() { # what, goal, ms, peer, peer's ms, limit: of the ratio with "x" behind it, else of the ms
    awk -v what="$1" -v goal="$2" -v ms="$3" -v peer="$4" -v other="$5" -v limit="$6" 'BEGIN {
        ratio = (ms != "-" && other + 0 > 0) ? sprintf("%.2f", ms / other) : "-"
        n = limit ~ /x$/ ? ratio : ms
        met = n != "-" && n + 0 < limit + 0
        printf "| %s | %s | %s ms | %s | %s | %s |\n", what, goal, ms, met ? "met" : "MISSED", peer, ratio
        exit !met }' || missed=$((missed + 1))
}

echo "| the record: $passes passes | goal | measured | | peer | ratio |"
echo "| --- | --- | --- | --- | --- | --- |"
ours=$(median "rm -f log.sqlite*; exec '$passo' import passes.csv --log log.sqlite >/dev/null")
theirs=$(median "rm -f shell.db; exec sqlite3 shell.db '.import --csv passes.csv pass'")
row "\`passo import\`" "at most 2 x sqlite3" "$ours" "sqlite3 .import --csv: $theirs ms" "$theirs" 2x
again=$(median "exec '$passo' import passes.csv --log log.sqlite >/dev/null")
row "the same file once more" "at most 2 x sqlite3" "$again" "sqlite3 .import --csv: $theirs ms" "$theirs" 2x
ours=$(median "exec '$passo' export --log log.sqlite >out.csv")
theirs=$(median "exec sqlite3 -csv -header shell.db 'SELECT * FROM pass' >shell.csv")
row "\`passo export\`" "at most 2 x sqlite3" "$ours" "sqlite3 -csv: $theirs ms" "$theirs" 2x
same=$(wc -l <out.csv)
[ "$same" = "$((passes + 1))" ] || { echo "FAILED: $same lines were written"; missed=$((missed + 1)); }
# The title alone is that of thirty players; one player's is what a report is made of.
ours=$(median "exec '$passo' export 'Slow air, the leap' --player A.A. --log log.sqlite >one.csv")
theirs=$(median "exec sqlite3 -csv -header shell.db \"SELECT * FROM pass WHERE passage = 'Slow air, the leap' AND player = 'A.A.'\" >shell.csv")
row "\`passo export NAME --player\`" "under 200 ms" "$ours" "sqlite3 -csv, where: $theirs ms" "$theirs" 200
[ "$(wc -l <one.csv)" = "$(wc -l <shell.csv)" ] || { echo "FAILED: other rows"; missed=$((missed + 1)); }
ours=$(median "exec '$passo' export --days --log log.sqlite >days.csv")
row "\`passo export --days\`" "under 1000 ms" "$ours" "-" 0 1000
if "$passo" --help | grep -q "passo report"; then
    ours=$(median "exec '$passo' report 'Slow air, the leap' --player A.A. --log log.sqlite >report.txt")
    row "\`passo report NAME\`" "under 200 ms" "$ours" "-" 0 200
fi
ours=$(median "exec '$passo' list >/dev/null")
row "\`passo list\`" "under 200 ms" "$ours" "-" 0 200
if [ $missed -gt 0 ]; then
    echo "$missed goals of the record missed or not measured"
    exit 1
fi
